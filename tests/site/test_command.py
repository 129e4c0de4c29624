"""The command: quick help, plain words for every fault of the user's, exit status, nothing written on a fault."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest
from benchleaf.sequences.work.store import Store
from benchleaf.site.booklets.library import build_date
from benchleaf.site.command import DEMO_FLEET, main
from benchleaf.site.exit_words import GOOD, USER
from benchleaf.site.extras.starter import TEXT
from benchleaf.site.verbs import fleet_file


def _run(*words: str, **environment: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "benchleaf.site", *words],
        capture_output=True,
        text=True,
        env={**os.environ, **environment},
        check=False,
    )


def test_help_loads_nothing_heavy() -> None:
    code = (
        "import sys\n"
        "from benchleaf.site.command import main\n"
        "try:\n    main(['build', '--help'])\nexcept SystemExit as e:\n    assert e.code == 0\n"
        "heavy = {'cadquery', 'OCP', 'vtkmodules', 'pyvista', 'numpy', 'pydantic', 'jinja2'} & set(sys.modules)\n"
        "assert not heavy, heavy\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert (done.returncode, done.stderr) == (0, "")
    assert "--to FOLDER" in done.stdout


def test_check_loads_neither_kernel_nor_pictures() -> None:
    code = (
        "import sys\n"
        "from benchleaf.site.command import main\n"
        "assert main(['check', 'demo']) == 0\n"
        "heavy = {'cadquery', 'OCP', 'vtkmodules', 'pyvista'} & set(sys.modules)\n"
        "assert not heavy, heavy\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert (done.returncode, done.stderr) == (0, "")
    assert "no mistakes found" in done.stdout


def test_without_a_verb_help_is_shown(capsys: pytest.CaptureFixture[str]) -> None:
    assert main([]) == 2
    assert "verbs:" in capsys.readouterr().out


def test_version(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["--version"]) == 0
    assert capsys.readouterr().out.startswith("benchleaf ")


def test_check_names_every_mistake_with_its_place(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = (
        TEXT.read_text("utf-8")
        .replace("elastomer: FKM", "elastomer: FKN")
        .replace("demo: true", "demo: perhaps")
    )
    text = text.replace("service:", "servise:")
    file = tmp_path / "fleet.yaml"
    file.write_text(text, "utf-8")
    assert main(["check", str(tmp_path)]) == 2
    err = capsys.readouterr().err
    lines = text.splitlines()
    for wrong, fix in (("elastomer", "write FKM"), ("demo", ""), ("servise", "write service")):
        number = next(n for n, line in enumerate(lines, 1) if line.strip(" -").startswith(f"{wrong}:"))
        said = [line for line in err.splitlines() if f"fleet.yaml, line {number}, column " in line]
        assert len(said) == 1, err
        assert "found" in said[0]
        assert "allowed:" in said[0]
        assert fix in said[0]
    assert "3 mistakes" in err
    assert "Traceback" not in err


def test_build_with_a_mistake_writes_nothing(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "fleet").mkdir()
    file = tmp_path / "fleet" / "fleet.yaml"
    file.write_text(TEXT.read_text("utf-8").replace("rotor_width_mm: 56", "rotor_width_mm: 560"), "utf-8")
    assert main(["build", str(file), "--to", str(tmp_path / "library")]) == 2
    err = capsys.readouterr().err
    assert "rotor_width_mm" in err
    assert "Traceback" not in err
    assert sorted(p.name for p in tmp_path.iterdir()) == ["fleet"]


def test_foreign_target_is_refused_before_any_work(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "photo.jpg").touch()
    assert main(["build", "demo", "--to", str(tmp_path)]) == 2
    assert "was not written by benchleaf, so it is left alone" in capsys.readouterr().err
    assert [p.name for p in tmp_path.iterdir()] == ["photo.jpg"]


def test_unknown_tag_names_the_nearest(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["build", "demo", "--to", str(tmp_path / "x"), "--only", "P-1O1"]) == 2
    err = capsys.readouterr().err
    assert "no pump P-1O1 in the fleet; did you mean P-101?" in err
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("given", "said"),
    [("nowhere", "does not exist. Name a fleet file, or begin one"), (".", "holds no fleet.yaml")],
)
def test_missing_fleet_file(
    given: str, said: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    assert main(["check", given]) == 2
    assert said in capsys.readouterr().err


def test_a_folder_stands_for_the_file_in_it(tmp_path: Path) -> None:
    (own := tmp_path / "assembly.yaml").touch()
    assert fleet_file(str(tmp_path)) == own
    (fleet := tmp_path / "fleet.yaml").touch()
    assert fleet_file(str(tmp_path)) == fleet


def test_missing_graphics_name_the_package_and_exit_2(tmp_path: Path) -> None:
    """A window system that is not there stands in for a missing GL library: VTK ends its process in both cases."""
    done = _run(
        "build",
        "demo",
        "--to",
        str(tmp_path / "x"),
        DISPLAY="",
        VTK_DEFAULT_OPENGL_WINDOW="vtkXOpenGLRenderWindow",
    )
    assert done.returncode == 2
    assert "Pictures cannot be drawn on this machine" in done.stderr
    if sys.platform.startswith("linux"):
        assert "apt-get install libegl1 libgl1-mesa-dri" in done.stderr
    assert "Traceback" not in done.stderr
    assert "bad X server" not in done.stderr
    assert list(tmp_path.iterdir()) == []


@pytest.mark.skipif(
    sys.platform == "win32" or (os.geteuid() == 0 and not Path("/dev/full").exists()),
    reason="needs /dev/full",
)
def test_full_disk_is_said_in_plain_words(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    from benchleaf.site.extras import starter

    def full(folder: Path, table: bool) -> Path:
        with Path("/dev/full").open("w", encoding="utf-8") as out:
            out.write("x")
        return folder

    monkeypatch.setattr(starter, "write_starter", full)
    assert main(["new", "anything"]) == 2
    err = capsys.readouterr().err
    assert "no room left on the disk" in err
    assert "Traceback" not in err


def test_no_permission_is_said_in_plain_words(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def refuse(self: Path, *_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied", str(self))

    monkeypatch.setattr(Path, "mkdir", refuse)
    assert main(["new", str(tmp_path / "fleet")]) == 2
    assert "fleet: no permission. Choose a place where you may read and write." in capsys.readouterr().err


def test_fault_of_the_program_is_owned_up_to(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    from benchleaf.site.extras import checking

    def broken(_: Path) -> None:
        raise ZeroDivisionError("inside")

    monkeypatch.setattr(checking, "check_fleet", broken)
    assert main(["check", "demo"]) == 1
    err = capsys.readouterr().err
    assert "ZeroDivisionError: inside" in err
    assert "a fault of the program, not of your files" in err
    assert "Traceback" not in err
    with pytest.raises(ZeroDivisionError, match="inside"):
        main(["--details", "check", "demo"])


def test_interrupt_ends_quietly(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    from benchleaf.site.extras import checking

    def interrupted(_: Path) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(checking, "check_fleet", interrupted)
    assert main(["check", "demo"]) == 130
    assert capsys.readouterr().err == "Stopped. Nothing was written.\n"


def test_new_fleet_passes_its_own_check_and_is_never_written_over(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path / "my fleet"
    assert main(["new", str(folder)]) == 0
    assert sorted(p.name for p in folder.iterdir()) == ["additions", "fleet.yaml", "schemas"]
    assert main(["check", str(folder)]) == 0
    assert "My plant: 1 head, no mistakes found." in capsys.readouterr().out
    (folder / "fleet.yaml").write_text("mine", "utf-8")
    assert main(["new", str(folder)]) == 2
    assert "exists and is left alone" in capsys.readouterr().err
    assert (folder / "fleet.yaml").read_text("utf-8") == "mine"


def test_new_fleet_in_a_place_that_is_a_file(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "file").touch()
    assert main(["new", str(tmp_path / "file")]) == 2
    assert "is a file. Name a folder, new or empty." in capsys.readouterr().err


@pytest.mark.parametrize("workers", ["0", "-1", "many", "65"])
def test_workers_must_be_a_number(workers: str, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit, match="2"):
        main(["build", "demo", "--workers", workers])
    assert f"found {workers}, allowed: a whole number from 1 to 64" in capsys.readouterr().err


def test_date_of_the_build(monkeypatch: pytest.MonkeyPatch) -> None:
    from benchleaf.site.build.user_faults import UserFault

    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1000000000")
    assert build_date() == "2001-09-09"
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "yesterday")
    with pytest.raises(UserFault, match="SOURCE_DATE_EPOCH is 'yesterday'; allowed: whole seconds"):
        build_date()


def test_demo_says_that_it_is_invented() -> None:
    assert "demo: true" in (DEMO_FLEET / "fleet.yaml").read_text("utf-8")


def test_the_store_is_told_and_cleared(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("BENCHLEAF_CACHE", str(tmp_path / "store"))
    monkeypatch.setenv("BENCHLEAF_STORE_MB", "7")
    assert main(["store"]) == GOOD
    assert capsys.readouterr().out == f"{tmp_path / 'store'}: 0 results, 0 MB of at most 7.\n"
    Store(tmp_path / "store").put("ab" * 20, {"a": bytes(2_000_000)})
    (tmp_path / "store" / "notes.txt").write_text("a person's")
    assert main(["store"]) == GOOD
    assert capsys.readouterr().out == f"{tmp_path / 'store'}: 1 result, 2 MB of at most 7.\n"
    assert main(["store", "--clear"]) == GOOD
    assert "Cleared" in capsys.readouterr().out
    assert [p.name for p in (tmp_path / "store").iterdir()] == ["notes.txt"]
    monkeypatch.setenv("BENCHLEAF_STORE_MB", "much")
    assert main(["store"]) == USER
    assert "BENCHLEAF_STORE_MB is 'much'" in capsys.readouterr().err


def test_a_cluster_that_does_not_answer_ends_with_its_address_and_nothing_written(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("benchleaf.sequences.work.crews.WAIT_S", 1)
    to = tmp_path / "library"
    words = ["build", "demo", "--only", "P-101", "--to", str(to), "--cluster", "tcp://127.0.0.1:9"]
    monkeypatch.setenv("BENCHLEAF_CACHE", str(tmp_path / "store"))
    assert main(words) == USER
    assert "No cluster answers at tcp://127.0.0.1:9" in capsys.readouterr().err
    assert not to.exists()
    assert main([*words, "--afresh"]) == USER
    assert "leave --afresh or --cluster out" in capsys.readouterr().err
    assert not to.exists()
