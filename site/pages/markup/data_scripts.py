"""Data for the scripts of pages, as classic scripts of their own: pages from disk can load nothing else."""

from __future__ import annotations

import json
import re
from typing import Any

from ...words.languages.fallback import BEGIN, END

_MARKS = re.compile("|".join(re.escape(json.dumps(mark)[1:-1]) for mark in (BEGIN, END)))
"""Marks of texts that stand in, as they are written here: scripts put texts where no element can go."""


def data_script(name: str, data: Any) -> str:
    """Return a script that holds plain data under a name of the window.

    Nothing in it can end the script or begin another: all but ASCII, and ``<``, is written as escapes.

    >>> data_script("told", {"b": "</script>", "a": "é"})
    'window.told = {"a":"\\\\u00e9","b":"\\\\u003c/script>"};\\n'
    """
    text = json.dumps(data, ensure_ascii=True, sort_keys=True, separators=(",", ":"))
    escaped = _MARKS.sub("", text).replace("<", "\\u003c")
    return f"window.{name} = {escaped};\n"
