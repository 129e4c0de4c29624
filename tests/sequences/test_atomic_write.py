"""A file is there whole or not at all, with the rights of any new file."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from benchleaf.sequences.work.atomic_write import write_whole


def test_a_file_is_written_into_a_new_folder_and_over_an_old_one(tmp_path: Path) -> None:
    path = tmp_path / "a" / "b.json"
    for content in (b"one", b"second"):
        write_whole(path, content)
        assert path.read_bytes() == content
        assert list(path.parent.iterdir()) == [path]


def test_its_rights_are_those_of_any_new_file(tmp_path: Path) -> None:
    plain, whole = tmp_path / "plain", tmp_path / "whole"
    plain.write_bytes(b"")
    write_whole(whole, b"")
    assert whole.stat().st_mode == plain.stat().st_mode


@pytest.mark.parametrize("fault", [OSError("the disk is full"), KeyboardInterrupt()])
@pytest.mark.parametrize("where", ["fsync", "replace"])
def test_where_it_fails_the_old_file_stays_alone(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, fault: BaseException, where: str
) -> None:
    path = tmp_path / "b.json"
    path.write_bytes(b"old")

    def fails(*_: object) -> None:
        raise fault

    if where == "fsync":
        monkeypatch.setattr(os, "fsync", fails)
    else:
        monkeypatch.setattr(Path, "replace", fails)
    with pytest.raises(type(fault)):
        write_whole(path, b"new")
    assert list(tmp_path.iterdir()) == [path]
    assert path.read_bytes() == b"old"
