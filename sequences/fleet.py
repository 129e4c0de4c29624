"""Load a fleet: its file, tables, sizes, values, own cautions and sequences, all checked in one run.

API::

    load_fleet(path, sequences=SHIPPED) -> Fleet          # FaultsFound with every mistake of all its files
    Fleet.heads: tuple[FleetHead, ...]; .sequences: dict[kind, Sequence]; .catalogue; .booklet; .plant; .demo; .folder
    FleetHead.tag, .slug, .service, .size (geometry.size.Size), .options, .values (name -> ResolvedValue), .parts,
        .own_parts (part key -> geometry.own_parts.OwnPart), .process_temperature_c
    plan_head(head, sequence, mass_kg=None, raised=()) -> Plan
    asked_values(plans) -> dict[value name, tuple of steps in words]
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path

from ..geometry.options import Options
from ..geometry.own_parts import OwnPart
from ..geometry.size import Size
from .cautions import Catalogue
from .faults import Faults, FaultsFound, likely
from .fleet_file import BookletText, FleetFile
from .media import elastomer_cautions
from .models import validate_file
from .plan import Plan
from .resolve import LIFTING_LIMIT_KG, Raised, resolve
from .sequence_file import SHIPPED, Sequence
from .values import ResolvedValue, missing_values
from .yaml_files import read_yaml

IN_DOUBT = " (in doubt: see the figures before you use it)"
"""What follows a value in a step's own words when a figure speaks against it."""


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
    """Classes of medium (see :mod:`..geometry.elastomers`) that the product belongs to."""
    cleaning: tuple[str, ...] = ()
    """Classes of the media it is cleaned with."""

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


def load_fleet(path: Path, sequences: Iterable[str] = SHIPPED) -> Fleet:
    """Return the fleet that a file describes.

    Args:
        path: the fleet file; all other files it names lie in its folder.
        sequences: kinds of sequence to load and to try on every head.

    Raises:
        FaultsFound: with every mistake of the fleet file, its tables, its own cautions and sequences.
    """
    faults = Faults()
    doc = read_yaml(path, faults)
    text = validate_file(FleetFile, doc, faults) if doc else None
    if doc is None or text is None:
        faults.check()
        raise AssertionError("a file that cannot be read has a fault")
    from .fleet_loader import Loader  # it makes what this module defines

    loader = Loader(path, doc, text, faults)
    fleet = loader.load(tuple(sequences))
    from .doubts import marked, said_beside_faults  # they look at what this module defines

    if faults:
        raise FaultsFound(faults, said_beside_faults(fleet.heads), _blanks(fleet.heads))
    return replace(fleet, heads=tuple(marked(h) for h in fleet.heads))


def _blanks(heads: tuple[FleetHead, ...]) -> list[str]:
    """Return the titles of values that heads lack, each with their tags."""
    lacking: dict[str, list[str]] = {}
    for m in missing_values({h.tag: h.values for h in heads}):
        lacking.setdefault(m.title, []).append(m.tag)
    most = len(heads)
    return [
        f"{title} ({f'all {most} pumps' if len(tags) == most > 1 else ', '.join(tags)})"
        for title, tags in lacking.items()
    ]


def plan_head(
    head: FleetHead,
    sequence: Sequence,
    mass_kg: Mapping[str, float] | None = None,
    raised: Iterable[Raised] = (),
) -> Plan:
    """Return the plan of one head, with the cautions that its elastomers and media raise.

    See :func:`.resolve.resolve` for ``mass_kg`` and further messages in ``raised``.
    """
    size, o = head.size, head.options
    met = elastomer_cautions(
        o.elastomer, o.cover_oring, head.product, head.cleaning, head.lubricant, head.process_temperature_c
    )
    return resolve(
        sequence,
        head.options,
        head.parts,
        assembly=head.tag,
        values={v.name: f"{v.text}{IN_DOUBT if v.doubt else ''}" for v in head.values.values() if v.known},
        left_hand=head.left_hand,
        pitch_mm={
            "rotor_nut": size.rotor_thread.pitch_mm,
            "cover_nut": size.stud_thread.pitch_mm,
            "body_screw": size.body_screw_thread.pitch_mm,
            "relief_screw": size.relief_screw_thread.pitch_mm,
        },
        mass_kg=mass_kg,
        lifting_limit_kg=head.lifting_limit_kg,
        raised=(*met, *raised),
    )


def asked_values(plans: Iterable[Plan]) -> dict[str, tuple[str, ...]]:
    """Return the values that plans ask for, each with the steps that do, in words."""
    found: dict[str, list[str]] = {}
    for plan in plans:
        for step in plan.steps:
            names = [*step.values, *(m.value for m in step.measure if m.value)]
            for name in dict.fromkeys(names):
                found.setdefault(name, []).append(f"{plan.title}, step {step.number}")
    return {name: tuple(steps) for name, steps in found.items()}
