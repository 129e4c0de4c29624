"""The words on the pages: a folder of catalogue files a language, so that no template holds a sentence of its own."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Mapping
from functools import lru_cache
from pathlib import Path
from typing import Any

from babel import Locale

from ...sequences.files.said import Translation
from .languages.fallback import stand_in
from .languages.locales import FIGURE, day_in, direction_of, figures_in, locale_of, plural_of

FOLDER = Path(__file__).parent
DEFAULT = "en"
_FIELD = re.compile(r"\{(\w+)\}")
DAYS = frozenset({"date", "day", "since"})
"""Fields that hold a day."""
AS_WRITTEN = frozenset(
    {"tag", "revision", "size", "document", "table", "page", "version", "standard", "code", "id"}
)
"""Fields that hold a name, though it may look like a figure."""


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

    A text may hold ``{fields}``; one that is a bare figure is written as the language writes figures. A key with
    ``one`` and ``other`` (or what else the language has) below it is chosen by the field ``count``. A list of texts
    has the keys ``1``, ``2`` ... below its own.

    >>> words = load_words("en")
    >>> words("steps.count", count=1), words("steps.count", count=28)
    ('1 step', '28 steps')
    """

    def __init__(
        self,
        language: str,
        texts: Mapping[str, str],
        said: Mapping[str, str] | None = None,
        fallen: frozenset[str] = frozenset(),
        released: str = "",
    ) -> None:
        """Take up the words of a language.

        Args:
            language: its code.
            texts: text by dotted key.
            said: what it says in place of English texts of sequences, messages and the plant's own.
            fallen: keys whose texts are English ones that stand in.
            released: who has released its safety texts, and when, in its words; empty: nobody. English needs none.
        """
        self.language = language
        self.texts = dict(texts)
        self.said = dict(said or {})
        self.fallen = fallen
        self.released = released

    @property
    def locale(self) -> Locale:
        """How figures and days are written."""
        return locale_of(self.language)

    @property
    def direction(self) -> str:
        """``rtl`` where it is written from right to left, else ``ltr``."""
        return direction_of(self.language)

    @property
    def unreleased(self) -> bool:
        """Whether no qualified person has released its safety texts."""
        return self.language != DEFAULT and not self.released

    def say(self, english: str) -> str:
        """Return an English text of a sequence or of the plant's own in this language; marked, where it has none."""
        if self.language == DEFAULT or isinstance(english, Translation) or not english:
            return english
        return Translation(self.said.get(english) or stand_in(english), english)

    def figures(self, text: str) -> str:
        """Return a text of figures and units as this language writes figures."""
        return figures_in(text, self.locale)

    def day(self, day: str) -> str:
        """Return a day, given as year-month-day, as this language writes it."""
        return day_in(day, self.texts.get("format.day", "y-MM-dd"), self.locale)

    def __call__(self, key: str, **fields: object) -> str:
        """Return the text of ``key`` with its fields filled in.

        Raises:
            MissingWord: if the catalogue has no such key, or the text needs a field that was not given.
        """
        text = self.texts.get(key)
        if text is None and "count" in fields:
            text = self._counted(key, fields["count"])
        if text is None:
            raise MissingWord(f"the words for '{key}' are missing in '{self.language}'")
        try:
            return _FIELD.sub(lambda m: self._filled(m[1], fields[m[1]]), text)
        except KeyError as e:
            raise MissingWord(f"'{key}' in '{self.language}' needs the field {e}") from e

    def _counted(self, key: str, count: object) -> str | None:
        form = plural_of(count, self.locale) if isinstance(count, (int, float)) else "other"
        return self.texts.get(f"{key}.{form}", self.texts.get(f"{key}.other"))

    def _filled(self, name: str, given: object) -> str:
        text = str(given)
        if name in DAYS:
            return self.day(text)
        return self.figures(text) if name not in AS_WRITTEN and FIGURE.fullmatch(text) else text

    def part(self, kind: str, name: str) -> str:
        """Return the trade name of a kind of part: the catalogue's, where it has one, or ``name``."""
        return self.texts.get(f"part.{kind}") or self.say(name)

    def without(self, *stems: str) -> Words:
        """Return the catalogue without the texts whose keys begin with one of ``stems``."""
        return self.with_texts({k: t for k, t in self.texts.items() if not k.startswith(stems)})

    def released_by(self, released: str) -> Words:
        """Return these words with who has released their safety texts."""
        return Words(self.language, self.texts, self.said, self.fallen, released)

    def over(self, stem: str) -> Words:
        """Return the catalogue in which the texts below ``stem`` stand for those of the same key without it.

        >>> Words("xx", {"a.b": "pump", "own.a.b": "assembly"}).over("own.")("a.b")
        'assembly'
        """
        others = {k.removeprefix(stem): t for k, t in self.texts.items() if k.startswith(stem)}
        return self.with_texts(self.texts | others)

    def with_texts(self, texts: Mapping[str, str]) -> Words:
        """Return other texts in this language."""
        return Words(self.language, texts, self.said, self.fallen, self.released)

    def material(self, key: str) -> str:
        """Return the name of a material: the catalogue's, or ``key`` itself where it is one of the user's own."""
        return self.texts.get(f"material.{key}") or self.say(key)

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
