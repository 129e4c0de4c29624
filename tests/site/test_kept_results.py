"""Kept results lie where the system keeps such files; the oldest go when they are too many."""

from __future__ import annotations

import os
import sys
from pathlib import Path

import pytest
from benchleaf.site.build.kept_results import cache_folder, prune


def test_they_lie_where_the_user_says(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("BENCHLEAF_CACHE", str(tmp_path))
    assert cache_folder() == tmp_path
    monkeypatch.delenv("BENCHLEAF_CACHE")
    assert cache_folder().parts[-2:] == ("benchleaf", "pictures")


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="the rules of the Linux desktop")
def test_they_lie_in_the_cache_of_the_desktop(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.delenv("BENCHLEAF_CACHE", raising=False)
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    assert cache_folder() == tmp_path / "benchleaf" / "pictures"
    monkeypatch.delenv("XDG_CACHE_HOME")
    monkeypatch.setenv("HOME", str(tmp_path / "home"))
    assert cache_folder() == tmp_path / "home" / ".cache" / "benchleaf" / "pictures"


def test_oldest_go_first(tmp_path: Path) -> None:
    for n in range(5):
        file = tmp_path / f"{n}" / f"{n}.zip"
        file.parent.mkdir()
        file.write_bytes(bytes(100))
        os.utime(file, (1000 + n, 1000 + n))
    assert prune(tmp_path, 250) == 3
    assert sorted(p.name for p in tmp_path.rglob("*.zip")) == ["3.zip", "4.zip"]


def test_small_folder_and_missing_folder_are_left_alone(tmp_path: Path) -> None:
    (tmp_path / "1.zip").write_bytes(bytes(100))
    assert prune(tmp_path, 100) == 0
    assert prune(tmp_path / "none") == 0
