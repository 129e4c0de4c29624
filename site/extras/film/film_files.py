"""Film files: pictures with the time at which each comes, chapters and captions, in MP4 and in WebM.

MP4 holds AV1, WebM holds VP9: both are free for anybody to encode and to show, which H.264 is not. What plays the one
badly plays the other: between them they reach the browsers and players of the last years.
"""

from __future__ import annotations

import os
import struct
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from importlib.metadata import PackageNotFoundError, version
from io import BytesIO
from typing import TYPE_CHECKING, Any

from .film_timeline import Cue
from .ordinary_priority import ordinary_priority

if TYPE_CHECKING:
    from PIL import Image

MS = Fraction(1, 1000)
RATE = 10
"""Pictures a second where something moves; what stands comes once a second."""
FORMS: Mapping[str, tuple[str, str, Mapping[str, str]]] = {
    "mp4": ("libsvtav1", "mov_text", {"preset": "9", "crf": "30", "g": "120"}),
    "webm": (
        "libvpx-vp9",
        "webvtt",
        {"crf": "28", "b": "0", "deadline": "realtime", "cpu-used": "6", "row-mt": "1", "g": "120"},
    ),
}
"""Ending of a file to its encoder, the form of its captions, and how it is encoded."""
THREE_LETTERS = {
    "cs": "ces", "da": "dan", "de": "deu", "el": "ell", "en": "eng", "es": "spa", "et": "est", "fi": "fin", "fr": "fra",
    "hr": "hrv", "hu": "hun", "it": "ita", "lt": "lit", "lv": "lav", "nb": "nob", "nl": "nld", "no": "nor", "pl": "pol",
    "pt": "por", "ro": "ron", "ru": "rus", "sk": "slk", "sl": "slv", "sv": "swe", "tr": "tur", "uk": "ukr",
}  # fmt: skip
"""Codes of languages as film files have them (ISO 639-2)."""


class FilmUnavailable(RuntimeError):
    """Films cannot be made here; the message says what is missing and what brings it."""


@dataclass(frozen=True)
class ChapterMark:
    """A chapter: where it begins, ms, and its title."""

    start_ms: int
    title: str


def installed_film() -> str:
    """Return what makes films here, with its version, without loading it; empty where it is not installed."""
    try:
        return f"av {version('av')}"
    except PackageNotFoundError:
        return ""


@cache
def film_library() -> Any:
    """Return the module that makes films.

    Raises:
        FilmUnavailable: if it is not installed, or came without one of the encoders.
    """
    try:
        import av
    except ImportError:
        raise FilmUnavailable("PyAV is not installed: pip install 'benchleaf[film]'") from None
    if missing := [codec for codec, _, _ in FORMS.values() if codec not in av.codecs_available]:
        found = ", ".join(missing)
        raise FilmUnavailable(f"this PyAV lacks {found}: pip install --force-reinstall --only-binary av av")
    os.environ.setdefault("SVT_LOG", "0")  # what the encoder tells of itself is nothing to a user
    av.logging.set_level(None)
    return av


Timed = tuple[int, "Image.Image"]
"""When a picture comes, ms, and the picture; it is used at once and may change after."""


def write_films(
    pictures: Iterable[Timed],
    end_ms: int,
    size: tuple[int, int],
    title: str,
    chapters: Sequence[ChapterMark],
    captions: Mapping[str, Sequence[Cue]],
) -> dict[str, bytes]:
    """Return one film in each of :data:`FORMS`, by ending.

    Args:
        pictures: in the order of their times, the first at 0; each is looked at once.
        end_ms: where the film ends.
        size: width and height, pixels, both even.
        title: of the film.
        chapters: the first at 0; each begins with a picture of its own, to which players can jump.
        captions: by code of their language.

    Raises:
        FilmUnavailable: if none can be made here.
    """
    av = film_library()
    with ordinary_priority():
        writers = [_Writer(av, ending, size, title, chapters, captions, end_ms) for ending in FORMS]
        starts = {c.start_ms for c in chapters}
        for at, picture in _steady(pictures, end_ms):
            frame = _as_shown(av, picture)
            for writer in writers:
                writer.add(frame, at, at in starts)
        return {w.ending: w.content() for w in writers}


def _as_shown(av: Any, picture: Image.Image) -> Any:
    """Return a picture as films hold it: brightness and colour apart, as BT.709 has them."""
    to = av.video.reformatter.Colorspace.ITU709
    return av.VideoFrame.from_image(picture).reformat(format="yuv420p", dst_colorspace=to)


def _steady(pictures: Iterable[Timed], end_ms: int) -> Iterator[Timed]:
    """Yield pictures, those that stand again each second: players show where they jumped to at once."""
    last: Timed | None = None
    for at, picture in pictures:
        if last is not None:
            yield from ((again, last[1]) for again in range(last[0] + 1000, at - 400, 1000))
        kept = picture.copy()
        last = (at, kept)
        yield last
    if last is not None:
        yield from ((again, last[1]) for again in range(last[0] + 1000, end_ms - 400, 1000))
        if end_ms - 100 > last[0]:
            yield end_ms - 100, last[1]


class _Writer:
    """One film file as it is written."""

    def __init__(
        self,
        av: Any,
        ending: str,
        size: tuple[int, int],
        title: str,
        chapters: Sequence[ChapterMark],
        captions: Mapping[str, Sequence[Cue]],
        end_ms: int,
    ) -> None:
        codec, form, options = FORMS[ending]
        self._av, self.ending, self._file = av, ending, BytesIO()
        # Without the clock and random names: equal films are equal bytes.
        self._out = av.open(self._file, "w", format=ending, options={"fflags": "+bitexact"})
        self._out.metadata["title"] = title
        self._video = self._out.add_stream(codec, rate=RATE, options=dict(options))
        self._video.width, self._video.height = size
        self._video.pix_fmt, self._video.time_base = "yuv420p", MS
        context = self._video.codec_context
        context.time_base = MS
        context.color_range, context.colorspace = 1, 1  # as televisions have it, BT.709
        ends = [c.start_ms for c in chapters[1:]] + [end_ms]
        self._out.set_chapters(
            [
                {"id": n, "start": c.start_ms, "end": end, "time_base": MS, "metadata": {"title": c.title}}
                for n, (c, end) in enumerate(zip(chapters, ends, strict=True), 1)
            ]
        )
        waiting = []
        for language, cues in captions.items():
            stream = self._out.add_mux_stream(form)
            stream.time_base = MS
            stream.metadata["language"] = THREE_LETTERS.get(language, "und")
            waiting += [(c.start_ms, n, stream, c) for n, c in enumerate(cues)]
        self._waiting = sorted(waiting, key=lambda w: (w[0], w[1]))
        self._form = form

    def add(self, frame: Any, at: int, begins: bool) -> None:
        frame.pts, frame.time_base = at, MS
        frame.pict_type = 1 if begins else 0
        for packet in self._video.encode(frame):
            self._out.mux(packet)
        self._caption(at)

    def _caption(self, until: int) -> None:
        while self._waiting and self._waiting[0][0] <= until:
            start, _, stream, cue = self._waiting.pop(0)
            text = cue.text.encode("utf-8")
            packet = self._av.Packet(
                struct.pack(">H", len(text)) + text if self._form == "mov_text" else text
            )
            packet.stream, packet.pts, packet.dts = stream, start, start
            packet.duration, packet.time_base = cue.end_ms - start, MS
            self._out.mux(packet)

    def content(self) -> bytes:
        """End the file and return it."""
        for packet in self._video.encode():
            self._out.mux(packet)
        self._caption(1 << 60)
        self._out.close()
        return self._file.getvalue()
