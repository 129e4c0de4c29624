"""The run over all files of a fleet: heads, sizes, tables, own parts, own cautions and sequences."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path

from ...geometry.dimensions.options import Options
from ...geometry.dimensions.parts_list import KINDS, part_kinds
from ...geometry.dimensions.size import Size, SizeError, SizeFault, make_size, measured_fields
from ...geometry.dimensions.size_checks import check_options
from ...geometry.exchange.own_parts import PART_ENDINGS, OwnPart
from ...geometry.frame import Place, X, Y, Z
from ..additions.check_additions import Pump, check_additions
from ..files.faults import Faults, any_of, likely
from ..files.file_models import validate_file
from ..files.file_paths import NamedFrom, file_in_folder
from ..files.yaml_files import Path as NodePath
from ..files.yaml_files import YamlFile, read_yaml
from ..steps.cautions import Catalogue, load_cautions
from ..steps.conditions import OPTION_NAMES
from ..steps.resolve import check_plans
from ..steps.sequence_file import CHECKLISTS, Sequence, check_sequence_file, load_sequence, single_parts
from ..upkeep.as_found import gather_as_found
from ..upkeep.spare_parts import SparePart, gather_spares, other_elastomer, spares_of
from ..values.head_values import resolve_values
from ..values.sourced_values import ChosenRule, SourcedValue
from .fleet_additions import fleet_additions
from .fleet_file import FleetFile, HeadText, OwnPartText, SizeText, slug_of
from .fleet_tables import read_table
from .fleet_values import check_against_head, check_medium, check_rule, gather_values
from .heads import NAME_PLATE, Fleet, FleetHead
from .own_part_check import NamedPart
from .part_units import check_part_unit

_AXES = {"x": X, "y": Y, "z": Z}


@dataclass
class Loader:
    """The state of one run over all files of a fleet."""

    path: Path
    doc: YamlFile
    text: FleetFile
    faults: Faults
    unfit: set[tuple[str, str, str]] = field(default_factory=set)
    named_parts: list[NamedPart] = field(default_factory=list)
    """Every place that names the file of an own part."""

    def load(self, kinds: tuple[str, ...]) -> Fleet:
        rows = [(h, self.doc) for h in self.text.heads]
        if self.text.heads_table:
            rows += self._table_rows(self.text.heads_table)
        if not rows and not len(self.faults):
            fix = "add a pump under heads, or name a table under heads_table"
            self.faults.add(self.doc.fault((), "no heads", "at least one pump", fix))
        self._check_tags(rows)
        sizes = {name: self._size(name, size) for name, size in self.text.sizes.items()}
        shared = gather_values(self.text.values, self.doc, "fleet", self.faults)
        of_size = {
            n: gather_values(s.values, self.doc, "size", self.faults) for n, s in self.text.sizes.items()
        }
        rule = check_rule(self.text.decision_rule, self.doc, self.faults)
        any_part = (*KINDS, *single_parts())
        spares = {
            n: gather_spares(s.spare_parts, self.doc, any_part, self.faults)
            for n, s in self.text.sizes.items()
        }
        heads = []
        for row, doc in rows:
            head = self._head(row, doc, sizes, shared, of_size, rule, spares.get(row.size, {}))
            if head is not None:
                heads.append(head)
        self._check_size_spares(heads)
        own_cautions = [
            f
            for n, name in enumerate(self.text.cautions)
            if (f := self._inside(name, ("cautions", n), (".yaml", ".yml")))
        ]
        catalogue = load_cautions(*own_cautions, faults=self.faults)
        loaded = self._sequences((*kinds, *CHECKLISTS), catalogue, heads)
        sizes_of = {row.tag: str(row.size) for row, _ in rows if row.tag}
        additions = fleet_additions(self.text.additions, self.path, self.doc, sizes_of, self.faults)
        pumps = [Pump((h.tag, h.size.name), h.options, h.parts) for h in heads]
        check_additions(additions, loaded.values(), pumps, self.faults)
        return Fleet(
            self.path,
            self.text.plant,
            self.text.demo,
            self.text.note or "",
            self.text.booklet,
            tuple(heads),
            catalogue,
            {kind: loaded[kind] for kind in kinds},
            {kind: loaded[kind] for kind in CHECKLISTS},
            additions=additions,
        )

    # ---- files in the folder
    def _inside(
        self, name: str, at: NodePath, endings: tuple[str, ...], doc: YamlFile | None = None
    ) -> Path | None:
        named = NamedFrom(self.path, doc or self.doc, at, "the fleet's folder")
        return file_in_folder(name, endings, named, self.faults)

    def _table_rows(self, name: str) -> list[tuple[HeadText, YamlFile]]:
        path = self._inside(name, ("heads_table",), (".csv", ".xlsx"))
        table = read_table(path, self.faults, name) if path else None
        if table is None:
            return []
        known = {"plant": "-", "sizes": {}, **table.data}
        probe = type(table)(table.file, known, table.values, table.keys, table.cells)
        model = validate_file(FleetFile, probe, self.faults)
        return [(h, table) for h in model.heads] if model else []

    # ---- sizes and heads
    def _check_tags(self, rows: list[tuple[HeadText, YamlFile]]) -> None:
        first: dict[str, tuple[YamlFile, int, str]] = {}
        for row, doc in rows:
            if not row.tag:
                continue
            slug = slug_of(row.tag)
            line = doc.mark((*row.path, "tag"))[0]
            if slug in first:
                other, there, tag = first[slug]
                said = (
                    f"{row.tag} a second time"
                    if tag == row.tag
                    else f"{row.tag}, which names the same folder as {tag}"
                )
                allowed = (
                    f"each tag once, large and small letters alike (first in {other.file}, line {there})"
                )
                self.faults.add(doc.fault((*row.path, "tag"), said, allowed, "rename one of them"))
            first.setdefault(slug, (doc, line, row.tag))

    def _size(self, name: str, text: SizeText) -> Size | None:
        if not text.sound and not all(getattr(text, f, None) for f in measured_fields()):
            return None
        measured = {f: float(getattr(text, f)) for f in measured_fields()}
        given = text.overrides.model_dump() if text.overrides else {}
        overrides = {k: float(v) for k, v in given.items() if v is not None}
        try:
            return make_size(name, measured, overrides)
        except SizeError as error:
            for f in error.faults:
                at = (*text.path, f.field) if f.field in measured else (*text.path, "overrides", f.field)
                self._size_fault(self.doc, at, f)
            return None

    def _size_fault(self, doc: YamlFile, at: NodePath, f: SizeFault, also: str = "") -> None:
        self.faults.add(doc.fault(at, f"{f.field} {f.found}{also}", f.allowed, f.fix))

    def _check_size_spares(self, heads: list[FleetHead]) -> None:
        """Note what a size says of a part that none of its pumps has: its number would never be seen."""
        for name, text in self.text.sizes.items():
            of_size = [h for h in heads if h.size.name == name]
            there = {word for h in of_size for pair in h.parts.items() for word in pair}
            for word, said in text.spare_parts.items() if of_size else ():
                if word in (*KINDS, *single_parts()) and word not in there:
                    allowed = f"parts of the pumps of size {name}"
                    self.faults.add(
                        self.doc.fault(said.path, f"the part '{word}'", allowed, "take it away", key=True)
                    )

    def _head(
        self,
        row: HeadText,
        doc: YamlFile,
        sizes: Mapping[str, Size | None],
        shared: Mapping[str, SourcedValue | None],
        of_size: Mapping[str, Mapping[str, SourcedValue | None]],
        rule: ChosenRule | None,
        spares: Mapping[str, SparePart],
    ) -> FleetHead | None:
        named = self.doc.data.get("sizes") if isinstance(self.doc.data.get("sizes"), dict) else {}
        if row.size and row.size not in named:
            near = likely(row.size, named, 50)
            fix = f"write {near}" if near else "describe the size under sizes"
            self.faults.add(
                doc.fault(
                    (*row.path, "size"), f"the size '{row.size}'", any_of(named) or "a size under sizes", fix
                )
            )
        own = gather_values(row.values, doc, "head", self.faults)
        size, options = sizes.get(row.size), self._options(row, doc)
        given = {**shared, **of_size.get(row.size, {}), **own}
        known = {n: replace(v, rule=v.rule or rule) for n, v in given.items() if v is not None}
        if options is not None:
            check_against_head(row, doc, options, known, self.faults)
        met = self._media(row, doc, known)
        as_found = gather_as_found(row.as_found, doc, self.faults)
        if size is None or options is None:
            return None
        self._check_built(row, doc, size, options)
        parts = part_kinds(options, studs=int(size.studs), seal_pins=int(size.seal_pins))
        words = list(dict.fromkeys((*parts.values(), *parts)))
        of_pump = gather_spares(row.spare_parts, doc, words, self.faults, KINDS)
        spare_parts = spares_of(parts, spares, of_pump)
        self._check_compounds(row, doc, options, parts, spare_parts)
        return FleetHead(
            tag=row.tag,
            slug=slug_of(row.tag),
            service=row.service,
            size=size,
            options=options,
            values=resolve_values(known, options),
            parts=parts,
            own_parts=self._own_parts(row, doc, parts),
            process_temperature_c=row.process_temperature_c,
            left_hand=frozenset(self.text.sizes[row.size].left_hand_threads),
            name_plate={n: text for n in NAME_PLATE if (text := getattr(row, n))},
            spare_parts=spare_parts,
            as_found=as_found,
            **met,
        )

    def _options(self, row: HeadText, doc: YamlFile) -> Options | None:
        """Return the row's options, None where one of them could not be read."""
        raw = doc.data["heads"][row.path[-1]]
        read = all(raw[n] == getattr(row, n) for n in OPTION_NAMES if n in raw)
        return row.options() if read else None

    def _media(
        self, row: HeadText, doc: YamlFile, known: Mapping[str, SourcedValue]
    ) -> dict[str, tuple[str, ...]]:
        """Return the classes of what the head meets, those of the table only; the others are noted."""
        for key in ("product", "cleaning"):
            for n, name in enumerate(getattr(row, key)):
                at = (*row.path, key, n)
                check_medium(name, at if at in doc.values else at[:-1], doc, self.faults)
        agent = known.get("cleaning_agent")
        cleaning = [*row.cleaning, *([agent.medium] if agent and agent.medium else [])]
        return {"product": tuple(row.product), "cleaning": tuple(dict.fromkeys(cleaning))}

    def _check_compounds(
        self,
        row: HeadText,
        doc: YamlFile,
        options: Options,
        parts: Mapping[str, str],
        spares: Mapping[str, SparePart],
    ) -> None:
        """Note, once a kind, a compound that names another elastomer than the pump has."""
        told = set()
        for key, spare in spares.items():
            other = other_elastomer(spare.compound, options.elastomer)
            jacketed = parts[key] == "cover_oring" and options.cover_oring == "ptfe-encapsulated"
            if other and not jacketed and parts[key] not in told:
                told.add(parts[key])
                found = f"{options.elastomer}, and {parts[key]} of {spare.compound}"
                fix = f"give {parts[key]} of this pump its own number and compound under spare_parts"
                at = (*row.path, "elastomer")
                self.faults.add(doc.fault(at, found, f"O-rings of {options.elastomer}", fix))

    def _check_built(self, row: HeadText, doc: YamlFile, size: Size, options: Options) -> None:
        """Note, once for each size and form, what the options ask of the size."""
        try:
            check_options(size, options)
        except SizeError as error:
            for f in error.faults:
                seen = (size.name, f.field, f.found)
                if seen not in self.unfit:
                    self.unfit.add(seen)
                    said = f" of size {size.name} with the options of {row.tag}"
                    self._size_fault(*self._written(row, doc, f.field), f, said)

    def _written(self, row: HeadText, doc: YamlFile, field: str) -> tuple[YamlFile, NodePath]:
        """Return where a dimension of a pump's size is written; where it is not, the line that names the size."""
        text = self.text.sizes[row.size]
        for at in ((*text.path, "overrides", field), (*text.path, field)):
            if at in self.doc.keys:
                return self.doc, at
        return doc, (*row.path, "size")

    def _own_parts(self, row: HeadText, doc: YamlFile, parts: Mapping[str, str]) -> dict[str, OwnPart]:
        out: dict[str, OwnPart] = {}
        for key, text in row.own_parts.items():
            keys = [key] if key in parts else [k for k, kind in parts.items() if kind == key]
            if not keys:
                words = [*parts, *KINDS]
                near = likely(key, words)
                fix = f"write {near}" if near else "name a part of this head"
                self.faults.add(doc.fault(text.path, f"the part '{key}'", any_of(words, key), fix, key=True))
            if not text.file:  # what stood there was no text, which has its fault
                continue
            file = self._inside(text.file, (*text.path, "file"), PART_ENDINGS, doc)
            if file is not None:
                check_part_unit(text, [text.file], doc, self.faults)
                place = _place(text) if text.sound else Place()
                out.update({k: OwnPart(file, place, text.unit) for k in keys})
                at = (*text.path, "file")
                named = NamedPart(row.tag, tuple(keys), file, text.unit, doc, at, text.file)
                self.named_parts.append(named)
        return out

    # ---- sequences
    def _sequences(
        self, kinds: tuple[str, ...], catalogue: Catalogue, heads: list[FleetHead]
    ) -> dict[str, Sequence]:
        own: dict[str, Sequence] = {}
        for n, name in enumerate(self.text.sequences):
            path = self._inside(name, ("sequences", n), (".yaml", ".yml"))
            sequence = self._one_sequence(path, catalogue) if path else None
            if sequence is not None:
                if sequence.kind in own:
                    found = f"a second {sequence.kind} sequence"
                    self.faults.add(
                        self.doc.fault(("sequences", n), found, "one sequence of each kind", "take one away")
                    )
                own[sequence.kind] = sequence
        loaded: dict[str, Sequence] = {}
        for kind in kinds:
            if kind not in own:
                own[kind] = load_sequence(kind, catalogue)
            loaded[kind] = own[kind]
            check_plans(own[kind], [(h.options, h.parts) for h in heads], self.faults)
        return loaded

    def _one_sequence(self, path: Path, catalogue: Catalogue) -> Sequence | None:
        """Return a sequence of the fleet's own if it is sound enough to be resolved."""
        found = Faults()
        doc = read_yaml(path, found)
        sequence = check_sequence_file(doc, catalogue, found) if doc else None
        self.faults.extend(found)
        return None if len(found) else sequence


def _place(text: OwnPartText) -> Place:
    place = Place()
    for turn in text.turn:
        place = Place.turn(turn.deg, _AXES[turn.about]) @ place
    x, y, z = text.shift_mm
    return place.moved(x, y, z)
