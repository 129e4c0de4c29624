"""Kill whole builds of a library at random moments; whatever happens, the old one has to stand and the next be clean.

Run by hand, with PYTHONPATH=tests/samples: kill_builds.py COUNT FOLDER [build's own arguments]; these are
``--only P-101 --unproven`` where left out.

Each build of the demo is killed with all its workers or alone, in turn; then the library is verified, and at the end a
build that nobody kills has to give the files of a clean one. Prints a line a kill, and ends with status 1 where any of
that does not hold.
"""

from __future__ import annotations

import os
import random
import shutil
import signal
import sys
import time
from pathlib import Path

from benchleaf.site.command import main
from benchleaf.site.folders.marks import MARK

sys.path.insert(0, str(Path(__file__).parents[1] / "samples"))
from build_processes import all_gone, beside, ended, start


def kill_builds(count: int, folder: Path, words: list[str]) -> bool:
    """Kill ``count`` builds in ``folder``, which is made, and return whether all held."""
    folder.mkdir(parents=True)
    clean, library = folder / "clean", folder / "library"
    os.environ |= {"BENCHLEAF_CACHE": str(folder / "cache"), "SOURCE_DATE_EPOCH": "1900000000"}

    def build(to: Path) -> tuple[str, ...]:
        return ("build", "demo", "--to", str(to), *words)

    for _ in range(2):  # cold, and as the killed ones find what is kept
        begin = time.monotonic()
        if ended(start(*build(clean)))[0]:
            return False
        longest = time.monotonic() - begin
    shutil.copytree(clean, library)
    moments, sound = random.Random(count), True
    for n in range(count):
        running = start(*build(library))
        at = moments.uniform(0, longest)
        time.sleep(at)
        (os.killpg if n % 2 else os.kill)(running.pid, signal.SIGKILL)
        ended(running)
        gone = all_gone(running.pid, 30)
        whole = main(["verify", str(library)]) == 0
        print(f"{n + 1}: killed after {at:.1f} s, workers gone: {gone}, library whole: {whole}", flush=True)
        sound &= gone and whole
    status, said = ended(start(*build(library)))
    same = (library / MARK).read_bytes() == (clean / MARK).read_bytes()
    print(f"next build: status {status}, as a clean one: {same}, left over: {beside(folder)}\n{said}")
    return sound and status == 0 and same and not beside(folder)


if __name__ == "__main__":
    given = sys.argv[3:] or ["--only", "P-101", "--unproven"]
    sys.exit(0 if kill_builds(int(sys.argv[1]), Path(sys.argv[2]), given) else 1)
