"""Check the sourced values of a fleet file: units, limits, contradictions, and that none stands without its source."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from decimal import Decimal

from ...geometry.dimensions.options import Options
from ...geometry.engineering.elastomers import media
from ...geometry.engineering.measuring import ISO_GUARD, DecisionRule
from ...geometry.engineering.units import UnitError, convert, unit_named
from ..files.faults import Faults, any_of, likely, shown
from ..files.yaml_files import Path as NodePath
from ..files.yaml_files import YamlFile
from ..values.quantities import ValueName
from ..values.sourced_values import ChosenRule, Level, Source, SourcedValue
from ..values.value_names import VALUE_NAMES
from .fleet_file import DecisionRuleText, HeadText, SourcedText, SourceText, ValuesByName

_SENSE: dict[str, tuple[float, float]] = {
    "torque": (0.1, 2000.0),
    "length": (0.001, 500.0),
    "temperature": (-60.0, 400.0),
    "pressure": (0.01, 100.0),
    "mass": (0.1, 500.0),
}
"""Least and greatest figure of a quantity in its own unit (:data:`.UNIT`) that a fluid head can mean;
beyond it the unit or the decimal point is wrong. Wide screening limits of our own, no standard's."""
_SAYS_NOTHING = re.compile(
    r"[\W_]*|[-+]?\.?(nan|inf)|n\.?/?a\.?|tb[acd]|to\s?do|(yet )?unknown|not known", re.IGNORECASE
)
"""What people write where they do not know: it would stand in a booklet as a value or its source."""
MOST_DIGITS = 30
"""No figure of a pump is written with as many; it is not said again."""
_PRODUCT = "the name or class of a product, in words"
_LEAVE_OUT = "leave the whole value out: it prints as a blank, with the place to look"
_GAPS = ("front_face_clearance", "radial_clearance", "rear_clearance", "mesh_clearance")
_MOST_GAP_MM = 5.0
_STRESS_MPA = (20.0, 3000.0)
"""Least and greatest yield that a metal can mean."""


def gather_values(
    values: ValuesByName, doc: YamlFile, level: Level, faults: Faults
) -> dict[str, SourcedValue | None]:
    """Return the values that one level of the file gives; None where it names a value and leaves it blank."""
    found: dict[str, SourcedValue | None] = {}
    for name, entry in VALUE_NAMES.items():
        if name not in values.model_fields_set:
            continue
        text: SourcedText | None = getattr(values, name)
        if text is None:
            found[name] = None
        elif text.sound:
            value = checked_value(entry, text, doc, level, faults)
            if value is not None:
                found[name] = value
        elif text.unit is not None and entry.quantity != "text":  # what else is wrong has its fault
            _unit(entry, text, doc, faults)
    return found


def checked_value(
    entry: ValueName, text: SourcedText, doc: YamlFile, level: Level, faults: Faults
) -> SourcedValue | None:
    """Return a value as a file gives it; None where it has a mistake."""
    before = len(faults)
    unit = ""
    if text.threads is not None and entry.quantity != "torque":
        found = f"threads on {entry.name}"
        at = (*text.path, "threads")
        faults.add(doc.fault(at, found, "threads on torques only", "take the line away", key=True))
    _check_document(text.source, doc, _LEAVE_OUT, faults)
    rule = check_rule(text.decision_rule, doc, faults)
    _check_judged(entry, text, doc, faults)
    if entry.quantity == "text":
        _check_words(entry, text, doc, faults)
    else:
        unit = _unit(entry, text, doc, faults)
        _check_figures(entry, text, unit, doc, faults)
    if len(faults) > before:
        return None
    span = (text.range[0], text.range[1]) if text.range else None
    return SourcedValue(
        value=text.value,
        unit=unit,
        source=_source(text.source),
        date=text.date,
        tolerance=text.tolerance,
        span=span,
        condition=text.condition,
        threads=text.threads or "",
        medium=text.medium or "",
        level=level,
        critical=text.critical,
        rule=rule,
    )


def _source(s: SourceText) -> Source:
    return Source(s.document, s.revision or "", s.table or "", s.page or "")


def _check_document(source: SourceText, doc: YamlFile, fix: str, faults: Faults) -> None:
    if _SAYS_NOTHING.fullmatch(source.document):
        at, allowed = (*source.path, "document"), "the name or number of a document"
        faults.add(doc.fault(at, shown(source.document), allowed, fix))


def check_rule(text: DecisionRuleText | None, doc: YamlFile, faults: Faults) -> ChosenRule | None:
    """Return the decision rule that the plant has chosen, None where there is none or it has a mistake."""
    if text is None or not text.sound:
        return None
    before = len(faults)
    fix = "leave the whole rule out: readings are then judged by their instruments"
    _check_document(text.source, doc, fix, faults)
    if text.guard is not None:
        at = (*text.path, "guard")
        if text.rule == "simple":
            found = "a guard with simple acceptance"
            faults.add(
                doc.fault(at, found, "a guard with rule: guarded only", "take the line away", key=True)
            )
        elif not 0 < text.guard <= 1:
            allowed = "above 0 and at most 1: a share of the expanded uncertainty"
            faults.add(doc.fault(at, shown(text.guard), allowed, "write it as a share, such as 0.83"))
    if len(faults) > before:
        return None
    guard = ISO_GUARD if text.guard is None else float(text.guard)
    return ChosenRule(DecisionRule(text.rule, guard), _source(text.source), text.date)


def _check_judged(entry: ValueName, text: SourcedText, doc: YamlFile, faults: Faults) -> None:
    """Note a decision rule on what no reading is held against, and one that speaks against ``critical``."""
    if entry.quantity in ("text", "torque"):
        why = "is a text" if entry.quantity == "text" else "is set with a wrench and not read"
        for key in ("critical", "decision_rule"):
            if getattr(text, key):
                allowed = f"no {key}: {entry.name} {why}"
                faults.add(doc.fault((*text.path, key), key, allowed, "take the line away", key=True))
    elif text.critical and text.decision_rule is not None and text.decision_rule.rule == "simple":
        found, allowed = "a critical value with simple acceptance", "critical, or rule: simple"
        faults.add(doc.fault((*text.path, "critical"), found, allowed, "take one of them away", key=True))


def check_medium(medium: str, at: NodePath, doc: YamlFile, faults: Faults) -> None:
    """Note a class of medium that the elastomer table does not hold."""
    if medium not in media():
        near = likely(medium, media())
        fix = f"write {near}" if near else "leave it out where no class fits"
        faults.add(doc.fault(at, f"the medium '{medium}'", any_of(media(), medium), fix))


def _check_words(entry: ValueName, text: SourcedText, doc: YamlFile, faults: Faults) -> None:
    at = text.path
    if text.medium is not None:
        check_medium(text.medium, (*at, "medium"), doc, faults)
    if not isinstance(text.value, str):
        found = "no value" if text.value is None else shown(text.value)
        where = (*at, "value") if text.value is not None else at
        faults.add(doc.fault(where, found, _PRODUCT, "write it as text"))
    elif _SAYS_NOTHING.fullmatch(text.value):
        faults.add(doc.fault((*at, "value"), shown(text.value), _PRODUCT, _LEAVE_OUT))
    for key in ("unit", "tolerance", "range"):
        if getattr(text, key) is not None:
            faults.add(
                doc.fault(
                    (*at, key), key, f"no {key}: {entry.name} is a text", "take the line away", key=True
                )
            )


def _unit(entry: ValueName, text: SourcedText, doc: YamlFile, faults: Faults) -> str:
    allowed = f"a unit of {entry.quantity}"
    if text.unit is None:
        faults.add(
            doc.fault(
                text.path, "no unit", f"{allowed}, such as {entry.unit}", f"add the line unit: {entry.unit}"
            )
        )
        return ""
    try:
        return unit_named(text.unit, entry.quantity).symbol
    except UnitError as e:
        near = e.fix.removeprefix("did you mean ").rstrip("?")
        fix = f"write {near}" if near != e.fix else ""
        faults.add(doc.fault((*text.path, "unit"), f"'{text.unit}'", any_of(e.allowed), fix))
        return ""


def _check_figures(entry: ValueName, text: SourcedText, unit: str, doc: YamlFile, faults: Faults) -> None:
    at, value = text.path, text.value
    if text.medium is not None:
        found = f"a medium on {entry.name}"
        fix = "take the line away"
        faults.add(
            doc.fault((*at, "medium"), found, "a medium on lubricants and liquids only", fix, key=True)
        )
    if isinstance(value, str):
        number = value.split()[0].replace(",", ".") if value.split() else ""
        fix = (
            f"write value: {number} and the unit in a line of its own"
            if number[:1].isdigit() and len(number) < MOST_DIGITS
            else _LEAVE_OUT
            if _SAYS_NOTHING.fullmatch(value)
            else "write a number"
        )
        faults.add(doc.fault((*at, "value"), shown(value), "a number", fix))
        return
    if value is None and text.range is None:
        fix = "add one of them, or leave the whole value out for a blank"
        faults.add(doc.fault(at, "neither value nor range", "value, or range: [least, greatest]", fix))
        return
    if text.tolerance is not None and text.range is not None:
        faults.add(
            doc.fault((*at, "range"), "tolerance and range", "one of the two", "take one away", key=True)
        )
    if text.tolerance is not None:
        _check_tolerance(text, doc, faults)
    if text.range is not None:
        _check_range(text, doc, faults)
    if unit:
        figures = [("value", value)] if value is not None else []
        figures += [("range", f) for f in text.range or ()]
        for key, figure in figures:
            _check_sense(entry, key, figure, unit, text, doc, faults)


def _check_tolerance(text: SourcedText, doc: YamlFile, faults: Faults) -> None:
    at = (*text.path, "tolerance")
    assert text.tolerance is not None
    if text.value is None:
        faults.add(
            doc.fault(at, "a tolerance without a value", "value with tolerance, or range", "add the value")
        )
    elif text.tolerance <= 0:
        faults.add(doc.fault(at, shown(text.tolerance), "more than 0", "write the tolerance without a sign"))
    elif text.tolerance >= abs(text.value) and text.unit not in ("°C", "°F"):
        allowed = f"less than the value, {text.value}"
        faults.add(
            doc.fault(at, shown(text.tolerance), allowed, "write half of the span, in the unit of the value")
        )


def _check_range(text: SourcedText, doc: YamlFile, faults: Faults) -> None:
    at = (*text.path, "range")
    span = text.range or []
    if len(span) != 2:
        faults.add(doc.fault(at, f"{len(span)} figures", "two: [least, greatest]", "write two figures"))
        return
    low, high = span
    if low >= high:
        fix = f"write [{high}, {low}]" if low > high else "write the figure as value, with its tolerance"
        faults.add(doc.fault(at, f"[{low}, {high}]", "the least first, then the greatest", fix))
    elif isinstance(text.value, Decimal) and not low <= text.value <= high:
        allowed = f"{low} to {high}, its own range"
        faults.add(
            doc.fault((*text.path, "value"), shown(text.value), allowed, "correct the value or the range")
        )


def _check_sense(
    entry: ValueName, key: str, figure: Decimal, unit: str, text: SourcedText, doc: YamlFile, faults: Faults
) -> None:
    least, most = _SENSE[entry.quantity]
    if entry.name in _GAPS:
        most = _MOST_GAP_MM
    if entry.own_unit == "MPa":
        least, most = _STRESS_MPA
    try:
        own = float(convert(figure, unit, entry.unit))
    except OverflowError:  # no number of this machine is as large
        own = math.inf
    if not least <= own <= most:
        allowed = f"{least:g} to {most:g} {entry.unit}"
        fix = "check the unit and the decimal point"
        found = shown(str(figure)).strip("'")
        faults.add(doc.fault((*text.path, key), f"{found} {unit}", allowed, fix))


_PAIRS = (
    ("relief_set_pressure", "pressure_limit", "the relief must open before the limit is reached"),
    ("safe_touch_temperature", "temperature_limit", "nobody works on a head at its limit"),
    ("leak_test_pressure", "pressure_limit", "a leak check here stays within the highest working pressure"),
)


def check_against_head(
    row: HeadText,
    doc: YamlFile,
    options: Options,
    known: Mapping[str, SourcedValue],
    faults: Faults,
) -> None:
    """Note values that do not belong to a head, and figures that contradict each other."""
    for name, entry in VALUE_NAMES.items():
        if name in row.values.model_fields_set and not entry.belongs(options):
            needs = " and ".join(f"{k}: {' or '.join(map(str, v))}" for k, v in entry.when.items())
            at = (*row.path, "values", name)
            faults.add(
                doc.fault(
                    at, f"{name} on a head without it", f"a head with {needs}", "take it away", key=True
                )
            )
    for low, high, why in _PAIRS:
        if low in known and high in known and VALUE_NAMES[low].belongs(options):
            a, b = _greatest(low, known), _greatest(high, known)
            if a is not None and b is not None and a > b:
                unit = VALUE_NAMES[low].unit
                found = f"{low} {a:g} {unit}"
                allowed = f"at most {high}, {b:g} {unit}: {why}"
                own = next((n for n in (low, high) if known[n].level == "head"), "")
                at = (*row.path, "values", own) if own else row.path
                faults.add(doc.fault(at, found, allowed, "correct one of the two values"))
    if row.process_temperature_c is not None and "temperature_limit" in known:
        limit = _greatest("temperature_limit", known)
        if limit is not None and row.process_temperature_c > limit:
            at = (*row.path, "process_temperature_c")
            found = f"{row.process_temperature_c:g} °C"
            faults.add(
                doc.fault(
                    at, found, f"at most temperature_limit, {limit:g} °C", "correct one of the two values"
                )
            )


def _greatest(name: str, known: Mapping[str, SourcedValue]) -> float | None:
    given = known[name]
    figure = given.span[1] if given.span else given.value
    return float(convert(figure, given.unit, VALUE_NAMES[name].unit)) if isinstance(figure, Decimal) else None
