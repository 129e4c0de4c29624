"""A notebook's three lines: an assembly, its picture, its evidence; the examples of DEVELOPERS.md are run."""

from __future__ import annotations

import io
import re
import subprocess
import sys
from pathlib import Path

import pytest
from benchleaf.site.notebook import NotebookPicture, NotebookTable, head, own_assembly
from PIL import Image
from program_files import ROOT
from small_assembly import write_small_assembly


def test_an_assembly_shows_itself_its_picture_and_its_evidence(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("BENCHLEAF_CACHE", str(tmp_path / "store"))
    lid = own_assembly(write_small_assembly(tmp_path))
    assert "Box and lid: 2 parts" in lid._repr_html_()
    assert lid.parts.rows == (("1", "Box", "1", ""), ("2", "Lid", "1", ""))
    assert lid.steps().rows == (("1", "lid", "Put the lid on"),)
    whole, step = lid.picture(width=480), lid.picture("assembly", 1, width=400)
    for shown, width in ((whole, 480), (step, 400)):
        with Image.open(io.BytesIO(shown._repr_png_())) as picture:
            assert picture.format == "PNG"
            assert picture.size == (shown.width, shown.height)
            assert picture.width == width
            colours = picture.convert("RGB").getcolors(1 << 24)
            assert colours is not None
            assert len(colours) > 50, "something is drawn"
    assert step.alt == "Put the lid on"
    assert step.save(tmp_path / "step.png").read_bytes() == step.png
    table = lid.evidence()
    assert table.title == "Box and lid, assembly: 1 move, no faults"
    assert table.rows[0][:3] == ("1 lid", "lid", "clear")
    assert lid.proof().sound
    with pytest.raises(KeyError, match="no sequence inspection; there are: assembly"):
        lid.steps("inspection")
    with pytest.raises(KeyError, match="no step 2 in assembly; its steps are 1 to 1"):
        lid.picture("assembly", 2)


def test_what_a_table_says_is_escaped() -> None:
    table = NotebookTable("<a>", ("&",), (("<b>",),))
    assert table._repr_html_() == (
        "<table><caption>&lt;a&gt;</caption><thead><tr><th>&amp;</th></tr></thead>"
        "<tbody><tr><td>&lt;b&gt;</td></tr></tbody></table>"
    )
    assert str(table) == "<a>\n&\n<b>"
    assert NotebookPicture(b"x", "a", 1, 2)._repr_png_() == b"x"


def test_an_unknown_pump_is_told() -> None:
    with pytest.raises(KeyError, match="did you mean P-101"):
        head("demo", "P-1O1")


def test_nothing_heavy_is_imported_before_it_is_asked_for() -> None:
    code = "import sys, benchleaf.site.notebook; print([m for m in ('OCP', 'vtk', 'numpy', 'PIL') if m in sys.modules])"
    found = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert found.stdout == "[]\n"


def test_the_examples_in_the_documents_run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("BENCHLEAF_CACHE", str(tmp_path / "store"))
    monkeypatch.chdir(write_small_assembly(tmp_path).parent)
    text = (ROOT / "DEVELOPERS.md").read_text("utf-8")
    blocks = [b for b in re.findall(r"```python\n(.*?)```", text, re.S) if "benchleaf.site.notebook" in b]
    assert blocks
    for block in blocks:
        exec(compile(block, "DEVELOPERS.md", "exec"), {})
    assert (tmp_path / "lid.png").is_file()
