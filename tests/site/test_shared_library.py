"""A library as one file: whole, the same each time, opened from disk, and nothing half-written on a mistake."""

from __future__ import annotations

import zipfile
from pathlib import Path

import pytest
from benchleaf.site.booklets.library import Built
from benchleaf.site.build.folders import swapped_in
from benchleaf.site.build.timings import StageTimes
from benchleaf.site.command import DEMO_FLEET, main
from benchleaf.site.extras.sharing import shared_library
from benchleaf.site.extras.sharing.shared_library import Shared, share_library
from benchleaf.site.folders.zip_files import verify_zip
from benchleaf.site.words.catalogue import load_words

WORDS = load_words()
FLEET = DEMO_FLEET / "fleet.yaml"


def _small_library(file: Path, to: Path, only: tuple[str, ...] = (), **_: object) -> Built:
    """Write a library as a build does, with one page: what is in it is tested elsewhere."""
    with swapped_in(to, "build") as folder:
        (folder / "index.html").write_text(f"{file.name} {only}", "utf-8")
    return Built(1, 0, StageTimes())


@pytest.fixture(autouse=True)
def _quick(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(shared_library, "build_library", _small_library)


def _shared(to: Path, *only: str) -> tuple[Shared, Path]:
    made = share_library(FLEET, to, only)
    return made, to / made.name


def test_one_file_holds_the_library_its_list_and_what_to_open(tmp_path: Path) -> None:
    made, file = _shared(tmp_path / "a")
    assert (made.name, made.bytes) == ("library.zip", file.stat().st_size)
    found = verify_zip(file)
    assert not found.found
    assert [f.path for f in found.mark.files] == ["README.txt", "index.html"]
    with zipfile.ZipFile(file) as packed:
        text = packed.read("library/README.txt").decode("utf-8-sig")
    assert "Open index.html in a browser" in text
    assert WORDS("demo.text", plant="Quillmere Creamery") in text
    assert "does not replace" in text
    assert _shared(tmp_path / "b")[1].read_bytes() == file.read_bytes()


def test_one_pump_gives_the_file_its_name(tmp_path: Path) -> None:
    made, file = _shared(tmp_path / "one", "P-101")
    assert made.name == "p-101.zip"
    with zipfile.ZipFile(file) as packed:
        assert {n.split("/")[0] for n in packed.namelist()} == {"p-101"}


def test_it_can_be_checked_unpacked_and_packed(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    _, file = _shared(tmp_path / "a")
    with zipfile.ZipFile(file) as packed:
        packed.extractall(tmp_path)
    assert main(["verify", str(tmp_path / "library")]) == 0
    assert main(["verify", str(file)]) == 0
    assert main(["verify", str(tmp_path / "a")]) == 0
    assert capsys.readouterr().out.count("2 files") == 2


def test_mistakes_write_nothing(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["export", "demo", "--zip", "--only", "P-999", "--to", str(tmp_path / "a")]) == 2
    assert "P-999" in capsys.readouterr().err
    (tmp_path / "mine").mkdir()
    (tmp_path / "mine/notes.txt").write_text("mine", "utf-8")
    assert main(["export", "demo", "--zip", "--to", str(tmp_path / "mine")]) == 2
    assert "was not written by benchleaf" in capsys.readouterr().err
    assert main(["export", "demo", "--zip", "--to", str(tmp_path / "none/there")]) == 2
    assert "does not exist" in capsys.readouterr().err
    with pytest.raises(SystemExit) as end:
        main(["export", "demo", "--zip", "--pictures", "--to", str(tmp_path / "a")])
    assert end.value.code == 2
    assert sorted(p.name for p in tmp_path.iterdir()) == ["mine"]
    assert [p.name for p in (tmp_path / "mine").iterdir()] == ["notes.txt"]
