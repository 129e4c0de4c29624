"""A head's part of the graph: what its booklet needs, and what that needs in turn."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from functools import partial
from itertools import islice
from typing import TYPE_CHECKING, TypeVar

from ...sequences.own.designs import keys_of_proof
from ...sequences.proof.head_proof import ProofKeys, kept_proof
from ...sequences.proof.head_work import parts_key
from ...sequences.reach.kept_reach import reach_key, stored_reach, uses_tools
from ...sequences.reach.tool_places import ToolInPlace
from ...sequences.steps.plan import Plan
from ...sequences.work.keys import TaskKey
from ...sequences.work.store import Store
from ...sequences.work.tasks import KeptPiece, PieceGone, PieceTask, TaskNode
from ..build.system_libraries import Machine
from ..pages.cards.cards import MergedCard
from ..pages.proof_pages import cards_to_show
from . import head_tasks
from .booklet_files import fetch_parts, make_pages, refused
from .head_job import HeadDone, HeadJob, HeadKeys

if TYPE_CHECKING:
    from ...render.engine.camera import View
    from ...render.pictures.picture_keys import Job

CHUNK = 8
"""Steps that one worker draws one after the other."""
EXPECTED_S = {
    "solids": 5.0,
    "evidence": 7.0,
    "reach": 12.0,
    "views": 3.0,
    "picture": 0.7,
    "overview": 3.0,
    "card": 0.7,
    "motion": 0.1,
    "viewer": 1.0,
    "pages": 1.0,
}
"""Processor seconds of one piece of each kind."""
OVERVIEW = "overview"
STEPS, CARDS = 30, 20
"""Usual number of steps in a sequence, and of pictures on cards, as long as nobody knows them."""


class HeadNodes:
    """What is to be made for the booklet of one head, and what became of it."""

    def __init__(
        self, number: int, job: HeadJob, key: TaskKey, store: Store, machine: Machine, again: bool = False
    ) -> None:
        """Take up a head.

        Args:
            number: where it stands among the others; those before it come first.
            job: what its booklet is made from.
            key: of its booklet.
            store: where all results are kept.
            machine: is asked, before anything is drawn, whether it can.
            again: whether a head before it is of the same design, so that little is left to be made.
        """
        self._share = 0.0 if again else 1.0
        self.number, self.job, self.key, self.store, self.machine = number, job, key, store, machine
        self.refused: HeadDone | None = None
        """Set where the proof found what keeps the booklet from being made."""
        self._proof: ProofKeys | None = None
        self._overview_key = self._viewer_key = key
        self._merged: tuple[MergedCard, ...] = ()
        self._steps: dict[str, list[tuple[Job, TaskKey]]] = {}
        self._cards: list[tuple[str, TaskKey, TaskKey]] = []

    def nodes(self, then: Callable[[], None]) -> Iterator[TaskNode]:
        """Yield the nodes; ``then`` is called when the booklet is in the store or refused."""
        row = self.job.work.row
        solids = (row.slug, "solids")
        yield TaskNode(solids, self._solids, (), (self.number, 0), self._usual("solids"), self._know_parts)
        ends: list[tuple[str, ...]] = [(row.slug, "overview")]
        # All that takes solids comes before all that draws: a worker holds either.
        reaches = tuple((row.slug, "reach", s.kind) for s in self.job.work.sequences)
        if self.job.prove:
            ends += [(row.slug, "evidence"), (row.slug, "cards")]
            weight = self._usual("evidence", 3)
            yield TaskNode(ends[1], self._evidence, (solids, *reaches), (self.number, 1), weight, self._judge)
            weight = self._usual("card", CARDS)
            yield TaskNode(ends[2], self._card_tasks, (ends[1],), (self.number, 4), weight)
        yield TaskNode(ends[0], self._overview, (solids, *reaches), (self.number, 2), self._usual("overview"))
        views = [(row.slug, "views", s.kind) for s in self.job.work.sequences]
        for n, name in enumerate(reaches):
            weight = self._usual("reach")
            yield TaskNode(name, partial(self._reach, n), (solids,), (self.number, 0, n), weight)
        for n, name in enumerate(views):
            rank, weight = (self.number, 2, n), self._usual("views")
            yield TaskNode(name, partial(self._views, n), (solids, *reaches), rank, weight)
        weight = self._usual("picture", STEPS * len(views))
        ends.append((row.slug, "pictures"))
        yield TaskNode(ends[-1], self._pictures, tuple(views), (self.number, 3), weight)
        ends.append((row.slug, "viewer"))
        yield TaskNode(ends[-1], self._viewer, tuple(views), (self.number, 4), self._usual("viewer"))
        weight = EXPECTED_S["pages"]
        yield TaskNode((row.slug, "pages"), self._pages, tuple(ends), (self.number, 5), weight, then)

    def _usual(self, kind: str, count: int = 1) -> float:
        return self._share * EXPECTED_S[kind] * count

    def _piece(self, key: TaskKey, what: str) -> KeptPiece:
        return KeptPiece(key, self.job.tag, what)

    def _task(self, pieces: Iterable[KeptPiece], work: Callable[..., None], *given: object) -> PieceTask:
        found = tuple(pieces)
        return PieceTask(found, work, given, EXPECTED_S[found[0].key.kind])

    def _solids(self) -> Iterator[PieceTask]:
        key = parts_key(self.job.work.design)
        if not self.store.has(key.digest):
            self.machine.begin()
        yield self._task(
            [self._piece(key, "solids")], head_tasks.make_solids, self.job.work.row, self.job.pictures
        )

    def _know_parts(self) -> None:
        self.job = fetch_parts(self.store, self.job)

    @property
    def _plans(self) -> tuple[Plan, ...]:
        return self.job.work.plans

    def _evidence(self) -> Iterator[PieceTask]:
        self._proof = keys_of_proof(self.job.work, self._plans)
        pieces = [self._piece(key, f"evidence, {name}") for name, key in self._proof.by_sequence]
        if self._proof.turn is not None:
            pieces.append(self._piece(self._proof.turn, "a whole turn"))
        found = tuple(pieces)
        yield PieceTask(
            found, head_tasks.prove_sequences, (self.job.work.row, self._plans), EXPECTED_S["evidence"]
        )

    def _judge(self) -> None:
        assert self._proof is not None
        proof = kept_proof(self.job.tag, self._proof, self.store)
        if proof is None:
            raise PieceGone("evidence")
        if proof.violations and not self.job.despite_proof:
            self.refused = refused(self.job, proof)
        self._merged = cards_to_show(self.job.work.assembly, self._plans, proof)

    def _models(self) -> str:
        from ...render.pictures.picture_keys import models_key

        return models_key(self.job.work.design.digest, self.job.pictures.detail).digest

    def _overview(self) -> Iterator[PieceTask]:
        from ...render.pictures.picture_keys import overview_key

        self._overview_key = overview_key(self._models(), self.job.pictures, OVERVIEW)
        pieces = [self._piece(self._overview_key, "overview")]
        yield from self._drawn(pieces, head_tasks.take_overview)

    def _drawn(
        self, pieces: list[KeptPiece], work: Callable[..., None], *given: object
    ) -> Iterator[PieceTask]:
        if self.refused:
            return
        if not all(self.store.has(p.key.digest) for p in pieces):
            self.machine.check()
        yield self._task(pieces, work, self.job.work.row, self.job.pictures, *given)

    def _views(self, number: int) -> Iterator[PieceTask]:
        from ...render.pictures.picture_keys import views_key

        plan = self._plans[number]
        tools = self._tools(plan)
        key = views_key(self._models(), self.job.pictures, plan, tools)
        pieces = [
            self._piece(key, f"views, {plan.sequence}"),
            self._piece(self._motion_key(plan), f"motion, {plan.sequence}"),
        ]
        yield from self._drawn(pieces, head_tasks.take_views, plan, tools)

    def _motion_key(self, plan: Plan) -> TaskKey:
        from ...render.pictures.viewer.viewer_models import motion_key

        return motion_key(self._models(), self.job.pictures, plan, self._tools(plan))

    def _viewer(self) -> Iterator[PieceTask]:
        from ...render.pictures.viewer.viewer_models import viewer_key

        if self.refused:
            return
        motions = [self._motion_key(plan) for plan in self._plans]
        self._viewer_key = viewer_key(self._models(), motions)
        given = (self.job.work.row, self.job.pictures, [m.digest for m in motions])
        yield self._task([self._piece(self._viewer_key, "3D model")], head_tasks.make_turning_model, *given)

    def _reach(self, number: int) -> Iterator[PieceTask]:
        plan = self._plans[number]
        if not self.refused and uses_tools(plan):
            key = reach_key(self.job.work.design.digest, plan)
            pieces = [self._piece(key, f"reach of tools, {plan.sequence}")]
            yield self._task(pieces, head_tasks.find_tools, self.job.work.row, plan)

    def _tools(self, plan: Plan) -> Mapping[int, tuple[ToolInPlace, ...]]:
        """Return the tools of a plan by step number."""
        if not uses_tools(plan):
            return {}
        reach = stored_reach(self.store, reach_key(self.job.work.design.digest, plan).digest)
        if reach is None:
            raise PieceGone("reach")
        return reach.tools

    def _pictures(self) -> Iterator[PieceTask]:
        """Yield the pictures of all sequences, those of steps that show the same one after the other: a worker
        remembers what it has drawn."""
        from ...render.pictures.picture_keys import (
            kept_likeness,
            kept_views,
            picture_jobs,
            step_key,
            views_key,
        )

        if self.refused:
            return
        models, settings = self._models(), self.job.pictures
        alike: dict[tuple[View, str], list[tuple[str, Job, TaskKey]]] = {}
        for plan in self._plans:
            tools = self._tools(plan)
            key = views_key(models, settings, plan, tools)
            views, likeness = kept_views(self.store, key), kept_likeness(self.store, key)
            if views is None or likeness is None:
                raise PieceGone("views")
            jobs = [(job, step_key(models, settings, *job)) for job in picture_jobs(plan, views, tools)]
            self._steps[plan.sequence] = jobs
            for (job, key), view, like in zip(jobs, views, likeness, strict=True):
                alike.setdefault((view, like), []).append((plan.sequence, job, key))
        for chunk in _chunks([taken for group in alike.values() for taken in group]):
            pieces = [self._piece(key, f"picture, {name} {job[0].number}") for name, job, key in chunk]
            yield from self._drawn(pieces, head_tasks.take_steps, [job for _, job, _ in chunk])

    def _card_tasks(self) -> Iterator[PieceTask]:
        from ...render.pictures.picture_keys import pair_keys

        models = self._models()
        found = [(c, pair_keys(models, self.job.pictures, c.scene)) for c in self._merged]
        self._cards = [(c.id, right, wrong) for c, (right, wrong) in found]
        for chunk in _chunks(found):
            pieces = [
                self._piece(key, f"card, {c.id}, {which}")
                for c, keys in chunk
                for key, which in zip(keys, ("right", "wrong"), strict=True)
            ]
            yield from self._drawn(pieces, head_tasks.take_cards, [c.scene for c, _ in chunk])

    def _pages(self) -> Iterator[PieceTask]:
        if self.refused:
            return
        steps = tuple((name, job[0].id, key) for name, jobs in self._steps.items() for job, key in jobs)
        keys = HeadKeys(self._proof, self._overview_key, steps, tuple(self._cards), self._viewer_key)
        yield self._task([self._piece(self.key, "pages")], make_pages, self.job, keys)


T = TypeVar("T")


def _chunks(items: Sequence[T]) -> Iterator[list[T]]:
    rest = iter(items)
    while chunk := list(islice(rest, CHUNK)):
        yield chunk
