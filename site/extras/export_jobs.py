"""What is exported of a fleet or of an assembly of the user's own: a job for each booklet, its data checked before."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from ...sequences.fleet.file_kind import is_user_assembly
from ...sequences.own.designs import Work
from ..booklets.head_job import HeadJob, OtherLanguage
from ..booklets.kinds.own_booklet import own_job
from ..booklets.library import booklet_setting, booklet_settings, picture_settings
from ..build.chosen_steps import UnknownSteps, chosen_steps, steps_of
from ..build.fleet_run import chosen_words, open_fleet
from ..build.folders import check_target
from ..build.user_faults import UserFault
from ..pages.slides.slide_files import SlidesUnavailable, slides_library

if TYPE_CHECKING:
    from ...render.drawing.settings import PictureSettings


def export_jobs(
    file: Path,
    target: Path,
    only: Sequence[str],
    pictures: PictureSettings | None = None,
    language: str = "",
    every_language: bool = False,
) -> tuple[HeadJob, ...]:
    """Return what is to be made of each booklet, once the target is known to be ours to write.

    Args:
        file: a fleet file, or that of an assembly of the user's own.
        target: the folder that will be written.
        only: plant tags of a fleet; left out, every head.
        pictures: settings of the pictures; left out, those for booklets.
        language: one of the file's; left out, its main one.
        every_language: whether its other languages come along.

    Raises:
        FaultsFound, UserFault: as :func:`..build.fleet_run.open_fleet`; or for a language that it has no pages in.
    """
    if is_user_assembly(file):
        if only:
            raise UserFault(f"{file} is an assembly of your own, one booklet: leave --only out.")
        check_target(target, "export")
        job = own_job(file, pictures, prove=True)[0]
        return (job if every_language else _in_one(job, language, file),)
    run = open_fleet(file, target, only, "export")
    setting, *others = (
        booklet_settings(run.fleet) if every_language else [booklet_setting(run.fleet, language)]
    )
    settings = pictures or picture_settings(run.fleet.booklet.jpeg)
    also = tuple(OtherLanguage(o, ()) for o in others)
    return tuple(
        HeadJob(work, setting, run.fleet.booklet.revision, (), settings, True, others=also)
        for work in run.works()
    )


def _in_one(job: HeadJob, language: str, file: Path) -> HeadJob:
    """Return the job of an assembly with pages in one of its languages alone."""
    there = (job.setting, *(o.setting for o in job.others))
    words = chosen_words([s.words for s in there], language, file)
    return replace(job, setting=replace(job.setting, words=words, languages=()), others=())


def check_slides() -> None:
    """Refuse slides where they cannot be written.

    Raises:
        UserFault: with what brings what is missing.
    """
    try:
        slides_library()
    except SlidesUnavailable as e:
        raise UserFault(f"No slides: {e}") from e


def check_steps(
    works: Sequence[Work], names: Sequence[str], whole: bool = False, pictured: bool = False
) -> None:
    """Refuse names of steps that a booklet lacks; ``whole``: of sequences alone, ``pictured``: of those with pictures.

    Raises:
        UserFault: with all of them, and what there is.
    """
    for work in works:
        there = steps_of(work.plans if pictured else (*work.plans, *work.checklist_plans))
        try:
            chosen_steps(there, names)
        except UnknownSteps as e:
            raise UserFault(f"--steps: {work.row.tag} has {e}") from e
    if inner := [n for n in names if whole and "/" in n]:
        raise UserFault(f"--steps: a course takes whole sequences, not {', '.join(inner)}")
