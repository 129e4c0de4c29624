"""What a process has taken of the machine."""

from __future__ import annotations

import sys


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
