"""Sweeps are what a solid passes through: closed forms, brute force, thin fins, and nothing altered on the way."""

from __future__ import annotations

import math
from collections.abc import Callable

import benchleaf.geometry.meshes.sweeps as sweeps
import cadquery as cq
import manifold3d as m3
import numpy as np
import pytest
from benchleaf.geometry.frame import Floats, Place
from benchleaf.geometry.meshes.overlaps import TOLERANCE_MM, Body, OverlapError, meets, offset, overlap
from benchleaf.geometry.meshes.sweeps import first_contact, swept, turn_hull, turned_contact
from benchleaf.geometry.meshes.tessellation import make_mesh
from proof_samples import turned
from sample_solids import solid_of

Slide = tuple[float, float, float]


def body_of(shape: cq.Workplane | cq.Shape) -> Body:
    solid = solid_of(shape) if isinstance(shape, cq.Workplane) else shape
    return Body.of_mesh(make_mesh(solid, TOLERANCE_MM), "sample")


def bracket() -> cq.Workplane:
    """Return a shape with pockets towards every side, a round bore and a slanted face."""
    solid = cq.Workplane().box(20, 16, 12).cut(cq.Workplane().box(8, 8, 8).translate((0, 0, 4)))
    solid = solid.cut(cq.Workplane().box(30, 3, 3).translate((0, -4, -3)))
    solid = solid.cut(cq.Workplane("XZ").circle(2.2).extrude(30, both=True).translate((6, 0, 1)))
    return solid.faces(">X").edges(">Z").chamfer(3)


def grooved() -> cq.Shape:
    """Return a stud with rings of a thread cut in."""
    profile = [(0.0, 0.0), (5.0, 0.0)]
    for k in range(8):
        z = 2 + 1.6 * k
        profile += [(5.0, z), (4.2, z + 0.75), (5.0, z + 1.5)]
    return turned([*profile, (5.0, 20.0), (0.0, 20.0)])


SHAPES: dict[str, Callable[[], cq.Workplane | cq.Shape]] = {
    "box": lambda: cq.Workplane().box(4, 5, 6),
    "ball": lambda: cq.Workplane().sphere(4),
    "ring": lambda: cq.Solid.makeTorus(8, 2),
    "bracket": bracket,
    "bracket turned": lambda: bracket().rotate((0, 0, 0), (1, 2, 3), 37),
    "stud": grooved,
    "cup": lambda: cq.Workplane().circle(8).extrude(10).cut(cq.Workplane().circle(6).extrude(8)),
}
SLIDES: list[Slide] = [(0, 0, 30), (0, 0, -7), (25, 0, 0), (0, -3, 0), (5, 6, -9)]


@pytest.mark.parametrize("name", SHAPES)
@pytest.mark.parametrize("slide", SLIDES)
def test_sweep_is_taken_over_unaltered(name: str, slide: Slide) -> None:
    """Making the manifold raises where the library merged anything, so coming back is the proof; the box is right."""
    body = body_of(SHAPES[name]())
    low, high = body.points.min(axis=0), body.points.max(axis=0)
    box = swept(body, slide).bounding_box()
    assert box[:3] == pytest.approx(np.minimum(low, low + slide), abs=1e-4)
    assert box[3:] == pytest.approx(np.maximum(high, high + slide), abs=1e-4)


def test_a_sweep_that_folds_back_in_one_plane_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sweeps, "ENLARGEMENT", 0.0)
    with pytest.raises(OverlapError, match="the boolean library altered its surface"):
        swept(body_of(bracket()), (25.0, 0.0, 0.0))


@pytest.mark.parametrize("slide", SLIDES)
def test_sweep_of_a_convex_solid_has_the_volume_of_its_shadow_more(slide: Slide) -> None:
    way = swept(body_of(cq.Workplane().box(4, 5, 6)), slide)
    shadow = abs(slide[0]) * 30 + abs(slide[1]) * 24 + abs(slide[2]) * 20
    assert way.volume() == pytest.approx(120 + shadow, rel=1e-5)
    assert way.volume() == pytest.approx(m3.Manifold.batch_hull([way]).volume(), rel=1e-5)


def test_sweep_of_an_extrusion_is_a_longer_extrusion_of_the_kernel() -> None:
    short, long = (cq.Workplane().polygon(5, 12).circle(2).extrude(length) for length in (6, 20))
    way = swept(body_of(short), (0, 0, 14))
    assert way.volume() == pytest.approx(solid_of(long).Volume(), rel=3e-3)


@pytest.mark.parametrize("seed", range(12))
def test_sweep_agrees_with_trying_many_places(seed: int) -> None:
    """Random parts and slides: where any of 400 places overlaps, the sweep does; where it does, some place does."""
    chance = np.random.default_rng(seed)
    axis, angle = chance.normal(size=3), float(chance.uniform(0, 360))
    mover = body_of(bracket().rotate((0, 0, 0), tuple(axis), angle))
    post = body_of(cq.Workplane().box(*chance.uniform(2, 9, 3))).manifold
    post = post.rotate(tuple(chance.uniform(0, 360, 3))).translate(tuple(chance.uniform(-14, 14, 3)))
    slide = chance.normal(size=3)
    slide *= 30 / np.linalg.norm(slide)
    tried = [
        (mover.manifold.translate(tuple(slide * share)) ^ post).volume() for share in np.linspace(0, 1, 400)
    ]
    way = swept(mover, slide)
    if max(tried) > 1e-3:
        assert meets(way, post)
    elif meets(way, post):
        # Touched between two places tried, 0.075 mm apart: less deep than that.
        found = overlap(way, post)
        assert found is not None
        assert found.depth_mm < 0.1
    free, met = first_contact(mover, Place(), tuple(slide), [post], TOLERANCE_MM)
    first = next((k for k, v in enumerate(tried) if v > 1e-3), None)
    if first is None:
        assert not met or max(tried[min(399, math.ceil(free / 30 * 399))], 0.0) < 0.05
    elif first > 0:
        assert free == pytest.approx(30 * first / 399, abs=0.35)


@pytest.mark.parametrize("step_mm", [0.3, 1.0, 5.0])
def test_a_fin_thinner_than_any_step_is_not_jumped_over(step_mm: float) -> None:
    """A plate with a slot passes a post, but not the fin on it: places tried one step apart would not see it."""
    plate = body_of(cq.Workplane().box(20, 20, 0.04))
    fin = body_of(cq.Workplane().box(6, 6, 0.04)).manifold.translate((0, 0, 17.0 + step_mm / 2))
    places = np.arange(0.0, 40.0, step_mm)
    assert not any(meets(plate.manifold.translate((0, 0, float(z) + 17 % step_mm)), fin) for z in places)
    assert meets(swept(plate, (0, 0, 40)), fin)
    free, met = first_contact(plate, Place(), (0, 0, 40), [fin], TOLERANCE_MM)
    assert met == [0]
    assert free == pytest.approx(17.0 + step_mm / 2 - 0.04, abs=0.06)


def test_hollow_mover_carries_its_hollow_past_a_post() -> None:
    """The cup goes over the post as long as it comes rim first; pushed from the side it cannot."""
    cup = body_of(cq.Workplane().circle(8).extrude(10).cut(cq.Workplane().circle(6).extrude(8)))
    post = body_of(cq.Workplane().circle(5.9).extrude(7.9)).manifold
    assert not meets(swept(cup, (0, 0, 20)), post)
    assert meets(swept(cup, (20, 0, 0)), post)
    assert meets(swept(cup, (0, 0, -0.2)), post)


def test_first_contact_is_the_nearest_of_several() -> None:
    ball = body_of(cq.Workplane().sphere(3))
    walls = [body_of(cq.Workplane().box(30, 30, 1)).manifold.translate((0, 0, z)) for z in (20, 12, 40)]
    free, met = first_contact(ball, Place(), (0, 0, 60), walls, TOLERANCE_MM)
    # The ball's mesh lies up to a tolerance inside it, and a first touch a tolerance deep is none yet.
    assert met == [1]
    assert free == pytest.approx(12 - 0.5 - 3, abs=0.06)
    assert first_contact(ball, Place(), (0, 0, 7), walls, TOLERANCE_MM) == (7.0, [])


def test_first_contact_far_from_home_may_be_coarse() -> None:
    ball = body_of(cq.Workplane().sphere(3))
    wall = body_of(cq.Workplane().box(30, 30, 1)).manifold.translate((0, 0, 20))
    free, met = first_contact(ball, Place(), (0, 0, 60), [wall], TOLERANCE_MM, 0.05, (50.0, 1.0))
    assert met == [0]
    assert free == pytest.approx(16.5, abs=1.0)


def test_guesses_and_kept_sweeps_cost_no_truth() -> None:
    """A post that is driven through, a wall behind it, a film of contact along the way: guesses go wrong there."""
    pin = body_of(cq.Workplane().circle(3).extrude(10))
    sleeve = body_of(cq.Workplane().circle(8).circle(3).extrude(30)).manifold.translate((0, 0, 14))
    post = body_of(cq.Workplane().box(2, 2, 2)).manifold.translate((0, 0, 29))
    wall = body_of(cq.Workplane().box(30, 30, 1)).manifold.translate((0, 0, 40))
    kept: list[float] = []

    def sweep(body: Body, slide: Floats) -> m3.Manifold:
        kept.append(float(slide[2]))
        return swept(body, slide)

    for others, contact, expected in (([sleeve, post, wall], 18.0, [1]), ([sleeve, wall], 29.5, [1])):
        for likely in (0.0, contact, contact - 4, 55.0):
            free, met = first_contact(
                pin, Place(), (0, 0, 60), others, TOLERANCE_MM, likely_mm=likely, sweep=sweep
            )
            assert met == expected
            assert free == pytest.approx(contact, abs=0.06)
    assert kept == [60.0] * 8


@pytest.mark.parametrize(
    ("shape", "volume"),
    [
        (lambda: cq.Workplane().polygon(6, 20).circle(4).extrude(8), math.pi * (100 - 16) * 8),
        (lambda: cq.Workplane().box(4, 4, 4), math.pi * 8 * 4),
        (lambda: cq.Workplane().sphere(3).translate((10, 0, 0)), 2 * math.pi * 10 * math.pi * 9),
        (lambda: cq.Solid.makeTorus(10, 2), 2 * math.pi * 10 * math.pi * 4),
        # A slot 4 mm wide and 10 mm deep is turned away but for its middle.
        (
            lambda: cq.Workplane().circle(9).extrude(30).cut(cq.Workplane().box(4, 40, 20)),
            math.pi * (81 * 30 - 4 * 10),
        ),
    ],
)
def test_hull_of_a_whole_turn(shape: Callable[[], cq.Workplane], volume: float) -> None:
    body = body_of(shape())
    hull = turn_hull(body, (0, 0, 0), (0, 0, 1), TOLERANCE_MM)
    # A few tolerances all over the surface.
    assert hull.volume() == pytest.approx(volume, abs=2 * TOLERANCE_MM * hull.surface_area())
    # Nothing of the solid at any angle stands out of it.
    grown = offset(hull, 2 * TOLERANCE_MM)
    for angle in (0, 17, 90, 200):
        assert (body.manifold.rotate((0, 0, angle)) - grown).volume() == pytest.approx(0.0, abs=1e-6)


def test_hull_about_a_slanted_axis_elsewhere() -> None:
    ball = body_of(cq.Workplane().sphere(2).translate((5, 0, 0)))
    hull = turn_hull(ball, (5, 5, 5), (1, 1, 0), TOLERANCE_MM)
    # Distance of (5, 0, 0) from the line through (5, 5, 5) along (1, 1, 0).
    off = np.array([0.0, -5.0, -5.0])
    along = np.array([1.0, 1.0, 0.0]) / math.sqrt(2)
    radius = float(np.linalg.norm(off - (off @ along) * along))
    assert hull.volume() == pytest.approx(2 * math.pi * radius * math.pi * 4, rel=0.01)


def lug() -> Body:
    """Return a disc of radius 10 with a finger 2 mm wide that reaches to 20 along +X."""
    finger = cq.Workplane().box(20, 2, 4, centered=(False, True, False))
    return body_of(cq.Workplane().circle(10).extrude(4).union(finger))


@pytest.mark.parametrize(
    ("turn_deg", "meets_at"), [(30, None), (45, None), (80, 60.0), (-200, None), (-330, -300.0)]
)
def test_part_of_a_turn_ends_where_the_finger_meets_the_stop(turn_deg: float, meets_at: float | None) -> None:
    """The stop is a pin of radius 1 at 60 degrees and radius 15."""
    body = lug()
    hull = Body.of_manifold(turn_hull(body, (0, 0, 0), (0, 0, 1), TOLERANCE_MM))
    a = math.radians(60)
    stop = body_of(cq.Workplane().circle(1).extrude(6)).manifold.translate(
        (15 * math.cos(a), 15 * math.sin(a), -1)
    )
    found = turned_contact(body, hull, Place(), (0, 0, 0), turn_deg, (0, 0, 0), (0, 0, 1), stop, TOLERANCE_MM)
    if meets_at is None:
        assert found is None
        return
    assert found is not None
    # Finger side 1 mm off its middle, pin of radius 1: they touch 2 mm short, measured at radius 15.
    early = math.degrees(math.asin(2 / 15))
    assert abs(found[0] * turn_deg) == pytest.approx(abs(meets_at) - early, abs=0.3)


def test_finger_of_a_bayonet_turns_under_its_hook_and_catches_when_lifted() -> None:
    body = lug()
    hull = Body.of_manifold(turn_hull(body, (0, 0, 0), (0, 0, 1), TOLERANCE_MM))
    hook = body_of(cq.Workplane().box(4, 4, 2)).manifold.rotate((0, 0, 60)).translate((8, 13.9, 5.03))
    low = turned_contact(body, hull, Place(), (0, 0, 0), 80, (0, 0, 0), (0, 0, 1), hook, TOLERANCE_MM)
    high = turned_contact(
        body, hull, Place.at(0, 0, 0.1), (0, 0, 0), 80, (0, 0, 0.1), (0, 0, 1), hook, TOLERANCE_MM
    )
    assert low is None
    assert high is not None


def test_whole_turn_meets_whatever_its_hull_meets() -> None:
    body = lug()
    hull = Body.of_manifold(turn_hull(body, (0, 0, 0), (0, 0, 1), TOLERANCE_MM))
    pin = body_of(cq.Workplane().circle(1).extrude(6)).manifold.translate((0, -15, 8))
    over = turned_contact(body, hull, Place(), (0, 0, 12), 3600, (0, 0, 0), (0, 0, 1), pin, TOLERANCE_MM)
    below = turned_contact(body, hull, Place(), (0, 0, -12), 3600, (0, 0, 0), (0, 0, 1), pin, TOLERANCE_MM)
    assert over is not None
    # The pin begins at z = 8, the finger ends at z = 4: a third of the way.
    assert over[0] * 12 == pytest.approx(4.0, abs=0.06)
    assert below is None
