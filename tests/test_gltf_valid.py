"""The published glTF validator finds no fault in a head's GLB, and does find one that is put in."""

from __future__ import annotations

import base64
import json
import struct
from pathlib import Path
from typing import Any

import pytest
from benchleaf.geometry.exports import write_glb
from benchleaf.geometry.head import make_head
from benchleaf.geometry.size import example_measures, make_size
from browsing import browser

VALIDATOR = Path(__file__).parent / "vendor" / "gltf_validator.dart.js"


def validate(data: bytes) -> dict[str, Any]:
    """Return the validator's report on a GLB; it is plain script, so the browser of the page tests runs it."""
    with browser() as chromium:
        page = chromium.new_page()
        page.set_content("<title>glTF</title>")
        page.evaluate("globalThis.exports = {}")
        page.add_script_tag(path=str(VALIDATOR))
        report = page.evaluate(
            """async (text) => {
                const bytes = Uint8Array.from(atob(text), (c) => c.charCodeAt(0));
                return await exports.validateBytes(bytes, {maxIssues: 0, writeTimestamp: false});
            }""",
            base64.b64encode(data).decode("ascii"),
        )
        assert isinstance(report, dict)
        return report


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
