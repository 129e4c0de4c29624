"""Files that data files name: whatever the name, a file in the folder or one fault with the name's place."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from benchleaf.sequences.calculations.load_fleet import load_fleet
from benchleaf.sequences.files.faults import Fault, Faults, FaultsFound
from benchleaf.sequences.files.file_paths import NamedFrom, file_in_folder, is_device_name
from benchleaf.sequences.files.yaml_files import YamlFile, read_yaml
from benchleaf.sequences.fleet.user_assembly import load_user_assembly
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

ENDINGS = (".csv", ".xlsx")
SIZE = (
    "sizes: {62: {shaft_centre_distance_mm: 62, rotor_diameter_mm: 88.04, rotor_width_mm: 43.4, "
    "shaft_diameter_mm: 23.56, port_bore_mm: 37.2}}\n"
)
ROW = "heads:\n  - {tag: P-1, size: 62"
PART = "parts:\n  - {part: pin, name: Pin, file: "

FLEET_NAMES: dict[str, Callable[[str], str]] = {
    "heads_table": lambda n: f"plant: x\n{SIZE}heads_table: {n}\n",
    "cautions": lambda n: f"plant: x\n{SIZE}cautions: [{n}]\n{ROW}}}\n",
    "sequences": lambda n: f"plant: x\n{SIZE}sequences: [{n}]\n{ROW}}}\n",
    "own part": lambda n: f"plant: x\n{SIZE}{ROW}, own_parts: {{rotor: {{file: {n}}}}}}}\n",
}
ASSEMBLY_NAMES: dict[str, Callable[[str], str]] = {
    "part": lambda n: f"assembly: a\n{PART}{n}}}\nsequences: none.yaml\n",
    "pressed": lambda n: f"assembly: a\n{PART}none.step, elastic: {{pressed: {n}}}}}\nsequences: none.yaml\n",
    "sequence": lambda n: f"assembly: a\n{PART}none.step}}\nsequences: [{n}]\n",
}
BAD = [
    "a\0b.csv",
    "\x1b[2J.csv",
    "\ud800.csv",
    "x" * 300 + ".csv",
    "x" * 300 + "/a.csv",
    "d/" * 700 + "a.csv",
    "ä" * 200 + ".csv",
    "/etc/passwd",
    "//server/share/a.csv",
    "C:/a.csv",
    "C:a.csv",
    "\\\\server\\share\\a.csv",
    "../a.csv",
    "b/../../a.csv",
    "..",
    ".",
    "",
    "nul.csv",
    "sub/COM1.csv",
    "LPT9 .csv",
    "~/a.csv",
    "a.csv/b.csv",
    "out.csv",
    "gone.csv",
    "loop.csv",
    "folder.csv",
    "pipe.csv",
    "file:///etc/passwd",
]
ODD = st.text() | st.text("./\\:ab~ \0\n\x7f\u202e\ud800", max_size=12).map(lambda t: f"{t}.csv")


def quoted(name: str) -> str:
    """Return a name as YAML takes it whatever it holds."""
    return '"' + "".join(f"\\U{ord(c):08x}" for c in name) + '"'


@pytest.fixture(scope="module", name="folder")
def _folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with one good table, a folder, and links that lead out, nowhere and to themselves."""
    top = tmp_path_factory.mktemp("guard")
    (top / "outside.csv").write_text("tag\n")
    folder = top / "fleet"
    folder.mkdir()
    (folder / "table.csv").write_text("tag,size\nP-1,62\n")
    (folder / "a.csv").write_text("")
    (folder / "sub").mkdir()
    (folder / "sub" / "inner.csv").write_text("")
    (folder / "folder.csv").mkdir()
    (folder / "out.csv").symlink_to(top / "outside.csv")
    (folder / "gone.csv").symlink_to(top / "nowhere.csv")
    (folder / "loop.csv").symlink_to(folder / "loop.csv")
    if sys.platform != "win32":
        os.mkfifo(folder / "pipe.csv")
    (folder / "fleet.yaml").write_text("heads_table: x\n")
    return folder


def doc_of(folder: Path) -> YamlFile:
    doc = read_yaml(folder / "fleet.yaml", Faults())
    assert doc is not None
    return doc


def look_up(folder: Path, name: str, doc: YamlFile) -> tuple[Path | None, list[Fault]]:
    faults = Faults()
    named = NamedFrom(folder / "fleet.yaml", doc, ("heads_table",), "the fleet's folder")
    return file_in_folder(name, ENDINGS, named, faults), list(faults)


@pytest.mark.parametrize("name", ["table.csv", "./table.csv", "sub/inner.csv", "sub//inner.csv"])
def test_a_file_in_the_folder_is_found(folder: Path, name: str) -> None:
    path, faults = look_up(folder, name, doc_of(folder))
    assert faults == []
    assert path == (folder / name).resolve()


@pytest.mark.parametrize("name", BAD)
def test_each_bad_name_is_one_fault_with_its_place(folder: Path, name: str) -> None:
    path, faults = look_up(folder, name, doc_of(folder))
    assert path is None
    assert [(f.file, f.line, f.column, f.path) for f in faults] == [("fleet.yaml", 1, 14, "heads_table")]
    assert "a .csv or .xlsx file in the fleet's folder" in faults[0].allowed
    assert all(c.isprintable() for c in str(faults[0])), "nothing that a terminal would obey"
    assert len(faults[0].found) < 160


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(name=ODD)
@example(name="a\0.csv")
@example(name="x" * 5000)
def test_any_name_gives_a_file_of_the_folder_or_one_fault(folder: Path, name: str) -> None:
    path, faults = look_up(folder, name, doc_of(folder))
    if path is None:
        assert len(faults) == 1
        assert (faults[0].file, faults[0].line) == ("fleet.yaml", 1)
    else:
        assert faults == []
        assert path.is_file()
        assert path.is_relative_to(folder.resolve())


@pytest.mark.parametrize("bad", ["a\0b", "x" * 5000, "/etc/a", "../a", "nul", "x" * 300 + "/a", "\x85"])
@pytest.mark.parametrize("key", [*FLEET_NAMES, *ASSEMBLY_NAMES])
def test_every_key_that_names_a_file_is_guarded(tmp_path: Path, key: str, bad: str) -> None:
    ending = {"heads_table": ".csv", "own part": ".step", "part": ".step", "pressed": ".step"}.get(
        key, ".yaml"
    )
    text = (FLEET_NAMES | ASSEMBLY_NAMES)[key](quoted(bad + ending))
    file = tmp_path / "data.yaml"
    file.write_text(text, "utf-8")
    with pytest.raises(FaultsFound) as caught:
        load_fleet(file, ()) if key in FLEET_NAMES else load_user_assembly(file)
    at = text.index('"')
    line = text.count("\n", 0, at) + 1
    column = at - (text.rfind("\n", 0, at) + 1) + 1
    here = [f for f in caught.value.faults if (f.file, f.line, f.column) == ("data.yaml", line, column)]
    assert len(here) == 1, caught.value


def test_a_name_near_another_is_told(folder: Path) -> None:
    _, faults = look_up(folder, "sub/iner.csv", doc_of(folder))
    assert [(f.found, f.fix) for f in faults] == [
        ("'sub/iner.csv', which is not there", "write sub/inner.csv")
    ]


@pytest.mark.parametrize(
    ("name", "device"),
    [
        ("NUL", True),
        ("nul.csv", True),
        ("Com1.tar.gz", True),
        ("lpt0", True),
        ("null", False),
        ("com10", False),
    ],
)
def test_device_names(name: str, device: bool) -> None:
    assert is_device_name(name) == device
