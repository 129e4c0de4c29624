"""Pages of a sample booklet: what they say, in which order, and that nothing in the data becomes markup."""

from __future__ import annotations

import csv
import io
import re
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path

import pytest
from benchleaf.geometry.dimensions.options import Options
from benchleaf.sequences.steps.plan import Reminder
from benchleaf.sequences.values.head_values import resolve_values
from benchleaf.sequences.values.sourced_values import Source, SourcedValue
from benchleaf.site.pages.booklet import Booklet, make_chapter, make_values
from benchleaf.site.pages.library.head_lines import HeadLine, missing_line
from benchleaf.site.pages.library.library_pages import write_library
from benchleaf.site.pages.pages import ASSETS, Setting, css_string, page_text, units, write_booklet
from benchleaf.site.words.catalogue import load_words
from benchleaf.site.words.value_words import value_stated
from hypothesis import given
from hypothesis import strategies as st
from jinja2 import UndefinedError
from site_samples import FACES, sample_booklet, sample_plan, sample_values

WORDS = load_words()
SETTING = Setting(WORDS, "Invented Works", True, "2025-03-01")


class Outline(HTMLParser):
    """Elements of a page in order: (tag, attributes), and the visible text."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.elements: list[tuple[str, dict[str, str | None]]] = []
        self.text: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, dict(attrs)))

    def handle_data(self, data: str) -> None:
        self.text.append(data)

    def classes(self) -> list[str]:
        return [c for _, a in self.elements for c in (a.get("class") or "").split()]


@pytest.fixture(scope="module")
def booklet_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("booklet")
    write_booklet(sample_booklet(), folder, SETTING, "../index.html")
    return folder


def test_pages_are_those_with_content(booklet_folder: Path) -> None:
    names = {p.name for p in booklet_folder.glob("*.html")}
    usual = {"index.html", "assembly.html", "observed.html", "values.html", "record.html", "paper.html"}
    assert names == usual | {"class-assembly.html", "notes-assembly.html"}
    bare = replace(
        sample_booklet(), values=(), chapters=(replace(sample_booklet().chapters[0], readings=()),)
    )
    kinds = ["front", "steps", "class_view", "class_notes", "observed", "paper"]
    assert [p.kind for p in bare.page_list(WORDS)] == kinds


def test_a_title_stands_as_one_beside_its_number_whatever_is_held_together_in_it(tmp_path: Path) -> None:
    """The head of a step is a grid: what stood beside the words of its title would be a column of its own."""
    base = sample_booklet()
    chapter = base.chapters[0]
    held = tuple(
        replace(
            sec,
            steps=tuple(
                replace(s, step=replace(s.step, title="Fit the O-ring, 3 mm in section")) for s in sec.steps
            ),
        )
        for sec in chapter.sections
    )
    write_booklet(replace(base, chapters=(replace(chapter, sections=held),)), tmp_path, SETTING)
    titles = re.findall(
        r'<h3 id="[^"]+-title">(.*?)</h3>', (tmp_path / "assembly.html").read_text("utf-8"), re.S
    )
    assert len(titles) == chapter.total
    for title in titles:
        assert re.fullmatch(
            r'<span class="number">\d+</span> <span>.*<span class="nb">O-ring</span>.*</span>', title
        )


def test_caution_stands_before_the_acts_of_every_step(booklet_folder: Path) -> None:
    page = (booklet_folder / "assembly.html").read_text("utf-8")
    steps = re.findall(r'<section class="step".*?</section>', page, re.S)
    assert len(steps) == 10
    for step in steps:
        assert 0 < step.index('class="safety') < step.index('class="acts"')


def test_a_message_given_before_is_one_line_that_opens_and_says_where_it_stands(tmp_path: Path) -> None:
    plan = sample_plan()
    steps = list(plan.steps)
    steps[4] = replace(steps[4], cautions=(), reminders=(Reminder(FACES, 3), Reminder(steps[4].cautions[0])))
    chapter = make_chapter(replace(plan, steps=tuple(steps)), {}, sample_values())
    write_booklet(replace(sample_booklet(), chapters=(chapter,)), tmp_path, SETTING)
    for file in ("assembly.html", "paper.html"):
        page = (tmp_path / file).read_text("utf-8")
        step = re.findall(r'<section class="step[^>]*step-5".*?</section>', page, re.S)[0]
        lines = re.findall(
            r"<details class=\"again (\w+)\"><summary>(.*?)</summary>\s*<p>(.*?)</p>", step, re.S
        )
        assert [word for word, *_ in lines] == [
            c.signal_word.lower() for c in (FACES, plan.steps[4].cautions[0])
        ]
        (_, faces, rest), (_, other, _) = lines
        assert FACES.hazard in faces
        assert WORDS("safety.in_step", number=3) in faces
        assert WORDS("safety.in_section") in other
        assert rest == f"{FACES.consequence} {FACES.avoidance}"
        assert ("<svg" in other, "<svg" in faces) == (True, False), "a notice has no alert symbol"
        assert 'class="safety' not in step


def test_alert_symbol_marks_all_but_notices(booklet_folder: Path) -> None:
    page = (booklet_folder / "assembly.html").read_text("utf-8")
    panels = re.findall(r'<p class="signal">(.*?)<span>(\w+)</span>', page, re.S)
    assert {word for _, word in panels} == {"DANGER", "WARNING", "CAUTION", "NOTICE"}
    assert all(("<svg" in symbol) == (word != "NOTICE") for symbol, word in panels)


def test_value_without_source_prints_as_blank(booklet_folder: Path) -> None:
    page = Outline((booklet_folder / "values.html").read_text("utf-8"))
    text = " ".join(" ".join(page.text).split())
    assert "2 values are not on file." in text
    assert value_stated(sample_values()["rotor_nut_torque"], WORDS) in "".join(page.text)
    assert "Where to find it: the pump maker's manual for this size, table of tightening torques" in text
    assert page.classes().count("blank") == 2


def test_every_page_says_that_the_plant_is_invented_and_carries_the_notice(booklet_folder: Path) -> None:
    for path in booklet_folder.glob("*.html"):
        page = path.read_text("utf-8")
        assert "Invented Works does not exist." in page
        assert WORDS("notice.text").replace("'", "&#39;") in page
        assert (
            f"@bottom-left {{ content: {css_string('Invented plant. ' + WORDS('notice.short'))}; }}" in page
        )


def test_missing_picture_is_said_in_words(booklet_folder: Path) -> None:
    page = (booklet_folder / "assembly.html").read_text("utf-8")
    step = re.findall(r'<section class="step" id="step-4".*?</section>', page, re.S)[0]
    assert WORDS("steps.figure_missing") in step
    assert "<img" not in step


def test_record_sheet_carries_the_sourced_limits_only(booklet_folder: Path) -> None:
    page = Outline((booklet_folder / "record.html").read_text("utf-8"))
    rows = [a for tag, a in page.elements if tag == "tr" and "data-reading" in a]
    limits = [(a["data-id"], a["data-limits-unit"], a.get("data-low"), a.get("data-high")) for a in rows]
    assert limits == [("front_gap", "mm", "0.1", "0.18"), ("turn", "pass", None, None)]
    choices = [a for t, a in page.elements if t == "input" and a.get("type") == "radio"]
    assert [a["value"] for a in choices if a["name"] != "units"] == ["pass", "fail"]


def test_limits_are_given_in_the_unit_of_the_reading() -> None:
    plan, values = sample_plan(), sample_values()
    step = plan.steps[9]
    plan = replace(plan, steps=(replace(step, measure=(replace(step.measure[0], unit="µm"),)),))
    reading = make_chapter(plan, {}, values).readings[0]
    assert (reading.low, reading.high) == (100.0, 180.0)


@pytest.mark.parametrize(
    ("low", "high", "key"),
    [(None, 0.2, "record.most"), (0.1, None, "record.least"), (0.1, 0.2, "")],
)
def test_limit_on_one_side_says_on_which(
    low: float | None, high: float | None, key: str, tmp_path: Path
) -> None:
    plan, values = sample_plan(), sample_values()
    gap = replace(values["front_face_clearance"], low=low, high=high)
    stated = value_stated(gap, WORDS)
    said = WORDS(key, value=stated) if key else stated
    chapter = make_chapter(plan, {}, {**values, gap.name: gap})
    write_booklet(replace(sample_booklet(), chapters=(chapter,)), tmp_path, SETTING)
    assert f">{said}<" in (tmp_path / "record.html").read_text("utf-8")


def test_reading_without_a_limit_on_file_is_not_judged() -> None:
    plan = sample_plan()
    reading = make_chapter(plan, {}, resolve_values({}, Options())).readings[0]
    assert (reading.low, reading.high, reading.judged) == (None, None, False)
    assert reading.value is not None
    assert (reading.value.name, reading.value.known) == ("front_face_clearance", False)


def test_a_record_sheet_without_limits_says_where_to_look(tmp_path: Path) -> None:
    chapter = make_chapter(sample_plan(), {}, resolve_values({}, Options()))
    write_booklet(replace(sample_booklet(), chapters=(chapter,)), tmp_path, SETTING)
    page = " ".join(" ".join(Outline((tmp_path / "record.html").read_text("utf-8")).text).split())
    assert (
        "No limits on file Where to find it: the pump maker's manual for this size, table of clearances"
        in page
    )


def test_no_address_of_another_host_anywhere(booklet_folder: Path, tmp_path: Path) -> None:
    write_library((), (), tmp_path, SETTING)
    for path in [*booklet_folder.rglob("*"), *tmp_path.rglob("*")]:
        if path.suffix in {".html", ".css", ".js"}:
            text = re.sub(r"base64,[^)]*|/\*.*?\*/", "", path.read_text("utf-8"), flags=re.S)
            assert not re.search(r"//[a-z]|https?:", text), path.name


def test_data_never_becomes_markup(tmp_path: Path) -> None:
    own = {f"assets/{p.name}" for p in ASSETS.glob("*.js")} | {"assets/record-form.js"}
    evil = "<script>alert(1)</script>\"'{{ 7*7 }}"
    base = sample_booklet()
    plan = sample_plan()
    step = replace(
        plan.steps[0],
        title=evil,
        acts=(evil,),
        look=(evil,),
        why=evil,
        tools=(evil,),
        cautions=(replace(FACES, hazard=evil),),
    )
    given = SourcedValue(evil, "", Source(evil, evil, evil, evil), evil, condition=evil)
    values = {n: replace(v, given=given) for n, v in sample_values().items()}
    chapter = make_chapter(replace(plan, title=evil, steps=(step, *plan.steps[1:])), {}, values)
    booklet = replace(
        base,
        identity=replace(base.identity, tag=evil, service=evil),
        chapters=(chapter,),
        values=make_values(values, (plan,)),
    )
    write_booklet(booklet, tmp_path, replace(SETTING, plant=evil), "../index.html")
    for path in tmp_path.glob("*.html"):
        text = path.read_text("utf-8")
        assert "<script>alert" not in text
        scripts = [a for t, a in Outline(text).elements if t == "script"]
        data = {"type": "application/json", "class": "record-texts"}
        loaded = [a for a in scripts if a != data]
        assert all(a.keys() == {"src", "defer"} for a in loaded)
        assert {str(a["src"]) for a in loaded} <= own
        assert len(loaded) >= 1
        assert "49" not in re.sub(r"<style.*?</style>|<meta http-equiv[^>]*>", "", text, flags=re.S)


@given(st.text(max_size=60))
def test_css_string_cannot_be_left(text: str) -> None:
    literal = str(css_string(text))
    inner = literal[1:-1]
    assert not set('"<>\n\r\\') & set(re.sub(r"\\[0-9a-f]+ ", "", inner))
    back = re.sub(r"\\([0-9a-f]+) ", lambda m: chr(int(m[1], 16)), inner)
    assert back == text


@pytest.mark.parametrize(
    ("text", "held"),
    [
        ("85 N·m", "85\u00a0N·m"),
        ("0.10 to 0.18 mm", "0.10 to 0.18\u00a0mm"),
        ("3,5 bar", "3,5\u00a0bar"),
        ("20 to 120 N·m wrench", "20 to 120\u00a0N·m wrench"),
        ("step 3 in the row", "step 3 in the row"),
        ("2 minutes", "2 minutes"),
        ("size IW-70 mm", "size IW-70 mm"),
    ],
)
def test_units_stay_with_their_figures(text: str, held: str) -> None:
    assert units(text) == held


def test_undefined_name_in_a_template_is_an_error() -> None:
    with pytest.raises(UndefinedError, match="'plant' is undefined"):
        page_text("library.html.j2", w=WORDS, booklet_demo=False, date="", heads=(), missing_count=0)


def test_library_lists_heads_with_all_that_the_filter_needs(tmp_path: Path) -> None:
    head = HeadLine(
        "p-101",
        "P-101",
        "IW-70",
        "Cream",
        (("Rotors", "two wings"), ("Elastomer", "FKM")),
        "p-101/index.html",
        "",
        0,
        0,
        2,
    )
    write_library((head,), (), tmp_path, SETTING)
    page = Outline((tmp_path / "index.html").read_text("utf-8"))
    rows = [a["data-find"] for t, a in page.elements if t == "tr" and "data-find" in a]
    assert rows == ["P-101 IW-70 Cream Rotors two wings Elastomer FKM"]
    form = next(a for t, a in page.elements if t == "form")
    assert "hidden" in form, "without script the filter stays away and the table stands"


def test_missing_values_are_a_table_for_the_planner(tmp_path: Path) -> None:
    lines = tuple(missing_line("P-101", "p-101", v) for v in sample_booklet().missing)
    write_library((), lines, tmp_path, SETTING)
    rows = list(csv.reader(io.StringIO((tmp_path / "missing.csv").read_text("utf-8-sig"))))
    assert rows[1][:4] == ["P-101", "Body screw torque", "body_screw_torque", "N·m"]
    assert rows[1][5] == "Assembly, step 6"
    assert len(rows) == 3
    assert Outline((tmp_path / "missing.html").read_text("utf-8")).classes().count("missing-values") == 1


def test_same_booklet_gives_same_bytes(booklet_folder: Path, tmp_path: Path) -> None:
    write_booklet(sample_booklet(), tmp_path, SETTING, "../index.html")
    for path in sorted(p for p in booklet_folder.rglob("*") if p.is_file()):
        assert (tmp_path / path.relative_to(booklet_folder)).read_bytes() == path.read_bytes()


def test_tools_and_supplies_are_staged_once() -> None:
    booklet: Booklet = sample_booklet()
    assert booklet.tools.count("soft-faced mallet") == 1
    assert set(booklet.supplies) == {"lint-free cloth", "assembly lubricant"}
