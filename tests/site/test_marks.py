"""The mark of a folder: who wrote it and what; what has changed since, and what would be lost."""

from __future__ import annotations

import hashlib
import json
import os
from pathlib import Path

import pytest
from benchleaf.site.folders import marks
from benchleaf.site.folders.marks import (
    MARK,
    Differences,
    ListedFile,
    Mark,
    differences,
    files_in,
    make_mark,
    mark_bytes,
    read_mark,
    strangers,
    write_mark,
)


@pytest.fixture(name="folder")
def _folder(tmp_path: Path) -> Path:
    (tmp_path / "p-101" / "pictures").mkdir(parents=True)
    for name in ("index.html", "missing.csv", "p-101/index.html", "p-101/pictures/assembly-1.webp"):
        (tmp_path / name).write_bytes(name.encode())
    write_mark(tmp_path, make_mark(tmp_path, "build"))
    return tmp_path


def test_a_mark_lists_every_file_with_size_and_hash_and_reads_back(folder: Path) -> None:
    mark = read_mark(folder)
    assert mark is not None
    assert mark.verb == "build"
    assert [f.path for f in mark.files] == files_in(folder)
    for file in mark.files:
        content = (folder / file.path).read_bytes()
        assert (file.bytes, file.sha256) == (len(content), hashlib.sha256(content).hexdigest())
    lines = [json.loads(line) for line in (folder / MARK).read_text("utf-8").splitlines()]
    assert lines[0] == {"form": 2, "verb": "build"}
    assert [line["path"] for line in lines[1:-1]] == sorted(f.path for f in mark.files)


def test_equal_folders_have_equal_marks_whatever_their_dates(folder: Path) -> None:
    before = (folder / MARK).read_bytes()
    for path in folder.rglob("*"):
        os.utime(path, (1, 1))
    assert mark_bytes(make_mark(folder, "build")) == before
    assert not differences(folder, make_mark(folder, "build"))


def test_files_with_known_hashes_are_not_read_again(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    whole, read = make_mark(folder, "build"), list[str]()
    hashed = marks.file_hash

    def counted(path: Path) -> str:
        read.append(path.name)
        return hashed(path)

    monkeypatch.setattr(marks, "file_hash", counted)
    known = {f.path: f.sha256 for f in whole.files if f.path.startswith("p-101")} | {"gone.html": "0"}
    assert make_mark(folder, "build", known) == whole
    assert sorted(read) == ["index.html", "missing.csv"]


def test_changed_missing_and_foreign_files_are_told_apart(folder: Path) -> None:
    mark = make_mark(folder, "build")
    (folder / "index.html").write_bytes(b"INDEX.html")  # of the same size
    (folder / "p-101" / "index.html").unlink()
    (folder / "p-101" / "notes.txt").touch()
    assert differences(folder, mark) == Differences(
        ("index.html",), ("p-101/index.html",), ("p-101/notes.txt",)
    )


def test_a_flipped_bit_anywhere_is_a_change(folder: Path) -> None:
    mark = make_mark(folder, "build")
    for path in files_in(folder):
        content = (folder / path).read_bytes()
        for at in range(len(content)):
            (folder / path).write_bytes(content[:at] + bytes([content[at] ^ 1]) + content[at + 1 :])
            assert differences(folder, mark) == Differences((path,)), at
        (folder / path).write_bytes(content)
    assert not differences(folder, mark)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes of that kind here")
def test_links_and_pipes_in_the_place_of_files_are_changes_and_are_not_opened(
    folder: Path, tmp_path_factory: pytest.TempPathFactory
) -> None:
    mark, elsewhere = make_mark(folder, "build"), tmp_path_factory.mktemp("elsewhere")
    (elsewhere / "index.html").write_bytes((folder / "index.html").read_bytes())
    (folder / "index.html").unlink()
    (folder / "index.html").symlink_to(elsewhere / "index.html")
    (folder / "missing.csv").unlink()
    os.mkfifo(folder / "missing.csv")
    (folder / "outside").symlink_to(elsewhere)
    assert differences(folder, mark) == Differences(("index.html", "missing.csv"), (), ("outside",))
    assert strangers(folder, "build") == ["missing.csv", "outside"]


def test_nothing_outside_the_folder_is_read_for_a_mark_that_lists_it(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    beside = folder.parent / "secret"
    beside.touch()
    empty = hashlib.sha256().hexdigest()
    listed = tuple(ListedFile(p, 0, empty) for p in ("../secret", str(beside)))
    write_mark(folder, Mark("build", listed))
    mark = read_mark(folder)
    assert mark is not None

    def read(path: Path) -> str:
        pytest.fail(f"{path} is read")

    monkeypatch.setattr(marks, "file_hash", read)
    assert set(differences(folder, mark).missing) == {"../secret", str(beside)}


def test_a_damaged_mark_is_none(folder: Path) -> None:
    content = (folder / MARK).read_bytes()
    for at in range(len(content)):
        (folder / MARK).write_bytes(content[:at] + bytes([content[at] ^ 1]) + content[at + 1 :])
        assert read_mark(folder) is None, at
        (folder / MARK).write_bytes(content[:at])
        assert read_mark(folder) is None, at
    (folder / MARK).unlink()
    assert read_mark(folder) is None
    (folder / MARK).mkdir()
    assert read_mark(folder) is None


def test_what_a_person_put_there_would_be_lost_and_changed_pages_would_not(folder: Path) -> None:
    (folder / "index.html").write_text("changed", "utf-8")
    (folder / ".DS_Store").touch()
    (folder / "p-101" / "Thumbs.db").touch()
    assert strangers(folder, "build") == []
    (folder / "missing.csv").write_text("filled in", "utf-8")
    (folder / "p-101" / "fleet.yaml").touch()
    assert strangers(folder, "build") == ["missing.csv", "p-101/fleet.yaml"]


@pytest.mark.parametrize("text", ["", '{"form": 1,\n "heads": {}}', "torn"])
def test_without_a_sound_list_only_what_looks_like_ours_may_go(folder: Path, text: str) -> None:
    (folder / MARK).write_text(text, "utf-8")
    assert strangers(folder, "build") == []
    assert strangers(folder, "export") == files_in(folder)
    for name in ("p-101/notes.txt", "photo.jpg", "p-101/fleet.yaml", "p-101/pictures/raw/1.webp"):
        (folder / name).parent.mkdir(exist_ok=True)
        (folder / name).touch()
    assert strangers(folder, "build") == [
        "p-101/fleet.yaml",
        "p-101/notes.txt",
        "p-101/pictures/raw/1.webp",
        "photo.jpg",
    ]


def test_without_a_mark_everything_would_be_lost(folder: Path) -> None:
    (folder / MARK).unlink()
    assert strangers(folder, "build") == files_in(folder)
