"""Pictures by what they mean: what moves is seen, out along its travel, with its arrow; every time the same."""

from __future__ import annotations

import io
from collections import Counter
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from benchleaf.render.composition.views import ViewChooser
from benchleaf.render.drawing.manifest import Manifest
from benchleaf.render.drawing.measure import SPECK
from benchleaf.render.drawing.review import review_pictures
from benchleaf.render.drawing.still_files import STILL_ENDING
from benchleaf.render.engine.camera import Camera, View
from benchleaf.render.pictures.step_pictures import (
    Picture,
    Studio,
    choose_views,
    render_plan,
    render_step,
)
from benchleaf.sequences.steps.plan import Plan
from benchleaf.sequences.work.store import Store
from PIL import Image
from sample_assembly import SMALL, sample_models, sample_plan

DRAWING = "benchleaf.render.pictures.step_pictures.take_frame"


@pytest.fixture(scope="module", name="plan")
def _plan() -> Plan:
    plan = sample_plan()
    check = replace(plan.steps[-1], shaft_turn_deg=360.0)
    return replace(plan, steps=(*plan.steps[:-1], check))


@pytest.fixture(scope="module", name="pictures")
def _pictures(plan: Plan, tmp_path_factory: pytest.TempPathFactory) -> dict[str, Picture]:
    folder = tmp_path_factory.mktemp("pictures")
    taken = render_plan(sample_models(), plan, folder, SMALL)
    for picture in taken:
        for ending, name in picture.manifest.files.items():
            assert (folder / name).read_bytes() == picture.content[ending]
        stem = Path(picture.manifest.files[STILL_ENDING]).stem
        assert Manifest.from_json((folder / f"{stem}.json").read_text()) == Manifest.from_json(
            picture.manifest.as_json()
        )
    return {p.manifest.step: p for p in taken}


def _camera(manifest: Manifest) -> Camera:
    c = manifest.camera
    return Camera(View(c.view, c.direction, c.up), c.centre, c.height_mm, manifest.width / manifest.height)


def test_each_step_has_its_picture_in_order(pictures: dict[str, Picture], plan: Plan) -> None:
    assert list(pictures) == [s.id for s in plan.steps]
    for picture in pictures.values():
        with Image.open(io.BytesIO(picture.content[STILL_ENDING])) as image:
            assert image.size == (SMALL.width, SMALL.height)


def test_at_least_half_of_what_moves_is_unhidden(pictures: dict[str, Picture], plan: Plan) -> None:
    for step in plan.steps:
        manifest = pictures[step.id].manifest
        for key in step.moving:
            closer = [i.visible for i in manifest.insets if key in i.subject]
            assert max([manifest.parts[key].visible or 0.0, *closer]) >= 0.5, (step.id, key)


def test_states_are_what_the_step_says(pictures: dict[str, Picture], plan: Plan) -> None:
    for step in plan.steps:
        parts = pictures[step.id].manifest.parts
        assert set(parts) == set(step.present) | set(step.moving)
        moving = {k for k, p in parts.items() if p.state == "moving"}
        focus = {k for k, p in parts.items() if p.state == "focus"}
        assert moving == set(step.moving)
        assert focus == (set() if step.moves else set(step.focus))


def test_anchors_and_boxes_are_in_frame_and_on_their_part(pictures: dict[str, Picture]) -> None:
    for picture in pictures.values():
        for part in picture.manifest.parts.values():
            if part.anchor is None or part.box is None:
                grid = SMALL.measure_width**2 * SMALL.height / SMALL.width
                assert part.visible_px < SPECK * grid, "nothing, or a sliver"
                assert (part.box is None) == (part.visible_px == 0)
                continue
            left, top, right, foot = part.box
            assert 0 <= left <= part.anchor[0] <= right <= 1
            assert 0 <= top <= part.anchor[1] <= foot <= 1


def test_what_moves_stands_out_in_colour_at_its_anchor(pictures: dict[str, Picture], plan: Plan) -> None:
    for step in plan.steps:
        manifest = pictures[step.id].manifest
        with Image.open(io.BytesIO(pictures[step.id].content[STILL_ENDING])) as image:
            pixels = np.asarray(image.convert("RGB")).astype(int)
        for key in step.moving:
            anchor = manifest.parts[key].anchor
            assert anchor is not None
            x, y = int(anchor[0] * SMALL.width), int(anchor[1] * SMALL.height)
            spot = pixels[max(0, y - 3) : y + 4, max(0, x - 3) : x + 4]
            assert (spot[:, :, 2] - spot[:, :, 0]).max() > 60, (step.id, key)


def test_parts_are_drawn_out_against_their_travel_and_arrows_show_it(
    pictures: dict[str, Picture], plan: Plan
) -> None:
    models = sample_models()
    for step in plan.steps:
        manifest = pictures[step.id].manifest
        camera = _camera(manifest)
        assert {k for a in manifest.arrows for k in a.parts} == set(step.moving)
        for arrow in manifest.arrows:
            moved = manifest.parts[arrow.parts[0]].moved_mm
            assert moved is not None
            assert np.linalg.norm(moved) > 0.01 * models.extent_mm
            # The arrow runs against the shift of the drawn part, as the picture shows it.
            ends = camera.project(np.array([moved, (0.0, 0.0, 0.0)]))[:, :2]
            travel = (ends[1] - ends[0]) * (manifest.width, manifest.height)
            drawn = (np.array(arrow.head) - np.array(arrow.tail)) * (manifest.width, manifest.height)
            cosine = travel @ drawn / (np.linalg.norm(travel) * np.linalg.norm(drawn))
            assert cosine > 0.9999, (step.id, arrow)
            assert np.linalg.norm(drawn) > 20


def test_turned_parts_say_how_they_turn(pictures: dict[str, Picture]) -> None:
    assert {a.turn_deg for a in pictures["nut"].manifest.arrows} == {-360.0}
    assert {a.turn_deg for a in pictures["rotor"].manifest.arrows} == {0.0}


def test_shafts_turned_by_hand_turn_opposite_ways(pictures: dict[str, Picture]) -> None:
    turns = pictures["check"].manifest.turns
    assert sorted(t.turn_deg for t in turns) == [-360.0, 360.0]
    drive = min(turns, key=lambda t: t.centre[0])
    assert drive.turn_deg == 360.0
    assert pictures["cover"].manifest.turns == ()


def test_small_parts_get_a_close_up_that_shows_them_large(pictures: dict[str, Picture]) -> None:
    manifest = pictures["key"].manifest
    (inset,) = manifest.insets
    assert inset.subject == ("key_drive",)
    assert inset.fill >= 1 / 6
    assert inset.magnification >= 1.75
    x, y = inset.of_centre
    anchor = manifest.parts["key_drive"].anchor
    assert anchor is not None
    assert np.hypot(anchor[0] - x, (anchor[1] - y) * 0.75) <= inset.of_radius
    assert pictures["body"].manifest.insets == ()


def test_equal_parts_are_counted(pictures: dict[str, Picture]) -> None:
    assert pictures["cover_nuts"].manifest.counts == {"cover_nut": 4}
    assert pictures["cover"].manifest.counts is None


def test_the_view_is_held_through_a_section_and_a_change_is_said(
    pictures: dict[str, Picture], plan: Plan
) -> None:
    before = ""
    for n, step in enumerate(plan.steps):
        manifest = pictures[step.id].manifest
        assert manifest.view_changed == (n > 0 and manifest.camera.view != before)
        before = manifest.camera.view
    with Studio(sample_models(), SMALL) as studio:
        chooser = ViewChooser(studio.stage, SMALL.width / SMALL.height)
        for section in {s.section for s in plan.steps}:
            steps = [s for s in plan.steps if s.section == section]
            views = {s.id: _camera(pictures[s.id].manifest).view for s in steps}
            held = Counter(views.values()).most_common(1)[0][0]
            for step in steps:
                if views[step.id] != held:
                    assert chooser.visibility(studio.scene(step), held) < SMALL.hold_above, step.id


def test_parts_on_the_bench_are_shown_alone(plan: Plan) -> None:
    step = replace(plan.steps[5], bench="unit", present=("rotor_drive",), moves=plan.steps[5].moves)
    with Studio(sample_models(), SMALL) as studio:
        view = choose_views(studio, replace(plan, steps=(step,)))[0]
        manifest = render_step(studio, step, view, "bench").manifest
    assert set(manifest.parts) == {"rotor_drive", "nut_drive"}


def test_a_picture_taken_again_has_the_same_bytes(pictures: dict[str, Picture], plan: Plan) -> None:
    again = replace(plan, steps=tuple(s for s in plan.steps if s.section == "body"))
    with Studio(sample_models(), SMALL) as studio:
        for step in again.steps:
            manifest = pictures[step.id].manifest
            view = _camera(manifest).view
            name = Path(manifest.files[STILL_ENDING]).stem
            taken = render_step(studio, step, view, name, manifest.view_changed)
            assert taken.content == pictures[step.id].content
            assert taken.manifest.as_json() == manifest.as_json()


def test_workers_and_cache_give_the_same_bytes(
    pictures: dict[str, Picture], plan: Plan, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    some = replace(plan, steps=plan.steps[:2])
    said: list[tuple[int, int, str]] = []
    cache = Store(tmp_path / "cache")
    apart = render_plan(sample_models(), some, tmp_path / "a", SMALL, lambda *s: said.append(s), 2, cache)
    assert said == [(1, 2, some.steps[0].title), (2, 2, some.steps[1].title)]
    monkeypatch.setattr(DRAWING, lambda *_, **__: pytest.fail("kept in the cache"))
    kept = render_plan(sample_models(), some, tmp_path / "b", SMALL, None, 1, cache)
    for one, two in zip(apart, kept, strict=True):
        assert one.content == two.content == pictures[one.manifest.step].content


def test_the_review_finds_nothing_wanting(pictures: dict[str, Picture]) -> None:
    assert review_pictures(p.manifest for p in pictures.values()) == []
