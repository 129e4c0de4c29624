"""A text in another language that knows what it says in English."""

from __future__ import annotations


class Translation(str):
    """A text with its English beside it.

    >>> text = Translation("Drehmomentschlüssel", "torque wrench")
    >>> text, english(text), english("a block")
    ('Drehmomentschlüssel', 'torque wrench', 'a block')
    """

    english: str

    def __new__(cls, text: str, english: str) -> Translation:
        """Return ``text`` that knows its ``english``."""
        made = super().__new__(cls, text)
        made.english = english
        return made

    def __getnewargs__(self) -> tuple[str, str]:  # type: ignore[override]
        """Return what it is made of again in another process."""
        return str(self), self.english


def english(text: str) -> str:
    """Return what a text says in English."""
    return text.english if isinstance(text, Translation) else text
