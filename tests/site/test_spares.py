"""The table of spares: for the pumps that are named, with totals, never over somebody's file."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest
from benchleaf.sequences.files.faults import FaultsFound
from benchleaf.site.build.user_faults import UserFault
from benchleaf.site.command import DEMO_FLEET, main
from benchleaf.site.extras.spares import write_spares

FLEET = DEMO_FLEET / "fleet.yaml"


def rows_of(file: Path) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(file.read_text("utf-8-sig"))))


def test_totals_are_those_of_each_pump_alone(tmp_path: Path) -> None:
    counts: dict[tuple[str, ...], dict[str, int]] = {}
    for tag in ("P-101", "P-105"):
        write_spares(FLEET, tmp_path / f"{tag}.csv", [tag])
        for row in rows_of(tmp_path / f"{tag}.csv"):
            same = tuple(row[c] for c in ("part", "size", "part number", "material or compound", "needed"))
            counts.setdefault(same, {})[tag] = int(row["quantity"])
            assert row["pumps"] == f"{tag}: {row['quantity']}"
    lines, heads = write_spares(FLEET, tmp_path / "both.csv", ["P-101", "P-105"])
    both = rows_of(tmp_path / "both.csv")
    assert (lines, heads) == (len(both), 2)
    told = {
        tuple(r[c] for c in ("part", "size", "part number", "material or compound", "needed")): r
        for r in both
    }
    assert {k: int(r["quantity"]) for k, r in told.items()} == {k: sum(c.values()) for k, c in counts.items()}
    for same, of_each in counts.items():
        assert told[same]["pumps"] == "; ".join(f"{tag}: {n}" for tag, n in of_each.items())
    (shaft,) = (r for r in both if r["part number"] == "IV-62-101")
    assert (shaft["part"], shaft["quantity"], shaft["needed"]) == ("Shaft O-ring", "4", "every overhaul")


def test_a_number_that_reads_like_a_formula_is_disarmed(tmp_path: Path) -> None:
    text = FLEET.read_text("utf-8").replace("number: IV-62-101", "number: '=1+2'")
    (tmp_path / "cautions.yaml").write_bytes((DEMO_FLEET / "cautions.yaml").read_bytes())
    (tmp_path / "fleet.yaml").write_text(text, "utf-8")
    write_spares(tmp_path / "fleet.yaml", tmp_path / "kit.csv", ["P-101"])
    assert "'=1+2" in {r["part number"] for r in rows_of(tmp_path / "kit.csv")}


def test_it_replaces_its_own_table_and_nothing_else(tmp_path: Path) -> None:
    own = tmp_path / "kit.csv"
    write_spares(FLEET, own, ["P-101"])
    first = own.read_bytes()
    write_spares(FLEET, own)
    assert own.read_bytes() != first
    notes = tmp_path / "notes.csv"
    notes.write_text("part,note\nkey,ask\n", "utf-8")
    with pytest.raises(UserFault, match=r"notes\.csv is there and is no table of spares"):
        write_spares(FLEET, notes)
    assert notes.read_text("utf-8") == "part,note\nkey,ask\n"
    with pytest.raises(UserFault, match="is a folder"):
        write_spares(FLEET, tmp_path)
    assert sorted(p.name for p in tmp_path.iterdir()) == ["kit.csv", "notes.csv"]


def test_faults_come_before_anything_is_written(tmp_path: Path) -> None:
    (tmp_path / "fleet.yaml").write_text("plant: A\n", "utf-8")
    with pytest.raises(FaultsFound):
        write_spares(tmp_path / "fleet.yaml", tmp_path / "kit.csv")
    with pytest.raises(UserFault, match="P-999"):
        write_spares(FLEET, tmp_path / "kit.csv", ["P-999"])
    assert not (tmp_path / "kit.csv").exists()


def test_the_verb_tells_what_it_wrote(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    to = tmp_path / "kit.csv"
    assert main(["spares", "demo", "--only", "P-101", "--to", str(to)]) == 0
    assert f"of spares for 1 head in {to}." in capsys.readouterr().out
    assert main(["spares", "demo", "--to", str(tmp_path)]) == 2
    assert "is a folder" in capsys.readouterr().err
