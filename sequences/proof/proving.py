"""Work out the evidence of plans over one assembly: in this process, or spread over several."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import partial

from ...geometry.assembly import Assembly, TurningGroup, poses_at
from ...geometry.frame import Place
from ...geometry.meshes.overlaps import Bodies, Clash, clashes
from ..misfits.findings import Effect, Misfit
from ..misfits.misfits import find_misfits, near_equal_pins, turned_by_deg
from ..misfits.orientation_cards import make_asked_cards, make_cards
from ..order.order import Draft, check_order, draft_moves, edges_of, graph_of, touching, with_path
from ..order.order_graph import Edge, OrderGraph, PlannedMove
from ..order.paths import STILL, Ways
from ..reach.kept_reach import kept_reach
from ..reach.tool_places import PlanReach
from ..steps.plan import Plan, Step
from ..steps.travel_poses import Stretch
from ..work.store import Store
from ..work.worker_pool import worker_count, worker_pool
from .evidence import Evidence, StepReason, TurnEvidence
from .practice import make_practice
from .proof_workers import be_ready, fits_task, path_task, share_assembly
from .shaft_timing import TimingEvidence, timing_of

FEW_MOVES = 8
"""Fewer moves than this are not worth starting processes for."""
USUAL_WORKERS = 2
"""Processes where nobody says how many: each may take up to 1.5 GB."""


@dataclass
class _Work:
    """One plan on its way to its evidence."""

    key: str
    plan: Plan
    drafts: list[Draft]
    moves: dict[int, PlannedMove]
    edges: list[Edge]
    fits: list[Misfit]
    reach: PlanReach = field(default_factory=PlanReach)

    @property
    def bare(self) -> list[PlannedMove]:
        return [d.bare for d in self.drafts]

    def graph(self, assembly: Assembly, near: Mapping[str, frozenset[str]]) -> OrderGraph:
        edges = sorted(self.edges, key=lambda e: (e.first, e.then))
        return graph_of(assembly, self.plan, [self.moves[n] for n in sorted(self.moves)], edges, near)


def prove_afresh(
    assembly: Assembly,
    plans: Sequence[tuple[str, Plan]],
    workers: int | None,
    tolerance_mm: float,
    meanwhile: Callable[[], None] | None = None,
    store: Store | None = None,
) -> Iterator[Evidence]:
    """Yield the evidence of each plan, given with the key of its evidence; ``meanwhile`` is called once on the way.

    ``store`` keeps what is found of the tools, which pictures need too.

    Raises:
        MeshError: if a solid has no closed surface.
        OverlapError: if a mesh is not fit for booleans.
        WorkerLost: if a worker is ended from outside.
    """
    ways = Ways(Bodies(assembly, tolerance_mm))
    poses = poses_of(assembly.turning)
    works = [_Work(key, plan, draft_moves(plan, assembly, poses), {}, [], []) for key, plan in plans]
    many = worker_count(workers, USUAL_WORKERS)
    if many < 2 or sum(len(w.drafts) for w in works) < FEW_MOVES:
        near, found = _alone(ways, works)
        turned = [_turning(ways, w) for w in works]
        _meanwhile(ways, works, store, meanwhile)
    else:
        here = partial(_meanwhile, ways, works, store, meanwhile)
        near, found, turned = _together(ways, works, many, here)
    for work, (phases, turns) in zip(works, turned, strict=True):
        standing = {m.step: m.poses for m in work.moves.values()}
        work.fits = [_when_turned(fit, assembly, standing[fit.step], phases) for fit in work.fits]
        graph = work.graph(assembly, near)
        yield Evidence(
            assembly=assembly.name,
            sequence=work.plan.sequence,
            key=work.key,
            tolerance_mm=tolerance_mm,
            clashes=tuple(found),
            moves=graph.moves,
            edges=graph.edges,
            arrows=graph.arrows,
            layers=graph.layers,
            faults=tuple(check_order(graph, work.plan)),
            reasons=tuple(_reasons(graph, work.plan)),
            wrong_fits=tuple(work.fits),
            cards=tuple(make_cards(assembly, graph, work.fits)),
            pins=tuple(near_equal_pins(ways, graph)),
            phases=tuple(phases),
            turns=tuple(turns),
            practice=make_practice(graph),
            touching=near,
            asked=tuple(make_asked_cards(assembly, graph, work.fits)),
            reach=work.reach,
        )


def _meanwhile(
    ways: Ways, works: Sequence[_Work], store: Store | None, also: Callable[[], None] | None
) -> None:
    """Look after the tools, and after what others want done, while other processes try wrong ways."""
    for work in works:
        work.reach = kept_reach(ways.bodies.assembly, work.plan, store, ways.bodies)
    if also:
        also()


def _alone(ways: Ways, works: Sequence[_Work]) -> tuple[Mapping[str, frozenset[str]], list[Clash]]:
    near, found = touching(ways), clashes(ways.bodies)
    for group in _same_parts(works):
        for work, draft in group:
            move = work.moves[draft.bare.number] = with_path(ways, draft)
            work.edges += edges_of(ways, move, work.bare)
        ways.forget_sweeps()
    for work in works:
        work.fits = find_misfits(ways, work.graph(ways.bodies.assembly, near))
    return near, found


def _together(
    ways: Ways,
    works: Sequence[_Work],
    many: int,
    meanwhile: Callable[[], None] | None,
) -> tuple[Mapping[str, frozenset[str]], list[Clash], list[tuple[list[TimingEvidence], list[TurnEvidence]]]]:
    assembly = ways.bodies.assembly
    with worker_pool(many, be_ready) as pool:
        pool.share(share_assembly(ways.bodies))
        tasks = []
        weight = {k: len(ways.bodies.own(k).triangles) for k in assembly.parts}
        # What takes long goes first, so that the workers end together.
        for group in sorted(_same_parts(works), key=lambda g: -sum(weight[k] for k in g[0][1].bare.parts)):
            # Travels to be found need the solids' own faces: they stay here.
            sent = [(w, d) for w, d in group if d.bare.move.legs]
            if sent:
                task = pool.submit(path_task, [(d, w.bare) for w, d in sent])
                tasks.append(([w for w, _ in sent], task))
        for group in _same_parts(works):
            for work, draft in group:
                if not draft.bare.move.legs:
                    move = work.moves[draft.bare.number] = with_path(ways, draft)
                    work.edges += edges_of(ways, move, work.bare)
            ways.forget_sweeps()
        near, found = touching(ways), clashes(ways.bodies)
        for owners, task in tasks:
            for work, (move, edges) in zip(owners, task.result(), strict=True):
                work.moves[move.number] = move
                work.edges += edges
        tries = []
        for number, work in enumerate(works):
            graph = work.graph(Assembly(assembly.name, {}), near)
            fitting = [m for m in graph.moves if m.move.into]
            given = {
                m.number: pool.submit(fits_task, number, graph, m.number)
                for m in sorted(fitting, key=lambda m: -sum(weight[k] for k in m.parts))
            }
            tries += [(work, given[m.number]) for m in fitting]
        turned = [_turning(ways, w) for w in works]
        if meanwhile:
            meanwhile()
        for work, fits in tries:
            work.fits += fits.result()
    return near, found, turned


def _same_parts(works: Sequence[_Work]) -> list[list[tuple[_Work, Draft]]]:
    """Return all drafts, those of the same parts together: their ways are alike."""
    groups: dict[tuple[str, ...], list[tuple[_Work, Draft]]] = {}
    for work in works:
        for draft in work.drafts:
            groups.setdefault(tuple(sorted(draft.bare.parts)), []).append((work, draft))
    return list(groups.values())


def poses_of(turning: Sequence[TurningGroup]) -> Callable[[Step], Mapping[str, Place]]:
    """Return a function from a step to how the parts on turned shafts stand in it."""
    return lambda step: poses_at(turning, step.stands_at_deg)


def _turning(ways: Ways, work: _Work) -> tuple[list[TimingEvidence], list[TurnEvidence]]:
    turning = ways.bodies.assembly.turning
    phases = timing_of(ways, [work.moves[n] for n in sorted(work.moves)], turning)
    turns = turns_of(ways, work.plan, turning)
    ways.forget_sweeps()
    return phases, turns


def turns_of(ways: Ways, plan: Plan, turning: Sequence[TurningGroup]) -> list[TurnEvidence]:
    """Return for each step that turns the shafts whether what turns is clear of what stands still."""
    turns = []
    turned = {k for t in turning for k in t.parts}
    for step in plan.steps:
        if abs(step.shaft_turn_deg) < 1e-9 or step.bench:
            continue
        there = [*step.present, *(k for m in step.moves if m.into for k in m.parts)]
        touches = []
        for t in turning:
            whole = Stretch(Place(), (0.0, 0.0, 0.0), 360.0, t.about, t.axis)
            for key in (k for k in t.parts if k in there and ways.bodies.assembly.part(k).elastic is None):
                touches += [(key, k) for k in there if k not in turned and ways.closes(k, key, whole)]
        turns.append(TurnEvidence(step.number, step.id, not touches, tuple(touches)))
    return turns


def _when_turned(
    fit: Misfit, assembly: Assembly, poses: Mapping[str, Place], phases: Sequence[TimingEvidence]
) -> Misfit:
    """Add what turning shows of a part that went in on the other side, where the pair was tried set over as far.

    ``poses`` are those of the shafts in its step.
    """
    if fit.verdict != "goes in" or fit.kind != "other side" or fit.parts[0] not in fit.places:
        return fit
    right = poses.get(fit.other, STILL) @ assembly.part(fit.other).place
    angle = turned_by_deg(right, fit.places[fit.parts[0]])
    for phase in phases:
        for tried in phase.out_of_phase:
            if {phase.part, phase.mate} == {fit.parts[0], fit.other} and abs(tried.offset_deg - angle) < 0.5:
                if tried.collides_at_deg is None:
                    return fit
                collides = Effect("collides turned", deg=round(tried.collides_at_deg, 1))
                return replace(fit, wrong=(*fit.wrong, collides))
    return fit


def _reasons(graph: OrderGraph, plan: Plan) -> list[StepReason]:
    found = []
    for step in plan.steps:
        if any(m.step == step.number for m in graph.moves):
            first, last = graph.window(step.number)
            found.append(StepReason(step.number, step.id, first, last, graph.why_now(step.number)))
    return found
