"""The shape of the repository: its top level, the length of its modules, and the one command for every check."""

from __future__ import annotations

import importlib
import re
import subprocess
from pathlib import Path

import pytest
from program_files import ROOMS, ROOT, modules

FILES = {"README.md", "DEVELOPERS.md", "CHANGELOG.md", "LICENSE", "pyproject.toml"}


def test_top_level_holds_rooms_and_a_few_files() -> None:
    done = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=True)
    top = {line.split("/")[0] for line in done.stdout.splitlines()}
    assert {name for name in top if not name.startswith(".")} == {*ROOMS, "tests", *FILES}


def test_modules_are_short() -> None:
    lengths = {f: len(f.read_text("utf-8").splitlines()) for f in modules()}
    assert {str(f.relative_to(ROOT)): n for f, n in lengths.items() if n > 480} == {}


def test_readme_and_ci_share_one_command() -> None:
    readme = (ROOT / "README.md").read_text("utf-8")
    found = re.findall(r"<!-- test command -->\n```sh\n(.+)\n```", readme)
    assert len(found) == 1
    assert "pytest" in found[0]
    script = (ROOT / ".ci" / "run").read_text("utf-8")
    assert "pytest" not in script, "the script takes the command from README"
    extract = script[script.index("$(awk") + 2 : script.index("README.md)\n") + len("README.md")]
    done = subprocess.run(["bash", "-c", extract], cwd=ROOT, capture_output=True, text=True, check=True)
    assert done.stdout.strip() == found[0]


def test_links_of_the_documents_lead_somewhere() -> None:
    for name in ("README.md", "DEVELOPERS.md", "CHANGELOG.md"):
        for target in re.findall(r"\]\(([^)#]+)\)", (ROOT / name).read_text("utf-8")):
            assert (ROOT / target).is_file(), f"{name}: {target}"


def test_every_package_is_found(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.syspath_prepend(str(ROOT / ".packaging"))
    monkeypatch.setattr("setuptools.setup", lambda **_: None)
    backend = importlib.import_module("backend")
    monkeypatch.chdir(ROOT)
    folders = {
        f.parent.relative_to(ROOT).as_posix() for room in ROOMS for f in (ROOT / room).rglob("__init__.py")
    }
    assert set(backend.packages().values()) == folders
    assert set(backend.packages()) == {"benchleaf." + f.replace("/", ".") for f in folders}
    monkeypatch.chdir(tmp_path)
    for room in ROOMS:
        deep = tmp_path / room / "inner" / "deeper"
        deep.mkdir(parents=True)
        for folder in (deep, deep.parent):
            (folder / "__init__.py").touch()
    assert backend.packages()["benchleaf.site.inner.deeper"] == "site/inner/deeper"
