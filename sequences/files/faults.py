"""Mistakes in a user's files, in plain words: where, what was found, what is allowed, the likely fix.

API::

    Fault(file, line, column, path, found, allowed, fix, cell)   # str(fault) is the line people read
    Faults()                    # collector: .add(...), .extend(...), .check() raises FaultsFound when there is any
    FaultsFound(faults)         # .faults is sorted by place and free of repeats
    likely(word, choices)       # the nearest choice, or None
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import lru_cache

_NO_TEXT = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x84\x86-\x9f\ud800-\udfff\ufffe\uffff]")
MOST_SHOWN = 12
"""A list of allowed words longer than this is cut short, nearest words first."""
MOST_TOLD = 40
"""So many mistakes are written out; more of them are counted, so that the first can still be found."""


@dataclass(frozen=True)
class Fault:
    """One mistake in one place.

    ``line`` and ``column`` count from 1 and are None where a whole file is meant; ``cell`` names a cell of a
    spreadsheet ("sheet Heads, cell C4") and then takes the place of line and column in the text.
    """

    file: str
    line: int | None
    column: int | None
    path: str
    found: str
    allowed: str
    fix: str = ""
    cell: str = ""

    def __str__(self) -> str:
        """Return the fault as one line for people.

        >>> print(Fault("fleet.yaml", 4, 9, "heads > #1 > seal", "'singel'", "single or double", "write single"))
        fleet.yaml, line 4, column 9 (heads > #1 > seal): found 'singel'; allowed: single or double; \
likely fix: write single
        """
        where = self.file
        if self.cell:
            where += f", {self.cell}"
        elif self.line is not None:
            where += f", line {self.line}, column {self.column}"
        if self.path:
            where += f" ({self.path})"
        text = f"{where}: found {self.found}; allowed: {self.allowed}"
        return printable(f"{text}; likely fix: {self.fix}" if self.fix else text)

    @property
    def order(self) -> tuple[str, int, int, str]:
        """Key that sorts faults by their place."""
        return (self.file, self.line or 0, self.column or 0, self.path)


class FaultsFound(Exception):
    """The user's files hold mistakes; nothing may be written from them."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults: tuple[Fault, ...] = tuple(sorted(dict.fromkeys(faults), key=lambda f: f.order))
        super().__init__(self.faults)

    def __str__(self) -> str:
        count = len(self.faults)
        head = "1 mistake" if count == 1 else f"{count} mistakes"
        lines = [f"{head} in the data:", *(f"  {f}" for f in self.faults[:MOST_TOLD])]
        if more := self.faults[MOST_TOLD:]:
            by_file = Counter(f.file for f in more)
            counted = ", ".join(f"{n} in {printable(file)}" for file, n in by_file.items())
            lines.append(f"  ... and {len(more)} more ({counted}), told when these are mended.")
        return "\n".join(lines)


class Faults:
    """Collects mistakes over all files of one run."""

    def __init__(self) -> None:
        self._faults: list[Fault] = []

    def __iter__(self) -> Iterator[Fault]:
        return iter(self._faults)

    def __len__(self) -> int:
        return len(self._faults)

    def add(self, fault: Fault) -> None:
        """Keep one fault."""
        self._faults.append(fault)

    def extend(self, faults: Iterable[Fault]) -> None:
        """Keep several faults."""
        self._faults.extend(faults)

    def check(self) -> None:
        """Raise what has been collected.

        Raises:
            FaultsFound: if there is any fault.
        """
        if self._faults:
            raise FaultsFound(self._faults)


def unprintable(text: str) -> str:
    """Return the first character of ``text`` that is no text: a control character but tab and line end, or half a
    surrogate pair; empty where there is none.

    >>> unprintable("a\\tb"), unprintable("a\\x1b[2J")
    ('', '\\x1b')
    """
    found = _NO_TEXT.search(text)
    return found[0] if found else ""


def printable(text: str) -> str:
    """Return ``text`` for a terminal: whatever could steer it is written out.

    >>> printable("a\\x1b[2J")
    'a\\\\x1b[2J'
    """
    return _NO_TEXT.sub(lambda m: f"\\x{ord(m[0]):02x}" if ord(m[0]) < 256 else f"\\u{ord(m[0]):04x}", text)


def likely(word: str, choices: Iterable[str], least: float = 60.0) -> str | None:
    """Return the choice that ``word`` most likely means, or None where none is near (score 0 to 100).

    >>> likely("singel", ["single", "double"])
    'single'
    """
    from rapidfuzz import fuzz, process

    words = tuple(choices)
    best = process.extractOne(_plain(word), _all_plain(words), scorer=fuzz.ratio, score_cutoff=least)
    return None if best is None else words[best[2]]


def _plain(text: str) -> str:
    return text.casefold().replace("_", " ").replace("-", " ").strip()


@lru_cache(maxsize=64)
def _all_plain(words: tuple[str, ...]) -> list[str]:
    """Return the choices as they are compared: a file with many mistakes asks for the same ones each time."""
    return [_plain(word) for word in words]


def any_of(choices: Iterable[str], near: str = "") -> str:
    """Return the choices as words; a long list is cut to those nearest to ``near``.

    >>> any_of(["single", "double"])
    'single or double'
    """
    words = list(choices)
    if len(words) > MOST_SHOWN:
        from rapidfuzz import fuzz

        total = len(words)
        words = sorted(words, key=lambda w: -fuzz.ratio(w, near))[:MOST_SHOWN]
        return ", ".join(words) + f" ... ({total} in all)"
    if len(words) < 2:
        return "".join(words) or "nothing"
    return ", ".join(words[:-1]) + " or " + words[-1]


def shown(value: object) -> str:
    """Return a found value as people wrote it, cut to a readable length.

    >>> shown("singel"), shown(True), shown(None), shown([1, 2])
    ("'singel'", 'true', 'nothing', 'a list of 2')
    """
    if value is None:
        return "nothing"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, dict):
        return "a mapping of " + (", ".join(str(k) for k in list(value)[:4]) or "nothing")
    if isinstance(value, (list, tuple)):
        return f"a list of {len(value)}"
    text = str(getattr(value, "written", value))
    text = " ".join(text.split())
    if len(text) > 60:
        text = text[:57] + "..."
    return f"'{text}'" if isinstance(value, str) else text
