"""Parts of an assembly in STEP files of their own: read where they lie beside it, told where they do not."""

from __future__ import annotations

import os
from pathlib import Path

import cadquery as cq
import pytest
from benchleaf.geometry.exchange.assemblies.named_files import named_files
from benchleaf.geometry.exchange.assemblies.read_assembly import AssemblyFileError, read_assembly
from benchleaf.geometry.exchange.bounded import Refused
from sample_solids import solid_of
from step_writing import Branch, Look, Placed, shift, write_step

MOST = 10_000_000


def written(folder: Path) -> Path:
    """Write a plate with two pegs, each shape in a file of its own; return the file of the whole."""
    plate, peg = (
        solid_of(made).wrapped
        for made in (cq.Workplane().box(40, 30, 6), cq.Workplane().circle(3).extrude(12))
    )
    inner = Branch("pegs", [Placed(peg, shift(-10, 0, 3)), Placed(peg, shift(10, 0, 3))])
    tree = Branch("jig", [Placed(plate), Placed(inner)])
    return write_step(tree, {id(plate): Look("plate"), id(peg): Look("peg")}, folder / "jig.step", apart=True)


def test_parts_in_files_beside_it_are_read_in_their_places(tmp_path: Path) -> None:
    whole = written(tmp_path)
    named = named_files(whole, MOST)
    assert len(named.there) >= 2
    assert named.missing == ()
    assert {p.name for p in named.there} | {whole.name} == {p.name for p in tmp_path.iterdir()}
    found = read_assembly([whole])
    assert sorted(p.name for p in found.parts) == ["peg", "peg", "plate"]
    assert sorted(round(p.place.shift[0]) for p in found.parts if p.name == "peg") == [-10, 10]
    assert len(found.solids) == 2
    assert found.remarks == ()


def test_it_is_read_alike_from_any_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "in").mkdir()
    whole = written(tmp_path / "in")
    monkeypatch.chdir(tmp_path)
    near = read_assembly([whole.relative_to(tmp_path)])
    assert [p.names for p in near.parts] == [p.names for p in read_assembly([whole]).parts]


def test_a_file_that_is_not_there_is_told(tmp_path: Path) -> None:
    whole = written(tmp_path)
    peg = next(p for p in named_files(whole, MOST).there if "peg" in p.name and "pegs" not in p.name)
    peg.unlink()
    found = read_assembly([whole])
    assert [p.name for p in found.parts] == ["plate"]
    assert any(f"names '{peg.name}', not found beside it" in r for r in found.remarks)
    for other in tmp_path.iterdir():
        if other != whole:
            other.unlink()
    with pytest.raises(AssemblyFileError, match=r"its parts stand in other files: 'jig-.*export it as one"):
        read_assembly([whole])


@pytest.mark.parametrize("name", ["../jig.stp", "/etc/x.stp", "a\\b.step", "C:x.stp"])
def test_no_file_of_another_folder_is_opened(name: str, tmp_path: Path) -> None:
    file = tmp_path / "a.step"
    file.write_text(f"ISO-10303-21;\n#1=DOCUMENT_FILE('{name}','','',#2,'',$);\n")
    with pytest.raises(Refused) as told:
        named_files(file, MOST)
    assert name in told.value.found


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no such files on this system")
def test_no_link_out_no_pipe_and_no_more_than_one_file_may_weigh(tmp_path: Path) -> None:
    (tmp_path / "in").mkdir()
    (tmp_path / "secret.stp").write_text("ISO-10303-21;")
    file, part = tmp_path / "in" / "a.step", tmp_path / "in" / "p.stp"
    file.write_text("ISO-10303-21;\n#1 = DOCUMENT_FILE ( 'p.stp','','',#2,'',$);\n")
    part.symlink_to(tmp_path / "secret.stp")
    with pytest.raises(Refused, match=r"p\.stp"):
        named_files(file, MOST)
    part.unlink()
    os.mkfifo(part)
    with pytest.raises(Refused, match=r"p\.stp"):
        named_files(file, MOST)
    part.unlink()
    part.write_text("ISO-10303-21; #1=DOCUMENT_FILE('a.step','','',#2,'',$); /* round again */")
    assert named_files(file, MOST).there == (part,)
    with pytest.raises(Refused, match="with the files that it names"):
        named_files(file, file.stat().st_size + 5)


def test_names_in_any_letters_and_drawings(tmp_path: Path) -> None:
    file = tmp_path / "a.step"
    lines = ("'Geh\\X2\\00E4\\X0\\use.stp'", "'it''s.STP'", "'plan.pdf'", "''", "'none.stp'")
    file.write_text("ISO-10303-21;" + "".join(f"#1=DOCUMENT_FILE({n},'','',#2,'',$);" for n in lines))
    for name in ("Geh\u00e4use.stp", "it's.STP"):
        (tmp_path / name).write_text("ISO-10303-21;")
    found = named_files(file, MOST)
    assert [p.name for p in found.there] == ["Geh\u00e4use.stp", "it's.STP"]
    assert found.missing == ("plan.pdf", "none.stp")
