"""Slides: a step a slide, nothing over an edge or over another, messages before acts, notes, alt texts, same bytes."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations, pairwise
from typing import Any

import pptx
import pytest
from benchleaf.render.drawing.manifest import CameraSeen, Manifest, OrderSeen, PartSeen, ZoneSeen
from benchleaf.sequences.steps.plan import Reminder
from benchleaf.site.pages.booklet import Booklet, make_chapter
from benchleaf.site.pages.pages import Setting
from benchleaf.site.pages.picture_views import Items
from benchleaf.site.pages.slides import slide_files
from benchleaf.site.pages.slides.slide_blocks import GAPS, SIZES, SlideBlock, dealt
from benchleaf.site.pages.slides.slide_deck import HIGH, WIDE, make_slides
from benchleaf.site.pages.slides.slide_files import SlidesUnavailable, slides_library
from benchleaf.site.pages.slides.slide_text import height_in, in_parts, lines_in, width_in
from benchleaf.site.pages.view_models import PartRow
from benchleaf.site.words.catalogue import load_words
from PIL import Image
from proof_samples import coupling
from site_samples import FACES, LOCK_OUT, PRESSURE, SHARP, sample_booklet, sample_plan, sample_values

WORDS = load_words()
SETTING = Setting(WORDS, "Invented Works", True, "2025-03-01")
EMU = 914400
LONG = tuple(
    f"Set the dial indicator to zero on the {n}th face and note the reading on the sheet."
    for n in range(1, 31)
)


def _booklet() -> Booklet:
    """Return the sample with one step of many acts, one of many messages, one of a long title."""
    plan = sample_plan()
    changed: dict[int, dict[str, Any]] = {
        3: {"acts": LONG},
        5: {"cautions": (LOCK_OUT, PRESSURE, SHARP, FACES), "reminders": (Reminder(LOCK_OUT, 1),)},
        6: {"title": "Draw the body down evenly with the two retaining screws, " * 3},
        7: {"acts": (" ".join(LONG),)},
    }
    plan = replace(plan, steps=tuple(replace(s, **changed.get(s.number, {})) for s in plan.steps))
    return replace(sample_booklet(), chapters=(make_chapter(plan, {}, sample_values()),))


def _manifest(step: str, number: int) -> Manifest:
    camera = CameraSeen("iso", (1.0, 1.0, 1.0), (0.0, 1.0, 0.0), (0.0, 0.0, 0.0), 100.0)
    parts = {
        k: PartSeen("moving", 900, 1.0, (0.2 + 0.2 * n, 0.5), None)
        for n, k in enumerate(("rotor_drive", "shaft_drive", "shaft_driven"))
    }
    zones = (
        ZoneSeen("rotor_drive", "bore", "clean", 90, 1.0, (0.4, 0.4)),
        ZoneSeen("shaft_drive", "", "look", 9, 1.0, None),
    )
    return Manifest(
        "step", step, number, {"png": f"{step}.png"}, 800, 600, camera, False, parts, zones=zones,
        order=(OrderSeen("1", "rotor_drive", (0.6, 0.6)),),
    )  # fmt: skip


def _made(*chosen: int) -> bytes:
    booklet = _booklet()
    steps = [s.step for s in booklet.chapters[0].steps]
    manifests = {("assembly", s.id): _manifest(s.id, s.number) for s in steps if s.number != 4}
    still = io.BytesIO()
    Image.new("RGB", (80, 60), "white").save(still, "PNG")
    rows = tuple(
        PartRow(n, k, f"{k.replace('_', ' ')} of a rather long name", 1, "316L", (k,))
        for n, k in enumerate(("rotor_drive", "shaft_drive", "shaft_driven"), 1)
    )
    items = Items(coupling(), rows)
    stills = {m.files["png"]: still.getvalue() for m in manifests.values()}
    numbers = {"assembly": chosen or tuple(s.number for s in steps)}
    return make_slides(booklet, numbers, manifests, _named(items), stills, SETTING)


def _named(items: Items) -> Items:
    """Return lines of parts list that ask no assembly for a side: the parts are of none."""
    parts = {k: replace(next(iter(coupling())), key=k) for row in items.rows for k in row.keys}
    return Items(replace(coupling(), parts=parts), items.rows)


@pytest.fixture(scope="module", name="deck")
def _deck() -> Any:
    return pptx.Presentation(io.BytesIO(_made()))


def _leaves(shapes: Any) -> Iterator[Any]:
    for shape in shapes:
        if shape.shape_type == 6:
            yield from _leaves(shape.shapes)
        else:
            yield shape


def _box(shape: Any) -> tuple[float, float, float, float]:
    return (
        shape.left / EMU, shape.top / EMU, (shape.left + shape.width) / EMU, (shape.top + shape.height) / EMU
    )  # fmt: skip


def _texts(slide: Any) -> list[Any]:
    return [s for s in _leaves(slide.shapes) if s.has_text_frame and s.text_frame.text.strip()]


def test_no_shape_leaves_its_slide_and_no_text_its_box_or_another(deck: Any) -> None:
    assert (deck.slide_width / EMU, deck.slide_height / EMU) == (pytest.approx(WIDE), pytest.approx(HIGH))
    over, apart = [], []
    for n, slide in enumerate(deck.slides, 1):
        for shape in _leaves(slide.shapes):
            left, top, right, foot = _box(shape)
            if min(left, top) < -0.01 or right > WIDE + 0.01 or foot > HIGH + 0.01:
                over.append((n, shape.name))
        boxes = []
        for shape in _texts(slide):
            left, top, right, foot = _box(shape)
            (paragraph,) = shape.text_frame.paragraphs
            runs = [(r.text, bool(r.font.bold)) for r in paragraph.runs]
            size = paragraph.runs[0].font.size.pt
            if shape.text_frame.word_wrap and height_in(runs, size, right - left) > foot - top + 0.02:
                over.append((n, shape.text_frame.text[:40]))
            assert size >= 10
            assert {r.font.name for r in paragraph.runs} == {"Arial"}
            if shape.name not in ("order", "signal panel", "message"):
                boxes.append((shape.text_frame.text[:30], left, top, right, foot))
        for (a, *p), (b, *q) in combinations(boxes, 2):
            across, down = min(p[2], q[2]) - max(p[0], q[0]), min(p[3], q[3]) - max(p[1], q[1])
            if across > 0.02 and down > 0.02:
                apart.append((n, a, b))
    assert over == []
    assert apart == []


def test_each_step_has_its_slide_and_long_ones_as_many_as_they_take(deck: Any) -> None:
    titles = [s.shapes.title.text for s in deck.slides]
    assert titles[0] == "P-101"
    for view in _booklet().chapters[0].steps:
        own = [t for t in titles if t.startswith(f"{view.step.number}  ")]
        assert own[0].startswith(f"{view.step.number}  {view.step.title}")
        assert (len(own) > 1) == (view.step.number in (3, 5, 7)), own
    third = [s for s in deck.slides if s.shapes.title.text.startswith("3  ")]
    acts = [
        t.text_frame.text for s in third for t in _texts(s) if t.text_frame.text.startswith("Set the dial")
    ]
    assert acts == list(LONG), "each act once, in order"
    assert [s.shapes.title.text[-8:] for s in third][:2] == [f"(1 of {len(third)})", f"(2 of {len(third)})"]
    seventh = [s for s in deck.slides if s.shapes.title.text.startswith("7  ")]
    told = " ".join(t.text_frame.text for s in seventh for t in _texts(s) if "dial" in t.text_frame.text)
    assert told.split() == " ".join(LONG).split(), "an act longer than a slide goes on on the next"


def test_messages_come_before_picture_and_acts_in_safety_colours(deck: Any) -> None:
    slide = next(s for s in deck.slides if s.shapes.title.text.startswith("5  "))
    names = [s.name for s in slide.shapes]
    panels = [s for s in slide.shapes if s.name == "signal panel"]
    colours = [str(p.fill.fore_color.rgb) for p in panels]
    assert colours == ["9B2423", "D05D29", "F9A800", "005387"]
    picture = next(n for n, s in enumerate(slide.shapes) if s.shape_type == 13)
    assert max(n for n, name in enumerate(names) if name == "signal panel") < picture
    texts = [s.text_frame.text for s in _texts(slide)]
    assert texts.index("DANGER") < texts.index("WARNING") < texts.index("CAUTION") < texts.index("NOTICE")
    assert not any(t.startswith("Wipe the part") for t in texts), "so many messages have a slide of their own"
    after = next(
        s for s in deck.slides if s.shapes.title.text.endswith("(2 of 2)") and s.shapes.title.text[0] == "5"
    )
    assert any(t.text_frame.text.startswith("Wipe the part") for t in _texts(after))
    assert names.count("alert symbol") == 3, "a notice is not of injury"


def test_pictures_have_alt_texts_and_callouts_are_shapes(deck: Any) -> None:
    slide = next(s for s in deck.slides if s.shapes.title.text.startswith("2  "))
    (picture,) = [s for s in slide.shapes if s.shape_type == 13]
    (alt,) = picture.element.xpath("./p:nvPicPr/p:cNvPr/@descr")
    assert "Slide an O-ring on each shaft" in alt
    assert picture.image.content_type == "image/jpeg"
    (group,) = [s for s in slide.shapes if s.shape_type == 6]
    assert group.name == "callouts"
    numbers = [s.text_frame.text for s in group.shapes if s.has_text_frame and s.text_frame.text]
    assert numbers == ["1"]
    assert "1 rotor drive of a rather long name" in [
        " ".join(s.text_frame.text.split()) for s in _texts(slide)
    ]
    assert [s.text_frame.text for s in slide.shapes if s.name == "order"] == ["1"]
    assert len([s for s in slide.shapes if s.name == "swatch"]) == 2
    bare = next(s for s in deck.slides if s.shapes.title.text.startswith("4  "))
    assert [s for s in bare.shapes if s.shape_type == 13] == []


def test_notes_hold_why_and_questions_with_answers(deck: Any) -> None:
    slide = next(s for s in deck.slides if s.shapes.title.text.startswith("8  "))
    notes = slide.notes_slide.notes_text_frame.text
    assert "Why now: The next part closes it in." in notes
    assert "? What can hurt you in this step" in notes or "? " in notes
    assert "Isolate, lock out and tag" in notes
    last = list(deck.slides)[-1].notes_slide.notes_text_frame.text
    assert "This is the last step." in last


def test_values_stand_with_their_source_or_as_a_blank(deck: Any) -> None:
    def text(number: int) -> str:
        found = [s for s in deck.slides if s.shapes.title.text.startswith(f"{number}  ")]
        return "\n".join(t.text_frame.text for s in found for t in _texts(s))

    assert "85\u00a0±\u00a05\u00a0N·m" in text(8)
    assert "Invented Works, data sheet IW-70" in text(8)
    assert "________ N·m" in text(9)
    assert WORDS("values.stop") in text(9)


def test_chosen_steps_alone_and_the_same_bytes_each_time() -> None:
    once, again = _made(2), _made(2)
    assert once == again
    titles = [s.shapes.title.text for s in pptx.Presentation(io.BytesIO(once)).slides]
    assert [t for t in titles if t[:1].isdigit()] == ["2  Slide an O-ring on each shaft up to the shoulder"]
    with zipfile.ZipFile(io.BytesIO(once)) as packed:
        assert packed.namelist()[0] == "[Content_Types].xml"
        assert b"2025-03-01T00:00:00Z" in packed.read("docProps/core.xml")


# ------------------------------------------------------------------ what it is laid out by
def test_widths_are_those_of_the_published_table() -> None:
    assert width_in("A", 72) == pytest.approx(1.03 * 0.667)
    assert width_in("A", 72, bold=True) == pytest.approx(1.03 * 0.722)
    assert width_in("\u6f22", 72) == pytest.approx(1.03), "one that it lacks is as wide as high"
    assert width_in("5\u00a0mm", 72) == width_in("5 mm", 72)


def test_lines_break_between_words_and_long_words_within() -> None:
    assert lines_in([("a b c", False)], 12, 5.0) == 1
    assert lines_in([("word " * 30, False)], 12, 2.0) == lines_in(
        [("word " * 15, False), ("word " * 15, False)], 12, 2.0
    )
    assert lines_in([("w" * 200, False)], 12, 2.0) > 9
    assert " ".join(in_parts(" ".join(LONG), 14, 4.0, 5)).split() == " ".join(LONG).split()
    assert all(lines_in([(p, False)], 14, 4.0) <= 5 for p in in_parts(" ".join(LONG), 14, 4.0, 5))


def test_columns_hold_what_is_dealt_to_them_and_no_heading_ends_one() -> None:
    blocks = []
    for n in range(12):
        blocks.append(SlideBlock("heading", ((f"Part {n}", True),)))
        blocks += [SlideBlock("point", ((LONG[k], False),), "•") for k in range(n % 5 + 1)]
    columns = dealt(blocks, 4.0, 3.0)
    assert [p.block.runs for c in columns for p in c] == [b.runs for b in blocks]
    for column in columns:
        assert column[-1].top + column[-1].height <= 3.0 + 1e-9
        assert column[-1].block.kind != "heading"
        for above, below in pairwise(column):
            assert below.top == pytest.approx(above.top + above.height + GAPS[above.block.kind])
    assert min(SIZES.values()) >= 13
    assert dealt([], 4.0, 3.0) == [[]]


def test_without_the_library_it_is_said_what_brings_it(monkeypatch: pytest.MonkeyPatch) -> None:
    import builtins

    real = builtins.__import__

    def without(name: str, *args: Any, **more: Any) -> Any:
        if name == "pptx":
            raise ImportError(name)
        return real(name, *args, **more)

    slides_library.cache_clear()
    monkeypatch.setattr(builtins, "__import__", without)
    with pytest.raises(SlidesUnavailable, match=r"pip install 'benchleaf\[slides\]'"):
        slide_files.slides_library()
    slides_library.cache_clear()
