"""Films of the sequences of booklets, in a folder that appears when all are made."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from ....sequences.work.code_hash import code_hash
from ....sequences.work.keys import task_key
from ....sequences.work.store import Store
from ...booklets import head_tasks
from ...booklets.head_job import HeadJob
from ...booklets.head_pages import picture_items, plans_in_words
from ...booklets.kinds.kinds import kind_of, words_for
from ...build.chosen_steps import chosen_steps, steps_of
from ...build.folders import swapped_in
from ...build.kept_results import open_store
from ...build.user_faults import UserFault
from ...pages.pages import FONTS
from ...words.catalogue import Words
from ...words.languages.fallback import plain
from ..export_jobs import check_steps, export_jobs
from .film_files import FilmUnavailable, film_library, installed_film
from .film_frames import FrameMaker
from .film_timeline import FilmWords
from .scenes import known_parts, plan_scenes
from .sequence_film import make_film

if TYPE_CHECKING:
    from ....render.drawing.settings import PictureSettings
    from ....sequences.steps.plan import Plan

HEIGHT = 1080
"""Pixels of a film, 16 to 9."""


def export_films(
    file: Path,
    target: Path,
    only: Sequence[str],
    steps: Sequence[str],
    say: Callable[[str], None],
    cache: Path | None = None,
    pictures: PictureSettings | None = None,
    height: int = HEIGHT,
) -> int:
    """Write each sequence that has pictures as a film of each form, with captions beside it; return how many films.

    What is shown is in the main language, captions are in all of the booklet's. A film that the store holds is taken
    from there.

    Args:
        file: a fleet file, or that of an assembly of the user's own.
        target: the folder.
        only: plant tags of a fleet; left out, every head.
        steps: those that are shown, as :func:`...build.chosen_steps.chosen_steps` takes them; left out, all.
        say: hears of each film.
        cache: folder of the store; left out, nothing is kept.
        pictures: settings of the pictures; left out, those for booklets.
        height: of the films, pixels.

    Raises:
        FaultsFound, UserFault: as :func:`..export_jobs.export_jobs`; also for steps that a booklet does not have, or
            films that cannot be made here.
        SolidError, OwnPartError, MeshError, NoGraphics: if what it shows cannot be drawn.
    """
    try:
        film_library()
    except FilmUnavailable as e:
        raise UserFault(f"No films: {e}") from e
    jobs = export_jobs(file, target, only, pictures, every_language=True)
    with open_store(cache) as store, swapped_in(target, "export") as folder:
        count = 0
        try:
            for job in (known_parts(store, job) for job in jobs):
                check_steps([job.work], steps, pictured=True)
                count += _write_films(store, job, steps, folder, height, say)
        finally:
            head_tasks.put_down()
    return count


def _write_films(
    store: Store, job: HeadJob, steps: Sequence[str], folder: Path, height: int, say: Callable[[str], None]
) -> int:
    tellings = job.tellings()
    chosen = chosen_steps(steps_of(job.work.plans), steps)
    for sequence, numbers in chosen.items():
        told = [_told(t, sequence) for t in tellings]
        made = _kept_film(store, tellings[0], told, numbers, height)
        stem = f"{job.file_slug}-{sequence}"
        for ending, content in made.items():
            (folder / f"{stem}.{ending}").write_bytes(content)
        say(f"{job.tag}, {sequence}: {len(numbers)} steps")
    return len(chosen)


def _told(job: HeadJob, sequence: str) -> FilmWords:
    words = words_for(job.work, job.setting.words)
    plan = next(p for p in plans_in_words(job.work, words) if p.sequence == sequence)
    return FilmWords(words, plan, kind_of(job.work, words).stated)


def _kept_film(
    store: Store, job: HeadJob, told: Sequence[FilmWords], numbers: Sequence[int], height: int
) -> dict[str, bytes]:
    """Return the files of a film from the store, made first where they are not there."""
    words = job.setting.words
    head = opening(job, told[0].plan)
    notice = plain(words("demo.short") if job.setting.invented else words("notice.short"))
    scenes = plan_scenes(
        store, job, next(p for p in job.work.plans if p.sequence == told[0].plan.sequence), height
    )
    pictures = (job.pictures, scenes.film, [scenes.pictures[n][1:4] for n in numbers])
    key = task_key(
        "film",
        design=job.work.design,
        words=[(t.language, t.plan, t.values, t.words.texts) for t in told],
        steps=tuple(numbers),
        pictures=pictures,
        tools=[scenes.pictures[n][4] for n in numbers],
        settings=(height, head, notice, installed_film(), sorted(FONTS)),
        code=code_hash("site.extras.film.film_export", libraries=("pillow", "vtk", "numpy")),
    ).digest
    kept = store.get(key)
    if kept is not None:
        return kept
    frames = FrameMaker(height, words, picture_items(job.work, words), notice)
    made = make_film(told, numbers, head, frames, scenes)
    store.put(key, made)
    return made


def opening(job: HeadJob, plan: Plan) -> tuple[str, ...]:
    """Return the lines of the opening: the title, of what it is, and what it is not."""
    words: Words = job.setting.words
    lines = [
        f"{job.tag}: {plan.title}",
        f"{words('print.revision', revision=job.revision, date=job.setting.date)}",
    ]
    if job.setting.invented:
        lines.append(words("demo.text", plant=job.setting.plant))
    return tuple(plain(t) for t in (*lines, words("notice.text")))
