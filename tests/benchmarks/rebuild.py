"""What a change costs: libraries built cold, unchanged, and after one change each, as ratios in one run.

Run by hand: ``PYTHONPATH=tests/samples python tests/benchmarks/rebuild.py [demo|many|HEADS DESIGNS] ...`` (``many``:
100 heads of 10 designs). Every build is a process of its own with the same store. Told are wall and processor time of
all its processes, the greatest process, both times against the cold build, and what was made. It returns 1 where a
figure is above :data:`ALLOWED`; trust it on quiet cores only.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from benchleaf.sequences.steps import sequence_file
from benchleaf.site.command import DEMO_FLEET
from fleet_generator import write_many_heads

ALLOWED = {"unchanged": 0.01, "one caution's words": 0.02, "one step's words": 0.02, "one torque": 0.02}
"""Greatest share of the cold build's processor time."""
UNCHANGED_S = 2.0
"""What an unchanged library of the demo may take."""
MOST_MB = 1500
SHIPPED = Path(sequence_file.__file__).parents[1] / "data"


@dataclass(frozen=True)
class Cost:
    """What a build takes: wall and processor time in s, greatest process in MB; and what it made."""

    wall_s: float
    cpu_s: float
    peak_mb: float
    made: str


def build(fleet: Path, work: Path) -> Cost:
    """Build once."""
    command = [
        sys.executable,
        "-m",
        "benchleaf.site",
        "build",
        str(fleet),
        "--to",
        str(work / "library"),
        "--why",
    ]
    env = {**os.environ, "BENCHLEAF_CACHE": str(work / "store"), "SOURCE_DATE_EPOCH": "1900000000"}
    log = work / "said"
    start = time.perf_counter()
    with log.open("w") as out:
        child = subprocess.Popen(command, stdout=out, env=env)
        _, status, used = os.wait4(child.pid, 0)
    child.returncode = os.waitstatus_to_exitcode(status)
    if child.returncode:
        raise SystemExit(log.read_text())
    made = log.read_text("utf-8").split("Made anew:\n", 1)[1].splitlines()
    kinds: dict[str, int] = {}
    for line in made:
        if found := re.match(r"  [^:]+: (?:(\d+) )?([^;]+);", line):
            name = (
                found[2]
                .removesuffix("s")
                .replace("pictures of", "picture of")
                .replace("booklets'", "booklet's")
            )
            kinds[name] = kinds.get(name, 0) + int(found[1] or 1)
    told = ", ".join(f"{n} {name}" for name, n in kinds.items()) or "nothing"
    wall = time.perf_counter() - start
    return Cost(wall, used.ru_utime + used.ru_stime, used.ru_maxrss / 1024, told)


def edit(file: Path, pattern: str, new: str | Callable[[re.Match[str]], str]) -> Callable[[], None]:
    """Return what changes the first match of a pattern in a file."""

    def change() -> None:
        text, count = re.subn(pattern, new, file.read_text("utf-8"), count=1)
        assert count == 1, f"{pattern} in {file}"
        file.write_text(text, "utf-8")

    return change


def changes(folder: Path) -> dict[str, Callable[[], None]]:
    """Return the changes to try on a fleet, one after the other."""
    fleet = folder / "fleet.yaml"
    found = {
        "unchanged": lambda: None,
        "one torque": edit(
            fleet, r"(body_screw_torque:\s*\{?\s*value: )(\d+)", lambda m: f"{m[1]}{int(m[2]) + 1}"
        ),
        "one dimension": edit(fleet, r"rotor_width(_mm)?: (\d+)(\.\d+)?", r"rotor_width\1: \2.37"),
        "one option more": edit(fleet, r"(\n +)service: ([^\n]+)", r"\1service: \2\1gear_case: stainless"),
    }
    if (folder / "cautions.yaml").exists():
        found["one caution's words"] = edit(
            folder / "cautions.yaml", r"avoidance: (\w)", r"avoidance: Now, \1"
        )
    if (folder / "assembly.yaml").exists():
        found["one step's words"] = edit(folder / "assembly.yaml", r"why: (\w)", r"why: So it is. \1")
    return found


def own_sequence(folder: Path) -> None:
    """Give a fleet the shipped assembly as one of its own, to be changed."""
    shutil.copy(SHIPPED / "assembly.yaml", folder)
    edit(folder / "fleet.yaml", r"(?m)^sizes:", "sequences: [assembly.yaml]\n\nsizes:")()


def table(name: str, fleet: Path, work: Path) -> list[str]:
    """Print the table of one fleet; return what is above what is allowed."""
    cold = build(fleet, work)
    print(f"\n{name}\n{'':<20} {'wall s':>7} {'cpu s':>7} {'MB':>6} {'wall':>7} {'cpu':>7}  made")
    print(
        f"{'cold':<20} {cold.wall_s:7.1f} {cold.cpu_s:7.1f} {cold.peak_mb:6.0f} {1:7.1%} {1:7.1%}  {cold.made}"
    )
    above = [f"{name}, cold: {cold.peak_mb:.0f} MB"] if cold.peak_mb > MOST_MB else []
    for what, change in changes(fleet).items():
        change()
        cost = build(fleet, work)
        share = cost.cpu_s / cold.cpu_s
        print(
            f"{what:<20} {cost.wall_s:7.1f} {cost.cpu_s:7.1f} {cost.peak_mb:6.0f} {cost.wall_s / cold.wall_s:7.1%} "
            f"{share:7.1%}  {cost.made}"
        )
        if share > ALLOWED.get(what, 1.0):
            above.append(f"{name}, {what}: {share:.1%} of cold, allowed {ALLOWED[what]:.0%}")
        if what == "unchanged" and name == "demo" and cost.wall_s > UNCHANGED_S:
            above.append(f"{name}, {what}: {cost.wall_s:.1f} s, allowed {UNCHANGED_S:g} s")
    return above


def main() -> int:
    """Measure the fleets that are asked for."""
    given = sys.argv[1:] or ["demo"]
    above: list[str] = []
    with tempfile.TemporaryDirectory() as folder:
        work = Path(folder)
        if given[0] == "demo":
            shutil.copytree(DEMO_FLEET, work / "demo")
            own_sequence(work / "demo")
            above += table("demo", work / "demo", work)
            given = given[1:]
        if given:
            heads, designs = (100, 10) if given[0] == "many" else (int(given[0]), int(given[1]))
            (work / "other").mkdir()
            write_many_heads(work / "many", heads, designs)
            above += table(f"{heads} heads of {designs} designs", work / "many", work / "other")
    print("\n".join(["", *(f"above what is allowed: {text}" for text in above)]))
    return 1 if above else 0


if __name__ == "__main__":
    sys.exit(main())
