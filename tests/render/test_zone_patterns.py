"""Zones painted in a drawing: where the surface is, in its own colours, as much as is in sight of it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from acts_samples import SMALL, act_assembly, on, step_with
from benchleaf.geometry.surfaces import Surface
from benchleaf.render.acts.zone_patterns import PATTERNS, unrolled, widened
from benchleaf.render.drawing.zone_colours import TINTS, ground_of, ink_of
from benchleaf.render.engine.camera import make_view
from benchleaf.render.pictures.step_pictures import render_step
from benchleaf.render.pictures.studio import Studio
from PIL import Image

pytestmark = pytest.mark.gl
FRONT = make_view("front", 20.0, 20.0, (0.0, 0.0, 1.0), (0.0, 1.0, 0.0))


def image(studio: Studio, *operations: object) -> tuple[np.ndarray, object]:
    step = step_with(*operations)  # type: ignore[arg-type]
    picture = render_step(studio, step, FRONT, "x")
    content = picture.files()["x.png"]
    import io

    return np.asarray(Image.open(io.BytesIO(content)).convert("RGB")).astype(int), picture.manifest


def test_as_many_pixels_are_painted_as_the_manifest_says() -> None:
    with Studio(act_assembly(), replace(SMALL, formats=("png",), contact_shading=False)) as studio:
        bare, _ = image(studio)
        drawn, manifest = image(studio, on("lubricate", "plate", "seat"))
        (zone,) = manifest.zones  # type: ignore[attr-defined]
        changed = (np.abs(drawn - bare).sum(axis=2) > 24).sum()
        assert zone.seen_px == pytest.approx(changed, rel=0.12)  # lines on its border stay as they are
        green = drawn[np.abs(drawn - bare).sum(axis=2) > 24]
        assert (green[:, 1] > green[:, 0]).mean() > 0.95
        hidden, manifest = image(studio, on("lubricate", "plate", "rear face"))
        (zone,), (inset,) = manifest.zones, manifest.insets  # type: ignore[attr-defined]
        assert zone.anchor is None, "out of sight in the picture, so it is shown from behind"
        assert inset.view
        ys, xs = np.mgrid[0 : SMALL.height, 0 : SMALL.width] + 0.5
        close = np.hypot(xs / SMALL.width - inset.centre[0], (ys / SMALL.height - inset.centre[1]) * 0.75)
        green = (hidden[:, :, 1] > hidden[:, :, 0] + 8) & (hidden[:, :, 1] > hidden[:, :, 2] - 24)
        assert green[close < inset.radius].sum() == pytest.approx(zone.seen_px, rel=0.4)
        assert green[close > inset.radius * 1.02].sum() == 0


def test_patterns_differ_and_cover_a_part_of_the_surface() -> None:
    u, v = (a.ravel() for a in np.meshgrid(np.linspace(0, 12, 240), np.linspace(0, 12, 240)))
    lines = {t: PATTERNS[t](u, v) for t in PATTERNS}
    for treatment, on_line in lines.items():
        assert 0.1 < on_line.mean() < 0.6, treatment
        for other, theirs in lines.items():
            assert treatment == other or (on_line != theirs).mean() > 0.2, (treatment, other)


def contrast(a: tuple[float, float, float], b: tuple[float, float, float]) -> float:
    def luminance(c: tuple[float, float, float]) -> float:
        r, g, b = (x / 12.92 if x <= 0.04045 else ((x + 0.055) / 1.055) ** 2.4 for x in c)
        return 0.2126 * r + 0.7152 * g + 0.0722 * b

    high, low = sorted((luminance(a), luminance(b)), reverse=True)
    return (high + 0.05) / (low + 0.05)


@pytest.mark.parametrize("treatment", list(TINTS))
def test_a_pattern_is_told_from_its_ground_without_its_tint(treatment: str) -> None:
    assert contrast(ground_of(treatment), ink_of(treatment)) >= 3.0  # type: ignore[arg-type]


def test_a_round_surface_is_unrolled_along_its_girth() -> None:
    angle = np.linspace(-3.0, 3.0, 100)
    bore = Surface("bore", "bore", (0.0, 0.0, 0.0), radius_mm=(9.0, 11.0), along_mm=(-20.0, 0.0))
    u, _, narrow = unrolled(10 * np.cos(angle), 10 * np.sin(angle), np.linspace(-20, 0, 100), bore)
    assert np.ptp(u) == pytest.approx(60.0)
    assert narrow == pytest.approx(20.0)
    assert widened(bore, 0.1).radius_mm == pytest.approx((8.9, 11.1))
