"""The words on the pages: a folder of catalogue files a language, so that no template holds a sentence of its own."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Mapping
from functools import lru_cache
from pathlib import Path
from typing import Any

FOLDER = Path(__file__).parent
DEFAULT = "en"
_FIELD = re.compile(r"\{(\w+)\}")


class MissingWord(KeyError):
    """A template asks for words that the catalogue does not hold."""


def flat_texts(table: Mapping[str, Any], stem: str = "") -> Iterator[tuple[str, str]]:
    for name, value in table.items():
        key = f"{stem}{name}"
        if isinstance(value, Mapping):
            yield from flat_texts(value, f"{key}.")
        elif isinstance(value, list):
            yield from flat_texts({str(n): text for n, text in enumerate(value, 1)}, f"{key}.")
        else:
            yield key, str(value)


class Words:
    """All words of one language, looked up by dotted key.

    A text may hold ``{fields}``. A key with ``one`` and ``other`` below it is chosen by the field ``count``. A list of
    texts has the keys ``1``, ``2`` ... below its own.

    >>> words = load_words("en")
    >>> words("steps.count", count=1), words("steps.count", count=28)
    ('1 step', '28 steps')
    """

    def __init__(self, language: str, texts: Mapping[str, str]) -> None:
        self.language = language
        self.texts = dict(texts)

    def __call__(self, key: str, **fields: object) -> str:
        """Return the text of ``key`` with its fields filled in.

        Raises:
            MissingWord: if the catalogue has no such key, or the text needs a field that was not given.
        """
        text = self.texts.get(key)
        if text is None and "count" in fields:
            text = self.texts.get(f"{key}.one" if fields["count"] == 1 else f"{key}.other")
        if text is None:
            raise MissingWord(f"the words for '{key}' are missing in '{self.language}'")
        try:
            return _FIELD.sub(lambda m: str(fields[m[1]]), text)
        except KeyError as e:
            raise MissingWord(f"'{key}' in '{self.language}' needs the field {e}") from e

    def part(self, kind: str, name: str) -> str:
        """Return the trade name of a kind of part: the catalogue's, where it has one, or ``name``."""
        return self.texts.get(f"part.{kind}", name)

    def without(self, *stems: str) -> Words:
        """Return the catalogue without the texts whose keys begin with one of ``stems``."""
        return Words(self.language, {k: t for k, t in self.texts.items() if not k.startswith(stems)})

    def over(self, stem: str) -> Words:
        """Return the catalogue in which the texts below ``stem`` stand for those of the same key without it.

        >>> Words("xx", {"a.b": "pump", "own.a.b": "assembly"}).over("own.")("a.b")
        'assembly'
        """
        others = {k.removeprefix(stem): t for k, t in self.texts.items() if k.startswith(stem)}
        return Words(self.language, self.texts | others)

    def material(self, key: str) -> str:
        """Return the name of a material: the catalogue's, or ``key`` itself where it is one of the user's own."""
        return self.texts.get(f"material.{key}", key)

    def lines(self, key: str) -> tuple[str, ...]:
        """Return the texts of a list, in order.

        Raises:
            MissingWord: if the catalogue has no such list.
        """
        found = [self(f"{key}.1")]
        while f"{key}.{len(found) + 1}" in self.texts:
            found.append(self(f"{key}.{len(found) + 1}"))
        return tuple(found)

    def get(self, key: str, otherwise: str) -> str:
        """Return the text of ``key``, or ``otherwise`` where the catalogue has none."""
        return self.texts.get(key, otherwise)

    def fields(self, key: str) -> frozenset[str]:
        """Return the names of the fields in the text of ``key``.

        Raises:
            MissingWord: if the catalogue has no such key.
        """
        if key not in self.texts:
            raise MissingWord(f"the words for '{key}' are missing in '{self.language}'")
        return frozenset(_FIELD.findall(self.texts[key]))


def languages() -> tuple[str, ...]:
    """Return the languages that have a catalogue, sorted."""
    return tuple(sorted({p.parent.name for p in FOLDER.glob("*/*.toml")}))


@lru_cache
def load_words(language: str | Words = DEFAULT) -> Words:
    """Return the catalogue of ``language``, put together from all files of its folder; a ready one as it is.

    Raises:
        LookupError: if there is no such catalogue; the message lists those there are.
        ValueError: if two of its files hold the same key.
    """
    if isinstance(language, Words):
        return language
    if language not in languages():
        raise LookupError(f"there are no words in '{language}'; there are: {', '.join(languages())}")
    texts: dict[str, str] = {}
    for file in sorted((FOLDER / language).glob("*.toml")):
        found = dict(flat_texts(tomllib.loads(file.read_text("utf-8"))))
        if twice := sorted(texts.keys() & found.keys()):
            raise ValueError(f"{file}: '{twice[0]}' stands in another file too")
        texts |= found
    return Words(language, texts)
