"""The files of own parts in a fleet, opened: each once, whatever many heads name it, by a child process with limits."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from ...geometry.dimensions.size import SizeError
from ...geometry.exchange.mesh_files import WITHOUT_UNIT, Unit
from ...geometry.exchange.own_parts import OwnPartError, check_unit, read_solids
from ...geometry.solid import MeshSolid, Solid
from ..files.faults import Faults, shown
from ..files.yaml_files import Path as NodePath
from ..files.yaml_files import YamlFile

if TYPE_CHECKING:
    from .heads import FleetHead


@dataclass(frozen=True)
class NamedPart:
    """Where a fleet names a file for parts of one head."""

    tag: str
    keys: tuple[str, ...]
    """Parts that it stands for."""
    file: Path
    unit: Unit | None
    doc: YamlFile
    at: NodePath
    name: str
    """As it was written."""


def check_own_parts(
    named: Iterable[NamedPart], heads: Mapping[str, FleetHead], faults: Faults
) -> tuple[str, ...]:
    """Note what is wrong with own parts, at the first place that names each file; return what has to be known of them.

    A file that is sound alone is held against the part that it stands for: a unit that was mistaken is a fault.

    Args:
        named: every place that names a file.
        heads: plant tag to the heads that are sound; what others name is read, and held against nothing.
        faults: takes what is found.

    Raises:
        ReaderFailed: if the child cannot begin.
    """
    places: dict[tuple[Path, Unit | None], list[NamedPart]] = {}
    for n in named:
        places.setdefault((n.file, n.unit), []).append(n)
    remarks: dict[str, None] = {}
    for of, solid in zip(places.values(), read_solids(list(places)), strict=True):
        try:
            if isinstance(solid, OwnPartError):
                raise solid
            _check_sizes(of, solid, heads)
        except OwnPartError as e:
            first = of[0]
            faults.add(first.doc.fault(first.at, f"{shown(first.name)}, {e.found}", e.allowed, e.fix))
            continue
        if isinstance(solid, MeshSolid):
            remarks.update(dict.fromkeys(f"{of[0].name}: {remark}" for remark in solid.remarks))
    return tuple(remarks)


def _check_sizes(named: Iterable[NamedPart], solid: Solid, heads: Mapping[str, FleetHead]) -> None:
    """Hold a solid against each part that it stands for, once for each design of a head.

    Raises:
        OwnPartError: where it is not as big as the part.
    """
    from ...geometry.head.head import make_head  # the CAD kernel: only a fleet with own parts waits for it

    done = set()
    for n in named:
        head = heads.get(n.tag)
        if head is None or (head.size, head.options, n.keys) in done:
            continue
        done.add((head.size, head.options, n.keys))
        if n.unit is None and n.file.suffix.casefold() in WITHOUT_UNIT:
            continue  # it has its fault already, and no size without a unit
        try:
            made = make_head(head.tag, head.size, head.options)
        except SizeError:
            continue  # so has the size
        for key in n.keys:
            check_unit(n.file, solid, made.parts[key], n.unit)
