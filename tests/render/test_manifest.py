"""Manifests read back as they were written, to six digits, and equal ones are the same bytes."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest
from benchleaf.render.drawing.manifest import Arrow, CameraSeen, FilmSeen, Inset, Manifest, PartSeen, TurnSeen

CAMERA = CameraSeen("front", (0.0, 0.0, 1.0), (0.0, 1.0, 0.0), (1.0, 2.0, 3.0), 120.5)
PART = PartSeen("moving", 12, 0.75, (0.25, 0.5), (0.125, 0.25, 0.5, 0.75), (0.0, 0.0, 30.0))
FULL = Manifest(
    kind="step",
    step="cover",
    number=3,
    files={"webp": "a.webp", "png": "a.png"},
    width=1600,
    height=1200,
    camera=CAMERA,
    view_changed=True,
    parts={"cover": PART, "body": PartSeen("context", 0, None, None, None)},
    arrows=(Arrow(("cover",), (0.5, 0.5), (0.25, 0.25), -360.0),),
    turns=(TurnSeen((0.5, 0.5), 90.0),),
    insets=(Inset((0.8, 0.2), 0.2, (0.5, 0.5), 0.05, 4.0, ("cover",), 0.25, 0.9, {"cover": PART}, True),),
    counts={"cover_nut": 4},
    film=FilmSeen("a-film.webp", 576, 432, (900, 130, 1800), CAMERA, ((0.0, 0.25, 0.5, 1.0), None, None)),
)


@pytest.mark.parametrize("manifest", [FULL, replace(FULL, film=None, counts=None, insets=(), parts={})])
def test_what_is_written_is_read_back(manifest: Manifest) -> None:
    assert Manifest.from_json(manifest.as_json()) == manifest


def test_numbers_are_rounded_so_that_equal_pictures_give_equal_bytes() -> None:
    noisy = replace(FULL, camera=replace(CAMERA, height_mm=120.5 + 3e-9, centre=(1.0, 2.0, -0.0)))
    plain = replace(FULL, camera=replace(CAMERA, centre=(1.0, 2.0, 0.0)))
    assert noisy.as_json() == plain.as_json()
    assert replace(FULL, camera=replace(CAMERA, height_mm=120.51)).as_json() != FULL.as_json()


def test_the_text_is_one_sorted_line() -> None:
    text = FULL.as_json()
    assert text.count("\n") == 1
    assert text.endswith("\n")
    assert list(json.loads(text)) == sorted(json.loads(text))
