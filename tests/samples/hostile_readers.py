"""Every reader of files from elsewhere, with a good file of its kind: what it may answer to a bad one, and how soon.

READERS: dict[str, Reader]
attempt(reader, content, folder) -> str      # "read", or what it said; raises where it does anything else
"""

from __future__ import annotations

import csv
import io
import random
import time
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path
from tempfile import TemporaryDirectory
from unittest.mock import patch

from benchleaf.geometry.dimensions.options import Options
from benchleaf.geometry.dimensions.parts_list import part_kinds
from benchleaf.geometry.exchange.bounded import Refused
from benchleaf.geometry.exchange.mesh_files import Unit, read_mesh_here
from benchleaf.geometry.exchange.own_parts import OwnPartError, read_solids
from benchleaf.geometry.solid import Solid
from benchleaf.sequences.calculations.load_fleet import load_fleet
from benchleaf.sequences.files.faults import Faults, FaultsFound, unprintable
from benchleaf.sequences.files.yaml_files import read_yaml
from benchleaf.sequences.fleet import user_assembly
from benchleaf.sequences.fleet.file_kind import is_user_assembly
from benchleaf.sequences.proof.evidence import read_evidence
from benchleaf.sequences.records.read_records import read_record
from benchleaf.sequences.steps.cautions import load_cautions
from benchleaf.sequences.steps.resolve import check_plans
from benchleaf.sequences.steps.sequence_file import check_sequence_file
from benchleaf.site.build.kept_values import KeptValues, next_kept_values, read_kept_values
from benchleaf.site.build.languages.plant_words import own_words
from benchleaf.site.folders.marks import KEPT_VALUES
from benchleaf.site.words.languages.table_files import TableLine, read_table, table_bytes
from file_mutations import mutated, mutated_archive
from program_files import ROOT
from record_samples import as_csv, as_json, reading, record

SECONDS = 20.0
"""Processor time that no file of these sizes may take; most take hundredths."""
Read = Callable[[Path], object]


class Misread(AssertionError):
    """A reader that did something else than to read its file or to say what is wrong with it."""


@dataclass(frozen=True)
class Reader:
    """How one kind of file is read."""

    name: str
    """Of the file, with its ending."""
    good: Callable[[], bytes]
    read: Read
    refuses: tuple[type[Exception], ...] = (FaultsFound,)
    """What it may raise."""
    mutate: Callable[[bytes, random.Random], bytes] = mutated
    beside: dict[str, Callable[[], bytes]] = field(default_factory=dict)
    """Other files in the folder."""


def attempt(reader: Reader, content: bytes, folder: Path) -> str:
    """Let ``reader`` read ``content`` as a file of ``folder``, and return what it said of it, or ``read``.

    Raises:
        Misread: if it raises anything else, takes too long, writes a file, or says what cannot be printed.
    """
    for name, made in reader.beside.items():
        (folder / name).write_bytes(made())
    (folder / reader.name).write_bytes(content)
    before, start = _files(folder.parent), time.process_time()
    try:
        reader.read(folder / reader.name)
        said = "read"
    except reader.refuses as e:
        said = str(e)
        if isinstance(e, (FaultsFound, Refused)) and any(unprintable(line) for line in said.splitlines()):
            raise Misread(f"said what cannot be printed: {said!r}") from e
        if isinstance(e, FaultsFound) and not all(f.file and f.found and f.allowed for f in e.faults):
            raise Misread(f"a fault without words: {e}") from e
    except Exception as e:
        raise Misread(f"{type(e).__name__}: {e}") from e
    spent = time.process_time() - start
    if spent > SECONDS:
        raise Misread(f"{spent:.0f} s of processor time")
    if _files(folder.parent) != before:
        raise Misread("files were written or taken away")
    return said


def _files(folder: Path) -> set[tuple[str, int]]:
    return {(str(p), p.lstat().st_size) for p in folder.rglob("*")}


# ------------------------------------------------------------------ the good files
SIZES = """\
sizes:
  80:
    shaft_centre_distance_mm: 80
    rotor_diameter_mm: 113.6
    rotor_width_mm: 56
    shaft_diameter_mm: 30.4
    port_bore_mm: 48
    overrides: {wall_mm: 16.5, studs: 6}
    left_hand_threads: rotor_nut
    values:
      rotor_nut_torque: {value: 50, tolerance: 3, unit: N·m, threads: dry, source: {document: M}, date: 2031-01-01}
      radial_clearance: {range: [0.06, 0.11], unit: mm, source: {document: M}, date: 2031-01-01}
"""
FLEET = f"""\
plant: Seaview Works (invented)
demo: true
note: "a remark: with a colon"
booklet: {{title: Heads, revision: 3, date: 2031-03-14, languages: en, jpeg: false}}
cautions: [own.yaml]
values:
  mass_limit: {{value: 15, unit: kg, source: {{document: Rule, revision: 1}}, date: 2030-01-20}}
  assembly_lubricant:
    value: grease
    medium: silicone-grease
    source: {{document: List}}
    date: 2030-09-09
  food_contact_registration:
{SIZES}
heads:
  - tag: P-1
    service: >-
      whey
      to the drier
    size: 80
    seal: double
    cover: relief
    product: [essential-oils, fats-and-vegetable-oils]
    process_temperature_c: 60
    own_parts:
      rotor: {{file: own.stl, unit: mm, turn: {{about: z, deg: 90}}, shift_mm: [0, 0, 1]}}
  - {{tag: P 2, size: 80, rotor: two-wing, cleaning: caustic-cleaner}}
"""
CAUTIONS = """\
cautions:
  - id: own_one
    signal_word: WARNING
    hazard_kind: pressure
    hazard: Pressure.
    consequence: It could spray.
    avoidance: Vent it.
    brought_by: [{at: step, when: {seal: double, not: {cover: relief}}, touching: [rotor], stages: solvent}]
"""
TABLE = """\
tag;service;size;seal;process_temperature_c;product;rotor_nut_torque.value;rotor_nut_torque.unit;rotor_nut_torque.document;rotor_nut_torque.date
P-1;"whey; hot";80;double;60;essential-oils + ozone;50;N·m;Manual;2031-01-01
P-2;;80;;;;;;;
P-3;"a ""quoted""
line";80;single;8.5;;;;;
"""
WITH_TABLE = "plant: Seaview Works (invented)\n{}heads_table: {}\n"
ASSEMBLY = """\
assembly: Clamp
up: +y
parts:
  - {part: base, name: Base plate, file: base.ply, unit: mm}
  - {part: pin, name: Pin, file: pin.stl, unit: mm, turn: [{about: x, deg: 90}], shift_mm: [0, 0, 12], thread: true}
  - part: ring
    name: Ring
    file: ring.stl
    unit: mm
    elastic: {pressed: pin.stl, squeeze_mm: 0.4}
turning: {parts: [pin], about_mm: [0, 0, 12]}
sequences: [fit.yaml]
"""


FIT = """\
sequence: assembly
title: Fit the clamp
given: base
sections: [{id: all, title: All}]
steps:
  - {id: pin, section: all, title: Fit the pin, fit: pin, cautions: [pinch_rotors]}
  - {id: ring, section: all, title: Fit the ring, fit: ring, cautions: [pinch_rotors], turn_shafts_deg: 90}
"""


def _steps(name: str, count: int) -> Callable[[], bytes]:
    def cut() -> bytes:
        text = (ROOT / "sequences" / "data" / f"{name}.yaml").read_text("utf-8")
        head, _, steps = text.partition("\nsteps:\n")
        return "\n  - id: ".join([f"{head}\nsteps:", *steps.split("\n  - id: ")[1 : count + 1]]).encode()

    return cut


@lru_cache
def _workbook() -> bytes:
    from openpyxl import Workbook

    book = Workbook()
    sheet = book.active
    assert sheet is not None
    for row in csv.reader(io.StringIO(TABLE, newline=""), delimiter=";"):
        sheet.append([c or None for c in row])
    sheet.append(["P-9", None, 80, "single", 12.5])
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def _read_sequence(file: Path) -> None:
    faults = Faults()
    doc = read_yaml(file, faults)
    catalogue = load_cautions()
    sequence = check_sequence_file(doc, catalogue, faults) if doc else None
    faults.check()
    assert sequence is not None
    found = [Options(), Options(seal="double", cover="relief")]
    check_plans(sequence, [(o, part_kinds(o)) for o in found], faults)
    faults.check()


def _read_cautions(file: Path) -> None:
    load_cautions(file)


@lru_cache(maxsize=64)
def _solid(ending: str, content: bytes, unit: Unit | None) -> Solid | OwnPartError:
    with TemporaryDirectory() as folder:
        file = Path(folder) / f"part{ending}"
        file.write_bytes(content)
        return read_solids([(file, unit)])[0]


def _solids(files: Iterable[tuple[Path, Unit | None]]) -> list[Solid | OwnPartError]:
    """Return what is read of each file; of the same content only once, for a process begins for it."""
    return [_solid(file.suffix, file.read_bytes(), unit) for file, unit in files]


def _read_assembly(file: Path) -> None:
    is_user_assembly(file)
    with patch.object(user_assembly, "read_solids", _solids):
        user_assembly.load_user_assembly(file)


def _read_fleet(file: Path) -> None:
    load_fleet(file, sequences=())


def _read_table(file: Path) -> None:
    load_fleet(file.with_name("fleet.yaml"), sequences=())


def _mesh(ending: str) -> Callable[[], bytes]:
    @lru_cache
    def made() -> bytes:
        import cadquery as cq
        from mesh_samples import in_format, mesh_solid, soup

        return in_format(*soup(mesh_solid(cq.Workplane().box(4, 3, 2).faces(">Z").hole(1))), ending)

    return made


def _read_mesh(file: Path) -> None:
    read_mesh_here(file, "mm" if file.suffix in (".stl", ".obj", ".ply") else None)


@lru_cache
def _evidence() -> bytes:
    """Return evidence of two boxes that are put on each other, one of them in two ways."""
    import cadquery as cq
    from benchleaf.geometry.assembly import Assembly, Part
    from benchleaf.geometry.frame import Place
    from benchleaf.sequences.proof.prove import prove
    from benchleaf.sequences.steps.plan import Leg, Move, Plan, Section, Step
    from benchleaf.sequences.work.json_data import json_bytes
    from sample_solids import solid_of

    solid = solid_of(cq.Workplane().box(10, 8, 4, centered=(True, True, False)))
    places = {"base": 0.0, "lid": 4.0, "cap": 8.0}
    parts = {k: Part(k, k, k, "", solid, Place.at(0, 0, z)) for k, z in places.items()}
    down, here = (Leg((0.0, 0.0, -1.0)),), ("base",)
    steps = (
        Step(1, "lid", "all", "Fit the lid", here, (Move(("lid",), down, True),)),
        Step(2, "cap", "all", "Fit the cap", (*here, "lid"), (Move(("cap",), down, True),)),
    )
    plan = Plan("assembly", "Assembly", "Box", (Section("all", "All"),), steps, here)
    return json_bytes(prove(Assembly("Box", parts), plan, workers=1))


JOB = record(
    "2031-01-01",
    [reading("drive", "0.12", calibration="FG-1"), reading("driven", "=0.13", "as left", clicked=True)],
    ticks=[{"sequence": "assembly", "id": "lid", "step": 3, "at": "2031-01-01T08:00:01Z"}],
    photos=[{"id": "p", "at": "2031-01-01T08:00:01Z", "data": "data:image/png;base64,iVBORw0KGgo="}],
)


def _read_job(file: Path) -> None:
    faults = Faults()
    read_record(file, faults)
    faults.check()


def _read_kept(mark: Path) -> None:
    read_kept_values(mark.parent)


@lru_cache
def _kept_values() -> bytes:
    with TemporaryDirectory() as folder:
        file = Path(folder) / "fleet.yaml"
        file.write_text(WITH_TABLE.format(SIZES, "rows.csv"), "utf-8")
        file.with_name("rows.csv").write_text(TABLE, "utf-8")
        next_kept_values(KeptValues(), load_fleet(file, sequences=()).heads).write(Path(folder))
        return (Path(folder) / KEPT_VALUES).read_bytes()


def _beside_assembly() -> dict[str, Callable[[], bytes]]:
    return {
        "base.ply": _mesh("ply"),
        "pin.stl": _mesh("stl"),
        "ring.stl": _mesh("stl"),
        "fit.yaml": FIT.encode,
    }


def _with_table(name: str) -> dict[str, Callable[[], bytes]]:
    return {"fleet.yaml": WITH_TABLE.format(SIZES, name).encode}


WORDS = (
    TableLine("steps.count.other", "pages", "{count} steps", "{count} étapes", "translated"),
    TableLine("", "assembly > title", "Assembly", "", "missing"),
    TableLine("", "cautions > x", 'Line "one"', "Ligne «un»", "stale", "Line"),
)


def _words(ending: str) -> Callable[[], bytes]:
    return lambda: table_bytes(Path(f"words-fr{ending}"), "fr", WORDS)


def _read_words(path: Path) -> object:
    faults = Faults()
    table = read_table(path, faults)
    if table is not None:
        own_words(table, (), faults, [])
    faults.check()
    return table


READERS: dict[str, Reader] = {
    "fleet": Reader(
        "fleet.yaml", FLEET.encode, _read_fleet, beside={"own.yaml": CAUTIONS.encode, "own.stl": FIT.encode}
    ),
    "cautions": Reader("own.yaml", CAUTIONS.encode, _read_cautions),
    "sequence": Reader("steps.yaml", _steps("assembly", 14), _read_sequence),
    "inspection": Reader("look.yaml", _steps("inspection", 9), _read_sequence),
    "table": Reader("rows.csv", TABLE.encode, _read_table, beside=_with_table("rows.csv")),
    "workbook": Reader(
        "rows.xlsx", _workbook, _read_table, mutate=mutated_archive, beside=_with_table("rows.xlsx")
    ),
    "translations": Reader("words-fr.xlsx", _words(".xlsx"), _read_words, mutate=mutated_archive),
    "PO file": Reader("words-fr.po", _words(".po"), _read_words),
    "assembly": Reader("clamp.yaml", ASSEMBLY.encode, _read_assembly, beside=_beside_assembly()),
    "STL": Reader("part.stl", _mesh("stl"), _read_mesh, (Refused,)),
    "OBJ": Reader("part.obj", _mesh("obj"), _read_mesh, (Refused,)),
    "PLY": Reader("part.ply", _mesh("ply"), _read_mesh, (Refused,)),
    "3MF": Reader("part.3mf", _mesh("3mf"), _read_mesh, (Refused,), mutated_archive),
    "GLB": Reader("part.glb", _mesh("glb"), _read_mesh, (Refused,)),
    "kept values": Reader(KEPT_VALUES, _kept_values, _read_kept, ()),
    "record": Reader("record.json", lambda: as_json(JOB).encode(), _read_job),
    "record's table": Reader("record.csv", lambda: as_csv(JOB).encode(), _read_job),
    "evidence": Reader("assembly.json", _evidence, read_evidence, (ValueError,)),
}
