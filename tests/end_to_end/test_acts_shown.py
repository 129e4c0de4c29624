"""A head's pictures show what their acts name: painted surfaces, and tools where they touch."""

from __future__ import annotations

from collections.abc import Sequence

import pytest
from benchleaf.geometry.dimensions.options import Options
from benchleaf.geometry.head.head import Head
from benchleaf.render.composition import picture_layout
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
