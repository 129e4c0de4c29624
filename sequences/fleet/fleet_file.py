"""The form of a fleet file: our own keys, every one described, as models from which the JSON Schema is made.

The keys and values of options come from :mod:`.options`, the dimensions from :mod:`.size`, the names of values from
:mod:`.value_names`; none is written down twice.
"""

from __future__ import annotations

import re
import typing
from dataclasses import fields
from typing import TYPE_CHECKING, Annotated, Any, Literal

from pydantic import BeforeValidator, Field, WithJsonSchema, create_model

from ...geometry.dimensions.options import Options
from ...geometry.dimensions.size import measured_fields, override_fields
from ...geometry.exchange.mesh_files import Unit
from ..files.faults import shown
from ..files.file_models import ONE_OR_MANY, FileModel, Text, refuse
from ..files.file_paths import is_device_name
from ..files.spoken import FOR_READERS, Spoken
from ..files.written_types import Figure, FigureOrText, IsoDate, WebFolder
from ..upkeep.as_found import AsFoundText
from ..upkeep.spare_parts import SparePartText
from ..values.value_names import VALUE_NAMES

_HINTS = typing.get_type_hints(Options)


def _tag(value: Any) -> Any:
    text = str(getattr(value, "written", value)).strip() if not isinstance(value, bool) else value
    if not isinstance(text, str):
        return text
    better = re.sub(r"[^A-Za-z0-9._-]+", "-", text).strip("-._")[:40]
    if not re.fullmatch(r"[A-Za-z0-9](?:[A-Za-z0-9 ._-]{0,38}[A-Za-z0-9])?", text):
        allowed = "1 to 40 of A-Z a-z 0-9 space . _ -, a letter or digit first and last (it names a folder)"
        raise refuse(shown(value), allowed, f"write {better}" if better else "give the pump a tag")
    if is_device_name(slug_of(text)):
        raise refuse(shown(value), "a tag that can name a folder on every system", f"write P-{text}")
    return text


def slug_of(tag: str) -> str:
    """Return the name of a tag's folder: lower case, runs of blanks as one hyphen.

    >>> slug_of("P 101-A")
    'p-101-a'
    """
    return re.sub(r"\s+", "-", tag.casefold())


Tag = Annotated[str, BeforeValidator(_tag), WithJsonSchema({"type": ["string", "number"], "maxLength": 40})]


class SourceText(FileModel):
    """Where a value stands in print."""

    document: Text = Field(description="name or number of the document")
    revision: Text | None = Field(None, description="its revision")
    table: Text | None = Field(None, description="table or chapter")
    page: Text | None = Field(None, description="page of the document")


class DecisionRuleText(FileModel):
    """How a reading is held against its limits, chosen by the plant."""

    rule: Literal["simple", "guarded"] = Field(
        description="simple: the limits decide, and a reading inside but near one is taken again; guarded (the thought "
        "of ISO 14253-1): a reading decides only where it is off its limit by the guard"
    )
    guard: Figure | None = Field(
        None,
        description="guard of a guarded rule as a share of the instrument's expanded uncertainty, above 0 and at most "
        "1; left out: 0.83",
    )
    source: SourceText = Field(description="where the plant has laid it down")
    date: IsoDate = Field(description="day of the document or of the entry, year-month-day")


class SourcedText(FileModel):
    """A value with its source. Leave the value out for a blank; never write one without a source."""

    value: Annotated[FigureOrText, FOR_READERS] = Field(
        None, description="the figure, or the text of a value in words"
    )
    unit: Text | None = Field(None, description="its unit, such as N·m, lbf·ft, mm, in, °C, bar or psi")
    tolerance: Figure | None = Field(None, description="allowed either way, in the same unit")
    range: list[Figure] | None = Field(None, description="[least, greatest], in the same unit")
    medium: Text | None = Field(
        None, description="class of a lubricant, cleaning agent or liquid, for its effect on elastomers"
    )
    threads: Literal["dry", "lubricated", "anti-seize"] | None = Field(
        None, description="state of the threads that a torque holds for"
    )
    condition: Spoken = Field("", description="under which it holds, in words")
    critical: bool = Field(False, description="true: its readings are guarded, whatever the instrument")
    decision_rule: DecisionRuleText | None = Field(
        None, description="how its readings are held against its limits; left out: as for the whole fleet"
    )
    source: SourceText = Field(description="where it stands: document, revision, table, page")
    date: IsoDate = Field(description="day of the document or of the entry, year-month-day")


def _values_model() -> Any:
    """Return a model with a field for every value name, so that the schema lists them."""
    return {name: (SourcedText | None, None) for name in VALUE_NAMES}


class TurnText(FileModel):
    """A turn of a part's frame."""

    about: Literal["x", "y", "z"] = Field(description="axis, right-handed")
    deg: float = Field(ge=-360, le=360, description="angle in degrees")


class OwnPartText(FileModel):
    """A solid of the user's own in place of a part."""

    file: Text = Field(
        description="STEP file in the same folder; or a mesh (STL, OBJ, PLY, 3MF, GLB), closed and as fine as the "
        "fits ask for. Its own axes count: glTF files have Y up"
    )
    unit: Unit | None = Field(
        None, description="of the figures in an STL, OBJ or PLY file, which states none; the others do"
    )
    turn: Annotated[list[TurnText], ONE_OR_MANY] = Field(
        default_factory=list, description="turns of the file's frame into the part's own, first to last"
    )
    shift_mm: list[float] = Field(
        default_factory=lambda: [0.0, 0.0, 0.0],
        min_length=3,
        max_length=3,
        description="[x, y, z] after the turns",
    )


class ReleasedText(FileModel):
    """Who has released the safety texts of one language; English needs no release."""

    language: Text = Field(description="code of the language, such as de")
    role: Spoken = Field(
        description="role of the qualified person, such as safety engineer; no name is asked for"
    )
    date: IsoDate = Field(description="day of the release, year-month-day")
    texts: Text = Field(
        description="what the texts were when they were released: the twelve characters that `benchleaf words` tells"
    )


class BookletText(FileModel):
    """What the booklets say about themselves."""

    title: Spoken | None = Field(None, description="title of the library")
    id: Text | None = Field(
        None,
        description="under what browsers keep readings and ticks, in place of the plant's name: for two plants of one "
        "name, or one that is renamed",
    )
    address: WebFolder | None = Field(
        None,
        description="http or https address under which the library is put up, for the codes on printed cards; left "
        "out: the cards have none",
    )
    revision: Text = Field("1", description="revision of the values and booklets")
    date: IsoDate | None = Field(None, description="day of the revision, year-month-day")
    languages: Annotated[list[Text], ONE_OR_MANY] = Field(
        default_factory=lambda: ["en"],
        min_length=1,
        description="languages of the pages, the main one first: en, de and es come along, any other through a "
        "table of translations",
    )
    translations: Annotated[list[Text], ONE_OR_MANY] = Field(
        default_factory=list,
        description="XLSX or PO files in this folder with translations of the plant's own, as `benchleaf words` "
        "writes them",
    )
    released: Annotated[list[ReleasedText], ONE_OR_MANY] = Field(
        default_factory=list,
        description="languages whose safety texts a qualified person has released; pages of others say that nobody has",
    )
    jpeg: bool = Field(
        False,
        description="also write every picture as JPEG, for browsers that know no AVIF; thrice the weight",
    )
    pdf: Annotated[list[Literal["A4", "Letter"]], ONE_OR_MANY] = Field(
        default_factory=list,
        description="paper sizes of which each booklet has a PDF file beside its pages; needs the extra `pdf`",
    )


if TYPE_CHECKING:

    class _OptionFields(FileModel): ...

    class _Measures(FileModel): ...

    class Overrides(FileModel): ...

    class ValuesByName(FileModel): ...

else:
    _OptionFields = create_model(
        "OptionFields",
        __base__=FileModel,
        **{
            f.name: (_HINTS[f.name], Field(f.default, description=f"left out: {str(f.default).lower()}"))
            for f in fields(Options)
        },
    )
    _Measures = create_model(
        "Measures",
        __base__=FileModel,
        **{
            name: (float, Field(description=f"mm, measured: {words}"))
            for name, words in measured_fields().items()
        },
    )
    Overrides = create_model(
        "Overrides",
        __base__=FileModel,
        **{
            name: (float | None, Field(None, description=f"left out: {words}"))
            for name, words in override_fields().items()
        },
    )
    ValuesByName = create_model("ValuesByName", __base__=FileModel, **_values_model())


class SizeText(_Measures):
    """A pump size: five measured dimensions; all others follow by proportion unless overridden."""

    note: Text | None = Field(None, description="a remark for people who edit the file")
    overrides: Overrides = Field(
        default_factory=Overrides, description="dimensions with a value of their own"
    )
    left_hand_threads: Annotated[
        list[Literal["rotor_nut", "cover_nut", "body_screw", "relief_screw"]], ONE_OR_MANY
    ] = Field(default_factory=list, description="kinds of part that tighten anticlockwise")
    spare_parts: dict[Text, SparePartText] = Field(
        default_factory=dict,
        description="part number, kind of spare and compound: kind of part, or one part's key, to what is known of it",
    )
    values: ValuesByName = Field(default_factory=ValuesByName, description="sourced values of this size")


class HeadText(_OptionFields):
    """One pump of the fleet. An option left out is that of the base head."""

    tag: Tag = Field(description="plant tag, once in the fleet; it names the booklet's folder")
    service: Spoken = Field("", description="what it pumps, in a few words")
    size: Text = Field(description="a name under sizes")
    process_temperature_c: float | None = Field(
        None, ge=-60, le=400, description="temperature of the product in °C, for clearances and O-rings"
    )
    product: Annotated[list[Text], ONE_OR_MANY] = Field(
        default_factory=list,
        description="classes of medium that the product belongs to, for its effect on elastomers",
    )
    cleaning: Annotated[list[Text], ONE_OR_MANY] = Field(
        default_factory=list, description="classes of the cleaning media, for their effect on elastomers"
    )
    serial_number: Text | None = Field(None, description="of the name plate; left out: a blank to write in")
    seal_code: Text | None = Field(None, description="code of the shaft seal on the name plate")
    elastomer_code: Text | None = Field(None, description="code of the elastomers on the name plate")
    clearance_code: Text | None = Field(None, description="code of the clearances on the name plate")
    own_parts: dict[str, OwnPartText] = Field(
        default_factory=dict, description="parts replaced by solids of your own: part key to file"
    )
    spare_parts: dict[Text, SparePartText] = Field(
        default_factory=dict,
        description="as those of the size, for this pump alone; what stands here comes first",
    )
    as_found: list[AsFoundText] = Field(
        default_factory=list, description="clearances as earlier overhauls found them, one entry an overhaul"
    )
    values: ValuesByName = Field(
        default_factory=ValuesByName, description="sourced values of this pump alone"
    )

    def options(self) -> Options:
        """Return the head's options."""
        return Options(**{f.name: getattr(self, f.name) for f in fields(Options)})


class FleetFile(FileModel):
    """A fleet file."""

    plant: Text = Field(description="name of the plant")
    demo: bool = Field(False, description="true where plant and values are invented; every page then says so")
    note: Text | None = Field(None, description="a remark for people who edit the file")
    booklet: BookletText = Field(
        default_factory=lambda: BookletText.model_validate({}),
        description="what the booklets say about themselves",
    )
    cautions: Annotated[list[Text], ONE_OR_MANY] = Field(
        default_factory=list, description="files in this folder with safety messages of the plant's own"
    )
    sequences: Annotated[list[Text], ONE_OR_MANY] = Field(
        default_factory=list,
        description="sequence files in this folder that stand in for those that come along",
    )
    additions: Text | None = Field(
        None,
        description="folder beside this file with notes, photos, steps and texts of the plant's own; left out: the "
        "folder additions, where there is one",
    )
    decision_rule: DecisionRuleText | None = Field(
        None,
        description="how readings are held against their limits; left out: simple acceptance where the instrument's "
        "error is at most a third of the band, else guarded",
    )
    values: ValuesByName = Field(
        default_factory=ValuesByName, description="sourced values of the whole fleet"
    )
    sizes: dict[Text, SizeText] = Field(description="pump sizes by name")
    heads: list[HeadText] = Field(default_factory=list, description="the pumps")
    heads_table: Text | None = Field(
        None,
        description="CSV or XLSX file in this folder with more pumps, one a row, columns named like the keys",
    )
