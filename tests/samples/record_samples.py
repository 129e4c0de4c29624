"""Records as the record sheet exports them, made for tests: one job each, of invented pumps."""

from __future__ import annotations

import csv
import io
import json
import re
from collections.abc import Iterable, Mapping
from typing import Any

from benchleaf.sequences.records.read_records import COLUMNS


def reading(id: str, entered: str, state: str = "as found", **more: Any) -> dict[str, Any]:
    """Return a reading of a length with limits 0.10 to 0.30 mm."""
    sequence = {"as found": "disassembly", "as left": "assembly", "in service": "start_up"}[state]
    return {
        "id": id, "sequence": sequence, "step": 7, "text": f"Gap {id}", "value": "radial_clearance", "state": state,
        "entered": entered, "unit": "mm", "limits_unit": "mm", "low": 0.10, "high": 0.30, "verdict": "within",
        "at": "2031-01-01T09:30:00.000Z", **more,
    }  # fmt: skip


def record(day: str, readings: Iterable[Mapping[str, Any]], tag: str = "P-1", **more: Any) -> dict[str, Any]:
    """Return a job done on ``day``, year-month-day."""
    stamp, name = f"{day}T08:00:00.000Z", re.sub("[^A-Za-z0-9]", "", tag)
    return {
        "benchleaf_record": 1, "id": f"{day.replace('-', '')}-{name}", "begun": stamp, "changed": stamp,
        "booklet": {"library": "abc", "plant": "Invented Works", "tag": tag, "revision": "1", "date": "2030-01-01"},
        "job": {"work_order": f"WO-{day}", "date": day},
        "readings": list(readings), "ticks": [], "sign_offs": [], "photos": [], **more,
    }  # fmt: skip


def as_json(of: Mapping[str, Any]) -> str:
    """Return a record as the sheet's script writes it."""
    return json.dumps(of, indent=2, ensure_ascii=False) + "\n"


def as_csv(of: Mapping[str, Any]) -> str:
    """Return a record as a spreadsheet's table, without its photos."""
    whole = {k: of[k] for k in ("benchleaf_record", "id", "begun", "changed")}
    whole |= {("booklet_date" if k == "date" else k): v for k, v in of["booklet"].items()}
    out = io.StringIO()
    table = csv.DictWriter(out, COLUMNS, lineterminator="\r\n")
    table.writeheader()
    table.writerow({**whole, **of["job"], "mark": "job"})
    for r in of["readings"]:
        mark = {k: v for k, v in r.items() if k != "id"}
        table.writerow({**whole, **mark, "mark": "reading", "mark_id": r["id"]})
    for t in of["ticks"]:
        mark = {k: t[k] for k in ("sequence", "step", "at")}
        table.writerow({**whole, **mark, "mark": "tick", "mark_id": t["id"]})
    return out.getvalue()
