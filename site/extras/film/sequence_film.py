"""One film: its shots drawn one after the other, their times, chapters and captions."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field

from ...words.languages.fallback import plain
from .film_files import ChapterMark, Timed, write_films
from .film_frames import FilmScene, FrameMaker
from .film_timeline import Cue, FilmWords, Shot, cues_of, shots, srt, webvtt

SceneOf = Callable[[int], FilmScene | None]
"""Gives the scene of a step by its number; asked in the order of the film, None where it has no picture."""
TIMES_SHOWN = 2
"""How often a step's motion is shown: once to see it, once more to know it."""


@dataclass
class _Times:
    """What is known once the shots have been laid out one after the other."""

    now: int = 0
    chapters: list[ChapterMark] = field(default_factory=list)
    cues: dict[str, list[Cue]] = field(default_factory=dict)


def make_film(
    told: Sequence[FilmWords],
    numbers: Sequence[int],
    head: Sequence[str],
    frames: FrameMaker,
    scene_of: SceneOf,
) -> dict[str, bytes]:
    """Return the files of a film of some steps of a plan by ending: films, and captions in each language.

    Args:
        told: the plan in each of its languages, the one that is shown first.
        numbers: of the steps, in order.
        head: lines of the opening.
        frames: makes its pictures.
        scene_of: gives the steps' scenes; each is asked for twice at most.

    Raises:
        FilmUnavailable: if none can be made here.
    """
    planned = list(shots(told, numbers, head))
    times, laid = _laid_out(planned, frames, scene_of, told)
    pictures = _pictures(laid, frames, scene_of, times.now)
    made = write_films(pictures, times.now, frames.size, head[0], times.chapters, times.cues)
    for language, cues in times.cues.items():
        made[f"{language}.vtt"] = webvtt(cues).encode("utf-8")
        made[f"{language}.srt"] = srt(cues).encode("utf-8")
    return made


@dataclass(frozen=True)
class _Laid:
    """A shot with where it begins and ends, ms, and how it stands: pages of lines, each with its time."""

    shot: Shot
    start: int
    pages: tuple[tuple[int, int], ...] = ()
    """Number of a page of lines, and for how long it stands."""


def _laid_out(
    planned: Sequence[Shot], frames: FrameMaker, scene_of: SceneOf, told: Sequence[FilmWords]
) -> tuple[_Times, list[_Laid]]:
    times, laid = _Times(cues={t.language: [] for t in told}), list[_Laid]()
    begun = (-1, "")
    for shot in planned:
        number = shot.step.number if shot.step else 0
        if (number, shot.title) != begun:
            begun = number, shot.title
            times.chapters.append(ChapterMark(times.now, plain(shot.title)))
        start = times.now
        pages: tuple[tuple[int, int], ...] = ((0, shot.read_ms),)
        if shot.kind in ("step", "after"):
            scene = scene_of(number)
            count = [sum(len(x.text.split()) for x in p) + 4 for p in frames.pages(shot, scene)]
            pages = tuple((n, shot.read_ms * c // sum(count) // 100 * 100) for n, c in enumerate(count))
        times.now += sum(ms for _, ms in pages)
        for language, texts in shot.captions.items():
            if texts:
                times.cues[language] += cues_of(texts, start, times.now)
        if shot.kind == "step" and (scene := scene_of(number)) is not None:
            times.now += TIMES_SHOWN * sum(_steady(scene.durations_ms))
        laid.append(_Laid(shot, start, pages))
    return times, laid


def _steady(durations_ms: Sequence[int]) -> list[int]:
    """Return how long frames stand in whole tenths of a second."""
    return [max(1, round(ms / 100)) * 100 for ms in durations_ms]


def _pictures(laid: Sequence[_Laid], frames: FrameMaker, scene_of: SceneOf, end: int) -> Iterator[Timed]:
    for of in laid:
        shot, at = of.shot, of.start
        done = at / end
        if shot.kind == "message":
            yield at, frames.message(shot, done)
            continue
        if shot.kind == "opening":
            yield at, frames.opening(shot, done)
            continue
        assert shot.step is not None
        scene = scene_of(shot.step.number)
        lines = frames.pages(shot, scene)
        for n, ms in of.pages:
            yield at, frames.step(shot, scene, lines[n], done)
            at += ms
        if shot.kind == "step" and scene is not None:
            for _ in range(TIMES_SHOWN):
                moving = frames.moving(shot, scene, lines[0], done)
                for ms, picture in zip(_steady(scene.durations_ms), moving, strict=False):
                    yield at, picture
                    at += ms
