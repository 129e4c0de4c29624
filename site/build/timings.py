"""Time and peak memory of each stage of a build."""

from __future__ import annotations

import json
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import asdict, dataclass, field


@dataclass
class StageTime:
    """What a stage took: wall time in s, and the greatest process so far in MB (0 where unknown)."""

    name: str
    seconds: float = 0.0
    peak_mb: float = 0.0


@dataclass
class StageTimes:
    """Stages in the order in which they first ran; a stage that runs again adds up."""

    by_name: dict[str, StageTime] = field(default_factory=dict)

    @contextmanager
    def stage(self, name: str) -> Iterator[None]:
        """Measure the block under ``name``."""
        entry = self.by_name.setdefault(name, StageTime(name))
        start = time.perf_counter()
        try:
            yield
        finally:
            entry.seconds += time.perf_counter() - start
            entry.peak_mb = max(entry.peak_mb, peak_memory_mb())

    def as_json(self) -> str:
        """Return the stages as JSON: name, wall seconds, peak MB."""
        rows = [asdict(s) for s in self.by_name.values()]
        return json.dumps({"stages": rows}, indent=1) + "\n"

    def add(self, other: StageTimes) -> None:
        """Add the stages of a worker: times add up, peaks do not."""
        for name, stage in other.by_name.items():
            entry = self.by_name.setdefault(name, StageTime(name))
            entry.seconds += stage.seconds
            entry.peak_mb = max(entry.peak_mb, stage.peak_mb)


def peak_memory_mb() -> float:
    """Return the greatest resident memory so far in MB, of this process or of any child of it that has ended.

    0 where the system does not tell.
    """
    try:
        import resource
    except ImportError:  # Windows
        return 0.0
    peak = max(resource.getrusage(who).ru_maxrss for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    return peak / 2**20 if sys.platform == "darwin" else peak / 2**10
