"""The form of a file of additions, by which a plant makes the booklets its own; its JSON Schema is made from it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Literal

from pydantic import Field

from ..files.file_models import ONE_OR_MANY, FileModel, Name, Text
from ..files.spoken import Spoken
from ..files.written_types import WebFolder
from ..steps.cautions import HazardKind, SequenceKind
from ..steps.plan import SignalWord
from ..steps.sequence_form import Named, StepText

AdditionKind = Literal["note", "photo", "act", "step", "caution", "sharper", "change", "leave_out"]


class NewStepText(StepText):
    """A step of the plant's own, with the keys of any step of a sequence; its section is that of its neighbour."""

    section: Text = Field(
        "", description="id of a section; left out: that of the step which it stands beside"
    )
    cautions: Annotated[list[Named], ONE_OR_MANY] = Field(description="safety messages, at least one")


class AdditionText(FileModel):
    """One addition. Which keys it takes follows from its kind."""

    kind: AdditionKind = Field(
        description="note: words beside a step; photo: a picture beside a step; act: one act more; step: one step "
        "more; caution: one safety message more; sharper: a safety message made graver or given a sentence more; "
        "change: other words for a text; leave_out: a step left out, with the reason"
    )
    for_: Annotated[list[Text], ONE_OR_MANY] = Field(
        default_factory=list,
        alias="for",
        description="plant tags, or names of sizes, that it is for; left out: all pumps",
        examples=["P-101"],
    )
    sequence: SequenceKind | None = Field(
        None,
        description="sequence of the step; needed only where two sequences have a step of this id",
        examples=["assembly"],
    )
    step: Text | None = Field(
        None, description="id of the step that it belongs to, or that a new step stands beside"
    )
    place: Literal["before", "after"] = Field(
        "after", description="of an act or a step: before or after the one named"
    )
    act: Text | None = Field(
        None,
        description="of an act: the act beside which it stands, as the booklet words it; left out: the last",
        examples=["Run a cover nut down each stud by hand and off again."],
    )
    text: Spoken | None = Field(
        None, description="the words: of the note, the act, the change or the safety message"
    )
    was: Text | None = Field(
        None,
        description="of a change: the text that it replaces, as the booklet or the sequence file words it",
    )
    file: Text | None = Field(
        None,
        description="of a photo: JPEG, PNG, WebP, AVIF or TIFF file in the same folder",
        examples=["photos/gear-case.jpg"],
    )
    alt: Spoken | None = Field(
        None,
        description="of a photo: what it shows, for people who do not see it",
        examples=["The bare face of the gear case, dry and without marks"],
    )
    caption: Spoken | None = Field(
        None, description="of a photo: the line under it", examples=["After cleaning"]
    )
    caution: Name | None = Field(
        None,
        description="id of the safety message: one that is there, or a new one with the keys that follow",
    )
    signal_word: SignalWord | None = Field(
        None, description="DANGER, WARNING, CAUTION or NOTICE; never milder"
    )
    hazard_kind: HazardKind | None = Field(None, description="of a new message: kind of hazard, for grouping")
    hazard: Spoken | None = Field(None, description="of a new message: what can hurt or harm")
    consequence: Spoken | None = Field(
        None, description="of a new or graver message: what will or could follow"
    )
    avoidance: Spoken | None = Field(None, description="of a new message: what to do, or not to do")
    because: Spoken | None = Field(
        None,
        description="of a step left out: the reason, in one sentence",
        examples=["Quality assurance checks for leaks."],
    )
    messages_to: Text | None = Field(
        None,
        description="of a step left out: id of the step that takes its safety messages; left out: the next",
        examples=["hand_back"],
    )
    new: NewStepText | None = Field(None, description="of a step: the step itself")


class ContactText(FileModel):
    """Whom a reader asks."""

    ask: Spoken = Field(description="a role or an office, such as Maintenance training, building 4")
    phone: Text | None = Field(
        None, description="telephone number as people there dial it", examples=["4711"]
    )
    mail: Text | None = Field(None, description="e-mail address", examples=["trainer@plant.example"])


class LookText(FileModel):
    """How the pages show whose they are."""

    logo: Text | None = Field(
        None, description="PNG, JPEG, WebP or AVIF file in the same folder", examples=["logo.png"]
    )
    logo_alt: Spoken | None = Field(
        None, description="what the logo says, for people who do not see it", examples=["My plant"]
    )
    accent: Text | None = Field(
        None,
        description='colour of the plant as "#rrggbb", for the bar and headings; it has to contrast with the page and '
        "must not look like a safety colour",
        examples=["#1f5f3f"],
    )


class AdditionsFile(FileModel):
    """A file of additions."""

    note: Text | None = Field(None, description="a remark for people who edit the file")
    look: LookText | None = Field(None, description="logo and colour of the plant, in one file of the folder")
    contact: ContactText | None = Field(None, description="whom a reader asks, in one file of the folder")
    address: WebFolder | None = Field(
        None,
        description="http or https address under which the library is put up, as booklet > address",
        examples=["https://training.plant.example/pumps/"],
    )
    additions: list[AdditionText] = Field(default_factory=list, description="the additions")


@dataclass(frozen=True)
class KeysOfKind:
    """Which keys an addition of one kind needs, and which it may have besides."""

    needs: tuple[str, ...]
    may: tuple[str, ...] = ()


ALWAYS = ("kind", "for", "sequence")
_MESSAGE = ("signal_word", "hazard_kind", "hazard", "consequence", "avoidance")
KEYS: dict[str, KeysOfKind] = {
    "note": KeysOfKind(("step", "text")),
    "photo": KeysOfKind(("step", "file", "alt"), ("caption",)),
    "act": KeysOfKind(("step", "text"), ("place", "act")),
    "step": KeysOfKind(("step", "new"), ("place",)),
    "caution": KeysOfKind(("step", "caution"), _MESSAGE),
    "sharper": KeysOfKind(("caution",), ("text", "signal_word", "consequence")),
    "change": KeysOfKind(("step", "was", "text")),
    "leave_out": KeysOfKind(("step", "because"), ("messages_to",)),
}
"""Kind of addition to its keys beside :data:`ALWAYS`."""
