"""The form of a sequence file, as models from which the JSON Schema is made."""

from __future__ import annotations

from typing import Annotated, Any, Literal, get_args

from pydantic import BeforeValidator, Field, GetJsonSchemaHandler, WithJsonSchema, model_validator
from pydantic_core import CoreSchema

from ..files.faults import any_of, shown
from ..files.file_models import ONE_OR_MANY, FileModel, Name, Text, refuse
from ..files.spoken import Spoken
from .cautions import SequenceKind
from .claims import ShownText
from .conditions import When
from .operations import TOOLS_FOR, Tool, Verb
from .plan import Damage

DIRECTIONS = {
    "+x": (1.0, 0.0, 0.0),
    "-x": (-1.0, 0.0, 0.0),
    "+y": (0.0, 1.0, 0.0),
    "-y": (0.0, -1.0, 0.0),
    "+z": (0.0, 0.0, 1.0),
    "-z": (0.0, 0.0, -1.0),
}


class _Short(FileModel):
    """A mapping that may be written as the bare text of its first key."""

    @model_validator(mode="before")
    @classmethod
    def _from_text(cls, value: Any) -> Any:
        return value if isinstance(value, dict) else {next(iter(cls.model_fields)): value}

    @classmethod
    def __get_pydantic_json_schema__(
        cls, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        full = handler(schema)
        return {"anyOf": [{"type": ["string", "number"]}, full]}


class Said(_Short):
    """A text, with the condition under which it is said."""

    text: Spoken = Field(description="the text")
    when: When | None = Field(None, description="condition on the head's options")
    shows: Annotated[list[ShownText], ONE_OR_MANY] = Field(
        default_factory=list, description="what it says that the solids show"
    )


def _by_part(value: Any) -> Any:
    """Return parts with their surfaces, from a mapping, from one part or from a list of whole parts."""
    words = [value] if isinstance(value, str) else value
    return (
        {w: [] for w in words}
        if isinstance(words, list) and all(isinstance(w, str) for w in words)
        else words
    )


_NAMES = {"anyOf": [{"type": "string"}, {"type": "array", "items": {"type": "string"}}]}
ByPart = Annotated[
    dict[str, Annotated[list[Text], ONE_OR_MANY]],
    BeforeValidator(_by_part),
    WithJsonSchema({"anyOf": [*_NAMES["anyOf"], {"type": "object", "additionalProperties": _NAMES}]}),
]
"""Parts, kinds or bench units by word, with the surfaces that are meant; none for the whole part."""


class OperationText(FileModel):
    """What an act does: by which tool, on which surface, which way, held by what, in which order."""

    do: Verb = Field(description="what is done")
    tool: Tool = Field("hand", description="what it is done with")
    on: ByPart = Field(
        default_factory=dict, description="what it is done to: part, or part with its surfaces"
    )
    between: ByPart = Field(
        default_factory=dict,
        description="the two surfaces that a soft block or a feeler blade stands between",
    )
    towards: Literal["+x", "-x", "+y", "-y", "+z", "-z"] | None = Field(
        None, description="direction of a press, pull, tap or lift, head's frame"
    )
    order: Literal["in turn", "crosswise"] | None = Field(None, description="order of several")
    zone_only: bool = Field(False, description="paint the surface, and draw no tool that would hide it")
    when: When | None = Field(None, description="condition on the head's options")

    @model_validator(mode="after")
    def _can_be_done(self) -> OperationText:
        if self.tool not in TOOLS_FOR[self.do]:
            raise refuse(
                f"the tool {self.tool} to {self.do}", any_of(TOOLS_FOR[self.do]), "name another tool"
            )
        if not self.on and not self.between:
            raise refuse("nothing that it is done to", "on, between or both", "name the part and its surface")
        return self


class Act(Said):
    """What a person does or looks at, with what it is as data."""

    does: Annotated[list[OperationText], ONE_OR_MANY] = Field(
        default_factory=list, description="what it does, by which tool and on which surface"
    )


class Named(_Short):
    """A name of something defined elsewhere, with the condition under which it belongs."""

    name: Text = Field(description="the name")
    when: When | None = Field(None, description="condition on the head's options")


class ExampleText(_Short):
    """Damage to look for, with the condition under which it is shown."""

    damage: Damage = Field(description="what the surface may show")
    when: When | None = Field(None, description="condition on the head's options")

    @classmethod
    def __get_pydantic_json_schema__(
        cls, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        full = super().__get_pydantic_json_schema__(schema, handler)
        return {"anyOf": [{"enum": list(get_args(Damage))}, full["anyOf"][1]]}


class LegText(FileModel):
    """One stretch of a travel: a slide, or a turn about a line."""

    slide: Literal["+x", "-x", "+y", "-y", "+z", "-z"] | None = Field(
        None, description="direction in the head's frame"
    )
    mm: float | None = Field(
        None, gt=0, le=5000, description="length; left out: as far as it takes to be clear"
    )
    turns: float | None = Field(None, gt=0, le=200, description="turns of the thread over this stretch")
    about: Literal["x", "y", "z"] | None = Field(
        None, description="axis of a turn without a slide, head's frame"
    )
    deg: float | None = Field(
        None, ge=-355, le=355, description="how far it turns, anticlockwise as seen from the axis' tip"
    )
    through_mm: list[float] | None = Field(
        None,
        min_length=3,
        max_length=3,
        description="a point of the axis, head's frame; left out: the part's own origin as it then stands",
    )

    @model_validator(mode="after")
    def _is_one_of_both(self) -> LegText:
        if (self.slide is None) == (self.about is None):
            found = "a stretch that slides and turns" if self.slide else "a stretch without slide or about"
            raise refuse(
                found, "slide, or about with deg", "write two stretches" if self.slide else "name one"
            )
        if self.slide and (self.deg is not None or self.through_mm is not None):
            key = "through_mm" if self.deg is None else "deg"
            raise refuse(f"{key} beside slide", "mm and turns beside slide", f"write about beside {key}")
        if self.about and (self.mm is not None or self.turns is not None):
            key = "turns" if self.mm is None else "mm"
            raise refuse(
                f"{key} beside about", "deg and through_mm beside about", "write the slide before it"
            )
        if self.about and not self.deg:
            raise refuse("a turn without deg", "-355 to 355, not 0", "write how far it turns")
        return self


class TravelText(FileModel):
    """How parts come or leave: one direction, several legs, or to be found."""

    legs: list[LegText] = Field(default_factory=list)
    find: bool = False

    @model_validator(mode="before")
    @classmethod
    def _from_words(cls, value: Any) -> Any:
        if value == "find":
            return {"find": True}
        words = value if isinstance(value, list) else [value]
        if not words:
            raise refuse(
                "an empty list", "a direction, legs, or find", "take the line away for a straight travel"
            )
        return {"legs": [_leg(w) for w in words]}

    @classmethod
    def __get_pydantic_json_schema__(
        cls, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        legs = handler.resolve_ref_schema(handler(schema))["properties"]["legs"]["items"]
        word = {"enum": list(DIRECTIONS)}
        one = {"anyOf": [word, legs]}
        return {"anyOf": [{"const": "find"}, word, legs, {"type": "array", "items": one, "minItems": 1}]}


def _leg(word: Any) -> Any:
    if isinstance(word, str):
        text = word.strip().casefold()
        if text not in DIRECTIONS:
            near = f"+{text}" if f"+{text}" in DIRECTIONS else ""
            raise refuse(
                shown(word), f"{any_of(DIRECTIONS)}, a list of legs, or find", f"write {near}" if near else ""
            )
        return {"slide": text}
    return word


class Entry(_Short):
    """Parts that a step fits or removes."""

    part: Text = Field(description="a part, a kind of part (all of them), or a bench unit")
    travel: TravelText | None = Field(None, description="how these parts travel; left out: as the step says")
    when: When | None = Field(None, description="condition on the head's options")


class Measure(FileModel):
    """A reading to take in a step."""

    id: Name = Field(description="name of the reading, once in the file")
    text: Spoken = Field(description="what to measure")
    unit: Literal["mm", "µm", "N·m", "°C", "bar", "kg", "turns", "A", "pH", "pass"] = Field(
        description="unit of the reading"
    )
    value: Text | None = Field(None, description="sourced value that judges it")
    method: Spoken = Field("", description="how to measure it")
    does: Annotated[list[OperationText], ONE_OR_MANY] = Field(
        default_factory=list, description="how it is measured, by which tool and on which surface"
    )
    when: When | None = Field(None, description="condition on the head's options")


class UnitText(FileModel):
    """A bench unit: parts put together beside the head and fitted as one."""

    title: Spoken = Field(description="what people call it")
    base: Annotated[list[Text], ONE_OR_MANY] = Field(
        description="parts it starts from (assembly) or that stay together (disassembly)"
    )
    up: Literal["front", "rear"] | None = Field(
        None,
        description="side of it that looks up where it lies; left out: it is shown as it sits on the head",
    )
    when: When | None = Field(None, description="condition on the head's options")


class SectionText(FileModel):
    """A stretch of the sequence under one heading."""

    id: Name = Field(description="what steps call it by")
    title: Spoken = Field(description="heading")
    cautions: Annotated[list[Named], ONE_OR_MANY] = Field(
        default_factory=list,
        description="messages given in full where it begins; steps with the hazard name them too",
    )


class AfterText(FileModel):
    """Steps that come before this one by rule, and why: what the solids alone would not force."""

    step: Annotated[list[Text], ONE_OR_MANY] = Field(min_length=1, description="id of a step, or several")
    because: Spoken = Field(description="the reason, in one sentence")
    when: When | None = Field(None, description="condition on the head's options")


class StepText(FileModel):
    """One step."""

    id: Name = Field(description="name of the step, once in the file")
    section: Text = Field(description="id of its section")
    title: Annotated[list[Said], ONE_OR_MANY] = Field(
        min_length=1, description="an instruction; of several, the first that belongs is taken"
    )
    when: When | None = Field(None, description="the step belongs only to heads with these options")
    bench: Text | None = Field(None, description="bench unit that the step works on")
    fit: Annotated[list[Entry], ONE_OR_MANY] = Field(
        default_factory=list, description="parts that come to their place"
    )
    remove: Annotated[list[Entry], ONE_OR_MANY] = Field(
        default_factory=list, description="parts that leave their place"
    )
    travel: TravelText | None = Field(
        None, description="how the parts travel; left out: along -z to fit, +z to remove"
    )
    after: Annotated[list[AfterText], ONE_OR_MANY] = Field(
        default_factory=list,
        description="steps that come before it by rule, each with the reason; practice judges by it",
    )
    turn_shafts_deg: float = Field(0.0, ge=-3600, le=3600, description="turn of the drive shaft in this step")
    focus: Annotated[list[Named], ONE_OR_MANY] = Field(default_factory=list, description="parts to look at")
    around: Annotated[list[Named], ONE_OR_MANY] = Field(
        default_factory=list, description="parts shown with those in focus (inspection)"
    )
    bears: Annotated[list[Text], ONE_OR_MANY] = Field(
        default_factory=list,
        description="parts or kinds of part whose weight is taken in this step although they stay; together they are "
        "judged by the lifting limit",
    )
    acts: Annotated[list[Act], ONE_OR_MANY] = Field(
        default_factory=list, description="what to do, one act each"
    )
    look: Annotated[list[Act], ONE_OR_MANY] = Field(default_factory=list, description="what to look at")
    examples: Annotated[list[ExampleText], ONE_OR_MANY] = Field(
        default_factory=list,
        description="damage that its texts speak of, shown as drawn examples under its picture",
    )
    measure: list[Measure] = Field(default_factory=list, description="readings to take")
    why: Annotated[list[Said], ONE_OR_MANY] = Field(default_factory=list, description="why now and why so")
    tools: Annotated[list[Said], ONE_OR_MANY] = Field(default_factory=list, description="tools it takes")
    supplies: Annotated[list[Said], ONE_OR_MANY] = Field(
        default_factory=list, description="supplies it takes: cloths, cleaner, lubricant"
    )
    values: Annotated[list[Named], ONE_OR_MANY] = Field(
        default_factory=list, description="sourced values it states"
    )
    cautions: Annotated[list[Named], ONE_OR_MANY] = Field(description="safety messages, at least one")


class SequenceFile(FileModel):
    """A sequence file."""

    sequence: SequenceKind = Field(description="which sequence this is")
    title: Spoken = Field(description="heading of its part of the booklet")
    note: Text | None = Field(None, description="a remark for people who edit the file")
    given: Annotated[list[Text], ONE_OR_MANY] = Field(
        default_factory=list, description="parts that are there before the first step and stay after the last"
    )
    units: dict[Name, UnitText] = Field(default_factory=dict, description="bench units by name")
    cautions: Annotated[list[Named], ONE_OR_MANY] = Field(
        default_factory=list, description="messages for the front page"
    )
    sections: list[SectionText] = Field(description="sections in order")
    steps: list[StepText] = Field(description="steps in order")
