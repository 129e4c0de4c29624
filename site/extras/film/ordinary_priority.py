"""Encoding at the priority of everything else.

The encoder of AV1 gives itself, and the thread that calls it, the highest real-time priority where it may, which is as
root: nothing else of the machine gets a turn then, and what is started afterwards has that priority too.
"""

from __future__ import annotations

import ctypes
from collections.abc import Iterator
from contextlib import contextmanager

_VERSION = 0x20080522
"""Of the structures of capabilities, Linux 2.6.26 and later (capget(2))."""
_SYS_NICE = 1 << 23
"""The capability to ask for real-time priority (capabilities(7))."""


class _Header(ctypes.Structure):
    _fields_ = (("version", ctypes.c_uint32), ("pid", ctypes.c_int))


class _Set(ctypes.Structure):
    _fields_ = (
        ("effective", ctypes.c_uint32),
        ("permitted", ctypes.c_uint32),
        ("inheritable", ctypes.c_uint32),
    )


@contextmanager
def ordinary_priority() -> Iterator[None]:
    """Do without the right to real-time priority in this thread, and in threads that it starts, for the block.

    Nothing changes where there is no such right, or another system.
    """
    try:
        library = ctypes.CDLL(None)
        asked, given = library.capget, library.capset
    except (AttributeError, OSError, TypeError):
        yield
        return
    header, sets = _Header(_VERSION, 0), (_Set * 2)()
    if asked(ctypes.byref(header), sets) != 0 or not sets[0].effective & _SYS_NICE:
        yield
        return
    sets[0].effective &= ~_SYS_NICE
    given(ctypes.byref(header), sets)
    try:
        yield
    finally:
        sets[0].effective |= _SYS_NICE
        given(ctypes.byref(header), sets)
