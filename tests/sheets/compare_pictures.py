"""Compare two folders of pictures: those of two machines, two renderers, two versions.

Run by hand: ``python tests/sheets/compare_pictures.py FOLDER_A FOLDER_B [--tolerance N] [--share N] [--number N]``.
Pictures are compared pixel by pixel, films frame by frame, manifests number by number; folders within are looked
through. Printed are the worst first, up to ``--most`` lines. The exit status is 1 where anything differs by more than
is allowed: a file that only one folder has, a size, more than ``--share`` of a picture's pixels off by more than
``--tolerance`` levels of 255, a number of a manifest by more than ``--number`` (shares of the picture, millimetres,
degrees), or any text in it. Counts of pixels (``visible_px``) may differ by ``--share`` of the greater, or by 30.
"""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageSequence

PICTURES = (".webp", ".avif", ".png", ".jpg")
TOLERANCE, SHARE, NUMBER = 26.0, 0.005, 0.01
"""What is allowed where nothing else is said: a tenth of the range in one of two hundred pixels, a hundredth."""
COUNTS = "visible_px"
FEW = 30
"""Counts of pixels that differ by so few are of equal parts."""
PLACES = ("anchor", "box")
"""Not compared for a part of which fewer pixels are seen: they come and go with the last of them."""


@dataclass(frozen=True)
class Allowed:
    """By how much pictures may differ: levels of 255, share of pixels beyond that, numbers of a manifest."""

    tolerance: float = TOLERANCE
    share: float = SHARE
    number: float = NUMBER


@dataclass(frozen=True)
class Difference:
    """How one file differs: ``badness`` is a multiple of what is allowed, ``text`` tells by how much."""

    name: str
    badness: float
    text: str


def files_of(folder: Path) -> dict[str, Path]:
    """Return the pictures and manifests in ``folder`` by their path in it."""
    found = sorted(p for p in folder.rglob("*") if p.suffix in (*PICTURES, ".json") and p.is_file())
    return {p.relative_to(folder).as_posix(): p for p in found}


def compare_folders(a: Path, b: Path, allowed: Allowed) -> list[Difference]:
    """Return how every file differs, the worst first."""
    ours, theirs = files_of(a), files_of(b)
    found = []
    for name in sorted({*ours, *theirs}):
        if name not in ours or name not in theirs:
            found.append(Difference(name, np.inf, f"only in {a if name in ours else b}"))
        elif name.endswith(".json"):
            found.append(compare_manifests(name, ours[name], theirs[name], allowed))
        else:
            found.append(compare_pictures(name, ours[name], theirs[name], allowed))
    return sorted(found, key=lambda d: (-d.badness, d.name))


def compare_pictures(name: str, a: Path, b: Path, allowed: Allowed) -> Difference:
    """Return how two pictures or films differ, of a film the worst frame."""
    ours, theirs = _frames(a), _frames(b)
    shapes = [[f.shape for f in frames] for frames in (ours, theirs)]
    if shapes[0] != shapes[1]:
        return Difference(name, np.inf, f"{_told(ours)} against {_told(theirs)}")
    worst = Difference(name, -1.0, "")
    for number, (one, other) in enumerate(zip(ours, theirs, strict=True), 1):
        off = np.abs(one.astype(np.int16) - other)
        beyond = float((off.max(axis=2) > allowed.tolerance).mean())
        badness = beyond / allowed.share if allowed.share else (np.inf if beyond else 0.0)
        frame = f", frame {number} of {len(ours)}" if len(ours) > 1 else ""
        text = f"greatest {off.max()}, mean {off.mean():.3f}, beyond tolerance {beyond:.3%}{frame}"
        if badness > worst.badness:
            worst = Difference(name, badness, text)
    return worst


def _frames(file: Path) -> list[NDArray[np.uint8]]:
    """Return the frames of a picture or film, (h, w, 3) each."""
    with Image.open(file) as image:
        return [np.asarray(f.convert("RGB")) for f in ImageSequence.Iterator(image)]


def _told(frames: Sequence[NDArray[np.uint8]]) -> str:
    height, width = frames[0].shape[:2]
    return f"{width} x {height}" + (f", {len(frames)} frames" if len(frames) > 1 else "")


def compare_manifests(name: str, a: Path, b: Path, allowed: Allowed) -> Difference:
    """Return how two manifests differ, by what differs most in them."""
    ours, theirs = (json.loads(p.read_text(encoding="utf-8")) for p in (a, b))
    found = list(_unlike(ours, theirs, allowed, ""))
    badness, text = max(found, default=(0.0, "equal"))
    return Difference(name, badness, text)


def _unlike(a: Any, b: Any, allowed: Allowed, at: str) -> Iterator[tuple[float, str]]:
    """Yield what differs between two values of JSON: a multiple of what is allowed, and where."""
    if isinstance(a, dict) and isinstance(b, dict) and a.keys() == b.keys():
        hardly = all(0 <= d.get(COUNTS, FEW) < FEW for d in (a, b))
        for key in a:
            if hardly and key in PLACES:
                continue
            yield from _unlike(a[key], b[key], allowed, f"{at}.{key}" if at else key)
    elif isinstance(a, list) and isinstance(b, list) and len(a) == len(b):
        for number, (one, other) in enumerate(zip(a, b, strict=True)):
            yield from _unlike(one, other, allowed, f"{at}[{number}]")
    elif _is_number(a) and _is_number(b):
        off = abs(a - b)
        most = max(FEW, allowed.share * max(a, b)) if at.endswith(COUNTS) else allowed.number
        if off:
            yield (off / most if most else np.inf), f"{at}: {a:g} against {b:g}"
    elif a != b:
        yield np.inf, f"{at}: {_short(a)} against {_short(b)}"


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _short(value: Any) -> str:
    text = json.dumps(value, ensure_ascii=False)
    return text if len(text) <= 60 else text[:57] + "..."


def main(arguments: Sequence[str]) -> int:
    """Print the worst first; return 0 where all is within what is allowed, else 1."""
    parser = argparse.ArgumentParser(description="Compare two folders of pictures, films and manifests.")
    parser.add_argument("a", type=Path)
    parser.add_argument("b", type=Path)
    parser.add_argument("--tolerance", type=float, default=TOLERANCE, help="levels of 255")
    parser.add_argument("--share", type=float, default=SHARE, help="of pixels that may be off by more")
    parser.add_argument("--number", type=float, default=NUMBER, help="by which a manifest may differ")
    parser.add_argument("--most", type=int, default=20, help="lines printed")
    given = parser.parse_args(arguments)
    for folder in (given.a, given.b):
        if not files_of(folder):
            parser.error(f"no pictures in {folder}")
    found = compare_folders(given.a, given.b, Allowed(given.tolerance, given.share, given.number))
    for difference in found[: given.most]:
        mark = "beyond" if difference.badness > 1.0 else "within"
        print(f"{mark} {difference.name}: {difference.text}")
    beyond = sum(d.badness > 1.0 for d in found)
    equal = sum(d.badness == 0.0 for d in found)
    print(
        f"{len(found)} files, {equal} without a difference beyond tolerance, {beyond} beyond what is allowed"
    )
    return 1 if beyond else 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
