"""What the scripts of the record sheet reckon with: units of the other system, their texts, the form of a record.

API::

    other_unit(unit) -> OtherUnit | None
    record_texts(words) -> dict[str, str]
    form_script() -> str                     # record-form.js
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from ....geometry.engineering.units import UNITS, UnitError, convert, unit_named
from ....sequences.records.record_form import RecordFile
from ...words.catalogue import Words
from ..markup.data_scripts import data_script

US = frozenset({"in", "ft", "lbf·ft", "lbf·in", "lbf", "psi", "°F", "lb", "oz", "fl oz"})
"""Units of the US customary system; those of temperature differ by zero and step."""
TEXTS = "recording."


@dataclass(frozen=True)
class OtherUnit:
    """The unit of the other system: a figure in it times ``factor`` plus ``shift`` is one in the unit itself."""

    symbol: str
    factor: float
    shift: float
    us: bool


def other_unit(unit: str) -> OtherUnit | None:
    """Return the unit that people of the other system read in; None where there is none.

    >>> other_unit("mm"), other_unit("A")
    (OtherUnit(symbol='in', factor=25.4, shift=0.0, us=True), None)
    """
    try:
        own = unit_named(unit)
    except UnitError:
        return None
    if not own.other:
        return None
    other = UNITS[own.other].symbol
    factor, shift = convert(1, other, own.symbol, difference=True), convert(0, other, own.symbol)
    return OtherUnit(other, float(factor), float(shift), other in US)


def record_texts(words: Words) -> dict[str, str]:
    """Return the texts that the scripts fill in, by the last part of their key; a plural has two."""
    return {key.removeprefix(TEXTS): text for key, text in words.texts.items() if key.startswith(TEXTS)}


@lru_cache
def form_script() -> str:
    """Return the script that gives the record's JSON Schema to the import, without descriptions."""
    schema = _bare(RecordFile.model_json_schema(by_alias=True))
    about = "/* The form of a record, as schema_record.json publishes it. */\n"
    return about + data_script("benchleafRecordForm", schema)


def _bare(node: Any, names: bool = False) -> Any:
    if isinstance(node, list):
        return [_bare(n) for n in node]
    if not isinstance(node, dict):
        return node
    left_out = () if names else ("description", "title", "default")
    inner = ("properties", "$defs")
    return {k: _bare(v, not names and k in inner) for k, v in node.items() if k not in left_out}
