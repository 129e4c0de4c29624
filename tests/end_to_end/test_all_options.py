"""The check over all options: complete, resumable, and red where anything is flagged. The whole run is done by hand."""

from __future__ import annotations

import dataclasses
import itertools
import json
from pathlib import Path

import all_options
import pytest
from benchleaf.geometry.dimensions.options import Options
from head_proofs import (
    SHAPE_OPTIONS,
    ProvenHead,
    covering,
    head_of,
    other_values,
    shape_combinations,
    shipped,
)
from sample_solids import kernel

OTHERS = [f.name for f in dataclasses.fields(Options) if f.name not in SHAPE_OPTIONS]


@pytest.mark.parametrize(("strength", "most"), [(2, 12), (3, 36)])
def test_every_combination_is_there_and_few_hold_all_values_together(strength: int, most: int) -> None:
    every = shape_combinations()
    assert len(every) == len(set(every)) == 3 * 2 * 3 * 2 * 2 * 2 * 2
    begun = covering(every, strength - 1)
    few = covering(every, strength, begun)
    assert few[: len(begun)] == begun
    assert len(few) == len(set(few)) <= most
    for names in itertools.combinations(SHAPE_OPTIONS, strength):
        held = {tuple(getattr(o, n) for n in names) for o in few}
        assert held == {tuple(getattr(o, n) for n in names) for o in every}


def test_other_options_change_no_solid_and_no_move() -> None:
    base = ProvenHead(head_of(Options(), 60.0))
    places = {p.key: p.place for p in base.head}
    volumes = {p.key: kernel(p.solid).Volume() for p in base.head}
    moves = [[s.moves for s in base.plan(text).steps] for text in shipped()]
    for name in OTHERS:
        value = other_values(name)[-1]
        other = ProvenHead(head_of(dataclasses.replace(Options(), **{name: value}), 60.0))
        assert {p.key: p.place for p in other.head} == places, name
        assert {p.key: kernel(p.solid).Volume() for p in other.head} == pytest.approx(volumes), name
        assert [[s.moves for s in other.plan(text).steps] for text in shipped()] == moves, name


@pytest.mark.slow
def test_one_is_proven_and_not_again(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "proven.jsonl"
    assert all_options.main([str(file), "--sample", "1"]) == 0
    assert "1 of 1 proven, 0 flagged" in capsys.readouterr().out
    (line,) = file.read_text("utf-8").splitlines()
    assert set(json.loads(line)["faults"]) == {"in place", "assembly", "disassembly", "reach"}
    # Cut short while writing: that one would be proven again, the whole one is not.
    file.write_text(line + "\n" + line[:40], "utf-8")
    assert all_options.main([str(file), "--sample", "1"]) == 0
    assert "; 0 to prove" in capsys.readouterr().out
    flagged = json.loads(line)
    flagged["faults"]["assembly"] = ["cover_on: The cover cannot reach its place."]
    file.write_text(json.dumps(flagged) + "\n", "utf-8")
    assert all_options.main([str(file), "--sample", "1"]) == 1
    said = capsys.readouterr().out
    assert "1 flagged" in said
    assert "assembly: cover_on: The cover cannot reach its place." in said
