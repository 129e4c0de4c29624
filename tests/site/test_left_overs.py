"""What a killed process leaves beside its folder goes at the next start, or is put back; a living one is left alone."""

from __future__ import annotations

import shutil
import subprocess
import sys
from contextlib import suppress
from pathlib import Path

import pytest
from benchleaf.site.folders.left_overs import (
    InUse,
    clear_left_overs,
    held,
    make_fresh,
    old_name,
    put_back,
    remove,
    set_aside,
)
from benchleaf.site.folders.marks import Mark, write_mark

HOLD = """\
import sys
from contextlib import suppress
from pathlib import Path
from benchleaf.site.folders.left_overs import held
with held(Path(sys.argv[1])):
    print("held", flush=True)
    sys.stdin.read()
"""


def _names(folder: Path) -> set[str]:
    return {p.name for p in folder.iterdir()}


def _old(target: Path) -> Path:
    old = old_name(target.with_name(f".{target.name}-0123abcd"))
    old.mkdir()
    write_mark(old, Mark("build"))
    (old / "index.html").touch()
    return old


def test_a_folder_is_held_by_one_process_until_that_ends_however_it_ends(tmp_path: Path) -> None:
    target = tmp_path / "library"
    with subprocess.Popen(
        [sys.executable, "-c", HOLD, str(target)], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    ) as other:
        assert other.stdout
        assert other.stdout.readline() == "held\n"
        with pytest.raises(InUse), held(target):
            pytest.fail("it is held by another")
        with held(tmp_path / "other"):
            pass
        other.kill()
    assert _names(tmp_path) == {".library.benchleaf-lock"}
    with held(target), pytest.raises(InUse), held(target):
        pytest.fail("it is held here")
    assert _names(tmp_path) == set()


@pytest.mark.skipif(sys.platform == "win32", reason="a file that is open cannot be taken away there")
def test_a_lock_of_a_file_that_is_gone_is_none(tmp_path: Path) -> None:
    """The file is opened, then the other one ends and takes it away, then it is locked: a lock of nothing."""
    import fcntl

    target, real = tmp_path / "library", fcntl.flock
    gone = list[Path]()

    def late(fd: int, how: int) -> None:
        if how & fcntl.LOCK_EX and not gone:
            gone.append(target.with_name(".library.benchleaf-lock"))
            gone[0].unlink()
        real(fd, how)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(fcntl, "flock", late)
        with suppress(InUse), held(target):  # told to come again, or with a new file at once: both are sound
            assert gone[0].is_file(), "a lock of a new file"
            with pytest.raises(InUse), held(target):
                pytest.fail("it is held here")
    assert gone


def test_left_over_folders_go_and_others_stay(tmp_path: Path) -> None:
    target = tmp_path / "library"
    target.mkdir()
    for _ in range(3):
        fresh = make_fresh(target, "build")
        (fresh / "p-101").mkdir()
        (fresh / "p-101" / "half.html").touch()
    (tmp_path / ".library-00000000").mkdir()  # killed before it was marked
    stay = {
        ".library-notes",
        ".library-0123456",
        ".library-0123abcd-older",
        ".other-0123abcd",
        ".library-x-0123abcd",
        "library-0123abcd",
    }
    for name in stay:
        (tmp_path / name).mkdir()
        write_mark(tmp_path / name, Mark("build"))
    mine = tmp_path / ".library-feedbeef"
    mine.mkdir()
    (mine / "diary.txt").touch()
    clear_left_overs(target)
    assert _names(tmp_path) == stay | {"library", mine.name}
    assert (mine / "diary.txt").is_file()


def test_a_library_that_was_set_aside_is_put_back_and_one_that_was_replaced_goes(tmp_path: Path) -> None:
    target = tmp_path / "library"
    old = _old(target)
    assert set_aside(target) == old
    put_back(target)
    assert _names(tmp_path) == {"library"}
    assert (target / "index.html").is_file()
    assert set_aside(target) is None
    _old(target)
    assert set_aside(target) is None, "the folder is there"
    clear_left_overs(target)
    assert _names(tmp_path) == {"library"}


def test_the_mark_goes_last(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What is left where clearing away is stopped has to be known for ours."""
    fresh = make_fresh(tmp_path / "library", "build")
    for n in range(9):
        (fresh / f"{n}").mkdir()
        (fresh / f"{n}.html").touch()

    def stop(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    listed = Path.iterdir
    with monkeypatch.context() as patch:
        patch.setattr(
            Path, "iterdir", lambda self: iter(sorted(listed(self)))
        )  # the mark is the first of them
        patch.setattr(shutil, "rmtree", stop)
        with pytest.raises(KeyboardInterrupt):
            remove(fresh)
    clear_left_overs(tmp_path / "library")
    assert _names(tmp_path) == set()


def test_files_that_come_while_a_folder_is_cleared_away_go_too(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    fresh = make_fresh(tmp_path / "library", "build")
    real, late = Path.rmdir, ["late.html"]

    def rmdir(self: Path) -> None:
        if late:
            (self / late.pop()).touch()
        real(self)

    monkeypatch.setattr(Path, "rmdir", rmdir)
    remove(fresh)
    assert (late, _names(tmp_path)) == ([], set())
