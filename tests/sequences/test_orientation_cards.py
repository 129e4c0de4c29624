"""What a pair of pictures shows of a mistake: from where, beside what, told apart by what."""

from __future__ import annotations

from dataclasses import replace

import pytest
from benchleaf.geometry.assembly import Assembly
from benchleaf.sequences.misfits.findings import Effect, Misfit
from benchleaf.sequences.misfits.misfits import find_misfits
from benchleaf.sequences.misfits.orientation_cards import (
    ASKED,
    OrientationCard,
    make_asked_cards,
    make_cards,
    make_kind_cards,
)
from proof_samples import Proven, proven_coupling


@pytest.fixture(scope="module", name="coupled")
def _coupled() -> tuple[Proven, list[Misfit]]:
    proven = proven_coupling()
    steps = ("washer", "cover", "ring")
    moves = [m for m in proven.graph.moves if m.step_id in steps]
    return proven, find_misfits(proven.ways, proven.graph, moves)


def asked(coupled: tuple[Proven, list[Misfit]]) -> list[OrientationCard]:
    proven, fits = coupled
    return make_asked_cards(proven.assembly, proven.graph, fits)


def test_the_washer_is_told_by_the_edge_that_bears(coupled: tuple[Proven, list[Misfit]]) -> None:
    proven, fits = coupled
    (fit,) = [
        f for f in fits if f.kind == "end for end" and f.parts == ("washer",) and f.verdict == "goes in"
    ]
    for mm, right_mm, outer in ((6.2, 11.5, True), (11.5, 6.2, False)):
        edge = Effect("bears elsewhere", ("wheel",), mm=mm, right_mm=right_mm)
        (card,) = make_cards(proven.assembly, proven.graph, [replace(fit, wrong=(edge,))])
        assert (card.telling, card.outer) == ("edges", outer)
        assert card.out == pytest.approx((0.0, 0.0, 1.0))
        assert (card.stopped, card.opened, card.links) == (False, False, ())
    (card,) = make_cards(proven.assembly, proven.graph, [replace(fit, wrong=fit.wrong[1:])])
    assert (card.telling, card.outer) == ("turned", None), "what the solids do not show is not said"


def test_a_cover_told_by_its_dowels_is_asked_about_though_it_is_stopped(
    coupled: tuple[Proven, list[Misfit]],
) -> None:
    _, fits = coupled
    cards = asked(coupled)
    assert [(c.kind, c.parts) for c in cards] == [("half turn", ("cover",))]
    (card,) = cards
    (fit,) = [f for f in fits if f.kind == "half turn" and f.parts == ("cover",)]
    assert fit.verdict == "stopped"
    assert card.stopped
    assert card.opened
    assert card.telling == "dowels"
    assert set(card.links) == {"dowel_large", "dowel_small"}
    assert set(card.around) == {"dowel_large", "dowel_small", "housing"}, (
        "the other piece, and what stands in it"
    )
    assert card.wrong == fit.places
    assert all(kind != "left out" for kind, _ in ASKED)


def test_a_card_that_goes_in_is_opened_too_where_dowels_should_tell(
    coupled: tuple[Proven, list[Misfit]],
) -> None:
    proven, fits = coupled
    (fit,) = [f for f in fits if f.kind == "half turn" and f.parts == ("cover",)]
    (card,) = make_cards(proven.assembly, proven.graph, [replace(fit, verdict="goes in", outcome="goes in")])
    assert card.opened
    assert not card.stopped
    assert len(card.links) == 2


def test_soft_parts_that_a_weak_stop_keeps_out_are_asked_about(coupled: tuple[Proven, list[Misfit]]) -> None:
    proven, fits = coupled
    home = {"ring": proven.assembly.parts["ring"].place}
    stop = Misfit(
        7, "ring", ("ring",), "ring", "swapped", "stopped", "stopped on its way", other="ring", places=home
    )
    moves = {m.step_id: m.step for m in proven.graph.moves}
    stop = replace(stop, step=moves["ring"])
    assert make_asked_cards(proven.assembly, proven.graph, [stop]) == []
    (card,) = make_asked_cards(proven.assembly, proven.graph, [replace(stop, weak=True)])
    assert (card.telling, card.stopped) == ("other part", True)
    hard = replace(stop, parts=("washer",), lead="washer", step=moves["washer"], step_id="washer", weak=True)
    assert make_asked_cards(proven.assembly, proven.graph, [hard]) == []
    assert len(fits) > 3


def test_a_part_that_is_had_in_two_materials_has_a_card(coupled: tuple[Proven, list[Misfit]]) -> None:
    proven, _ = coupled
    assert make_kind_cards(proven.assembly, proven.graph.moves, proven.graph.touching) == []
    ring = replace(proven.assembly.parts["ring"], material="FKM", taken_for="ptfe-encapsulated")
    parts = {**proven.assembly.parts, "ring": ring}
    (card,) = make_kind_cards(Assembly("kinds", parts), proven.graph.moves, proven.graph.touching)
    assert (card.parts, card.telling, card.wrong_material) == (("ring",), "solid rubber", "ptfe-encapsulated")
    lifted = card.right["ring"].shift[2] - ring.place.shift[2]
    assert ring.elastic is not None
    assert lifted == pytest.approx(ring.elastic.squeeze_mm), "on the floor of its groove, not pressed"
    assert card.right == card.wrong
    other = replace(ring, material="ptfe-encapsulated", taken_for="FKM")
    (card,) = make_kind_cards(
        Assembly("kinds", {**parts, "ring": other}), proven.graph.moves, proven.graph.touching
    )
    assert card.telling == "sheathed"
