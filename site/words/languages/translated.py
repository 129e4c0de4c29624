"""The words of one language: shipped translations, a plant's own over them, English where neither says anything.

API::

    words_in("de") -> Words
    words_in("fr", own=Own(...)) -> Words    # with a plant's own translations
    all_languages() -> ("de", "en", "es")
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache

from ..catalogue import DEFAULT, Words, load_words
from .fallback import stand_in
from .po_files import read_shipped, shipped_languages


@dataclass(frozen=True)
class Own:
    """A plant's own translations into one language."""

    by_key: Mapping[str, tuple[str, str]] = field(default_factory=dict)
    """Key of the catalogue to the English text that was translated, and its translation."""
    said: Mapping[str, str] = field(default_factory=dict)
    """English text to its translation."""


def all_languages() -> tuple[str, ...]:
    """Return the languages that come along, sorted."""
    return tuple(sorted({DEFAULT, *shipped_languages()}))


def words_in(language: str, own: Own | None = None) -> Words:
    """Return the words of a language; what neither it nor ``own`` says today stands in English, marked."""
    if language == DEFAULT and own is None:
        return load_words()
    if own is None:
        return _shipped_words(language)
    return _put_together(language, own)


@lru_cache
def _shipped_words(language: str) -> Words:
    return _put_together(language, Own())


def _put_together(language: str, own: Own) -> Words:
    known = load_words()
    shipped = read_shipped(language)
    texts: dict[str, str] = {}
    fallen = set()
    for key, text in known.texts.items():
        for was, said in (own.by_key.get(key, ("", "")), shipped.by_key.get(key, ("", ""))):
            if said and was == text:
                texts[key] = said
                break
        else:
            if language == DEFAULT:
                texts[key] = text
            else:
                texts[key] = stand_in(text)
                fallen.add(key)
    # Forms of the plural that English has not got.
    for key, (_, said) in {**shipped.by_key, **own.by_key}.items():
        stem, _, form = key.rpartition(".")
        if form in ("zero", "two", "few", "many") and f"{stem}.other" in known.texts and said:
            texts.setdefault(key, said)
    return Words(language, texts, {**shipped.said, **own.said}, frozenset(fallen))
