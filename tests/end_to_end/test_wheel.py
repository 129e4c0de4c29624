"""A wheel from a clean clone, installed elsewhere, holds all that a booklet needs and builds one."""

from __future__ import annotations

import subprocess
import sys
import zipfile
from pathlib import Path

import pytest
from picture_sizes import TINY
from program_files import ROOT

pytestmark = pytest.mark.slow  # a wheel is built, and a booklet from it

FLEET = """\
plant: Seaview Works (invented)
demo: true
sizes:
  "60":
    shaft_centre_distance_mm: 60
    rotor_diameter_mm: 85.2
    rotor_width_mm: 42
    shaft_diameter_mm: 22.8
    port_bore_mm: 36
heads:
  - {tag: P-1, size: "60", service: Rinse}
"""


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("wheel")
    clone = folder / "clone"
    subprocess.run(["git", "clone", "-q", str(ROOT), str(clone)], check=True)
    build = [
        sys.executable,
        "-m",
        "pip",
        "wheel",
        "-q",
        "--no-deps",
        "-w",
        str(folder),
    ]
    done = subprocess.run([*build, str(clone)], capture_output=True, text=True)
    assert done.returncode == 0, done.stdout + done.stderr
    return next(folder.glob("*.whl"))


def test_it_holds_every_file_of_the_rooms(wheel: Path) -> None:
    tracked = subprocess.run(
        ["git", "ls-files", "geometry", "sequences", "render", "site"],
        cwd=ROOT, capture_output=True, text=True, check=True,
    ).stdout.split()  # fmt: skip
    held = set(zipfile.ZipFile(wheel).namelist())
    assert {f"benchleaf/{f}" for f in tracked} - held == set()


def test_it_builds_a_booklet_elsewhere(wheel: Path, tmp_path: Path) -> None:
    """With tiny pictures: it is the files of the wheel that count."""
    installed = tmp_path / "installed"
    zipfile.ZipFile(wheel).extractall(installed)
    fleet = tmp_path / "fleet.yaml"
    fleet.write_text(FLEET)
    code = (
        "import sys; sys.path.insert(0, sys.argv.pop(1))\n"
        "sys.meta_path = [f for f in sys.meta_path if 'editable' not in repr(f).casefold()]\n"
        "import benchleaf.site.command as c; print(c.__file__)\n"
        "from benchleaf.render.drawing.settings import PictureSettings\n"
        "from benchleaf.site.booklets import library\n"
        f"library.picture_settings = lambda _: {TINY!r}\n"
        "sys.exit(c.main(sys.argv[1:]))"
    )
    command = ["build", str(fleet), "--to", str(tmp_path / "library"), "--unproven"]
    done = subprocess.run(
        [sys.executable, "-c", code, str(installed), *command], capture_output=True, text=True, cwd=tmp_path
    )
    assert done.returncode == 0, done.stdout + done.stderr
    assert str(installed) in done.stdout
    assert (tmp_path / "library" / "p-1" / "assembly.html").is_file()
