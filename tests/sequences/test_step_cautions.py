"""Cautions in the plans: every condition's message is where it is called for, goes with the condition, and comes back;
on the pages each stands before the acts of its step, for every option that changes a step."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from benchleaf.geometry.dimensions.options import Options
from benchleaf.geometry.dimensions.parts_list import part_kinds
from benchleaf.geometry.engineering.elastomers import matches
from benchleaf.sequences.steps.cautions import Bringing, Catalogue, load_cautions
from benchleaf.sequences.steps.conditions import all_options
from benchleaf.sequences.steps.elastomer_cautions import elastomer_cautions
from benchleaf.sequences.steps.plan import Plan, Step
from benchleaf.sequences.steps.resolve import resolve
from benchleaf.sequences.steps.sequence_file import CHECKLISTS, SHIPPED, Sequence, load_sequence
from benchleaf.sequences.values.head_values import resolve_values
from benchleaf.site.pages.booklet import Booklet, make_chapter
from benchleaf.site.pages.pages import Setting, units, write_booklet
from benchleaf.site.pages.view_models import Identity
from benchleaf.site.words.catalogue import load_words
from called_cautions import is_called
from markupsafe import escape

CATALOGUE = load_cautions()
SEQUENCES = {kind: load_sequence(kind, CATALOGUE) for kind in (*SHIPPED, *CHECKLISTS)}
OPTIONS = [*all_options("seal", "cover", "cover_oring", "cleaning_in_place"), Options(cover_nuts="wing")]
RULES = [(e.id, n, b) for e in CATALOGUE.entries.values() for n, b in enumerate(e.brought_by)]
HEAVY = 50.0


def _plan(sequence: Sequence, options: Options, heavy: bool = False, **more: object) -> Plan:
    parts = part_kinds(options)
    masses = {k: HEAVY for k, kind in parts.items() if heavy and kind in ("body", "cover")}
    return resolve(sequence, options, parts, mass_kg=masses, lifting_limit_kg=15.0, **more)  # type: ignore[arg-type]


def _without(sequence: Sequence, caution: str, rule: int) -> Sequence:
    """Return the sequence with a catalogue in which one condition of one message is taken away."""
    entries = dict(CATALOGUE.entries)
    kept = [b for n, b in enumerate(entries[caution].brought_by) if n != rule]
    entries[caution] = entries[caution].model_copy(update={"brought_by": kept})
    return replace(sequence, catalogue=Catalogue(entries))


def _ids(step: Step) -> set[str]:
    return {c.id for c in step.messages}


@pytest.mark.parametrize(("caution", "number", "rule"), RULES, ids=[f"{c}-{n}" for c, n, _ in RULES])
def test_a_condition_taken_away_takes_its_message_along_and_brings_it_back(
    caution: str, number: int, rule: Bringing
) -> None:
    called = gone = 0
    fewer = {kind: _without(s, caution, number) for kind, s in SEQUENCES.items()}
    for options in OPTIONS:
        parts = part_kinds(options)
        for kind, sequence in SEQUENCES.items():
            with_it = _plan(sequence, options, rule.mass_over_limit)
            without = _plan(fewer[kind], options, rule.mass_over_limit)
            if rule.at == "front":
                holds = rule.when is None or rule.when.holds(options)
                called += holds
                assert not holds or caution in {c.id for c in with_it.cautions}
                gone += holds and caution not in {c.id for c in without.cautions}
            for step, bare in zip(with_it.steps, without.steps, strict=True):
                if is_called(rule, with_it, step, options, parts):
                    called += 1
                    assert caution in _ids(step), f"{step.id} with {options}"
                    gone += caution not in _ids(bare)
                else:
                    assert _ids(step) == _ids(bare), f"{step.id}: taken away where it was not called for"
    for kind, sequence in SEQUENCES.items():
        back = replace(fewer[kind], catalogue=CATALOGUE)
        assert _plan(back, OPTIONS[-1]) == _plan(sequence, OPTIONS[-1])
    assert called, "no head of the family ever meets this condition"
    if not gone:
        named = {n.name for s in SEQUENCES.values() for t in s.text.steps for n in t.cautions}
        named |= {n.name for s in SEQUENCES.values() for n in s.text.cautions}
        others = [b for c, n, b in RULES if c == caution and n != number]
        assert caution in named or others, "the condition brings nothing that is not there without it"


def test_an_option_that_brings_a_hazard_is_the_only_one_to_bring_it() -> None:
    """Each hazard that hangs on an option is on no front page of a head without it."""
    for options in OPTIONS:
        for sequence in SEQUENCES.values():
            front = {c.id for c in _plan(sequence, options).cautions}
            assert ("trapped_flush" in front) == (options.seal == "double")
            assert ("hot_jacket" in front) == (options.cover == "jacketed")
            assert ("relief_spring_load" in front) == (options.cover == "relief")
            assert ("cip_flow" in front) == options.cleaning_in_place


# ------------------------------------------------------------------ what a head's media raise
CLASHES = [
    (e, m.medium) for (e, _), m in matches().items() if m.verdict != "suits" and e != "ptfe-encapsulated"
]


@pytest.mark.parametrize(("elastomer", "medium"), CLASHES, ids=[f"{e}-{m.key}" for e, m in CLASHES])
def test_every_clash_stands_at_the_front_and_in_the_steps_that_use_it(elastomer: str, medium: object) -> None:
    met = {"product": (medium.key,)} if medium.role == "product" else {"cleaning": (medium.key,)}  # type: ignore[attr-defined]
    if medium.role == "lubricant":  # type: ignore[attr-defined]
        met = {"lubricant": medium.key}  # type: ignore[attr-defined]
    raised = elastomer_cautions(elastomer, **met)  # type: ignore[arg-type]
    assert len(raised) == 1
    wanted = raised[0].caution
    used = {"lubricant": "assembly_lubricant", "cleaning": "cleaning_agent"}.get(medium.role)  # type: ignore[attr-defined]
    options = Options(elastomer=elastomer, seal="double", cover="relief")  # type: ignore[arg-type]
    parts = part_kinds(options)
    for sequence in SEQUENCES.values():
        plan, bare = _plan(sequence, options, raised=raised), _plan(sequence, options)
        assert wanted in plan.cautions
        assert wanted not in bare.cautions
        for step, without in zip(plan.steps, bare.steps, strict=True):
            loose = {parts[k] for m in step.moves if m.into and not m.group for k in m.parts}
            loose |= {parts[k] for k in step.focus} if plan.sequence == "inspection" else set()
            uses = any(k.endswith("_oring") for k in loose) or used in step.values
            assert (wanted in step.messages) == uses, step.id
            assert wanted not in without.messages
    assert elastomer_cautions(elastomer) == ()


# ------------------------------------------------------------------ before the act
def _distinct(kind: str) -> Iterator[tuple[Options, Plan]]:
    """Yield a plan for each that has a step which no plan before had."""
    seen: set[Step] = set()
    for options in all_options(
        "rotor", "seal", "cover", "cover_nuts", "cover_oring", "body", "cleaning_in_place"
    ):
        plan = _plan(SEQUENCES[kind], options, heavy=True)
        steps = {replace(s, number=0, present=()) for s in plan.steps}
        if not steps <= seen:
            seen |= steps
            yield options, plan


@pytest.mark.parametrize("kind", SEQUENCES)
def test_every_step_has_its_cautions_before_its_acts(kind: str, tmp_path: Path) -> None:
    setting = Setting(load_words(), "Invented Works", True, "2031-01-01")
    pages = 0
    for options, plan in _distinct(kind):
        chapter = make_chapter(plan, {}, resolve_values({}, options), pictured=kind in SHIPPED)
        identity = Identity("P-1", "IW", "", "1", "2031-01-01")
        write_booklet(Booklet(identity, plan.cautions, None, (), (chapter,), ()), tmp_path, setting)
        page = (tmp_path / f"{kind}.html").read_text("utf-8")
        steps = re.findall(r'<section class="step[^>]*>(.*?)</section>', page, re.S)
        assert len(steps) == len(plan.steps)
        for text, step in zip(steps, plan.steps, strict=True):
            assert step.messages, step.id
            acts = text.index('class="acts"')
            told = [text.index(f"<strong>{_escaped(c.hazard)}") for c in step.cautions]
            told += [text.index(f'class="hazard">{_escaped(r.caution.hazard)}') for r in step.reminders]
            assert max(told) < acts, step.id
            assert text.count('class="message"') == len(step.cautions), step.id
            assert text.count('<details class="again') == len(step.reminders), step.id
        pages += 1
    assert pages > 1


def _escaped(text: str) -> str:
    return str(escape(units(text)))
