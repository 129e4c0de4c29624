"""What is reckoned once for many heads is, for each of them, what it would be alone."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import fields, replace
from decimal import Decimal
from pathlib import Path

import pytest
from benchleaf.geometry.exchange import own_parts as exchange
from benchleaf.geometry.exchange.mesh_files import Unit
from benchleaf.geometry.solid import Solid
from benchleaf.sequences.calculations.doubts import Doubt
from benchleaf.sequences.calculations.head_calculations import calculations
from benchleaf.sequences.calculations.load_fleet import figures_of, load_fleet
from benchleaf.sequences.calculations.plausibility import doubts
from benchleaf.sequences.files.faults import FaultsFound
from benchleaf.sequences.fleet import own_part_check
from benchleaf.sequences.fleet.heads import FleetHead, plan_head
from benchleaf.sequences.steps.asked_values import asked_values
from benchleaf.sequences.steps.conditions import options_in_words
from benchleaf.sequences.values.sourced_values import Missing
from benchleaf.site.command import DEMO_FLEET, main
from benchleaf.site.extras.checking import check_fleet
from benchleaf.site.words.report_words import doubts_csv
from doubted_fleets import SPRING, fleet, head
from fleet_generator import write_many_heads
from head_samples import full_values, make_fleet_head
from mesh_samples import in_format, mesh_solid, soup


def unmarked(row: FleetHead) -> FleetHead:
    """Return a head as it was before its doubts were known."""
    return replace(row, values={n: replace(v, doubts=()) for n, v in row.values.items()})


@pytest.mark.parametrize(
    ("heads", "designs", "sizes", "seed"), [(24, 6, 6, 0), (24, 8, 2, 1), (18, 3, 1, 2), (0, 0, 0, -1)]
)
def test_each_head_is_told_as_if_it_stood_alone(
    tmp_path: Path, heads: int, designs: int, sizes: int, seed: int
) -> None:
    demo = DEMO_FLEET / "fleet.yaml"
    file = write_many_heads(tmp_path, heads, designs, seed=seed, sizes=sizes) if heads else demo
    loaded, summary = load_fleet(file), check_fleet(file)
    steps = {tag: d.steps for d in summary.designs for tag in d.tags}
    name = {tag: d.name for d in summary.designs for tag in d.tags}
    missing, found = list[Missing](), list[Doubt]()
    for row in map(unmarked, loaded.heads):
        sheets = calculations(row)
        assert repr(loaded.figures[row.tag].sheets) == repr(sheets)
        alone = doubts(row, sheets)
        assert repr(loaded.figures[row.tag].doubts) == repr(alone)
        found += alone
        plans = [plan_head(row, s) for s in (*loaded.sequences.values(), *loaded.checklists.values())]
        assert steps[row.tag] == tuple((p.title, len(p.steps)) for p in plans)
        assert name[row.tag] == ", ".join(filter(None, (row.size.name, options_in_words(row.options))))
        asked = asked_values(plans)
        blank = [v for v in row.values.values() if v.given is None and v.name in asked]
        missing += [Missing(row.tag, v.name, v.unit, asked[v.name]) for v in blank]
    assert summary.missing == tuple(missing)
    assert summary.doubts == tuple(found)
    assert len(missing) > 20
    assert len({d.tag for d in found}) > 1, "the sample has doubts of several heads"


BASE = make_fleet_head(80.0, full_values(80.0), hot=95.0)
OTHER = make_fleet_head(84.0, full_values(84.0), hot=20.0, elastomer="EPDM", cover_oring="ptfe-encapsulated")
CHANGES: dict[str, object] = {
    "size": OTHER.size,
    "options": OTHER.options,
    "values": {**BASE.values, "radial_clearance": OTHER.values["radial_clearance"]},
    "parts": {**BASE.parts, "stud_extra": "cover_oring"},
    "process_temperature_c": -0.0,
    "product": ("essential-oils",),
    "cleaning": ("caustic-cleaner",),
    "left_hand": frozenset({"rotor_nut"}),
}


@pytest.mark.parametrize("name", [f.name for f in fields(FleetHead)])
def test_heads_that_differ_in_one_thing_are_not_taken_for_each_other(name: str) -> None:
    if name in ("tag", "slug", "service", "own_parts", "name_plate", "spare_parts", "as_found"):
        assert name not in CHANGES, "no figure comes from it"
        return
    one = replace(BASE, process_temperature_c=0.0)
    two = replace(one, tag="P-2", **{name: CHANGES[name]})  # type: ignore[arg-type]
    found = figures_of([one, two, replace(one, tag="P-3")])
    for row in (one, two):
        sheets = calculations(row)
        assert repr(found[row.tag].sheets) == repr(sheets)
        assert repr(found[row.tag].doubts) == repr(doubts(row, sheets))
    assert name == "left_hand" or repr(calculations(one)) != repr(calculations(two)), "the change shows"
    assert found["P-3"].sheets is found["P-1"].sheets


def test_figures_that_are_equal_and_written_otherwise_are_told_as_written() -> None:
    (row,) = load_fleet(DEMO_FLEET / "fleet.yaml").heads[:1]
    spring = row.values["disc_spring_free_height"]
    assert spring.given is not None
    found = {}
    for tag, digits in (("A", "9.5"), ("B", "9.50")):
        given = replace(spring.given, value=Decimal(digits))
        values = {**row.values, spring.name: replace(spring, given=given, low=9.5)}
        found[tag] = replace(row, tag=tag, values=values)
    figures = figures_of(found.values())
    said = doubts_csv(d for of in figures.values() for d in of.doubts)
    assert "9.50\u00a0mm" in said
    assert "9.5\u00a0mm" in said


def test_heads_that_differ_in_a_value_alone_are_both_judged(tmp_path: Path) -> None:
    (tmp_path / "fleet.yaml").write_text(
        fleet(head("ONE", SPRING), head("TWO"), head("SIX", SPRING)), "utf-8"
    )
    summary = check_fleet(tmp_path / "fleet.yaml")
    assert [d.tag for d in summary.doubts if d.kind == "spring"] == ["ONE", "SIX"]
    assert [d.tags for d in summary.designs] == [("ONE", "TWO", "SIX")]


# ------------------------------------------------------------------ own parts
PARTS = "    own_parts: {{{part}: {{file: {file}}}}}\n"


def with_parts(folder: Path, *rows: str) -> Path:
    file = folder / "fleet.yaml"
    file.write_text(
        fleet(*(f"  - tag: H-{n}\n    size: 80\n{row}" for n, row in enumerate(rows, 1))), "utf-8"
    )
    return file


def test_a_broken_own_part_is_one_fault_at_its_first_place(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "key.step").write_text("ISO-10303-21;\nHEADER;\n", "utf-8")
    row = PARTS.format(part="key", file="key.step")
    file = with_parts(tmp_path, "", row, "    seal: double\n" + row)
    opened: list[Path] = []

    def read(files: Sequence[tuple[Path, Unit | None]]) -> list[Solid | exchange.OwnPartError]:
        opened.extend(file for file, _ in files)
        return exchange.read_solids(files)

    monkeypatch.setattr(own_part_check, "read_solids", read)
    with pytest.raises(FaultsFound) as caught:
        check_fleet(file)
    (fault,) = caught.value.faults
    lines = file.read_text("utf-8").splitlines()
    assert fault.line == 1 + next(n for n, line in enumerate(lines) if "key.step" in line)
    assert fault.path == "heads > #2 > own_parts > key > file"
    assert fault.found.startswith("'key.step', ")
    assert opened == [tmp_path / "key.step"], "two heads, four parts, one reading"


def test_an_own_part_in_another_unit_is_a_fault_and_no_booklet_is_begun(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    import cadquery as cq

    points, triangles = soup(mesh_solid(cq.Workplane().box(2.54, 12.7, 2.54)))
    (tmp_path / "key.stl").write_bytes(in_format(points / 25.4, triangles, "stl"))
    with_parts(tmp_path, "    own_parts: {key: {file: key.stl, unit: mm}}\n")
    assert main(["check", str(tmp_path)]) == 2
    said = capsys.readouterr().err
    assert "(heads > #1 > own_parts > key > file): found 'key.stl', a solid" in said


def test_what_has_to_be_known_of_a_mesh_is_told_once(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    from benchleaf.geometry.dimensions.size import example_measures, make_size
    from benchleaf.geometry.head.head import make_head

    solid = make_head("X", make_size("80", example_measures(80.0))).part("cover").solid
    points, triangles = soup(mesh_solid(solid, 0.05))  # type: ignore[arg-type]
    (tmp_path / "cover.stl").write_bytes(in_format(points, triangles[:, ::-1], "stl"))
    row = "    own_parts: {cover: {file: cover.stl, unit: mm}}\n"
    with_parts(tmp_path, row, row)
    assert main(["check", str(tmp_path)]) == 0
    said = capsys.readouterr().out
    assert "Of own parts that are meshes:" in said
    assert "  cover.stl: " in said
    told = [line for line in said.splitlines() if "cover.stl" in line]
    assert len(told) == len(set(told))
