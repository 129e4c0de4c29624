"""Readings: their instruments, verdicts that hold by hand, and the page's script in step with the program's own."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path

import pytest
from benchleaf.geometry.dimensions.options import Options
from benchleaf.geometry.engineering.bench_instruments import CALIPER, DIAL_SHORT, torque_wrench_figure
from benchleaf.geometry.engineering.figures import Limit, by_hand, hand_tolerance
from benchleaf.geometry.engineering.measuring import METHODS, judge_reading, uncertainty_figure, verdict
from benchleaf.geometry.engineering.topics import Topic
from benchleaf.sequences.calculations.calculation_sheets import NoRoom, no_room
from benchleaf.sequences.steps.plan import Measurement, Plan
from benchleaf.sequences.steps.sequence_file import SHIPPED, load_sequence
from benchleaf.sequences.values.head_values import resolve_values
from benchleaf.sequences.values.instruments import (
    STEPWISE,
    TORQUES,
    WAYS,
    instruments,
    room_figure,
)
from benchleaf.sequences.values.sourced_values import ResolvedValue, Source, SourcedValue
from benchleaf.sequences.values.value_names import VALUE_NAMES
from benchleaf.site.pages.booklet import Booklet, make_chapter, make_values
from benchleaf.site.pages.pages import Setting, write_booklet
from benchleaf.site.pages.view_models import Identity
from benchleaf.site.words.catalogue import load_words
from browsing import DESK, PHONE, Visit, browser
from playwright.sync_api import Browser, ViewportSize
from site_samples import SECTIONS, sample_step

WORDS = load_words()
SHEET = Source("Invented Works, data sheet IW-70", "3", "4")


def _value(name: str, low: str | None, high: str | None, unit: str = "mm") -> SourcedValue:
    if low is not None and high is not None:
        return SourcedValue(None, unit, SHEET, "2024-02-01", span=(Decimal(low), Decimal(high)))
    return SourcedValue(Decimal(low or high or "0"), unit, SHEET, "2024-02-01")


GIVEN = {
    "front_face_clearance": _value("front_face_clearance", "0.10", "0.18"),
    "radial_clearance": _value("radial_clearance", "0.002", "0.005", "in"),
    "shaft_runout_limit": _value("shaft_runout_limit", None, "0.03"),
    "disc_spring_free_height": _value("disc_spring_free_height", "1.52", None),
    "rotor_nut_torque": _value("rotor_nut_torque", "47", "53", "N·m"),
    "safe_touch_temperature": _value("safe_touch_temperature", None, "45", "°C"),
}
VALUES = resolve_values(GIVEN, Options())
UNITS = {"rotor_nut_torque": "N·m", "safe_touch_temperature": "°C"}


def _booklet() -> Booklet:
    measures = tuple(
        Measurement(f"read_{name}", name, UNITS.get(name, "mm"), name)
        for name in (*GIVEN, "closed_joint_blade")
    )
    step = sample_step(1, "checks", "Measure", moves=(), measure=measures)
    plan = Plan("assembly", "Assembly", "P-1", SECTIONS, (step,))
    chapter = make_chapter(plan, {}, VALUES, instruments=instruments)
    return Booklet(
        Identity("P-1", "IW-70", "", "1", "2031-01-01"),
        (),
        None,
        (),
        (chapter,),
        make_values(VALUES, (plan,)),
    )


@pytest.fixture(scope="module")
def chrome() -> Iterator[Browser]:
    with browser() as running:
        yield running


@pytest.fixture(scope="module")
def sheet(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("sheet")
    write_booklet(_booklet(), folder, Setting(WORDS, "Invented Works", True, "2031-01-01"))
    return folder / "record.html"


# ------------------------------------------------------------------ the page and the program agree
_STATE = {"pass": "within", "fail": "outside", "cannot tell": "near", "no limit": "nolimits"}
_TYPE = """([id, typed, chosen]) => {
    const row = document.getElementById(id);
    const field = row.querySelector('.reading'), choice = row.querySelector('select');
    if (choice) { choice.value = chosen; choice.dispatchEvent(new Event('change')); }
    return typed.map(t => {
        field.value = t;
        field.dispatchEvent(new Event('input'));
        const out = row.querySelector('.result');
        return [out.className.replace('result', '').trim(), out.textContent];
    });
}"""


def test_page_and_program_agree_over_a_grid_of_readings(chrome: Browser, sheet: Path) -> None:
    context = chrome.new_context()
    visit = Visit(context, sheet)
    seen: set[str] = set()
    for reading in _booklet().readings:
        ends = [x for x in (reading.low, reading.high) if x is not None] or [0.1]
        tools = reading.instruments or (None,)
        for tool in tools:
            u = tool.uncertainty if tool else 0.0
            near = {x + sign * u + step for x in ends for sign in (-1, 1) for step in (-1e-9, 0.0, 1e-9)}
            even = {min(ends) * 0.5 + n * (max(ends) * 1.5 - min(ends) * 0.5) / 160 for n in range(161)}
            typed = [f"{x:.17f}" for x in sorted(near | even)]
            told = visit.page.evaluate(_TYPE, [f"assembly-{reading.id}", typed, tool.key if tool else ""])
            wanted = [_STATE[verdict(float(t), u, reading.low, reading.high)] for t in typed]
            assert [state for state, _ in told] == wanted, (reading.id, tool)
            seen |= set(wanted)
            if tool is not None and tool.key in STEPWISE and reading.judged:
                limit = Limit(reading.low, reading.high, "mm", Topic("source.sheet"))
                own = [_STATE[judge_reading(float(t), STEPWISE[tool.key], limit).verdict] for t in typed]
                assert own == wanted
            words = {state: text for state, text in told}
            assert words.get("near", WORDS("record.near")) == WORDS("record.near")
    assert seen == set(_STATE.values())
    assert visit.troubles == []
    context.close()


def test_a_finer_instrument_is_chosen_on_the_page_and_kept(chrome: Browser, sheet: Path) -> None:
    context = chrome.new_context(viewport=PHONE)
    page = Visit(context, sheet).page
    row = page.locator("#assembly-read_front_face_clearance")
    row.locator(".reading").fill("0.113")
    assert row.locator(".result").text_content() == WORDS("record.near")
    row.locator("select").select_option("depth-micrometer")
    assert row.locator(".result").text_content() == WORDS("record.within")
    page.reload()
    assert row.locator("select").input_value() == "depth-micrometer"
    assert row.locator(".result").text_content() == WORDS("record.within")
    context.close()


def test_without_a_known_error_the_sheet_says_so(sheet: Path) -> None:
    page = sheet.read_text("utf-8")
    row = page[page.index('id="assembly-read_safe_touch_temperature"') :]
    assert WORDS("record.no_error") in row[: row.index("</tr>")]
    row = page[page.index('id="assembly-read_closed_joint_blade"') :]
    assert WORDS("record.no_error") not in row[: row.index("</tr>")]
    assert "data-u" not in row[: row.index("</tr>")]


@pytest.mark.parametrize("view", [PHONE, DESK], ids=["phone", "desk"])
def test_the_sheet_opens_clean(chrome: Browser, sheet: Path, view: ViewportSize) -> None:
    context = chrome.new_context(viewport=view)
    visit = Visit(context, sheet)
    assert (visit.troubles, visit.outside(), visit.too_wide()) == ([], [], 0)
    context.close()


# ------------------------------------------------------------------ instruments
def test_every_limited_length_that_sequences_read_has_its_instrument() -> None:
    for name, keys in WAYS.items():
        assert VALUE_NAMES[name].quantity == "length"
        assert [t.key for t in instruments(name, "mm")] == list(keys)
    steps = [s for name in SHIPPED for s in load_sequence(name).steps]
    assert {m.value for s in steps for m in s.measure if m.unit == "mm"} == set(WAYS)
    assert set(TORQUES) == {n for n, v in VALUE_NAMES.items() if v.quantity == "torque"}


@pytest.mark.parametrize("way", [CALIPER, DIAL_SHORT, *METHODS.values()], ids=lambda m: m.key)
def test_uncertainty_is_worked_again_by_hand(way: object) -> None:
    figure = uncertainty_figure(way)  # type: ignore[arg-type]
    assert abs(by_hand(figure) - figure.value) <= hand_tolerance(figure)


def test_uncertainty_comes_in_the_unit_of_the_reading() -> None:
    mm = instruments("front_face_clearance", "mm")[0].uncertainty
    assert instruments("front_face_clearance", "µm")[0].uncertainty == pytest.approx(1000 * mm)
    assert instruments("front_face_clearance", "in")[0].uncertainty == pytest.approx(mm / 25.4)
    assert instruments("front_face_clearance", "bar") == ()
    assert instruments("rotor_nut_torque", "N·m") == (), "without a limit a wrench's error is not known"
    assert instruments(None, "mm") == ()


def test_a_wrench_is_coarser_at_small_torques() -> None:
    assert torque_wrench_figure(10).value == pytest.approx(2 * 0.6 / 3**0.5)
    assert torque_wrench_figure(100).value == pytest.approx(2 * 4.0 / 3**0.5)
    with pytest.raises(ValueError, match="a torque is above zero, got 0 N·m"):
        torque_wrench_figure(0)
    (wrench,) = instruments("rotor_nut_torque", "N·m", 53.0)
    assert wrench.figure.topic == Topic("figure.reading_of", method="torque-wrench", value="rotor_nut_torque")
    assert wrench.reach("N·m") == "±2.45\u00a0N·m"


def _resolved(low: str, high: str) -> ResolvedValue:
    return resolve_values({"radial_clearance": _value("", low, high)}, Options())["radial_clearance"]


def test_limits_closer_than_the_method_can_tell_leave_no_reading_that_passes() -> None:
    (tool,) = instruments("radial_clearance", "mm")
    for low, high in itertools.combinations(("0.05", "0.06", "0.08", "0.09", "0.12"), 2):
        value = _resolved(low, high)
        figure = room_figure(value, tool)
        assert figure is not None
        assert abs(by_hand(figure) - figure.value) <= hand_tolerance(figure)
        assert value.low is not None
        assert value.high is not None
        best = verdict((value.low + value.high) / 2, tool.uncertainty, value.low, value.high)
        assert (figure.judgement == "outside") == (best != "pass")
        assert no_room(value, tool, figure) == (NoRoom(value, tool) if best != "pass" else None)
        assert figure.topic == Topic("figure.room", value="radial_clearance", method="feeler-radial")
    assert room_figure(resolve_values({}, Options())["radial_clearance"], tool) is None
