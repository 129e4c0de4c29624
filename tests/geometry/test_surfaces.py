"""Named surfaces of parts: each holds skin of its part that faces as its kind does, and is of the size it says."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
from benchleaf.geometry.assembly import Part
from benchleaf.geometry.dimensions.options import Options
from benchleaf.geometry.dimensions.size import example_measures, make_size
from benchleaf.geometry.dimensions.surface_names import surface_names
from benchleaf.geometry.frame import Floats
from benchleaf.geometry.head.head import Head, make_head
from benchleaf.geometry.meshes.tessellation import closed_surface
from benchleaf.geometry.surfaces import Surface
from numpy.typing import NDArray

HEADS: dict[str, tuple[float, Options]] = {
    "two wings": (80.0, Options()),
    "two lobes, double seal, relief, wing nuts": (
        55.0,
        Options(rotor="two-lobe", seal="double", cover="relief", cover_nuts="wing", cleaning_in_place=True),
    ),
    "three lobes, jacketed": (220.0, Options(rotor="three-lobe", cover="jacketed", ports="sideways")),
}
TOLERANCE_MM = 0.05
"""Of the meshes; drawn ones are no coarser."""
SPOTS = 48
"""Points spread over each triangle."""
FIT_MM = 0.45
"""Most that a hole, a bore or a thread is larger than the size that it is called by: clearances of fits and threads."""


@cache
def head_of(name: str) -> Head:
    centre, options = HEADS[name]
    return make_head("T-1", make_size("t", example_measures(centre, options.rotor)), options)


class Skin:
    """Points spread over a part's skin, (n, 3) mm in its own frame, with normals and the area that each stands for."""

    def __init__(self, part: Part) -> None:
        points, triangles = closed_surface(part.solid, TOLERANCE_MM, 20.0)
        corners = points[triangles]
        cross = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
        length = np.linalg.norm(cross, axis=1)
        corners, cross, length = corners[length > 1e-9], cross[length > 1e-9], length[length > 1e-9]
        shares = np.random.default_rng(7).dirichlet((1.0, 1.0, 1.0), size=SPOTS)
        self.points: Floats = np.einsum("kc,tcd->tkd", shares, corners).reshape(-1, 3)
        self.normals: Floats = np.repeat(cross / length[:, None], SPOTS, axis=0)
        self.areas: Floats = np.repeat(length / 2 / SPOTS, SPOTS)


@cache
def skins(name: str) -> dict[int, Skin]:
    return {id(p.solid): Skin(p) for p in head_of(name)}


class Held:
    """What of a skin belongs to a surface, as seen along its axis."""

    def __init__(self, skin: Skin, surface: Surface) -> None:
        held = surface.holds(skin.points)
        along, across = np.array(surface.direction), np.array(surface.across)
        away = skin.points[held] - np.array(surface.origin)
        self.area = float(skin.areas[held].sum())
        self.weights = skin.areas[held] / max(self.area, 1e-12)
        self.height: Floats = away @ along
        flat = away - self.height[:, None] * along
        if surface.drawn_mm:
            flat = flat - np.clip(flat @ across, -surface.drawn_mm, surface.drawn_mm)[:, None] * across
        self.radius: Floats = np.linalg.norm(flat, axis=1)
        self.side: Floats = flat @ np.cross(along, across)
        normals = skin.normals[held]
        self.along: Floats = normals @ along
        self.outward: Floats = np.einsum("nd,nd->n", normals, flat) / np.maximum(self.radius, 1e-9)

    def mean(self, values: Floats) -> float:
        return float(values @ self.weights)

    def share(self, which: NDArray[np.bool_]) -> float:
        return float(self.weights[which].sum())


def extent(values: Floats) -> float:
    return float(values.max() - values.min())


FACING_ALONG = ("face", "shoulder")
FACING_OUT = ("journal", "pin", "hexagon")
FACING_IN = ("bore",)
UNEVEN = ("hollow side", "crown side")
"""Faces that are cones."""


@pytest.mark.parametrize("name", HEADS)
def test_every_part_names_its_surfaces_each_once(name: str) -> None:
    for part in head_of(name):
        names = [s.name for s in part.surfaces]
        assert names, part.key
        assert len(names) == len(set(names)), part.key
        assert all(part.surface(n).name == n for n in names)
        with pytest.raises(KeyError):
            part.surface("no such face")


@pytest.mark.parametrize("name", HEADS)
def test_the_list_of_names_and_the_head_agree(name: str) -> None:
    head = head_of(name)
    listed = surface_names(head.options, {p.key: p.kind for p in head})
    assert {k: sorted(n) for k, n in listed.items()} == {
        p.key: sorted(s.name for s in p.surfaces) for p in head
    }


@pytest.mark.parametrize("name", HEADS)
def test_every_surface_holds_skin_that_faces_as_its_kind_does(name: str) -> None:
    for part in head_of(name):
        skin = skins(name)[id(part.solid)]
        for surface in part.surfaces:
            held, told = Held(skin, surface), (part.key, surface.name)
            assert held.area > 0, told
            if surface.kind in FACING_ALONG:
                assert held.mean(held.along) > (0.9 if surface.name in UNEVEN else 0.95), told
            elif surface.kind in FACING_OUT and surface.name != "tip":  # of lobes, no circle
                assert held.mean(held.outward) > 0.9, told
            elif surface.kind in FACING_IN:
                assert held.mean(held.outward) < -0.85, told
            elif surface.kind in ("hole", "socket", "pocket"):
                assert held.share(held.outward < 0.01) > 0.95, told
                assert held.share(held.along < -0.99) < 0.02, told


def measured(held: Held, surface: Surface) -> list[float]:
    """Return figures off the skin of which one is the size that the surface is called by, mm."""
    if surface.kind in ("hexagon", "flats"):
        return [2 * float(held.radius.min())]
    if surface.kind == "socket":
        walls = held.radius[np.abs(held.along) < 0.01]
        return [2 * float(walls.min())]
    if surface.kind == "groove":
        return [extent(held.height), extent(held.radius)]
    if surface.kind in ("keyway", "notch"):
        return [extent(held.side)] if surface.kind == "keyway" else [2 * _half_width(held)]
    if surface.kind == "hole":
        # The walls of a hole: where most of what is turned towards the axis lies.
        return [2 * float(np.median(held.radius[held.outward < -0.9]))]
    if surface.kind == "end" and surface.size_mm * 0.6 < 2 * held.radius.max() <= surface.size_mm:
        return [surface.size_mm]  # of the rod whose bevelled end it is
    if surface.kind in ("face", "shoulder", "edge", "end", "pocket"):
        return [2 * float(held.radius.max()), 2 * float(held.radius.min()), *_extents(held)]
    return [2 * float(held.radius.max()), *_extents(held)]


def _half_width(held: Held) -> float:
    """Return the radius of a notch's round floor: nothing of it lies nearer to its pin."""
    walls = np.abs(held.along) < 0.01
    return float(held.radius[walls].min())


def _extents(held: Held) -> list[float]:
    return [extent(held.height), extent(held.side)]


SIZE_OF_THE_WHOLE = {"key", "wave_spring", "atmosphere_wave_spring", "disc_spring", "relief_spring"}
"""Kinds whose faces and ends are called by a size of the whole part: a height, a width."""


@pytest.mark.parametrize("name", HEADS)
def test_a_surface_has_the_size_that_it_says(name: str) -> None:
    judged = set()
    for part in head_of(name):
        if part.kind in SIZE_OF_THE_WHOLE or part.kind.endswith("oring"):
            continue
        skin = skins(name)[id(part.solid)]
        for surface in part.surfaces:
            if surface.size_mm:
                found = measured(Held(skin, surface), surface)
                assert min(abs(f - surface.size_mm) for f in found) < FIT_MM + 0.01 * surface.size_mm, (
                    part.key, surface.name, found, surface.size_mm,
                )  # fmt: skip
                judged.add((part.kind, surface.kind))
    assert {k for _, k in judged} >= {
        "bore",
        "journal",
        "hole",
        "thread",
        "groove",
        "keyway",
        "socket",
        "flats",
    }


@pytest.mark.parametrize("name", HEADS)
def test_sizes_are_those_of_the_stack_up(name: str) -> None:
    """Features name the same figures for what meets: both come from the stack-up."""
    same = {
        "rotor": {"bore"},
        "rotor_nut": {"thread", "pocket"},
        "shaft": {"keyway", "thread"},
        "body": set(),
    }
    for part in head_of(name):
        for feature in part.features:
            if feature.name in same.get(part.kind, ()):
                assert part.surface(feature.name).size_mm == feature.size_mm, (part.key, feature.name)
    head = head_of(name)
    s, stack = head.size, head.stack
    assert head.part("rotor_nut_drive").surface("hexagon").size_mm == s.nut_across_flats_mm
    assert head.part("shaft_drive").surface("shaft seal diameter").size_mm == s.shaft_diameter_mm
    assert head.part("shaft_drive").surface("collar flats").size_mm == 2 * stack.flats_half
    assert head.part("body").surface("driven bore").size_mm == 2 * s.bore_radius_mm
    assert head.part("cover").surface("large dowel hole").size_mm == s.dowels_mm["large"]
    assert head.part("stud_1").surface("thread").size_mm == s.stud_thread.nominal_mm


def test_a_racetrack_is_as_far_from_its_line_all_round() -> None:
    track = Surface("groove", "groove", (0.0, 0.0, 0.0), radius_mm=(9.0, 11.0), drawn_mm=20.0)
    points = np.array(
        [[0.0, 10.0, 0.0], [20.0, -10.0, 0.0], [30.0, 0.0, 0.0], [25.0, 0.0, 0.0], [0.0, 0.0, 0.0]]
    )
    assert track.holds(points).tolist() == [True, True, True, False, False]


def test_a_sector_ends_at_its_angle() -> None:
    sector = Surface("keyway", "keyway", (0.0, 0.0, 0.0), across=(0.0, 1.0, 0.0), half_deg=30.0)
    points = np.array([[0.0, 5.0, 0.0], [2.8, 5.0, 0.0], [3.0, 5.0, 0.0], [0.0, -5.0, 0.0]])
    assert sector.holds(points).tolist() == [True, True, False, False]
    assert sector.off == (0.0, 1.0, 0.0)
