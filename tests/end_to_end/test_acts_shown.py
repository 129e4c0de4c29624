"""A head's pictures show what their acts name: painted surfaces, and tools where they touch."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import pytest
from benchleaf.geometry.dimensions.options import Options
from benchleaf.geometry.head.head import Head
from benchleaf.render.composition import picture_layout
from benchleaf.render.composition.detail import targets
from benchleaf.sequences.reach.reach import find_reach
from benchleaf.sequences.steps.plan import Plan
from head_proofs import head_of
from picture_reviews import act_shortcomings, plans_of


@pytest.fixture(scope="module", name="head")
def _head() -> Head:
    return head_of(Options(), 62.0)


@pytest.fixture(scope="module", name="plans")
def _plans(head: Head) -> Sequence[Plan]:
    return plans_of(head)


def test_nothing_that_an_act_names_is_out_of_sight(head: Head, plans: Sequence[Plan]) -> None:
    for plan in plans:
        assert act_shortcomings(head, plan, find_reach(head, plan).tools) == [], plan.sequence


def test_without_details_surfaces_are_out_of_sight(
    head: Head, plans: Sequence[Plan], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(picture_layout, "details_of", lambda *_: [])
    inspection = next(p for p in plans if p.sequence == "inspection")
    said = act_shortcomings(head, inspection, {})
    assert any("keyway 2" in text for text in said), said
    assert any("rear face" in text for text in said), said


CROWDED = {
    "two-lobe, double": Options(rotor="two-lobe", seal="double", ports="sideways", cleaning_in_place=True),
    "two-wing": Options(rotor="two-wing", cleaning_in_place=True),
    "two-wing, double": Options(
        rotor="two-wing", seal="double", cover_nuts="wing", ports="sideways", cleaning_in_place=True
    ),
}


@pytest.mark.parametrize("options", CROWDED.values(), ids=CROWDED)
def test_a_body_with_more_to_clean_than_two_close_ups_show_has_as_many_as_it_takes(options: Options) -> None:
    """Bores, grooves, flush connections, passages that open inside: all in one step."""
    head = head_of(options, 64.0)
    (plan,) = plans_of(head, ["assembly"])
    step = next(s for s in plan.steps if s.id == "inspect_body")
    alone = replace(plan, steps=(step,))
    assert act_shortcomings(head, alone, find_reach(head, alone).tools) == []
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(picture_layout, "DISC_RADII", picture_layout.DISC_RADII[:1])
        patch.setattr(picture_layout, "ROUNDS", 1)
        assert act_shortcomings(head, alone, find_reach(head, alone).tools) != []


def test_a_surface_of_which_a_point_alone_is_in_sight_has_a_close_up(monkeypatch: pytest.MonkeyPatch) -> None:
    """The second keyway of a hub, of which the close-up of the first shows next to nothing."""
    head = head_of(Options(rotor="two-wing", seal="double", cover="jacketed", body="free-draining"), 64.0)
    (plan,) = plans_of(head, ["inspection"])
    alone = replace(plan, steps=tuple(s for s in plan.steps if s.id == "rotor_hubs"))
    assert act_shortcomings(head, alone, {}) == []
    monkeypatch.setattr(targets, "LEAST_SPOTS", 1)
    (said,) = act_shortcomings(head, alone, {})
    assert "keyway 1" in said
