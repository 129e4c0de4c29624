"""Assemblies of a user's own that are no fluid head: solids in place, and sequence files over them.

    load_user_assembly(path) -> UserAssembly

One YAML file names the parts (a STEP or mesh file each, placed by its own frame or by turns and a shift) and the
sequence files, which are written as those over a head, with the part names of this file. The proof, the order graph and
the practice state are the same as a head's.

    assembly: Clamp
    parts:
      - {part: base, name: Base plate, file: base.step}
      - {part: pin, name: Pin, file: pin.step, shift_mm: [0, 0, 12]}
    turning: {parts: pin, about_mm: [0, 0, 12]}    # where a step turns something by hand
    sequences: [clamp.yaml]
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Annotated

from pydantic import Field

from ...geometry.assembly import Assembly, Elastic, Part
from ...geometry.dimensions.options import Options
from ...geometry.exchange.mesh_files import Unit
from ...geometry.exchange.own_parts import PART_ENDINGS, OwnPartError, read_solids, remarks_on
from ...geometry.frame import Place, X, Y, Z
from ...geometry.solid import Solid
from ...geometry.surfaces import Surface
from ..additions.additions import NO_ADDITIONS, Additions
from ..additions.amend import amended
from ..additions.check_additions import Pump, check_additions
from ..files.faults import Faults, FaultsFound
from ..files.file_models import ONE_OR_MANY, FileModel, Name, Text, validate_file
from ..files.file_paths import NamedFrom, file_in_folder
from ..files.spoken import Spoken
from ..files.yaml_files import Path as NodePath
from ..files.yaml_files import YamlFile, read_yaml
from ..steps.cautions import Catalogue, load_cautions
from ..steps.plan import Plan
from ..steps.resolve import resolve
from ..steps.sequence_file import Sequence as CheckedSequence
from ..steps.sequence_file import check_sequence_file
from ..upkeep.own_upkeep import OwnSymptomText, OwnTermText, OwnUpkeep, own_upkeep
from ..upkeep.spare_parts import SparePartText
from .fleet_additions import fleet_additions
from .fleet_file import BookletText, OwnPartText, TurnText
from .own_surfaces import SurfaceText, own_surfaces
from .own_values import OwnValue, OwnValueText, own_values
from .part_units import check_part_unit
from .turning_groups import Direction, TurningText, direction, turning_groups

_AXES = {"x": X, "y": Y, "z": Z}


class ElasticText(FileModel):
    """What an elastic part may do: its pressed shape as a solid of its own."""

    pressed: Text = Field(
        description="STEP or mesh file of the shape pressed in its place, in the part's own frame"
    )
    on_its_way: Text | None = Field(None, description="STEP or mesh file of the shape it takes on its way")
    squeeze_mm: float = Field(0.0, ge=0, le=50, description="how deep it is pressed")


class PartText(OwnPartText):
    """One part: its file and where it stands."""

    part: Name = Field(description="what sequences call it by, once in the file")
    kind: Name | None = Field(None, description="shared by equal parts; left out: the part's own name")
    name: Spoken = Field(description="what people call it")
    material: Spoken = Field("", description="what it is made of")
    colour: Annotated[Text, Field(pattern="^#[0-9a-fA-F]{6}$")] | None = Field(
        None, description="#rrggbb, drawn where the material has no look of its own"
    )
    turn: Annotated[list[TurnText], ONE_OR_MANY] = Field(
        default_factory=list, description="turns of the file's frame, first to last"
    )
    thread: bool = Field(False, description="fitted by turning")
    elastic: ElasticText | None = Field(None, description="for parts that give way")
    surfaces: list[SurfaceText] = Field(
        default_factory=list,
        description="where tools go on, and what is cleaned, lubricated or measured; left out: those of the first part "
        "of its kind and file",
    )


class UserAssemblyFile(FileModel):
    """A user's own assembly."""

    assembly: Text = Field(description="its name")
    service: Spoken = Field("", description="what it is for, in a few words")
    plant: Text | None = Field(None, description="whose it is; left out: the assembly's own name")
    demo: bool = Field(False, description="true where it is invented; every page then says so")
    booklet: BookletText = Field(
        default_factory=lambda: BookletText.model_validate({}),
        description="what its booklet says about itself",
    )
    cautions: Annotated[list[Text], ONE_OR_MANY] = Field(
        default_factory=list, description="files in this folder with safety messages of the owner's own"
    )
    values: dict[Name, OwnValueText] = Field(
        default_factory=dict, description="values that the sequences state, by name"
    )
    note: Text | None = Field(None, description="a remark for people who edit the file")
    up: Direction = Field("+y", description="the reader's up")
    front: Direction = Field("+z", description="where the person who does the work stands")
    parts: list[PartText] = Field(description="its parts, in any order")
    turning: Annotated[list[TurningText], ONE_OR_MANY] = Field(
        default_factory=list,
        description="what turns with the shafts, a group for each axis; the one turned first",
    )
    sequences: Annotated[list[Text], ONE_OR_MANY] = Field(description="sequence files over these parts")
    spare_parts: dict[Text, SparePartText] = Field(
        default_factory=dict, description="part numbers and kinds of spare, by kind of part or part"
    )
    symptoms: list[OwnSymptomText] = Field(
        default_factory=list, description="what goes wrong, and why, as its maker or its owner knows it"
    )
    terms: list[OwnTermText] = Field(default_factory=list, description="words that its booklet explains")
    additions: Text | None = Field(
        None,
        description="folder beside this file with notes, photos, steps and texts of the plant's own; left out: the "
        "folder additions, where there is one",
    )


@dataclass(frozen=True)
class UserAssembly:
    """The parts in place and the plans over them."""

    assembly: Assembly
    plans: tuple[Plan, ...]
    text: UserAssemblyFile
    """What the file says."""
    sequences: tuple[CheckedSequence, ...]
    """Those of the plans, in the same order."""
    values: Mapping[str, OwnValue] = field(default_factory=dict)
    """By name."""
    files: tuple[tuple[str, Path], ...] = ()
    """Every file that its solids are read from, by the name that it is given."""
    additions: Additions = NO_ADDITIONS
    """What the owner adds; its sequences hold it already."""
    upkeep: OwnUpkeep = field(default_factory=OwnUpkeep)
    """Spares, symptoms, terms."""

    @property
    def remarks(self) -> tuple[str, ...]:
        """What has to be known of parts that are meshes, each with the part's name."""
        return remarks_on(self.assembly)


def load_user_assembly(path: Path, catalogue: Catalogue | None = None) -> UserAssembly:
    """Return a user's assembly with its plans.

    Args:
        path: the file that names parts and sequences; all other files lie in its folder.
        catalogue: safety messages that the sequences may call on; left out: those of workshop work that come along,
            with those that the file names.

    Raises:
        FaultsFound: with every mistake of all files.
    """
    faults = Faults()
    doc = read_yaml(path, faults)
    text = validate_file(UserAssemblyFile, doc, faults) if doc else None
    if doc is None or text is None:
        faults.check()
        raise AssertionError("a file that cannot be read has a fault")
    loader = _Loader(path, doc, faults)
    parts = loader.parts(text.parts)
    values = own_values(text.values, doc, faults)
    known = catalogue or loader.catalogue(text)
    planned = loader.plans(text, known, tuple(values))
    turning = turning_groups(text.turning, [t.part for t in text.parts], doc, faults)
    kinds = {t.part: t.kind or t.part for t in text.parts}
    beside = own_upkeep(
        text.spare_parts, text.symptoms, text.terms, kinds, [p for _, p in planned], doc, faults
    )
    faults.check()
    assembly = Assembly(text.assembly, parts, direction(text.up), direction(text.front), turning)
    sequences, plans = zip(*planned, strict=True)
    files = tuple(sorted(loader.files.items()))
    return UserAssembly(assembly, plans, text, sequences, values, files, loader.additions, beside)


@dataclass
class _Loader:
    path: Path
    doc: YamlFile
    faults: Faults
    files: dict[str, Path] = field(default_factory=dict)
    """Those that solids are read from."""
    additions: Additions = NO_ADDITIONS
    """What the owner adds, once plans were asked for."""

    def catalogue(self, text: UserAssemblyFile) -> Catalogue:
        """Return the messages of workshop work, with the owner's own."""
        named = enumerate(text.cautions)
        own = [self._inside(name, ("cautions", n), (".yaml", ".yml")) for n, name in named]
        return load_cautions(*filter(None, own), faults=self.faults, workshop=True)

    def parts(self, texts: Sequence[PartText]) -> dict[str, Part]:
        parts: dict[str, Part] = {}
        solids, surfaces = self._solids(texts), self._surfaces(texts)
        for text in texts:
            solid = solids.get((text.file, text.unit))
            elastic = _elastic(text, solids)
            if text.part in parts:
                found, allowed = f"the part '{text.part}' again", "each part once"
                self.faults.add(
                    self.doc.fault((*text.path, "part"), found, allowed, "give it a name of its own")
                )
                continue
            if solid is None:
                continue
            parts[text.part] = Part(
                key=text.part,
                kind=text.kind or text.part,
                name=text.name,
                material=text.material,
                solid=solid,
                place=_place(text) if text.sound else Place(),
                elastic=elastic,
                thread=text.thread,
                surfaces=surfaces[text.part],
                colour=text.colour or "",
            )
        if not parts and not len(self.faults):
            self.faults.add(self.doc.fault(("parts",), "no parts", "at least one part"))
        return parts

    def _surfaces(
        self, texts: Iterable[PartText], faults: Faults | None = None
    ) -> dict[str, tuple[Surface, ...]]:
        """Return the surfaces of every part; equal parts share those of the first that has any."""
        first: dict[tuple[str, str], tuple[Surface, ...]] = {}
        found: dict[str, tuple[Surface, ...]] = {}
        for text in texts:
            own = own_surfaces(text.surfaces, self.doc, self.faults if faults is None else faults)
            found[text.part] = own or first.get((text.kind or text.part, text.file), ())
            first.setdefault((text.kind or text.part, text.file), found[text.part])
        return found

    def _solids(self, texts: Iterable[PartText]) -> dict[Asked, Solid]:
        """Return the solids of all files that can be read, all in one go; parts that name the same file share it."""
        asked: dict[Asked, NodePath] = {}
        for text in texts:
            check_part_unit(text, [name for name, _ in _files_of(text)], self.doc, self.faults)
            for name, at in _files_of(text):
                asked.setdefault((name, text.unit), at)
        files = {a: file for a, at in asked.items() if (file := self._inside(a[0], at, PART_ENDINGS))}
        self.files = {a[0]: file for a, file in files.items()}
        solids: dict[Asked, Solid] = {}
        # A file without its unit is read all the same: what else is wrong with it is told in the same run.
        for a, got in zip(files, read_solids([(file, a[1]) for a, file in files.items()]), strict=True):
            if isinstance(got, OwnPartError):
                fault = self.doc.fault(asked[a], f"'{a[0]}', {got.found}", got.allowed, got.fix)
                self.faults.add(fault)
            else:
                solids[a] = got
        return solids

    def _inside(self, name: str, at: NodePath, endings: tuple[str, ...]) -> Path | None:
        named = NamedFrom(self.path, self.doc, at, f"the folder of {self.path.name}")
        return file_in_folder(name, endings, named, self.faults)

    def plans(
        self, text: UserAssemblyFile, catalogue: Catalogue, values: tuple[str, ...]
    ) -> list[tuple[CheckedSequence, Plan]]:
        """Return the sequence and the plan of each sequence file."""
        kinds = {t.part: t.kind or t.part for t in text.parts}
        surfaces = {
            part: [s.name for s in found] for part, found in self._surfaces(text.parts, Faults()).items()
        }
        words = list(dict.fromkeys([*kinds.values(), *kinds]))
        found_sequences: list[CheckedSequence] = []
        first: dict[str, str] = {}
        for n, name in enumerate(text.sequences):
            file = self._inside(name, ("sequences", n), (".yaml", ".yml"))
            doc = read_yaml(file, self.faults, name) if file else None
            before = len(self.faults)
            sequence = check_sequence_file(doc, catalogue, self.faults, words, values) if doc else None
            if sequence is not None and sequence.kind in first:
                found = f"'{name}', which is the {sequence.kind} again"
                allowed = f"one sequence of each kind (the {sequence.kind} is {first[sequence.kind]})"
                self.faults.add(self.doc.fault(("sequences", n), found, allowed, "take one away"))
                continue
            if sequence is not None:
                first[sequence.kind] = name
            if sequence is not None and len(self.faults) == before:
                found_sequences.append(sequence)
        plans: list[tuple[CheckedSequence, Plan]] = []
        for sequence in self._with_additions(found_sequences, text, kinds, surfaces):
            try:
                plan = resolve(sequence, Options(), kinds, assembly=text.assembly, surfaces=surfaces)
                plans.append((sequence, plan))
            except FaultsFound as error:
                self.faults.extend(error.faults)
        if not len(self.faults) and not any(s.moves for _, plan in plans for s in plan.steps):
            found, allowed = "no step that fits or removes a part", "at least one sequence that moves parts"
            self.faults.add(self.doc.fault(("sequences",), found, allowed, "add one of its assembly"))
        return plans

    def _with_additions(
        self,
        sequences: list[CheckedSequence],
        text: UserAssemblyFile,
        kinds: Mapping[str, str],
        surfaces: Mapping[str, Sequence[str]],
    ) -> list[CheckedSequence]:
        """Return the sequences with the owner's additions; as they are where those are at fault."""
        before = len(self.faults)
        pumps = {text.assembly: text.assembly}
        self.additions = fleet_additions(text.additions, self.path, self.doc, pumps, self.faults)
        whole = Pump((text.assembly,), Options(), kinds, surfaces)
        check_additions(self.additions, sequences, [whole], self.faults)
        if len(self.faults) > before:
            return sequences
        return [amended(s, self.additions.for_pump(whole.names)) for s in sequences]


Asked = tuple[str, Unit | None]
"""A file by the name it is given, and the unit said of it."""


def _files_of(text: PartText) -> list[tuple[str, NodePath]]:
    """Return every file that a part names, and where; what was no text stands empty, has its fault, and is left out."""
    named: list[tuple[str, NodePath]] = [(text.file, (*text.path, "file"))]
    if text.elastic is not None:
        named.append((text.elastic.pressed, (*text.path, "elastic", "pressed")))
        if text.elastic.on_its_way:
            named.append((text.elastic.on_its_way, (*text.path, "elastic", "on_its_way")))
    return [n for n in named if n[0]]


def _elastic(text: PartText, solids: Mapping[Asked, Solid]) -> Elastic | None:
    given = text.elastic
    core = solids.get((given.pressed, text.unit)) if given else None
    if given is None or core is None:
        return None
    passing = solids.get((given.on_its_way, text.unit)) if given.on_its_way else None
    return Elastic(given.squeeze_mm, core, passing)


def _place(text: PartText) -> Place:
    place = Place()
    for turn in text.turn:
        place = Place.turn(turn.deg, _AXES[turn.about]) @ place
    return place.moved(*text.shift_mm)
