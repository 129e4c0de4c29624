"""Right beside wrong: the same camera in both, a section only where it is needed, what is missing drawn as a ghost."""

from __future__ import annotations

import io
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from benchleaf.geometry.frame import Floats, Place
from benchleaf.render.drawing.differences import tells_apart
from benchleaf.render.engine.material_styles import STRONG, colour_bytes
from benchleaf.render.pictures import pairs
from benchleaf.render.pictures.pairs import LEFT_OUT, SIZE, Pair, PairScene, render_pairs
from benchleaf.sequences.work.store import Store
from PIL import Image
from sample_assembly import SMALL, sample_models

HOME = {m.key: m.place for m in sample_models()}
SETTINGS = replace(SMALL, formats=("png",))
ROTOR = PairScene(
    "rotor", "fit_rotor", 5, {"rotor_drive": HOME["rotor_drive"]},
    {"rotor_drive": HOME["rotor_drive"] @ Place.turn(90.0)}, {"shaft_drive": HOME["shaft_drive"]},
)  # fmt: skip
AROUND_RING = {k: HOME[k] for k in ("seat_drive", "shaft_drive", "body", "housing")}
RING = PairScene(
    "ring", "fit_ring", 2, {"oring_drive": HOME["oring_drive"]},
    {"oring_drive": HOME["oring_drive"].moved(0, 0, 2.5)}, AROUND_RING,
)  # fmt: skip
MISSING = replace(ROTOR, name="missing", wrong={})
SECOND = replace(
    ROTOR, name="second", wrong={"rotor_drive": HOME["rotor_drive"].moved(0, 0, 21.0)}, second=True
)


@pytest.fixture(scope="module", name="taken")
def _taken() -> dict[str, Pair]:
    scenes = (ROTOR, RING, MISSING, SECOND)
    found = render_pairs(sample_models(), scenes, SETTINGS)
    return {scene.name: pair for scene, pair in zip(scenes, found, strict=True)}


def pixels(pair: Pair) -> tuple[Floats, Floats]:
    found = []
    for picture in (pair.right, pair.wrong):
        with Image.open(io.BytesIO(picture.content["png"])) as image:
            found.append(np.asarray(image.convert("RGB"), dtype=float))
    return found[0], found[1]


def strong(picture: Floats) -> int:
    """Return how many pixels have the strong colour or come near it."""
    return int((np.abs(picture - colour_bytes(STRONG)).max(axis=2) < 60).sum())


def test_both_pictures_have_one_camera_and_differ_where_the_part_is(taken: dict[str, Pair]) -> None:
    width = round(SIZE[0] * SMALL.width / 1600)
    for name, pair in taken.items():
        right, wrong = pair.right.manifest, pair.wrong.manifest
        assert right.camera == wrong.camera
        # What is left out is drawn smaller: pages show it at half the width.
        wide = round(LEFT_OUT * width) if name == "missing" else width
        assert (right.width, right.kind, right.step) == (wide, "pair", wrong.step)
        assert right.difference == wrong.difference
        assert right.difference is not None
        assert tells_apart(right.difference), name
        assert right.difference.pointer is not None
        assert right.files == {"png": f"{name}-right.png"}
        assert wrong.files == {"png": f"{name}-wrong.png"}
        a, b = pixels(pair)
        assert 0.002 < (np.abs(a - b).max(axis=2) > 40).mean() < 0.3, name


def test_a_section_is_taken_only_where_the_difference_is_hidden_without(taken: dict[str, Pair]) -> None:
    assert {name for name, pair in taken.items() if pair.cut} == {"ring"}
    assert "into a cut" in taken["ring"].right.manifest.camera.view


def test_the_part_moves_and_its_neighbours_are_context(taken: dict[str, Pair]) -> None:
    # Of the ring, cut and among what is round it, little is open.
    for name, least in (("rotor", 0.5), ("ring", 0.1)):
        for picture in (taken[name].right, taken[name].wrong):
            states = {k: p.state for k, p in picture.manifest.parts.items()}
            (part,) = [k for k, state in states.items() if state == "moving"]
            assert part == ("rotor_drive" if name == "rotor" else "oring_drive")
            assert (picture.manifest.parts[part].visible or 0.0) > least


def test_what_is_missing_is_a_ghost_in_the_strong_colour(taken: dict[str, Pair]) -> None:
    manifest = taken["missing"].wrong.manifest
    assert set(manifest.parts) == {"shaft_drive"}
    right, wrong = pixels(taken["missing"])
    assert 0 < strong(wrong) < 0.5 * strong(right), "its outline alone"


def test_a_second_part_stands_besides_the_first(taken: dict[str, Pair]) -> None:
    manifest = taken["second"].wrong.manifest
    moving = {k for k, p in manifest.parts.items() if p.state == "moving"}
    assert moving == {"rotor_drive", "rotor_drive (second)"}
    right, wrong = pixels(taken["second"])
    assert strong(wrong) > strong(right)


def test_a_slight_difference_gets_a_close_up_of_the_cut_face(taken: dict[str, Pair]) -> None:
    right, wrong = taken["ring"].right.manifest, taken["ring"].wrong.manifest
    (a,), (b,) = right.insets, wrong.insets
    assert (a.centre, a.radius, a.of_centre, a.of_radius) == (b.centre, b.radius, b.of_centre, b.of_radius)
    assert a.subject == ("oring_drive",)
    assert a.magnification >= 2.0
    assert "oring_drive" in a.parts
    assert taken["rotor"].right.manifest.insets == ()


def test_kept_pairs_are_not_drawn_again(
    taken: dict[str, Pair], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    cache = Store(tmp_path)
    (first,) = render_pairs(sample_models(), [ROTOR], SETTINGS, cache)
    assert first.right.content == taken["rotor"].right.content, "pairs do not depend on those before them"
    monkeypatch.setattr(pairs, "Stage", lambda *_: pytest.fail("drawn again"))
    (again,) = render_pairs(sample_models(), [ROTOR], SETTINGS, cache)
    assert again.right.content == first.right.content
    assert again.wrong.content == first.wrong.content
    assert again.cut == first.cut
    with pytest.raises(pytest.fail.Exception):
        list(render_pairs(sample_models(), [replace(ROTOR, wrong={})], SETTINGS, cache))
