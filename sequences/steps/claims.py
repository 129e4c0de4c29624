"""What a sentence of a step says that the solids show, typed, so that text and evidence cannot drift apart.

API::

    ShownText  # as a sequence file writes it beside a sentence, under ``shows``
    Claim      # the same in a plan, with the keys of parts; :mod:`..proof.shown_claims` holds it to evidence
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal

from pydantic import Field, model_validator

from ..files.faults import any_of
from ..files.file_models import FileModel, Text, refuse

MistakeKind = Literal[
    "end for end", "half turn", "part turn", "other side", "swapped", "left out", "fitted twice"
]
Verdict = Literal["stopped", "goes in", "no difference"]
Angles = Literal["every", "some", "none"]


class ShownText(FileModel):
    """What a sentence says of the solids: one mistake, one timing or one order."""

    part: Text = Field(description="a part, a kind of part, or a bench unit")
    mistake: MistakeKind | None = Field(None, description="a wrong way to fit it; needs verdict")
    verdict: Verdict | None = Field(None, description="what comes of the mistake")
    other: Text | None = Field(None, description="swapped: what is taken instead")
    angles: Angles | None = Field(None, description="at which angles of the shafts it goes in")
    set_over_deg: float | None = Field(
        None, gt=0, lt=360, description="set over against its mate by this; needs goes_in and turns_free"
    )
    goes_in: bool | None = Field(None, description="set over: whether it still goes in")
    turns_free: bool | None = Field(
        None, description="set over: whether the pair then turns without a collision"
    )
    before: Text | None = Field(None, description="what can only follow it, by the solids")

    @model_validator(mode="before")
    @classmethod
    def _one_claim(cls, value: Any) -> Any:
        if not isinstance(value, dict):
            return value
        said = [name for name in _TOGETHER if name in value]
        if len(said) != 1:
            found = " and ".join(said) or "no claim"
            raise refuse(found, any_of(_TOGETHER), "write each claim by itself")
        missing = [name for name in _TOGETHER[said[0]] if name not in value]
        if missing:
            raise refuse(
                f"{said[0]} alone", f"{said[0]} with {' and '.join(_TOGETHER[said[0]])}", f"add {missing[0]}"
            )
        return value


_TOGETHER: dict[str, tuple[str, ...]] = {
    "mistake": ("verdict",),
    "angles": (),
    "set_over_deg": ("goes_in", "turns_free"),
    "before": (),
}
"""What can be claimed, and what each claim needs besides."""


@dataclass(frozen=True)
class Claim:
    """What one sentence says of the solids of one head; of its fields those count that :class:`ShownText` has."""

    text: str
    parts: tuple[str, ...]
    mistake: MistakeKind | None = None
    verdict: Verdict | None = None
    other: tuple[str, ...] = ()
    angles: Angles | None = None
    set_over_deg: float | None = None
    goes_in: bool = True
    turns_free: bool = True
    before: tuple[str, ...] = ()
