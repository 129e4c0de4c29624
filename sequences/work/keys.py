"""Keys of results: the hash of the canonical inputs of the work that makes them, never of what comes out.

The CAD kernel does not write the same solid twice alike, so a hash of its output is no key. A key keeps a digest of
each of its inputs by name, so that a build can tell which input changed.
"""

from __future__ import annotations

import hashlib
import math
from collections.abc import Mapping, Set
from dataclasses import dataclass, fields, is_dataclass
from decimal import Decimal
from enum import Enum
from functools import cached_property

LENGTH = 40
"""Characters of a key: 160 bits, far from any chance collision, and short enough for a file's name."""


def canonical(value: object) -> str:
    """Return the one spelling of a value: equal values give equal texts in every process and on every machine.

    Dataclasses are spelled with their class and fields, mappings and sets sorted by their spelling.

    Raises:
        TypeError: for a value whose spelling could differ, such as a path, a function or an array.
        ValueError: for a float that is not finite.

    >>> canonical({"b": 1.0, "a": (True, None, "x")})
    "{'a': (True, None, 'x'), 'b': 1.0}"
    """
    if value is None or (isinstance(value, (bool, str, bytes)) and not isinstance(value, Enum)):
        return repr(value)
    if isinstance(value, int) and not isinstance(value, Enum):  # one spelling of 4 and 4.0: they are equal
        return repr(float(value)) if abs(value) < 2**53 else repr(int(value))
    if isinstance(value, float):
        if not math.isfinite(value):
            raise ValueError(f"{value} has no place in a key")
        return repr(float(value) + 0.0)  # one zero, not two
    if isinstance(value, Decimal):
        return repr(value)  # with the digits as written
    if isinstance(value, Enum):
        return f"{type(value).__name__}.{value.name}"
    if is_dataclass(value) and not isinstance(value, type):
        inner = ", ".join(f"{f.name}={canonical(getattr(value, f.name))}" for f in fields(value) if f.compare)
        return f"{type(value).__name__}({inner})"
    if isinstance(value, Mapping):
        pairs = sorted((canonical(k), canonical(v)) for k, v in value.items())
        return "{" + ", ".join(f"{k}: {v}" for k, v in pairs) + "}"
    if isinstance(value, Set):
        return "{" + ", ".join(sorted(canonical(v) for v in value)) + "}"
    if isinstance(value, (tuple, list)):
        return "(" + ", ".join(canonical(v) for v in value) + ")"
    raise TypeError(f"a {type(value).__name__} has no canonical spelling")


def digest_of(value: object) -> str:
    """Return the hex digest of a value's canonical spelling.

    Raises:
        TypeError, ValueError: as :func:`canonical`.
    """
    return hashlib.sha256(canonical(value).encode("utf-8", "surrogatepass")).hexdigest()[:LENGTH]


@dataclass(frozen=True)
class TaskKey:
    """The key of one piece of work: its kind, and name and digest of each of its inputs."""

    kind: str
    inputs: tuple[tuple[str, str], ...]

    @cached_property
    def digest(self) -> str:
        """The key itself, hex."""
        return digest_of((self.kind, self.inputs))

    def changed_from(self, other: TaskKey) -> tuple[str, ...]:
        """Return the names of the inputs that differ from those of ``other``, sorted."""
        mine, theirs = dict(self.inputs), dict(other.inputs)
        return tuple(sorted(n for n in mine.keys() | theirs.keys() if mine.get(n) != theirs.get(n)))


def task_key(kind: str, **inputs: object) -> TaskKey:
    """Return the key of work of ``kind`` over named inputs; an input that is a key itself counts by its digest.

    Raises:
        TypeError, ValueError: as :func:`canonical`.
    """
    named = {n: v.digest if isinstance(v, TaskKey) else digest_of(v) for n, v in inputs.items()}
    return TaskKey(kind, tuple(sorted(named.items())))
