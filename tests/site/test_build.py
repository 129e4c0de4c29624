"""What a build keeps and tells: changed values, chosen heads, stages, progress, lost workers."""

from __future__ import annotations

import io
import json
from pathlib import Path

import pytest
from benchleaf.render.drawing.manifest import CameraSeen, Manifest, PartSeen
from benchleaf.sequences.calculations.load_fleet import load_fleet
from benchleaf.sequences.fleet.heads import Fleet
from benchleaf.site.build import library as build
from benchleaf.site.build.folders import MARK
from benchleaf.site.build.head_booklet import _shortcomings
from benchleaf.site.build.library import BuildFault, chosen_heads
from benchleaf.site.build.progress import ProgressLines
from benchleaf.site.build.timings import StageTimes, peak_memory_mb
from benchleaf.site.build.workers import worker_count
from benchleaf.site.command import DEMO_FLEET, cache_folder
from benchleaf.site.extras.starter import TEXT
from benchleaf.site.pages.view_models import CalloutOverlay, PictureView
from markupsafe import Markup

TORQUE = """\
values:
  rotor_nut_torque: {value: %s, unit: N·m, source: {document: Invented sheet}, date: 2031-02-28}
heads:
"""


def _fleet(folder: Path, torque: int | None) -> Fleet:
    text = TEXT.read_text("utf-8")
    if torque is not None:
        text = text.replace("\nheads:\n", "\n" + TORQUE % torque, 1)
    (folder / "fleet.yaml").write_text(text, "utf-8")
    return load_fleet(folder / "fleet.yaml")


def _next(
    folder: Path, torque: int | None, old: dict[str, object]
) -> tuple[dict[str, object], list[tuple[str, str]]]:
    heads = _fleet(folder, torque).heads
    state = build._next_state(old, heads)
    kept: dict[str, object] = state["heads"]
    return kept, [(c.was, c.now) for c in build._changes(state, heads[0])]


def test_changes_are_told_until_the_next_change(tmp_path: Path) -> None:
    first, told = _next(tmp_path, None, {})
    assert told == [], "a new head has no changes"
    second, told = _next(tmp_path, 80, first)
    assert [(was, now.split("\u00a0")[0]) for was, now in told] == [("", "80")]
    again, told_again = _next(tmp_path, 80, second)
    assert (again, told_again) == (second, told), "building twice gives the same pages"
    _, told = _next(tmp_path, 85, again)
    assert [(was.split("\u00a0")[0], now.split("\u00a0")[0]) for was, now in told] == [("80", "85")]


@pytest.mark.parametrize("text", ["", "no json", "[]", '{"form": 0, "heads": {}}', '{"form": 1, "heads": 3}'])
def test_kept_values_that_cannot_be_read_tell_nothing(tmp_path: Path, text: str) -> None:
    (tmp_path / MARK).write_text(text, "utf-8")
    assert build._read_state(tmp_path) == {}
    assert build._read_state(tmp_path / "none") == {}


def test_a_fleet_may_ask_for_jpeg_beside_webp(tmp_path: Path) -> None:
    assert build._picture_settings(_fleet(tmp_path, None)).formats == ("webp",)
    text = (tmp_path / "fleet.yaml").read_text("utf-8")
    (tmp_path / "fleet.yaml").write_text(text.replace("  # jpeg: true ", "  jpeg: true "), "utf-8")
    assert build._picture_settings(load_fleet(tmp_path / "fleet.yaml")).formats == ("webp", "jpg")


def test_chosen_heads_keep_the_order_of_the_fleet() -> None:
    fleet = load_fleet(DEMO_FLEET / "fleet.yaml")
    assert [h.tag for h in chosen_heads(fleet, ("p-104", "P-101"))] == ["P-101", "P-104"]
    with pytest.raises(
        BuildFault, match=r"no pump X-9 in the fleet(.|\n)*no pump P-1O4 in the fleet; did you mean P-104\?"
    ):
        chosen_heads(fleet, ("X-9", "P-1O4"))


def test_unknown_language_names_file_and_key(tmp_path: Path) -> None:
    fleet = _fleet(tmp_path, None)
    other = fleet.booklet.model_copy(update={"language": "zz"})
    from dataclasses import replace

    with pytest.raises(
        BuildFault, match=r"fleet\.yaml \(booklet > language\): there are no words in 'zz'; there are: en"
    ):
        build._setting(replace(fleet, booklet=other))


def test_demo_has_at_least_three_sizes() -> None:
    fleet = load_fleet(DEMO_FLEET / "fleet.yaml")
    assert fleet.demo
    assert len({h.size.name for h in fleet.heads}) >= 3


@pytest.mark.parametrize(("wanted", "jobs", "count"), [(1, 7, 1), (3, 7, 3), (9, 7, 7), (2, 1, 2), (1, 1, 1)])
def test_workers_are_no_more_than_heads(wanted: int, jobs: int, count: int) -> None:
    assert worker_count(wanted, jobs) == count


def test_stages_add_up_and_peaks_do_not() -> None:
    one, two = StageTimes(), StageTimes()
    for stages in (one, two):
        with stages.stage("geometry"):
            sum(range(1000))
    seconds = one.by_name["geometry"].seconds + two.by_name["geometry"].seconds
    one.add(two)
    assert one.by_name["geometry"].seconds == pytest.approx(seconds)
    assert 0 < one.by_name["geometry"].peak_mb <= peak_memory_mb()
    assert [s["name"] for s in json.loads(one.as_json())["stages"]] == ["geometry"]


class _Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def test_progress_is_one_live_line_on_a_terminal_and_plain_lines_elsewhere() -> None:
    terminal, file = _Terminal(), io.StringIO()
    for stream in (terminal, file):
        lines = ProgressLines(stream)
        lines.say("first")
        lines.say("second", small=True)
        lines.close()
    assert terminal.getvalue().count("\n") == 0
    assert "second" in terminal.getvalue()
    assert terminal.getvalue().endswith("\r\x1b[K")
    assert [line.split("  ")[-1] for line in file.getvalue().splitlines()] == ["first"]


def test_kept_pictures_lie_where_the_user_says(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("BENCHLEAF_CACHE", str(tmp_path))
    assert cache_folder() == tmp_path
    monkeypatch.delenv("BENCHLEAF_CACHE")
    assert cache_folder().parts[-2:] == ("benchleaf", "pictures")


def test_a_picture_that_hides_its_part_is_told_by_sequence_step_and_part() -> None:
    camera = CameraSeen("front", (0.0, 0.0, 1.0), (0.0, 1.0, 0.0), (0.0, 0.0, 0.0), 100.0)
    key = PartSeen("moving", 9, 0.2, (0.5, 0.5), None)
    hidden = Manifest("step", "fit_key", 3, {"webp": "x"}, 400, 300, camera, False, {"key_drive": key})
    narrow = PictureView("", 400, 300, "", overlays=(CalloutOverlay(Markup("")),))
    assert _shortcomings({("assembly", "fit_key"): hidden}, {"assembly": {"fit_key": narrow}}) == (
        "assembly, fit_key, key_drive: only 20% of its outline is unhidden",
        "assembly, fit_key: its callouts find no room at 4 of 5 page widths",
    )
