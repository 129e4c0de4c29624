"""The values that belong to a head: every one that its options have use for, known or blank."""

from __future__ import annotations

from collections.abc import Mapping

from ...geometry.dimensions.options import Options
from .sourced_values import ResolvedValue, SourcedValue, resolved
from .value_names import VALUE_NAMES


def resolve_values(given: Mapping[str, SourcedValue], options: Options) -> dict[str, ResolvedValue]:
    """Return every value that belongs to a head with ``options``, known or blank, in the order of the values page.

    >>> blank = resolve_values({}, Options())["rotor_nut_torque"]
    >>> blank.known, blank.unit
    (False, 'N·m')
    """
    return {
        name: resolved(entry, given.get(name))
        for name, entry in VALUE_NAMES.items()
        if entry.belongs(options)
    }


def blank_values() -> dict[str, ResolvedValue]:
    """Return every value that a booklet may state, as a blank, whatever the options.

    >>> blank_values()["relief_set_pressure"].known
    False
    """
    return {name: resolved(entry) for name, entry in VALUE_NAMES.items()}
