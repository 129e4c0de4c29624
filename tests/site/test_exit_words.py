"""How verbs end badly: "Nothing was written" is said where it is so, and only there; the old folder stays whole."""

from __future__ import annotations

import errno
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from benchleaf.geometry.exchange.own_parts import OwnPartError
from benchleaf.geometry.meshes.overlaps import OverlapError
from benchleaf.sequences.calculations.doubts import FleetFaultsFound
from benchleaf.sequences.files.faults import Fault, FaultsFound
from benchleaf.sequences.proof.assembly_proof import AssemblyProof
from benchleaf.sequences.proof.head_work import HeadWork
from benchleaf.sequences.values.sourced_values import Missing
from benchleaf.sequences.work.store import Store
from benchleaf.sequences.work.worker_pool import WorkerLost
from benchleaf.site import verbs
from benchleaf.site.booklets import library
from benchleaf.site.booklets.head_job import HeadDone, HeadJob
from benchleaf.site.build import folders
from benchleaf.site.build.folders import swapped_in
from benchleaf.site.command import main
from benchleaf.site.exit_words import Output, explain
from benchleaf.site.extras import assembly_evidence, exporting, starter
from benchleaf.site.folders.marks import MARK
from benchleaf.site.pages.library.head_lines import HeadLine
from small_assembly import write_small_assembly

NOTHING, LATER = "Nothing was written.", "was written before that."
FAILED, USER, STOPPED = 1, 2, 130
Words = Callable[[Path, Path], list[str]]
"""The arguments of a verb, given a folder for its files and the folder that it writes."""


def _assembly(files: Path, to: Path) -> list[str]:
    return ["evidence", str(write_small_assembly(files)), "--to", str(to), "--afresh"]


def _fleet(*words: str) -> Words:
    def arguments(files: Path, to: Path) -> list[str]:
        folder = files / "fleet"
        if not folder.exists():
            starter.write_starter(folder)
        return [words[0], str(folder), "--to", str(to), *words[1:]]

    return arguments


VERBS: dict[str, Words] = {
    "build": _fleet("build", "--unproven", "--afresh"),
    "export": _fleet("export"),
    "evidence": _fleet("evidence", "--afresh"),
    "evidence of an assembly": _assembly,
}


def _made(jobs: list[HeadJob], *_: object) -> list[HeadDone]:
    return [HeadDone(HeadLine.bare(j.slug, j.tag)) for j in jobs]


@pytest.fixture(autouse=True, name="hours")
def _hours(monkeypatch: pytest.MonkeyPatch) -> None:
    """Leave out what takes long in each verb, once all is checked; the way round it is the real one."""
    monkeypatch.setattr(library, "make_booklets", _made)
    monkeypatch.setattr(exporting, "write_models", lambda work, folder, *_: (folder / "x.step").touch())
    monkeypatch.setattr(HeadWork, "prove", lambda work, *_: AssemblyProof(work.row.tag, {}, None))


def _fail_at_work(monkeypatch: pytest.MonkeyPatch, error: BaseException) -> None:
    """Have the long work of every verb end with ``error``."""

    def fail(*_: object, **__: object) -> Any:
        raise error

    for module, name in (
        (library, "make_booklets"),
        (exporting, "write_models"),
        (HeadWork, "prove"),
        (assembly_evidence, "prove_plans"),
    ):
        monkeypatch.setattr(module, name, fail)


def _fail_at_report(monkeypatch: pytest.MonkeyPatch, error: BaseException, to: Path) -> None:
    """Have the report of every verb end with ``error``: its folder has been swapped in by then."""

    def say(text: str, **more: Any) -> None:
        if str(to) in text:
            raise error
        print(text, **more)

    monkeypatch.setattr(verbs, "print", say, raising=False)


def _old_folder(to: Path, verb: Any) -> None:
    with swapped_in(to, verb) as folder:
        (folder / "old.html").touch()


def _content(folder: Path) -> set[str]:
    return {str(p.relative_to(folder)) for p in folder.rglob("*")}


ERRORS = [
    (KeyboardInterrupt(), STOPPED, "Stopped. {what}\n"),
    (
        ZeroDivisionError("seeded"),
        FAILED,
        "benchleaf failed: ZeroDivisionError: seeded\n{what} This is a fault",
    ),
    (
        OSError(errno.ENOSPC, "full"),
        USER,
        "no room left on the disk. Make room or choose another disk with --to. {what}",
    ),
    (OSError(errno.EACCES, "no"), USER, "Choose a place where you may read and write. {what}"),
    (WorkerLost("A worker was ended."), USER, "A worker was ended. {what} "),
]


@pytest.mark.parametrize("there", [False, True], ids=["new folder", "old folder"])
@pytest.mark.parametrize(("error", "status", "said"), ERRORS)
@pytest.mark.parametrize("verb", VERBS)
def test_what_fails_before_the_folder_is_there_writes_nothing(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    verb: str,
    error: BaseException,
    status: int,
    said: str,
    there: bool,
) -> None:
    to = tmp_path / "out"
    words = VERBS[verb](tmp_path, to)
    if there:
        _old_folder(to, words[0])
    before = _content(tmp_path)
    _fail_at_work(monkeypatch, error)
    assert main(words) == status
    err = capsys.readouterr().err
    assert said.format(what=NOTHING) in err
    assert LATER not in err
    assert _content(tmp_path) == before


@pytest.mark.parametrize("there", [False, True], ids=["new folder", "old folder"])
@pytest.mark.parametrize(("error", "status", "said"), ERRORS[:4])
@pytest.mark.parametrize("verb", VERBS)
def test_what_fails_after_the_swap_does_not_say_that_nothing_was_written(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    verb: str,
    error: BaseException,
    status: int,
    said: str,
    there: bool,
) -> None:
    to = tmp_path / "out"
    words = VERBS[verb](tmp_path, to)
    if there:
        _old_folder(to, words[0])
    _fail_at_report(monkeypatch, error, to)
    assert main(words) == status
    err = capsys.readouterr().err
    assert said.format(what=f"{to} {LATER}") in err
    assert NOTHING not in err
    assert (to / MARK).is_file()
    assert not (to / "old.html").exists()


@pytest.mark.parametrize("verb", VERBS)
def test_stopped_while_the_old_folder_is_cleared_away(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], verb: str
) -> None:
    to = tmp_path / "out"
    words = VERBS[verb](tmp_path, to)
    assert main(words) == 0
    capsys.readouterr()

    def clear(_: Path) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(folders, "remove", clear)
    assert main(words) == STOPPED
    assert f"Stopped. {to} {LATER}\n" in capsys.readouterr().err


def test_after_the_swap_a_build_can_still_fail_over_its_timings_or_its_store(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    to = tmp_path / "out"
    words = VERBS["build"](tmp_path, to)
    assert main([*words, "--timings", str(tmp_path / "none" / "t.json")]) == USER
    assert f"t.json: not found. {to} {LATER}" in capsys.readouterr().err
    monkeypatch.setenv("BENCHLEAF_CACHE", str(tmp_path / "cache"))

    def fail(*_: object) -> None:
        raise ZeroDivisionError("seeded")

    monkeypatch.setattr(Store, "prune", fail)
    assert main([w for w in words if w != "--afresh"]) == FAILED
    assert f"seeded\n{to} {LATER} This is a fault" in capsys.readouterr().err


def test_a_lost_worker_ends_with_what_can_be_done(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    _fail_at_work(monkeypatch, WorkerLost("A worker was ended by the system."))
    for verb, fix in (
        ("build", "Try fewer at the same time: --workers 1"),
        ("evidence", "Close other programs"),
    ):
        assert main(VERBS[verb](tmp_path, tmp_path / "out")) == USER
        assert f"A worker was ended by the system. {NOTHING} {fix}" in capsys.readouterr().err


def test_a_fault_of_the_proof_ends_a_build_with_every_fault_and_nothing_written(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def faulty(jobs: list[HeadJob], *_: object) -> list[HeadDone]:
        bare = [HeadLine.bare(j.work.row.slug, j.tag) for j in jobs]
        return [HeadDone(b, faults=("assembly: a", "b")) for b in bare]

    monkeypatch.setattr(library, "make_booklets", faulty)
    words = VERBS["build"](tmp_path, tmp_path / "out")
    assert main(words) == USER
    assert capsys.readouterr().err.endswith(
        "The proof found what cannot be done:\n  P-101, assembly: a\n  P-101, b\n"
        f"{NOTHING} Mend the sequence or the size, or build all the same with --despite-proof.\n"
    )
    assert not (tmp_path / "out").exists()
    assert main([*words, "--despite-proof"]) == 0


def test_a_part_that_cannot_be_proven_is_the_users_to_mend(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    words = VERBS["evidence of an assembly"](tmp_path, tmp_path / "out")
    _fail_at_work(monkeypatch, OverlapError("lid: no closed surface"))
    assert main(words) == USER
    assert "lid.yaml: found lid: no closed surface; allowed: closed, valid solids" in capsys.readouterr().err
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize("there", [False, True], ids=["new folder", "folder in use"])
@pytest.mark.parametrize(("error", "status", "said"), ERRORS[:4])
def test_a_new_fleet_that_fails_leaves_nothing(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    error: BaseException,
    status: int,
    said: str,
    there: bool,
) -> None:
    folder = tmp_path / "fleet"
    if there:
        folder.mkdir()
        (folder / "notes.txt").touch()
    before, write = _content(tmp_path), starter.write_new

    def fail(file: Path, content: bytes, written: list[Path]) -> None:
        write(file, content[: len(content) // 2], written)
        if file.name == "fleet.yaml":
            raise error

    with monkeypatch.context() as patch:
        patch.setattr(starter, "write_new", fail)
        assert main(["new", str(folder)]) == status
        assert said.format(what=NOTHING) in capsys.readouterr().err
        assert _content(tmp_path) == before
    _fail_at_report(monkeypatch, error, folder)
    assert main(["new", str(folder)]) == status
    assert said.format(what=f"{folder / 'fleet.yaml'} {LATER}") in capsys.readouterr().err


def test_a_reader_who_leaves_before_the_end_is_no_success(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    ends = list[int]()
    monkeypatch.setattr("benchleaf.site.command.os.dup2", lambda *_: ends.append(1))
    _fail_at_work(monkeypatch, BrokenPipeError())
    assert main(VERBS["export"](tmp_path, tmp_path / "out")) == STOPPED
    monkeypatch.setattr(exporting, "write_models", lambda work, folder, *_: (folder / "x.step").touch())
    _fail_at_report(monkeypatch, BrokenPipeError(), tmp_path / "out")
    assert main(VERBS["export"](tmp_path, tmp_path / "out")) == 0
    assert ends == [1, 1]
    capfd.readouterr()


def test_what_a_file_says_of_itself_does_not_steer_the_terminal() -> None:
    error = OwnPartError(Path("part.glb"), "a GLB file that requires \x1b[2J", "plain triangles", "export it")
    status, said = explain(error, Output(None), "build")
    assert status == USER
    assert "requires \\x1b[2J, allowed plain triangles" in said


def test_a_kit_of_spares_tells_the_mistakes_alone() -> None:
    fault = Fault("fleet.yaml", 4, 9, "heads > #1", "'singel'", "single or double", "write single")
    error = FleetFaultsFound([fault], 2, [], [Missing("P-1", "gear_case_oil", "")])
    told = {verb: explain(error, Output(None), verb)[1] for verb in ("check", "spares")}
    assert told["spares"] == str(FaultsFound([fault]))
    assert told["check"].startswith(told["spares"] + "\n")
