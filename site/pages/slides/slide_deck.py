"""The slides of a booklet: which there are, and what stands on each."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cached_property
from io import BytesIO
from typing import Any

from ....render.drawing.callouts import NoRoomForCallouts, place_callouts
from ....render.drawing.manifest import Manifest, Treatment
from ....render.drawing.zone_colours import ground_of, ink_of
from ....render.engine.material_styles import colour_bytes
from ....sequences.steps.plan import Caution
from ...words.catalogue import Words
from ...words.value_words import value_in_words
from ..booklet import Booklet, Chapter, StepView
from ..callouts import best_anchor
from ..class_view.notes import StepNotes, class_notes
from ..pages import Setting, units
from ..picture_views import Items, step_words
from .slide_blocks import SlideBlock, dealt, told
from .slide_files import saved, slides_library
from .slide_shapes import DISC, HAIR, SOFT, Shapes
from .slide_text import LINE, lines_in, width_in

WIDE, HIGH = 13.333, 7.5
"""Inches of a slide, 16 to 9."""
EDGE = 0.5
COLUMN = (7.45, 1.45, WIDE - EDGE - 7.45, 5.55)
"""Left, top, width and height of the column beside the picture."""
PICTURE = (0.95, 1.75, 5.9)
"""Left, top and width of the picture; round it is room for numbers."""
KEY_TOP, FOOT_TOP = 6.6, 7.1
PIXELS, QUALITY = 1240, 88
"""Width of a picture in its file, 200 an inch, and its quality as JPEG."""
PATTERNS: Mapping[Treatment, str] = {
    "clean": "WIDE_UPWARD_DIAGONAL",
    "lubricate": "LARGE_CONFETTI",
    "anti-seize": "OUTLINED_DIAMOND",
    "look": "SPHERE",
    "measure": "NARROW_VERTICAL",
    "dress": "ZIG_ZAG",
}
"""Patterns of the format's own that are nearest to those in the pictures."""


def make_slides(
    booklet: Booklet,
    chosen: Mapping[str, Sequence[int]],
    manifests: Mapping[tuple[str, str], Manifest],
    items: Items,
    stills: Mapping[str, bytes],
    setting: Setting,
) -> bytes:
    """Return the slides of the chosen steps of a booklet as the content of one file.

    Args:
        booklet: with its chapters.
        chosen: numbers of the steps by sequence, in the order of the slides.
        manifests: of the pictures, by sequence and step id; a step without one has words alone.
        items: lines of the parts list, by part key.
        stills: files of the pictures by name.
        setting: what all pages of the library share.

    Raises:
        SlidesUnavailable: if they cannot be written here.
    """
    deck = _Deck(booklet, manifests, items, stills, setting)
    deck.opening()
    deck.standing()
    for chapter in booklet.chapters:
        if numbers := set(chosen.get(chapter.id, ())):
            deck.chapter(chapter, numbers)
    return deck.content()


@dataclass(frozen=True)
class _Deck:
    booklet: Booklet
    manifests: Mapping[tuple[str, str], Manifest]
    items: Items
    stills: Mapping[str, bytes]
    setting: Setting

    @property
    def words(self) -> Words:
        return self.setting.words

    @cached_property
    def deck(self) -> Any:
        from pptx.util import Emu

        deck = slides_library().Presentation()
        deck.slide_width, deck.slide_height = Emu(round(WIDE * 914400)), Emu(round(HIGH * 914400))
        told, who = deck.core_properties, self.booklet.identity
        told.title = f"{who.tag}: {self.words('page.booklet')}"
        told.author = told.last_modified_by = self.setting.plant
        told.language, told.revision = self.words.language, 1
        told.created = told.modified = _moment(self.setting.date)
        return deck

    def content(self) -> bytes:
        return saved(self.deck)

    def _slide(self, title: str, where: str = "", size_pt: float = 28.0) -> Shapes:
        """Begin a slide with its title and foot."""
        layout = next(x for x in self.deck.slide_layouts if x.name == "Title Only")
        shapes = Shapes(self.deck.slides.add_slide(layout), self.words.language)
        wide = WIDE - 2 * EDGE
        while size_pt > 20.0 and lines_in([(title, True)], size_pt, wide) > 1:
            size_pt -= 4.0
        high = min(2, lines_in([(title, True)], size_pt, wide)) * size_pt * LINE / 72
        shapes.title(title, (EDGE, 0.62, wide, high), size_pt)
        if where:
            shapes.text(((where, False),), (EDGE, 0.3, wide, 0.27), 13.0, SOFT)
        faults = self.booklet.proof is not None and bool(self.booklet.proof.faults)
        foot = self.booklet.demo_short or self.words("notice.short")
        if faults:
            foot = f"{self.words('evidence.banner_short')} {foot}"
        shapes.rectangle((EDGE, FOOT_TOP - 0.02, wide, 0.01), HAIR, name="line")
        number = str(len(self.deck.slides))
        shapes.text(((foot, False),), (EDGE, FOOT_TOP + 0.03, wide - 0.8, 0.2), 10.0, SOFT)
        box = (
            WIDE - EDGE - width_in(number, 10.0) - 0.02,
            FOOT_TOP + 0.03,
            width_in(number, 10.0) + 0.02,
            0.2,
        )
        shapes.text(((number, False),), box, 10.0, SOFT)
        return shapes

    def opening(self) -> None:
        """Add the slide that says which pump it is, and what the slides are not."""
        who, w = self.booklet.identity, self.words
        shapes = self._slide(who.tag, w("page.booklet"), 40.0)
        rows = [(w("front.size"), who.size), (w("front.service"), who.service)]
        rows += [(w("front.revision"), who.revision), (w("front.date"), who.date), *who.options]
        blocks = [SlideBlock("value", ((f"{name}:", True), (text, False))) for name, text in rows if text]
        notice = [
            SlideBlock("heading", ((w("notice.title"), True),)),
            SlideBlock("text", ((w("notice.text"), False),)),
        ]
        if self.setting.invented:
            notice += [
                SlideBlock("heading", ((w("demo.label"), True),)),
                SlideBlock("text", ((w("demo.text", plant=self.setting.plant), False),)),
            ]
        if self.booklet.proof and self.booklet.proof.faults:
            notice += [
                SlideBlock("heading", ((w("evidence.banner"), True),)),
                SlideBlock("text", ((w("evidence.banner_text"), False),)),
            ]
        half = (WIDE - 2 * EDGE - 0.5) / 2
        for left, column in ((EDGE, blocks), (EDGE + half + 0.5, notice)):
            shapes.blocks(dealt(column, half, 5.2)[0], left, 1.7, half)

    def standing(self) -> None:
        """Add the messages that hold for all work on the pump."""
        self._messages(self.words("front.standing"), self.booklet.identity.tag, self.booklet.standing)

    def _messages(self, title: str, where: str, cautions: Sequence[Caution]) -> None:
        half = (WIDE - 2 * EDGE - 0.4) / 2
        columns = dealt([self._message(c) for c in cautions], half, 5.3) if cautions else []
        for n in range(0, len(columns), 2):
            shapes = self._slide(title, where)
            for k, column in enumerate(columns[n : n + 2]):
                shapes.blocks(column, EDGE + k * (half + 0.4), 1.55, half)

    def _message(self, c: Caution) -> SlideBlock:
        runs = told([units(t) for t in (c.hazard, c.consequence, c.avoidance, c.added)])
        return SlideBlock("message", runs, signal=c.signal_word, word=self.words(f"signal.{c.signal_word}"))

    def chapter(self, chapter: Chapter, numbers: set[int]) -> None:
        """Add the slides of a sequence: what comes, then its steps."""
        tag = self.booklet.identity.tag
        notes = {n.step.step.number: n for n in class_notes(self.booklet, chapter, self.words)}
        sections = [(s, [x for x in s.steps if x.step.number in numbers]) for s in chapter.sections]
        sections = [(s, steps) for s, steps in sections if steps]
        points = [
            SlideBlock("point", ((s.title, True), (_numbers([x.step.number for x in steps]), False)), "•")
            for s, steps in sections
        ]
        half = (WIDE - 2 * EDGE - 0.4) / 2
        columns = dealt(points, half, 5.2)
        for n in range(0, len(columns), 2):
            shapes = self._slide(chapter.title, tag, 36.0)
            for k, column in enumerate(columns[n : n + 2]):
                shapes.blocks(column, EDGE + k * (half + 0.4), 1.7, half)
        for section, steps in sections:
            self._messages(section.title, f"{tag} · {chapter.title}", section.cautions)
            for view in steps:
                self._step(chapter, view, notes[view.step.number])

    def _step(self, chapter: Chapter, view: StepView, notes: StepNotes) -> None:
        manifest = self.manifests.get((chapter.id, view.step.id))
        left, top, wide, high = COLUMN
        if manifest is None:
            left, wide = EDGE, WIDE - 2 * EDGE
        said = self.words(
            "steps.where", section=view.section_title, number=view.step.number, total=chapter.total
        )
        bench = f" · {self.words('steps.bench', unit=view.bench)}" if view.bench else ""
        where = f"{self.booklet.identity.tag} · {chapter.title} · {said}{bench}"
        columns = dealt(self._told(view), wide, high)
        for n, column in enumerate(columns):
            title = f"{view.step.number}  {view.step.title}"
            if len(columns) > 1:
                title = self.words("slides.part", title=title, number=n + 1, all=len(columns))
            shapes = self._slide(title, where)
            first = [p for p in column if p.block.kind in ("message", "again")]
            shapes.blocks(first, left, top, wide)  # read before the picture by those who hear the slide
            if manifest is not None:
                self._picture(shapes, manifest, view)
            shapes.blocks([p for p in column if p not in first], left, top, wide)
            shapes.notes(list(self._notes(notes)))

    def _told(self, view: StepView) -> Iterator[SlideBlock]:
        step, w = view.step, self.words
        yield from (self._message(c) for c in step.cautions)
        for r in step.reminders:
            runs = told([w(f"signal.{r.caution.signal_word}"), units(r.caution.hazard)])
            yield SlideBlock("again", runs, signal=r.caution.signal_word)
        left_out = (f"{w('plant.left_out', title=x.title)} {x.because}" for x in step.plant.left_out)
        if notes := [*left_out, *step.plant.notes]:
            yield SlideBlock("heading", ((w("plant.note"), True),))
            yield from (SlideBlock("text", ((units(t), False),)) for t in notes)
        if step.acts:
            yield SlideBlock("heading", ((w("steps.do"), True),))
        yield from (SlideBlock("act", ((units(t), False),), f"{n}.") for n, t in enumerate(step.acts, 1))
        if view.values:
            yield SlideBlock("heading", ((w("steps.values"), True),))
        for value in view.values:
            v = value_in_words(value, w)
            if v.known:
                doubt = ((w("values.in_doubt"), True),) if v.doubt else ()
                yield SlideBlock("value", ((f"{v.title}:", False), (v.text, True), *doubt, (v.source, False)))
            else:
                yield SlideBlock(
                    "value", ((f"{v.title}: ________ {v.unit}", False), (w("values.blank"), True))
                )
        if view.blank:
            yield SlideBlock("text", ((w("values.stop"), True),))
        if step.look:
            yield SlideBlock("heading", ((w("steps.look"), True),))
        yield from (SlideBlock("point", ((units(t), False),), "•") for t in step.look)
        if step.measure:
            yield SlideBlock("heading", ((w("steps.measure"), True),))
        for m in step.measure:
            method = ((units(m.method), False),) if m.method else ()
            yield SlideBlock("point", ((units(m.text), True), *method), "•")

    def _picture(self, shapes: Shapes, manifest: Manifest, view: StepView) -> None:
        left, top, wide = PICTURE
        high = wide * manifest.height / manifest.width
        file = next(iter(manifest.files.values()))
        words = step_words(manifest, view.step, self.items, self.words)
        shapes.picture(as_jpeg(self.stills[file]), (left, top, wide, high), words.alt)
        named = [
            (str(r.item), t, s) for r, t, k in words.pointed if (s := best_anchor(manifest, k)) is not None
        ]
        try:
            placed = place_callouts({n: s for n, _, s in named}, (wide, high), (DISC, DISC), gap_px=0.06)
        except NoRoomForCallouts:
            placed = ()

        def at(spot: tuple[float, float]) -> tuple[float, float]:
            return left + spot[0] * wide, top + spot[1] * high

        key = "; ".join(f"{number} {text}" for number, text, _ in named)
        shapes.callouts([(c.key, at(c.label), at(c.port), at(c.anchor)) for c in placed], key)
        for mark in manifest.order:
            shapes.order(mark.label, at(mark.at))
        self._key(shapes, [(number, text) for number, text, _ in named], manifest)

    def _key(self, shapes: Shapes, named: Sequence[tuple[str, str]], manifest: Manifest) -> None:
        """Write the key of numbers and painted surfaces below the picture, in one line or two."""
        x, y, size = EDGE, KEY_TOP, 12.0
        end = COLUMN[0] - 0.2
        for number, text in named:
            wide = width_in(number, size, True) + width_in(f" {text}", size) + 0.05
            if x + wide > end and x > EDGE:
                x, y = EDGE, y + size * LINE / 72
            shapes.text(((number, True), (text, False)), (x, y, min(wide, end - x), size * LINE / 72), size)
            x += wide + 0.2
        for treatment in dict.fromkeys(z.treatment for z in manifest.zones):
            text = self.words(f"zone.{treatment}")
            wide = width_in(text, size) + 0.05
            if x + 0.35 + wide > end and x > EDGE:
                x, y = EDGE, y + size * LINE / 72
            ground, ink = (
                "".join(f"{b:02X}" for b in colour_bytes(c))
                for c in (ground_of(treatment), ink_of(treatment))
            )
            shapes.swatch((x, y + 0.03, 0.27, 0.15), ground, ink, PATTERNS[treatment])
            shapes.text(((text, False),), (x + 0.35, y, min(wide, end - x - 0.35), size * LINE / 72), size)
            x += 0.35 + wide + 0.2

    def _notes(self, notes: StepNotes) -> Iterator[str]:
        w, step = self.words, notes.step.step
        for r in step.reminders:
            yield f"{w(f'signal.{r.caution.signal_word}')}: {r.caution.hazard} {r.caution.avoidance}"
        if notes.why:
            yield f"{w('steps.why')}: {' '.join(notes.why)}"
        for name, things in (("tools", step.tools), ("supplies", step.supplies)):
            if things:
                yield f"{w(f'steps.{name}')}: {', '.join(things)}"
        if notes.questions:
            yield f"{w('class.questions')}:"
        for q in notes.questions:
            yield f"? {q.text}"
            yield from (f"   {a}" for a in q.answer)
        if notes.faults:
            yield f"{w('class.faults')}:"
        yield from (f"- {f.text} ({f.told})" for f in notes.faults)
        yield f"{w('class.then')} {notes.then}" if notes.then else w("class.last")


def _numbers(of: Sequence[int]) -> str:
    """Return the numbers of steps that follow each other.

    >>> _numbers([3]), _numbers([3, 4, 5])
    ('3', '3\u20135')
    """
    return str(of[0]) if len(of) == 1 else f"{of[0]}\u2013{of[-1]}"


def as_jpeg(content: bytes) -> bytes:
    """Return a picture as JPEG, which every slide program shows, at the width that a slide needs."""
    from PIL import Image

    with Image.open(BytesIO(content)) as image:
        picture = image.convert("RGB")
    if picture.width > PIXELS:
        picture = picture.resize(
            (PIXELS, round(picture.height * PIXELS / picture.width)), Image.Resampling.LANCZOS
        )
    out = BytesIO()
    picture.save(out, "JPEG", quality=QUALITY, subsampling=0, optimize=True)
    return out.getvalue()


def _moment(date: str) -> datetime:
    """Return the date of the library as the moment at which slides say that they were made."""
    try:
        return datetime.fromisoformat(date).replace(tzinfo=UTC)
    except ValueError:
        return datetime(1980, 1, 1, tzinfo=UTC)
