"""What is different in each booklet since the library was built last: kept beside the library, compared by its data.

The words of the earlier library are kept too, since only they can tell what stood there; they decide nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Literal

from ...words.languages.fallback import stand_in
from .head_lines import GROUPS, ComparedRow, Group, HeadLine, data_key

ChangeKind = Literal["new", "gone", "other"]


@dataclass(frozen=True)
class KeptPump:
    """The rows of a pump by group, each by the key of :attr:`KeptPumps.groups`: now, and before their last change."""

    now: dict[str, str]
    before: dict[str, str] | None = None
    since: str = ""
    """Date of the library that had the rows before."""


@dataclass(frozen=True)
class KeptPumps:
    """What a build keeps of its booklets for the next one; groups of rows that pumps share are held once."""

    form: Literal[1] = 1
    date: str = ""
    groups: dict[str, tuple[ComparedRow, ...]] = field(default_factory=dict)
    heads: dict[str, KeptPump] = field(default_factory=dict)
    """By plant tag."""
    new: tuple[str, ...] = ()
    """Tags that the library before did not have, as long as no other comes or goes."""
    gone: tuple[str, ...] = ()


@dataclass(frozen=True)
class RowChange:
    """A row that is not what it was."""

    group: Group
    kind: ChangeKind
    name: str
    was: str
    now: str
    page: str
    """Where the booklet of now tells more; empty where it has nothing left to tell."""


@dataclass(frozen=True)
class PumpChanges:
    """Pumps of which the same has changed since a library of one date."""

    tags: tuple[str, ...]
    since: str
    changes: tuple[RowChange, ...]


def next_kept_pumps(old: KeptPumps, heads: Iterable[HeadLine], date: str) -> KeptPumps:
    """Return what this build keeps: the rows of each booklet now, and those before their last change.

    A build that changes nothing keeps the rows before, so that building twice gives the same pages.
    """
    groups: dict[str, tuple[ComparedRow, ...]] = {}
    kept: dict[str, KeptPump] = {}
    for head in heads:
        now: dict[str, str] = {}
        for group, rows in _by_group(head.rows).items():
            key = data_key([(r.id, r.key) for r in rows])
            groups[key] = tuple(rows)
            now[group] = key
        was = old.heads.get(head.tag)
        if was is None:
            kept[head.tag] = KeptPump(now)
        elif was.now == now:
            kept[head.tag] = was
        else:
            kept[head.tag] = KeptPump(now, was.now, old.date)
    for pump in kept.values():
        for key in (pump.before or {}).values():
            groups.setdefault(key, old.groups.get(key, ()))
    new, gone = old.new, old.gone
    if old.heads and old.heads.keys() != kept.keys():
        new = tuple(tag for tag in kept if tag not in old.heads)
        gone = tuple(tag for tag in old.heads if tag not in kept)
    return KeptPumps(1, date, groups, kept, new, gone)


def _by_group(rows: Iterable[ComparedRow]) -> dict[Group, list[ComparedRow]]:
    found: dict[Group, list[ComparedRow]] = {group: [] for group in GROUPS}
    for row in rows:
        found[row.group].append(row)
    return found


Said = Mapping[tuple[Group, str], ComparedRow]
"""Rows of a pump in another language, by group and id."""


def rows_said(heads: Iterable[HeadLine]) -> dict[str, Said]:
    """Return the rows of each booklet in its language, by plant tag: what :func:`pump_changes` tells changes in."""
    return {head.tag: {(r.group, r.id): r for r in head.rows} for head in heads}


def pump_changes(kept: KeptPumps, said: Mapping[str, Said] | None = None) -> tuple[PumpChanges, ...]:
    """Return what has changed, in the order of the pumps; pumps of which the same has changed stand together.

    Args:
        kept: with the rows in the library's main language.
        said: the rows in another language, by plant tag; what was there before then stands in as it was kept.
    """
    found: dict[tuple[str, tuple[RowChange, ...]], list[str]] = {}
    for tag, pump in kept.heads.items():
        if pump.before is None:
            continue
        if changes := _changes(kept, pump.before, pump.now, said.get(tag, {}) if said is not None else None):
            found.setdefault((pump.since, changes), []).append(tag)
    return tuple(PumpChanges(tuple(tags), since, changes) for (since, changes), tags in found.items())


def _changes(
    kept: KeptPumps, before: Mapping[str, str], now: Mapping[str, str], said: Said | None = None
) -> tuple[RowChange, ...]:
    found = []
    as_kept: Callable[[str], str] = str if said is None else stand_in
    for group in GROUPS:
        old = {r.id: r for r in kept.groups.get(before.get(group, ""), ())}
        new = {r.id: r for r in kept.groups.get(now.get(group, ""), ())}
        for row in new.values():
            was, told = old.get(row.id), (said or {}).get((group, row.id), row)
            if was is None:
                found.append(RowChange(group, "new", told.name, "", told.text, told.page))
            elif was.key != row.key:
                found.append(RowChange(group, "other", told.name, as_kept(was.text), told.text, told.page))
        gone = (r for r in old.values() if r.id not in new)
        found += [RowChange(group, "gone", as_kept(r.name), as_kept(r.text), "", "") for r in gone]
    return tuple(found)
