"""A plant's additions as they were read: each with the file and place that it comes from, and the pumps that it is for.

API::

    Additions.for_pump(names) -> tuple[Addition, ...]     # names: its tag and its size
    Additions.look, .contact, .address
    NO_ADDITIONS
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, field
from pathlib import Path

from ..files.faults import Fault
from ..files.yaml_files import Mark, YamlFile
from ..files.yaml_files import Path as NodePath
from ..steps.marks.plant_marks import NO_LOOK, PlantContact, PlantLook, PlantPhoto
from .addition_form import AdditionText

ADDED = "+"
"""First word of the path of whatever comes from a file of additions, in a sequence that holds it; the file follows."""


@dataclass(frozen=True)
class Addition:
    """One addition, its photo looked at."""

    text: AdditionText
    doc: YamlFile
    photo: PlantPhoto | None = None

    @property
    def path(self) -> NodePath:
        """Where it stands, in a sequence that holds it."""
        return (ADDED, self.doc.file, *self.text.path)

    def at(self, *keys: str | int) -> NodePath:
        """Return the path of one of its keys, in its own file."""
        return (*self.text.path, *keys)

    def fault(self, key: str, found: str, allowed: str, fix: str = "") -> Fault:
        """Return a fault at one of its keys; at its beginning where it lacks the key."""
        return self.doc.fault(self.at(key) if key else self.text.path, found, allowed, fix)

    def is_for(self, names: Collection[str]) -> bool:
        """Return whether it is for a pump that is called by these names."""
        return not self.text.for_ or bool(
            {n.casefold() for n in self.text.for_} & {n.casefold() for n in names}
        )


@dataclass(frozen=True)
class Additions:
    """All additions of a fleet, in the order in which they are applied."""

    entries: tuple[Addition, ...] = ()
    look: PlantLook = NO_LOOK
    contact: PlantContact | None = None
    address: str = ""
    """Address of the library, where a file of additions states it."""
    folder: Path | None = field(default=None, compare=False)

    def for_pump(self, names: Collection[str]) -> tuple[Addition, ...]:
        """Return those for a pump that is called by these names: its tag and its size."""
        return tuple(a for a in self.entries if a.is_for(names))


NO_ADDITIONS = Additions()


class AmendedFile(YamlFile):
    """A sequence's file with what is added to it: every fault has its place in the file that holds it."""

    def __init__(self, base: YamlFile, added: Collection[YamlFile]) -> None:
        super().__init__(base.file, base.data, base.values, base.keys)
        self.base, self.added = base, {doc.file: doc for doc in added}

    def mark(self, path: NodePath, key: bool = False) -> Mark:
        """Return the place of a node, in its own file."""
        doc, inner = self._inner(path)
        return doc.mark(inner, key)

    def fault(self, path: NodePath, found: str, allowed: str, fix: str = "", key: bool = False) -> Fault:
        """Return a fault at a node, in its own file."""
        doc, inner = self._inner(path)
        return doc.fault(inner, found, allowed, fix, key)

    def _inner(self, path: NodePath) -> tuple[YamlFile, NodePath]:
        if path[:1] == (ADDED,):
            return self.added[str(path[1])], path[2:]
        return self.base, path
