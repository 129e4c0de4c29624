"""Each question at the bench has a pair of pictures that a reader tells apart on a phone, on each form of the head."""

from __future__ import annotations

import pytest
from benchleaf.geometry.dimensions.options import Options
from benchleaf.render.drawing.differences import tells_apart
from benchleaf.render.drawing.settings import PictureSettings
from benchleaf.render.pictures.pairs import Pair, render_pairs
from benchleaf.render.pictures.studio import models_of
from benchleaf.sequences.misfits.orientation_cards import OrientationCard
from pair_samples import question_cards

SETTINGS = PictureSettings(
    width=800, height=600, supersample=1, measure_width=400, contact_shading=False, detail=1 / 3000
)
HEADS = (
    Options(),
    Options(
        rotor="two-lobe", seal="double", cover="relief", ports="sideways", cover_oring="ptfe-encapsulated"
    ),
    Options(rotor="three-lobe", cover="jacketed"),
)
"""Each form of rotor, seal and cover once."""
TELLINGS = {"edges", "dowels", "flats", "notches", "keyways"}


@pytest.fixture(scope="module", params=HEADS, ids=lambda o: f"{o.rotor}, {o.seal}, {o.cover}", name="drawn")
def _drawn(request: pytest.FixtureRequest) -> list[tuple[OrientationCard, Pair]]:
    head, found = question_cards(request.param)
    # Twins have the same pictures but for the side.
    chosen = {
        (c.telling, c.kind, tuple(head.parts[k].kind for k in c.parts)): (c, s) for c, s in reversed(found)
    }
    models = models_of(head, SETTINGS)
    pairs = render_pairs(models, [s for _, s in chosen.values()], SETTINGS)
    return [(c, pair) for (c, _), pair in zip(chosen.values(), pairs, strict=True)]


def test_every_question_is_answered_by_a_pair_that_differs_at_a_glance(
    drawn: list[tuple[OrientationCard, Pair]],
) -> None:
    told = {c.telling for c, _ in drawn}
    assert told - {"sheathed", "solid rubber"} == TELLINGS
    assert len(told & {"sheathed", "solid rubber"}) == 1
    assert sum(c.telling == "dowels" for c, _ in drawn) == 2, "body and cover"
    for card, pair in drawn:
        seen = pair.right.manifest.difference
        assert seen is not None
        assert tells_apart(seen), card.id
        if card.telling == "edges":
            assert seen.steeper > 1.0
            assert seen.as_it_is is not None
            assert seen.pointer is not None
        if card.opened:
            assert [x.part for x in pair.right.manifest.links] == list(card.links)
            assert bool(card.links) == (card.telling != "flats")
            assert not any(x.met for x in pair.wrong.manifest.links), card.id
        if card.opened and not card.links:
            assert seen.pointer is not None
