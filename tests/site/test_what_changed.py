"""What changed since the last revision of the values: in each booklet that it touches, and in no other."""

from __future__ import annotations

import re
from pathlib import Path

from benchleaf.sequences.calculations.load_fleet import load_fleet
from benchleaf.sequences.fleet.heads import Fleet
from benchleaf.site.build.fleet_run import chosen_heads
from benchleaf.site.build.kept_values import next_kept_values, read_kept_values
from benchleaf.site.command import DEMO_FLEET
from benchleaf.site.folders.marks import KEPT_VALUES
from benchleaf.site.pages.pages import Setting, write_booklet
from benchleaf.site.words.value_words import ChangeText
from fleet_pages import WORDS, make_booklet

TEXT = (DEMO_FLEET / "fleet.yaml").read_text("utf-8")
TORQUE_80 = """      rotor_nut_torque:
        value: 50
        tolerance: 3
        unit: N·m
        threads: anti-seize
        source: {document: Invented manual M-80, revision: D"""
GAP_62 = "        range: [0.07, 0.12]\n"


def _fleet(folder: Path, text: str) -> Fleet:
    (folder / "fleet.yaml").write_text(text, "utf-8")
    (folder / "cautions.yaml").write_text((DEMO_FLEET / "cautions.yaml").read_text("utf-8"), "utf-8")
    return load_fleet(folder / "fleet.yaml", ())


def _build(fleet: Fleet, library: Path, only: tuple[str, ...] = ()) -> dict[str, tuple[ChangeText, ...]]:
    """Do what a build does with the values of the build before, without its solids and pictures."""
    library.mkdir(exist_ok=True)
    rows = chosen_heads(fleet, only)
    kept = next_kept_values(read_kept_values(library), rows)
    kept.write(library)
    return {row.tag: kept.changes(row, WORDS) for row in rows}


def test_a_first_build_has_no_changes(tmp_path: Path) -> None:
    assert set(_build(_fleet(tmp_path, TEXT), tmp_path / "library").values()) == {()}


def test_a_change_stands_in_every_booklet_that_it_touches_and_in_no_other(tmp_path: Path) -> None:
    assert TEXT.count(TORQUE_80) == 1
    _build(_fleet(tmp_path, TEXT), tmp_path / "library")
    found = _build(
        _fleet(tmp_path, TEXT.replace(TORQUE_80, TORQUE_80.replace("50", "52"))), tmp_path / "library"
    )
    was = "50\u00a0±\u00a03\u00a0N·m (36.9\u00a0±\u00a02.1\u00a0lbf·ft), threads with anti-seize paste"
    for tag, changes in found.items():
        if tag in ("P-102", "P-104"):
            assert [(c.title, c.was) for c in changes] == [("Rotor nut torque", was)]
            assert changes[0].now.startswith("52\u00a0±\u00a03\u00a0N·m")
        else:
            assert changes == (), tag


def test_a_value_taken_away_added_or_given_another_source_is_a_change(tmp_path: Path) -> None:
    text = TEXT.replace(GAP_62, "        range: [0.08, 0.12]\n", 1)
    text = text.replace("  food_contact_registration:\n", "")
    text = text.replace("Invented site rule S-12, revision: 2", "Invented site rule S-12, revision: 3")
    _build(_fleet(tmp_path, TEXT), tmp_path / "library")
    found = _build(_fleet(tmp_path, text), tmp_path / "library")["P-101"]
    assert [c.title for c in found] == ["Front clearance", "Highest temperature to work on the head"]
    assert "0.07\u00a0to\u00a00.12\u00a0mm" in found[0].was
    assert "rev. 2" in found[1].was
    assert "rev. 3" in found[1].now
    again = _build(
        _fleet(tmp_path, text.replace("    value: 2.0\n    unit: bar", "    value: 1.5\n    unit: bar")),
        tmp_path / "library",
    )
    assert [c.title for c in again["P-101"]] == ["Highest pressure of blow-off air"]


def test_a_newer_date_alone_is_a_change(tmp_path: Path) -> None:
    _build(_fleet(tmp_path, TEXT), tmp_path / "library")
    assert TEXT.count("date: 2029-06-18") == 1
    found = _build(
        _fleet(tmp_path, TEXT.replace("date: 2029-06-18", "date: 2030-06-18")), tmp_path / "library"
    )
    assert set(found) == {h.tag for h in _fleet(tmp_path, TEXT).heads}
    for changes in found.values():
        (change,) = changes
        assert change.title == "Highest pressure of blow-off air"
        assert ("2029-06-18" in change.was, "2030-06-18" in change.now) == (True, True)


def test_building_twice_keeps_the_changes(tmp_path: Path) -> None:
    _build(_fleet(tmp_path, TEXT), tmp_path / "library")
    other = _fleet(tmp_path, TEXT.replace(TORQUE_80, TORQUE_80.replace("50", "52")))
    first, second = (_build(other, tmp_path / "library") for _ in range(2))
    assert first == second
    assert first["P-102"]


def test_a_state_that_cannot_be_read_tells_nothing(tmp_path: Path) -> None:
    (tmp_path / "library").mkdir()
    for text in ("", "[]", '{"form": 99}', '{"form": 1, "heads": 3}', '{"form": 1, "heads": {"P-101": 7}}'):
        (tmp_path / "library" / KEPT_VALUES).write_text(text, "utf-8")
        assert set(_build(_fleet(tmp_path, TEXT), tmp_path / "library").values()) == {()}


def test_the_front_page_tells_what_was_and_what_is(tmp_path: Path) -> None:
    fleet = load_fleet(DEMO_FLEET / "fleet.yaml")
    row = fleet.head("P-102")
    changes = (
        ChangeText("Rotor nut torque", "48\u00a0N·m", "50\u00a0N·m"),
        ChangeText("Back clearance", "", "0.1\u00a0mm"),
    )
    setting = Setting(WORDS, fleet.plant, True, "2031-01-01")
    write_booklet(make_booklet(fleet, row, changes), tmp_path, setting)
    page = (tmp_path / "index.html").read_text("utf-8")
    section = re.search(r'<section class="changes".*?</section>', page, re.S)
    assert section
    said = " ".join(re.sub(r"<[^>]+>", " ", section[0]).split())
    assert "Rotor nut torque Was 48 N·m Is now 50 N·m" in said
    assert "Back clearance Was not on file Is now 0.1 mm" in said
    assert section[0].split("<dl>")[1] in (tmp_path / "paper.html").read_text("utf-8")
    write_booklet(make_booklet(fleet, row), tmp_path, setting)
    paper = (tmp_path / "paper.html").read_text("utf-8")
    assert 'class="changes"' not in paper
    assert 'class="changes"' not in (tmp_path / "index.html").read_text("utf-8")
