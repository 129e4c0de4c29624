"""Keys and kinds for a stranger's parts: from their names where these can be written so, else numbered."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence

from ...geometry.exchange.assemblies.read_assembly import StrangerPart

MOST = 32
"""Characters of a key."""
NO_KEY = frozenset({"all"})
"""Words that a sequence file means otherwise."""


def key_of(name: str) -> str:
    """Return a name as a key: lower case, ASCII, words joined by _; empty where nothing of it can be written so.

    >>> key_of("Hex nut, M8"), key_of("Écrou n° 2"), key_of("螺母"), key_of("3-way valve")
    ('hex_nut_m8', 'ecrou_n_2', '', 'part_3_way_valve')
    """
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().casefold()
    words = re.sub(r"[^a-z0-9]+", "_", plain).strip("_")[:MOST].strip("_")
    if not words or not re.search(r"[a-z]", words):
        return f"part_{words}" if words else ""
    return words if words[0].isalpha() else f"part_{words}"


def kinds_and_keys(parts: Sequence[StrangerPart]) -> tuple[list[str], list[str], dict[str, str]]:
    """Return the kind and the key of each part, and what people call each kind.

    Parts of one solid are one kind where their names differ by a number at the end alone: a nut may be used twice.
    """
    by_solid: dict[tuple[int, str], list[int]] = {}
    for n, part in enumerate(parts):
        by_solid.setdefault((part.solid, _stem(part.name)), []).append(n)
    kinds, keys, names = [""] * len(parts), [""] * len(parts), dict[str, str]()
    taken: set[str] = set(NO_KEY)
    for members in by_solid.values():
        name = parts[members[0]].name
        if len(members) > 1:
            name = _stem(name)
        kind = _fresh(key_of(name) or "part", taken)
        taken.add(kind)
        names[kind] = name or f"Part {len(names) + 1}"
        for at, n in enumerate(members, start=1):
            kinds[n] = kind
            keys[n] = kind if len(members) == 1 else _fresh(f"{kind}_{at}", taken)
            taken.add(keys[n])
    return kinds, keys, names


def _stem(name: str) -> str:
    """Return a name without a number at its end, that tells it from others of its kind.

    >>> _stem("Screw M8 : 12"), _stem("bolt_3"), _stem("17")
    ('Screw M8', 'bolt', '17')
    """
    return re.sub(r"[\s_.:#-]+\(?\d+\)?$", "", name) or name


def _fresh(word: str, taken: set[str]) -> str:
    if word not in taken:
        return word
    n = 2
    while f"{word}_v{n}" in taken:
        n += 1
    return f"{word}_v{n}"
