"""A film as a file, looked into by its own streams: chapters, captions, times, what stands where; small, by samples."""

from __future__ import annotations

import io
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from typing import Any

import av
import pytest
from benchleaf.render.drawing.manifest import CameraSeen, Manifest, PartSeen
from benchleaf.sequences.steps.plan import Plan
from benchleaf.site.extras.film import film_files
from benchleaf.site.extras.film.film_files import FilmUnavailable, film_library, installed_film
from benchleaf.site.extras.film.film_frames import SIGNALS, FilmScene, FrameMaker, scene_size
from benchleaf.site.extras.film.film_letters import BOLD, broken, width
from benchleaf.site.extras.film.film_timeline import FilmWords
from benchleaf.site.extras.film.sequence_film import TIMES_SHOWN, make_film
from benchleaf.site.pages.picture_views import Items
from benchleaf.site.pages.view_models import PartRow
from benchleaf.site.words.catalogue import Words, load_words
from PIL import Image, ImageColor
from proof_samples import coupling
from site_samples import LOCK_OUT, SHARP, sample_plan, sample_values

WORDS = load_words()
HEIGHT = 270
TIMES = (900, 100, 100, 100, 1800)
GREEN, BLUE = (0, 150, 60), (20, 60, 200)


def _plan() -> Plan:
    """Return two steps of the sample, one that moves and one that is looked at, with few words."""
    plan = sample_plan()
    first = replace(plan.steps[4], acts=("Lower it.",), look=(), cautions=(LOCK_OUT,))
    second = replace(plan.steps[5], acts=("Draw it down.",), look=("It bears.",), cautions=(SHARP,))
    return replace(plan, steps=(first, second), cautions=())


def _file(colour: tuple[int, int, int]) -> bytes:
    out = io.BytesIO()
    Image.new("RGB", scene_size(HEIGHT), colour).save(out, "PNG")
    return out.getvalue()


def _scene(number: int) -> FilmScene | None:
    camera = CameraSeen("iso", (1.0, 1.0, 1.0), (0.0, 1.0, 0.0), (0.0, 0.0, 0.0), 100.0)
    parts = {"rotor_drive": PartSeen("moving", 900, 1.0, (0.5, 0.5), None)}
    manifest = Manifest("step", "x", number, {"png": "x.png"}, 800, 600, camera, False, parts)
    if number == 6:
        return FilmScene(_file(GREEN), manifest)
    return FilmScene(_file(GREEN), manifest, tuple(_file(BLUE) for _ in TIMES), TIMES)


def _frames() -> FrameMaker:
    part = replace(next(iter(coupling())), key="rotor_drive")
    items = Items(
        replace(coupling(), parts={"rotor_drive": part}),
        (PartRow(15, "rotor", "Rotor", 1, "316L", ("rotor_drive",)),),
    )
    return FrameMaker(HEIGHT, WORDS, items, "Invented plant.")


@pytest.fixture(scope="module", name="made")
def _made() -> dict[str, bytes]:
    told = [
        FilmWords(WORDS, _plan(), sample_values()),
        FilmWords(Words("de", WORDS.texts), _plan(), sample_values()),
    ]
    return make_film(told, [5, 6], ("P-101: Assembly", "Rev. C"), _frames(), _scene)


def _opened(content: bytes) -> Any:
    return av.open(io.BytesIO(content))


def _chapters(film: Any) -> list[tuple[float, float, str]]:
    return [
        (float(c["start"] * c["time_base"]), float(c["end"] * c["time_base"]), c["metadata"]["title"])
        for c in film.chapters()
    ]


def test_there_is_a_film_of_each_form_with_captions_of_each_language(made: dict[str, bytes]) -> None:
    assert sorted(made) == ["de.srt", "de.vtt", "en.srt", "en.vtt", "mp4", "webm"]
    for ending, codec, captions in (("mp4", "av1", "mov_text"), ("webm", "vp9", "webvtt")):
        film = _opened(made[ending])
        video = film.streams.video[0]
        assert video.codec_context.codec.canonical_name == codec
        assert (video.width, video.height) == (480, 270)
        subtitles = film.streams.subtitles
        assert [s.codec_context.name for s in subtitles] == [captions, captions]
        assert [s.language for s in subtitles] == ["eng", "deu"]
        assert film.metadata["title"] == "P-101: Assembly"


@pytest.mark.parametrize("ending", ["mp4", "webm"])
def test_chapters_follow_each_other_to_the_end_and_can_be_jumped_to(
    made: dict[str, bytes], ending: str
) -> None:
    film = _opened(made[ending])
    chapters = _chapters(film)
    plan = _plan()
    titles = [t for _, _, t in chapters]
    assert titles == ["P-101: Assembly", *(f"{s.number}  {s.title}" for s in plan.steps)]
    assert chapters[0][0] == 0
    assert all(a[1] == pytest.approx(b[0], abs=0.002) for a, b in pairwise(chapters))
    length = film.duration / av.time_base
    assert chapters[-1][1] == pytest.approx(length, abs=0.15)
    keys = [float(p.pts * p.time_base) for p in film.demux(video=0) if p.is_keyframe and p.pts is not None]
    assert all(any(abs(k - start) < 0.002 for k in keys) for start, _, _ in chapters)


@pytest.mark.parametrize(("ending", "skip"), [("mp4", 2), ("webm", 0)])
def test_captions_in_the_film_are_those_beside_it(made: dict[str, bytes], ending: str, skip: int) -> None:
    film = _opened(made[ending])
    stream = film.streams.subtitles[0]
    found = [bytes(p)[skip:].decode() for p in film.demux(stream) if p.size > skip]
    beside = [row.split("\n", 2)[2].strip() for row in made["en.srt"].decode().strip().split("\n\n")]
    assert found == beside
    assert beside[0] == "DANGER: Unexpected start."
    assert "Lower it." in beside
    assert beside[-1] == "It bears."


@pytest.mark.parametrize("ending", ["mp4", "webm"])
def test_what_is_shown_when(made: dict[str, bytes], ending: str) -> None:
    """The message's panel in its colour, then the step's picture, then its motion, as often and as long as it is to."""
    film = _opened(made[ending])
    start, end, _ = _chapters(film)[1]
    spot, panel = (190, 150), (430, 60)
    kinds: dict[str, list[float]] = {"message": [], "still": [], "moving": []}
    last = 0.0
    for frame in film.decode(video=0):
        assert frame.time > last or last == 0.0
        last = frame.time
        if start - 0.01 <= frame.time < end - 0.01:
            image = frame.to_image()
            if _near(image.getpixel(panel), ImageColor.getrgb(SIGNALS["DANGER"][0])):
                kinds["message"].append(frame.time)
            elif _near(image.getpixel(spot), GREEN):
                kinds["still"].append(frame.time)
            elif _near(image.getpixel(spot), BLUE):
                kinds["moving"].append(frame.time)
    assert max(kinds["message"]) < min(kinds["still"]) < max(kinds["still"]) < min(kinds["moving"])
    assert min(kinds["still"]) - start >= 5.0, "a message stands so long at least"
    moved = end - min(kinds["moving"])
    assert moved == pytest.approx(TIMES_SHOWN * sum(TIMES) / 1000, abs=0.15)


def _near(found: Any, wanted: tuple[int, ...]) -> bool:
    return all(abs(a - b) <= 12 for a, b in zip(found, wanted, strict=True))


def test_equal_films_are_equal_bytes(made: dict[str, bytes]) -> None:
    told = [
        FilmWords(WORDS, _plan(), sample_values()),
        FilmWords(Words("de", WORDS.texts), _plan(), sample_values()),
    ]
    again = make_film(told, [5, 6], ("P-101: Assembly", "Rev. C"), _frames(), _scene)
    assert {n for n in made if made[n] != again[n]} == set()


# ------------------------------------------------------------------ letters
def test_lines_fit_and_hold_all_words() -> None:
    text = "Lower the body over shafts and studs onto its dowels, by a hoist or with a second person. " * 3
    lines = broken(text, 30, 400)
    assert all(width(line, 30) <= 400 for line in lines)
    assert " ".join(lines).split() == text.split()
    assert len(broken("x" * 300, 30, 400)) > 5
    assert broken("then 5\u00a0mm", 30, width("then 5", 30) + 1) == ["then", "5\u00a0mm"]
    assert width("Wäll", 30, BOLD) > width("Wäll", 30)
    assert width("αβγ Жук ✓", 30) > 0, "signs that the pages' font lacks come from another"


def test_a_long_step_has_its_words_on_more_than_one_page() -> None:
    from benchleaf.site.extras.film.film_timeline import Shot, ShotLine

    frames = _frames()
    lines = tuple(
        ShotLine("act", f"Do the {n}th thing with great care and look at it again.", f"{n}.")
        for n in range(30)
    )
    shot = Shot("step", _plan().steps[0], "5  Long", "", lines, 60_000, {"en": ()})
    pages = frames.pages(shot, _scene(5))
    assert len(pages) > 2
    assert [x for p in pages for x in p] == list(lines)


def test_without_the_library_or_an_encoder_it_is_said_what_brings_it(monkeypatch: pytest.MonkeyPatch) -> None:
    import builtins

    assert installed_film().startswith("av ")
    real = builtins.__import__

    def without(name: str, *args: Any, **more: Any) -> Any:
        if name == "av":
            raise ImportError(name)
        return real(name, *args, **more)

    film_library.cache_clear()
    with monkeypatch.context() as patch:
        patch.setattr(builtins, "__import__", without)
        with pytest.raises(FilmUnavailable, match=r"pip install 'benchleaf\[film\]'"):
            film_library()
    with monkeypatch.context() as patch:
        patch.setattr(film_files, "FORMS", {"mp4": ("no_such_encoder", "mov_text", {})})
        with pytest.raises(FilmUnavailable, match="this PyAV lacks no_such_encoder"):
            film_library()
    film_library.cache_clear()
    assert Fraction(1, 1000) == film_files.MS
