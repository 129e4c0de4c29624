"""Memory of a stage: what was drawn or measured on it, for the steps in which the same is seen again.

Taking apart shows what putting together has shown, with the arrows turned round, and steps that only look at parts
often share a picture. What is remembered is found by all that it depends on, so that it is what would be made anew.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Hashable
from typing import Any, TypeVar, cast

MOST_BYTES = 60_000_000
"""What a memory holds at most of what is large."""

T = TypeVar("T")


class Memory:
    """Remembers results by their key.

    Of large ones it holds so many bytes, and forgets first what was not asked for longest; small ones stay.
    """

    def __init__(self, most_bytes: int = MOST_BYTES) -> None:
        self._most, self.bytes = most_bytes, 0
        self._kept: OrderedDict[Hashable, tuple[Any, int]] = OrderedDict()
        self._small: dict[Hashable, Any] = {}

    def of(self, key: Hashable, make: Callable[[], T], size: Callable[[T], int] | None = None) -> T:
        """Return what ``make`` returns, made once for each ``key`` that is remembered.

        ``size`` tells how many bytes it takes, where it is large. Who is given it must not change it.
        """
        if size is None:
            if key not in self._small:
                self._small[key] = make()
            return cast(T, self._small[key])
        if key in self._kept:
            self._kept.move_to_end(key)
            return cast(T, self._kept[key][0])
        made = make()
        self._kept[key] = made, size(made)
        self.bytes += self._kept[key][1]
        while self.bytes > self._most and self._kept:
            self.bytes -= self._kept.popitem(last=False)[1][1]
        return made

    def clear(self) -> None:
        """Forget all."""
        self._kept.clear()
        self._small.clear()
        self.bytes = 0
