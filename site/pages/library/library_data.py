"""The data that the library's scripts work on, as one classic script: pages from disk can load nothing else."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from ..markup.data_scripts import data_script
from .head_lines import GROUPS, HeadLine, data_key

FILE = "assets/pumps.js"
NAME = "benchleafPumps"
"""The name by which scripts find it."""


def pumps_script(heads: Iterable[HeadLine]) -> str:
    """Return the script: every pump with its rows and kit; what pumps share is written once."""
    rows: dict[tuple[str, ...], int] = {}
    groups: dict[str, list[int]] = {}
    kits: dict[str, list[list[Any]]] = {}
    pumps = []
    for head in heads:
        kit = [[k.same, k.part, k.size, k.number, k.material, k.always, k.quantity] for k in head.kit]
        of_kit = data_key(kit)
        kits[of_kit] = kit
        keys = []
        for group in GROUPS:
            told = [(r.id, r.name, r.text, r.key, r.page) for r in head.rows if r.group == group]
            keys.append(data_key(told))
            groups[keys[-1]] = [rows.setdefault(row, len(rows)) for row in told]
        pumps.append({"tag": head.tag, "slug": head.slug, "href": head.href, "rows": keys, "kit": of_kit})
    data = {"pumps": pumps, "rows": list(rows), "groups": groups, "kits": kits}
    return data_script(NAME, data)
