"""The script that compares two folders of pictures: equal ones pass, each kind of seeded difference is found."""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from PIL import Image, ImageDraw

SCRIPT = Path(__file__).parents[1] / "sheets" / "compare_pictures.py"
SEEN = {"visible_px": 4000, "box": [0.1, 0.1, 0.5, 0.5], "anchor": [0.3, 0.3]}
HARDLY = {"visible_px": 2, "box": [0.8, 0.8, 0.81, 0.81], "anchor": [0.805, 0.805]}


def picture(*boxes: tuple[int, int, int, int]) -> Image.Image:
    """Return a grey picture of 200 x 100 with black boxes."""
    image = Image.new("RGB", (200, 100), (180, 180, 180))
    for box in boxes:
        ImageDraw.Draw(image).rectangle(box, fill="black")
    return image


def write_film(file: Path, *frames: Image.Image) -> None:
    frames[0].save(
        file, save_all=True, append_images=frames[1:], duration=100, lossless=True, minimize_size=False
    )


def write_manifest(file: Path, **changed: Any) -> None:
    manifest = {"width": 200, "parts": {"nut": SEEN, "shim": HARDLY}, "arrows": [{"tail": [0.2, 0.4]}]}
    file.write_text(json.dumps({**manifest, **changed}), encoding="utf-8")


@pytest.fixture(name="folders")
def _folders(tmp_path: Path) -> tuple[Path, Path]:
    """Return two folders of the same picture, film and manifest."""
    a, b = tmp_path / "a", tmp_path / "b"
    (a / "P-1").mkdir(parents=True)
    picture((20, 20, 90, 60)).save(a / "P-1" / "step.png")
    write_film(a / "P-1" / "step-film.webp", *(picture((x, 20, x + 20, 60)) for x in (10, 50, 90)))
    write_manifest(a / "P-1" / "step.json")
    shutil.copytree(a, b)
    return a, b


def compare(*given: object) -> tuple[int, list[str]]:
    """Return exit status and lines of the script."""
    run = subprocess.run(
        [sys.executable, str(SCRIPT), *map(str, given)], capture_output=True, text=True, check=False
    )
    assert run.returncode in (0, 1), run.stderr
    return run.returncode, run.stdout.splitlines()


def test_equal_folders_pass(folders: tuple[Path, Path]) -> None:
    status, lines = compare(*folders, "--tolerance", 0, "--share", 0, "--number", 0)
    assert status == 0
    assert lines[-1] == "3 files, 3 without a difference beyond tolerance, 0 beyond what is allowed"
    assert "within P-1/step-film.webp: greatest 0, mean 0.000, beyond tolerance 0.000%, frame 1 of 3" in lines


def test_a_spot_is_found_and_measured(folders: tuple[Path, Path]) -> None:
    file = folders[1] / "P-1" / "step.png"
    picture((20, 20, 90, 60), (150, 80, 169, 89)).save(file)  # 200 of 20,000 pixels
    status, lines = compare(*folders)
    assert status == 1
    assert lines[0] == "beyond P-1/step.png: greatest 180, mean 1.800, beyond tolerance 1.000%"
    assert compare(*folders, "--share", 0.01)[0] == 0
    assert compare(*folders, "--tolerance", 180)[0] == 0
    assert compare(*folders, "--tolerance", 179)[0] == 1


def test_the_worst_frame_of_a_film_is_named(folders: tuple[Path, Path]) -> None:
    write_film(folders[1] / "P-1" / "step-film.webp", *(picture((x, 20, x + 20, 60)) for x in (10, 56, 91)))
    status, lines = compare(*folders)
    assert status == 1
    assert lines[0].startswith("beyond P-1/step-film.webp: greatest 180, ")
    assert lines[0].endswith("frame 2 of 3")


@pytest.mark.parametrize(
    ("changed", "told"),
    [
        ({"arrows": [{"tail": [0.2, 0.45]}]}, "arrows[0].tail[1]: 0.4 against 0.45"),
        ({"arrows": []}, 'arrows: [{"tail": [0.2, 0.4]}] against []'),
        (
            {"parts": {"nut": {**SEEN, "visible_px": 4031}, "shim": HARDLY}},
            "parts.nut.visible_px: 4000 against 4031",
        ),
        (
            {"parts": {"nut": {**SEEN, "box": None}, "shim": HARDLY}},
            "parts.nut.box: [0.1, 0.1, 0.5, 0.5] against null",
        ),
    ],
)
def test_what_a_manifest_tells_otherwise_is_named(
    folders: tuple[Path, Path], changed: dict[str, Any], told: str
) -> None:
    write_manifest(folders[1] / "P-1" / "step.json", **changed)
    status, lines = compare(*folders)
    assert status == 1
    assert lines[0] == f"beyond P-1/step.json: {told}"


def test_a_part_hardly_seen_may_vanish_and_counts_may_waver(folders: tuple[Path, Path]) -> None:
    gone = {"visible_px": 0, "box": None, "anchor": None}
    write_manifest(
        folders[1] / "P-1" / "step.json", parts={"nut": {**SEEN, "visible_px": 4029}, "shim": gone}
    )
    assert compare(*folders)[0] == 0


def _drop(b: Path) -> str:
    (b / "P-1" / "step.json").unlink()
    return "beyond P-1/step.json: only in "


def _enlarge(b: Path) -> str:
    picture().resize((220, 110)).save(b / "P-1" / "step.png")
    return "beyond P-1/step.png: 200 x 100 against 220 x 110"


def _shorten(b: Path) -> str:
    write_film(b / "P-1" / "step-film.webp", picture((10, 20, 30, 60)), picture((50, 20, 70, 60)))
    return "beyond P-1/step-film.webp: 200 x 100, 3 frames against 200 x 100, 2 frames"


@pytest.mark.parametrize("spoil", [_drop, _enlarge, _shorten])
def test_what_cannot_be_compared_comes_first(
    folders: tuple[Path, Path], spoil: Callable[[Path], str]
) -> None:
    told = spoil(folders[1])
    status, lines = compare(*folders, "--tolerance", 255, "--number", 1000)
    assert status == 1
    assert lines[0].startswith(told)
