"""Old kept pictures go, new ones stay."""

from __future__ import annotations

import os
from pathlib import Path

from benchleaf.site.build.pruning import prune


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
