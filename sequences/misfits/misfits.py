"""Wrong-way fits: which mistakes the solids stop, which go in, which make no difference.

Each credible mistake (:mod:`.misplacements`) is brought in along the right travel, by exact sweeps, until it bears.

- *stopped*: it stays more than half a millimetre short of where the right part sits, or what is fitted after it can no
  longer come to its place (``later``). What stops it, how far short, and how much too big it is are figures.
- *goes in*: nothing stops it. What is then wrong is read from the solids (:mod:`.misfit_effects`).
- *no difference*: the same shape in the same place, or nothing that bears, seals or drives is changed.

A stop that rests on less than :data:`WEAK_MM` of material is called weak: play and force can overcome it.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Sequence
from typing import Any

import numpy as np

from ...geometry.frame import Place
from ...geometry.meshes.overlaps import boxes_meet, gap
from ..order.order import TOUCH_MM, OrderGraph, PlannedMove, thread_mates
from ..order.paths import STILL, Ways
from ..steps.claims import Verdict
from .findings import Effect, Misfit, Outcome, PinPair
from .insertion_trials import STAND_OFF_MM, Mover, Trial, clusters, trial_of
from .misfit_effects import SHIFT_MM, missed_without, what_is_wrong
from .misplacements import Misplacement, misplacements_of

WEAK_MM = 0.25
_FURTHEST: tuple[Verdict, ...] = ("goes in", "no difference", "stopped")


def find_misfits(ways: Ways, graph: OrderGraph, moves: Iterable[PlannedMove] | None = None) -> list[Misfit]:
    """Return the verdict on every credible mistake with the moves that fit something.

    Args:
        ways: of the assembly.
        graph: its order graph.
        moves: those to try, all where left out.
    """
    found: list[Misfit] = []
    for move in moves if moves is not None else graph.moves:
        if move.move.into and move.path.clear and move.path.stretches:
            for cluster in clusters(graph, move.parts):
                found += _try_cluster(trial_of(ways, graph, move, cluster))
    return found


def _try_cluster(trial: Trial) -> list[Misfit]:
    found: list[Misfit] = []
    round_part = False
    whole = trial.move.bench is not None or len(trial.move.parts) == 1
    for mistake in misplacements_of(trial.bodies, trial.cluster, trial.lead, whole):
        if (
            mistake.kind == "end for end"
            and (round_part or trial.parts[trial.lead].thread)
            and any(f.kind == mistake.kind for f in found)
        ):
            continue  # the same whichever way over
        fit = _judge(trial, mistake)
        round_part |= fit.kind == "half turn" and fit.same_shape
        found.append(fit)
    trial.put_away()
    # Of one mistake tried about two axes, the one that gets furthest counts.
    furthest: dict[tuple[str, str, float, str], Misfit] = {}
    for fit in sorted(found, key=lambda f: (_FURTHEST.index(f.verdict), f.too_big_mm)):
        furthest.setdefault(_mistake(fit), fit)
    return [f for f in found if furthest[_mistake(f)] is f]


def _mistake(fit: Misfit) -> tuple[str, str, float, str]:
    return (fit.kind, fit.about, fit.turn_deg, fit.other)


def _judge(trial: Trial, mistake: Misplacement) -> Misfit:
    if mistake.kind == "left out":
        return _left_out(trial, mistake)
    if mistake.kind == "fitted twice":
        return _fitted_twice(trial, mistake)
    parts = trial.parts
    place, fixed = trial, list(trial.fixed)
    skip: set[str] = set()
    if mistake.kind == "swapped":
        other = parts[mistake.other]
        movers = [Mover(other.key, trial.misplaced(mistake.motion, other.key), other.elastic is not None)]
        if not any(p.solid is other.solid for p in parts.values() if p.key != other.key):
            # It is the only one of its kind, so it is missing where it belongs.
            fixed = [k for k in fixed if k != other.key]
            skip = {other.key}
    elif mistake.kind == "other side":
        movers = [Mover(m.key, mistake.motion @ m.place, m.elastic) for m in trial.right]
    else:
        movers = [Mover(m.key, trial.misplaced(mistake.motion, m.key), m.elastic) for m in trial.right]
    if mistake.kind == "other side":
        twins = [
            m for m in trial.graph.moves if mistake.other in m.parts and m.move.into and m.path.stretches
        ]
        if twins:
            place = trial_of(trial.ways, trial.graph, twins[0], twins[0].parts)
            fixed = [k for k in place.fixed if k not in trial.cluster]
            skip = set(twins[0].parts) | set(trial.cluster)
    elif mistake.kind != "swapped" and trial.same_shape(movers):
        places = {m.key: m.place for m in movers}
        return _result(trial, mistake, "same shape", places=places)
    return _bring_in(trial, place, mistake, movers, fixed, skip)


def _bring_in(
    trial: Trial,
    place: Trial,
    mistake: Misplacement,
    movers: Sequence[Mover],
    fixed: Sequence[str],
    skip: set[str],
) -> Misfit:
    """Bring the movers in at ``place`` (the own move's, or the twin's) and judge where they come to rest."""
    reached, by = place.seat(movers, fixed)
    # The right part bears where it sits, or is held where it is put (spring, thread, press fit). Drawn a hair short of
    # bearing, it is so compared with a wrong one that is as far from bearing.
    bears = 0 < reached < 2 * STAND_OFF_MM and trial.home < 2 * STAND_OFF_MM
    shift = trial.home - reached if bears else -min(0.0, reached)
    outer = () if shift > STAND_OFF_MM else place.outer_block(movers)
    rest = [Mover(m.key, m.place.moved(*(shift * place.out)), m.elastic) for m in movers]
    places = {m.key: m.place for m in rest}
    if shift > STAND_OFF_MM or outer:
        home = place.met_in_place(movers, fixed)
        by = by or outer
        weak = home is not None and home.depth_mm < WEAK_MM
        named = tuple(dict.fromkeys([*by, *(home.parts if home else ())]))
        return _result(
            trial, mistake, "stopped on its way", stopped_by=named, met=by, short_mm=shift, weak=weak, places=places,
            too_big_mm=home.depth_mm if home else 0.0, at=home.at if home else None,
        )  # fmt: skip
    later = [k for k in place.later if k not in skip and k not in places]
    late = place.met_in_place(rest, later, least_mm=max(SHIFT_MM, 2 * trial.tolerance_mm))
    if late and late.depth_mm >= WEAK_MM:
        return _result(
            trial, mistake, "stops what follows", stopped_by=late.parts, short_mm=max(0.0, shift), places=places,
            too_big_mm=late.depth_mm, at=late.at,
        )  # fmt: skip
    barred = _barred(place, rest, later) if mistake.kind in ("end for end", "half turn", "part turn") else ()
    if barred:
        return _result(trial, mistake, "bars what holds it", stopped_by=barred, places=places)
    if not _held(place, rest, [*fixed, *later]) and _held(trial, trial.right, trial.others):
        return _result(trial, mistake, "nothing to sit on", short_mm=max(0.0, shift), places=places)
    wrong = what_is_wrong(place, mistake, rest, shift) if place is trial else _on_other_side(place, rest)
    if late:
        wrong.append(Effect("bears too soon", late.parts[:1], mm=round(late.depth_mm, 2)))
    if not wrong:
        return _result(trial, mistake, "alike", places=places)
    return _result(trial, mistake, "goes in", wrong=tuple(wrong), shift_mm=shift, places=places)


def _barred(trial: Trial, movers: Sequence[Mover], later: Collection[str]) -> tuple[str, ...]:
    """Return which nuts and screws that are to hold the parts no longer reach their places past them."""
    parts = trial.parts
    poses = {m.key: m.place @ parts[m.key].place.inverse() for m in movers if not m.elastic}
    screwed = [k for k in later if parts[k].thread and trial.graph.touching[k].intersection(poses)]
    return tuple(
        k
        for move in trial.graph.moves
        for k in screwed
        if k in move.parts
        and move.move.into
        and any(
            trial.ways.closes(other, k, stretch, move.poses.get(k, STILL), pose)
            for stretch in move.path.stretches
            for other, pose in poses.items()
        )
    )


def _held(trial: Trial, movers: Iterable[Mover], keys: Iterable[str]) -> bool:
    """Return whether something is near enough to the movers to hold them, the one to the other."""
    around = list(keys)
    return any(
        boxes_meet(trial.moved_box(m, "free"), trial.box(k, "free"), TOUCH_MM)
        and gap(trial.moved(m, "free"), trial.there(k, "free"), TOUCH_MM) < TOUCH_MM
        for m in movers
        for k in around
    )


def _on_other_side(place: Trial, rest: Sequence[Mover]) -> list[Effect]:
    """Return what is wrong with parts that went in on the other side: how they stand there."""
    turn = turned_by_deg(place.place(place.lead), rest[0].place)
    return [Effect("stands turned", (place.lead,), deg=round(turn, 0))]


def turned_by_deg(a: Place, b: Place) -> float:
    """Return the angle between two places, 0 to 180 degrees."""
    off = a.inverse() @ b
    return math.degrees(math.acos(max(-1.0, min(1.0, (float(np.trace(np.array(off.rotation))) - 1) / 2))))


def _result(trial: Trial, mistake: Misplacement, outcome: Outcome, **more: Any) -> Misfit:
    verdict: Verdict = "stopped"
    if outcome in ("goes in", "same shape", "alike"):
        verdict = "goes in" if outcome == "goes in" else "no difference"
    return Misfit(
        step=trial.move.step, step_id=trial.move.step_id, parts=trial.cluster, lead=trial.lead, kind=mistake.kind,
        verdict=verdict, outcome=outcome, about=mistake.about, turn_deg=mistake.turn_deg, other=mistake.other, **more,
    )  # fmt: skip


def _left_out(trial: Trial, mistake: Misplacement) -> Misfit:
    """Leave the parts out: does anything later notice?"""
    graph, parts = trial.graph, trial.parts
    gone = set(trial.cluster)
    for m in graph.moves:
        if m.number <= trial.move.number or m.bench != trial.move.bench or not m.move.into:
            continue
        there = set(m.present) - set(m.parts)
        held = set().union(*(graph.touching[k] for k in m.parts)) & there
        is_open = trial.bodies.open_about_z
        mates = {k: thread_mates(parts, k, graph.touching[k], is_open) for k in m.parts if parts[k].thread}
        loose = tuple(k for k, on_axis in mates.items() if on_axis and gone.issuperset(on_axis))
        if held and not held - gone:
            by = loose or m.parts
            return _result(trial, mistake, "missed by what sits on it", stopped_by=by, noticed_by=m.number)
        if loose:
            return _result(trial, mistake, "missed by its thread", stopped_by=loose, noticed_by=m.number)
    return _result(trial, mistake, "goes in", wrong=tuple(missed_without(trial, gone)))


def _fitted_twice(trial: Trial, mistake: Misplacement) -> Misfit:
    """Try a second one on top of the first, which is in place now."""
    second = []
    for right in trial.right:
        points = trial.bodies.own(right.key, "core").points
        length = float(np.ptp(right.place.points(points) @ trial.out))
        second.append(Mover(right.key, right.place.moved(*(length * trial.out)), right.elastic))
    reached, by = trial.seat(second, [*trial.fixed, *trial.cluster])
    shift = -min(0.0, reached)
    rest = [Mover(m.key, m.place.moved(*(shift * trial.out)), m.elastic) for m in second]
    places = {m.key: m.place for m in rest}
    blocked = tuple(k for k in by if k not in trial.cluster)
    if shift > STAND_OFF_MM and blocked:
        return _result(
            trial, mistake, "second stopped on its way", stopped_by=blocked, short_mm=shift, places=places
        )
    # Beside its groove an elastic ring lies as it travels.
    late = trial.met_in_place(rest, [k for k in trial.later if k not in trial.cluster], "passing")
    if late and late.depth_mm >= WEAK_MM:
        return _result(
            trial, mistake, "second stops what follows", stopped_by=late.parts, too_big_mm=late.depth_mm, at=late.at,
            places=places,
        )  # fmt: skip
    wrong = (Effect("lies on the first", (trial.lead,)),)
    return _result(trial, mistake, "goes in", wrong=wrong, places=places)


# ---- pins that should tell right from wrong


def near_equal_pins(ways: Ways, graph: OrderGraph) -> list[PinPair]:
    """Return every pair of pins of one kind with the figure that keeps a part from going on the wrong way.

    The play of the small pin in its hole is read from the solids: twice its gap in place.
    """
    parts = ways.bodies.assembly.parts
    pins = [(p, f) for p in parts.values() for f in p.features if f.kind == "pin" and f.size_mm > 0]
    found = []
    for i, (a, fa) in enumerate(pins):
        for b, fb in pins[i + 1 :]:
            if a.kind != b.kind or a.side:
                continue
            (large, fl), (small, fs) = ((a, fa), (b, fb)) if fa.size_mm >= fb.size_mm else ((b, fb), (a, fa))
            around = [k for k in graph.touching[small.key] if parts[k].elastic is None]
            gaps = [gap(ways.bodies.placed(small.key), ways.bodies.placed(k), TOUCH_MM) for k in around]
            play = 2 * max((g for g in gaps if g < TOUCH_MM), default=0.0)
            stop = fl.size_mm - fs.size_mm - play
            enough = stop >= 2 * WEAK_MM
            found.append(PinPair(large.key, small.key, fl.size_mm, fs.size_mm, stop, enough))
    return found


__all__ = ["find_misfits", "near_equal_pins", "turned_by_deg"]
