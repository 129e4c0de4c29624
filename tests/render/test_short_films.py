"""Short films by what they show: the parts go along their drawn travel, from the step's picture to their place."""

from __future__ import annotations

import io
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from benchleaf.geometry.frame import Floats, Place, Vec3
from benchleaf.render.composition.drawn_travel import SHOWN_TURN_DEG, DrawnTravel
from benchleaf.render.drawing.compose import finish
from benchleaf.render.drawing.film_files import FILM_ENDING, MOST_BYTES, encode_film, without_clock
from benchleaf.render.drawing.manifest import CameraSeen, FilmSeen, Manifest
from benchleaf.render.drawing.measure import Mask
from benchleaf.render.drawing.still_files import STILL_ENDING
from benchleaf.render.engine.camera import Camera, View, sensible_views
from benchleaf.render.engine.stage import Shown
from benchleaf.render.pictures.short_films import film_poses
from benchleaf.render.pictures.step_pictures import Picture, Studio, render_plan, render_step
from benchleaf.sequences.steps.plan import Leg, Move, Step
from PIL import Image, ImageFilter, ImageSequence
from sample_assembly import SMALL, sample_models, sample_plan

PLAIN = replace(SMALL, contact_shading=False)
VIEW = sensible_views((0.0, 0.0, 1.0), (0.0, 1.0, 0.0))[0]
UP = (Leg((0.0, 0.0, 1.0)),)


def _step(name: str) -> Step:
    return next(s for s in sample_plan().steps if s.id == name)


def _steps() -> dict[str, Step]:
    cover = _step("cover")
    off = replace(
        cover, id="cover_off", present=(*cover.present, "cover"), moves=(Move(("cover",), UP, False),)
    )
    turn = replace(_step("cover_oring"), id="turn", moves=(), focus=("rotor_drive",), shaft_turn_deg=360.0)
    closed = replace(_step("check"), id="closed", shaft_turn_deg=360.0)
    steps = [*map(_step, ("seat", "body", "key", "rotor", "nut", "cover", "check")), off, turn, closed]
    return {s.id: s for s in steps}


STEPS = _steps()
MOVING = ["seat", "body", "key", "rotor", "nut", "cover", "cover_off"]


@dataclass(frozen=True)
class Seen:
    """A step's picture and the frames of its film."""

    picture: Picture
    still: Image.Image
    frames: list[Image.Image]
    film: FilmSeen


@pytest.fixture(scope="module", name="studio")
def _studio() -> Iterator[Studio]:
    with Studio(sample_models(), PLAIN) as studio:
        yield studio


@pytest.fixture(scope="module", name="seen")
def _seen(studio: Studio) -> dict[str, Seen]:
    found = {}
    for name in (*MOVING, "turn"):
        picture = render_step(studio, STEPS[name], VIEW, name)
        assert picture.manifest.film is not None, name
        with Image.open(io.BytesIO(picture.content["film"])) as film:
            frames = [f.convert("RGB") for f in ImageSequence.Iterator(film)]
        still = Image.open(io.BytesIO(picture.content[STILL_ENDING])).convert("RGB")
        found[name] = Seen(picture, still, frames, picture.manifest.film)
    return found


def _camera(c: CameraSeen, aspect: float = 4 / 3) -> Camera:
    return Camera(View(c.view, c.direction, c.up), c.centre, c.height_mm, aspect)


def _apart(a: Image.Image, b: Image.Image) -> Floats:
    """Return how far two pictures are apart in each pixel, 0 to 255, what a hair's shift does smoothed away."""
    soft = [np.asarray(i.filter(ImageFilter.BoxBlur(1.0)), dtype=float) for i in (a, b)]
    apart: Floats = np.abs(soft[0] - soft[1]).max(axis=2)
    return apart


def _blue(image: Image.Image) -> Mask:
    """Return where the strong colour fills an area, (h, w) bool; arrows and outlines are too thin to count."""
    pixels = np.asarray(image).astype(int)
    mask = (pixels[:, :, 2] - pixels[:, :, 0] > 60).astype(np.uint8) * 255
    return np.asarray(Image.fromarray(mask).filter(ImageFilter.MinFilter(5))) > 0


def _middle(mask: Mask) -> Floats:
    rows, columns = np.nonzero(mask)
    return np.array([columns.mean(), rows.mean()])


def test_a_film_has_its_frames_its_size_and_rests_at_the_end(seen: dict[str, Seen], tmp_path: Path) -> None:
    for name, s in seen.items():
        frames = PLAIN.film_frames * 3 // 2 if name == "turn" else PLAIN.film_frames
        assert len(s.frames) == frames == len(s.film.durations_ms) == len(s.film.boxes), name
        assert 8 <= frames <= 12
        assert {f.size for f in s.frames} == {(s.film.width, s.film.height)} == {PLAIN.film_size}
        with Image.open(io.BytesIO(s.picture.content["film"])) as film:
            assert _begins_anew(s.picture.content["film"])
            told = []
            for n in range(film.n_frames):  # type: ignore[attr-defined]
                film.seek(n)
                film.load()
                told.append(film.info["duration"])
        assert tuple(told) == s.film.durations_ms
        assert s.film.durations_ms[-1] == max(s.film.durations_ms) > 5 * s.film.durations_ms[1]
        s.picture.write(tmp_path)
        assert (tmp_path / s.film.file).read_bytes() == s.picture.content["film"]
        assert (
            Manifest.from_json((tmp_path / f"{name}.json").read_text()).film
            == Manifest.from_json(s.picture.manifest.as_json()).film
        )


def _begins_anew(content: bytes) -> bool:
    """Return whether an animation is repeated without end: of AVIF its edit list says so, of WebP its ANIM chunk."""
    if FILM_ENDING == "webp":
        at = content.index(b"ANIM")
        return content[at + 12 : at + 14] == b"\0\0"
    at = content.index(b"elst")
    return bool(content[at + 7] & 1)


@pytest.mark.parametrize("name", ["body", "cover", "cover_off"])
def test_what_moves_goes_along_its_drawn_travel_without_turning_back(
    seen: dict[str, Seen], name: str
) -> None:
    s = seen[name]
    moved = s.picture.manifest.parts[name.removesuffix("_off")].moved_mm
    assert moved is not None
    ends = _camera(s.film.camera).project(np.array([moved, (0.0, 0.0, 0.0)]))[:, :2]
    way = (ends[1] - ends[0]) * s.frames[0].size * (-1 if name == "cover_off" else 1)
    length = float(np.linalg.norm(way))
    along, right = way / length, np.array([way[1], -way[0]]) / length
    assert length > 20
    at = [_middle(_blue(f)) - _middle(_blue(s.frames[0])) for f in s.frames]
    done = [float(a @ along) for a in at]
    assert all(b > a - 0.3 for a, b in pairwise(done)), done
    assert done[-1] == pytest.approx(length, abs=0.06 * length + 1.5)
    assert max(abs(float(a @ right)) for a in at) < 0.06 * length + 1.5
    assert 0.2 * length < done[len(done) // 2] < 0.8 * length, "it is on its way in the middle of the film"


@pytest.mark.parametrize("name", MOVING)
def test_drawn_out_it_is_the_picture_of_the_step(seen: dict[str, Seen], name: str) -> None:
    s = seen[name]
    frame = s.frames[-1 if name == "cover_off" else 0]
    whole, part = _camera(s.picture.manifest.camera), _camera(s.film.camera)
    middle = whole.project(np.array(part.centre))[0, :2]
    half = part.height_mm / whole.height_mm / 2
    box = [m + d * half for d in (-1, 1) for m in middle]
    assert min(box) > -1e-6
    assert max(box) < 1 + 1e-6, "a film shows nothing that the picture does not"
    size = np.array(s.still.size)
    crop = s.still.resize(frame.size, Image.Resampling.LANCZOS, box=(*(box[:2] * size), *(box[2:] * size)))
    apart = _apart(frame, crop)
    height, width = apart.shape
    ys, xs = np.mgrid[0:height, 0:width]
    x = box[0] + (xs + 0.5) / width * 2 * half
    y = box[1] + (ys + 0.5) / height * 2 * half
    free = np.ones(apart.shape, dtype=bool)
    for i in s.picture.manifest.insets:  # with its ties to what it is of
        for centre, radius in ((i.centre, i.radius), (i.of_centre, i.of_radius)):
            free &= np.hypot(x - centre[0], (y - centre[1]) * 0.75) > radius * 1.1
        run, off = np.subtract(i.of_centre, i.centre) * (1, 0.75), (x - i.centre[0], (y - i.centre[1]) * 0.75)
        t = np.clip((off[0] * run[0] + off[1] * run[1]) / (run @ run), 0.0, 1.0)
        free &= np.hypot(off[0] - t * run[0], off[1] - t * run[1]) > i.radius + t * (i.of_radius - i.radius)
    assert free.mean() > 0.2
    assert (apart[free] > 60).mean() < 0.02
    assert apart[free].mean() < 4.0


@pytest.mark.parametrize("name", MOVING)
def test_home_it_is_as_a_picture_of_the_head_with_the_parts_in_place(
    studio: Studio, seen: dict[str, Seen], name: str
) -> None:
    """Compared with a drawing of everything at once, by other code than lays films together."""
    s, scene = seen[name], studio.scene(STEPS[name])
    places = {**scene.places, **{k: p for t in scene.travels for k, p in t.seats.items()}}
    shown = {k: Shown(p, "moving" if k in scene.keys else "context") for k, p in places.items()}
    pixels = studio.stage.draw(shown, _camera(s.film.camera), PLAIN.film_size, PLAIN.film_size[0])
    apart = _apart(s.frames[0 if name == "cover_off" else -1], finish(pixels, PLAIN.supersample, None))
    assert (apart > 60).mean() < 0.005
    assert apart.mean() < 3.0  # what the encoder leaves of edges in a film this small
    wrong = _apart(s.frames[-1 if name == "cover_off" else 0], finish(pixels, PLAIN.supersample, None))
    assert (wrong > 60).mean() > 3 * (apart > 60).mean(), "and the other end is not"


def test_shafts_turned_by_hand_turn_in_the_film_and_end_as_they_began(seen: dict[str, Seen]) -> None:
    s = seen["turn"]
    quarter = len(s.frames) // 4
    assert (_apart(s.frames[0], s.frames[quarter]) > 60).mean() > 0.005
    assert (_apart(s.frames[0], s.frames[-1]) > 60).mean() < 0.001


@pytest.mark.parametrize("name", ["check", "closed"])
def test_no_film_where_nothing_is_seen_to_move(studio: Studio, name: str) -> None:
    shut = replace(STEPS[name], present=tuple(k for k in STEPS[name].present if "stud" not in k))
    picture = render_step(studio, shut, VIEW, name)
    assert picture.manifest.film is None
    assert "film" not in picture.content
    assert Manifest.from_json(picture.manifest.as_json()).film is None


def test_the_same_film_again_and_in_other_processes(seen: dict[str, Seen], tmp_path: Path) -> None:
    plan = sample_plan()
    some = replace(plan, steps=(STEPS["cover"], STEPS["turn"]))
    here = render_plan(sample_models(), some, tmp_path / "a", PLAIN)
    apart = render_plan(sample_models(), some, tmp_path / "b", PLAIN, workers=2)
    assert [p.content for p in here] == [p.content for p in apart]
    assert all("film" in p.content for p in here)
    kept = {p.name: p.read_bytes() for p in (tmp_path / "a").iterdir()}
    assert kept == {p.name: p.read_bytes() for p in (tmp_path / "b").iterdir()}


def test_films_may_be_left_out() -> None:
    with Studio(sample_models(), replace(PLAIN, film_frames=0)) as studio:
        picture = render_step(studio, STEPS["cover"], VIEW, "cover")
    assert picture.manifest.film is None
    assert set(picture.content) == {STILL_ENDING}


def _travel(turn_deg: float, into: bool = True) -> DrawnTravel:
    legs: tuple[Leg, ...] = (Leg((0.0, 0.0, -1.0), 30.0), Leg((0.0, 0.0, -1.0), 6.0, turn_deg))
    path: tuple[Vec3, ...] = ((0.0, 0.0, 36.0), (0.0, 0.0, 6.0), (0.0, 0.0, 0.0))
    if not into:
        legs = tuple(Leg((0.0, 0.0, 1.0), g.distance_mm, -g.turn_deg) for g in reversed(legs))
        path = tuple(reversed(path))
    seat = Place.at(5.0, 0.0, 10.0)
    return DrawnTravel(Move(("cover",), legs, into), {}, {"cover": seat}, path, turn_deg)


@pytest.mark.parametrize("into", [True, False])
@pytest.mark.parametrize("turn_deg", [-90.0, -1800.0])
def test_a_part_turns_on_the_leg_that_turns_and_ends_in_its_seat(into: bool, turn_deg: float) -> None:
    travel = _travel(turn_deg, into)
    shares = np.linspace(0.0, 1.0, 41)
    places = [
        travel.place_after("cover", float(s), SHOWN_TURN_DEG) for s in (shares if into else shares[::-1])
    ]
    heights = [p.shift[2] - 10.0 for p in places]
    assert heights[0] == pytest.approx(36.0)
    assert all(b <= a + 1e-9 for a, b in pairwise(heights))
    shown = abs(turn_deg) if abs(turn_deg) < 360 else SHOWN_TURN_DEG
    angles = np.unwrap([np.arctan2(p.rotation[1][0], p.rotation[0][0]) for p in places])
    angles = np.degrees(angles - angles[-1])
    for height, angle in zip(heights, angles, strict=True):
        # Clockwise on the last leg, as a right-hand thread goes in; not at all before it.
        assert angle == pytest.approx(shown * min(max(height, 0.0) / 6.0, 1.0), abs=1e-6)
    assert places[-1] == travel.seats["cover"]
    turning = sum(h < 6.0 - 1e-9 for h in heights)
    assert turning >= 0.3 * len(heights), "short as it is, the turn is seen"


def test_moves_follow_one_another_and_equal_parts_go_together(studio: Studio) -> None:
    one, other = (STEPS[n].moves[0] for n in ("rotor", "nut"))
    scene = studio.scene(replace(STEPS["rotor"], moves=(one, other)))
    poses = film_poses(studio.models, scene.travels, 9)
    left = [[abs(p[k].shift[2] - poses[-1][k].shift[2]) for p in poses] for k in ("rotor_drive", "nut_drive")]
    assert all(r < 1e-9 or n == left[1][0] for r, n in zip(*left, strict=True)), "the nut waits for the rotor"
    both = studio.scene(
        replace(
            STEPS["seat"], moves=tuple(Move((k,), STEPS["seat"].moves[0].legs) for k in STEPS["seat"].moving)
        )
    )
    for pose in film_poses(studio.models, both.travels, 9):
        assert pose["seat_drive"].shift[2] == pytest.approx(pose["seat_driven"].shift[2])


@pytest.mark.skipif(FILM_ENDING != "avif", reason="films are WebP here")
def test_equal_films_are_equal_bytes_whenever_they_are_made() -> None:
    frames = [Image.new("RGB", (64, 48), (n, 90, 90)) for n in (0, 90, 180)]
    out = io.BytesIO()
    frames[0].save(out, "AVIF", save_all=True, append_images=frames[1:], duration=100)
    made = out.getvalue()
    at = made.index(b"mvhd") + 8
    assert made[at : at + 4] + made[at + 4 : at + 8] != bytes(8), "the encoder writes the clock"
    later = made.replace(made[at : at + 8], b"\0\0\0\0\x7f\0\0\0")
    assert later != made
    assert without_clock(later) == without_clock(made)
    with Image.open(io.BytesIO(without_clock(made))) as film:
        assert film.n_frames == 3  # type: ignore[attr-defined]


def test_a_film_of_much_motion_is_kept_small_by_its_quality() -> None:
    rng = np.random.default_rng(1)
    noisy = [
        Image.fromarray(rng.integers(0, 255, (90, 120, 3), dtype=np.uint8)).resize((640, 480))
        for _ in range(3)
    ]
    calm = [Image.new("RGB", (640, 480), (n, 90, 90)) for n in (0, 90, 180)]
    assert len(encode_film(calm, (100, 100, 100))) < MOST_BYTES
    coarse = encode_film(noisy, (100, 100, 100))
    out = io.BytesIO()
    noisy[0].save(out, "WEBP", quality=60, method=2)
    assert len(coarse) < 3 * len(out.getvalue())
