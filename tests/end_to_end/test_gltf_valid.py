"""The published glTF validator finds no fault in a head's GLB, and does find one that is put in."""

from __future__ import annotations

import json
import struct

import pytest
from benchleaf.geometry.dimensions.size import example_measures, make_size
from benchleaf.geometry.exchange.cad_export import write_glb
from benchleaf.geometry.head.head import make_head
from gltf_validator import validate


@pytest.fixture(scope="module")
def glb(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    path = tmp_path_factory.mktemp("glb") / "head.glb"
    write_glb(make_head("T-1", make_size("80", example_measures(80.0))), path)
    return path.read_bytes()


def test_no_error(glb: bytes) -> None:
    issues = validate(glb)["issues"]
    assert (issues["numErrors"], issues["numWarnings"]) == (0, 0), issues["messages"][:5]


def test_a_fault_is_found(glb: bytes) -> None:
    size = struct.unpack("<I", glb[12:16])[0]
    scene = json.loads(glb[20 : 20 + size])
    scene["nodes"][1]["mesh"] = 9999
    text = json.dumps(scene, separators=(",", ":")).encode()
    text += b" " * (-len(text) % 4)
    rest = glb[20 + size :]
    header = struct.pack("<III", 0x46546C67, 2, 20 + len(text) + len(rest))
    bad = header + struct.pack("<II", len(text), 0x4E4F534A) + text + rest
    assert validate(bad)["issues"]["numErrors"] > 0
