"""Zip files of folders: the same bytes each time, and whatever happens to one is told by file, in plain words."""

from __future__ import annotations

import shutil
import struct
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest
from benchleaf.site.build.folders import swapped_in
from benchleaf.site.command import main
from benchleaf.site.folders.marks import Differences, Mark, make_mark
from benchleaf.site.folders.zip_files import NoMark, verify_zip, write_folder_zip, zip_bytes

FILES = {
    "index.html": b"<p>" * 900,
    "p-101/index.html": b"front",
    "p-101/pictures/a.avif": bytes(range(256)) * 9,
}
SOUND = Differences()


@pytest.fixture(name="shared")
def _shared(tmp_path: Path) -> Path:
    with swapped_in(tmp_path / "library", "build") as folder:
        for name, content in FILES.items():
            (folder / name).parent.mkdir(parents=True, exist_ok=True)
            (folder / name).write_bytes(content)
    write_folder_zip(tmp_path / "library.zip", tmp_path / "library", "library")
    return tmp_path / "library.zip"


def test_it_holds_the_whole_folder_and_is_the_same_each_time(shared: Path, tmp_path: Path) -> None:
    with zipfile.ZipFile(shared) as packed:
        assert packed.namelist() == ["library/.benchleaf", *(f"library/{n}" for n in FILES)]
        assert packed.getinfo("library/p-101/pictures/a.avif").compress_type == zipfile.ZIP_STORED
        assert {e.date_time for e in packed.infolist()} == {(1980, 1, 1, 0, 0, 0)}
        packed.extractall(tmp_path / "out")
    assert make_mark(tmp_path / "out/library", "build") == make_mark(tmp_path / "library", "build")
    copied = shutil.copytree(tmp_path / "library", tmp_path / "copy")
    write_folder_zip(tmp_path / "again.zip", copied, "library")
    assert (tmp_path / "again.zip").read_bytes() == shared.read_bytes()
    assert (
        zip_bytes({"b": b"1", "a": b"2"})
        == zip_bytes({"a": b"2", "b": b"1"})
        != zip_bytes({"a": b"1", "b": b"2"})
    )


def test_a_sound_one_is_told_so(shared: Path, capsys: pytest.CaptureFixture[str]) -> None:
    found = verify_zip(shared)
    assert (found.found, found.cut_off, len(found.mark.files)) == (SOUND, False, 3)
    assert main(["verify", str(shared)]) == 0
    assert "library.zip: 3 files, 0.0 MB, as benchleaf build wrote them." in capsys.readouterr().out


def _repacked(file: Path, change: Callable[[dict[str, bytes]], None]) -> None:
    """Write a zip file anew with other entries, as a person's own program would."""
    with zipfile.ZipFile(file) as packed:
        entries = {n: packed.read(n) for n in packed.namelist()}
    change(entries)
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as packed:
        for name, content in entries.items():
            packed.writestr(name, content)


def test_every_difference_is_named(shared: Path, capsys: pytest.CaptureFixture[str]) -> None:
    def change(entries: dict[str, bytes]) -> None:
        entries["library/index.html"] += b"!"
        del entries["library/p-101/index.html"]
        entries |= {
            "library/notes.txt": b"",
            "library/Thumbs.db": b"",
            "__MACOSX/library/._a": b"",
            "else.txt": b"",
        }

    _repacked(shared, change)
    assert verify_zip(shared).found == Differences(
        ("index.html",), ("p-101/index.html",), ("else.txt", "library/notes.txt")
    )
    assert main(["verify", str(shared)]) == 2
    err = capsys.readouterr().err
    assert (
        "\n  changed: index.html\n  missing: p-101/index.html\n  not ours: else.txt, library/notes.txt\n"
        in err
    )
    assert "Copy it again from where it came, or make it again." in err


def test_packed_anew_in_another_folder_or_none_it_is_still_known(shared: Path) -> None:
    def bare(entries: dict[str, bytes]) -> None:
        moved = {n.removeprefix("library/"): c for n, c in entries.items()}
        entries.clear()
        entries |= moved

    _repacked(shared, bare)
    assert verify_zip(shared).found == SOUND


def test_a_flipped_bit_is_found_in_whichever_file_it_is(shared: Path) -> None:
    whole = shared.read_bytes()
    with zipfile.ZipFile(shared) as packed:
        entries = packed.infolist()
    for entry in entries[1:]:
        name_bytes, more_bytes = struct.unpack(
            "<HH", whole[entry.header_offset + 26 : entry.header_offset + 30]
        )
        at = entry.header_offset + 30 + name_bytes + more_bytes + entry.compress_size // 2
        shared.write_bytes(whole[:at] + bytes([whole[at] ^ 4]) + whole[at + 1 :])
        assert verify_zip(shared).found == Differences((entry.filename.removeprefix("library/"),))


def test_cut_off_anywhere_it_tells_what_is_missing(shared: Path, capsys: pytest.CaptureFixture[str]) -> None:
    whole = shared.read_bytes()
    with zipfile.ZipFile(shared) as packed:
        ends = [e.header_offset for e in packed.infolist()[1:]] + [packed.start_dir]
    names = sorted(FILES)
    for kept, end in enumerate(ends):
        for at in {end, end + 9}:
            shared.write_bytes(whole[:at])
            found = verify_zip(shared)
            assert found.cut_off
            assert found.found == Differences((), tuple(names[kept:]))
    assert main(["verify", str(shared)]) == 2
    assert "the end of the zip file is missing" in capsys.readouterr().err
    shared.write_bytes(whole[: ends[0] - 1])
    with pytest.raises(NoMark):
        verify_zip(shared)


@pytest.mark.parametrize("content", [b"", b"PK\x03\x04", b"PK\x05\x06" + bytes(18), b"no zip file at all"])
def test_other_files_are_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str], content: bytes) -> None:
    file = tmp_path / "other.zip"
    file.write_bytes(content)
    assert main(["verify", str(file)]) == 2
    assert "other.zip is not a zip file that benchleaf export --zip wrote" in capsys.readouterr().err


def test_an_entry_that_unpacks_to_more_than_it_says_is_changed(shared: Path) -> None:
    whole = bytearray(shared.read_bytes())
    with zipfile.ZipFile(shared) as packed:
        entry, start = packed.getinfo("library/index.html"), packed.start_dir
    at = whole.index(b"library/index.html", start) - 46
    whole[at + 24 : at + 28] = struct.pack("<I", 10)  # its size, in the directory
    shared.write_bytes(whole)
    assert entry.file_size == 2700
    assert verify_zip(shared).found == Differences(("index.html",))


def test_a_list_that_says_it_is_another_is_none(shared: Path) -> None:
    _repacked(
        shared, lambda e: e.update({"library/.benchleaf": e["library/.benchleaf"].replace(b"avif", b"webp")})
    )
    with pytest.raises(NoMark):
        verify_zip(shared)
    assert Mark("build") != Mark("export")
