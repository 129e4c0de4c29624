"""What has changed among the values of a fleet since its library was built last.

API::

    snapshot(values_by_tag) -> JSON-ready dict
    changed(old, new, names) -> list[ValueChange]
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from decimal import Decimal, InvalidOperation
from typing import Any

from pydantic import TypeAdapter, ValidationError

from .quantities import Bound, ValueName
from .sourced_values import ResolvedValue, SourcedValue

SNAPSHOT_FORM = 2
_FORM = TypeAdapter(SourcedValue)


@dataclass(frozen=True)
class ValueChange:
    """A value that is not what it was; None for a blank."""

    tag: str
    name: str
    was: SourcedValue | None
    now: SourcedValue | None
    bound: Bound = ""
    """Whether it is a greatest or a least allowed value."""

    @property
    def source_alone(self) -> bool:
        """Whether it states the same as before, from another source or of another day."""
        if self.was is None or self.now is None:
            return False
        same = replace(self.was, source=self.now.source, date=self.now.date)
        return _kept(same) == _kept(self.now)


def snapshot(values: Mapping[str, Mapping[str, ResolvedValue]]) -> dict[str, Any]:
    """Return the known values of all heads as plain data, to keep beside the library and compare with later."""
    return {
        "form": SNAPSHOT_FORM,
        "heads": {
            tag: {n: _kept(v.given) for n, v in by_name.items() if v.given is not None}
            for tag, by_name in values.items()
        },
    }


def changed(
    old: Any, new: Mapping[str, Mapping[str, ResolvedValue]], names: Mapping[str, ValueName]
) -> list[ValueChange]:
    """Return what differs from an earlier :func:`snapshot`, in the order of heads and values.

    A head that the snapshot does not hold is new and has no changes. A snapshot of another form tells nothing.
    A value whose source alone has changed counts: it may state the same figure for another reason; and so does a
    figure that is written with other digits, since its digits tell how exact it is meant.

    Args:
        old: the snapshot.
        new: plant tag to the head's values.
        names: what each value is, also of those that the heads have no use for any more.
    """
    heads = old.get("heads") if isinstance(old, dict) and old.get("form") == SNAPSHOT_FORM else None
    if not isinstance(heads, dict):
        return []
    found = []
    for tag, by_name in new.items():
        before = heads.get(tag)
        if not isinstance(before, dict):
            continue
        for name in dict.fromkeys([*by_name, *before]):
            given = by_name[name].given if name in by_name else None
            was = _read(before.get(name))
            if (was and _kept(was)) != (given and _kept(given)):
                bound = names[name].bound if name in names else ""
                found.append(ValueChange(tag, str(name), was, given, bound))
    return found


def _kept(given: SourcedValue) -> dict[str, Any]:
    """Return what a booklet states of a value as plain data: all but its place in the fleet file and its medium.

    How its readings are judged is left out, too: it changes no figure.
    """
    bare = replace(given, level="", medium="", critical=False, rule=None)
    kept: dict[str, Any] = _FORM.dump_python(bare, mode="json")
    return kept


def _read(kept: Any) -> SourcedValue | None:
    """Return a value that :func:`_kept` wrote; None where there is none, or it cannot be read."""
    try:
        read = _FORM.validate_python(kept)
        # plain data holds a figure as its digits; what has a unit is a figure
        figure = Decimal(read.value) if isinstance(read.value, str) and read.unit else read.value
    except (ValidationError, InvalidOperation):
        return None
    return replace(read, value=figure)
