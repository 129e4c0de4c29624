"""The export verb: both files of each head asked for, nothing written on a mistake."""

from __future__ import annotations

from pathlib import Path

import pytest
from benchleaf.site.command import main


def test_export_writes_both_files(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["export", "demo", "--only", "P-101", "--to", str(tmp_path / "models")]) == 0
    names = sorted(p.name for p in (tmp_path / "models").iterdir() if not p.name.startswith("."))
    assert names == ["p-101.glb", "p-101.step"]
    assert "1 head as STEP and glTF" in capsys.readouterr().out


def test_unknown_tag_writes_nothing(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["export", "demo", "--only", "P-999", "--to", str(tmp_path / "models")]) == 2
    assert "P-999" in capsys.readouterr().err
    assert not (tmp_path / "models").exists()
