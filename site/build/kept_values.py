"""The values of the build before, kept in a file of the library's own, and what has changed since."""

from __future__ import annotations

import json
from collections.abc import Iterable
from contextlib import suppress
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import Any, Literal

from ...sequences.fleet.heads import FleetHead
from ...sequences.values.value_changes import changed, snapshot
from ...sequences.values.value_names import VALUE_NAMES
from ...sequences.work.json_data import from_json
from ..folders.marks import KEPT_VALUES, MARK
from ..words.catalogue import Words
from ..words.value_words import ChangeText, change_in_words


@dataclass(frozen=True)
class KeptHead:
    """Snapshots of a head's values: now, and before their last change."""

    now: dict[str, Any]
    before: dict[str, Any] | None


@dataclass(frozen=True)
class KeptValues:
    """What a build keeps for the next one, by plant tag."""

    form: Literal[1] = 1
    heads: dict[str, KeptHead] = field(default_factory=dict)

    def changes(self, row: FleetHead, words: Words) -> tuple[ChangeText, ...]:
        """Return what has changed in the values of a head that is kept here."""
        found = changed(self.heads[row.tag].before, {row.tag: row.values}, VALUE_NAMES)
        return tuple(change_in_words(c, words) for c in found)

    def write(self, library: Path) -> None:
        """Write this into a library.

        Raises:
            OSError: if it cannot be written.
        """
        text = json.dumps(asdict(self), indent=1, sort_keys=True, ensure_ascii=False)
        (library / KEPT_VALUES).write_text(text, "utf-8", newline="\n")


def read_kept_values(library: Path) -> KeptValues:
    """Return what the last build of this library kept; nothing where there is none or it cannot be read."""
    for name in (KEPT_VALUES, MARK):  # earlier versions wrote them into the mark
        with suppress(OSError, ValueError):
            return from_json(KeptValues, (library / name).read_bytes())
    return KeptValues()


def next_kept_values(old: KeptValues, rows: Iterable[FleetHead]) -> KeptValues:
    """Return what this build keeps: each head's values now, and those before their last change.

    A build that changes nothing keeps the values before, so that building twice gives the same pages.
    """
    kept: dict[str, KeptHead] = {}
    for row in rows:
        now, was = snapshot({row.tag: row.values}), old.heads.get(row.tag)
        before = None if was is None else was.before if was.now == now else was.now
        kept[row.tag] = KeptHead(now, before)
    return KeptValues(heads=kept)
