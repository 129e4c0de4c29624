"""What the user can mend, in words for the user."""

from __future__ import annotations

from collections.abc import Iterable, Mapping


class UserFault(Exception):
    """Something the user can mend; the message says what and how."""


class WorkRefused(UserFault):
    """Work that was begun and given up; whoever reports it adds what became of the folder, and then ``fix``."""

    def __init__(self, text: str, fix: str) -> None:
        super().__init__(text)
        self.fix = fix


def fault_lines(found: Mapping[str, Iterable[str]]) -> list[str]:
    """Return what a proof found wrong, by plant tag, a line each.

    >>> fault_lines({"P-1": ["assembly: it overlaps."], "P-2": []})
    ['  P-1, assembly: it overlaps.']
    """
    return [f"  {tag}, {text}" for tag, texts in found.items() for text in texts]
