"""A folder appears whole or not at all, and nothing of somebody else's is touched."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from benchleaf.site.build import folders
from benchleaf.site.build.folders import FolderFault, check_target, heal, swapped_in
from benchleaf.site.folders.left_overs import held, make_fresh, old_name
from benchleaf.site.folders.marks import MARK, differences, read_mark


def _all(folder: Path) -> set[str]:
    """Return all paths but those of the lock, which is there as long as the folder is held."""
    found = {str(p.relative_to(folder)) for p in folder.rglob("*")}
    return {p for p in found if not p.endswith("-lock")}


def _write(target: Path, *names: str) -> None:
    with swapped_in(target, "build") as fresh:
        for name in names:
            (fresh / name).parent.mkdir(exist_ok=True)
            (fresh / name).write_text(name, "utf-8")


def test_new_folder_appears_at_the_end(tmp_path: Path) -> None:
    target = tmp_path / "library"
    with swapped_in(target, "build") as fresh:
        (fresh / "index.html").write_text("new", "utf-8")
        assert not target.exists()
        assert fresh.parent == tmp_path
    assert _all(tmp_path) == {"library", "library/index.html", f"library/{MARK}"}
    assert [p.name for p in tmp_path.iterdir()] == ["library"], "no lock is left"


def test_own_folder_is_replaced_whole(tmp_path: Path) -> None:
    target = tmp_path / "library"
    _write(target, "old.html")
    _write(target, "new.html")
    assert _all(tmp_path) == {"library", "library/new.html", f"library/{MARK}"}


def test_the_mark_lists_what_was_written(tmp_path: Path) -> None:
    target = tmp_path / "library"
    _write(target, "index.html", "p-101/index.html")
    mark = read_mark(target)
    assert mark is not None
    assert (mark.verb, [f.path for f in mark.files]) == ("build", ["index.html", "p-101/index.html"])
    assert not differences(target, mark)
    shutil.copytree(target, tmp_path / "copy")
    assert not differences(tmp_path / "copy", mark)


def test_hashes_that_the_block_knows_are_taken(tmp_path: Path) -> None:
    known = dict[str, str]()
    with swapped_in(tmp_path / "library", "build", known) as fresh:
        (fresh / "index.html").touch()
        known["index.html"] = "f00d"
    mark = read_mark(tmp_path / "library")
    assert mark is not None
    assert mark.files[0].sha256 == "f00d"


def test_failure_leaves_the_old_folder_and_no_rest(tmp_path: Path) -> None:
    target = tmp_path / "library"
    _write(target, "old.html")
    with pytest.raises(FileNotFoundError), swapped_in(target, "build") as fresh:
        (fresh / "half" / "page.html").write_text("half", "utf-8")
    assert (target / "old.html").read_text("utf-8") == "old.html"
    assert _all(tmp_path) == {"library", "library/old.html", f"library/{MARK}"}


@pytest.mark.parametrize("error", [PermissionError(13, "in use"), KeyboardInterrupt()])
def test_failing_swap_puts_the_old_folder_back(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, error: BaseException
) -> None:
    target = tmp_path / "library"
    _write(target, "old.html")
    real = Path.rename

    def rename(self: Path, to: Path) -> Path:
        if Path(to) == target and "-old" not in self.name:
            raise error
        return real(self, to)

    monkeypatch.setattr(Path, "rename", rename)
    with pytest.raises(type(error)), swapped_in(target, "build"):
        pass
    assert _all(tmp_path) == {"library", "library/old.html", f"library/{MARK}"}


def test_foreign_folder_is_left_alone(tmp_path: Path) -> None:
    target = tmp_path / "holiday"
    target.mkdir()
    (target / "photo.jpg").write_bytes(b"x")
    with (
        pytest.raises(FolderFault, match="was not written by benchleaf, so it is left alone"),
        swapped_in(target, "build"),
    ):
        pytest.fail("the block must not run")
    assert _all(tmp_path) == {"holiday", "holiday/photo.jpg"}


def test_empty_folder_may_be_used(tmp_path: Path) -> None:
    target = tmp_path / "empty"
    target.mkdir()
    _write(target, "a")
    assert _all(tmp_path) == {"empty", "empty/a", f"empty/{MARK}"}


def test_file_and_missing_parent_are_refused(tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    with pytest.raises(FolderFault, match="is not a folder"), swapped_in(tmp_path / "file", "build"):
        pass
    with (
        pytest.raises(FolderFault, match=r"does not exist\. Make it first"),
        swapped_in(tmp_path / "no" / "lib", "build"),
    ):
        pass


def test_a_folder_of_another_verb_is_left_alone(tmp_path: Path) -> None:
    target = tmp_path / "library"
    _write(target, "index.html")
    said = "was written by benchleaf build, so benchleaf export leaves it"
    with pytest.raises(FolderFault, match=said):
        check_target(target, "export")
    with pytest.raises(FolderFault, match=said), swapped_in(target, "export"):
        pytest.fail("the block must not run")
    assert _all(tmp_path) == {"library", "library/index.html", f"library/{MARK}"}


def test_a_persons_files_are_never_replaced_and_named_up_to_five(tmp_path: Path) -> None:
    target = tmp_path / "library"
    _write(target, "index.html", "p-101/index.html")
    (target / "p-101" / "fleet.yaml").touch()
    with pytest.raises(
        FolderFault, match=r"did not write, or not like that: p-101/fleet.yaml\. It would be lost"
    ):
        check_target(target, "build")
    for n in range(6):
        (target / f"note {n}.txt").touch()
    with pytest.raises(
        FolderFault, match=r"note 0.txt, note 1.txt, note 2.txt, note 3.txt, note 4.txt and 2 more"
    ):
        _write(target, "index.html")
    assert (target / "note 5.txt").is_file()
    assert not [p for p in tmp_path.iterdir() if p != target]


def test_a_changed_page_is_made_again_and_a_table_that_was_filled_in_is_not(tmp_path: Path) -> None:
    target = tmp_path / "library"
    _write(target, "index.html", "missing.csv")
    (target / "index.html").write_text("changed by hand", "utf-8")
    _write(target, "index.html", "missing.csv")
    assert (target / "index.html").read_text("utf-8") == "index.html"
    (target / "missing.csv").write_text("filled in", "utf-8")
    with pytest.raises(FolderFault, match=r"did not write, or not like that: missing.csv"):
        check_target(target, "build")


def test_what_comes_into_the_old_folder_while_the_new_one_is_made_is_not_lost(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    target = tmp_path / "library"
    _write(target, "old.html")
    work = swapped_in(target, "build")
    (work.__enter__() / "new.html").touch()
    (target / "notes.txt").write_text("mine", "utf-8")
    monkeypatch.setattr(Path, "rename", lambda *_: pytest.fail("the old folder is not even moved"))
    with pytest.raises(FolderFault, match=r"notes\.txt"):
        work.__exit__(None, None, None)
    assert _all(tmp_path) == {"library", "library/old.html", "library/notes.txt", f"library/{MARK}"}


def test_what_comes_at_the_last_moment_is_not_lost(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    target = tmp_path / "library"
    _write(target, "old.html")
    real = Path.rename

    def rename(self: Path, to: Path) -> Path:
        if self == target and Path(to).name.endswith("-old"):
            (self / "notes.txt").write_text("mine", "utf-8")
        return real(self, to)

    monkeypatch.setattr(Path, "rename", rename)
    with pytest.raises(FolderFault, match=r"notes\.txt"):
        _write(target, "new.html")
    assert _all(tmp_path) == {"library", "library/old.html", "library/notes.txt", f"library/{MARK}"}


def test_a_second_process_at_one_folder_is_refused(tmp_path: Path) -> None:
    target = tmp_path / "library"
    said = r"Another benchleaf is at work on .*library\. Wait until"
    with held(target):
        with pytest.raises(FolderFault, match=said):
            check_target(target, "build")
        with pytest.raises(FolderFault, match=said):
            _write(target, "a")
    link = tmp_path / "link"
    (tmp_path / "real").mkdir()
    link.symlink_to(tmp_path / "real")
    with held(tmp_path / "real" / "library"), pytest.raises(FolderFault, match="Another benchleaf"):
        check_target(link / "library", "build")


def test_left_overs_go_at_the_next_start_but_not_those_of_a_living_build(tmp_path: Path) -> None:
    target = tmp_path / "library"
    left = make_fresh(target, "build")
    with swapped_in(target, "build") as fresh:
        assert not left.exists()
        with pytest.raises(FolderFault):
            check_target(target, "build")
        assert fresh.is_dir()
    make_fresh(target, "build")
    check_target(target, "build")
    assert _all(tmp_path) == {"library", f"library/{MARK}"}


def test_a_kill_between_the_two_renames_is_healed_by_any_verb(tmp_path: Path) -> None:
    def check(target: Path) -> None:
        check_target(target, "build")

    def write(target: Path) -> None:
        _write(target, "index.html")

    for way in (heal, check, write):
        target = tmp_path / "library"
        _write(target, "index.html")
        target.rename(old_name(make_fresh(target, "build")))
        way(target)
        assert (target / "index.html").is_file()
        check_target(target, "build")
        assert _all(tmp_path) == {"library", "library/index.html", f"library/{MARK}"}


def test_healing_leaves_alone_what_a_living_build_is_swapping(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    target = tmp_path / "library"
    _write(target, "index.html")
    with held(target):
        target.rename(old_name(make_fresh(target, "build")))
        heal(target)
        assert not target.exists()
    heal(target)
    assert (target / "index.html").is_file()

    def refuse(_: Path) -> None:
        raise PermissionError(13, "read-only")

    target.rename(old_name(make_fresh(target, "build")))
    monkeypatch.setattr(folders, "put_back", refuse)
    heal(target)  # without a word: what the verb does next says what is wrong
    assert not target.exists()
