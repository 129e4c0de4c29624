"""What speaks against the values of sound heads: every kind of doubt, typed, with what it rests on."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path

import pytest
from benchleaf.geometry.engineering.elastomers import heat_incompatibility, incompatibilities
from benchleaf.geometry.engineering.preload import TorqueDoubt
from benchleaf.geometry.engineering.springs.spring_seats import fit
from benchleaf.sequences.calculations.calculation_sheets import Gap, HotGap, TooCoarse
from benchleaf.sequences.calculations.doubts import (
    KINDS,
    Doubt,
    FleetFaultsFound,
    GapCloses,
    GapOutside,
    HeightAmiss,
    RingOutside,
    SpringIdle,
    StrengthOutside,
)
from benchleaf.sequences.calculations.load_fleet import JudgedFleet, load_fleet
from benchleaf.sequences.calculations.plausibility import doubts
from doubted_fleets import (
    DOUBTED,
    FAULTY,
    FOUND,
    GAP,
    GREASE,
    HIGH,
    LOW,
    NARROW,
    SCREW,
    SPRING,
    WAVE,
    WEAK,
    fleet,
    head,
    value,
)
from program_files import DEMO


def load(folder: Path, *heads: str) -> JudgedFleet:
    (folder / "fleet.yaml").write_text(fleet(*heads), "utf-8")
    return load_fleet(folder / "fleet.yaml", ())


def found(folder: Path, *heads: str) -> dict[str, list[Doubt]]:
    return {h.tag: but_strength(doubts(h)) for h in load(folder, *heads).heads}


def but_strength(found: Iterable[Doubt]) -> list[Doubt]:
    """Return the doubts but those about strength, which hang on dimensions that no value of these fleets is about."""
    return [d for d in found if d.kind != "strength"]


@pytest.fixture(scope="module")
def doubted(tmp_path_factory: pytest.TempPathFactory) -> JudgedFleet:
    return load(tmp_path_factory.mktemp("doubted"), *DOUBTED)


@pytest.fixture(scope="module")
def told(doubted: JudgedFleet) -> dict[str, list[Doubt]]:
    return {h.tag: list(doubts(h)) for h in doubted.heads}


# ------------------------------------------------------------------ each kind, with what it rests on
def test_a_torque_that_cannot_be_is_doubted_and_marked(doubted: JudgedFleet) -> None:
    low, high = doubted.head("LOW"), doubted.head("HIGH")
    (doubt,) = but_strength(doubts(low))
    assert isinstance(doubt.ground, TorqueDoubt)
    assert (doubt.kind, doubt.value, doubt.sheet, doubt.marks) == (
        "torque",
        "rotor_nut_torque",
        "nut-preload",
        True,
    )
    assert (doubt.ground.kind, doubt.ground.sure, doubt.ground.torque_nm) == ("too low", True, 2.0)
    assert low.values["rotor_nut_torque"].doubts == (doubt.ground,)
    assert not any(v.doubts for n, v in low.values.items() if n != "rotor_nut_torque")
    marked = {n: [d.kind for d in v.doubts] for n, v in high.values.items() if v.doubts}
    assert marked == {"rotor_nut_torque": ["too high"], "body_screw_torque": ["too high"]}
    assert {d.value: d.sheet for d in but_strength(doubts(high))} == {
        "rotor_nut_torque": "nut-preload",
        "body_screw_torque": "",
    }


def test_a_gap_outside_its_limit_is_doubted_with_its_figure(told: dict[str, list[Doubt]]) -> None:
    of = told["GAP"]
    (outside,) = [d for d in of if d.kind == "clearance"]
    assert isinstance(outside.ground, GapOutside)
    assert isinstance(outside.ground.found, Gap)
    figure = outside.ground.found.figure
    assert figure.limit is not None
    assert (figure.id, figure.judgement, figure.limit.low, figure.limit.high) == (
        "gap.front",
        "outside",
        0.30,
        0.40,
    )
    assert (outside.value, outside.sheet, outside.marks) == ("front_face_clearance", "gap-front", False)
    (narrow,) = [d for d in of if d.kind == "reading"]
    assert isinstance(narrow.ground, TooCoarse)
    assert (narrow.ground.value.name, narrow.ground.instrument.key) == ("radial_clearance", "feeler-radial")
    assert (narrow.value, narrow.sheet) == ("radial_clearance", "reading-feeler-radial")


def test_heat_that_moves_a_gap_out_of_its_limit_or_shut_is_doubted(tmp_path: Path) -> None:
    inside = value("radial_clearance", "range: [0.06, 0.09], unit: mm")
    warm = head("WARM", inside, process_temperature_c="120")
    shut = head("SHUT", rotor_metal="316L", process_temperature_c="390")
    of = found(tmp_path, warm, shut)
    (hot,) = [d.ground for d in of["WARM"] if isinstance(d.ground, GapOutside)]
    assert isinstance(hot.found, HotGap)
    assert (hot.found.figure.id, hot.found.figure.judgement) == ("gap.radial.hot", "outside")
    assert hot.found.opened_um > 0
    (mesh,) = [d.ground for d in of["WARM"] if isinstance(d.ground, GapCloses)]
    assert mesh.figure.id == "gap.mesh.warm_up", "in service the gear case has followed, and it stays open"
    closing = [d.ground for d in of["SHUT"] if isinstance(d.ground, GapCloses)]
    assert closing
    assert all(g.figure.low is not None and g.figure.low <= 0 for g in closing)


def test_free_heights_that_the_size_contradicts_are_doubted(told: dict[str, list[Doubt]]) -> None:
    of = but_strength(told["SPRING"])
    grounds = [d.ground for d in of]
    assert all(isinstance(g, HeightAmiss) for g in grounds)
    disc, wave = (g for g in grounds if isinstance(g, HeightAmiss))
    assert (disc.value.name, disc.value.low, wave.value.name, wave.value.low) == (
        "disc_spring_free_height", 9.5, "wave_spring_free_height", 2.0
    )  # fmt: skip
    assert disc.height_mm < 9.5
    assert wave.height_mm > 2.0
    assert [d.value for d in of] == ["disc_spring_free_height", "wave_spring_free_height"]


def test_what_must_not_meet_is_doubted_once(told: dict[str, list[Doubt]], tmp_path: Path) -> None:
    of = [d for d in told["MEDIA"] if d.kind == "elastomer"]
    assert [d.ground for d in of] == [
        *incompatibilities("EPDM", "mineral-grease"),
        heat_incompatibility("EPDM", 160.0),
    ]
    assert {d.sheet for d in of} == {"media-EPDM"}
    twice = head("TWICE", elastomer="EPDM", product="white-oil", cleaning="white-oil")
    assert len(found(tmp_path, twice)["TWICE"]) == 1


def test_a_part_that_bears_less_than_it_has_to_is_doubted(
    told: dict[str, list[Doubt]], tmp_path: Path
) -> None:
    of = [d for d in told["WEAK"] if d.kind == "strength"]
    found_ids = set()
    for d in of:
        assert isinstance(d.ground, StrengthOutside)
        figure = d.ground.figure
        assert figure.judgement == "outside"
        assert (d.value, d.marks) == ("", False)
        assert d.sheet.startswith("strength-")
        found_ids.add(figure.id)
    assert {"strength.deflection", "strength.cover_stress", "strength.cover_bulge"} <= found_ids
    bare = load(tmp_path, head("BARE")).heads[0]
    for d in doubts(bare):
        assert isinstance(d.ground, StrengthOutside)
        assert d.ground.figure.id == "strength.disc_spring_flat", "no load is on file"


def test_a_ring_that_heat_presses_beyond_its_limit_is_doubted(told: dict[str, list[Doubt]]) -> None:
    of = [d for d in told["TOUCH"] if d.kind == "oring"]
    assert of
    for d in of:
        assert isinstance(d.ground, RingOutside)
        assert d.ground.figure.judgement == "outside"
        assert d.sheet == f"gland-{d.ground.figure.topic['gland']}"
        assert d.value == ""


def test_a_spring_that_does_not_work_is_doubted(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    row = load(tmp_path, head("P-1")).heads[0]
    assert but_strength(doubts(row)) == []
    plausibility = "benchleaf.sequences.calculations.plausibility"
    monkeypatch.setattr(f"{plausibility}.fit", lambda s, p: replace(fit(s, p), state="flat"))
    assert [(d.kind, d.ground, d.sheet) for d in but_strength(doubts(row))] == [
        ("spring", SpringIdle("flat"), "disc-spring")
    ]


def test_every_kind_of_doubt_is_found(told: dict[str, list[Doubt]]) -> None:
    assert {d.kind for of in told.values() for d in of} == set(KINDS)


def test_each_doubt_goes_when_its_value_goes(told: dict[str, list[Doubt]], tmp_path: Path) -> None:
    whole = {d for of in told.values() for d in of}
    for gone in (LOW, HIGH, SCREW, GAP, NARROW, SPRING, WAVE, WEAK, GREASE):
        text = re.sub(r"    values:\n(?=  - tag|$)", "", fleet(*DOUBTED).replace(gone, ""))
        (tmp_path / "fleet.yaml").write_text(text, "utf-8")
        after = {d for h in load_fleet(tmp_path / "fleet.yaml", ()).heads for d in doubts(h)}
        name = gone.split(":")[0].strip()
        lost = whole - after
        assert lost, gone
        assert after < whole
        assert {d.value for d in lost} <= {name, ""}


# ------------------------------------------------------------------ beside mistakes
def test_a_fleet_with_mistakes_tells_doubts_and_blanks_of_its_sound_heads(
    told: dict[str, list[Doubt]], tmp_path: Path
) -> None:
    (tmp_path / "fleet.yaml").write_text(FAULTY, "utf-8")
    with pytest.raises(FleetFaultsFound) as caught:
        load_fleet(tmp_path / "fleet.yaml", ())
    faults, tags = caught.value, re.findall(r"tag: (\w+)", FAULTY)
    assert len(faults.faults) == len(FOUND)
    assert faults.heads == len(tags)
    found_doubts = but_strength(faults.doubts)
    assert {d for d in found_doubts if d.tag in told} == {d for of in told.values() for d in but_strength(of)}
    others = [(d.tag, type(d.ground)) for d in found_doubts if d.tag not in told]
    assert others == [("TOO_HOT", GapCloses)], "its temperature is at fault, and is doubted too"
    lacking = {m.tag for m in faults.missing if m.name == "rotor_nut_torque"}
    assert set(tags) - lacking == {"LOW", "HIGH"}, "a refused value is as good as none"
    assert {m.tag for m in faults.missing if m.name == "seal_face_wear_limit"} == set(tags), "nobody gave it"
    assert str(faults).startswith(f"{len(FOUND)} mistakes in the data:")


def test_a_file_that_cannot_be_read_has_no_heads_to_tell_of(tmp_path: Path) -> None:
    from benchleaf.sequences.files.faults import FaultsFound

    (tmp_path / "fleet.yaml").write_text("plant: [", "utf-8")
    with pytest.raises(FaultsFound) as caught:
        load_fleet(tmp_path / "fleet.yaml", ())
    assert not isinstance(caught.value, FleetFaultsFound)


def test_a_head_without_doubts_is_left_as_it_is() -> None:
    demo = load_fleet(DEMO)
    assert all(not v.doubts for h in demo.heads for v in h.values.values())
