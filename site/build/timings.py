"""Time and peak memory of each stage of a build."""

from __future__ import annotations

import json
import time
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import asdict, dataclass, field

from ...sequences.work.resources import peak_memory_mb
from ...sequences.work.tasks import Spent


@dataclass
class StageTime:
    """What a stage took: wall and processor time in s of all processes together, greatest process so far in MB."""

    name: str
    seconds: float = 0.0
    cpu_s: float = 0.0
    peak_mb: float = 0.0


@dataclass
class StageTimes:
    """Stages in the order in which they first ran; a stage that runs again adds up."""

    by_name: dict[str, StageTime] = field(default_factory=dict)
    renderer: str = ""
    """What drew, as the graphics library calls it; empty where nothing was drawn on this machine."""

    @contextmanager
    def stage(self, name: str) -> Iterator[None]:
        """Measure the block under ``name``."""
        entry = self.by_name.setdefault(name, StageTime(name))
        start, cpu = time.perf_counter(), time.process_time()
        try:
            yield
        finally:
            entry.seconds += time.perf_counter() - start
            entry.cpu_s += time.process_time() - cpu
            entry.peak_mb = max(entry.peak_mb, peak_memory_mb())

    def as_json(self) -> str:
        """Return the stages as JSON: name, wall and processor seconds, peak MB; and what drew."""
        rows = [asdict(s) for s in self.by_name.values()]
        return json.dumps({"renderer": self.renderer, "stages": rows}, indent=1) + "\n"

    def take(self, spent: Mapping[str, Iterable[Spent]]) -> None:
        """Add what the tasks of a graph took, by kind of piece: times add up, peaks do not."""
        for name, of in spent.items():
            entry = self.by_name.setdefault(name, StageTime(name))
            for one in of:
                entry.seconds += one.seconds
                entry.cpu_s += one.cpu_s
                entry.peak_mb = max(entry.peak_mb, one.peak_mb)
