"""``benchleaf verify``: what was changed, is missing or came later, in plain words; a copy will do."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from benchleaf.site.build.folders import swapped_in
from benchleaf.site.command import main
from benchleaf.site.folders.left_overs import make_fresh, old_name
from benchleaf.site.folders.marks import MARK


@pytest.fixture(name="library")
def _library(tmp_path: Path) -> Path:
    with swapped_in(tmp_path / "library", "build") as folder:
        (folder / "p-101").mkdir()
        for name in ("index.html", "p-101/index.html", "p-101/paper.html"):
            (folder / name).write_text(name, "utf-8")
    return tmp_path / "library"


def test_a_sound_folder_and_its_copy_are_told_so(library: Path, capsys: pytest.CaptureFixture[str]) -> None:
    shutil.copytree(library, library.with_name("copy"))
    shutil.rmtree(library)
    assert main(["verify", str(library.with_name("copy"))]) == 0
    out, err = capsys.readouterr()
    assert "copy: 3 files, 0.0 MB, as benchleaf build wrote them." in out
    assert err == ""


def test_every_difference_is_named(library: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (library / "index.html").write_text("INDEX.HTML", "utf-8")
    (library / "p-101" / "paper.html").unlink()
    (library / "p-101" / "notes \x1b[2J.txt").touch()
    for n in range(30):
        (library / f"z{n:02}").touch()
    assert main(["verify", str(library)]) == 2
    err = capsys.readouterr().err
    assert "library is not as benchleaf build wrote it:\n" in err
    assert "\n  changed: index.html\n" in err
    assert "\n  missing: p-101/paper.html\n" in err
    assert "\n  not ours: p-101/notes \\x1b[2J.txt, z00," in err
    assert "z18 and 11 more\n" in err
    assert "\x1b" not in err


@pytest.mark.parametrize("text", ["", '{"form": 1, "heads": {}}'])
def test_without_a_sound_list_nothing_is_said_to_be_sound(
    library: Path, capsys: pytest.CaptureFixture[str], text: str
) -> None:
    (library / MARK).write_text(text, "utf-8")
    assert main(["verify", str(library)]) == 2
    assert "has no sound list of its files: an earlier version wrote it, or the list is damaged" in (
        capsys.readouterr().err
    )


def test_other_folders_and_files_are_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["verify", str(tmp_path)]) == 2
    assert "was not written by benchleaf, or not copied with its hidden file" in capsys.readouterr().err
    assert main(["verify", str(tmp_path / "none")]) == 2
    assert "none is not a folder. Name one that" in capsys.readouterr().err


def test_a_library_that_a_killed_build_set_aside_is_put_back_first(
    library: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    library.rename(old_name(make_fresh(library, "build")))
    assert main(["verify", str(library)]) == 0
    assert "3 files" in capsys.readouterr().out
