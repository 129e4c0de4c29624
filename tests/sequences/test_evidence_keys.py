"""What evidence is kept under: all that the proof rests on, and no word of it."""

from __future__ import annotations

import dataclasses
from pathlib import Path

import cadquery as cq
import pytest
from benchleaf.geometry.assembly import Assembly
from benchleaf.sequences.proof import prove
from benchleaf.sequences.proof.evidence_keys import evidence_keys
from benchleaf.sequences.steps.plan import Plan, with_shaft_angles
from benchleaf.sequences.work.store import Store
from proof_samples import coupling, plan_of, slide

FEW = ("housing", "ring", "cover")
ROWS = [(k, (((k,), slide()),)) for k in ("ring", "cover")]


def small() -> tuple[Assembly, Plan]:
    whole = coupling()
    plan = dataclasses.replace(
        plan_of(ROWS, ("housing",)), units={"lid": ("cover", "ring")}, unit_titles={"lid": "Lid, built up"}
    )
    return dataclasses.replace(whole, parts={k: whole.parts[k] for k in FEW}), plan


def reworded(assembly: Assembly, plan: Plan) -> tuple[Assembly, Plan]:
    """Return the same with every word changed."""
    parts = {
        k: dataclasses.replace(p, name=f"Other {p.name}", material="other") for k, p in assembly.parts.items()
    }
    steps = tuple(
        dataclasses.replace(
            s, title="Other", section="other", acts=("Other.",), look=("Other.",), why="Other."
        )
        for s in plan.steps
    )
    plan = dataclasses.replace(
        plan, title="Other", steps=steps, unit_titles={"lid": "Other"}, assembly="other"
    )
    return dataclasses.replace(assembly, name="other", parts=parts), plan


def key_of(assembly: Assembly, plan: Plan) -> str:
    (key,) = evidence_keys(assembly, [plan])
    return key.digest


def test_a_changed_word_makes_no_proof_anew(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    assembly, plan = small()
    first = prove.prove(assembly, plan, store=Store(tmp_path), workers=1)
    other, told = reworded(assembly, plan)
    assert key_of(other, told) == key_of(assembly, plan) == first.key

    def refuse(*_: object) -> None:
        raise AssertionError("proven anew")

    monkeypatch.setattr(prove, "prove_afresh", refuse)
    again = prove.prove(other, told, store=Store(tmp_path), workers=1)
    assert again == dataclasses.replace(first, assembly="other")
    with pytest.raises(AssertionError, match="proven anew"):
        prove.prove(assembly, plan, store=Store(tmp_path / "empty"), workers=1)


def test_whatever_the_proof_rests_on_makes_another_key() -> None:
    assembly, plan = small()
    cover, first = assembly.parts["cover"], plan.steps[0]

    def with_cover(**more: object) -> Assembly:
        changed = dataclasses.replace(cover, **more)  # type: ignore[arg-type]
        return dataclasses.replace(assembly, parts={**assembly.parts, "cover": changed})

    def with_step(**more: object) -> Plan:
        changed = dataclasses.replace(first, **more)  # type: ignore[arg-type]
        return dataclasses.replace(plan, steps=(changed, *plan.steps[1:]))

    last = dataclasses.replace(plan.steps[-1], shaft_turn_deg=90.0)
    turned_in_the_last = dataclasses.replace(plan, steps=(*plan.steps[:-1], last))
    others = [
        (with_cover(solid=cq.Workplane().box(1, 1, 1).val()), plan),
        (with_cover(place=cover.place.moved(0, 0, 0.1)), plan),
        (with_cover(features=cover.features[1:]), plan),
        (with_cover(side="drive"), plan),
        (with_cover(thread=True), plan),
        (with_cover(kind="lid"), plan),
        (dataclasses.replace(assembly, front=(0.0, 1.0, 0.0)), plan),
        (assembly, with_step(id="other")),
        (assembly, with_step(number=7)),
        (assembly, with_step(present=())),
        (assembly, dataclasses.replace(plan, steps=with_shaft_angles(plan.steps, 90.0))),
        (assembly, turned_in_the_last),
        (dataclasses.replace(assembly, made_from="1"), plan),
        (dataclasses.replace(assembly, made_from="2"), plan),
        (assembly, with_step(bench="lid")),
        (assembly, dataclasses.replace(plan, given=())),
        (assembly, dataclasses.replace(plan, units={})),
        (assembly, dataclasses.replace(plan, sequence="disassembly")),
    ]
    keys = [key_of(a, p) for a, p in ((assembly, plan), *others)]
    assert len(set(keys)) == len(keys)
    assert key_of(assembly, with_step(examples=("pit",))) == keys[0], "what pages alone show"
