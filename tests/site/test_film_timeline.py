"""A film's shots: messages before their acts, each long enough to be read in every language; captions that fit."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import pairwise

import pytest
from benchleaf.site.extras.film.film_timeline import (
    CAPTION,
    LEAST_MESSAGE_MS,
    LOOK_MS,
    WORD_MS,
    FilmWords,
    caption_parts,
    cues_of,
    reading_ms,
    shots,
    srt,
    webvtt,
)
from benchleaf.site.words.catalogue import Words, load_words
from site_samples import sample_plan, sample_values

WORDS = load_words()
HEAD = ("P-101: Assembly", "Rev. C", "Invented.")
TOLD = FilmWords(WORDS, sample_plan(), sample_values())


def _slow() -> FilmWords:
    """Return the plan in a language that takes twice as many words."""
    plan = sample_plan()
    steps = tuple(replace(s, acts=tuple(f"{t} {t}" for t in s.acts)) for s in plan.steps)
    return FilmWords(Words("de", WORDS.texts), replace(plan, steps=steps), sample_values())


def test_each_message_stands_by_itself_before_the_step_that_it_is_of() -> None:
    made = list(shots([TOLD], [s.number for s in TOLD.plan.steps], HEAD))
    assert made[0].kind == "opening"
    assert [s.caution for s in made[1:3]] == list(TOLD.plan.cautions)
    for step in TOLD.plan.steps:
        own = [s for s in made if s.step is not None and s.step.number == step.number]
        kinds = [s.kind for s in own]
        assert kinds[: len(step.cautions) + 1] == ["message"] * len(step.cautions) + ["step"]
        assert [s.caution for s in own if s.kind == "message"] == list(step.cautions)
        assert [x.text for s in own for x in s.lines if x.kind == "act"] == [
            t.replace(" N·m", "\u00a0N·m") for t in step.acts
        ]
    sections = [s for s in made if s.kind == "message" and s.step is None]
    assert len(sections) == 4, "two that stand, then one of shafts and one of seals"


def test_what_is_shown_can_be_read() -> None:
    for shot in shots([TOLD], [1, 5, 8], HEAD):
        words = sum(len(line.text.split()) for line in shot.lines)
        if shot.caution is not None:
            c = shot.caution
            words = len(f"{c.hazard} {c.consequence} {c.avoidance}".split())
            assert shot.read_ms >= LEAST_MESSAGE_MS
        assert shot.read_ms >= LOOK_MS + WORD_MS * words - 3 * WORD_MS, shot.title
        assert shot.read_ms % 100 == 0


def test_the_slowest_language_sets_the_pace_and_each_has_its_captions() -> None:
    one = list(shots([TOLD], [5], HEAD))
    two = list(shots([TOLD, _slow()], [5], HEAD))
    for a, b in zip(one, two, strict=True):
        assert b.read_ms >= a.read_ms
        assert (b.captions["en"], b.lines, b.title) == (a.captions["en"], a.lines, a.title)
    step = next(s for s in two if s.kind == "step")
    assert step.read_ms > next(s for s in one if s.kind == "step").read_ms
    assert step.captions["de"][1] == " ".join([TOLD.plan.steps[4].acts[0]] * 2)


def test_values_are_stated_or_told_to_be_missing() -> None:
    torque = next(s for s in shots([TOLD], [8], HEAD) if s.kind == "step")
    assert any(line.text.startswith("Rotor nut torque: 85") for line in torque.lines)
    blank = next(s for s in shots([TOLD], [9], HEAD) if s.kind == "step")
    assert any("________" in line.text and "Where to find it:" in line.text for line in blank.lines)


def test_captions_cover_their_shot_and_are_two_lines_at_most() -> None:
    text = "Isolate the drive, lock and tag it by the site's procedure. " * 4
    cues = cues_of(["Short.", text], 1000, 9000)
    assert (cues[0].start_ms, cues[-1].end_ms) == (1000, 9000)
    assert all(a.end_ms == b.start_ms for a, b in pairwise(cues))
    assert all(0 < len(c.text) <= CAPTION for c in cues)
    assert " ".join(c.text for c in cues[1:]).split() == text.split()
    assert caption_parts("x" * 200) == ["x" * 200], "one word is not torn"
    assert caption_parts("5\u00a0mm") == ["5\u00a0mm"]


def test_caption_files_have_their_forms() -> None:
    cues = cues_of(["Wear <gloves> & goggles.", "Then go on."], 0, 65_432)
    text = webvtt(cues)
    assert text.startswith("WEBVTT\n\n00:00:00.000 --> ")
    assert "Wear &lt;gloves&gt; &amp; goggles.\n" in text
    assert text.rstrip().endswith("Then go on.")
    rows = srt(cues).split("\n\n")
    assert re.fullmatch(r"1\n00:00:00,000 --> \d\d:\d\d:\d\d,\d{3}\nWear <gloves> & goggles\.", rows[0])
    assert "--> 00:01:05,432" in rows[1]


@pytest.mark.parametrize(("texts", "ms"), [([], 3000), (["a"], 3000), (["a b c d e f g h i j"], 4800)])
def test_reading_time(texts: list[str], ms: int) -> None:
    assert reading_ms(texts) == ms
