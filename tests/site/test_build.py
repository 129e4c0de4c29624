"""What a build keeps and reports: changed values, chosen heads, stages, progress, pictures that fall short."""

from __future__ import annotations

import io
import json
from dataclasses import replace
from pathlib import Path

import pytest
from benchleaf.render.drawing.manifest import CameraSeen, Manifest, PartSeen
from benchleaf.render.drawing.still_files import STILL_ENDING
from benchleaf.sequences.calculations.load_fleet import JudgedFleet, load_fleet
from benchleaf.sequences.files.faults import FaultsFound, shown
from benchleaf.sequences.work.resources import peak_memory_mb
from benchleaf.sequences.work.tasks import Spent
from benchleaf.site.booklets.head_pictures import shortcomings
from benchleaf.site.booklets.library import booklet_setting, picture_settings
from benchleaf.site.build.fleet_run import chosen_heads
from benchleaf.site.build.kept_values import KeptValues, next_kept_values, read_kept_values
from benchleaf.site.build.progress import ProgressLines
from benchleaf.site.build.timings import StageTimes
from benchleaf.site.build.user_faults import UserFault
from benchleaf.site.command import DEMO_FLEET
from benchleaf.site.extras.starter import TEXT
from benchleaf.site.folders.marks import KEPT_VALUES, MARK
from benchleaf.site.pages.view_models import CalloutOverlay, PictureView
from benchleaf.site.words.catalogue import load_words
from markupsafe import Markup

WORDS = load_words()

TORQUE = """\
values:
  rotor_nut_torque: {value: %s, unit: N·m, source: {document: Invented sheet}, date: 2031-02-28}
heads:
"""


def _fleet(folder: Path, torque: int | None) -> JudgedFleet:
    text = TEXT.read_text("utf-8")
    if torque is not None:
        text = text.replace("\nheads:\n", "\n" + TORQUE % torque, 1)
    (folder / "fleet.yaml").write_text(text, "utf-8")
    return load_fleet(folder / "fleet.yaml")


def _next(folder: Path, torque: int | None, old: KeptValues) -> tuple[KeptValues, list[tuple[str, str]]]:
    rows = _fleet(folder, torque).heads
    kept = next_kept_values(old, rows)
    return kept, [(c.was, c.now) for c in kept.changes(rows[0], WORDS)]


def test_changes_are_shown_until_the_next_change(tmp_path: Path) -> None:
    first, shown = _next(tmp_path, None, KeptValues())
    assert shown == [], "a new head has no changes"
    second, shown = _next(tmp_path, 80, first)
    assert [(was, now.split("\u00a0")[0]) for was, now in shown] == [("", "80")]
    again, shown_again = _next(tmp_path, 80, second)
    assert (again, shown_again) == (second, shown), "building twice gives the same pages"
    _, shown = _next(tmp_path, 85, again)
    assert [(was.split("\u00a0")[0], now.split("\u00a0")[0]) for was, now in shown] == [("80", "85")]


def test_kept_values_are_read_as_they_were_written(tmp_path: Path) -> None:
    kept, _ = _next(tmp_path, 80, _next(tmp_path, None, KeptValues())[0])
    kept.write(tmp_path)
    assert read_kept_values(tmp_path) == kept
    assert kept != KeptValues()


def test_kept_values_of_earlier_versions_are_read_from_the_mark(tmp_path: Path) -> None:
    kept, _ = _next(tmp_path, 80, KeptValues())
    kept.write(tmp_path)
    (tmp_path / KEPT_VALUES).rename(tmp_path / MARK)
    assert read_kept_values(tmp_path) == kept


@pytest.mark.parametrize("file", [KEPT_VALUES, MARK])
@pytest.mark.parametrize("text", ["", "no json", "[]", '{"form": 0, "heads": {}}', '{"form": 1, "heads": 3}'])
def test_kept_values_that_cannot_be_read_are_none(tmp_path: Path, text: str, file: str) -> None:
    (tmp_path / file).write_text(text, "utf-8")
    assert read_kept_values(tmp_path) == KeptValues()
    assert read_kept_values(tmp_path / "none") == KeptValues()


def test_a_fleet_may_ask_for_jpeg_beside_the_lightest_format(tmp_path: Path) -> None:
    assert picture_settings(_fleet(tmp_path, None).booklet.jpeg).formats == (STILL_ENDING,)
    text = (tmp_path / "fleet.yaml").read_text("utf-8")
    (tmp_path / "fleet.yaml").write_text(text.replace("  # jpeg: true ", "  jpeg: true "), "utf-8")
    assert picture_settings(load_fleet(tmp_path / "fleet.yaml").booklet.jpeg).formats == (STILL_ENDING, "jpg")


def test_a_library_has_the_id_of_its_plant_or_its_own(tmp_path: Path) -> None:
    plant = booklet_setting(_fleet(tmp_path, None))
    text = (tmp_path / "fleet.yaml").read_text("utf-8")
    (tmp_path / "fleet.yaml").write_text(text.replace("  # id: second line ", "  id: second line "), "utf-8")
    own = booklet_setting(load_fleet(tmp_path / "fleet.yaml"))
    assert (plant.id, own.id, own.plant) == ("", "second line", plant.plant)
    assert len({plant.library_id, own.library_id, replace(plant, plant="Other").library_id}) == 3
    assert replace(plant, title="Other", date="2031-01-01").library_id == plant.library_id


def test_chosen_heads_keep_the_order_of_the_fleet() -> None:
    fleet = load_fleet(DEMO_FLEET / "fleet.yaml")
    assert [h.tag for h in chosen_heads(fleet, ("p-104", "P-101"))] == ["P-101", "P-104"]
    with pytest.raises(
        UserFault, match=r"no pump X-9 in the fleet(.|\n)*no pump P-1O4 in the fleet; did you mean P-104\?"
    ):
        chosen_heads(fleet, ("X-9", "P-1O4"))


@pytest.mark.parametrize("language", ["zz", "../words/en", "/", "en/../en", "a\0b", "x" * 5000])
def test_unknown_language_names_file_and_key(tmp_path: Path, language: str) -> None:
    fleet = _fleet(tmp_path, None)
    other = replace(fleet, booklet=fleet.booklet.model_copy(update={"languages": [language]}))
    with pytest.raises(FaultsFound) as told:
        booklet_setting(other)
    [fault] = told.value.faults
    assert (fault.file, fault.path) == ("fleet.yaml", "booklet > languages")
    assert fault.found == f"the language {shown(language)}"
    assert fault.allowed.startswith("de, en or es")


def test_demo_has_at_least_three_sizes() -> None:
    fleet = load_fleet(DEMO_FLEET / "fleet.yaml")
    assert fleet.demo
    assert len({h.size.name for h in fleet.heads}) >= 3


def test_stages_add_up_and_peaks_do_not() -> None:
    times = StageTimes()
    with times.stage("data"):
        sum(range(1000))
    assert 0 < times.by_name["data"].peak_mb <= peak_memory_mb()
    times.take({"picture": [Spent(1.5, 1.0, 300.0), Spent(0.5, 0.25, 200.0)]})
    picture = times.by_name["picture"]
    assert (picture.seconds, picture.cpu_s, picture.peak_mb) == (2.0, 1.25, 300.0)
    assert [s["name"] for s in json.loads(times.as_json())["stages"]] == ["data", "picture"]


class _Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def test_progress_is_a_bar_on_a_terminal_and_plain_lines_elsewhere() -> None:
    terminal, file = _Terminal(), io.StringIO()
    for stream in (terminal, file):
        lines = ProgressLines(stream)
        lines.say("first")
        lines.expects(4.0)
        lines.has_done(1.0, "P-101: picture 1")
        lines.say("P-101 is done")
        lines.close()
    assert "P-101: picture 1" in terminal.getvalue()
    assert "P-101 is done" in terminal.getvalue()
    assert "\x1b" in terminal.getvalue()
    assert [line.split("  ")[-1] for line in file.getvalue().splitlines()] == ["first", "P-101 is done"]


def test_away_from_a_terminal_the_time_left_is_told_now_and_then(monkeypatch: pytest.MonkeyPatch) -> None:
    now = [100.0]
    monkeypatch.setattr("benchleaf.site.build.progress.time.monotonic", lambda: now[0])
    file = io.StringIO()
    lines = ProgressLines(file)
    lines.expects(100.0)
    for second, what in ((10.0, "a"), (20.0, "b"), (21.0, "c"), (60.0, "d")):
        now[0] = 100.0 + second
        lines.has_done(10.0, what)
    assert file.getvalue().splitlines() == [
        "  20.0 s  b; about 80 s left",
        "  60.0 s  d; about 90 s left",
    ]


def test_a_picture_that_hides_its_part_is_named_by_sequence_step_and_part() -> None:
    camera = CameraSeen("front", (0.0, 0.0, 1.0), (0.0, 1.0, 0.0), (0.0, 0.0, 0.0), 100.0)
    key = PartSeen("moving", 9, 0.2, (0.5, 0.5), None)
    hidden = Manifest("step", "fit_key", 3, {"webp": "x"}, 400, 300, camera, False, {"key_drive": key})
    narrow = PictureView("", 400, 300, "", overlays=(CalloutOverlay(Markup(""), (640,)),))
    assert shortcomings({("assembly", "fit_key"): hidden}, {"assembly": {"fit_key": narrow}}) == (
        "assembly, fit_key, key_drive: only 20% of its outline is unhidden",
        "assembly, fit_key: its callouts find no room at 4 of 5 page widths",
    )
