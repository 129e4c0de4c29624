"""Claims beside sentences of a sequence file: each mistake in writing them has its place, and a plan has the keys."""

from __future__ import annotations

from pathlib import Path

import pytest
from benchleaf.geometry.dimensions.options import Options
from benchleaf.geometry.dimensions.parts_list import part_kinds
from benchleaf.sequences.files.faults import FaultsFound
from benchleaf.sequences.steps.cautions import DATA
from benchleaf.sequences.steps.claims import Claim
from benchleaf.sequences.steps.resolve import resolve
from benchleaf.sequences.steps.sequence_file import load_sequence

WRITTEN = "shows: {part: shaft_oring, mistake: left out, verdict: goes in}"


def _faults(tmp_path: Path, instead: str) -> list[tuple[str, str]]:
    text = (DATA / "assembly.yaml").read_text("utf-8")
    assert text.count(WRITTEN) == 1
    file = tmp_path / "a.yaml"
    file.write_text(text.replace(WRITTEN, instead), "utf-8")
    with pytest.raises(FaultsFound) as caught:
        load_sequence(file)
    line = next(n for n, t in enumerate(text.splitlines(), 1) if WRITTEN in t)
    assert {f.line for f in caught.value.faults} == {line}
    return [(f.found, f.fix) for f in caught.value.faults]


@pytest.mark.parametrize(
    ("instead", "found", "fix"),
    [
        ("shows: {part: shaft_oring}", "no claim", "write each claim by itself"),
        (
            "shows: {part: shaft_oring, mistake: left out, verdict: goes in, angles: every}",
            "mistake and angles",
            "write each claim by itself",
        ),
        ("shows: {part: shaft_oring, mistake: left out}", "mistake alone", "add verdict"),
        (
            "shows: {part: shaft_oring, set_over_deg: 90.0, goes_in: true}",
            "set_over_deg alone",
            "add turns_free",
        ),
        (
            "shows: {part: shaft_orings, mistake: left out, verdict: goes in}",
            "the part 'shaft_orings'",
            "write shaft_oring",
        ),
        (
            "shows: {part: shaft_oring, before: rotating_rings}",
            "the part 'rotating_rings'",
            "write rotating_ring",
        ),
    ],
)
def test_a_claim_that_cannot_be_read_is_named(tmp_path: Path, instead: str, found: str, fix: str) -> None:
    assert _faults(tmp_path, instead) == [(found, fix)]


def test_a_plan_has_the_claims_of_its_sentences_with_the_keys_of_the_head() -> None:
    options = Options(rotor="three-lobe")
    plan = resolve(load_sequence("assembly"), options, part_kinds(options))
    by_id = {s.id: s for s in plan.steps}
    orings = by_id["shaft_orings"]
    assert [(c.parts, c.before) for c in orings.claims if c.before] == [
        (("shaft_oring_drive", "shaft_oring_driven"), ("rotating_ring_drive", "rotating_ring_driven"))
    ]
    assert all(c.text in orings.why for c in orings.claims)
    set_over = [c for c in by_id["rotor_driven"].claims if c.set_over_deg is not None]
    assert set_over == [
        Claim(set_over[0].text, ("rotor_driven",), set_over_deg=180.0, goes_in=False, turns_free=False)
    ], "what is said of other rotors is left out"
    assert set_over[0].text in by_id["rotor_driven"].look
