"""Lead a fleet through the rooms: check everything, then make every booklet and the library, then show the folder."""

from __future__ import annotations

import os
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from ...sequences.fleet.heads import Fleet
from ...sequences.work.tasks import Account
from ..build.fleet_run import fleet_words, open_fleet
from ..build.folders import swapped_in
from ..build.kept_pumps import read_kept_pumps, write_kept_pumps
from ..build.kept_results import open_store
from ..build.kept_values import next_kept_values, read_kept_values
from ..build.languages.plant_words import untranslated, words_of_fleet
from ..build.languages.texts_in_use import told_of_fleet
from ..build.progress import Progress, Silent
from ..build.published import SCHEMAS, published_schemas
from ..build.system_libraries import Machine
from ..build.timings import StageTimes
from ..build.user_faults import UserFault, WorkRefused, fault_lines
from ..build.why import History, Made
from ..pages.library.library_pages import write_library
from ..pages.library.pump_changes import next_kept_pumps, pump_changes, rows_said
from ..pages.pages import Setting
from ..pages.paper.pdf_files import PaperSize, PdfUnavailable, pdf_maker
from .booklets import make_booklets
from .head_job import HeadDone, HeadJob, OtherLanguage
from .kinds.head_kind import always_shown
from .plant_files import write_logo

if TYPE_CHECKING:
    from ...render.drawing.settings import PictureSettings


@dataclass(frozen=True)
class Built:
    """A library that has been written."""

    heads: int
    missing: int
    stages: StageTimes
    doubts: int = 0
    shortcomings: tuple[str, ...] = ()
    """Tag, sequence, step and reason of each picture that does not show what it has to."""
    remarks: tuple[str, ...] = ()
    """Tag and what the owner of parts has to know of how they were read."""
    made: tuple[Made, ...] = ()
    """What was made anew, and why."""
    library: bool = True
    """Whether it has a library's own pages and tables; else it is one booklet."""
    unwritable: str = ""
    """Why the store could not keep what was made; empty while all went well."""


def build_library(
    file: Path,
    to: Path,
    only: tuple[str, ...] = (),
    workers: int | None = None,
    progress: Progress | None = None,
    pictures: PictureSettings | None = None,
    cache: Path | None = None,
    prove: bool = False,
    despite_proof: bool = False,
    cluster: str = "",
) -> Built:
    """Make the library of a fleet in the folder ``to``, which is replaced whole at the end.

    Args:
        file: the fleet file.
        to: a new folder, or one that this program wrote before.
        only: plant tags; left out, every head of the fleet.
        workers: processes that work at the same time; 1 works in this process.
        progress: hears of every step of the work.
        cache: folder of the store, in which results are kept for the next build; left out, none are kept.
        pictures: size and format of the pictures; left out, those for booklets, in the formats that the fleet asks for.
        prove: whether the solids are asked for evidence: minutes for each head the first time.
        despite_proof: whether to build also where the proof finds a fault; every page then says so.
        cluster: address of a scheduler whose workers do the work; they see ``cache`` and the owner's files by the same
            paths.

    Raises:
        FaultsFound: with every mistake in the data.
        UserFault, NoGraphics, OwnPartError, WorkerLost, NoCluster: something else the user can mend.
        OSError: if the folder cannot be written.
    """
    if cluster and cache is None:
        raise UserFault(
            "The workers of a cluster hand their results over through the store, and nothing is kept with --afresh: "
            "leave --afresh or --cluster out."
        )
    progress, stages = progress or Silent(), StageTimes()
    with stages.stage("data"):
        progress.say("checking the data")
        run = open_fleet(file, to, only)
        setting, *others = booklet_settings(run.fleet)
        kept = next_kept_values(read_kept_values(to), run.rows)
        settings = pictures or picture_settings(run.fleet.booklet.jpeg)
        pdf, no_pdf = paper_sizes(run.fleet.booklet.pdf)
        jobs = [
            HeadJob(
                work,
                setting,
                run.fleet.booklet.revision,
                kept.changes(work.row, setting.words),
                settings,
                prove,
                despite_proof,
                pdf,
                others=tuple(OtherLanguage(o, kept.changes(work.row, o.words)) for o in others),
            )
            for work in run.works()
        ]
    account = Account()
    known: dict[str, str] = {}
    with open_store(cache, shared=bool(cluster)) as store, swapped_in(to, "build", known) as folder:
        machine = Machine(here=not cluster)
        done = make_booklets(jobs, store, folder, progress, account, known, machine, workers, cluster, to)
        stages.renderer = machine.renderer
        stages.take(account.spent)
        if not despite_proof:
            _check_proofs(done)
        with stages.stage("library"):
            progress.say("the library page")
            missing = tuple(m for d in done for m in d.missing)
            in_doubt = tuple(x for job in jobs for x in job.work.doubts)
            lines = tuple(d.line for d in done)
            told = told_of_fleet(run.fleet)
            lacking = {s.words.language: untranslated(s.words, told) for s in (setting, *others)}
            pumps = next_kept_pumps(read_kept_pumps(to), lines, setting.date)
            write_library(
                lines,
                missing,
                folder,
                setting,
                in_doubt,
                always_shown(setting.words),
                pump_changes(pumps),
                pumps.new,
                pumps.gone,
                lacking,
            )
            for n, other in enumerate(others):
                write_library(
                    tuple(d.others[n].line for d in done),
                    tuple(m for d in done for m in d.others[n].missing),
                    folder,
                    other,
                    in_doubt,
                    always_shown(other.words),
                    pump_changes(pumps, rows_said(d.others[n].line for d in done)),
                    pumps.new,
                    pumps.gone,
                    lacking,
                )
            write_logo(folder, setting)
            (folder / SCHEMAS).mkdir(exist_ok=True)  # a pump may be called so
            for name, content in published_schemas().items():
                (folder / SCHEMAS / name).write_bytes(content)
            kept.write(folder)
            write_kept_pumps(pumps, folder)
        history = History(store, file)
        made = history.made(account.made)
        history.keep((*account.found, *account.made))
    return Built(
        len(done),
        len(missing),
        stages,
        len(in_doubt),
        tuple(f"{d.line.tag}, {text}" for d in done for text in d.shortcomings),
        (*no_pdf, *(f"{d.line.tag}: {text}" for d in done for text in d.remarks)),
        made,
        unwritable=account.unwritable or store.unwritable,
    )


def booklet_settings(fleet: Fleet) -> tuple[Setting, ...]:
    """Return what all pages of a library have in common, once a language, the main one first.

    Raises:
        FaultsFound, UserFault: as :func:`booklet_setting`.
    """
    first = replace(booklet_setting(fleet), languages=tuple(fleet.booklet.languages))
    return tuple(replace(first, words=words) for words in words_of_fleet(fleet).words)


def booklet_setting(fleet: Fleet, language: str = "") -> Setting:
    """Return what pages of a library have in common that stand alone in one language, its main one where left out.

    Raises:
        FaultsFound, UserFault: as :func:`..build.fleet_run.fleet_words`; or if ``SOURCE_DATE_EPOCH`` is no date.
    """
    date = fleet.booklet.date or build_date()
    title, own_id = fleet.booklet.title or "", fleet.booklet.id or ""
    own = fleet.additions
    return Setting(
        fleet_words(fleet, language),
        fleet.plant,
        fleet.demo,
        date,
        title,
        own_id,
        fleet.booklet.address or own.address,
        look=own.look,
        contact=own.contact,
    )


def picture_settings(jpeg: bool) -> PictureSettings:
    """Return the settings of a booklet's pictures: AVIF, and JPEG for other browsers where the file asks for it."""
    from ...render.drawing.settings import PictureSettings
    from ...render.drawing.still_files import STILL_ENDING

    return PictureSettings(formats=(STILL_ENDING, "jpg") if jpeg else (STILL_ENDING,))


def paper_sizes(asked: Iterable[PaperSize]) -> tuple[tuple[PaperSize, ...], tuple[str, ...]]:
    """Return the sizes of PDF files that a file asks for; none, with the reason, where none can be made here."""
    sizes = tuple(dict.fromkeys(asked))
    try:
        if sizes:
            pdf_maker()
    except PdfUnavailable as e:
        return (), (f"No PDF files: {e}",)
    return sizes, ()


def _check_proofs(done: Iterable[HeadDone]) -> None:
    """Refuse the whole library where the proof of one head found a fault."""
    found = {d.line.tag: d.faults for d in done if d.faults}
    if found:
        lines = ["The proof found what cannot be done:", *fault_lines(found)]
        fix = "Mend the sequence or the size, or build all the same with --despite-proof."
        raise WorkRefused("\n".join(lines), fix)


def build_date() -> str:
    """Return today's date in UTC, or that of ``SOURCE_DATE_EPOCH``.

    Raises:
        UserFault: if ``SOURCE_DATE_EPOCH`` is no number of seconds.
    """
    epoch = os.environ.get("SOURCE_DATE_EPOCH")
    if epoch is None:
        return datetime.now(UTC).date().isoformat()
    try:
        return datetime.fromtimestamp(int(epoch), UTC).date().isoformat()
    except (ValueError, OverflowError, OSError) as e:
        raise UserFault(f"SOURCE_DATE_EPOCH is '{epoch}'; allowed: whole seconds since 1970-01-01") from e
