"""What speaks against a head's data, in words: each ground of a doubt, typed below, becomes a sentence here.

doubt_in_words(doubt, words) -> DoubtText
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from ...geometry.engineering.elastomers import Incompatibility
from ...geometry.engineering.figures import amount
from ...geometry.engineering.preload import TorqueDoubt
from ...sequences.calculations.calculation_sheets import Gap, TooCoarse
from ...sequences.calculations.doubts import (
    Doubt,
    GapCloses,
    GapOutside,
    Ground,
    HeightAmiss,
    Kind,
    RingOutside,
    SpringIdle,
    StrengthOutside,
)
from .catalogue import Words
from .finding_words import gap_in_words, hot_gap_in_words, too_coarse_in_words
from .media_words import hazard_in_words
from .topic_words import limit_in_words, topic_in_words, value_of_figure
from .torque_words import torque_doubt_in_words
from .value_words import doubt_of_value, value_stated, value_title


@dataclass(frozen=True)
class DoubtText:
    """A doubt as it is read; ``sheet`` is the calculation sheet that shows it."""

    tag: str
    kind: Kind
    sentence: str
    sheet: str


def doubt_in_words(doubt: Doubt, words: Words) -> DoubtText:
    """Return a doubt as it is read."""
    return DoubtText(doubt.tag, doubt.kind, doubt_sentence(doubt, words), doubt.sheet)


def doubt_sentence(doubt: Doubt, words: Words) -> str:
    """Return the sentences about a doubt."""
    said = ground_in_words(doubt.ground, words)
    return doubt_of_value(doubt.value, said, words) if isinstance(doubt.ground, TorqueDoubt) else said


def ground_in_words(ground: Ground, words: Words) -> str:
    """Return what a doubt rests on."""
    return _MAKERS[type(ground)](ground, words)


def _ring(ground: RingOutside, words: Words) -> str:
    f = ground.figure
    assert f.limit is not None
    key = f.topic.key.replace("figure.", "doubt.ring.")
    allowed = limit_in_words(f.limit, words)
    return topic_in_words(f.topic.with_key(key, part=f.topic["gland"], amount=f.shown, limit=allowed), words)


def _idle(_ground: SpringIdle, words: Words) -> str:
    return words("doubt.spring_idle")


def _height(ground: HeightAmiss, words: Words) -> str:
    value = ground.value
    return words(
        f"doubt.{value.name}",
        value=value_title(value.name, words),
        stated=value_stated(value, words),
        height=amount(ground.height_mm, "mm"),
    )


def _gap(ground: GapOutside, words: Words) -> str:
    if isinstance(ground.found, Gap):
        return f"{gap_in_words(ground.found, words)} {words('doubt.gap_outside')}"
    return f"{hot_gap_in_words(ground.found, words)} {words('doubt.gap_outside_hot')}"


def _closes(ground: GapCloses, words: Words) -> str:
    f = ground.figure
    return words("doubt.gap_closes", figure=topic_in_words(f.topic, words), amount=value_of_figure(f, words))


def _strength(ground: StrengthOutside, words: Words) -> str:
    f = ground.figure
    assert f.limit is not None
    return words(
        "doubt.strength_outside",
        figure=topic_in_words(f.topic, words),
        amount=value_of_figure(f, words),
        limit=limit_in_words(f.limit, words),
        source=topic_in_words(f.limit.source, words),
    )


_MAKERS: dict[type, Callable[[Any, Words], str]] = {
    GapCloses: _closes,
    GapOutside: _gap,
    HeightAmiss: _height,
    Incompatibility: hazard_in_words,
    TooCoarse: too_coarse_in_words,
    RingOutside: _ring,
    SpringIdle: _idle,
    StrengthOutside: _strength,
    TorqueDoubt: torque_doubt_in_words,
}
"""Type of ground to what makes its sentences."""
