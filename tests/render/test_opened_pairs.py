"""Faces opened like a book: what goes from one into the other lies level on both, and is crossed out where wrong."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from benchleaf.geometry.frame import Place
from benchleaf.render.drawing.differences import PHONE_PX, tells_apart
from benchleaf.render.engine.part_models import PartModels, make_part_models
from benchleaf.render.pictures.pairs import Pair, PairScene, render_pairs
from proof_samples import coupling
from sample_assembly import SMALL

SETTINGS = replace(SMALL, formats=("png",))
PARTS = coupling().parts
HOME = {k: p.place for k, p in PARTS.items()}
HALF = Place.turn(180.0)
COVER = PairScene(
    "cover",
    "cover",
    7,
    {"cover": HOME["cover"]},
    {"cover": HALF @ HOME["cover"]},
    {k: HOME[k] for k in ("housing", "dowel_large", "dowel_small")},
    opened=True,
    links=("dowel_large", "dowel_small"),
)
CARRIED = replace(
    COVER,
    name="carried",
    right={k: HOME[k] for k in ("cover", "dowel_large", "dowel_small")},
    wrong={k: HALF @ HOME[k] for k in ("cover", "dowel_large", "dowel_small")},
    around={"housing": HOME["housing"]},
)
"""The same with the dowels in the piece that is turned."""
STOOD_OFF = replace(COVER, name="off", wrong={"cover": HOME["cover"].moved(0.0, 0.0, 4.0)})
FLIPPED = replace(COVER, name="flipped", wrong={"cover": Place.turn(180.0, (0.0, 1.0, 0.0)) @ HOME["cover"]})
WHEEL = PairScene(
    "wheel",
    "wheel",
    4,
    {"wheel": HOME["wheel"]},
    {"wheel": HOME["wheel"] @ Place.turn(90.0)},
    {k: HOME[k] for k in ("shaft", "key")},
    opened=True,
    links=("key",),
)
SCENES = (COVER, CARRIED, STOOD_OFF, FLIPPED, WHEEL)


@pytest.fixture(scope="module", name="models")
def _models() -> PartModels:
    return make_part_models(coupling(), 1 / 2000)


@pytest.fixture(scope="module", name="taken")
def _taken(models: PartModels) -> dict[str, Pair]:
    found = render_pairs(models, SCENES, SETTINGS)
    return {scene.name: pair for scene, pair in zip(SCENES, found, strict=True)}


def test_right_links_meet_and_lie_level(taken: dict[str, Pair]) -> None:
    for name, pair in taken.items():
        links = pair.right.manifest.links
        assert links, name
        for link in links:
            assert link.met
            assert link.tail[1] == pytest.approx(link.head[1], abs=1e-6), "a hinge keeps heights"
            assert link.tail[0] < 0.5 < link.head[0]


def test_the_hinge_mirrors_what_lies_aside(taken: dict[str, Pair]) -> None:
    large, small = taken["cover"].right.manifest.links
    # The large dowel stands at the left of the housing: on the open cover that is its right.
    assert large.tail[0] < small.tail[0]
    assert large.head[0] > small.head[0]
    assert small.tail[0] - large.tail[0] == pytest.approx(large.head[0] - small.head[0], rel=1e-3), (
        "at one scale"
    )
    assert (large.dashed, small.dashed) == (False, True)


def test_what_is_turned_meets_nothing(taken: dict[str, Pair]) -> None:
    for name in ("cover", "carried", "flipped", "wheel"):
        assert [link.met for link in taken[name].wrong.manifest.links] == [False] * len(SCENE[name].links), (
            name
        )
    assert all(link.met for link in taken["off"].wrong.manifest.links), "too far out, but over its dowels"


SCENE = {scene.name: scene for scene in SCENES}


def test_dowels_travel_with_the_piece_that_carries_them(taken: dict[str, Pair]) -> None:
    right, wrong = (p.manifest.links for p in (taken["carried"].right, taken["carried"].wrong))
    for a, b in zip(right, wrong, strict=True):
        assert np.hypot(b.head[0] - a.head[0], b.head[1] - a.head[1]) > 0.1
    fixed = taken["cover"].wrong.manifest.links
    assert [x.tail for x in fixed] == [x.tail for x in taken["cover"].right.manifest.links]


def test_both_pictures_have_one_size_and_the_difference_is_seen(taken: dict[str, Pair]) -> None:
    for name, pair in taken.items():
        right, wrong = pair.right.manifest, pair.wrong.manifest
        assert (right.width, right.height, right.camera) == (wrong.width, wrong.height, wrong.camera)
        assert right.difference is not None
        assert tells_apart(right.difference) == (name != "off"), (
            "what only stands off looks the same from there"
        )
        assert 0.3 < right.height / right.width < 1.2
        boxes = {k: p.box for k, p in right.parts.items() if p.box is not None}
        for key in SCENE[name].right:
            assert boxes[key][0] > 0.3, "the moving piece lies on the right leaf"
    assert PHONE_PX == 360


def test_the_right_one_has_no_cross(taken: dict[str, Pair]) -> None:
    from io import BytesIO

    from PIL import Image

    def dark(pair: Pair, which: str) -> int:
        picture = pair.right if which == "right" else pair.wrong
        image = Image.open(BytesIO(picture.content["png"])).convert("L")
        x, y = pair.right.manifest.links[0].head
        w, h = image.size
        box = (round(x * w) - 2, round(y * h) - 2, round(x * w) + 3, round(y * h) + 3)
        return int((np.asarray(image.crop(box)) < 80).sum())

    assert dark(taken["cover"], "wrong") > dark(taken["cover"], "right") + 5
