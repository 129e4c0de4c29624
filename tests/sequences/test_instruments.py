"""Readings: their instruments, verdicts that hold by hand, and the page's script in step with the program's own."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal
from html import escape
from pathlib import Path

import pytest
from benchleaf.geometry.dimensions.options import Options
from benchleaf.geometry.engineering.bench_instruments import (
    CALIPER,
    DIAL_SHORT,
    MICROMETER,
    WrenchSetting,
    torque_wrench_figure,
)
from benchleaf.geometry.engineering.figures import Limit, by_hand, hand_tolerance
from benchleaf.geometry.engineering.measuring import (
    METHODS,
    DecisionRule,
    RuleKind,
    judge_reading,
    uncertainty_figure,
)
from benchleaf.geometry.engineering.measuring import too_coarse as coarse
from benchleaf.geometry.engineering.topics import Topic
from benchleaf.sequences.calculations.calculation_sheets import TooCoarse, too_coarse
from benchleaf.sequences.steps.plan import Measurement, Plan
from benchleaf.sequences.steps.sequence_file import SHIPPED, load_sequence
from benchleaf.sequences.values.head_values import resolve_values
from benchleaf.sequences.values.instruments import (
    STEPWISE,
    TORQUES,
    WAYS,
    instruments,
    share_figure,
)
from benchleaf.sequences.values.quantities import reading_floor
from benchleaf.sequences.values.sourced_values import (
    ChosenRule,
    ResolvedValue,
    Source,
    SourcedValue,
    decision_rule,
)
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


def _ruled(kind: RuleKind, guard: float = 0.83) -> ChosenRule:
    return ChosenRule(DecisionRule(kind, guard), SHEET, "2024-02-01")


GIVEN = {
    "front_face_clearance": _value("front_face_clearance", "0.10", "0.18"),
    "radial_clearance": _value("radial_clearance", "0.002", "0.005", "in"),
    "shaft_runout_limit": _value("shaft_runout_limit", None, "0.03"),
    "mesh_clearance": replace(_value("mesh_clearance", "0.05", "0.20"), critical=True),
    "rear_clearance": replace(_value("rear_clearance", "0.07", "0.10"), rule=_ruled("simple")),
    "shaft_end_float_limit": replace(_value("", None, "0.08"), rule=_ruled("guarded", 0.5)),
    "disc_spring_free_height": _value("disc_spring_free_height", "1.52", None),
    "rotor_nut_torque": _value("rotor_nut_torque", "47", "53", "N·m"),
    "safe_touch_temperature": _value("safe_touch_temperature", None, "45", "°C"),
}
VALUES = resolve_values(GIVEN, Options())
UNITS = {"rotor_nut_torque": "N·m", "body_screw_torque": "N·m", "safe_touch_temperature": "°C"}


def _booklet() -> Booklet:
    measures = tuple(
        Measurement(f"read_{name}", name, UNITS.get(name, "mm"), name)
        for name in (*GIVEN, "closed_joint_blade", "body_screw_torque")
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
_STATE = {
    "pass": "within", "near": "near", "fail": "outside", "cannot tell": "open", "no limit": "nolimits",
    "below zero": "below",
}  # fmt: skip
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
        if reading.setting:
            continue
        ends = [x for x in (reading.low, reading.high) if x is not None] or [0.1]
        for tool in reading.instruments or (None,):
            judging = reading.judging(tool)
            g = judging.guard
            near = {x + sign * g + step for x in ends for sign in (-1, 0, 1) for step in (-1e-9, 0.0, 1e-9)}
            even = {min(ends) * 0.5 + n * (max(ends) * 1.5 - min(ends) * 0.5) / 160 for n in range(161)}
            typed = [f"{x:.17f}" for x in sorted(near | even | {-0.01, 0.0})]
            told = visit.page.evaluate(_TYPE, [f"assembly-{reading.id}", typed, tool.key if tool else ""])
            wanted = [_STATE[judging.verdict(float(t))] for t in typed]
            assert [state for state, _ in told] == wanted, (reading.id, tool)
            seen |= set(wanted)
            if tool is not None and tool.key in STEPWISE and reading.judged:
                limit = Limit(reading.low, reading.high, "mm", Topic("source.sheet"))
                way, rule = STEPWISE[tool.key], decision_rule(reading.value)
                own = [_STATE[judge_reading(float(t), way, limit, rule).verdict] for t in typed]
                assert own == wanted
            words = {state: text for state, text in told}
            for state in ("within", "near", "outside", "open", "below"):
                assert words.get(state, WORDS(f"record.{state}")) == WORDS(f"record.{state}")
    assert seen == set(_STATE.values())
    assert visit.troubles == []
    context.close()


_SET = {
    "pass": "set", "fail": "outside", "beyond wrench": "beyond", "incomplete": "incomplete", "no limit": "nolimitsset",
    "below zero": "below",
}  # fmt: skip
_WRENCH = """([id, entries]) => {
    const row = document.getElementById(id), at = name => row.querySelector('.' + name);
    return entries.map(([setting, least, most, certificate, clicked]) => {
        at('least').value = least === null ? '' : least;
        at('most').value = most === null ? '' : most;
        at('certificate').value = certificate;
        at('clicked').checked = clicked;
        at('reading').value = setting;
        at('clicked').dispatchEvent(new Event('change'));
        return at('result').className.replace('result', '').trim();
    });
}"""


def test_page_and_program_agree_over_entries_of_a_torque_wrench(chrome: Browser, sheet: Path) -> None:
    context = chrome.new_context()
    visit = Visit(context, sheet)
    settings = (-1.0, 0.0, 46.999, 47.0, 50.0, 53.0, 53.001, 120.0)
    ends = (
        (None, None),
        (20.0, None),
        (None, 100.0),
        (20.0, 100.0),
        (50.0, 50.0),
        (60.0, 200.0),
        (5.0, 49.0),
    )
    entries = [
        WrenchSetting(s, least, most, certificate, clicked)
        for s, (least, most), certificate, clicked in itertools.product(
            settings, ends, ("", " ", "W-7"), (True, False)
        )
    ]
    seen: set[str] = set()
    for reading in (r for r in _booklet().readings if r.setting):
        typed = [[str(e.setting), e.least, e.most, e.certificate, e.clicked] for e in entries]
        told = visit.page.evaluate(_WRENCH, [f"assembly-{reading.id}", typed])
        wanted = [_SET[e.verdict(reading.low, reading.high)] for e in entries]
        assert told == wanted, reading.id
        seen |= set(wanted)
    assert seen == set(_SET.values())
    assert visit.troubles == []
    context.close()


def test_what_is_written_down_of_a_wrench_is_kept_and_deleted(chrome: Browser, sheet: Path) -> None:
    context = chrome.new_context(viewport=PHONE)
    page = Visit(context, sheet).page
    row = page.locator("#assembly-read_rotor_nut_torque")
    for name, text in (("reading", "50"), ("least", "20"), ("most", "100"), ("certificate", "W-7")):
        row.locator(f".{name}").fill(text)
    assert row.locator(".result").text_content() == WORDS("record.incomplete")
    row.locator(".clicked").check()
    assert row.locator(".result").text_content() == WORDS("record.set")
    page.reload()
    assert row.locator(".result").text_content() == WORDS("record.set")
    page.on("dialog", lambda dialog: dialog.accept())
    page.locator("[data-do=delete-job]").click()
    assert row.locator(".result").text_content() == ""
    assert not row.locator(".clicked").is_checked()
    assert [row.locator(f".{n}").input_value() for n in ("reading", "least", "most", "certificate")] == [
        ""
    ] * 4
    context.close()


def _row(sheet: Path, name: str) -> str:
    page = sheet.read_text("utf-8")
    row = page[page.index(f'id="assembly-read_{name}"') :]
    return row[: row.index("</tr>")].replace("\u00a0", " ")


def test_a_too_coarse_instrument_is_told_beside_the_empty_reading(sheet: Path) -> None:
    for reading in _booklet().readings:
        name = reading.id.removeprefix("read_")
        told = _row(sheet, name).count('class="coarse"')
        width = None if reading.high is None else reading.high - (reading.low or 0.0)
        assert told == sum(
            not reading.setting and width is not None and t.uncertainty > width / 3
            for t in reading.instruments
        ), name
    assert _row(sheet, "rear_clearance").count('class="coarse"') == 1
    assert _row(sheet, "front_face_clearance").count('class="coarse"') == 0


def test_the_plants_rule_stands_with_its_source_beside_the_limits(sheet: Path) -> None:
    assert "Judged: critical, guarded by 0.83 of the instrument" in _row(sheet, "mesh_clearance")
    for name, rule in (
        ("rear_clearance", "simple acceptance"),
        ("shaft_end_float_limit", "guarded by 0.5 of"),
    ):
        assert f"Judged: {rule}" in _row(sheet, name)
        assert _row(sheet, name).count(SHEET.document) == 2, "source of the limits, source of the rule"
    assert "Judged:" not in _row(sheet, "front_face_clearance")


def test_a_finer_instrument_is_chosen_on_the_page_and_kept(chrome: Browser, sheet: Path) -> None:
    context = chrome.new_context(viewport=PHONE)
    page = Visit(context, sheet).page
    row = page.locator("#assembly-read_front_face_clearance")
    row.locator(".reading").fill("0.111")
    assert row.locator(".result").text_content() == WORDS("record.near")
    row.locator("select").select_option("depth-micrometer")
    assert row.locator(".result").text_content() == WORDS("record.within")
    page.reload()
    assert row.locator("select").input_value() == "depth-micrometer"
    assert row.locator(".result").text_content() == WORDS("record.within")
    context.close()


def test_every_reading_has_its_error_or_says_that_none_is_counted(sheet: Path) -> None:
    for reading in _booklet().readings:
        row = _row(sheet, reading.id.removeprefix("read_"))
        assert (WORDS("record.no_error") in row) == (not reading.instruments), reading.id
        for tool in reading.instruments:
            assert escape(tool.reach(reading.unit)).replace("\u00a0", " ") in row
    assert WORDS("record.no_error") in _row(sheet, "safe_touch_temperature")


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


@pytest.mark.parametrize("way", [CALIPER, MICROMETER, DIAL_SHORT, *METHODS.values()], ids=lambda m: m.key)
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


def test_an_instrument_is_told_too_coarse_where_it_takes_more_than_a_third_of_the_band() -> None:
    (tool,) = instruments("radial_clearance", "mm")
    for low, high in itertools.combinations(("0.05", "0.06", "0.08", "0.09", "0.12"), 2):
        value = _resolved(low, high)
        figure = share_figure(value, tool)
        assert figure is not None
        assert abs(by_hand(figure) - figure.value) <= hand_tolerance(figure)
        assert value.low is not None
        assert value.high is not None
        wide = coarse(tool.uncertainty, value.low, value.high, 0.0)
        assert wide == (tool.uncertainty > (value.high - value.low) / 3)
        assert (figure.judgement == "outside") == wide
        assert too_coarse(value, tool, figure) == (TooCoarse(value, tool) if wide else None)
        assert figure.topic == Topic("figure.share", value="radial_clearance", method="feeler-radial")
    blank = resolve_values({}, Options())
    assert share_figure(blank["radial_clearance"], tool) is None
    (dial,) = instruments("shaft_runout_limit", "mm")
    one_sided = share_figure(VALUES["shaft_runout_limit"], dial)
    assert one_sided is not None
    assert one_sided.value == pytest.approx(100 * dial.uncertainty / 0.03)
    (caliper,) = instruments("disc_spring_free_height", "mm")
    assert share_figure(VALUES["disc_spring_free_height"], caliper) is None, "a least limit alone has no band"


@pytest.mark.parametrize(("tolerance", "judged"), [("3", "inside"), ("2.5", "inside"), ("2", "outside")])
def test_a_wrench_is_too_coarse_beyond_half_of_the_band(tolerance: str, judged: str) -> None:
    given = replace(_value("", "50", None, "N·m"), tolerance=Decimal(tolerance))
    value = resolve_values({"rotor_nut_torque": given}, Options())["rotor_nut_torque"]
    (wrench,) = instruments("rotor_nut_torque", "N·m", value.high)
    figure = share_figure(value, wrench)
    assert figure is not None
    assert figure.judgement == judged


# ------------------------------------------------------------------ decision rules
@pytest.mark.parametrize(
    ("critical", "chosen", "rule"),
    [
        (False, None, DecisionRule("by instrument")),
        (True, None, DecisionRule("guarded", 0.83)),
        (False, _ruled("simple"), DecisionRule("simple")),
        (True, _ruled("simple"), DecisionRule("guarded", 0.83)),
        (False, _ruled("guarded", 0.5), DecisionRule("guarded", 0.5)),
        (True, _ruled("guarded", 0.5), DecisionRule("guarded", 0.5)),
    ],
)
def test_which_rule_holds_for_a_value(critical: bool, chosen: ChosenRule | None, rule: DecisionRule) -> None:
    given = replace(GIVEN["front_face_clearance"], critical=critical, rule=chosen)
    value = resolve_values({"front_face_clearance": given}, Options())["front_face_clearance"]
    assert decision_rule(value) == rule
    assert decision_rule(None) == DecisionRule()


def test_only_temperatures_go_below_zero() -> None:
    assert {n for n, v in VALUE_NAMES.items() if v.unit and reading_floor(v.unit) is None} == {
        n for n, v in VALUE_NAMES.items() if v.quantity == "temperature"
    }
    assert {reading_floor(u) for u in ("mm", "in", "N·m", "bar", "kg")} == {0.0}
    assert reading_floor("pass") is None
