"""Pictures taken by several processes: this one draws with the others, and none is left when the work ends early."""

from __future__ import annotations

import multiprocessing
import os
from collections.abc import Callable
from concurrent.futures import Executor, Future
from threading import Event
from typing import Any, cast

import pytest
from benchleaf.render.pictures import step_pictures as pictures
from benchleaf.render.pictures.step_pictures import Picture, Studio, choose_views, take_plan
from benchleaf.sequences.steps.plan import Plan
from benchleaf.sequences.work.store import Store
from benchleaf.sequences.work.worker_pool import WorkerLost
from sample_assembly import SMALL, sample_models, sample_plan


@pytest.fixture(name="plan")
def _plan() -> Plan:
    return sample_plan()


class Watched:
    """The other processes, with what is handed to them noted; ``first`` is set when they have taken a picture.

    ``dying``: they end instead.
    """

    def __init__(self, monkeypatch: pytest.MonkeyPatch, dying: bool = False) -> None:
        self.handed: list[str] = []
        self.scenes: list[bool] = []
        self.first = Event()
        self.dying, self.hand_over = dying, pictures.hand_over
        monkeypatch.setattr(pictures, "hand_over", self.watched)

    def watched(self, todo: Any, pool: Executor) -> None:
        watched = self

        class Pool:
            def submit(self, take: Callable[..., Picture], job: Any, scene: Any) -> Future[Any]:
                watched.handed.append(job[2])
                watched.scenes.append(scene is not None)
                ahead = pool.submit(os._exit, 1) if watched.dying else pool.submit(take, job, scene)
                ahead.add_done_callback(lambda _: watched.first.set())
                return ahead

        self.hand_over(todo, cast(Executor, Pool()))


@pytest.mark.slow
def test_this_process_draws_with_the_other(plan: Plan, monkeypatch: pytest.MonkeyPatch) -> None:
    other, here, draw = Watched(monkeypatch), list[str](), pictures.render_step

    def drawn(studio: Studio, step: Any, view: Any, name: str, changed: bool, tools: Any) -> Picture:
        assert other.first.wait(120)
        here.append(name)
        return draw(studio, step, view, name, changed, tools)

    monkeypatch.setattr(pictures, "render_step", drawn)
    taken = list(take_plan(sample_models(), plan, SMALL, 2))
    assert [p.manifest.step for p in taken] == [s.id for s in plan.steps]
    assert here
    assert other.handed
    assert all(other.scenes), "scenes are laid once, where views are chosen"
    assert sorted([*here, *other.handed]) == [f"{plan.sequence}-{s.number:02d}" for s in plan.steps]


def test_views_that_were_kept_need_no_scene_here(
    plan: Plan, monkeypatch: pytest.MonkeyPatch, tmp_path: Any
) -> None:
    cache = Store(tmp_path)
    with Studio(sample_models(), SMALL, cache) as studio:
        views = choose_views(studio, plan)
    other = Watched(monkeypatch)
    monkeypatch.setattr(pictures, "render_step", lambda *_: other.first.wait(120) and pytest.fail("drawn"))
    some = take_plan(sample_models(), plan, SMALL, 2, cache)
    with pytest.raises(pytest.fail.Exception):
        list(some)
    assert other.scenes
    assert not any(other.scenes)
    assert views


def test_a_fault_here_ends_the_others(plan: Plan, monkeypatch: pytest.MonkeyPatch) -> None:
    def fails(*_: object) -> Picture:
        raise ValueError("seeded")

    monkeypatch.setattr(pictures, "render_step", fails)
    with pytest.raises(ValueError, match="seeded"):
        list(take_plan(sample_models(), plan, SMALL, 2))
    assert not multiprocessing.active_children()


def test_another_that_dies_is_named_as_lost(plan: Plan, monkeypatch: pytest.MonkeyPatch) -> None:
    other, draw = Watched(monkeypatch, dying=True), pictures.render_step

    def drawn(*given: Any) -> Picture:
        assert other.first.wait(120)
        return draw(*given)

    monkeypatch.setattr(pictures, "render_step", drawn)
    with pytest.raises(WorkerLost, match="ended by the system"):
        list(take_plan(sample_models(), plan, SMALL, 2))
    assert not multiprocessing.active_children()


def test_whoever_wants_no_more_leaves_none_at_work(plan: Plan) -> None:
    taken = take_plan(sample_models(), plan, SMALL, 2)
    assert next(taken).manifest.step == plan.steps[0].id
    taken.close()  # type: ignore[attr-defined]
    assert not multiprocessing.active_children()
