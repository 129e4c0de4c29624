"""What a torque gives and what speaks against it, in words."""

from __future__ import annotations

from ...geometry.engineering.figures import amount
from ...geometry.engineering.preload import TorqueDoubt
from ...geometry.engineering.units import both
from ...sequences.calculations.calculation_sheets import PreloadSpan
from .catalogue import Words
from .topic_words import topic_in_words


def torque_doubt_in_words(doubt: TorqueDoubt, words: Words) -> str:
    """Return the reason to check a torque; no other figure is ever proposed."""
    fields = {
        "torque": both(f"{doubt.torque_nm:g}", "N·m"),
        "threads": words(f"threads.{doubt.threads}"),
        "gives": kilonewtons(doubt.gives_n),
        "against": kilonewtons(doubt.against_n),
        "strength": "" if doubt.strength is None else topic_in_words(doubt.strength, words),
    }
    way = "too_low" if doubt.kind == "too low" else "too_high"
    return words(f"doubt.torque.{way}.{'sure' if doubt.sure else 'unsure'}", **fields)


def preload_in_words(found: PreloadSpan, words: Words) -> str:
    """Return how far the preload of one torque spreads.

    Raises:
        ValueError: if the preload has no span.
    """
    low, high = found.figure.low, found.figure.high
    if low is None or high is None:
        raise ValueError(f"{found.figure.id} has no span")
    threads = words(f"threads.{found.threads}")
    return words("finding.preload", threads=threads, least=kilonewtons(low), most=kilonewtons(high))


def kilonewtons(force_n: float) -> str:
    """Return a force as printed: ``16.1 kN``."""
    return amount(force_n / 1000, "kN", 1)
