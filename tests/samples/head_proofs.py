"""Prove order, paths and overlaps of whole heads, without gaps and wrong ways: for tests and benchmarks."""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from benchleaf.geometry.dimensions.options import Options
from benchleaf.geometry.dimensions.size import Size, example_measures, make_size
from benchleaf.geometry.head.head import Head, make_head
from benchleaf.geometry.meshes.overlaps import Bodies, clashes
from benchleaf.sequences.order.order import check_order, draft_moves, edges_of, graph_of, touching, with_path
from benchleaf.sequences.order.order_graph import OrderGraph
from benchleaf.sequences.order.paths import Ways
from benchleaf.sequences.proof.proving import poses_of, turns_of
from benchleaf.sequences.reach.reach import find_reach
from benchleaf.sequences.steps.conditions import all_options, option_values
from benchleaf.sequences.steps.plan import Plan
from benchleaf.sequences.steps.resolve import resolve
from benchleaf.sequences.steps.sequence_file import Sequence as SequenceText
from benchleaf.sequences.steps.sequence_file import load_sequence

SHAPE_OPTIONS = ("rotor", "seal", "cover", "cover_nuts", "body", "ports", "cleaning_in_place")
"""Options that change a solid or which part moves when; a test holds that the others do neither."""
MOVING = ("assembly", "disassembly")


@dataclass
class ProvenHead:
    """A head with its ways: proofs of several plans over it share what was worked out."""

    head: Head
    ways: Ways = field(init=False)

    def __post_init__(self) -> None:
        self.ways = Ways(Bodies(self.head))

    @cached_property
    def near(self) -> Mapping[str, frozenset[str]]:
        """Part to the parts that it touches."""
        return touching(self.ways)

    @property
    def kinds(self) -> dict[str, str]:
        """Part key to kind."""
        return {p.key: p.kind for p in self.head}

    def plan(self, sequence: SequenceText) -> Plan:
        """Return the plan of a sequence over this head."""
        pitch = self.head.size.pitches_mm
        return resolve(sequence, self.head.options, self.kinds, assembly=self.head.name, pitch_mm=pitch)

    def graph(self, plan: Plan, steps: Iterable[str] | None = None) -> OrderGraph:
        """Return the order graph of a plan; with ``steps`` (ids) only their moves are checked and followed."""
        drafts = draft_moves(plan, self.head, poses_of(self.head.turning))
        wanted = {s.id for s in plan.steps} if steps is None else set(steps)
        moves = [
            with_path(self.ways, d, measure_gap=False) if d.bare.step_id in wanted else d.bare for d in drafts
        ]
        edges = [e for m in moves if m.step_id in wanted for e in edges_of(self.ways, m, moves)]
        self.ways.forget_sweeps()
        return graph_of(self.head, plan, moves, edges, self.near)

    def violations(self, plan: Plan) -> list[str]:
        """Return what keeps a plan from being sound but overlaps in place, a line each."""
        said = [f"{f.step_id}: {f.part} {f.kind} {f.by}" for f in check_order(self.graph(plan), plan)]
        for t in turns_of(self.ways, plan, self.head.turning):
            said += [f"{t.step_id}: {a} turns into {b}" for a, b in t.touches]
        return said

    def out_of_reach(self, plan: Plan) -> list[str]:
        """Return the tools of a plan that cannot do their work, a line each."""
        found = find_reach(self.head, plan, self.ways.bodies).found
        return [f"{f.step_id}: {f.tool} at {f.at} {f.fault} {f.part} {f.millimetres:.3g}" for f in found]

    def overlaps(self) -> list[str]:
        """Return what overlaps in place, a line each."""
        return [
            f"{c.part} and {c.other} overlap {c.overlap.depth_mm:.3g} mm deep"
            for c in clashes(self.ways.bodies)
        ]


def head_of(options: Options, centre_mm: float = 80.0, overrides: Mapping[str, float] | None = None) -> Head:
    """Return a head of an example size."""
    return make_head("H-1", size_of(options, centre_mm, overrides), options)


def size_of(options: Options, centre_mm: float = 80.0, overrides: Mapping[str, float] | None = None) -> Size:
    """Return an example size that suits the options' rotor."""
    return make_size(f"{centre_mm:g}", example_measures(centre_mm, options.rotor), overrides)


def shipped() -> list[SequenceText]:
    """Return the sequences that move parts."""
    return [load_sequence(name) for name in MOVING]


def faults_with(
    options: Options, sequences: Sequence[SequenceText], centre_mm: float = 80.0
) -> dict[str, list[str]]:
    """Return what is flagged with these options, by sequence, and under ``in place``; all empty where it is sound."""
    proven = ProvenHead(head_of(options, centre_mm))
    found = {"in place": proven.overlaps()}
    for sequence in sequences:
        found[sequence.kind] = proven.violations(proven.plan(sequence))
    return found


def shape_combinations() -> list[Options]:
    """Return every combination of the options that change solids or moves."""
    return all_options(*SHAPE_OPTIONS)


def covering(every: Sequence[Options], strength: int = 2, begun: Sequence[Options] = ()) -> list[Options]:
    """Return a few of ``every`` that hold all values of any ``strength`` options together; greedy, always the same.

    Those of ``begun`` come first.
    """
    held = {o: _together(o, strength) for o in every}
    chosen = list(begun)
    left = set().union(*held.values()).difference(*(held[o] for o in chosen))
    while left:
        best = max(every, key=lambda o: len(left & held[o]))
        chosen.append(best)
        left -= held[best]
    return chosen


def _together(options: Options, strength: int) -> frozenset[tuple[Any, ...]]:
    values = [(n, getattr(options, n)) for n in SHAPE_OPTIONS]
    return frozenset(itertools.combinations(values, strength))


def other_values(name: str) -> list[Any]:
    """Return the values of an option but its default."""
    return [v for v in option_values(name) if v != getattr(Options(), name)]
