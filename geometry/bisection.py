"""Bisection of a range, by the standard library's search in sorted sequences: the only one in this program.

It is used where a question's answer turns once within a range. (What divides a range into parts and keeps several of
them, as the proof of a whole turn does, is no bisection; nor is the search for a first contact, which goes by guesses.)
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Callable

FINEST = 60
"""Most halvings: they take a range down to the last digit of a number even a hundredth as large as it is wide."""


def turning_point(
    turned: Callable[[float], bool], low: float, high: float, within: float
) -> tuple[float, float]:
    """Return the last number known to be before, and the first known to be beyond, what makes ``turned`` true.

    ``turned`` is false up to somewhere between ``low`` and ``high`` and true from there on; at the two ends it is not
    asked. The range is halved until the two numbers lie ``within`` of each other.

    Raises:
        ValueError: if ``low`` is above ``high``, or ``within`` not above 0.

    >>> turning_point(lambda x: x * x >= 2.0, 1.0, 2.0, 0.1)
    (1.375, 1.4375)
    """
    if not low <= high or not within > 0:
        raise ValueError(f"no range to bisect: {low:g} to {high:g} within {within:g}")
    if low == high:
        return low, high
    halvings = min(FINEST, max(0, math.ceil(math.log2((high - low) / within))))
    steps = 1 << halvings

    def number(step: int) -> float:
        return low + (high - low) * (step / steps)

    # Its key is asked at the middles of halves alone, since it begins with 1 and the number of steps is a power of two.
    first = bisect_left(range(steps), True, lo=1, key=lambda step: turned(number(step)))
    return number(first - 1), number(first)


def zero_of(rising: Callable[[float], float], low: float, high: float) -> float:
    """Return where ``rising``, below 0 at ``low`` and not at ``high``, crosses 0, to the last digit.

    >>> round(zero_of(lambda x: x * x - 2.0, 1.0, 2.0), 15)
    1.414213562373095
    """
    finest = max((high - low) * 2.0**-FINEST, math.ulp(0.0))
    before, beyond = turning_point(lambda x: rising(x) >= 0, low, high, finest)
    return (before + beyond) / 2
