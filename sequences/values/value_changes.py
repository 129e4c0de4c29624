"""What has changed among the values of a fleet since its library was built last."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from .sourced_values import ResolvedValue
from .value_names import VALUE_NAMES


@dataclass(frozen=True)
class ValueChange:
    """A value that is not what it was: in words, empty for a blank."""

    tag: str
    name: str
    title: str
    was: str
    now: str


SNAPSHOT_FORM = 1


def snapshot(values: Mapping[str, Mapping[str, ResolvedValue]]) -> dict[str, Any]:
    """Return the known values of all heads as plain data, to keep beside the library and compare with later."""
    return {
        "form": SNAPSHOT_FORM,
        "heads": {
            tag: {n: {"text": v.text, "source": v.source} for n, v in by_name.items() if v.known}
            for tag, by_name in values.items()
        },
    }


def changed(old: Any, new: Mapping[str, Mapping[str, ResolvedValue]]) -> list[ValueChange]:
    """Return what differs from an earlier :func:`snapshot`, in the order of heads and values.

    A head that the snapshot does not hold is new and has no changes. A snapshot of another form tells nothing.
    A value whose source alone has changed counts: it may state the same figure for another reason.
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
            was, now = _stated(before.get(name)), _now(by_name.get(name))
            if was == now:
                continue
            title = VALUE_NAMES[name].title if name in VALUE_NAMES else str(name)
            if was[0] == now[0]:
                was, now = (f"{was[0]} ({was[1]})", ""), (f"{now[0]} ({now[1]})", "")
            found.append(ValueChange(tag, str(name), title, was[0], now[0]))
    return found


def _stated(entry: Any) -> tuple[str, str]:
    if not isinstance(entry, dict):
        return "", ""
    return str(entry.get("text", "")), str(entry.get("source", ""))


def _now(value: ResolvedValue | None) -> tuple[str, str]:
    return (value.text, value.source) if value is not None and value.known else ("", "")
