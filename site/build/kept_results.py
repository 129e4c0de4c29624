"""Where results are kept from build to build, and how much of them."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory

from ...sequences.work.store import Store
from .user_faults import UserFault

MOST_BYTES = 4_000_000_000
"""A library of seven heads keeps about 200 MB."""
LIMIT = "BENCHLEAF_STORE_MB"


def store_folder() -> Path:
    """Return the folder in which results are kept: ``BENCHLEAF_CACHE``, else the system's own place for such files."""
    from platformdirs import user_cache_path

    given = os.environ.get("BENCHLEAF_CACHE")
    return Path(given) if given else user_cache_path("benchleaf", appauthor=False) / "store"


def most_bytes() -> int:
    """Return how much a store may hold: ``BENCHLEAF_STORE_MB``, else :data:`MOST_BYTES`.

    Raises:
        UserFault: if that is no whole number.
    """
    given = os.environ.get(LIMIT)
    if given is None:
        return MOST_BYTES
    if not given.isdecimal():
        raise UserFault(f"{LIMIT} is '{given}'; allowed: a whole number of megabytes")
    return int(given) * 1_000_000


@contextmanager
def open_store(folder: Path | None, shared: bool = False) -> Iterator[Store]:
    """Yield the store in ``folder``, with a spare one for this time that takes what cannot be written there.

    Without ``folder`` there is the spare one alone, and nothing is kept. A ``shared`` store has no spare one: other
    machines would not see it. Afterwards the store is within its bound.

    Raises:
        UserFault: as :func:`most_bytes`.
    """
    bound = most_bytes()
    with TemporaryDirectory(prefix="benchleaf-") as spare:
        if folder is None:
            yield Store(Path(spare))
            return
        store = Store(folder, None if shared else Path(spare))
        yield store
        store.prune(bound)
