"""What turns together in a user's own assembly, as its file says it: parts, the line they turn about, how fast."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from typing import Annotated, Literal

from pydantic import Field

from ...geometry.assembly import TurningGroup
from ...geometry.frame import Vec3, X, Y, Z, unit
from ..files.faults import Faults, any_of, likely
from ..files.file_models import ONE_OR_MANY, FileModel, Name
from ..files.yaml_files import YamlFile

_AXES = {"x": X, "y": Y, "z": Z}
Direction = Literal["+x", "-x", "+y", "-y", "+z", "-z"]


class TurningText(FileModel):
    """Parts that turn as one in steps that turn the shafts."""

    parts: Annotated[list[Name], ONE_OR_MANY] = Field(
        min_length=1, description="what turns, the part that carries the others first"
    )
    axis: Direction = Field(
        "+z", description="way of the axis; a right-handed turn about it counts as positive"
    )
    about_mm: list[float] = Field(
        default_factory=lambda: [0.0, 0.0, 0.0],
        min_length=3,
        max_length=3,
        description="[x, y, z] of a point of the axis",
    )
    ratio: float = Field(1.0, ge=-100, le=100, description="how far it turns, times the shaft turned by hand")


def direction(word: str) -> Vec3:
    """Return the direction that a file calls ``word``.

    >>> direction("-x")
    (-1.0, 0.0, 0.0)
    """
    d = _AXES[word[1]]
    return d if word[0] == "+" else unit((-d[0], -d[1], -d[2]))


def turning_groups(
    texts: Iterable[TurningText], parts: Collection[str], doc: YamlFile, faults: Faults
) -> tuple[TurningGroup, ...]:
    """Return the groups of ``texts``; a part that is not there, or turns twice, is a fault.

    Args:
        texts: what the file says.
        parts: keys of the assembly's parts.
        doc: the file, for the places of faults.
        faults: collects what is wrong.
    """
    groups: list[TurningGroup] = []
    taken: dict[str, str] = {}
    for text in texts:
        for n, key in enumerate(text.parts):
            at = (*text.path, "parts", n)
            if key not in parts:
                near = likely(key, parts)
                allowed = any_of(parts, key)
                faults.add(doc.fault(at, f"the part '{key}'", allowed, f"write {near}" if near else ""))
            elif key in taken:
                allowed = f"each part once (it turns with {taken[key]})"
                faults.add(doc.fault(at, f"the part '{key}' again", allowed, "take it out of one of them"))
            taken.setdefault(key, text.parts[0])
        about = (text.about_mm[0], text.about_mm[1], text.about_mm[2]) if text.sound else (0.0, 0.0, 0.0)
        first = text.parts[0] if text.parts else ""
        axis = direction(text.axis) if text.sound else Z
        groups.append(TurningGroup(first, tuple(text.parts), about, axis, text.ratio, first))
    return tuple(groups)
