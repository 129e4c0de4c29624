"""Load a fleet: its file, tables, sizes, values, own cautions and sequences, all checked in one run.

API::

    load_fleet(path, sequences=SHIPPED) -> JudgedFleet    # FleetFaultsFound with every mistake of its files
    JudgedFleet.figures: dict[tag, HeadFigures]           # calculation sheets and doubts, worked out once
    Fleet.heads: tuple[FleetHead, ...]; .sequences: dict[kind, Sequence]; .catalogue; .booklet; .plant; .demo; .folder
    FleetHead.tag, .slug, .service, .size (geometry.size.Size), .options, .values (name -> ResolvedValue), .parts,
        .own_parts (part key -> geometry.own_parts.OwnPart), .process_temperature_c
    plan_head(head, sequence, mass_kg=None, raised=()) -> Plan
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path

from ..files.faults import Faults
from ..files.file_models import validate_file
from ..files.yaml_files import read_yaml
from ..fleet.fleet_file import FleetFile
from ..fleet.fleet_loader import Loader
from ..fleet.heads import Fleet, FleetHead
from ..steps.sequence_file import SHIPPED
from ..values.sourced_values import missing_values
from .calculation_sheets import SheetGroup
from .doubts import Doubt, FleetFaultsFound
from .head_calculations import calculations
from .plausibility import doubts, doubts_of_sound, marked


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


def load_fleet(path: Path, sequences: Iterable[str] = SHIPPED) -> JudgedFleet:
    """Return the fleet that a file describes.

    Args:
        path: the fleet file; all other files it names lie in its folder.
        sequences: kinds of sequence to load and to try on every head.

    Raises:
        FleetFaultsFound: with every mistake of the fleet file, its tables, its own cautions and sequences.
        FaultsFound: if the file cannot be read at all.
    """
    faults = Faults()
    doc = read_yaml(path, faults)
    text = validate_file(FleetFile, doc, faults) if doc else None
    if doc is None or text is None:
        faults.check()
        raise AssertionError("a file that cannot be read has a fault")
    loader = Loader(path, doc, text, faults)
    fleet = loader.load(tuple(sequences))
    if faults:
        missing = missing_values({h.tag: h.values for h in fleet.heads})
        raise FleetFaultsFound(faults, len(fleet.heads), doubts_of_sound(fleet.heads), missing)
    figures = {h.tag: _figures(h) for h in fleet.heads}
    heads = tuple(marked(h, figures[h.tag].doubts) for h in fleet.heads)
    return JudgedFleet(**{**vars(fleet), "heads": heads}, figures=figures)


def _figures(head: FleetHead) -> HeadFigures:
    sheets = calculations(head)
    return HeadFigures(sheets, doubts(head, sheets))
