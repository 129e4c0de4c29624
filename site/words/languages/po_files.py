"""Translations as they are shipped: PO files below ``words/<language>``, read by Babel.

``catalogue/<name>.po`` holds the texts of ``en/<name>.toml``: the key as the context, the English text as the message.
``sequences/<name>.po`` holds texts of sequences and safety messages: the English text alone. An entry whose English
is not that of today is stale and says nothing.

API::

    shipped_languages() -> ("de", "es")
    read_shipped(language) -> Shipped
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from babel.messages.catalog import Catalog
from babel.messages.pofile import read_po

HOME = Path(__file__).parents[1]


@dataclass(frozen=True)
class Shipped:
    """All translations of one language that come along."""

    by_key: dict[str, tuple[str, str]]
    """Key of the catalogue to the English text that was translated, and its translation."""
    said: dict[str, str]
    """English text of a sequence or a message to its translation."""


def shipped_languages(home: Path = HOME) -> tuple[str, ...]:
    """Return the languages beside English that come along, sorted."""
    return tuple(sorted({p.parents[1].name for p in home.glob("*/*/*.po")}))


@lru_cache
def read_shipped(language: str, home: Path = HOME) -> Shipped:
    """Return the translations into ``language`` that come along; none where there are none.

    Raises:
        ValueError: if a file gives one text twice.
    """
    by_key: dict[str, tuple[str, str]] = {}
    said: dict[str, str] = {}
    for file in sorted((home / language / "catalogue").glob("*.po")):
        for message in catalogue_of(file):
            if not message.id or not message.string or message.fuzzy:
                continue
            key = str(message.context)
            if key in by_key:
                raise ValueError(f"{file}: '{key}' stands in another file too")
            by_key[key] = str(message.id), str(message.string)
    for file in sorted((home / language / "sequences").glob("*.po")):
        for message in catalogue_of(file):
            if message.id and message.string and not message.fuzzy:
                said.setdefault(str(message.id), str(message.string))
    return Shipped(by_key, said)


def catalogue_of(file: Path) -> Catalog:
    """Return a PO file as Babel reads it.

    Raises:
        babel.messages.pofile.PoFileError: if it is none.
    """
    with file.open("rb") as f:
        return read_po(f, abort_invalid=True)
