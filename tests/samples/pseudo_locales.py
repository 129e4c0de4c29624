"""Languages made of the English texts: one 40 % longer with accents, one that is written from right to left.

They hold what a real language would: all keys, all fields, all texts of sequences and messages. Fields and what
stands in braces stay.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from typing import TypeVar

from benchleaf.sequences.calculations.load_fleet import JudgedFleet
from benchleaf.sequences.fleet.heads import Fleet
from benchleaf.sequences.texts.translations import catalogue_said, row_said, sequence_said
from benchleaf.site.build.languages.texts_in_use import told_of_fleet
from benchleaf.site.words.catalogue import Words, load_words

LONGER = 1.4
LONG, RIGHT_TO_LEFT = "pl", "he"
"""Codes of real languages, so that figures, days and direction are as theirs: decimal comma; right to left."""
_ACCENTS = str.maketrans("aceinosuyzACEINOSUYZ", "ąćéïñöśúýžĄĆÉÏÑÖŚÚÝŽ")
_HEBREW = {chr(ord("a") + n): chr(0x05D0 + n) for n in range(26)} | {"z": "ת"}
_FIELD = re.compile(r"(\{[^{}]*\})")

F = TypeVar("F", bound=Fleet)


def longer(text: str) -> str:
    """Return a text with accents that is 40 % longer; words grow, as those of a language of compounds do.

    >>> longer("Fit the ring {n}")
    'Fïtïï thé rïñggg {n}'
    """
    return "".join(p if p.startswith("{") else _grown(p.translate(_ACCENTS)) for p in _FIELD.split(text))


def _grown(text: str) -> str:
    owed = 0.0
    words = []
    for word in text.split(" "):
        owed += (LONGER - 1) * (len(word) + 1)
        core = re.search(r"\w+", word)
        more = int(owed) if core and len(core[0]) > 2 else 0
        owed -= more
        if core and more:
            tail = (core[0][-1] + core[0][-2]) * more
            word = word[: core.end()] + tail[:more] + word[core.end() :]
        words.append(word)
    return " ".join(words)


def from_the_right(text: str) -> str:
    """Return a text in letters that run from right to left."""
    return "".join(
        p if p.startswith("{") else "".join(_HEBREW.get(c.lower(), c) for c in p) for p in _FIELD.split(text)
    )


def pseudo_words(code: str, change: Callable[[str], str], fleet: Fleet | None = None) -> Words:
    """Return the words of a language made by ``change``, with all texts that ``fleet`` uses."""
    texts = {key: change(text) for key, text in load_words().texts.items()}
    said = {t.english: change(t.english) for t in told_of_fleet(fleet).texts if not t.key} if fleet else {}
    return Words(code, {**texts, "format.day": "d MMMM y"}, said)


def fleet_said(fleet: JudgedFleet, words: Words) -> JudgedFleet:
    """Return a fleet with the texts of its sequences, messages and rows in the language of ``words``."""
    return replace(
        fleet,
        heads=tuple(row_said(h, words.say) for h in fleet.heads),
        catalogue=catalogue_said(fleet.catalogue, words.say),
        sequences={k: sequence_said(s, words.say) for k, s in fleet.sequences.items()},
        checklists={k: sequence_said(s, words.say) for k, s in fleet.checklists.items()},
    )
