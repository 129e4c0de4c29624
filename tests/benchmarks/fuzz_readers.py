"""Break files at random and let every reader have them: each is read, or refused in words, and nothing else happens.

Run by hand: ``python tests/benchmarks/fuzz_readers.py COUNT [READER ...] [--seed N]``. COUNT inputs in all, shared
evenly among the readers (see ``tests/samples/hostile_readers.py``). Where atheris is installed (``pip install atheris``
in an environment of its own; nothing else needs it), ``--guided`` follows what code an input reaches instead. What a
reader should not have done is printed with its seed, and the input is kept beside.
"""

from __future__ import annotations

import argparse
import os
import random
import sys
import tempfile
import time
from importlib import import_module
from pathlib import Path
from typing import Any

sys.path[:0] = [str(Path(__file__).parents[1] / "samples")]
FOLLOWED = ["benchleaf.sequences", "benchleaf.geometry.exchange", "ruamel.yaml"]
"""Packages whose code a guided run follows."""


def blind(name: str, count: int, first: int, folder: Path) -> tuple[int, list[str]]:
    """Try ``count`` inputs; return how many were read, and the seeds of those that went wrong."""
    from hostile_readers import READERS, Misread, attempt

    reader, read, wrong = READERS[name], 0, list[str]()
    good = reader.good()
    for seed in range(first, first + count):
        content = reader.mutate(good, random.Random(f"{name} {seed}"))
        try:
            read += attempt(reader, content, folder) == "read"
        except Misread as e:
            wrong.append(f"{name} {seed}: {e}")
            Path(f"misread-{name}-{seed}{Path(reader.name).suffix}").write_bytes(content)
            print(wrong[-1], flush=True)
    return read, wrong


def guided(name: str, count: int, folder: Path) -> None:
    """Try inputs that reach ever more code; ends the process when done, or at the first that goes wrong."""
    atheris: Any = import_module("atheris")  # by hand alone: no test asks for it

    with atheris.instrument_imports(include=FOLLOWED):
        from hostile_readers import READERS, attempt

    reader = READERS[name]
    corpus = folder / "corpus"
    corpus.mkdir()
    good = reader.good()
    (corpus / "good").write_bytes(good)
    for seed in range(60):
        (corpus / f"bad-{seed}").write_bytes(reader.mutate(good, random.Random(seed)))
    inside = folder / "inside"
    inside.mkdir()
    atheris.Setup(
        ["fuzz", f"-runs={count}", "-max_len=20000", "-timeout=30", "-verbosity=1", str(corpus)],
        lambda data: attempt(reader, data, inside) and None,
    )
    atheris.Fuzz()


def main() -> int:
    """Return how many readers went wrong."""
    known = ["fleet", "cautions", "sequence", "inspection", "table", "workbook", "assembly"]
    known += ["STL", "OBJ", "PLY", "3MF", "GLB", "kept values", "evidence"]
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("count", type=int)
    asked.add_argument("readers", nargs="*", default=known)
    asked.add_argument("--seed", type=int, default=0)
    asked.add_argument("--guided", action="store_true", help="by atheris; one reader")
    args = asked.parse_args()
    os.nice(10)
    failed = 0
    for name in args.readers:
        with tempfile.TemporaryDirectory() as kept:
            folder = Path(kept) / "in"
            folder.mkdir()
            if args.guided:
                guided(name, args.count, folder)
                continue
            start, each = time.process_time(), args.count // len(args.readers)
            read, wrong = blind(name, each, args.seed, folder)
            spent = 1000 * (time.process_time() - start) / max(each, 1)
            print(
                f"{name:12} {each} inputs, {read} read, {len(wrong)} misread, {spent:.1f} ms each", flush=True
            )
            failed += bool(wrong)
    return failed


if __name__ == "__main__":
    raise SystemExit(main())
