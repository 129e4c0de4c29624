"""Which values the steps of plans ask for."""

from __future__ import annotations

from collections.abc import Iterable

from ..values.sourced_values import ValueUse
from .plan import Plan


def asked_values(plans: Iterable[Plan]) -> dict[str, tuple[ValueUse, ...]]:
    """Return the values that plans ask for, each with the steps that do."""
    found: dict[str, list[ValueUse]] = {}
    for plan in plans:
        for step in plan.steps:
            names = [*step.values, *(m.value for m in step.measure if m.value)]
            for name in dict.fromkeys(names):
                found.setdefault(name, []).append(ValueUse(plan.sequence, plan.title, step.number))
    return {name: tuple(uses) for name, uses in found.items()}
