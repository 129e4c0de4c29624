"""The pictures of a film: a shot's title, its step's scene with callouts, and its words, laid out anew for its size."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from io import BytesIO

from PIL import Image, ImageDraw

from ....render.drawing.callouts import Callout, NoRoomForCallouts, place_callouts
from ....render.drawing.manifest import Manifest, Treatment
from ....render.drawing.zone_colours import ground_of, ink_of
from ....render.engine.material_styles import colour_bytes
from ....sequences.steps.plan import SignalWord
from ...pages.callouts import best_anchor
from ...pages.pages import units
from ...pages.picture_views import Items, step_words
from ...words.catalogue import Words
from .film_letters import BOLD, LINE, broken, centred, width, write
from .film_timeline import Shot, ShotLine

INK, SOFT, PAPER, STRIP = "#1b1d1f", "#55595d", "#ffffff", "#c9ccce"
SIGNALS: dict[SignalWord, tuple[str, str]] = {
    "DANGER": ("#9b2423", "#ffffff"),
    "WARNING": ("#d05d29", "#000000"),
    "CAUTION": ("#f9a800", "#000000"),
    "NOTICE": ("#005387", "#ffffff"),
}
WIDE, HIGH = 1920, 1080
"""The sheet that all is laid out on; other heights are shares of it."""
SCENE = (116, 192, 1064, 798)
"""Left, top, width and height of the step's scene; numbers stand round it."""
COLUMN = (1270, 160, 590, 850)
FOOT = 1046
DISC = 44
TYPE = {"heading": 28, "act": 34, "point": 30, "again": 28, "text": 34}
GAP = {"heading": 6, "act": 16, "point": 12, "again": 14, "text": 16}
INDENT = 52


@dataclass(frozen=True)
class FilmScene:
    """A step's picture with its manifest, and the frames in which it moves with how long each stands, ms.

    Pictures are kept as their files are: those of a whole film would take gigabytes.
    """

    still: bytes
    manifest: Manifest
    moving: tuple[bytes, ...] = ()
    durations_ms: tuple[int, ...] = ()


def decoded(content: bytes, size: tuple[int, int]) -> Image.Image:
    """Return a picture's file as the picture that it is, of this size."""
    with Image.open(BytesIO(content)) as image:
        picture = image.convert("RGB")
    return picture if picture.size == size else picture.resize(size, Image.Resampling.LANCZOS)


def scene_size(height: int) -> tuple[int, int]:
    """Return width and height of the scene in a film of this height, pixels.

    >>> scene_size(1080)
    (1064, 798)
    """
    return SCENE[2] * height // HIGH, SCENE[3] * height // HIGH


class FrameMaker:
    """Makes the pictures of one film."""

    def __init__(self, height: int, words: Words, items: Items, notice: str) -> None:
        """Take up a film of ``height`` pixels, 16 to 9; ``notice`` stands at the foot of each picture."""
        self.height, self.words, self.items, self.notice = height, words, items, notice
        self.size = (height * 16 // 9 // 2 * 2, height)

    def _px(self, value: float) -> int:
        return round(value * self.height / HIGH)

    def sheet(self, shot: Shot, done: float) -> tuple[Image.Image, ImageDraw.ImageDraw]:
        """Return a picture with what all shots have: where one is, the title, the notice, how much is done (0 to 1)."""
        image = Image.new("RGB", self.size, PAPER)
        pen = ImageDraw.Draw(image)
        px = self._px
        write(pen, (px(60), px(26)), [shot.where], px(26), SOFT)
        size = 48
        while size > 34 and width(shot.title, px(size), BOLD) > px(WIDE - 120):
            size -= 2
        title = broken(shot.title, px(size), px(WIDE - 120), BOLD)[:2]
        write(pen, (px(60), px(64)), title, px(size), INK, BOLD)
        write(pen, (px(60), px(FOOT)), [self.notice], px(19), SOFT)
        pen.rectangle((0, px(HIGH - 8), self.size[0], self.size[1]), fill=STRIP)
        pen.rectangle((0, px(HIGH - 8), round(self.size[0] * done), self.size[1]), fill=INK)
        return image, pen

    def message(self, shot: Shot, done: float) -> Image.Image:
        """Return the picture of a safety message: its signal word's panel across, its words large below."""
        image, pen = self.sheet(shot, done)
        assert shot.caution is not None
        px, c = self._px, shot.caution
        fill, ink = SIGNALS[c.signal_word]
        left, right, top = 160, WIDE - 160, 210
        parts = [(units(c.hazard), BOLD), (units(c.consequence), 400), (units(c.avoidance), 400)]
        parts += [(units(c.added), 400)] if c.added else []
        size = 54
        while size > 30 and self._message_height(parts, size) > 610:
            size -= 2
        foot = top + 110 + 50 + self._message_height(parts, size) + 10
        pen.rectangle((px(left), px(top), px(right), px(foot)), fill=PAPER, outline=fill, width=px(6))
        pen.rectangle((px(left), px(top), px(right), px(top + 110)), fill=fill)
        x = left + 40
        if c.signal_word != "NOTICE":
            pen.polygon(
                [(px(x), px(top + 92)), (px(x + 84), px(top + 92)), (px(x + 42), px(top + 18))], fill=ink
            )
            centred(pen, (px(x + 42), px(top + 68)), "!", px(44), fill)
            x += 110
        write(pen, (px(x), px(top + 26)), [self.words(f"signal.{c.signal_word}")], px(60), ink, BOLD)
        y: float = px(top + 110 + 36)
        for text, weight in parts:
            if text:
                lines = broken(text, px(size), px(right - left - 100), weight)
                y = write(pen, (px(left + 50), y), lines, px(size), INK, weight) + px(14)
        return image

    def _message_height(self, parts: Sequence[tuple[str, int]], size: int) -> float:
        wide = self._px(WIDE - 320 - 100)
        lines = sum(len(broken(t, self._px(size), wide, w)) for t, w in parts if t)
        return lines * size * LINE + 14 * len(parts)

    def opening(self, shot: Shot, done: float) -> Image.Image:
        """Return the picture that says of what the film is, and what it is not."""
        image, pen = self.sheet(shot, done)
        y: float = self._px(170)
        for n, line in enumerate(shot.lines):
            size = self._px(40)
            lines = broken(line.text, size, self._px(1500))
            y = write(pen, (self._px(60), y), lines, size, INK if n else SOFT) + self._px(30)
        return image

    def pages(self, shot: Shot, scene: FilmScene | None) -> list[tuple[ShotLine, ...]]:
        """Return the lines of a shot as they fit its column: as many pages of them as it takes, one at least."""
        _, _, _, high = COLUMN
        room = self._px(high) - (self._key_height(shot, scene) if scene else 0)
        pages: list[list[ShotLine]] = [[]]
        y = 0.0
        for n, line in enumerate(shot.lines):
            needed = self._line_height(line)
            if line.kind == "heading" and n + 1 < len(shot.lines):
                needed += self._line_height(shot.lines[n + 1])
            if pages[-1] and y + needed > room:
                pages.append([])
                y = 0.0
            pages[-1].append(line)
            y += self._line_height(line)
        return [tuple(p) for p in pages]

    def _line_height(self, line: ShotLine) -> float:
        size = self._px(TYPE[line.kind])
        return len(self._broken(line)) * round(size * LINE) + self._px(GAP[line.kind])

    def _broken(self, line: ShotLine) -> list[str]:
        indent = 0 if line.kind in ("heading", "text") else INDENT
        weight = BOLD if line.kind == "heading" else 400
        return broken(line.text, self._px(TYPE[line.kind]), self._px(COLUMN[2] - indent), weight)

    def step(
        self, shot: Shot, scene: FilmScene | None, lines: Sequence[ShotLine], done: float
    ) -> Image.Image:
        """Return the picture of a step that stands, with ``lines`` of its words beside it."""
        image, pen = self.sheet(shot, done)
        y = float(self._px(COLUMN[1]))
        if scene is not None:
            left, top, wide, high = (self._px(v) for v in SCENE)
            image.paste(decoded(scene.still, (wide, high)), (left, top))
            y = self._callouts(pen, shot, scene, y)
        self._column(pen, lines, y)
        return image

    def moving(
        self, shot: Shot, scene: FilmScene, lines: Sequence[ShotLine], done: float
    ) -> Iterator[Image.Image]:
        """Yield the pictures of a step that moves."""
        image, pen = self.sheet(shot, done)
        self._column(pen, lines, float(self._px(COLUMN[1])))
        left, top, wide, high = (self._px(v) for v in SCENE)
        for frame in scene.moving:
            image.paste(decoded(frame, (wide, high)), (left, top))
            yield image

    def _column(self, pen: ImageDraw.ImageDraw, lines: Sequence[ShotLine], y: float) -> None:
        x = self._px(COLUMN[0])
        for line in lines:
            size, inner = self._px(TYPE[line.kind]), x
            if line.kind not in ("heading", "text"):
                inner += self._px(INDENT)
            texts = self._broken(line)
            if line.kind == "again" and line.signal:
                foot = y + len(texts) * round(size * LINE)
                pen.rectangle((x, y + self._px(4), x + self._px(16), foot), fill=SIGNALS[line.signal][0])
            if line.mark:
                write(pen, (x, y), [line.mark], size, INK, BOLD)
            heading = line.kind == "heading"
            y = write(pen, (inner, y), texts, size, SOFT if heading else INK, BOLD if heading else 400)
            y += self._px(GAP[line.kind])

    def _named(self, shot: Shot, scene: FilmScene) -> list[tuple[str, str, tuple[float, float]]]:
        assert shot.step is not None
        told = step_words(scene.manifest, shot.step, self.items, self.words)
        spots = ((str(r.item), t, best_anchor(scene.manifest, k)) for r, t, k in told.pointed)
        return [(number, text, spot) for number, text, spot in spots if spot is not None]

    def _zones(self, scene: FilmScene) -> list[tuple[Treatment, str]]:
        return [
            (t, self.words(f"zone.{t}")) for t in dict.fromkeys(z.treatment for z in scene.manifest.zones)
        ]

    def _key_height(self, shot: Shot, scene: FilmScene) -> int:
        texts = [t for _, t, _ in self._named(shot, scene)] + [t for _, t in self._zones(scene)]
        return sum(self._key_row(text) for text in texts) + (self._px(16) if texts else 0)

    def _key_row(self, text: str) -> int:
        lines = len(broken(text, self._px(26), self._px(COLUMN[2] - 60)))
        return max(self._px(DISC + 6), round(lines * self._px(26) * LINE) + self._px(8))

    def _callouts(self, pen: ImageDraw.ImageDraw, shot: Shot, scene: FilmScene, y: float) -> float:
        """Draw numbers round a scene and their names at the head of the column; return where that goes on."""
        left, top, wide, high = SCENE
        named = self._named(shot, scene)
        placed: tuple[Callout, ...] = ()
        try:
            placed = place_callouts({n: s for n, _, s in named}, (wide, high), (DISC, DISC), gap_px=8)
        except NoRoomForCallouts:
            named = []

        def at(spot: tuple[float, float]) -> tuple[int, int]:
            return self._px(left + spot[0] * wide), self._px(top + spot[1] * high)

        for colour, line in ((PAPER, 9), (INK, 3)):
            for c in placed:
                pen.line((*at(c.port), *at(c.anchor)), fill=colour, width=max(1, self._px(line)))
        for c in placed:
            self._disc(pen, at(c.anchor), 7, INK, PAPER, "")
            self._disc(pen, at(c.label), DISC / 2, PAPER, INK, c.key)
        for mark in scene.manifest.order:
            self._disc(pen, at(mark.at), 24, INK, PAPER, mark.label)
        for number, text, _ in named:
            x = self._px(COLUMN[0])
            self._disc(
                pen, (x + self._px(DISC / 2), round(y) + self._px(DISC / 2)), DISC / 2, PAPER, INK, number
            )
            lines = broken(text, self._px(26), self._px(COLUMN[2] - 60))
            write(pen, (x + self._px(60), y + self._px(4)), lines, self._px(26), INK)
            y += self._key_row(text)
        zones = self._zones(scene)
        for treatment, text in zones:
            x = self._px(COLUMN[0])
            self._swatch(
                pen, (x, round(y) + self._px(8), x + self._px(44), round(y) + self._px(36)), treatment
            )
            lines = broken(text, self._px(26), self._px(COLUMN[2] - 60))
            write(pen, (x + self._px(60), y + self._px(4)), lines, self._px(26), INK)
            y += self._key_row(text)
        return y + (self._px(16) if named or zones else 0)

    def _swatch(self, pen: ImageDraw.ImageDraw, box: tuple[int, int, int, int], treatment: Treatment) -> None:
        """Draw the sign of a treatment: its ground, with strokes of its pattern."""
        ground, ink = colour_bytes(ground_of(treatment)), colour_bytes(ink_of(treatment))
        left, top, right, foot = box
        high, step, line = foot - top, max(3, self._px(9)), max(1, self._px(2))
        pen.rectangle(box, fill=ground)
        for x in range(left, right - step // 2, step):
            if treatment in ("clean", "anti-seize"):
                pen.line((x, foot, min(x + high, right), max(top, foot - (right - x))), fill=ink, width=line)
            if treatment == "anti-seize":
                pen.line((x, top, min(x + high, right), min(foot, top + (right - x))), fill=ink, width=line)
            if treatment == "measure":
                pen.line((x, top, x, foot), fill=ink, width=line)
            if treatment in ("lubricate", "look"):
                for y in range(top + step // 2, foot, step):
                    dot = (x + step // 4, y - step // 4, x + 3 * step // 4, y + step // 4)
                    pen.ellipse(dot, fill=ink if treatment == "lubricate" else None, outline=ink, width=line)
            if treatment == "dress":
                for y in range(top, foot - step // 2, step):
                    pen.line((x, y, x + step // 2, y + step // 2, x + step, y), fill=ink, width=line)
        pen.rectangle(box, outline=INK, width=line)

    def _disc(
        self, pen: ImageDraw.ImageDraw, at: tuple[int, int], radius: float, fill: str, line: str, text: str
    ) -> None:
        r = self._px(radius)
        box = (at[0] - r, at[1] - r, at[0] + r, at[1] + r)
        pen.ellipse(box, fill=fill, outline=line, width=max(1, self._px(3)))
        if text:
            centred(pen, at, text, self._px(24), line)
