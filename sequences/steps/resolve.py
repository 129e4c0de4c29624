"""Resolve a sequence for one head: only the parts, steps, texts and cautions that belong, in a checked order.

Texts keep their placeholders (``{count:stud}``, ``{value:...}``): what stands for them depends on the language.

API::

    resolve(sequence, options, parts, *, assembly="", left_hand=(), pitch_mm=None,
            mass_kg=None, lifting_limit_kg=15.0, raised=(), surfaces=None) -> Plan
    Raised(caution, kinds)                   # a message that other checks of the head raise
    check_plans(sequence, heads, faults)     # (options, parts) of many heads, each mistake once
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass

from ...geometry.dimensions.options import Options
from ...geometry.dimensions.surface_names import surface_names
from ..files.faults import Fault, Faults, FaultsFound
from .cautions import Subject, by_severity
from .claims import Claim
from .conditions import belongs
from .given_messages import give_messages
from .marks.plant_marks import NO_MARKS
from .operations import Operation
from .plan import Caution, Measurement, OrderRule, Plan, Section, Step, with_shaft_angles
from .sequence_file import Sequence
from .sequence_form import Named, Said, StepText
from .step_operations import OperationFaults, step_operations
from .step_state import StepState

LIFTING_LIMIT_KG = 15.0
"""Mass over which a step brings the lifting caution. A cautious screening figure of our own, to be set by the fleet
file to the site's rule; no code or standard is claimed for it."""


@dataclass(frozen=True)
class Raised:
    """A message that a check of one head raises: for its front page, for the steps that fit or inspect loose parts of
    ``kinds``, and for those that state one of ``values``."""

    caution: Caution
    kinds: frozenset[str] = frozenset()
    values: frozenset[str] = frozenset()


def resolve(
    sequence: Sequence,
    options: Options,
    parts: Mapping[str, str],
    *,
    assembly: str = "",
    left_hand: Collection[str] = (),
    pitch_mm: Mapping[str, float] | None = None,
    mass_kg: Mapping[str, float] | None = None,
    lifting_limit_kg: float = LIFTING_LIMIT_KG,
    raised: Iterable[Raised] = (),
    surfaces: Mapping[str, Collection[str]] | None = None,
) -> Plan:
    """Return the plan of one head.

    Args:
        sequence: as :func:`.sequence_file.load_sequence` returns it.
        options: the head's options.
        parts: part key to kind, from the gear case outwards.
        assembly: name of the assembly, the plant tag of a head.
        left_hand: kinds of part whose thread is left-handed.
        pitch_mm: kind of part to the pitch of its thread; a leg with turns then has its length.
        mass_kg: part key to mass; left out, no mass brings a caution.
        lifting_limit_kg: mass over which a part or a unit brings its lifting caution.
        raised: messages that other checks of this head raise.
        surfaces: part key to the names of its surfaces; left out, those of a head with these options.

    Raises:
        FaultsFound: with every place where the sequence does not fit the head: a part forgotten, fitted twice, or
            used before its unit is built, a surface that its part has not.
    """
    named = surface_names(options, parts) if surfaces is None else surfaces
    walk = StepState(sequence, options, dict(parts), pitch_mm or {}, frozenset(left_hand))
    steps: list[Step] = []
    noted = OperationFaults()
    raised = tuple(raised)
    for text in sequence.steps:
        if belongs(text.when, options):
            draft = walk.step(text, len(steps) + 1)
            claims = _claims(text, walk)
            limits = (mass_kg or {}, lifting_limit_kg)
            done = step_operations(text, draft, walk, named, noted)
            steps.append(_finish(draft, text, sequence, options, parts, limits, raised, claims, done))
    walk.check_end()
    faults = [*walk.faults, *noted.wrong, *(() if walk.faults else noted.absent)]
    if faults:
        raise FaultsFound(faults)
    used = {s.section for s in steps}
    subject = Subject(sequence.kind, options, frozenset(parts.values()))
    sections = tuple(
        Section(
            t.id,
            t.title,
            _named(t.cautions, sequence, options, sequence.catalogue.brought("section", subject)),
        )
        for t in sequence.text.sections
        if t.id in used
    )
    front = sequence.catalogue.brought("front", subject)
    told, sections = give_messages(steps, sections)
    return Plan(
        sequence=sequence.kind,
        title=sequence.title,
        assembly=assembly,
        sections=sections,
        steps=with_shaft_angles(told),
        given=tuple(walk.given),
        units={name: tuple(keys) for name, keys in walk.contents.items()},
        unit_titles={name: sequence.text.units[name].title for name in walk.contents},
        cautions=_named(sequence.text.cautions, sequence, options, front, [r.caution for r in raised]),
        rules=_rules(sequence, options, {s.id for s in steps}),
    )


def check_plans(
    sequence: Sequence, heads: Iterable[tuple[Options, Mapping[str, str]]], faults: Faults
) -> None:
    """Resolve a sequence for many heads and collect each mistake once."""
    seen: set[Fault] = set()
    done: set[tuple[Options, tuple[str, ...]]] = set()
    for options, parts in heads:
        if (options, tuple(parts)) in done:
            continue
        done.add((options, tuple(parts)))
        try:
            resolve(sequence, options, parts)
        except FaultsFound as e:
            seen.update(e.faults)
    faults.extend(sorted(seen, key=lambda f: f.order))


def _named(
    named: Iterable[Named],
    s: Sequence,
    options: Options,
    brought: Iterable[str],
    more: Iterable[Caution] = (),
) -> tuple[Caution, ...]:
    ids = [*(n.name for n in named if belongs(n.when, options)), *brought]
    return by_severity([*(s.catalogue[i] for i in ids), *more])


def _rules(sequence: Sequence, options: Options, there: Collection[str]) -> tuple[OrderRule, ...]:
    """Return the rules of the order between steps that this head has; one about a step that it lacks falls away."""
    found = []
    for text in sequence.steps:
        for rule in text.after if text.id in there else ():
            after = tuple(dict.fromkeys(s for s in rule.step if s in there))
            if after and belongs(rule.when, options):
                found.append(OrderRule(text.id, after, rule.because))
    return tuple(found)


def _claims(text: StepText, walk: StepState) -> tuple[Claim, ...]:
    """Return what the step's sentences say that the solids show, with the keys of this head."""
    return tuple(
        Claim(
            said.text,
            walk.keys_of(shown.part),
            shown.mistake,
            shown.verdict,
            walk.keys_of(shown.other) if shown.other else (),
            shown.angles,
            shown.set_over_deg,
            bool(shown.goes_in),
            bool(shown.turns_free),
            walk.keys_of(shown.before) if shown.before else (),
        )
        for said in (*text.acts, *text.look, *text.why)
        if belongs(said.when, walk.options)
        for shown in said.shows
    )


def _texts(said: Iterable[Said], options: Options) -> tuple[str, ...]:
    return tuple(s.text for s in said if belongs(s.when, options))


def _finish(
    draft: Step,
    text: StepText,
    s: Sequence,
    options: Options,
    parts: Mapping[str, str],
    masses: tuple[Mapping[str, float], float],
    raised: tuple[Raised, ...],
    claims: tuple[Claim, ...],
    operations: tuple[Operation, ...],
) -> Step:
    """Return the step with its texts and cautions; ``masses`` are those of the parts and the lifting limit."""
    mass_kg, limit_kg = masses
    tools, supplies = _texts(text.tools, options), _texts(text.supplies, options)
    moving = frozenset(parts[k] for k in draft.moving)
    kinds = moving | {parts[k] for k in draft.focus}
    loads = [sum(mass_kg.get(k, 0.0) for k in m.parts) for m in draft.moves]
    loads.append(sum(mass_kg.get(k, 0.0) for k in draft.present if {k, parts[k]} & set(text.bears)))
    heavy, turning = any(load > limit_kg for load in loads), text.turn_shafts_deg != 0
    subject = Subject(s.kind, options, kinds, moving, (*tools, *supplies), heavy, turning)
    brought = s.catalogue.brought("step", subject)
    chosen = {k for m in draft.moves if m.into and not m.group for k in m.parts}
    chosen |= set(draft.focus) if s.kind == "inspection" else set()
    stated = {n.name for n in text.values if belongs(n.when, options)}
    more = [r.caution for r in raised if r.kinds & {parts[k] for k in chosen} or r.values & stated]
    titles = _texts(text.title, options)
    return Step(
        number=draft.number,
        id=draft.id,
        section=draft.section,
        title=titles[0] if titles else text.title[-1].text,
        present=draft.present,
        moves=draft.moves,
        bench=draft.bench,
        up=draft.up,
        focus=draft.focus,
        acts=_texts(text.acts, options),
        look=_texts(text.look, options),
        measure=tuple(
            Measurement(m.id, m.text, m.unit, m.value, m.method)
            for m in text.measure
            if belongs(m.when, options)
        ),
        why=" ".join(_texts(text.why, options)),
        tools=tools,
        supplies=supplies,
        values=tuple(dict.fromkeys(n.name for n in text.values if belongs(n.when, options))),
        cautions=_named(text.cautions, s, options, brought, more),
        claims=claims,
        operations=operations,
        examples=tuple(dict.fromkeys(e.damage for e in text.examples if belongs(e.when, options))),
        plant=s.plant.get(text.id, NO_MARKS),
        shaft_turn_deg=text.turn_shafts_deg,
    )
