"""Killed, stopped, out of room, refused: the old folder stays whole, and the next start leaves nothing of the dead."""

from __future__ import annotations

import os
import random
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from benchleaf.site.build.folders import check_target, swapped_in
from benchleaf.site.command import main
from benchleaf.site.folders.marks import MARK, files_in
from build_processes import TOLD, all_gone, beside, ended, start, until
from small_assembly import write_small_assembly

pytestmark = [
    pytest.mark.skipif(not TOLD, reason="looks for processes as Linux tells them"),
    pytest.mark.slow,
]
KILLS = 12
"""A hundred kills of whole libraries, by hand: ``tests/benchmarks/kill_builds.py``."""

KILLED_AT = """\
import os, signal, sys
from pathlib import Path
from benchleaf.site.build.folders import heal, swapped_in
from benchleaf.site.folders.marks import read_mark
import filelock, shutil, uuid
folder, text = sys.argv[1:]

def build(at):
    seen = 0

    def hook(event, args):
        nonlocal seen
        if event in ("open", "os.mkdir", "os.rename", "os.remove", "os.rmdir") and any(folder in str(a) for a in args):
            seen += 1
            if seen == at:
                os.kill(os.getpid(), signal.SIGKILL)

    sys.addaudithook(hook)
    target = Path(folder, "library")
    heal(target)
    with swapped_in(target, "build") as fresh:
        (fresh / "p-101").mkdir()
        for name in ("index.html", "missing.csv", "p-101/index.html"):
            (fresh / name).write_text(text)

for line in sys.stdin:
    if not (pid := os.fork()):
        status = 1
        try:
            build(int(line))
            status = 0
        finally:
            os._exit(status)
    print(os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1]), flush=True)
"""
"""Builds for each number that it reads, killed at the so-many-th file touched; tells how each ended."""


KILLED = """\
import os, random, shutil, signal, sys, time
from benchleaf.site.command import main

assembly, clean, library, kills = sys.argv[1:]
words = ["evidence", assembly, "--afresh", "--to"]
assert main([*words, clean]) == 0  # with all that it has to import
shutil.copytree(clean, library)

def begun():
    sys.stdout.flush()  # or a child that gets to its end writes what is still to be written here once more
    if pid := os.fork():
        return pid
    os.setsid()
    os._exit(main([*words, library]))

begin = time.monotonic()
assert os.waitpid(begun(), 0)[1] == 0
longest = time.monotonic() - begin
moments = random.Random(15)
for _ in range(int(kills)):
    pid = begun()
    time.sleep(moments.uniform(0, longest))
    os.kill(pid, signal.SIGKILL)
    os.waitpid(pid, 0)
    assert main(["verify", library]) == 0
assert main([*words, library]) == 0
assert main(["verify", library]) == 0
"""


@pytest.fixture(scope="module", name="assembly")
def _assembly(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write_small_assembly(tmp_path_factory.mktemp("assembly"))


def _evidence(assembly: Path, to: Path) -> tuple[str, ...]:
    return ("evidence", str(assembly), "--to", str(to), "--afresh")


def _texts(library: Path) -> set[str]:
    return {p.read_text("utf-8") for p in library.rglob("*") if p.is_file() and p.name != MARK}


def test_killed_at_any_file_that_it_touches_one_of_the_two_libraries_stands_whole(tmp_path: Path) -> None:
    """Every open, rename and removal in turn: no moment is left to chance."""
    folder, stood = tmp_path / "works", list[str]()
    target = folder / "library"
    run = [sys.executable, "-c", KILLED_AT, str(folder), "new"]
    with subprocess.Popen(run, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as builds:
        assert builds.stdin is not None
        assert builds.stdout is not None
        for at in range(1, 200):
            shutil.rmtree(folder, ignore_errors=True)
            folder.mkdir()
            with swapped_in(target, "build") as fresh:
                for name in ("index.html", "gone.html"):
                    (fresh / name).write_text("old", "utf-8")
            print(at, file=builds.stdin, flush=True)
            ended = int(builds.stdout.readline())
            if ended == 0:
                break
            assert ended == -signal.SIGKILL
            check_target(target, "build")  # the next start
            assert [p.name for p in folder.iterdir()] == ["library"], at
            assert main(["verify", str(target)]) == 0, at
            (text,) = _texts(target)
            stood.append(text)
    assert stood == sorted(stood, reverse=True), "the old one up to a moment, the new one from there"
    assert set(stood) == {"old", "new"}
    assert len(stood) > 20


def test_killed_at_random_moments_the_old_folder_opens_and_the_next_one_equals_a_clean_one(
    assembly: Path, tmp_path: Path
) -> None:
    clean, library = tmp_path / "clean", tmp_path / "library"
    script = (sys.executable, "-c", KILLED, str(assembly), str(clean), str(library), str(KILLS))
    done = subprocess.run(script, capture_output=True, text=True, check=False)
    assert (done.returncode, done.stderr) == (0, "")
    files = len(files_in(clean))
    assert files > 8
    weight = sum(p.stat().st_size for p in clean.rglob("*") if p.is_file() and p.name != MARK) / 1e6
    told = f"library: {files} files, {weight:.1f} MB, as benchleaf evidence wrote them.\n"
    assert done.stdout.count(told) == KILLS + 1
    assert beside(tmp_path) == []
    assert (library / MARK).read_bytes() == (clean / MARK).read_bytes()


@pytest.mark.parametrize("seed", [1, 2])
def test_a_build_that_is_asked_to_end_does_so_within_two_seconds(tmp_path: Path, seed: int) -> None:
    words = ("build", "demo", "--only", "P-101", "--unproven", "--afresh", "--to", str(tmp_path / "library"))
    build = start(*words)
    time.sleep(random.Random(seed).uniform(3, 7))
    begin = time.monotonic()
    build.terminate()
    status, said = ended(build)
    took = time.monotonic() - begin
    assert status == 143
    assert said.endswith("Stopped. Nothing was written.\n")
    assert all_gone(build.pid, 1)
    assert list(tmp_path.iterdir()) == []
    # Quiet, it takes half a second; a machine with other work on it takes its time over ending a process, too.
    assert took < 2 * max(1, os.getloadavg()[0] / (os.cpu_count() or 1))


def test_two_at_once_the_second_is_told_and_the_first_ends_well(assembly: Path, tmp_path: Path) -> None:
    first = start(*_evidence(assembly, tmp_path / "library"))
    assert until(lambda: any(p.is_dir() for p in tmp_path.iterdir()), 60)
    first.send_signal(signal.SIGSTOP)
    status, said = ended(start(*_evidence(assembly, tmp_path / "library")))
    first.send_signal(signal.SIGCONT)
    assert status == 2
    assert "Another benchleaf is at work on" in said
    assert ended(first)[0] == 0
    assert [p.name for p in tmp_path.iterdir()] == ["library"]
    assert main(["verify", str(tmp_path / "library")]) == 0


def _old(target: Path) -> bytes:
    with swapped_in(target, "evidence") as fresh:
        (fresh / "index.html").write_text("old", "utf-8")
    return (target / MARK).read_bytes()


def test_a_file_that_may_not_grow_is_told_in_plain_words(assembly: Path, tmp_path: Path) -> None:
    import resource

    before = _old(tmp_path / "library")
    limit = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (40_000, limit[1]))  # the pages' fonts take more
    try:
        verb = start(*_evidence(assembly, tmp_path / "library"))
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, limit)
    status, said = ended(verb)
    assert status == 2
    assert said.rstrip().endswith(
        "larger than a file may be here. Choose another disk with --to, or have the limit raised. "
        "Nothing was written."
    )
    assert ([p.name for p in tmp_path.iterdir()], (tmp_path / "library" / MARK).read_bytes()) == (
        ["library"],
        before,
    )


@pytest.fixture(name="small_disk")
def _small_disk(tmp_path: Path) -> Iterator[Path]:
    disk = tmp_path / "disk"
    disk.mkdir()
    mounted = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=64k", "tmpfs", str(disk)], capture_output=True, check=False
    )
    if mounted.returncode:
        pytest.skip("this user may not mount a small disk; the limit of a file's size is tried all the same")
    yield disk
    subprocess.run(["umount", str(disk)], check=True)


def test_a_full_disk_is_told_in_plain_words(assembly: Path, small_disk: Path) -> None:
    before = _old(small_disk / "library")
    verb = start(*_evidence(assembly, small_disk / "library"))
    status, said = ended(verb)
    assert status == 2
    assert (
        "no room left on the disk. Make room or choose another disk with --to. Nothing was written." in said
    )
    assert [p.name for p in small_disk.iterdir()] == ["library"]
    assert (small_disk / "library" / MARK).read_bytes() == before
    assert main(["verify", str(small_disk / "library")]) == 0


AS_ANYBODY = """\
import ctypes, os, sys
CAP_DAC_OVERRIDE, PR_CAPBSET_DROP = 1, 24
assert os.geteuid() or ctypes.CDLL(None).prctl(PR_CAPBSET_DROP, CAP_DAC_OVERRIDE, 0, 0, 0) == 0
os.execv(sys.executable, [sys.executable, "-m", "benchleaf.site", *sys.argv[1:]])
"""
"""Starts the command without the administrator's right to write where nobody may."""


def test_a_place_that_cannot_be_written_is_told_in_plain_words(assembly: Path, tmp_path: Path) -> None:
    before = _old(tmp_path / "library")
    tmp_path.chmod(0o555)
    try:
        words = _evidence(assembly, tmp_path / "library")
        status, said = ended(start(*words, program=("-c", AS_ANYBODY)))
    finally:
        tmp_path.chmod(0o755)
    assert status == 2
    assert "no permission. Choose a place where you may read and write. Nothing was written." in said
    assert (tmp_path / "library" / MARK).read_bytes() == before
