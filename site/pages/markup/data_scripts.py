"""Data for the scripts of pages, as classic scripts of their own: pages from disk can load nothing else."""

from __future__ import annotations

import json
from typing import Any


def data_script(name: str, data: Any) -> str:
    """Return a script that holds plain data under a name of the window.

    Nothing in it can end the script or begin another: all but ASCII, and ``<``, is written as escapes.

    >>> data_script("told", {"b": "</script>", "a": "é"})
    'window.told = {"a":"\\\\u00e9","b":"\\\\u003c/script>"};\\n'
    """
    text = json.dumps(data, ensure_ascii=True, sort_keys=True, separators=(",", ":"))
    escaped = text.replace("<", "\\u003c")
    return f"window.{name} = {escaped};\n"
