"""The words that fill the placeholders of steps' texts, in the language of the pages."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from ...sequences.steps.sequence_file import PlaceholderWords, Sequence
from .catalogue import Words

LARGEST = 12
"""Larger numbers of parts are written in figures."""


def placeholder_words(words: Words) -> PlaceholderWords:
    """Return what fills the placeholders in the language of ``words``."""
    return PlaceholderWords(
        tuple(words(f"fill.number.{n}") for n in range(LARGEST + 1)),
        words("fill.clockwise"),
        words("fill.anticlockwise"),
        words("fill.blank", blank="{blank}"),
    )


def in_words(sequences: Mapping[str, Sequence], words: Words) -> dict[str, Sequence]:
    """Return sequences whose placeholders are filled in the language of ``words``."""
    filled = placeholder_words(words)
    return {name: replace(sequence, words=filled) for name, sequence in sequences.items()}
