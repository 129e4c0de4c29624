"""A folder appears whole or not at all, and nothing of somebody else's is touched."""

from __future__ import annotations

from pathlib import Path

import pytest
from benchleaf.site.build.folders import MARK, FolderFault, swapped_in


def _all(folder: Path) -> set[str]:
    return {str(p.relative_to(folder)) for p in folder.rglob("*")}


def test_new_folder_appears_at_the_end(tmp_path: Path) -> None:
    target = tmp_path / "library"
    with swapped_in(target) as fresh:
        (fresh / "index.html").write_text("new", "utf-8")
        assert not target.exists()
        assert fresh.parent == tmp_path
    assert _all(tmp_path) == {"library", "library/index.html", f"library/{MARK}"}


def test_own_folder_is_replaced_whole(tmp_path: Path) -> None:
    target = tmp_path / "library"
    with swapped_in(target) as fresh:
        (fresh / "old.html").write_text("old", "utf-8")
    with swapped_in(target) as fresh:
        (fresh / "new.html").write_text("new", "utf-8")
    assert _all(target) == {"new.html", MARK}
    assert _all(tmp_path) == {"library", "library/new.html", f"library/{MARK}"}


def test_failure_leaves_the_old_folder_and_no_rest(tmp_path: Path) -> None:
    target = tmp_path / "library"
    with swapped_in(target) as fresh:
        (fresh / "old.html").write_text("old", "utf-8")
    with pytest.raises(FileNotFoundError), swapped_in(target) as fresh:
        (fresh / "half" / "page.html").write_text("half", "utf-8")
    assert (target / "old.html").read_text("utf-8") == "old"
    assert _all(tmp_path) == {"library", "library/old.html", f"library/{MARK}"}


def test_failing_swap_puts_the_old_folder_back(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    target = tmp_path / "library"
    with swapped_in(target) as fresh:
        (fresh / "old.html").write_text("old", "utf-8")
    real = Path.rename

    def rename(self: Path, to: Path) -> Path:
        if Path(to) == target and "-old" not in self.name:
            raise PermissionError(13, "in use", str(self))
        return real(self, to)

    monkeypatch.setattr(Path, "rename", rename)
    with pytest.raises(PermissionError, match="in use"), swapped_in(target):
        pass
    assert _all(tmp_path) == {"library", "library/old.html", f"library/{MARK}"}


def test_foreign_folder_is_left_alone(tmp_path: Path) -> None:
    target = tmp_path / "holiday"
    target.mkdir()
    (target / "photo.jpg").write_bytes(b"x")
    with (
        pytest.raises(FolderFault, match="was not written by benchleaf, so it is left alone"),
        swapped_in(target),
    ):
        pytest.fail("the block must not run")
    assert _all(tmp_path) == {"holiday", "holiday/photo.jpg"}


def test_empty_folder_may_be_used(tmp_path: Path) -> None:
    target = tmp_path / "empty"
    target.mkdir()
    with swapped_in(target) as fresh:
        (fresh / "a").touch()
    assert _all(target) == {"a", MARK}


def test_file_and_missing_parent_are_refused(tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    with pytest.raises(FolderFault, match="is not a folder"), swapped_in(tmp_path / "file"):
        pass
    with (
        pytest.raises(FolderFault, match=r"does not exist\. Make it first"),
        swapped_in(tmp_path / "no" / "lib"),
    ):
        pass
