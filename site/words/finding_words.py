"""Sentences about what calculation sheets show: each finding, typed below, becomes words here and nowhere else."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

from ...geometry.engineering.bench_instruments import WRENCH
from ...geometry.engineering.elastomers import FoodContact, Match
from ...geometry.engineering.figures import Figure, amount, number
from ...geometry.engineering.orings import RingSize, SizeChoice
from ...geometry.engineering.preload import TorqueDoubt
from ...geometry.engineering.springs.settling import Settled
from ...geometry.engineering.springs.spring_seats import TurnedOver
from ...geometry.engineering.topics import Topic
from ...sequences.calculations.calculation_sheets import (
    Borne,
    Finding,
    Gap,
    GapScatter,
    HotGap,
    Loosening,
    PreloadSpan,
    RingsOf,
    TooCoarse,
)
from .catalogue import Words
from .media_words import food_in_words, match_in_words
from .topic_words import limit_in_words, topic_in_words, value_of_figure
from .torque_words import preload_in_words, torque_doubt_in_words
from .value_words import value_stated, value_title

UNCHANGED_UM = 0.5
"""Heat that moves a gap by less than this leaves it as it is: what is printed is whole micrometres."""


def finding_in_words(finding: Finding, words: Words) -> str:
    """Return the sentences about a finding."""
    return _MAKERS[type(finding)](finding, words)


def turned_over_in_words(found: TurnedOver, words: Words) -> str:
    """Return what turning the disc spring over does, for a new hire."""
    right, wrong = found.right, found.wrong
    if right.state != "working":
        return words(f"finding.spring.right_{_key(right.state)}")
    fields = {"force": _force(right.force_n), "travel": amount(right.travel_mm, "mm", 2)}
    effect = found.effect
    if effect in ("less", "more"):
        fields |= {
            "wrong_force": _force(wrong.force_n),
            "wrong_travel": amount(wrong.travel_mm, "mm", 2),
            "share": number(100 * wrong.travel_mm / right.travel_mm, "%", 0),
        }
    return words(f"finding.spring.{_key(effect)}", **fields)


def gap_in_words(found: Gap, words: Words) -> str:
    """Return a gap by its dimensions, and how it is judged."""
    f = found.figure
    if f.low is None or f.high is None:
        raise ValueError(f"{f.id} has no span")
    low, high = (amount(x, f.unit) for x in (f.low, f.high))
    said = words("finding.gap", gap=topic_in_words(f.topic, words), amount=f.amount, low=low, high=high)
    return f"{said} {_judged(f, words)}"


def hot_gap_in_words(found: HotGap, words: Words) -> str:
    """Return what heat does to a gap, and how the hot gap is judged."""
    f, moved_um = found.figure, abs(found.opened_um)
    way = "stays" if moved_um < UNCHANGED_UM else "opens" if found.opened_um > 0 else "closes"
    state = "" if f.topic.key == "figure.gap_hot" else "_warm_up"
    topic = f.topic.with_key(f"finding.gap_{way}{state}", change=number(moved_um, "µm", 0), amount=f.amount)
    said = topic_in_words(topic, words)
    return said if state else f"{said} {_judged(f, words)}"


def too_coarse_in_words(found: TooCoarse, words: Words) -> str:
    """Return that an instrument is too coarse for the limits it has to judge."""
    value, tool = found.value, found.instrument
    fields = {"value": value_title(value.name, words), "stated": value_stated(value, words)}
    if tool.key == WRENCH:
        return words("finding.too_coarse_wrench", **fields)
    return words("finding.too_coarse", uncertainty=value_of_figure(tool.figure, words), **fields)


def _judged(figure: Figure, words: Words) -> str:
    limit = figure.limit
    if limit is None:
        return words("finding.judged.no_limit")
    return words(
        f"finding.judged.{figure.judgement}",
        limit=limit_in_words(limit, words),
        source=topic_in_words(limit.source, words),
    )


def _scatter(found: GapScatter, words: Words) -> str:
    return words("finding.gap_scatter", low=amount(found.low_mm, "mm"), high=amount(found.high_mm, "mm"))


def _rings(found: RingsOf, words: Words) -> str:
    return words("finding.rings", count=found.count, elastomer=words(f"elastomer.{found.elastomer}"))


def _ring(ring: RingSize, words: Words) -> str:
    return words("finding.ring", code=ring.code, inside=f"{ring.d1_mm:.2f}", section=f"{ring.d2_mm:.2f}")


def _choice(found: SizeChoice, words: Words) -> str:
    fields = {
        "gland": words(f"parts.{found.gland}.one"),
        "ring": _ring(found.ring, words),
        "stretch": found.stretch.shown,
    }
    if found.fits:
        return words("finding.ring_fits", **fields)
    return words("finding.ring_made", section=f"{found.ring.d2_mm:g}", **fields)


def _settled(found: Settled, words: Words) -> str:
    way = "turned_over" if found.fitted is not None and found.fitted.turned_over else "right"
    plain, kept = (number(100 * n / found.preload_n, "%", 0) for n in (found.plain_n, found.kept_n))
    settling = number(found.settling_um, "µm", 0)
    return words(f"finding.settled.{way}", settling=settling, plain=plain, kept=kept)


def _loose(found: Loosening, words: Words) -> str:
    plain, right, wrong = (number(f.value, "µm", 0) for f in found.figures)
    return words("finding.loosening", plain=plain, right=right, wrong=wrong)


def _borne(found: Borne, words: Words) -> str:
    f = found.figure
    said = words("finding.borne", figure=topic_in_words(f.topic, words), amount=value_of_figure(f, words))
    return f"{said} {_judged(f, words)}"


def _torque_in_doubt(doubt: TorqueDoubt, words: Words) -> str:
    return words("values.doubt", doubt=torque_doubt_in_words(doubt, words))


def _force(force_n: float) -> str:
    two_digits = 1 - math.floor(math.log10(force_n))
    return amount(force_n, "N", two_digits)


def _key(state: str) -> str:
    return state.replace(" ", "_")


_MAKERS: dict[type, Callable[[Any, Words], str]] = {
    Borne: _borne,
    FoodContact: food_in_words,
    Gap: gap_in_words,
    GapScatter: _scatter,
    HotGap: hot_gap_in_words,
    Loosening: _loose,
    Match: match_in_words,
    TooCoarse: too_coarse_in_words,
    PreloadSpan: preload_in_words,
    RingsOf: _rings,
    Settled: _settled,
    SizeChoice: _choice,
    Topic: topic_in_words,
    TorqueDoubt: _torque_in_doubt,
    TurnedOver: turned_over_in_words,
}
"""Type of finding to what makes its sentences."""
