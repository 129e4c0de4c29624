"""English text that stands in for a translation that is missing: marked in texts, shown so on pages, plain elsewhere.

The marks are two characters of private use around the text, so that it can go into sentences of the other language;
pages turn them into elements (:mod:`...pages.markup.in_english`), whatever else is written takes them away.

API::

    TextInUse                                # a text that may stand in, with its place

    stand_in(text) -> marked text
    plain(text) -> text without marks
"""

from __future__ import annotations

from dataclasses import dataclass

BEGIN, END = "\ue000", "\ue001"
_NONE = {ord(BEGIN): None, ord(END): None}


@dataclass(frozen=True)
class TextInUse:
    """A text with its place; ``key`` is that of the catalogue, empty for a text of a sequence or of the plant's own."""

    key: str
    where: str
    english: str


def stand_in(text: str) -> str:
    """Return an English text marked as one that stands in for its translation.

    >>> plain("Hier: " + stand_in("Fit the ring"))
    'Hier: Fit the ring'
    """
    return f"{BEGIN}{text}{END}" if text and not text.startswith(BEGIN) else text


def plain(text: str) -> str:
    """Return a text without the marks."""
    return text.translate(_NONE) if BEGIN in text or END in text else text


def starting(text: str) -> str:
    """Return a text with its first letter as a sentence begins, behind a mark where there is one.

    >>> starting("one step")
    'One step'
    """
    at = 1 if text.startswith(BEGIN) else 0
    return text[:at] + text[at : at + 1].upper() + text[at + 1 :]
