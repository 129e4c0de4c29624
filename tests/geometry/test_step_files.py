"""STEP files are read in a child, checked there, and come back as the same solid; no damaged one ends this process."""

from __future__ import annotations

import random
import re
from pathlib import Path

import cadquery as cq
import pytest
from benchleaf.geometry.exchange.bounded import Refused, Task, read_bounded
from benchleaf.geometry.exchange.step_files import read_step_here, solid_of_bytes
from mesh_samples import bracket


def write(file: Path, shape: cq.Shape | cq.Workplane) -> Path:
    """Write a STEP file."""
    cq.exporters.export(shape if isinstance(shape, cq.Workplane) else cq.Workplane(shape), str(file))
    return file


def test_the_solid_comes_back_as_the_kernel_reads_it(tmp_path: Path) -> None:
    file = write(tmp_path / "a.step", bracket())
    solid, direct = solid_of_bytes(read_step_here(file)), cq.importers.importStep(str(file)).val()
    assert isinstance(direct, cq.Solid)
    assert solid.isValid()
    assert solid.Volume() == direct.Volume()
    assert [f.geomType() for f in solid.Faces()] == [f.geomType() for f in direct.Faces()]
    assert [e.Length() for e in solid.Edges()] == [e.Length() for e in direct.Edges()]


def test_a_file_in_inches_comes_back_in_mm(tmp_path: Path) -> None:
    file = write(tmp_path / "a.step", cq.Workplane().box(1, 2, 3))
    text = file.read_text()
    metric = "( LENGTH_UNIT() NAMED_UNIT(*) SI_UNIT(.MILLI.,.METRE.) )"
    assert metric in text
    number = text[: text.index(metric)].rsplit("#", 1)[1].split("=")[0].strip()
    inch = (
        "( CONVERSION_BASED_UNIT('INCH',#9001) LENGTH_UNIT() NAMED_UNIT(#9003) );\n"
        "#9001 = LENGTH_MEASURE_WITH_UNIT(LENGTH_MEASURE(25.4),#9002);\n"
        f"#9002 = {metric};\n"
        "#9003 = DIMENSIONAL_EXPONENTS(1.,0.,0.,0.,0.,0.,0.)"
    )
    file.write_text(text.replace(f"#{number} = {metric}", f"#{number} = {inch}"))
    assert solid_of_bytes(read_step_here(file)).Volume() == pytest.approx(6 * 25.4**3)


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda f: f.write_text("solid cube"), "no STEP header"),
        (lambda f: f.write_text("ISO-10303-21;\nHEADER;\nrubbish"), "cannot read"),
        (lambda f: f.write_bytes(b"ISO-10303-21;" + b" " * 20_000_001), "20 MB"),
        (lambda f: write(f, cq.Workplane().pushPoints([(0, 0), (50, 0)]).box(9, 9, 9)), "2 solids"),
        (lambda f: write(f, cq.Workplane().box(9, 9, 9).faces(">Z")), "no solid"),
        (lambda f: write(f, cq.Solid.makeSolid(cq.Shell.makeShell(cq.Solid.makeBox(9, 9, 9).Faces()[:5]))),
         r"no solid|not closed"),
    ],
    ids=["not STEP", "broken", "huge", "two solids", "a face", "open"],
)  # fmt: skip
def test_files_that_are_no_solid_are_refused(make: object, words: str, tmp_path: Path) -> None:
    file = tmp_path / "own.step"
    make(file)  # type: ignore[operator]
    with pytest.raises(Refused, match=words) as caught:
        read_step_here(file)
    assert caught.value.fix


def test_a_solid_of_very_many_faces_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("benchleaf.geometry.exchange.step_files.MOST_FACES", 5)
    with pytest.raises(Refused, match="6 faces, allowed up to 5"):
        read_step_here(write(tmp_path / "a.step", cq.Workplane().box(9, 9, 9)))


def test_no_changed_byte_ends_this_process(tmp_path: Path) -> None:
    """One in eight such files ends the process that reads it; here each is refused or gives a sound solid."""
    data = write(tmp_path / "a.step", cq.Workplane().box(9, 9, 9).edges("|Z").fillet(2)).read_bytes()
    dice, tasks = random.Random(14), []
    # Anywhere, and where a direction is referred to: the kernel follows what is then no reference.
    weak = [m.end() - 1 for m in re.finditer(rb"VECTOR\('',#", data)]
    for n in range(24):
        changed = bytearray(data)
        changed[dice.choice(weak) if n % 2 else dice.randrange(len(data))] = dice.randrange(36, 127)
        (tmp_path / f"{n}.step").write_bytes(changed)
        tasks.append(Task(read_step_here, tmp_path / f"{n}.step"))
    results = read_bounded(tasks, seconds=10.0)
    assert len(results) == 24
    broken = [r for r in results if isinstance(r, Refused) and "broke down" in r.found]
    assert broken, "the seed ends no child: take one that does"
    for r in results:
        if isinstance(r, bytes):
            assert solid_of_bytes(r).isValid()
