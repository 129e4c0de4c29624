"""The overview shows every part clear of the others, in order along each axis, with its axis lines in the open."""

from __future__ import annotations

import io
from dataclasses import replace

import numpy as np
import pytest
from benchleaf.render.composition.explode import CLEAR_OF_LARGEST, explode, small_units, some_of
from benchleaf.render.composition.explode import SMALL as SMALL_SHARE
from benchleaf.render.drawing.manifest import Manifest, PartSeen
from benchleaf.render.drawing.still_files import STILL_ENDING
from benchleaf.render.pictures import overview
from benchleaf.render.pictures.overview import PANE_GAP, PANE_HEIGHT, render_overview_with
from benchleaf.render.pictures.studio import Studio
from benchleaf.sequences.steps.plan import Plan
from benchleaf.sequences.work.store import Store
from benchleaf.site.pages.callouts import best_seen
from PIL import Image
from sample_assembly import SMALL, sample_models, sample_plan


@pytest.fixture(name="plan")
def _plan() -> Plan:
    return sample_plan()


def test_overview_shows_every_part_clear_of_the_others(plan: Plan) -> None:
    with Studio(sample_models(), SMALL) as studio:
        picture = render_overview_with(studio, together=plan.given)
    manifest = picture.manifest
    assert manifest.kind == "overview"
    assert set(manifest.parts) == set(sample_models().parts)
    for key, part in manifest.parts.items():
        assert part.anchor is not None, key
        assert part.moved_mm is not None
        if key not in plan.given:
            assert part.visible is not None
            assert part.visible > 0.97, key
        else:
            assert part.moved_mm == manifest.parts["housing"].moved_mm
    with Image.open(io.BytesIO(picture.content[STILL_ENDING])) as image:
        assert image.size == (manifest.width, manifest.height)
    assert manifest.height <= SMALL.overview_height + (PANE_HEIGHT + 2 * PANE_GAP) * SMALL.overview_width + 2


def test_small_parts_are_drawn_larger_in_units_under_the_overview(monkeypatch: pytest.MonkeyPatch) -> None:
    """One of each small kind, in a frame of its own unit; that one is what the number of its kind points to."""
    with Studio(sample_models(), replace(SMALL, formats=("png",))) as studio:
        larger = render_overview_with(studio)
        monkeypatch.setattr(overview, "small_units", lambda *_: ())
        plain = render_overview_with(studio)
    models, size = sample_models(), larger.manifest.width
    kinds: dict[str, list[str]] = {}
    for key, model in models.parts.items():
        kinds.setdefault(model.kind, []).append(key)
    grown = 0
    with Image.open(io.BytesIO(larger.content["png"])) as image:
        pixels = np.asarray(image.convert("RGB")).astype(int)
    assert pixels.shape[:2] == (larger.manifest.height, size)
    for kind, keys in kinds.items():
        before = max(_greatest(plain.manifest.parts[k], plain.manifest) for k in keys)
        after = max(_greatest(larger.manifest.parts[k], larger.manifest) for k in keys)
        if before >= SMALL_SHARE:
            assert after == pytest.approx(before, abs=0.004), kind
            continue
        grown += 1
        assert after > 1.5 * before, kind
        assert after > 0.03, f"{kind}: 10 px on a telephone 360 px wide"
        best = larger.manifest.parts[best_seen(larger.manifest, keys) or ""]
        assert _greatest(best, larger.manifest) == after
        assert best.anchor is not None
        x, y = int(best.anchor[0] * size), int(best.anchor[1] * larger.manifest.height)
        assert y > plain.manifest.height, "in the frames, under the overview"
        assert (pixels[y, x] < 245).any(), "on the part, not on paper"
    assert grown >= 3


def _greatest(part: PartSeen, manifest: Manifest) -> float:
    """Return the greater side of what is seen of a part, as a share of the picture's width."""
    assert part.box is not None
    left, top, right, foot = part.box
    return max(right - left, (foot - top) * manifest.height / manifest.width)


def test_units_are_split_where_the_widest_gap_is_and_large_kinds_are_left_out() -> None:
    models = sample_models()
    sizes = {k: 0.02 if m.kind in ("oring", "seat", "key", "nut", "cover_nut", "cover_oring") else 0.3
             for k, m in models.parts.items()}  # fmt: skip
    units = small_units(models, sizes)
    assert [models.parts[k].kind for unit in units for k in unit] == list(
        dict.fromkeys(m.kind for m in models if sizes[m.key] < 0.1)
    )
    one_large = {**sizes, "seat_driven": 0.2}
    assert not any(models.parts[k].kind == "seat" for unit in small_units(models, one_large) for k in unit)
    assert small_units(models, dict.fromkeys(sizes, 0.3)) == ()


def test_overview_keeps_the_order_along_each_axis(plan: Plan) -> None:
    with Studio(sample_models(), SMALL) as studio:
        layout = explode(studio.stage, 1.5, plan.given)
    order = [layer.keys[0] for layer in layout.layers]
    assert order[0] == "housing"
    wanted = ["oring_drive", "seat_drive", "body", "rotor_drive", "nut_drive", "cover", "cover_nut_1"]
    assert [k for k in order if k in wanted] == wanted
    for begin, end in layout.rows:
        shifts = [layout.shifts[n][2] for n in range(begin, end)]
        assert shifts == sorted(shifts)


def test_axis_lines_are_dashed_and_stay_on_their_axes(plan: Plan, monkeypatch: pytest.MonkeyPatch) -> None:
    """What the lines change of the same picture without them."""
    pixels = []
    with Studio(sample_models(), replace(SMALL, formats=("png",))) as studio:
        layout = explode(studio.stage, SMALL.overview_width / SMALL.overview_height, plan.given)
        for axes in (layout.axes, ()):
            bare = replace(layout, axes=axes)
            monkeypatch.setattr(overview, "explode", lambda *_, bare=bare: bare)
            monkeypatch.setattr(overview, "small_units", lambda *_: ())
            picture = render_overview_with(studio, together=plan.given)
            with Image.open(io.BytesIO(picture.content["png"])) as image:
                pixels.append(np.asarray(image.convert("RGB")).astype(int))
    drawn = (pixels[0] != pixels[1]).any(axis=2)
    height, width = drawn.shape
    left = drawn.copy()
    dashed = 0
    for line in layout.axes:
        (x0, y0, _), (x1, y1, _) = layout.camera.project(line).tolist()
        t = np.linspace(0.0, 1.0, 2000)
        x, y = ((x0 + (x1 - x0) * t) * width).astype(int), ((y0 + (y1 - y0) * t) * height).astype(int)
        on = np.zeros(len(t), dtype=bool)
        for dx in range(-2, 3):
            for dy in range(-2, 3):
                at = np.clip(y + dy, 0, height - 1), np.clip(x + dx, 0, width - 1)
                on |= drawn[at]
                left[at] = False
        assert on.any(), "part of each line is in the open"
        dashed += int(not on.all())
    assert not left.any(), "nothing else is changed"
    assert dashed > len(layout.axes) / 2


def test_the_overview_is_kept_in_the_cache(
    plan: Plan, tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch
) -> None:
    cache = Store(tmp_path_factory.mktemp("cache"))
    with Studio(sample_models(), SMALL, cache=cache) as studio:
        first = render_overview_with(studio, together=plan.given)
        monkeypatch.setattr("benchleaf.render.pictures.overview.explode", lambda *_: pytest.fail("kept"))
        again = render_overview_with(studio, together=plan.given)
        with pytest.raises(pytest.fail.Exception):
            render_overview_with(studio, together=plan.given[:1])
    assert again.content == first.content


def test_parts_of_a_unit_far_from_its_axis_are_brought_near_and_stay_on_one_axis() -> None:
    models = sample_models()
    keys = ("nut_drive", "oring_drive", "cover_nut_1", "cover_nut_2")
    some = some_of(models, (models.parts[k] for k in keys))
    middle = {k: np.mean(some.parts[k].box(), axis=0) for k in keys}
    largest = max(keys, key=lambda k: some.parts[k].mesh.volume_mm3)
    for key in keys:
        apart = np.linalg.norm((middle[key] - middle[largest])[:2])
        across = np.ptp(some.parts[largest].box(), axis=0)[:2]
        assert apart <= CLEAR_OF_LARGEST * np.linalg.norm(across) / 2 + 1e-6, key
        assert middle[key][2] == pytest.approx(np.mean(models.parts[key].box(), axis=0)[2]), "order is kept"
    assert np.allclose(middle["oring_drive"][:2], middle["nut_drive"][:2], atol=0.02)
