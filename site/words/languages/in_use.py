"""Every text that a fleet's pages are made of, in English, with its place: what a translator is given.

API::

    texts_in_use(fleet) -> (TextInUse, ...)
    safety_hash(words, fleet) -> "0123456789ab"  # of the safety texts in one language
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from hashlib import sha256

from ....sequences.files.spoken import spoken_texts
from ....sequences.fleet.heads import Fleet
from ..catalogue import Words, load_words
from .fallback import plain

SAFETY = ("signal.", "safety.", "notice.", "meeting.")
"""Keys of the catalogue that belong to safety messages."""


@dataclass(frozen=True)
class TextInUse:
    """A text with its place; ``key`` is that of the catalogue, empty for a text of a sequence or of the plant's own."""

    key: str
    where: str
    english: str


def texts_in_use(fleet: Fleet) -> tuple[TextInUse, ...]:
    """Return all texts of the pages of a fleet; one that stands in several places is given once, at its first."""
    found = [TextInUse(key, f"pages > {key}", text) for key, text in load_words().texts.items()]
    once: dict[str, str] = {}
    for where, text in _said(fleet):
        once.setdefault(text, where)
    return (*found, *(TextInUse("", where, text) for text, where in once.items()))


def _said(fleet: Fleet) -> Iterator[tuple[str, str]]:
    yield from caution_texts(fleet)
    for sequence in (*fleet.sequences.values(), *fleet.checklists.values()):
        for place, text in spoken_texts(sequence.text):
            yield " > ".join((sequence.kind, *_shorter(place))), text
    yield from plant_texts(fleet)


def caution_texts(fleet: Fleet) -> Iterator[tuple[str, str]]:
    """Yield the texts of all safety messages with their places."""
    for entry in fleet.catalogue.entries.values():
        for place, text in spoken_texts(entry):
            yield " > ".join(("cautions", entry.id, entry.signal_word, *place)), text


def plant_texts(fleet: Fleet) -> Iterator[tuple[str, str]]:
    """Yield the plant's own texts: those of the fleet file and of its table, but not of its sequences and messages."""
    yield from ((" > ".join(("fleet", "booklet", *p)), text) for p, text in spoken_texts(fleet.booklet))
    for head in fleet.heads:
        if head.service:
            yield f"fleet > {head.tag} > service", head.service
        for value in head.values.values():
            given = value.given
            if given is not None and isinstance(given.value, str) and given.value:
                yield f"fleet > {head.tag} > {value.name} > value", given.value
            if given is not None and given.condition:
                yield f"fleet > {head.tag} > {value.name} > condition", given.condition


def _shorter(place: Iterable[str]) -> list[str]:
    """Return a place without what each of its kind has."""
    return [p for p in place if p not in ("text", "steps", "sections")]


def safety_hash(words: Words, fleet: Fleet) -> str:
    """Return twelve characters that change with any safety text of a language: what a release is about."""
    texts = [f"{k}={plain(t)}" for k, t in sorted(words.texts.items()) if k.startswith(SAFETY)]
    texts += [f"{where}={plain(words.say(text))}" for where, text in caution_texts(fleet)]
    return sha256("\n".join(texts).encode()).hexdigest()[:12]
