"""A head as a stranger's assembly: exported as STEP, read back, the same parts, and the same order graph."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from benchleaf.geometry.assembly import Assembly, Elastic, Part
from benchleaf.geometry.dimensions.options import Options
from benchleaf.geometry.dimensions.size import example_measures, make_size
from benchleaf.geometry.exchange.assemblies.read_assembly import read_assembly
from benchleaf.geometry.exchange.cad_export import write_step
from benchleaf.geometry.frame import Place
from benchleaf.geometry.head.head import make_head
from benchleaf.geometry.meshes.overlaps import Bodies
from benchleaf.geometry.solid import moved
from benchleaf.sequences.order.order import edges_of, plan_moves
from benchleaf.sequences.order.paths import Ways
from benchleaf.sequences.steps.plan import Plan
from benchleaf.sequences.steps.resolve import resolve
from benchleaf.sequences.steps.sequence_file import load_sequence

COARSE_MM = 0.02
"""Twice as coarse as in a build: quick, and every gap of the example head is wider."""


@pytest.mark.slow
def test_the_order_graph_is_that_of_the_head_itself(tmp_path: Path) -> None:
    options = Options()
    head = make_head("P-1", make_size("s", example_measures(60.0, options.rotor)), options)
    write_step(head, tmp_path / "head.step")
    found = read_assembly([tmp_path / "head.step"])
    named = {p.name: p for p in found.parts}
    assert set(named) == set(head.parts)
    twins = {(a, b) for a in named for b in named if named[a].solid == named[b].solid}
    assert {(a, b) for a, b in twins if head.part(a).kind != head.part(b).kind} == set()
    parts = {}
    for part in head:
        stranger = named[part.key]
        parts[part.key] = Part(
            part.key,
            part.kind,
            part.name,
            part.material,
            found.solids[stranger.solid].solid,
            stranger.place,
            # What no STEP file tells: how soft parts give way, in the frame of the solid as it was read.
            elastic=_carried(part, stranger.place),
            thread=part.thread,
        )
    own = Assembly("P-1", parts, head.up, head.front, head.turning)
    plan = resolve(load_sequence("assembly"), options, {p.key: p.kind for p in head})
    assert _edges(own, plan) == _edges(head, plan)


def _carried(part: Part, place: Place) -> Elastic | None:
    if part.elastic is None:
        return None
    back = place.inverse() @ part.place
    passing = part.elastic.passing
    return replace(
        part.elastic,
        core=moved(part.elastic.core, back),
        passing=None if passing is None else moved(passing, back),
    )


def _edges(assembly: Assembly, plan: Plan) -> set[tuple[str, str, str]]:
    ways = Ways(Bodies(assembly, COARSE_MM))
    moves = plan_moves(ways, plan, measure_gap=False)
    found = set[tuple[str, str, str]]()
    for move in moves:
        for edge in edges_of(ways, move, moves):
            first, then = moves[edge.first], moves[edge.then]
            found.add(("+".join(first.parts), "+".join(then.parts), edge.why))
        ways.forget_sweeps()
    return found
