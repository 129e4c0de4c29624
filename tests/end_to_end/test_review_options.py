"""A sample of the review of all options: no picture of unlike heads falls short, and one that does is named."""

from __future__ import annotations

from dataclasses import replace

import pytest
from benchleaf.geometry.dimensions.options import Options
from benchleaf.render.drawing.review import review_pictures
from benchleaf.render.engine.camera import sensible_views
from benchleaf.render.pictures.step_pictures import render_step
from benchleaf.sequences.steps.plan import Plan
from head_proofs import head_of
from picture_reviews import measuring, plans_of, shortcomings

pytestmark = pytest.mark.slow  # every picture of a head is measured

SECTIONS = ("seals", "rotors", "cover")
"""Sections of the assembly in which small and hidden parts move."""
UNLIKE = (
    Options(rotor="three-lobe", seal="double", cover="relief", cover_nuts="wing"),
    Options(
        rotor="two-lobe", cover="jacketed", body="free-draining", ports="sideways", cleaning_in_place=True
    ),
)


def some(plan: Plan) -> Plan:
    """Return the plan with only the steps that move something in :data:`SECTIONS`."""
    return replace(plan, steps=tuple(s for s in plan.steps if s.section in SECTIONS and s.moves))


@pytest.mark.parametrize("options", UNLIKE, ids=lambda o: o.rotor)
def test_no_picture_of_unlike_heads_falls_short(options: Options) -> None:
    head = head_of(options, 64.0)
    plans = [some(p) for p in plans_of(head, ["assembly"])]
    assert len(plans[0].steps) > 8
    assert shortcomings(head, plans) == {"assembly": []}


def test_a_step_seen_from_behind_is_named() -> None:
    head = head_of(Options(), 64.0)
    plan = plans_of(head, ["assembly"])[0]
    step = next(s for s in plan.steps if s.id == "key_drive")
    with measuring(head) as studio:
        rear = next(v for v in sensible_views(head.front, head.up) if v.name == "rear, from above")
        found = review_pictures([render_step(studio, step, rear, "seen_from_behind").manifest])
    assert [(f.step, f.part) for f in found] == [("key_drive", "key_drive")]
    assert "unhidden" in found[0].reason
