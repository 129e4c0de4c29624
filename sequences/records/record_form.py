"""The form of an exported record: one job on one pump or assembly, every mark with its time.

API::

    RecordFile                       # the model; its JSON Schema is published as schema_record.json
    taken_in(sequence) -> State      # whether a sequence's readings are as found, as left or in service
    VERDICTS                         # what the record sheet may say of a reading
"""

from __future__ import annotations

import math
import re
from datetime import datetime
from decimal import Decimal
from typing import Annotated, Any, Literal, get_args

from pydantic import BeforeValidator, Field, PlainValidator, WithJsonSchema

from ..files.faults import shown, unprintable
from ..files.file_models import FileModel, refuse
from ..files.written_types import IsoDate

FORM = 1
MOST_SIGNS = 4000
"""Longest text of a mark: some pages of remarks."""
State = Literal["as found", "as left", "in service"]
Outcome = Literal[
    "within", "near", "outside", "open", "below", "set", "beyond", "incomplete", "nolimitsset", "nan", "nolimits",
    "pass", "fail",
]  # fmt: skip
VERDICTS: tuple[str, ...] = get_args(Outcome)
_STATES: dict[str, State] = {
    "disassembly": "as found",
    "inspection": "as found",
    "assembly": "as left",
}


def taken_in(sequence: str) -> State:
    """Return when the readings of a sequence are taken; what is neither taken apart nor put together is in service.

    >>> taken_in("inspection"), taken_in("assembly"), taken_in("start_up")
    ('as found', 'as left', 'in service')
    """
    return _STATES.get(sequence, "in service")


_SIGNS = "\\u0000-\\u0008\\u000b-\\u001f\\u007f-\\u0084\\u0086-\\u009f"


def _text(value: Any) -> str:
    """Return a text as it was written; nothing is made text that was written as something else."""
    if not isinstance(value, str):
        raise refuse(shown(value), "text in quotes", "put it in quotes")
    if not value.strip():
        raise refuse("empty text", "some text", "write it, or take the key away")
    if sign := unprintable(value):
        raise refuse(f"the character U+{ord(sign):04X}", "text that can be printed", "delete that character")
    if len(value) > MOST_SIGNS:
        raise refuse(f"{len(value)} characters", f"at most {MOST_SIGNS}", "shorten it")
    return value


def _matching(pattern: str, allowed: str, fix: str) -> BeforeValidator:
    def check(value: Any) -> Any:
        if not isinstance(value, str) or not re.fullmatch(pattern, value):
            raise refuse(shown(value), allowed, fix)
        return value

    return BeforeValidator(check)


def _stamp(value: Any) -> str:
    if isinstance(value, str) and re.fullmatch(STAMP_PATTERN, value):
        try:
            return datetime.fromisoformat(value).astimezone().isoformat() and value
        except (ValueError, OverflowError):
            pass
    raise refuse(shown(value), "a time such as 2031-02-28T14:05:00Z", "export the record again")


def _number(value: Any) -> Decimal:
    if isinstance(value, bool) or not isinstance(value, (int, float)) or not math.isfinite(value):
        raise refuse(shown(value), "a number", "write a number without quotes or unit")
    return Decimal(getattr(value, "written", None) or repr(value))


def _form(value: Any) -> int:
    if isinstance(value, bool) or value != FORM:
        raise refuse(
            shown(value), str(FORM), "this program reads form 1 alone: use the one that wrote the file"
        )
    return FORM


STAMP_PATTERN = r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d{1,6})?(Z|[+-]\d\d:\d\d)"
ID_PATTERN = r"[A-Za-z0-9][A-Za-z0-9_.-]{0,79}"
PHOTO_PATTERN = r"data:image/(jpeg|png|webp);base64,[A-Za-z0-9+/]*={0,2}"
MarkText = Annotated[
    str,
    PlainValidator(_text),
    WithJsonSchema(
        {"type": "string", "pattern": f"^[^{_SIGNS}]*[^\\s{_SIGNS}][^{_SIGNS}]*$", "maxLength": MOST_SIGNS}
    ),
]
"""Text that is not empty and can be printed."""
Stamp = Annotated[
    str, PlainValidator(_stamp), WithJsonSchema({"type": "string", "pattern": f"^{STAMP_PATTERN}$"})
]
"""Date and time of day, ISO 8601 with its zone."""
Id = Annotated[
    str,
    _matching(ID_PATTERN, "letters, digits, points, _ and -", "export the record again"),
    WithJsonSchema({"type": "string", "pattern": f"^{ID_PATTERN}$"}),
]
LimitFigure = Annotated[Decimal, PlainValidator(_number), WithJsonSchema({"type": "number"})]
Photo = Annotated[
    str,
    _matching(PHOTO_PATTERN, "a JPEG, PNG or WebP as a data address", "export the record again"),
    WithJsonSchema({"type": "string", "pattern": f"^{PHOTO_PATTERN}$"}),
]


class RecordedBooklet(FileModel):
    """Which booklet the record was made with."""

    library: MarkText = Field(description="what tells the library from others in one browser")
    plant: MarkText = Field(description="plant, as its pages name it")
    tag: MarkText = Field(description="plant tag of the pump or name of the assembly")
    size: MarkText | None = Field(None, description="its size, as its pages name it")
    revision: MarkText | None = Field(None, description="revision of the booklet")
    date: IsoDate | None = Field(None, description="date of the booklet")


class RecordedJob(FileModel):
    """What was written at the head of the sheet."""

    work_order: MarkText | None = Field(None, description="number of the work order")
    date: IsoDate | None = Field(None, description="day of the work")
    done_by: MarkText | None = Field(None, description="who did the work")
    checked_by: MarkText | None = Field(None, description="who checked it")
    remarks: MarkText | None = Field(None, description="remarks on the whole job")


class RecordedReading(FileModel):
    """A reading, the setting of a torque wrench, or a pass or fail."""

    id: Id = Field(description="of the reading in its sequence")
    sequence: Id = Field(description="sequence in whose step it is taken")
    step: Annotated[int, Field(ge=1, le=9999)] = Field(description="number of the step")
    text: MarkText = Field(description="what was read")
    value: Id | None = Field(None, description="name of the value that judges it")
    state: State = Field(description="before the work, after it, or at work")
    entered: MarkText | None = Field(
        None, description="as it was typed; pass or fail where there is no figure; left out: not read yet"
    )
    unit: MarkText = Field(description="unit in which it was typed; pass where there is no figure")
    limits_unit: MarkText = Field(description="unit of its limits, in which it is judged")
    low: LimitFigure | None = Field(None, description="least allowed, in the unit of the limits")
    high: LimitFigure | None = Field(None, description="greatest allowed, in the unit of the limits")
    read_with: MarkText | None = Field(None, description="kind of instrument")
    calibration: MarkText | None = Field(None, description="number of the instrument")
    certificate: MarkText | None = Field(None, description="number of its calibration certificate")
    wrench_least: MarkText | None = Field(None, description="least torque of the wrench, in the unit typed")
    wrench_most: MarkText | None = Field(None, description="greatest torque of the wrench, in the unit typed")
    clicked: bool = Field(False, description="whether the wrench clicked while the nut still turned")
    verdict: Outcome | None = Field(None, description="what the sheet said of it")
    at: Stamp = Field(description="when it was typed last")


class RecordedTick(FileModel):
    """A step that was ticked as done."""

    sequence: Id = Field(description="sequence of the step")
    id: Id = Field(description="of the step in its sequence, whatever its number")
    step: Annotated[int, Field(ge=1, le=9999)] = Field(description="number of the step")
    title: MarkText | None = Field(None, description="title of the step")
    at: Stamp = Field(description="when it was ticked")


class RecordedSignOff(FileModel):
    """A section that somebody signed off."""

    sequence: Id = Field(description="sequence of the section")
    section: Id = Field(description="the section")
    title: MarkText | None = Field(None, description="title of the section")
    by: MarkText = Field(description="who signed it off")
    at: Stamp = Field(description="when")


class RecordedPhoto(FileModel):
    """A photo, made small."""

    id: Id = Field(description="of the photo in this record")
    caption: MarkText | None = Field(None, description="what it shows")
    at: Stamp = Field(description="when it was attached")
    data: Photo = Field(description="the picture itself")


class RecordFile(FileModel):
    """One job on one pump or assembly."""

    benchleaf_record: Annotated[
        int, PlainValidator(_form), WithJsonSchema({"type": "integer", "const": FORM})
    ] = Field(description="form of the file")
    id: Id = Field(description="tells this job from every other")
    begun: Stamp = Field(description="when the job was begun")
    changed: Stamp = Field(description="when anything in it was changed last")
    booklet: RecordedBooklet = Field(description="the booklet it was made with")
    job: RecordedJob = Field(description="head of the sheet")
    readings: list[RecordedReading] = Field(
        default_factory=list, description="readings, in the order of the sheet"
    )
    ticks: list[RecordedTick] = Field(default_factory=list, description="steps ticked as done")
    sign_offs: list[RecordedSignOff] = Field(default_factory=list, description="sections signed off")
    photos: list[RecordedPhoto] = Field(default_factory=list, description="photos, made small")
