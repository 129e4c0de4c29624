"""Elastomers and what they meet, in words: judgements on calculation sheets, and the safety messages they raise."""

from __future__ import annotations

from dataclasses import replace

from ...geometry.engineering.elastomers import HEAT_C, FoodContact, Incompatibility, Match, Verdict
from ...sequences.steps.plan import Caution
from .catalogue import Words
from .topic_words import topic_in_words


def match_in_words(match: Match, words: Words) -> str:
    """Return how an elastomer bears a class of media, with the source."""
    said = _judged(match.elastomer, match.medium.key, match.verdict, words)
    return words("finding.match", judgement=said, source=topic_in_words(match.source, words))


def hazard_in_words(meeting: Incompatibility, words: Words) -> str:
    """Return why an elastomer must not meet a class of media, or so much heat."""
    if meeting.heat_c is None:
        return _judged(meeting.elastomer, meeting.medium, meeting.verdict, words)
    elastomer, most_c = words(f"elastomer.{meeting.elastomer}"), HEAT_C[meeting.elastomer]
    return words("meeting.heat", heat_c=f"{meeting.heat_c:g}", most_c=f"{most_c:g}", elastomer=elastomer)


def caution_in_words(caution: Caution, words: Words) -> Caution:
    """Return a safety message with its texts: those of its own, or made of what meets what."""
    meeting = caution.meeting
    if meeting is None:
        return caution
    heat = meeting.heat_c is not None
    way = "heat" if heat else f"{_key(meeting.verdict)}.{meeting.role}"
    avoidance = words(f"meeting.avoidance.{way}", elastomer=words(f"elastomer.{meeting.elastomer}"))
    return replace(
        caution,
        hazard=hazard_in_words(meeting, words),
        consequence=words(f"meeting.consequence.{'heat' if heat else meeting.role}"),
        avoidance=words(
            "meeting.avoidance.sourced", avoidance=avoidance, source=topic_in_words(meeting.source, words)
        ),
    )


def food_in_words(found: FoodContact, words: Words) -> str:
    """Return what may be said of food contact: the fact that was given with its source, else what to ask for."""
    if found.source is not None and found.shown:
        source = topic_in_words(found.source, words)
        return words("finding.food.shown", registration=found.registration, source=source)
    if found.registration:
        return words("finding.food.unsourced", registration=found.registration)
    return words("finding.food.none")


def _judged(elastomer: str, medium: str, verdict: Verdict, words: Words) -> str:
    return words(
        f"meeting.{_key(verdict)}",
        elastomer=words(f"elastomer.{elastomer}"),
        medium=words(f"medium.{medium}"),
        reason=words(f"medium_reason.{medium}.{elastomer}"),
    )


def _key(verdict: Verdict) -> str:
    return verdict.replace(" ", "_")
