"""Node animations of the steps: parts start where the picture draws them and end home; the rest is hidden."""

from __future__ import annotations

import json
import struct
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from benchleaf.geometry.dimensions.size import example_measures, make_size
from benchleaf.geometry.exchange.cad_export import write_glb
from benchleaf.geometry.frame import Floats, Place
from benchleaf.geometry.head.head import Head, make_head
from benchleaf.render.pictures.gltf_motion import Y_UP, MotionError, animate, quaternion
from benchleaf.render.pictures.studio import Studio
from benchleaf.sequences.steps.plan import Leg, Move, Plan, Section, Step
from gltf_validator import validate

GIVEN = ("gear_case", "shaft_drive", "shaft_driven")
NUT = "cover_nut_1"


def steps(head: Head) -> tuple[Step, ...]:
    down = (0.0, 0.0, -1.0)
    everything = tuple(k for k in head.parts if k != NUT)
    return (
        Step(1, "seat", "s", "Seat", GIVEN, (Move(("seal_seat_drive",), (Leg(down, 60.0),)),)),
        Step(2, "turn", "s", "Turn the shafts", GIVEN, shaft_angle_deg=150.0),
        Step(3, "nut", "s", "Nut", everything, (Move((NUT,), (Leg(down, 30.0), Leg(down, 9.0, -2160.0))),)),
    )


@pytest.fixture(scope="module")
def animated(tmp_path_factory: pytest.TempPathFactory) -> tuple[Head, bytes]:
    head = make_head("T-1", make_size("80", example_measures(80.0)))
    path = tmp_path_factory.mktemp("glb") / "head.glb"
    write_glb(head, path)
    plan = Plan("assembly", "Assembly", "T-1", (Section("s", "S"),), steps(head), GIVEN)
    with Studio(head) as studio:
        return head, animate(path.read_bytes(), plan, studio.places(), studio.travels, head.places_at)


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
    found = played.channel("seal_seat_drive", "translation")
    assert found is not None
    times, shifts = found
    assert (np.diff(times) > 0).all()
    home = head.part("seal_seat_drive").place
    assert shifts[-1] == pytest.approx(in_file(home), abs=1e-6)
    assert shifts[0] == pytest.approx(in_file(home.moved(0, 0, 60)), abs=1e-6)
    assert played.channel("shaft_drive", "translation") is None


def test_only_what_is_there_shows(animated: tuple[Head, bytes]) -> None:
    head, glb = animated
    played = Played(glb, 0)
    for key in head.parts:
        found = played.channel(key, "scale")
        assert found is not None
        wanted = 1.0 if key in (*GIVEN, "seal_seat_drive") else 0.0
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


def test_shafts_turn_against_each_other(animated: tuple[Head, bytes]) -> None:
    head, glb = animated
    played = Played(glb, 1)
    for key in ("shaft_drive", "shaft_driven"):
        found = played.channel(key, "rotation")
        assert found is not None
        end = quaternion(head.places_at(150.0)[key])
        assert abs(found[1][-1] @ end) == pytest.approx(1.0, abs=1e-6)
        assert abs(found[1][0] @ quaternion(head.part(key).place)) == pytest.approx(1.0, abs=1e-6)


def test_another_file_is_refused(animated: tuple[Head, bytes], tmp_path: Path) -> None:
    glb = animated[1]
    plan = Plan("assembly", "Assembly", "T-1", (), ())
    with pytest.raises(MotionError, match="not a glTF 2 binary"):
        animate(b"rubbish" * 9, plan, {}, lambda s: ())
    with pytest.raises(MotionError, match="no node for no_such"):
        animate(glb, plan, {"no_such": Place()}, lambda s: ())
