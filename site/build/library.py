"""Lead a fleet through the rooms: check everything, then make every booklet and the library, then show the folder."""

from __future__ import annotations

import os
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from ...sequences.calculations.doubts import Doubt
from ...sequences.fleet.heads import Fleet
from ...sequences.proof.head_work import make_plans
from ...sequences.steps.asked_values import asked_values
from ...sequences.values.sourced_values import Missing, missing_values
from ..pages.pages import Setting, write_library
from .fleet_run import fleet_words, open_fleet
from .folders import swapped_in
from .head_job import HeadDone, HeadJob
from .head_pages import always_shown
from .kept_results import prune
from .kept_values import next_kept_values, read_kept_values
from .progress import Progress, Silent
from .timings import StageTimes
from .user_faults import UserFault, WorkRefused, fault_lines
from .workers import build_workers, run_jobs

if TYPE_CHECKING:
    from ...render.drawing.settings import PictureSettings


@dataclass(frozen=True)
class HeadSummary:
    """A checked head: its tag, and title and number of steps of each sequence."""

    tag: str
    steps: tuple[tuple[str, int], ...]


@dataclass(frozen=True)
class Summary:
    """A checked fleet, the values that its steps ask for and nobody has given, and what speaks against others."""

    plant: str
    heads: tuple[HeadSummary, ...]
    missing: tuple[Missing, ...]
    doubts: tuple[Doubt, ...] = ()


@dataclass(frozen=True)
class Built:
    """A library that has been written."""

    heads: int
    missing: int
    stages: StageTimes
    doubts: int = 0
    shortcomings: tuple[str, ...] = ()
    """Tag, sequence, step and reason of each picture that does not show what it has to."""


def check_fleet(file: Path) -> Summary:
    """Check a fleet with all its files, without making a solid.

    Raises:
        FaultsFound: with every mistake.
    """
    run = open_fleet(file)
    plans = {work.row.tag: make_plans(work.row, work.sequences) for work in run.works()}
    missing = missing_values(
        {row.tag: row.values for row in run.rows}, {tag: asked_values(p) for tag, p in plans.items()}
    )
    return Summary(
        run.fleet.plant,
        tuple(HeadSummary(tag, tuple((p.title, len(p.steps)) for p in of)) for tag, of in plans.items()),
        tuple(missing),
        tuple(d for work in run.works() for d in work.doubts),
    )


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
) -> Built:
    """Make the library of a fleet in the folder ``to``, which is replaced whole at the end.

    Args:
        file: the fleet file.
        to: a new folder, or one that this program wrote before.
        only: plant tags; left out, every head of the fleet.
        workers: heads worked on at the same time, each in a process of its own; 1 works in this process.
        progress: hears of every step of the work.
        cache: folder in which pictures are kept for the next build; left out, none are kept.
        pictures: size and format of the pictures; left out, those for booklets, in the formats that the fleet asks for.
        prove: whether the solids are asked for evidence: minutes for each head the first time.
        despite_proof: whether to build also where the proof finds a fault; every page then says so.

    Raises:
        FaultsFound: with every mistake in the data.
        UserFault, NoGraphics, OwnPartError, WorkerLost: something else the user can mend.
        OSError: if the folder cannot be written.
    """
    progress, stages = progress or Silent(), StageTimes()
    with stages.stage("data"):
        progress.say("checking the data")
        run = open_fleet(file, to, only)
        setting = booklet_setting(run.fleet)
        kept = next_kept_values(read_kept_values(to), run.rows)
    with stages.stage("probe"):
        progress.say("looking for a way to draw")
        _check_machine()
    with swapped_in(to, "build") as folder:
        jobs = [
            HeadJob(
                work,
                setting,
                run.fleet.booklet.revision,
                kept.changes(work.row, setting.words),
                folder,
                pictures or picture_settings(run.fleet),
                cache,
                prove=prove,
                despite_proof=despite_proof,
            )
            for work in run.works()
        ]
        done = run_jobs(jobs, build_workers(workers, len(jobs)), progress)
        for d in done:
            stages.add(d.stages)
        if not despite_proof:
            _check_proofs(done)
        with stages.stage("library"):
            progress.say("the library page")
            missing = tuple(m for d in done for m in d.missing)
            in_doubt = tuple(x for d in done for x in d.doubts)
            lines = tuple(d.line for d in done)
            write_library(lines, missing, folder, setting, in_doubt, always_shown(setting.words))
            kept.write(folder)
    if cache is not None:
        prune(cache)
    shortcomings = tuple(f"{d.line.tag}, {text}" for d in done for text in d.shortcomings)
    return Built(len(done), len(missing), stages, len(in_doubt), shortcomings)


def booklet_setting(fleet: Fleet) -> Setting:
    """Return what all pages of a library have in common.

    Raises:
        UserFault: if there are no words in the fleet's language, or ``SOURCE_DATE_EPOCH`` is no date.
    """
    date = fleet.booklet.date or build_date()
    title, own_id = fleet.booklet.title or "", fleet.booklet.id or ""
    return Setting(fleet_words(fleet), fleet.plant, fleet.demo, date, title, own_id)


def picture_settings(fleet: Fleet) -> PictureSettings:
    """Return the settings of a booklet's pictures: WebP, and JPEG for other browsers where the fleet asks for it."""
    from ...render.drawing.settings import PictureSettings

    return PictureSettings(formats=("webp", "jpg") if fleet.booklet.jpeg else ("webp",))


def _check_machine() -> None:
    from ...render.engine.gl_probe import ensure_graphics
    from .system_libraries import check_libraries

    check_libraries()
    ensure_graphics()


def _check_proofs(done: list[HeadDone]) -> None:
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
