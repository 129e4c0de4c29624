"""Files broken at random, in every format that is read: each is read, or refused in words, and nothing else."""

from __future__ import annotations

import os
import random
import socket
import struct
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest
from benchleaf.geometry.exchange.bounded import Refused
from benchleaf.geometry.exchange.mesh_files import Unit, read_mesh_here
from benchleaf.geometry.exchange.own_parts import OwnPartError, read_solids
from benchleaf.site.command import main
from file_mutations import MUTATIONS, mutated, zipped
from hostile_readers import FLEET, READERS, Misread, Reader, attempt
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

EXAMPLES = {
    "sequence": 100,
    "inspection": 100,
    "table": 150,
    "workbook": 120,
    "translations": 40,
    "PO file": 60,
}
"""How many inputs a reader has here, where it is not 250: it is slower than the others."""


@pytest.mark.parametrize("name", READERS)
def test_the_good_file_is_read(name: str, tmp_path: Path) -> None:
    """What is broken is otherwise in order: the readers get as deep as they can."""
    reader = READERS[name]
    said = attempt(reader, reader.good(), tmp_path)
    # The sequence is cut off behind its first steps: it says itself that most parts are never fitted.
    assert said == "read" or (name == "sequence" and "never fitted" in said)


@pytest.mark.parametrize("name", READERS)
def test_a_broken_file_is_read_or_refused(name: str, tmp_path_factory: pytest.TempPathFactory) -> None:
    reader, folder, said = READERS[name], tmp_path_factory.mktemp("in"), list[str]()
    good = reader.good()

    @settings(
        max_examples=EXAMPLES.get(name, 250),
        suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
        database=None,
    )
    @given(st.randoms(use_true_random=True))
    def tried(chance: random.Random) -> None:
        said.append(attempt(reader, reader.mutate(good, chance), folder))

    tried()
    # What a library kept is left alone where it cannot be read, without a word.
    assert name == "kept values" or len({*said} - {"read"}) > 3, "the files are broken in many ways"


@pytest.mark.parametrize("kind", MUTATIONS)
def test_every_way_of_breaking_a_file_breaks_it(kind: str) -> None:
    good = FLEET.encode()
    broken = {MUTATIONS[kind](good, random.Random(seed)) for seed in range(20)}
    assert len(broken - {good}) > 10


def _fails(error: Exception) -> Callable[[Path], object]:
    def read(_: Path) -> object:
        raise error

    return read


def test_what_a_reader_should_not_do_is_noticed(tmp_path: Path) -> None:
    good = READERS["fleet"].good
    for error in (KeyError("x"), RecursionError(), ValueError("x")):
        with pytest.raises(Misread, match=type(error).__name__):
            attempt(Reader("f", good, _fails(error)), b"", tmp_path / ".")
    with pytest.raises(Misread, match="files were written"):
        attempt(Reader("f", good, lambda f: f.with_name("g").write_text("x")), b"", tmp_path)
    with pytest.raises(Misread, match="cannot be printed"):
        attempt(Reader("f", good, _fails(Refused("\x1b[2J", "x", "y")), (Refused,)), b"", tmp_path)


@pytest.mark.parametrize("figure", ["1e200", "-1e308", "1.7976931348623157e308"])
@pytest.mark.parametrize("unit", ["mm", "m"])
def test_a_mesh_of_any_extent_is_refused_in_words(figure: str, unit: Unit, tmp_path: Path) -> None:
    """Its sides were reckoned beyond the greatest number, with a warning."""
    text = READERS["OBJ"].good().decode().split("\n")
    n = next(n for n, line in enumerate(text) if line.startswith("v "))
    text[n] = f"v {figure} 1 1"
    text[n + 1] = f"v -{figure.lstrip('-')} 1 1"
    (tmp_path / "part.obj").write_text("\n".join(text))
    with pytest.raises(Refused, match=r"a part .* mm across|without a place"):
        read_mesh_here(tmp_path / "part.obj", unit)


# ------------------------------------------------------------------ the CAD kernel, in its child
def test_broken_step_and_mesh_files_are_read_or_refused_by_the_child(tmp_path: Path) -> None:
    import cadquery as cq

    made = tmp_path / "good.step"
    cq.exporters.export(cq.Workplane().box(4, 3, 2).faces(">Z").hole(1), str(made))
    goods = {"step": made.read_bytes(), "glb": READERS["GLB"].good(), "3mf": READERS["3MF"].good()}
    chance, files = random.Random(5), []
    for ending, good in goods.items():
        for n in range(8):
            files.append(tmp_path / f"{n}.{ending}")
            files[-1].write_bytes(mutated(good, chance))
    before = sorted(tmp_path.iterdir())
    results = read_solids([(file, None) for file in files])
    refused = [r for r in results if isinstance(r, OwnPartError)]
    assert len(refused) > 12
    assert all(r.found and r.allowed and r.fix for r in refused)
    assert sorted(tmp_path.iterdir()) == before


# ------------------------------------------------------------------ what is no ordinary file
NAMING = {
    "cautions": "cautions: {}\n",
    "sequences": "sequences: {}\n",
    "heads_table": "heads_table: {}\n",
}


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no such files on this system")
@pytest.mark.parametrize(
    "kind", ["pipe", "socket", "device", "folder", "link out", "link to a device", "loop"]
)
@pytest.mark.parametrize("key", [*NAMING, "own part"])
def test_a_named_file_that_is_no_file_is_a_fault_at_once(
    kind: str, key: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    name = {"heads_table": "x.csv", "own part": "x.step"}.get(key, "x.yaml")
    folder = tmp_path / "f"
    folder.mkdir()
    (tmp_path / f"outside{Path(name).suffix}").write_text("secret: words\n")
    _make(kind, folder / name, tmp_path / f"outside{Path(name).suffix}")
    text = FLEET.replace("cautions: [own.yaml]\n", NAMING.get(key, "").format(name))
    own = "    own_parts:\n      rotor: {file: own.stl, unit: mm, turn: {about: z, deg: 90}, shift_mm: [0, 0, 1]}\n"
    text = text.replace(own, f"    own_parts: {{rotor: {{file: {name}}}}}\n" if key == "own part" else "")
    (folder / "fleet.yaml").write_text(text, "utf-8")
    assert main(["check", str(folder)]) == 2
    said = capsys.readouterr().err
    assert said.startswith("1 mistake in the data:\n  fleet.yaml, line ")
    assert f"found '{name}'" in said
    assert "secret" not in said


def _make(kind: str, at: Path, outside: Path) -> None:
    if kind == "pipe":
        os.mkfifo(at)
    elif kind == "socket":
        here = Path.cwd()
        os.chdir(at.parent)  # the address of a socket is short
        try:
            with socket.socket(socket.AF_UNIX) as made:
                made.bind(at.name)
        finally:
            os.chdir(here)
    elif kind == "device" or kind == "link to a device":
        at.symlink_to("/dev/zero")
    elif kind == "folder":
        at.mkdir()
    elif kind == "loop":
        at.symlink_to(at.name)
    else:
        at.symlink_to(outside)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no such files on this system")
@pytest.mark.parametrize("kind", ["pipe", "device", "folder", "loop"])
def test_a_fleet_file_that_is_no_file_ends_at_once(
    kind: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    _make(kind, tmp_path / "fleet.yaml", tmp_path / "none")
    assert main(["check", str(tmp_path / "fleet.yaml")]) == 2
    assert "Traceback" not in capsys.readouterr().err


# ------------------------------------------------------------------ bombs
def _bomb_of_cells() -> bytes:
    """Return a workbook whose sheet unpacks to a gigabyte; its directory says so."""
    good = READERS["workbook"].good()
    import io

    with zipfile.ZipFile(io.BytesIO(good)) as box:
        members = {n: box.read(n) for n in box.namelist()}
    members["xl/worksheets/sheet1.xml"] += b" " * 60_000_000
    return zipped(members)


def _lying_bomb() -> bytes:
    """Return the same with sizes of a few bytes in the archive's directory."""
    data = bytearray(_bomb_of_cells())
    at = 0
    while (at := data.find(b"PK\x01\x02", at)) >= 0:
        data[at + 24 : at + 28] = struct.pack("<I", 100)
        at += 4
    return bytes(data)


BOMBS: dict[str, tuple[str, Callable[[], bytes]]] = {
    "many aliases": ("fleet", lambda: b"a: &a [x]\nb: &b [" + b"*a, " * 20_000 + b"]\n"),
    "deep lists": ("fleet", lambda: b"plant: " + b"[" * 200_000),
    "deep mappings": ("fleet", lambda: b"".join(b" " * n + b"a:\n" for n in range(1200))),
    "many keys": ("fleet", lambda: b"".join(b"k%d: 1\n" % n for n in range(80_000))),
    "one long line": ("fleet", lambda: b"plant: " + b"x" * 990_000),
    "a long number": ("fleet", lambda: b"plant: x\nbooklet: {revision: " + b"9" * 900_000 + b"}\n"),
    "a huge file": ("fleet", lambda: b"#" * 3_000_000),
    "nothing but zeros": ("fleet", lambda: b"\0" * 900_000),
    "a wide table": ("table", lambda: b"tag;" * 200_000),
    "a long table": ("table", lambda: b"tag;size\n" + b"P-1;80\n" * 600_000),
    "an open quote": ("table", lambda: b'tag;size\n"' + b"x\n" * 900_000),
    "a workbook that unpacks to much": ("workbook", _bomb_of_cells),
    "a workbook that lies about its size": ("workbook", _lying_bomb),
    "deep JSON": ("evidence", lambda: b"[" * 500_000),
    "deep JSON in a mark": ("kept values", lambda: b'{"a":' * 100_000),
    "a long number in JSON": ("evidence", lambda: b"9" * 500_000),
}


@pytest.mark.parametrize("name", BOMBS)
def test_a_bomb_is_refused_soon(name: str, tmp_path: Path) -> None:
    reader, made = BOMBS[name]
    folder = tmp_path / "in"
    folder.mkdir()
    said = attempt(READERS[reader], made(), folder)
    assert said != "read" or reader == "kept values"
    assert len(said) < 12_000, "it is told in a page"
