"""A checked fleet: its heads with sizes, options and values, and the plan of each head."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from ...geometry.dimensions.options import Options
from ...geometry.dimensions.size import Size
from ...geometry.exchange.own_parts import OwnPart
from ..additions.additions import NO_ADDITIONS, Additions
from ..additions.amend import amended
from ..files.faults import likely
from ..steps.cautions import Catalogue
from ..steps.elastomer_cautions import elastomer_cautions
from ..steps.plan import Plan
from ..steps.resolve import LIFTING_LIMIT_KG, Raised, resolve
from ..steps.sequence_file import Sequence
from ..upkeep.as_found import AsFound
from ..upkeep.spare_parts import SparePart
from ..values.sourced_values import ResolvedValue
from .fleet_file import BookletText

NAME_PLATE = ("serial_number", "seal_code", "elastomer_code", "clearance_code")
"""Fields of a pump's name plate that the fleet file may hold."""


@dataclass(frozen=True)
class FleetHead:
    """One pump of the fleet, checked."""

    tag: str
    slug: str
    """Name of its folder: lower case, unique in the fleet."""
    service: str
    size: Size
    options: Options
    values: Mapping[str, ResolvedValue]
    """Every value that belongs to its options, known or blank."""
    parts: Mapping[str, str]
    """Part key to kind."""
    own_parts: Mapping[str, OwnPart] = field(default_factory=dict)
    process_temperature_c: float | None = None
    left_hand: frozenset[str] = frozenset()
    """Kinds of part that tighten anticlockwise."""
    product: tuple[str, ...] = ()
    """Classes of medium (see :mod:`...geometry.engineering.elastomers`) that the product belongs to."""
    cleaning: tuple[str, ...] = ()
    """Classes of the media it is cleaned with."""
    name_plate: Mapping[str, str] = field(default_factory=dict)
    """Field of the name plate (:data:`NAME_PLATE`) to what stands there, as far as it is on file."""
    spare_parts: Mapping[str, SparePart] = field(default_factory=dict)
    """Part key to part number, kind of spare and compound, where the fleet says them."""
    as_found: tuple[AsFound, ...] = ()
    """Clearances as earlier overhauls found them, the oldest first."""

    @property
    def lubricant(self) -> str | None:
        """Class of the O-ring lubricant, None where it is not on file."""
        given = self.values["assembly_lubricant"].given
        return (given.medium or None) if given else None

    @property
    def lifting_limit_kg(self) -> float:
        """Mass over which a step brings its lifting caution: the sourced limit, or our own screening figure."""
        limit = self.values["mass_limit"].nominal
        return LIFTING_LIMIT_KG if limit is None else limit


@dataclass(frozen=True)
class Fleet:
    """A fleet that has passed all checks."""

    file: Path
    plant: str
    demo: bool
    """The plant and its values are invented; every page says so."""
    note: str
    booklet: BookletText
    heads: tuple[FleetHead, ...]
    catalogue: Catalogue
    sequences: Mapping[str, Sequence]
    """Those with pictures and proof, by kind."""
    checklists: Mapping[str, Sequence]
    """Those that only tell what to do, by kind."""
    additions: Additions = field(default=NO_ADDITIONS, kw_only=True)
    """What the plant adds to them, for all pumps or some."""

    def sequences_for(self, head: FleetHead) -> tuple[Sequence, ...]:
        """Return the sequences with pictures and proof as one pump has them, with the plant's additions."""
        return self._amended(self.sequences, head)

    def checklists_for(self, head: FleetHead) -> tuple[Sequence, ...]:
        """Return the checklists as one pump has them, with the plant's additions."""
        return self._amended(self.checklists, head)

    def _amended(self, sequences: Mapping[str, Sequence], head: FleetHead) -> tuple[Sequence, ...]:
        mine = self.additions.for_pump((head.tag, head.size.name))
        return tuple(amended(s, mine) for s in sequences.values())

    @property
    def folder(self) -> Path:
        """The folder that holds all its files."""
        return self.file.parent

    def head(self, tag: str) -> FleetHead:
        """Return the head with this tag, in any case of letters.

        Raises:
            KeyError: naming the nearest tag, if there is none.
        """
        for h in self.heads:
            if h.tag.casefold() == tag.casefold():
                return h
        near = likely(tag, [h.tag for h in self.heads])
        raise KeyError(f"no pump {tag} in the fleet" + (f"; did you mean {near}?" if near else ""))


def plan_head(
    head: FleetHead,
    sequence: Sequence,
    mass_kg: Mapping[str, float] | None = None,
    raised: Iterable[Raised] = (),
) -> Plan:
    """Return the plan of one head, with the cautions that its elastomers and media raise.

    Its texts have their placeholders still: what stands for them is a matter of the page's language.
    See :func:`..steps.resolve.resolve` for ``mass_kg`` and further messages in ``raised``.
    """
    o = head.options
    met = elastomer_cautions(
        o.elastomer, o.cover_oring, head.product, head.cleaning, head.lubricant, head.process_temperature_c
    )
    return resolve(
        sequence,
        head.options,
        head.parts,
        assembly=head.tag,
        left_hand=head.left_hand,
        pitch_mm=head.size.pitches_mm,
        mass_kg=mass_kg,
        lifting_limit_kg=head.lifting_limit_kg,
        raised=(*met, *raised),
    )
