"""The exported records of a fleet as one folder: a page with plots, every reading as a table, the drift as a table."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from ...sequences.files.faults import FaultsFound, any_of, likely
from ...sequences.records.read_records import NamedRecord, read_folder
from ...sequences.records.series import SeriesFound, series_of
from ..build.folders import check_target, swapped_in
from ..build.user_faults import UserFault
from ..pages.pages import page_text, write_assets
from ..pages.records.trend_page import TrendPages, drift_csv, make_trend, readings_csv
from ..pages.records.trend_plots import draw_series
from ..words.catalogue import load_words

CODING = "utf-8-sig"
"""With the mark by which spreadsheets know it."""


@dataclass(frozen=True)
class TrendWritten:
    """What came of the records of a folder."""

    records: int
    tags: tuple[str, ...]
    series: int
    soon: tuple[str, ...]
    """What is beyond its limit or drifts towards it, the soonest first."""
    faults: FaultsFound | None
    remarks: tuple[str, ...]


def write_records(folder: Path, target: Path, only: Sequence[str] = ()) -> TrendWritten:
    """Gather the records of ``folder`` and write page, plots and tables into ``target``, whole or not at all.

    Args:
        folder: exported records, JSON or CSV, in it and the folders in it; what is damaged is left out and told.
        target: a new folder, or one that this verb wrote before.
        only: tags of the pumps to take, all where none is named.

    Raises:
        FaultsFound: if no file holds a sound record.
        UserFault: if there is no such folder, no record in it, or none of a tag that is named.
        FolderFault: if ``target`` cannot or must not be written.
        OSError: if a folder cannot be read or written.
    """
    check_target(target, "records")
    if not folder.is_dir():
        raise UserFault(f"{folder} is no folder. Name the folder that holds the exported records.")
    if folder.resolve() == target.resolve() or target.resolve() in folder.resolve().parents:
        raise UserFault(
            f"{target} would take the place of the records in {folder}. Give --to another folder."
        )
    read = read_folder(folder)
    if not read.records:
        if read.faults:
            raise FaultsFound(read.faults)
        raise UserFault(
            f"{folder} holds no record: no JSON and no CSV. Export them from the record sheets first."
        )
    read = replace(read, records=_of_tags(read.records, only))
    found = series_of(read.records)
    words = load_words()
    trend = make_trend(read, found, words)
    with swapped_in(target, "records") as fresh:
        _write(fresh, found, trend)
    soon = tuple(
        f"{r.tag}, {r.title}: {r.when}" + (f" ({r.between})" if r.between else "") for r in trend.soon
    )
    return TrendWritten(
        len(read.records),
        tuple(sorted({n.record.booklet.tag for n in read.records})),
        len(found.series),
        soon,
        FaultsFound(read.faults) if read.faults else None,
        trend.readings_left_out,
    )


def _of_tags(records: Sequence[NamedRecord], only: Sequence[str]) -> tuple[NamedRecord, ...]:
    tags = sorted({n.record.booklet.tag for n in records})
    for tag in only:
        if tag not in tags:
            near = likely(tag, tags)
            hint = f"Did you mean {near}?" if near else f"There are {any_of(tags, tag)}."
            raise UserFault(f"No record of {tag}. {hint}")
    return tuple(n for n in records if not only or n.record.booklet.tag in only)


def _write(folder: Path, found: SeriesFound, trend: TrendPages) -> None:
    words = load_words()
    write_assets(folder)
    (folder / "plots").mkdir()
    for series, view in zip(found.series, trend.series, strict=True):
        (folder / view.plot).write_bytes(draw_series(series))
    (folder / "readings.csv").write_bytes(readings_csv(found.series, words).encode(CODING))
    (folder / "drift.csv").write_bytes(drift_csv(found.series, words).encode(CODING))
    page = page_text("trend.html.j2", w=words, booklet_demo=False, trend=trend)
    (folder / "index.html").write_text(page, "utf-8", newline="\n")
