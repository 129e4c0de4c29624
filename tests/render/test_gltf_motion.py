"""Node animations of the steps: parts start where the picture draws them and end home; the rest is hidden."""

from __future__ import annotations

import json
import struct
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from benchleaf.geometry.dimensions.size import example_measures, make_size
from benchleaf.geometry.exchange.cad_export import write_glb
from benchleaf.geometry.frame import Floats, Place
from benchleaf.geometry.head.head import Head, make_head
from benchleaf.render.engine.part_models import PartModels
from benchleaf.render.pictures.gltf_motion import Y_UP, MotionError, animate, quaternion
from benchleaf.render.pictures.studio import Studio
from benchleaf.sequences.steps.plan import Leg, Move, Plan, Section, Step, with_shaft_angles
from gltf_validator import validate
from sample_assembly import sample_models
from scipy.spatial.transform import Rotation

GIVEN = ("gear_case", "shaft_drive", "shaft_driven")
NUT, ROTOR = "cover_nut_1", "rotor_driven"
UNIT = ("disc_spring_drive", "rotor_nut_drive")
TURNS = (0.0, 150.0, 0.0, -70.0, 0.0, 360.0, 0.0)
"""How far each step turns the drive shaft, degrees."""


def steps(head: Head) -> tuple[Step, ...]:
    down = (0.0, 0.0, -1.0)
    everything = tuple(k for k in head.parts if k != NUT)
    bare = tuple(k for k in everything if k != ROTOR)
    made = (
        Step(1, "seat", "s", "Seat", GIVEN, (Move(("rotating_ring_drive",), (Leg(down, 60.0),)),)),
        Step(2, "turn", "s", "Turn the shafts", GIVEN),
        Step(3, "nut", "s", "Nut", everything, (Move((NUT,), (Leg(down, 30.0), Leg(down, 9.0, -2160.0))),)),
        Step(4, "rotor", "s", "Fit and turn back", bare, (Move((ROTOR,), (Leg(down, 50.0),)),)),
        Step(5, "unit", "s", "Look at the unit", UNIT, bench="unit"),
        Step(6, "round", "s", "Turn once round", everything),
        Step(7, "look", "s", "Look", everything, focus=(ROTOR,)),
    )
    return with_shaft_angles(replace(s, shaft_turn_deg=t) for s, t in zip(made, TURNS, strict=True))


@pytest.fixture(scope="module")
def animated(tmp_path_factory: pytest.TempPathFactory) -> tuple[Head, bytes]:
    head = make_head("T-1", make_size("80", example_measures(80.0)))
    path = tmp_path_factory.mktemp("glb") / "head.glb"
    write_glb(head, path)
    plan = Plan("assembly", "Assembly", "T-1", (Section("s", "S"),), steps(head), GIVEN)
    with Studio(head) as studio:
        return head, animate(path.read_bytes(), plan, studio.models, studio.travels)


class Played:
    """One animation read back as a viewer would."""

    def __init__(self, glb: bytes, number: int) -> None:
        size = struct.unpack("<I", glb[12:16])[0]
        self.scene: dict[str, Any] = json.loads(glb[20 : 20 + size])
        self.data = glb[28 + size :]
        self.animation = self.scene["animations"][number]
        self.names = [n["name"] for n in self.scene["nodes"]]

    def values(self, number: int) -> Floats:
        accessor = self.scene["accessors"][number]
        view = self.scene["bufferViews"][accessor["bufferView"]]
        width = {"SCALAR": 1, "VEC3": 3, "VEC4": 4}[accessor["type"]]
        flat = np.frombuffer(self.data, "<f4", accessor["count"] * width, view["byteOffset"])
        return flat.reshape(-1, width).astype(float)

    def channel(self, key: str, path: str) -> tuple[Floats, Floats] | None:
        for c in self.animation["channels"]:
            if c["target"]["path"] == path and self.names[c["target"]["node"]] == key:
                sampler = self.animation["samplers"][c["sampler"]]
                return self.values(sampler["input"])[:, 0], self.values(sampler["output"])
        return None


def in_file(place: Place) -> Floats:
    shift: Floats = Y_UP @ np.array(place.shift) / 1000
    return shift


def test_valid(animated: tuple[Head, bytes]) -> None:
    issues = validate(animated[1])["issues"]
    assert (issues["numErrors"], issues["numWarnings"]) == (0, 0), issues["messages"][:5]


def test_a_slide_starts_out_and_ends_home(animated: tuple[Head, bytes]) -> None:
    head, glb = animated
    played = Played(glb, 0)
    assert played.animation["name"] == "1 Seat"
    found = played.channel("rotating_ring_drive", "translation")
    assert found is not None
    times, shifts = found
    assert (np.diff(times) > 0).all()
    home = head.part("rotating_ring_drive").place
    assert shifts[-1] == pytest.approx(in_file(home), abs=1e-6)
    assert shifts[0] == pytest.approx(in_file(home.moved(0, 0, 60)), abs=1e-6)
    assert played.channel("shaft_drive", "translation") is None


def test_only_what_is_there_shows(animated: tuple[Head, bytes]) -> None:
    head, glb = animated
    played = Played(glb, 0)
    for key in head.parts:
        found = played.channel(key, "scale")
        assert found is not None
        wanted = 1.0 if key in (*GIVEN, "rotating_ring_drive") else 0.0
        assert found[1].tolist() == [[wanted] * 3], key


def test_a_screw_turns_all_its_turns_the_right_way(animated: tuple[Head, bytes]) -> None:
    head, glb = animated
    found = Played(glb, 2).channel(NUT, "rotation")
    assert found is not None
    turns = found[1]
    assert np.linalg.norm(turns, axis=1) == pytest.approx(1.0, abs=1e-6)
    # Signed turn about the file's Y (the head's Z) between neighbours, as the short way that viewers take.
    steps_deg = []
    for a, b in pairwise(turns):
        conj = np.array([-a[0], -a[1], -a[2], a[3]])
        y = b[3] * conj[1] + b[1] * conj[3] + b[2] * conj[0] - b[0] * conj[2]
        w = b[3] * conj[3] - b[:3] @ conj[:3]
        steps_deg.append(np.degrees(2 * np.arctan2(y, w)))
    assert max(abs(s) for s in steps_deg) < 179
    assert sum(steps_deg) == pytest.approx(-2160.0, abs=0.1)
    assert turns[-1] == pytest.approx(quaternion(head.part(NUT).place), abs=1e-6) or turns[
        -1
    ] == pytest.approx(-quaternion(head.part(NUT).place), abs=1e-6)


def reckoned(head: Head, key: str, drive_deg: float) -> tuple[Floats, Floats]:
    """Return shift (m) and turn (x, y, z, w) of a node with the drive shaft at an angle, from the size and trade alone.

    The shafts lie along the file's Y, half the centre distance either side of it; all on them turns along, the other
    shaft as far the other way. Seals and what drives them stand in the body.
    """
    part = head.part(key)
    still = part.side is None or part.kind in (
        "seal_pin",
        "stationary_ring",
        "stationary_ring_oring",
        "wave_spring",
    )
    angle = 0.0 if still else drive_deg if part.side == "drive" else -drive_deg
    axis = np.array([head.size.c / 2000 * (-1 if part.side == "drive" else 1), 0.0, 0.0])
    turn = Rotation.from_euler("y", angle, degrees=True)
    home = Rotation.from_matrix(Y_UP @ np.array(part.place.rotation) @ Y_UP.T)
    shift: Floats = turn.apply(in_file(part.place) - axis) + axis
    turned: Floats = (turn * home).as_quat()
    return shift, turned


def same(found: tuple[Floats, Floats], wanted: tuple[Floats, Floats]) -> bool:
    """Return whether two places of a node are one; a turn has two signs."""
    return bool(np.allclose(found[0], wanted[0], atol=1e-6) and abs(found[1] @ wanted[1]) > 1 - 1e-6)


def stand(head: Head, played: Played, key: str, end: int) -> tuple[Floats, Floats]:
    """Return shift and turn of a node where an animation begins (0) or ends (-1); the file's own where none is told."""
    found = [played.channel(key, path) for path in ("translation", "rotation")]
    home = head.part(key).place
    shift, turn = (f[1][end] if f else None for f in found)
    return (in_file(home) if shift is None else shift, quaternion(home) if turn is None else turn)


def test_shafts_stay_where_a_turn_by_hand_left_them(animated: tuple[Head, bytes]) -> None:
    """Of every part that a step shows, in every animation: where it begins, where it ends."""
    head, glb = animated
    angle = 0.0
    turned = set()
    for number, (step, turn) in enumerate(zip(steps(head), TURNS, strict=True)):
        played = Played(glb, number)
        begin, end = (0.0, 0.0) if step.bench else (angle, angle + turn)
        for key in (k for k in head.parts if k in {*step.present, *step.moving}):
            if key not in step.moving:
                assert same(stand(head, played, key, 0), reckoned(head, key, begin)), (step.id, key)
            assert same(stand(head, played, key, -1), reckoned(head, key, end)), (step.id, key)
            turned |= (
                {(step.id, key)} if not same(reckoned(head, key, begin), reckoned(head, key, 0.0)) else set()
            )
        angle += turn
    assert {s for s, k in turned if k == "shaft_drive"} == {"nut", "rotor", "round", "look"}
    assert ("look", "rotor_nut_driven") in turned
    assert ("look", "stationary_ring_drive") not in turned


def test_a_whole_turn_goes_all_the_way_round_one_way(animated: tuple[Head, bytes]) -> None:
    """Between keys a viewer takes the short way: they lie near enough, and their turns add up."""
    _, glb = animated
    for number, wanted in enumerate(TURNS):
        for key, sense in (("shaft_drive", 1), ("shaft_driven", -1)):
            found = Played(glb, number).channel(key, "rotation")
            if found is None or not wanted:
                assert found is None or len(found[1]) == 1, (number, key)
                continue
            assert (np.diff(found[0]) > 0).all()
            ways = [
                (Rotation.from_quat(b) * Rotation.from_quat(a).inv()).as_rotvec(degrees=True)
                for a, b in pairwise(found[1])
            ]
            assert np.abs(ways).max() < 90.0
            assert np.sum(ways, axis=0) == pytest.approx([0.0, sense * wanted, 0.0], abs=0.01)


def test_what_is_fitted_turns_along_after_it_is_home(animated: tuple[Head, bytes]) -> None:
    head, glb = animated
    played = Played(glb, 3)
    found = played.channel(ROTOR, "translation")
    assert found is not None
    times, shifts = found
    assert (np.diff(times) > 0).all()
    home = in_file(head.part(ROTOR).place)
    out = reckoned(head, ROTOR, 150.0)[0] + [0.0, 0.05, 0.0]
    assert shifts[0] == pytest.approx(out, abs=1e-6)
    arrived = next(n for n, s in enumerate(shifts) if abs(s[1] - home[1]) < 1e-6)
    shaft = played.channel("shaft_driven", "rotation")
    assert shaft is not None
    begun = next(t for t, turn in zip(*shaft, strict=True) if abs(turn @ shaft[1][0]) < 1 - 1e-6)
    assert times[arrived] < begun


def test_another_file_is_refused(animated: tuple[Head, bytes], tmp_path: Path) -> None:
    glb = animated[1]
    plan = Plan("assembly", "Assembly", "T-1", (), ())
    with pytest.raises(MotionError, match="not a glTF 2 binary"):
        animate(b"rubbish" * 9, plan, PartModels("none", {}), lambda s: ())
    with pytest.raises(MotionError, match="no node for housing"):
        animate(glb, plan, sample_models(), lambda s: ())
