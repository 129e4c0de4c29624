"""Sentences about wrong placements: the mistake, what came of it, what is then wrong, the question on its card."""

from __future__ import annotations

from collections.abc import Sequence

from ...sequences.misfits.findings import Effect, Misfit, PinPair
from ...sequences.misfits.orientation_cards import OrientationCard
from ...sequences.order.order_graph import PlannedMove
from .part_names import PartNames, start


def mistake_words(names: PartNames, fit: Misfit) -> str:
    """Return what was done wrong, as it is told after the part's name: ``turned by 90 degrees``."""
    w = names.words
    if fit.kind == "part turn":
        return w("mistake_told.turned_by", deg=f"{fit.turn_deg:g}")
    if fit.kind == "swapped":
        own, other = names.parts[fit.parts[0]], names.parts[fit.other]
        twins = own.kind == other.kind and None not in (own.side, other.side) and own.side != other.side
        key = "mistake_told.swapped_with" if twins else "mistake_told.replaced_by"
        return w(key, other=names.the(fit.other))
    return w(f"mistake.{_slug(fit.kind)}")


def outcome_words(names: PartNames, moves: Sequence[PlannedMove], fit: Misfit) -> str:
    """Return what came of a mistake, in sentences: what is then wrong, what stopped it, or why it is no difference."""
    w = names.words
    if fit.verdict == "goes in":
        return " ".join(effect_sentence(names, moves, e) for e in fit.wrong)
    key = f"outcome.{_slug(fit.outcome)}"
    by = names.several(fit.met or fit.stopped_by)
    step = None
    if fit.noticed_by is not None:
        step = moves[fit.noticed_by].step
        by = names.moves([moves[fit.noticed_by]]) if fit.outcome == "missed by what sits on it" else by
    elif fit.outcome == "stopped on its way" and fit.too_big_mm > 0:
        key = "outcome.stopped_by_material"
    text = start(
        w(
            key,
            by=by,
            part=names.bare(fit.lead),
            step=step,
            short=f"{fit.short_mm:.1f}",
            too_big=f"{fit.too_big_mm:.2f}",
        )
    )
    return f"{text} {w('outcome.weak')}" if fit.weak else text


def told_figures(fit: Misfit) -> set[str]:
    """Return which figures of a mistake its outcome tells: of ``short_mm``, ``too_big_mm`` and ``shift_mm``."""
    told = {"short_mm"} if fit.outcome in ("stopped on its way", "second stopped on its way") else set()
    if fit.outcome in ("stopped on its way", "stops what follows"):
        told.add("too_big_mm")
    return told | ({"shift_mm"} if any(e.kind in ("sits proud", "sits deep") for e in fit.wrong) else set())


def effect_sentence(names: PartNames, moves: Sequence[PlannedMove], effect: Effect) -> str:
    """Return one thing that is wrong with a part that went in wrong, as a sentence."""
    parts = names.several(effect.parts)
    count = len(effect.parts)
    if effect.move is not None:
        parts = names.moves([moves[effect.move]])
        count = 1 if names.units([moves[effect.move]])[0] else count
    figures = {
        "mm": (effect.mm, 2 if effect.kind in ("sits proud", "sits deep", "bears too soon") else 1),
        "right_mm": (effect.right_mm, 1),
        "thick_mm": (effect.thick_mm, 2),
        "right_thick_mm": (effect.right_thick_mm, 2),
        "percent": (effect.percent, 0),
        "mm3": (effect.mm3, 0),
        "deg": (effect.deg, 1 if effect.kind == "collides turned" else 0),
    }
    text = names.words(
        f"effect.{_slug(effect.kind)}",
        parts=parts,
        part=names.the(effect.parts[0]) if effect.parts else "",
        bare=names.bare(effect.parts[0]) if effect.parts else "",
        feature=names.feature(effect.feature),
        mate=names.kind(effect.mates) if effect.mates else "",
        count=count,
        **{name: f"{value or 0.0:.{places}f}" for name, (value, places) in figures.items()},
    )
    return start(text)


def picture_words(names: PartNames, card: OrientationCard, which: str) -> str:
    """Return the few words that stand on one picture of a card's pair; ``which`` is right or wrong."""
    stem = _slug(card.telling)
    if card.telling == "edges":
        # The right one bears on one edge, the wrong one on the other.
        stem = "edges_outer" if card.outer == (which == "right") else "edges_inner"
    else:
        stem = f"{stem}_{which}"
    return start(names.words(f"pair_words.{stem}", **_fields(names, card)))


TELLING_WAYS = ("eye", "touch", "plate")


def telling_words(names: PartNames, card: OrientationCard) -> tuple[tuple[str, str], ...]:
    """Return how to tell right from wrong, each way (eye, touch, flat plate) with its sentence."""
    stem = _slug(card.telling)
    found = []
    for way in TELLING_WAYS:
        key = f"tell.{stem}_{way}"
        if card.telling == "edges" and way == "eye":
            key = f"tell.edges_{'outer' if card.outer else 'inner'}_eye"
        if key in names.words.texts:
            found.append((names.words(f"tell_by.{way}"), names.words(key, **_fields(names, card))))
    return tuple(found)


def _fields(names: PartNames, card: OrientationCard) -> dict[str, str]:
    """Return the parts that a card's words may name: by their kinds alone, since words on pictures are few."""
    parts = names.parts

    def kind(key: str) -> str:
        return names.kind(parts[key].kind, parts[key].name)

    met = next((e.parts[0] for e in card.wrong_because if e.parts), None)
    return {
        "at": kind(met) if met else "",
        "part": kind(card.parts[0]),
        "other": kind(card.other) if card.other else "",
    }


def card_question(names: PartNames, card: OrientationCard) -> str:
    """Return what a card asks."""
    key = "cards.ask_left_out" if card.kind == "left out" else f"card_question.{_slug(card.kind)}"
    # Of faces that are opened the piece is asked about, not all that it carries.
    return start(names.words(key, it=names.several(card.parts[:1] if card.opened else card.parts)))


def pin_sentence(names: PartNames, pins: PinPair) -> str:
    """Return whether two pins tell right from wrong, as a sentence."""
    return start(
        names.words(
            "pin_pair.stops" if pins.enough else "pin_pair.too_equal",
            large=names.the(pins.large),
            small=names.the(pins.small),
            large_mm=f"{pins.large_mm:.2f}",
            small_mm=f"{pins.small_mm:.2f}",
            mm=f"{max(pins.stop_mm, 0.0):.2f}",
        )
    )


def _slug(kind: str) -> str:
    return kind.replace(" ", "_")
