"""Other forms of a booklet than its folder of pages: the package of a course, the slides of its steps."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from ...build.chosen_steps import chosen_steps
from ...folders.zip_files import zip_bytes
from ...pages.booklet import Booklet
from ...pages.elearning.course_package import course_files
from ...pages.picture_views import Items

if TYPE_CHECKING:
    from ..head_job import HeadJob
    from ..head_pictures import HeadPictures


def form_files(
    job: HeadJob, booklet: Booklet, pictures: HeadPictures, items: Items, files: Mapping[str, bytes]
) -> dict[str, bytes]:
    """Return the files of the form that a job wants of a booklet of these ``files``, by name.

    Raises:
        UnknownSteps: if the booklet has no such steps.
        SlidesUnavailable: if slides cannot be made here.
    """
    there = {c.id: tuple(s.step for s in c.steps) for c in booklet.chapters if c.steps}
    chosen = chosen_steps(there, job.steps)
    if job.form == "course":
        course = course_files(booklet, files, job.setting, tuple(chosen))
        return {f"{job.file_slug}-course.zip": zip_bytes(course)}
    from ...pages.slides.slide_deck import make_slides

    stills = {n.rpartition("/")[2]: c for n, c in files.items()}
    deck = make_slides(booklet, chosen, pictures.steps, items, stills, job.setting)
    return {f"{job.file_slug}.pptx": deck}
