"""Load a fleet: its file, tables, sizes, values, own cautions and sequences, all checked in one run.

API::

    load_fleet(path, sequences=SHIPPED, open_parts=False) -> JudgedFleet   # FleetFaultsFound with every mistake
    JudgedFleet.figures: dict[tag, HeadFigures]           # calculation sheets and doubts, worked out once
    Fleet.heads: tuple[FleetHead, ...]; .sequences: dict[kind, Sequence]; .catalogue; .booklet; .plant; .demo; .folder
    FleetHead.tag, .slug, .service, .size (geometry.size.Size), .options, .values (name -> ResolvedValue), .parts,
        .own_parts (part key -> geometry.own_parts.OwnPart), .process_temperature_c
    plan_head(head, sequence, mass_kg=None, raised=()) -> Plan
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from ...geometry.engineering.elastomers import media
from ..files.faults import Faults
from ..files.file_models import validate_file
from ..files.yaml_files import YamlFile, read_yaml
from ..fleet.fleet_file import FleetFile
from ..fleet.fleet_loader import Loader
from ..fleet.heads import Fleet, FleetHead
from ..fleet.own_part_check import check_own_parts
from ..steps.sequence_file import SHIPPED
from ..values.sourced_values import missing_values
from .calculation_sheets import SheetGroup
from .doubts import Doubt, FleetFaultsFound
from .head_calculations import calculations
from .plausibility import doubts, marked


@dataclass(frozen=True)
class HeadFigures:
    """What is worked out of a head's data without its solids."""

    sheets: tuple[SheetGroup, ...]
    """Its calculation sheets but that of the masses."""
    doubts: tuple[Doubt, ...]
    """What speaks against its data."""


@dataclass(frozen=True)
class JudgedFleet(Fleet):
    """A fleet whose figures are worked out, so that nobody who takes it need do so again."""

    figures: Mapping[str, HeadFigures]
    """By plant tag."""
    remarks: tuple[str, ...] = ()
    """What has to be known of own parts that are meshes, where these were opened."""


def load_fleet(
    path: Path,
    sequences: Iterable[str] = SHIPPED,
    open_parts: bool = False,
    also: Callable[[Fleet, YamlFile, Faults], object] | None = None,
) -> JudgedFleet:
    """Return the fleet that a file describes.

    Args:
        path: the fleet file; all other files it names lie in its folder.
        sequences: kinds of sequence to load and to try on every head.
        open_parts: whether own parts are read, and held against the parts that they stand for; that takes seconds.
        also: a further check of the fleet and its file, which adds its mistakes to those of this run.

    Raises:
        FleetFaultsFound: with every mistake of the fleet file, its tables, its own cautions, sequences and parts.
        FaultsFound: if the file cannot be read at all.
        ReaderFailed: if the child that reads own parts cannot begin.
    """
    faults = Faults()
    doc = read_yaml(path, faults)
    text = validate_file(FleetFile, doc, faults) if doc else None
    if doc is None or text is None:
        faults.check()
        raise AssertionError("a file that cannot be read has a fault")
    loader = Loader(path, doc, text, faults)
    fleet = loader.load(tuple(sequences))
    if also is not None:
        also(fleet, doc, faults)
    remarks: tuple[str, ...] = ()
    if open_parts and loader.named_parts:
        remarks = check_own_parts(loader.named_parts, {h.tag: h for h in fleet.heads}, faults)
    if faults:
        missing = missing_values({h.tag: h.values for h in fleet.heads})
        raise FleetFaultsFound(faults, len(fleet.heads), _doubts_of_sound(fleet.heads), missing)
    figures = figures_of(fleet.heads)
    heads = tuple(marked(h, figures[h.tag].doubts) for h in fleet.heads)
    return JudgedFleet(**{**vars(fleet), "heads": heads}, figures=figures, remarks=remarks)


def figures_of(heads: Iterable[FleetHead]) -> dict[str, HeadFigures]:
    """Return what is worked out of each head, by plant tag; heads that only their names tell apart share it.

    Raises:
        ValueError: for a head whose size cannot be built with its options.
    """
    made: dict[str, HeadFigures] = {}
    found: dict[str, HeadFigures] = {}
    for head in heads:
        asked = _asked(head)
        if asked not in made:
            sheets = calculations(head)
            made[asked] = HeadFigures(sheets, doubts(head, sheets))
        shared = made[asked]
        found[head.tag] = replace(shared, doubts=tuple(replace(d, tag=head.tag) for d in shared.doubts))
    return found


def _asked(head: FleetHead) -> str:
    """Return all that a head's figures are worked out from, digit by digit: 2.1 and 2.10 are printed differently."""
    return repr({name: v for name, v in vars(head).items() if name not in _NAMES})


_NAMES = ("tag", "slug", "service", "own_parts", "name_plate", "spare_parts", "as_found")
"""What no figure comes from."""


def _doubts_of_sound(heads: Iterable[FleetHead]) -> list[Doubt]:
    """Return the doubts of heads from a fleet that holds faults.

    A head whose size or options are themselves at fault cannot be worked out; its fault is told, and it is left out.
    A medium that no table holds is left out too.
    """
    made: dict[str, tuple[Doubt, ...]] = {}
    found: list[Doubt] = []
    for head in heads:
        product = tuple(m for m in head.product if m in media())
        cleaning = tuple(m for m in head.cleaning if m in media())
        sound = replace(head, product=product, cleaning=cleaning)
        asked = _asked(sound)
        if asked not in made:
            try:
                made[asked] = doubts(sound)
            except ValueError:
                made[asked] = ()
        found += [replace(d, tag=head.tag) for d in made[asked]]
    return found
