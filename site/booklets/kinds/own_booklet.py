"""The whole booklet of an assembly of a user's own, in its own folder: the pages of a head, by the same code."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from ....geometry.meshes.overlaps import OverlapError
from ....geometry.meshes.tessellation import MeshError
from ....sequences.fleet.user_assembly import load_user_assembly
from ....sequences.own.own_work import own_work
from ....sequences.work.tasks import Account
from ...build.folders import check_target, swapped_in
from ...build.kept_results import open_store
from ...build.languages.plant_words import words_of
from ...build.languages.texts_in_use import told_of_own
from ...build.progress import Progress, Silent
from ...build.system_libraries import Machine
from ...build.timings import StageTimes
from ...build.user_faults import UserFault, WorkRefused
from ...build.why import History
from ...pages.pages import Setting
from ..booklets import make_booklets
from ..head_job import HeadJob, OtherLanguage
from ..library import Built, build_date, paper_sizes, picture_settings
from .own_kind import own_words

if TYPE_CHECKING:
    from ....render.drawing.settings import PictureSettings


def own_job(
    file: Path, pictures: PictureSettings | None = None, prove: bool = False, despite_proof: bool = False
) -> tuple[HeadJob, tuple[str, ...]]:
    """Return what the booklet of an assembly is made from, and why it has no PDF files though they are asked for.

    Raises:
        FaultsFound: with every mistake of the file and all that it names.
        UserFault: if there are no words in its language.
    """
    user = load_user_assembly(file)
    work, text = own_work(user, file.resolve()), user.text
    about, adds = text.booklet, user.additions
    first, *others = (own_words(w, work.row) for w in words_of(told_of_own(user, file.resolve())).words)
    setting = Setting(
        first,
        text.plant or text.assembly,
        text.demo,
        about.date or build_date(),
        about.title or text.assembly,
        about.id or "",
        about.address or adds.address,
        languages=tuple(about.languages),
        look=adds.look,
        contact=adds.contact,
    )
    pdf, no_pdf = paper_sizes(about.pdf)
    settings = pictures or picture_settings(about.jpeg)
    told = tuple(OtherLanguage(replace(setting, words=words), ()) for words in others)
    job = HeadJob(work, setting, about.revision, (), settings, prove, despite_proof, pdf, others=told)
    return job, no_pdf


def build_own_booklet(
    file: Path,
    to: Path,
    workers: int | None = None,
    progress: Progress | None = None,
    pictures: PictureSettings | None = None,
    cache: Path | None = None,
    prove: bool = False,
    despite_proof: bool = False,
) -> Built:
    """Make the booklet of an assembly in the folder ``to``, which is replaced whole at the end.

    Args:
        file: names its parts and sequences.
        to: a new folder, or one that this program wrote before.
        workers: processes that work at the same time; 1 works in this process.
        progress: hears of every step of the work.
        pictures: size and format of the pictures; left out, those for booklets.
        cache: folder of the store; left out, nothing is kept.
        prove: whether the solids are asked for evidence.
        despite_proof: whether to build also where the proof finds a fault; every page then says so.

    Raises:
        FaultsFound: with every mistake of the file and all that it names.
        UserFault, NoGraphics, WorkerLost: something else the user can mend.
        OSError: if the folder cannot be written.
    """
    check_target(to, "build")
    progress, stages = progress or Silent(), StageTimes()
    with stages.stage("data"):
        progress.say("checking the data")
        job, no_pdf = own_job(file, pictures, prove, despite_proof)
    account = Account()
    known: dict[str, str] = {}
    with open_store(cache) as store, swapped_in(to, "build", known) as folder:
        machine = Machine()
        try:
            (done,) = make_booklets([job], store, folder, progress, account, known, machine, workers, "", to)
        except (MeshError, OverlapError) as error:
            fix = "heal the part where it was drawn and export it again"
            said = f"{file.name}: found {error}; allowed: closed, valid solids; likely fix: {fix}"
            raise UserFault(said) from error
        stages.renderer = machine.renderer
        stages.take(account.spent)
        if done.faults and not despite_proof:
            lines = ["The proof found what cannot be done:", *(f"  {text}" for text in done.faults)]
            fix = "Mend the sequence or a part, or build all the same with --despite-proof."
            raise WorkRefused("\n".join(lines), fix)
        history = History(store, file)
        made = history.made(account.made)
        history.keep((*account.found, *account.made))
    return Built(
        1,
        len(done.missing),
        stages,
        0,
        tuple(f"{done.line.tag}, {text}" for text in done.shortcomings),
        (*no_pdf, *done.remarks),
        made,
        library=False,
        unwritable=account.unwritable or store.unwritable,
    )
