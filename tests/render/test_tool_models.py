"""Models of tools: made once, kept by what they are, and taken from the store where nothing can make them."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from acts_samples import make_wrench, wrench
from benchleaf.geometry.frame import Place
from benchleaf.render.pictures.tool_models import NoToolMaker, keep_tools, tool_mesh_key, tool_model
from benchleaf.sequences.work.store import Store


def test_a_kept_tool_needs_nobody_who_makes_it(tmp_path: Path) -> None:
    store, made = Store(tmp_path), list[str]()

    def make(tool: str, measures: object) -> object:
        made.append(tool)
        return make_wrench(tool, measures)

    elsewhere = replace(wrench(), place=Place.at(1, 2, 3))
    keep_tools([wrench(), elsewhere, wrench(nut=2)], make, store)  # type: ignore[arg-type]
    assert made == ["torque wrench"]
    assert tool_mesh_key(wrench()) == tool_mesh_key(elsewhere)
    kept, fresh = tool_model("t", wrench(), None, store), tool_model("t", wrench(), make_wrench)
    assert kept.mesh.volume_mm3 == pytest.approx(fresh.mesh.volume_mm3)
    assert kept.mesh.box[1][0] == pytest.approx(60.0)
    other = replace(wrench(), measures=(("socket", 19.0),))
    with pytest.raises(NoToolMaker, match="torque wrench"):
        tool_model("t", other, None, store)
