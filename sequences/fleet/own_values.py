"""Values of a user's own assembly: named in its file, with what each is called and where to look for it.

Each is sourced, or a blank, as those of a fleet are.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from pydantic import Field

from ..files.faults import Faults
from ..files.file_models import FileModel
from ..files.spoken import Spoken
from ..files.yaml_files import YamlFile
from ..values.quantities import Bound, Quantity, ValueName
from ..values.sourced_values import ResolvedValue, resolved
from ..values.value_names import VALUE_NAMES
from .fleet_file import SourcedText
from .fleet_values import checked_value


class OwnValueText(FileModel):
    """A value that the sequences state: what it is called, where to look, and what is on file."""

    title: Spoken = Field(description="what it is called")
    quantity: Quantity = Field(description="torque, length, temperature, pressure, mass or text")
    bound: Bound = Field("", description="most: a greatest value, least: a least one; left out: one to reach")
    where: Spoken = Field(description="where a person finds it while it is a blank")
    on_file: SourcedText | None = Field(None, description="the value with its source; left out: a blank")


@dataclass(frozen=True)
class OwnValue:
    """A value with what people call it."""

    title: str
    where: str
    value: ResolvedValue


def own_values(texts: Mapping[str, OwnValueText], doc: YamlFile, faults: Faults) -> dict[str, OwnValue]:
    """Return the values of a file by name; one with a name that a pump's value has is a fault."""
    found: dict[str, OwnValue] = {}
    for name, text in texts.items():
        if name in VALUE_NAMES:
            said, allowed = f"the value {name}, which is one of a pump's", "a name of its own"
            faults.add(doc.fault(text.path, said, allowed, f"write own_{name}", key=True))
            continue
        if not text.sound:
            continue
        entry = ValueName(name, text.quantity, text.bound)
        given = text.on_file
        value = checked_value(entry, given, doc, "head", faults) if given and given.sound else None
        found[name] = OwnValue(text.title, text.where, resolved(entry, value))
    return found
