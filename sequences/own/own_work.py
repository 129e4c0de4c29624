"""One assembly of a user's own on its way through the rooms, as a head has it in :mod:`..proof.head_work`.

work = own_work(load_user_assembly(file))
work.assembly, work.plans, work.design
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from hashlib import sha256
from pathlib import Path

from ...geometry.assembly import Assembly
from ...geometry.dimensions.options import Options
from ...geometry.engineering.materials import materials
from ...geometry.head.masses import part_mass_kg
from ..calculations.calculation_sheets import SheetGroup
from ..calculations.doubts import Doubt
from ..fleet.own_values import OwnValue
from ..fleet.user_assembly import UserAssembly, load_user_assembly
from ..proof.bare_assembly import BareAssembly
from ..steps.plan import Plan
from ..steps.resolve import LIFTING_LIMIT_KG, resolve
from ..steps.sequence_file import CHECKLISTS, Sequence
from ..upkeep.own_upkeep import OwnUpkeep
from ..work.code_hash import code_hash
from ..work.keys import TaskKey, task_key

MAKING = ("sequences.fleet.user_assembly", "geometry.exchange.own_parts")
"""Whose code its solids rest on."""
LIBRARIES = ("cadquery", "cadquery-ocp", "trimesh", "numpy")
MOST_SLUG = 40
"""Characters of the name that its PDF files have."""


@dataclass(frozen=True)
class OwnRow:
    """What is known of an assembly before any of its solids is asked for; it travels to workers."""

    tag: str
    """Its name."""
    file_slug: str
    """Its name as files have it."""
    file: Path
    service: str
    design: TaskKey
    """The key of its solids."""
    parts: Mapping[str, str]
    """Part key to kind."""
    surfaces: Mapping[str, tuple[str, ...]]
    """Part key to the names of its surfaces."""
    mass_kg: Mapping[str, float]
    """Part key to mass, of what has a material that the table knows."""
    values: Mapping[str, OwnValue] = field(default_factory=dict)
    upkeep: OwnUpkeep = field(default_factory=OwnUpkeep)
    """Spares, symptoms, terms."""

    @property
    def slug(self) -> str:
        """The name of its booklet's folder in the folder written: it stands at the top."""
        return ""


@dataclass(frozen=True)
class OwnWork:
    """An assembly's row, and what comes of it."""

    row: OwnRow
    sequences: tuple[Sequence, ...]
    known: BareAssembly | None = None
    """What is known of its parts without their solids."""
    checklists: tuple[Sequence, ...] = ()
    """Sequences that are told in words alone."""

    @property
    def design(self) -> TaskKey:
        """The key of its solids."""
        return self.row.design

    @cached_property
    def assembly(self) -> Assembly:
        """Its parts, with their solids only where nothing is known without them.

        Raises:
            FaultsFound: if a file was changed and cannot be read any more.
        """
        if self.known:
            return self.known.named(self.row.tag, self.design.digest)
        return self.solids

    @cached_property
    def solids(self) -> Assembly:
        """The solids in their places.

        Raises:
            FaultsFound: if a file was changed and cannot be read any more.
        """
        return solid_assembly(self.row)

    @cached_property
    def plans(self) -> tuple[Plan, ...]:
        """The plans, one a sequence."""
        return tuple(_plan(self.row, s) for s in self.sequences)

    @cached_property
    def checklist_plans(self) -> tuple[Plan, ...]:
        """The plans of its checklists, which are neither drawn nor proven."""
        return tuple(_plan(self.row, s) for s in self.checklists)

    @property
    def sheets(self) -> tuple[SheetGroup, ...]:
        """Calculation sheets: none, since nothing is known of what it does."""
        return ()

    @property
    def doubts(self) -> tuple[Doubt, ...]:
        """What speaks against its data: nothing is reckoned of it."""
        return ()


def own_work(user: UserAssembly, file: Path) -> OwnWork:
    """Return the work of an assembly that was read from ``file``."""
    known = materials()
    row = OwnRow(
        tag=user.text.assembly,
        file_slug=_slug(user.text.assembly),
        file=file,
        service=user.text.service,
        design=_design(user),
        parts={p.key: p.kind for p in user.assembly},
        surfaces={p.key: tuple(s.name for s in p.surfaces) for p in user.assembly if p.surfaces},
        mass_kg={p.key: part_mass_kg(p) for p in user.assembly if p.material in known},
        values=user.values,
        upkeep=user.upkeep,
    )
    drawn = tuple(s for s in user.sequences if s.kind not in CHECKLISTS)
    return OwnWork(row, drawn, checklists=tuple(s for s in user.sequences if s.kind in CHECKLISTS))


def solid_assembly(row: OwnRow) -> Assembly:
    """Return the solids of an assembly, which knows what it was made from.

    Raises:
        FaultsFound: if a file was changed and cannot be read any more.
    """
    return replace(load_user_assembly(row.file).assembly, made_from=row.design.digest)


def _plan(row: OwnRow, sequence: Sequence) -> Plan:
    return resolve(
        sequence,
        Options(),
        row.parts,
        assembly=row.tag,
        mass_kg=row.mass_kg,
        lifting_limit_kg=LIFTING_LIMIT_KG,
        surfaces=row.surfaces,
    )


def _design(user: UserAssembly) -> TaskKey:
    """Return the key of its solids: what the file says of parts and what turns, and the files that it names."""
    files = {name: sha256(path.read_bytes()).hexdigest() for name, path in user.files}
    said = user.text.model_dump(mode="json", include={"parts", "turning", "up", "front"})
    code = code_hash(*MAKING, libraries=LIBRARIES)
    return task_key("design", own_parts=(said, files), code=code)


def _slug(name: str) -> str:
    found = re.sub(r"[^a-z0-9]+", "-", name.casefold())[:MOST_SLUG].strip("-")
    return found or "assembly"
