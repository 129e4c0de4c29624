"""Which safety messages a step's conditions call for, found by other means than the program's own."""

from __future__ import annotations

from benchleaf.geometry.dimensions.options import Options
from benchleaf.sequences.steps.cautions import Bringing
from benchleaf.sequences.steps.plan import Plan, Step


def is_called(rule: Bringing, plan: Plan, step: Step, options: Options, parts: dict[str, str]) -> bool:
    """Return whether ``rule`` calls for its message in a step of a head whose body and cover are too heavy to lift."""
    if rule.at != "step" or (rule.sequence and plan.sequence not in rule.sequence):
        return False
    if rule.when is not None and not rule.when.holds(options):
        return False
    moving = {parts[k] for m in step.moves for k in m.parts}
    touched = moving | {parts[k] for k in step.focus}
    staged = " | ".join([*step.tools, *step.supplies]).casefold()
    return (
        (not rule.moving or bool(moving & set(rule.moving)))
        and (not rule.touching or bool(touched & set(rule.touching)))
        and (not rule.stages or any(word.casefold() in staged for word in rule.stages))
        and (not rule.mass_over_limit or bool(moving & {"body", "cover"}) or _takes_the_cover(plan, step))
        and (not rule.turns_shafts or step.shaft_turn_deg != 0)
    )


def _takes_the_cover(plan: Plan, step: Step) -> bool:
    """Return whether the cover's weight is taken while it stays: before the last nut is off, not after."""
    return (plan.sequence, step.id) == ("disassembly", "cover_nuts_off")
