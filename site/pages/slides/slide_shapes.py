"""Shapes on one slide, each in its place in inches; the only module that knows how the library draws."""

from __future__ import annotations

from collections.abc import Sequence
from io import BytesIO
from typing import Any

from ....sequences.steps.plan import SignalWord
from ...words.languages.fallback import plain
from .slide_blocks import INDENT, PADDING, PANEL, PlacedBlock, SlideBlock
from .slide_files import slides_library
from .slide_text import FONT, LINE, Run

Box = tuple[float, float, float, float]
"""Left, top, width, height in inches."""
INK, SOFT, HAIR, PAPER = "1B1D1F", "55595D", "C9CCCE", "FFFFFF"
SIGNALS: dict[SignalWord, tuple[str, str]] = {
    "DANGER": ("9B2423", PAPER),
    "WARNING": ("D05D29", "000000"),
    "CAUTION": ("F9A800", "000000"),
    "NOTICE": ("005387", PAPER),
}
"""Colour of each signal word's panel, and of what stands on it: those of the pages."""
DISC = 0.3
"""Width of a callout's disc, inches."""


class Shapes:
    """Draws on a slide; texts are in the language ``language``."""

    def __init__(self, slide: Any, language: str) -> None:
        slides_library()
        from pptx.dml.color import RGBColor
        from pptx.enum.shapes import MSO_CONNECTOR, MSO_SHAPE
        from pptx.enum.text import MSO_ANCHOR, MSO_AUTO_SIZE, PP_ALIGN
        from pptx.util import Emu, Pt

        self.slide, self.language = slide, language
        self._rgb: Any = RGBColor.from_string
        self._shape, self._line = MSO_SHAPE, MSO_CONNECTOR
        self._anchor, self._auto, self._align, self._emu, self._pt = (
            MSO_ANCHOR,
            MSO_AUTO_SIZE,
            PP_ALIGN,
            Emu,
            Pt,
        )

    def _at(self, box: Box) -> tuple[Any, ...]:
        return tuple(self._emu(round(v * 914400)) for v in box)

    def title(self, text: str, box: Box, size_pt: float) -> None:
        """Put the title into its own placeholder: outlines and screen readers find slides by it."""
        shape = self.slide.shapes.title
        shape.left, shape.top, shape.width, shape.height = self._at(box)
        self._write(shape.text_frame, ((text, True),), size_pt, INK, middle=False)

    def text(
        self, runs: Sequence[Run], box: Box, size_pt: float, colour: str = INK, centred: bool = False
    ) -> Any:
        """Write a text into a box of its own."""
        shape = self.slide.shapes.add_textbox(*self._at(box))
        self._write(shape.text_frame, runs, size_pt, colour, centred)
        return shape

    def _write(
        self,
        frame: Any,
        runs: Sequence[Run],
        size_pt: float,
        colour: str,
        centred: bool = False,
        middle: bool = False,
    ) -> None:
        frame.word_wrap, frame.auto_size = True, self._auto.NONE
        frame.margin_left = frame.margin_right = frame.margin_top = frame.margin_bottom = 0
        frame.vertical_anchor = self._anchor.MIDDLE if middle else self._anchor.TOP
        paragraph = frame.paragraphs[0]
        paragraph.alignment = self._align.CENTER if centred else self._align.LEFT
        paragraph.line_spacing = self._pt(size_pt * LINE)
        for n, (text, bold) in enumerate(runs):
            run = paragraph.add_run()
            run.text = f" {plain(text)}" if n else plain(text)
            font = run.font
            font.name, font.size, font.bold = FONT, self._pt(size_pt), bold
            font.color.rgb = self._rgb(colour)
            run._r.get_or_add_rPr().set("lang", self.language)

    def rectangle(self, box: Box, fill: str, line: str = "", name: str = "") -> Any:
        """Draw a rectangle of plain colour."""
        return self._drawn(self._shape.RECTANGLE, box, fill, line, name)

    def _drawn(self, kind: Any, box: Box, fill: str, line: str, name: str = "", on: Any = None) -> Any:
        shape = (on or self.slide.shapes).add_shape(kind, *self._at(box))
        shape.shadow.inherit = False
        if fill:
            shape.fill.solid()
            shape.fill.fore_color.rgb = self._rgb(fill)
        else:
            shape.fill.background()
        if line:
            shape.line.color.rgb, shape.line.width = self._rgb(line), self._pt(1.25)
        else:
            shape.line.fill.background()
        if name:
            shape.name = name
        return shape

    def picture(self, content: bytes, box: Box, alt: str) -> None:
        """Put a picture into a box of its own proportions."""
        shape = self.slide.shapes.add_picture(BytesIO(content), *self._at(box))
        describe(shape, alt)

    def callouts(
        self,
        leaders: Sequence[tuple[str, tuple[float, float], tuple[float, float], tuple[float, float]]],
        alt: str,
    ) -> None:
        """Draw numbers round a picture as one group: number, centre of its disc, both ends of its leader, inches."""
        if not leaders:
            return
        group = self.slide.shapes.add_group_shape()
        for _, _, port, anchor in leaders:
            for colour, wide in ((PAPER, 3.0), (INK, 1.25)):
                ends = self._at((*port, *anchor))
                line = group.shapes.add_connector(self._line.STRAIGHT, *ends)
                line.line.color.rgb, line.line.width = self._rgb(colour), self._pt(wide)
            self._drawn(self._shape.OVAL, _round(anchor, 0.07), INK, PAPER, on=group.shapes)
        for number, centre, _, _ in leaders:
            disc = self._drawn(self._shape.OVAL, _round(centre, DISC), PAPER, INK, on=group.shapes)
            self._write(disc.text_frame, ((number, True),), 12.0, INK, centred=True, middle=True)
            disc.text_frame.word_wrap = False
        group.name = "callouts"
        describe(group, alt)

    def order(self, label: str, at: tuple[float, float]) -> None:
        """Draw the number of a part that goes in an order, on the part."""
        disc = self._drawn(self._shape.OVAL, _round(at, 0.34), INK, PAPER, "order")
        self._write(disc.text_frame, ((label, True),), 13.0, PAPER, centred=True, middle=True)
        disc.text_frame.word_wrap = False

    def swatch(self, box: Box, ground: str, ink: str, pattern: str) -> None:
        """Draw a patch of a pattern of the format's own: the sign of a painted surface."""
        from pptx.enum.dml import MSO_PATTERN

        shape = self._drawn(self._shape.RECTANGLE, box, ground, INK, "swatch")
        shape.fill.patterned()
        shape.fill.pattern = getattr(MSO_PATTERN, pattern)
        shape.fill.fore_color.rgb, shape.fill.back_color.rgb = self._rgb(ink), self._rgb(ground)

    def blocks(self, placed: Sequence[PlacedBlock], left: float, top: float, wide: float) -> None:
        """Draw the pieces of a column."""
        for p in placed:
            self._block(p.block, (left, top + p.top, wide, p.height))

    def _block(self, block: SlideBlock, box: Box) -> None:
        left, top, wide, high = box
        if block.kind == "message":
            self._message(block, box)
            return
        inner = (left + wide - block.text_width(wide), top, block.text_width(wide), high)
        if block.kind == "again":
            assert block.signal is not None
            self.rectangle((left, top, 0.12, high), SIGNALS[block.signal][0], name="again")
        if block.mark:
            bold = block.kind == "act"
            self.text(((block.mark, bold),), (left, top, INDENT, high), block.size_pt)
        self.text(block.runs, inner, block.size_pt, SOFT if block.kind == "heading" else INK)

    def _message(self, block: SlideBlock, box: Box) -> None:
        """Draw a safety message: the panel with its symbol and word, the text in a frame below it."""
        left, top, wide, high = box
        assert block.signal is not None
        fill, ink = SIGNALS[block.signal]
        self.rectangle((left, top + PANEL, wide, high - PANEL), PAPER, fill, "message")
        self.rectangle((left, top, wide, PANEL), fill, fill, "signal panel")
        x = left + PADDING
        if block.signal != "NOTICE":
            sign = self._drawn(
                self._shape.ISOSCELES_TRIANGLE, (x, top + 0.05, 0.3, 0.26), ink, "", "alert symbol"
            )
            describe(sign, "!")
            self.text((("!", True),), (x, top + 0.09, 0.3, 0.22), 12.0, fill, centred=True)
            x += 0.4
        self.text(((block.word, True),), (x, top + 0.04, left + wide - x, PANEL - 0.08), 16.0, ink)
        self.text(
            block.runs,
            (left + PADDING, top + PANEL + PADDING, wide - 2 * PADDING, high - PANEL - 2 * PADDING),
            block.size_pt,
        )

    def notes(self, paragraphs: Sequence[str]) -> None:
        """Write the presenter's notes."""
        self.slide.notes_slide.notes_text_frame.text = plain("\n".join(paragraphs))


def _round(centre: tuple[float, float], wide: float) -> Box:
    return (centre[0] - wide / 2, centre[1] - wide / 2, wide, wide)


def describe(shape: Any, alt: str) -> None:
    """Give a shape its text for those who do not see it."""
    shape._element.xpath(".//p:cNvPr")[0].set("descr", plain(alt))
