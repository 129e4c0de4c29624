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
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Literal

import numpy as np

from ...geometry.frame import Place, Vec3
from ...geometry.meshes.overlaps import boxes_meet, gap
from ..order.order import TOUCH_MM, OrderGraph, PlannedMove, thread_mates
from ..order.paths import STILL, Ways
from ..steps.part_words import start, word_of, words_of_parts
from .insertion_trials import STAND_OFF_MM, Mover, Trial, clusters, trial_of
from .misfit_effects import SHIFT_MM, missed_without, what_is_wrong
from .misplacements import Misplacement, MistakeKind, misplacements_of

Verdict = Literal["stopped", "goes in", "no difference"]
WEAK_MM = 0.25
_FURTHEST: tuple[Verdict, ...] = ("goes in", "no difference", "stopped")


@dataclass(frozen=True)
class Misfit:
    """One mistake and what came of it."""

    step: int
    step_id: str
    parts: tuple[str, ...]
    """The parts that are fitted wrong (or left out, or doubled)."""
    kind: MistakeKind
    words: str
    verdict: Verdict
    sentence: str
    stopped_by: tuple[str, ...] = ()
    short_mm: float = 0.0
    """How far it stays from where the right one sits."""
    too_big_mm: float = 0.0
    """How deep it would overlap what stops it if it were home."""
    at: Vec3 | None = None
    """Where that is, mm."""
    later: bool = False
    """Whether it goes to its own place, but then something else does not."""
    weak: bool = False
    wrong: tuple[str, ...] = ()
    """What is then wrong, one sentence each."""
    shift_mm: float = 0.0
    """How far it sits further out (in: negative) than the right one."""
    places: Mapping[str, Place] = field(default_factory=dict)
    """Part to its wrong place, at rest; the place of a second one for *fitted twice*, none for *left out*."""
    other: str = ""
    same_shape: bool = False
    """Whether it is no difference because the shape is the same."""


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
    furthest: dict[tuple[str, str, str], Misfit] = {}
    for fit in sorted(found, key=lambda f: (_FURTHEST.index(f.verdict), f.too_big_mm)):
        furthest.setdefault((fit.kind, fit.words, fit.other), fit)
    return [f for f in found if furthest[f.kind, f.words, f.other] is f]


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
        words = f"{_the(trial)} {mistake.words}: no difference, it is the same shape that way."
        places = {m.key: m.place for m in movers}
        return _result(trial, mistake, "no difference", words, places=places, same_shape=True)
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
    parts = trial.parts
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
        said = f"{_the(trial)} {mistake.words}: stopped by {words_of_parts(parts, by)}, {shift:.1f} mm short"
        said += f" ({home.depth_mm:.2f} mm of material too much)." if home else "."
        said += " That little is no stop to rely on." if weak else ""
        named = tuple(dict.fromkeys([*by, *(home.parts if home else ())]))
        return _result(
            trial, mistake, "stopped", said, stopped_by=named, short_mm=shift, weak=weak, places=places,
            too_big_mm=home.depth_mm if home else 0.0, at=home.at if home else None,
        )  # fmt: skip
    later = [k for k in place.later if k not in skip and k not in places]
    late = place.met_in_place(rest, later, least_mm=max(SHIFT_MM, 2 * trial.tolerance_mm))
    if late and late.depth_mm >= WEAK_MM:
        said = (
            f"{_the(trial)} {mistake.words}: goes to its place, but then {words_of_parts(parts, late.parts)} cannot "
            f"({late.depth_mm:.2f} mm of material too much)."
        )
        return _result(
            trial, mistake, "stopped", said, stopped_by=late.parts, short_mm=max(0.0, shift), later=True, places=places,
            too_big_mm=late.depth_mm, at=late.at,
        )  # fmt: skip
    barred = _barred(place, rest, later) if mistake.kind in ("end for end", "half turn", "part turn") else ()
    if barred:
        said = (
            f"{_the(trial)} {mistake.words}: then {words_of_parts(parts, barred)} cannot come in to hold it."
        )
        return _result(trial, mistake, "stopped", said, stopped_by=barred, later=True, places=places)
    if not _held(place, rest, [*fixed, *later]) and _held(trial, trial.right, trial.others):
        said = f"{_the(trial)} {mistake.words}: it would have nothing to sit on or in there."
        return _result(trial, mistake, "stopped", said, short_mm=max(0.0, shift), places=places)
    wrong = (
        what_is_wrong(place, mistake, rest, shift) if place is trial else _on_other_side(trial, place, rest)
    )
    if late:
        wrong.append(
            f"{start(words_of_parts(parts, late.parts[:1]))} then bears {late.depth_mm:.2f} mm too soon."
        )
    if not wrong:
        words = f"{_the(trial)} {mistake.words}: no difference, it bears, seals and drives alike."
        return _result(trial, mistake, "no difference", words, places=places)
    said = f"{_the(trial)} {mistake.words}: nothing stops it. {' '.join(wrong)}"
    return _result(trial, mistake, "goes in", said, wrong=tuple(wrong), shift_mm=shift, places=places)


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


def _on_other_side(trial: Trial, place: Trial, rest: Sequence[Mover]) -> list[str]:
    """Return what is wrong with parts that went in on the other side: how they stand there."""
    turn = turned_by_deg(place.place(place.lead), rest[0].place)
    return [
        f"It stands turned by {turn:.0f} degrees from where the {word_of(trial.parts[place.lead])} stands."
    ]


def turned_by_deg(a: Place, b: Place) -> float:
    """Return the angle between two places, 0 to 180 degrees."""
    off = a.inverse() @ b
    return math.degrees(math.acos(max(-1.0, min(1.0, (float(np.trace(np.array(off.rotation))) - 1) / 2))))


def _result(trial: Trial, mistake: Misplacement, verdict: Verdict, sentence: str, **more: Any) -> Misfit:
    return Misfit(
        step=trial.move.step, step_id=trial.move.step_id, parts=trial.cluster, kind=mistake.kind,
        words=mistake.words, verdict=verdict, sentence=sentence, other=mistake.other, **more,
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
        loose = [k for k, on_axis in mates.items() if on_axis and gone.issuperset(on_axis)]
        if held and not held - gone:
            lack = f"{graph.said(m)} would have nothing to sit on or in"
        elif loose:
            lack = f"{words_of_parts(parts, loose)} would find no thread"
        else:
            continue
        said = f"{_the(trial)} left out: noticed in step {m.step}, where {lack}."
        return _result(trial, mistake, "stopped", said, stopped_by=tuple(loose or m.parts), later=True)
    wrong = missed_without(trial, gone)
    said = f"{_the(trial)} left out: everything else still goes together. {' '.join(wrong)}"
    return _result(trial, mistake, "goes in", said, wrong=tuple(wrong))


def _fitted_twice(trial: Trial, mistake: Misplacement) -> Misfit:
    """Try a second one on top of the first, which is in place now."""
    parts = trial.parts
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
        said = (
            f"A second {_bare(trial)} is stopped by {words_of_parts(parts, blocked)}, {shift:.1f} mm short."
        )
        return _result(trial, mistake, "stopped", said, stopped_by=blocked, short_mm=shift, places=places)
    # Beside its groove an elastic ring lies as it travels.
    late = trial.met_in_place(rest, [k for k in trial.later if k not in trial.cluster], "passing")
    if late and late.depth_mm >= WEAK_MM:
        said = f"A second {_bare(trial)} goes on top, but then {words_of_parts(parts, late.parts)} cannot come home."
        return _result(
            trial, mistake, "stopped", said, stopped_by=late.parts, too_big_mm=late.depth_mm, at=late.at, later=True,
            places=places,
        )  # fmt: skip
    wrong = (f"A second {_bare(trial)} lies on top of the first.",)
    said = f"{_the(trial)} fitted twice: nothing stops it. {wrong[0]}"
    return _result(trial, mistake, "goes in", said, wrong=wrong, places=places)


def _the(trial: Trial) -> str:
    if len(trial.cluster) > 1:
        return f"The {word_of(trial.parts[trial.lead])} with its parts"
    return start(words_of_parts(trial.parts, trial.cluster))


def _bare(trial: Trial) -> str:
    return word_of(trial.parts[trial.lead])


# ---- pins that should tell right from wrong


@dataclass(frozen=True)
class PinPair:
    """Two pins of one kind that differ so that a part goes on one way only."""

    large: str
    small: str
    large_mm: float
    small_mm: float
    stop_mm: float
    """By how much the large pin is too big for the small one's hole, on diameter; 0 or less stops nothing."""
    enough: bool
    sentence: str


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
            said = (
                f"The {word_of(large)} ({fl.size_mm:.2f} mm) is {max(stop, 0):.2f} mm too big for the hole of the "
                f"{word_of(small)} ({fs.size_mm:.2f} mm)"
            )
            said += (
                ": that stops a part turned round." if enough else ": too little to stop a part turned round."
            )
            found.append(PinPair(large.key, small.key, fl.size_mm, fs.size_mm, stop, enough, said))
    return found


__all__ = ["STILL", "Misfit", "PinPair", "find_misfits", "near_equal_pins", "turned_by_deg"]
