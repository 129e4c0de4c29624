"""The readers of YAML: a text to its events, by libyaml where versions 1.1 and 1.2 take it alike, else by one of 1.2.

API::

    readers(text) -> Iterator[Events]      # which to try, one after the other, until one finds nothing broken
    quick_events(text), events_of("safe" | "rt")(text) -> events with their marks
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from typing import Any

Events = Callable[[str], Iterator[Any]]

READ_UNLIKE = re.compile(
    r"[\t\x85\u2028\u2029\ufeff\ud800-\udfff]|\r(?!\n)|^(?:%|---|[.]{3})|(?:^|[\s\[{,])[?*&!]"
    r"|\\[uUx]|[|>][-+0-9]*(?:#|\s*\n +\r?\n)|\A(?:\s|#.*\n)*[|>]",
    re.MULTILINE,
)
"""Signs that readers of YAML 1.1 and 1.2 take unlike: ends of lines, tabs, directives, documents, explicit keys,
aliases, anchors, tags, characters by number; comments and white lines at the start of block scalars, and a text that is
nothing else."""


def readers(text: str) -> Iterator[Events]:
    """Yield which readers to try on ``text``, one after the other, until one finds nothing broken."""
    if not READ_UNLIKE.search(text):
        yield quick_events
    yield events_of("safe")
    # This one takes a third longer, but looks further ahead: it can say better what is broken.
    yield events_of("rt")


def quick_events(text: str) -> Iterator[Any]:
    """Yield what libyaml reads, in a fortieth of the time. It knows YAML 1.1: see :data:`READ_UNLIKE`."""
    import yaml

    try:
        yield from yaml.parse(text, Loader=yaml.CSafeLoader)
    except (yaml.YAMLError, AttributeError) as e:  # the latter where it was built without libyaml
        raise NotImplementedError from e


def events_of(reader: str) -> Callable[[str], Iterator[Any]]:
    """Return one of the readers of the YAML 1.2 library."""

    def events(text: str) -> Iterator[Any]:
        from ruamel.yaml import YAML

        found: Iterator[Any] = YAML(typ=reader, pure=True).parse(text)
        return found

    return events
