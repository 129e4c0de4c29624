"""Everything that heads are found to have has its words, and no words stand idle; on the pages nothing else is read."""

from __future__ import annotations

import itertools
import re
import tomllib
from collections.abc import Iterable, Iterator
from dataclasses import fields, replace
from decimal import Decimal
from html.parser import HTMLParser
from pathlib import Path
from typing import get_args, get_type_hints

import pytest
from benchleaf.geometry.dimensions.options import Options
from benchleaf.geometry.dimensions.parts_list import KINDS
from benchleaf.geometry.dimensions.size import example_measures, make_size
from benchleaf.geometry.engineering.clearances import Chain, dimension, gap_figures
from benchleaf.geometry.engineering.elastomers import (
    HEAT_C,
    FoodContact,
    Incompatibility,
    heat_incompatibility,
    incompatibilities,
    judge,
    media,
)
from benchleaf.geometry.engineering.figures import Figure
from benchleaf.geometry.engineering.materials import ELASTOMERS, materials
from benchleaf.geometry.engineering.measuring import DecisionRule, RuleKind
from benchleaf.geometry.engineering.orings import Gland, GlandKind, gland_figures, ring_size
from benchleaf.geometry.engineering.preload import (
    LUBRICATIONS,
    STRENGTHS,
    ThreadAndFace,
    check_torque,
    preload_figures,
    thread_stress_figure,
)
from benchleaf.geometry.engineering.springs.disc_springs import force_figures, spring_table
from benchleaf.geometry.engineering.springs.spring_seats import Fitted, State, TurnedOver
from benchleaf.geometry.engineering.topics import SIZE, Topic
from benchleaf.geometry.engineering.units import UNITS
from benchleaf.sequences.calculations.calculation_sheets import (
    CalculationSheet,
    Finding,
    HotGap,
    PartWeight,
    SheetGroup,
    TooCoarse,
)
from benchleaf.sequences.calculations.doubts import (
    Doubt,
    FleetFaultsFound,
    GapCloses,
    GapOutside,
    HeightAmiss,
    RingOutside,
    SpringIdle,
)
from benchleaf.sequences.calculations.head_calculations import calculations
from benchleaf.sequences.calculations.load_fleet import load_fleet
from benchleaf.sequences.calculations.plausibility import doubts
from benchleaf.sequences.fleet.heads import FleetHead
from benchleaf.sequences.steps.elastomer_cautions import elastomer_cautions
from benchleaf.sequences.steps.plan import Plan, Step
from benchleaf.sequences.values.head_values import blank_values, resolve_values
from benchleaf.sequences.values.instruments import instruments
from benchleaf.sequences.values.quantities import ValueName
from benchleaf.sequences.values.sourced_values import ChosenRule, Missing, SourcedValue, ValueUse
from benchleaf.sequences.values.value_changes import ValueChange
from benchleaf.sequences.values.value_names import VALUE_NAMES
from benchleaf.site.booklets.kinds.head_kind import option_words
from benchleaf.site.command import DEMO_FLEET
from benchleaf.site.extras.schema_files import descriptions, value_descriptions
from benchleaf.site.words import report_words
from benchleaf.site.words.catalogue import DEFAULT, FOLDER, MissingWord, Words, languages, load_words
from benchleaf.site.words.doubt_words import doubt_in_words, ground_in_words
from benchleaf.site.words.figure_words import figure_in_words, group_in_words, sheet_in_words
from benchleaf.site.words.finding_words import finding_in_words
from benchleaf.site.words.media_words import caution_in_words
from benchleaf.site.words.plan_words import plan_in_words
from benchleaf.site.words.topic_words import topic_in_words
from benchleaf.site.words.value_words import (
    change_in_words,
    instrument_in_words,
    rule_in_words,
    value_in_words,
)
from doubted_fleets import DOUBTED, FAULTY, fleet
from fleet_pages import write_fleet_pages
from head_samples import SOURCE, full_values, make_fleet_head, sourced, span

FILES = (
    "doubts",
    "figures",
    "media",
    "methods",
    "parts",
    "placeholders",
    "sheets",
    "sources",
    "strength",
    "values",
)
"""Files of the catalogue that hold what is said of heads and their values."""


NUT = ThreadAndFace(14, 2, 30)


# ------------------------------------------------------------------ all that heads can be found to have
def options_of_all_kinds() -> Iterator[dict[str, object]]:
    """Yield options so that each choice comes up, and each elastomer with each kind of cover O-ring."""
    hints = get_type_hints(Options)
    for field in fields(Options):
        for choice in get_args(hints[field.name]) or (True, False):
            yield {"seal": "double", "cover": "relief", field.name: choice}
    for elastomer, ring in itertools.product(get_args(hints["elastomer"]), get_args(hints["cover_oring"])):
        yield {"elastomer": elastomer, "cover_oring": ring}


def all_heads() -> Iterator[FleetHead]:
    """Yield heads of all options, cold and hot, with and without values, sound and in doubt."""
    one, two = Decimal("0.1"), Decimal("0.2")
    given = {**full_values(80.0), **texts_of_all_values()}
    for options in options_of_all_kinds():
        yield make_fleet_head(80.0, given, hot=95.0, **options)
    yield make_fleet_head(80.0, hot=None, seal="double", cover="relief")
    yield make_fleet_head(80.0, hot=None, cover="jacketed", cover_nuts="wing")
    for c, hot in itertools.product((60.0, 118.0, 200.0), (-20.0, 20.0, 150.0, 390.0)):
        yield make_fleet_head(c, full_values(c), hot=hot, rotor_metal="316L", elastomer="VMQ")
    for state, torque in itertools.product((*LUBRICATIONS, ""), ("1", "12", "60", "160", "900")):
        value = sourced(torque, "N·m", threads=state)
        tightened = ("rotor_nut_torque", "body_screw_torque", "cover_nut_torque")
        yield make_fleet_head(80.0, dict.fromkeys(tightened, value))
    for low, high in (("0.05", "0.12"), ("0.115", "0.125"), ("0.2", "0.3"), ("0.01", "0.02")):
        gaps = ("front_face_clearance", "rear_clearance", "radial_clearance", "mesh_clearance")
        gap = replace(span(low, high), condition="rotors pushed home")
        yield make_fleet_head(80.0, dict.fromkeys(gaps, gap), hot=110.0)
    for elastomer in get_args(get_type_hints(Options)["elastomer"]):
        wet = make_fleet_head(80.0, elastomer=elastomer)
        yield replace(wet, product=tuple(media()), cleaning=tuple(media()))
    drawn = make_fleet_head(80.0, rotor="two-lobe")
    measures = {**example_measures(80.0, "two-lobe"), "rotor_diameter_mm": 118.0}
    yield replace(drawn, size=make_size("drawn", measures))
    widths = {
        n: sourced(None, v.unit, span=(one, two)) for n, v in VALUE_NAMES.items() if v.quantity == "length"
    }
    yield make_fleet_head(80.0, widths, cover="relief")
    torques = {
        n: sourced("50", "N·m", tolerance=one) for n, v in VALUE_NAMES.items() if v.quantity == "torque"
    }
    yield make_fleet_head(80.0, torques, cover="relief")
    yield make_fleet_head(
        80.0,
        {"disc_spring_free_height": sourced("9.5", "mm"), "wave_spring_free_height": sourced("2", "mm"),
         "rotor_nut_torque": sourced(None, "N·m", span=(sourced("45", "N·m").value, sourced("45.1", "N·m").value)),
         "shaft_runout_limit": sourced(None, "µm", span=(sourced("1", "µm").value, sourced("2", "µm").value))},
    )  # fmt: skip


def texts_of_all_values() -> dict[str, SourcedValue]:
    """Return a value for each name that is a text."""
    return {
        n: SourcedValue("white paste", "", SOURCE, "2031-01-01")
        for n, v in VALUE_NAMES.items()
        if v.quantity == "text"
    }


WEIGHTS = tuple(
    PartWeight(kind, metal, 1e6)
    for kind, metal in itertools.zip_longest(
        KINDS, itertools.islice(itertools.cycle(materials()), len(KINDS))
    )
)
HEADS = list(all_heads())


def all_groups() -> Iterator[SheetGroup]:
    for head in HEADS:
        yield from calculations(head, WEIGHTS)


def other_figures() -> Iterator[Figure]:
    """Yield figures of what the tables hold and no head of the family happens to have."""
    for kind in get_args(GlandKind):
        gland = Gland("hub_oring", kind, 2.8, 4.7, 32.0 if kind in ("rod", "face-out") else 25.5)
        for elastomer in ELASTOMERS:
            yield from gland_figures(gland, ring_size("214"), elastomer, 80.0)
    yield from gland_figures(
        Gland("hub_oring", "piston", 3.1, 4.7, 25.5, motion="sliding"), ring_size("214"), "FKM", 80.0
    )
    link = dimension("B", "body_face", 60.0, 0.02, 1)
    yield gap_figures(Chain("front", (link,)))[0]
    for row in spring_table():
        yield from force_figures(row.spring, row.deflection_mm)
    for metal in materials().values():
        for given in (metal.expansion_input("α"), metal.density_input("ρ")):
            yield Figure("x", given.topic, "x", 1.0, "mm", "", (given,), given.source)
    preload = preload_figures(50.0, SIZE, NUT, LUBRICATIONS["dry"])[0]
    for proof in STRENGTHS.values():
        yield thread_stress_figure(preload, NUT, LUBRICATIONS["dry"], proof)


def other_findings() -> Iterator[Finding]:
    """Yield what is typed but does not come about in a head of the family: each state of a spring, each elastomer with
    each class of media, each doubt about a torque."""
    right = Fitted(False, 14.0, 24.0, 1.0, 0.5, 0.5, 4000.0, "working")
    for state in get_args(State):
        yield TurnedOver(replace(right, state=state), replace(right, turned_over=True, state=state), ())
        yield TurnedOver(right, replace(right, turned_over=True, state=state), ())
    for share in (0.5, 1.5):
        yield TurnedOver(right, replace(right, turned_over=True, travel_mm=share * 0.5), ())
    for elastomer, medium in itertools.product(ELASTOMERS, media()):
        yield judge(elastomer, medium)
    for state, proof, torque in itertools.product(
        LUBRICATIONS.values(), STRENGTHS.values(), (2, 15, 90, 400)
    ):
        yield from check_torque(torque, NUT, state, proof, 5200.0)
    yield FoodContact()
    yield FoodContact("category H1")
    yield FoodContact("category H1", SIZE)
    for head in HEADS[:2]:
        for value in head.values.values():
            yield from (TooCoarse(value, tool) for tool in instruments(value.name, value.unit, 50.0))


def other_meetings() -> Iterator[Incompatibility]:
    for elastomer in ELASTOMERS:
        for key, medium in media().items():
            met = [key]
            yield from incompatibilities(elastomer, key if medium.role == "lubricant" else None, met, met)
            yield from incompatibilities(elastomer, key)
        if elastomer in HEAT_C and (heat := heat_incompatibility(elastomer, HEAT_C[elastomer] + 1)):
            yield heat


def other_doubts() -> Iterator[Doubt]:
    yield Doubt("P-1", "spring", SpringIdle("flat"))
    figures = [f for g in calculations(HEADS[1]) if g.id == "orings" for f in g.figures if f.limit]
    yield from (Doubt("P-1", "oring", RingOutside(f)) for f in figures)
    stay = next(
        f for g in calculations(HEADS[1]) for s in g.sheets for f in s.findings if isinstance(f, HotGap)
    )
    for opened in (5.0, -5.0, 0.0):
        yield Doubt("P-1", "clearance", GapOutside(replace(stay, opened_um=opened)))
    yield Doubt("P-1", "clearance", GapCloses(stay.figure))
    values = resolve_values({}, Options())
    for name in ("disc_spring_free_height", "wave_spring_free_height"):
        yield Doubt("P-1", "spring", HeightAmiss(values[name], 3.0))


PLACEHOLDERS = " ".join(
    [*(f"{{count:n{n}}}" for n in range(14)), "{tighten:stud} {loosen:stud}",
     *(f"{{option:{f.name}}}" for f in fields(Options)), *(f"{{value:{n}}}" for n in VALUE_NAMES)]
)  # fmt: skip


def say_everything(words: Words) -> None:
    """Make words of all that can be found, typed, of heads and their values."""
    for group in all_groups():
        group_in_words(group, words)
    for figure in other_figures():
        figure_in_words(figure, words)
    for finding in other_findings():
        finding_in_words(finding, words)
    for meeting in other_meetings():
        ground_in_words(meeting, words)
        for raised in elastomer_cautions(meeting.elastomer, process_c=HEAT_C.get(meeting.elastomer, 0.0) + 1):
            caution_in_words(replace(raised.caution, meeting=meeting), words)
    found = [*(d for head in HEADS for d in doubts(head)), *other_doubts()]
    for doubt in found:
        doubt_in_words(doubt, words)
    for head in HEADS:
        option_words(head, words)
        for value in (*head.values.values(), *resolve_values(full_values(80.0), head.options).values()):
            value_in_words(value, words)
            for tool in instruments(value.name, value.unit, 50.0):
                instrument_in_words(tool, value.unit, words)
    say_rules(words)
    descriptions(words)
    one = sourced("1", "N·m")
    for was, now in itertools.product((one, None, replace(one, date="2032-01-01")), repeat=2):
        change_in_words(ValueChange("P-1", "rotor_nut_torque", was, now), words)
    say_plan(words, found)
    say_reports(found)


def say_rules(words: Words) -> None:
    """Make words of each decision rule that a plant can choose for a value."""
    limits = span("0.05", "0.10")
    kinds: tuple[RuleKind, ...] = ("simple", "guarded")
    for kind, critical in itertools.product(kinds, (False, True)):
        chosen = ChosenRule(DecisionRule(kind), limits.source, limits.date)
        given = replace(limits, rule=chosen, critical=critical)
        rule_in_words(resolve_values({"radial_clearance": given}, Options())["radial_clearance"], words)


def say_plan(words: Words, found: list[Doubt]) -> None:
    step = Step(1, "s", "s", PLACEHOLDERS, ())
    plan = Plan("assembly", "Assembly", "P-1", (), (step,))
    parts = {f"n{n}_{i}": f"n{n}" for n in range(14) for i in range(n)}
    against = next(d.ground for d in found if d.kind == "torque")
    given = resolve_values(full_values(80.0), Options())
    torque = given["rotor_nut_torque"]
    in_doubt = {**blank_values(), torque.name: replace(torque, doubts=(against,))}  # type: ignore[arg-type]
    for options in options_of_all_kinds():
        choices = {f.name: getattr(Options(**options), f.name) for f in fields(Options)}  # type: ignore[arg-type]
        (said,) = plan_in_words(plan, parts, words, choices, in_doubt, left_hand=("stud",)).steps
        assert "{" not in said.title


def say_reports(found: list[Doubt]) -> None:
    """Say what is always said in English; what is asked of the catalogue is that of :func:`load_words`."""
    use = ValueUse("assembly", "Assembly", 3)
    missing = [Missing(tag, n, v.unit, (use,)) for n, v in VALUE_NAMES.items() for tag in "AB"]
    report_words.missing_csv(missing)
    report_words.doubts_csv(found)
    report_words.competence_csv(["P-1"])
    tags = [f"P-{n}" for n in (1, 2, 3, *range(5, 99, 2))]
    report_words.missing_lines([Missing(tag, "anti_seize", "") for tag in tags], ())
    report_words.missing_lines(missing, "AB")
    report_words.doubt_lines(found, "AB")
    amiss = next(d for d in found if isinstance(d.ground, HeightAmiss))
    assert isinstance(amiss.ground, HeightAmiss)
    report_words.doubt_lines(
        [replace(amiss, ground=replace(amiss.ground, height_mm=h)) for h in range(1, 9)], ()
    )
    report_words.design_lines([report_words.CheckedDesign("80", (("Assembly", 3),), ("P-1",))] * 99)
    report_words.faults_text(FleetFaultsFound([], 2, found, missing[:-1]))


class Recording(Words):
    """Words that keep which of their keys were asked for."""

    def __init__(self, words: Words) -> None:
        super().__init__(words.language, words.texts)
        self.asked: set[str] = set()

    def __call__(self, key: str, **fields: object) -> str:
        text = super().__call__(key, **fields)
        self.asked |= {key} if key in self.texts else {f"{key}.one", f"{key}.other"}
        return text

    def get(self, key: str, otherwise: str) -> str:
        self.asked.add(key)
        return super().get(key, otherwise)

    def part(self, kind: str, name: str) -> str:
        self.asked.add(f"part.{kind}")
        return super().part(kind, name)

    def material(self, key: str) -> str:
        self.asked.add(f"material.{key}")
        return super().material(key)


def keys_of(language: str) -> set[str]:
    """Return the keys in the files that are about heads and their values."""
    texts: set[str] = set()
    for name in FILES:
        table = tomllib.loads((FOLDER / language / f"{name}.toml").read_text("utf-8"))
        texts |= _keys(table, "")
    return texts


def _keys(node: object, stem: str) -> set[str]:
    if isinstance(node, dict):
        return set().union(*(_keys(v, f"{stem}{k}.") for k, v in node.items()))
    if isinstance(node, list):
        return {f"{stem}{n}" for n in range(1, len(node) + 1)}
    return {stem.removesuffix(".")}


@pytest.mark.parametrize("language", languages())
def test_all_that_heads_can_have_has_its_words_and_no_words_stand_idle(
    language: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    words = Recording(load_words(language))
    monkeypatch.setattr(report_words, "load_words", lambda _: words)
    say_everything(words)
    for kind in KINDS:
        words.part(kind, "")
        words(f"parts.{kind}", count=2)
    for key in materials():
        words.material(key)
    assert keys_of(language) - words.asked == set(), "said of nothing"
    assert words.asked >= {f"part.{k}" for k in KINDS} | {f"material.{k}" for k in materials()}


def test_every_value_method_and_blank_is_called_something_else() -> None:
    words = load_words(DEFAULT)
    for stem, names in {
        "value.{}.title": [*VALUE_NAMES, "process_temperature_c", "rotor_nut_torque.threads"],
        "part.{}": list(KINDS),
        "material.{}": list(materials()),
        "medium.{}": list(media()),
        "gap.{}.name": ["front", "rear", "radial", "mesh"],
    }.items():
        told = [words(stem.format(n)) for n in names]
        assert len(set(told)) == len(told), stem


def test_a_missing_word_or_fact_is_named() -> None:
    words = Words("xx", {"figure.gap": "{gap} {draws}"})
    with pytest.raises(MissingWord, match=r"the words for 'figure\.heat' are missing in 'xx'"):
        topic_in_words(Topic("figure.heat"), words)
    with pytest.raises(MissingWord, match=r"'figure\.gap' in 'xx' needs the fact 'draws'"):
        topic_in_words(Topic("figure.gap"), Words("xx", {"figure.gap": "{draws}"}))
    with pytest.raises(MissingWord, match=r"the words for 'gap\.front\.name' are missing in 'xx'"):
        topic_in_words(Topic("figure.gap", gap="front", draws=3), words)


def test_a_name_without_words_is_found(monkeypatch: pytest.MonkeyPatch) -> None:
    """The check can fail: a value, a dimension or a figure that nobody has words for is told."""
    monkeypatch.setitem(VALUE_NAMES, "new_limit", ValueName("new_limit", "length"))
    with pytest.raises(MissingWord, match=r"value\.new_limit\.title"):
        value_descriptions(load_words(DEFAULT))
    sheet = CalculationSheet("x", Topic("sheet.new"))
    with pytest.raises(MissingWord, match=r"sheet\.new"):
        sheet_in_words(sheet, load_words(DEFAULT))


# ------------------------------------------------------------------ the pages in a language of brackets
OPEN, CLOSE = "⟦", "⟧"
FUNCTIONS = {"max", "min", "ln", "abs", "π"}
SYMBOLS_OF_UNITS = {*UNITS, "A", "pH", "GPa", "kg/m³", "mm²", "mm³", "N/µm", "10⁻⁶/K"}
READ_OUT = ("alt", "aria-label", "title", "placeholder", "data-label", "data-within", "data-outside", "data-near",
            "data-nan", "data-nolimits", "data-ask")  # fmt: skip
"""Attributes that people see or hear."""


def bracketed(words: Words) -> Words:
    """Return a language whose every text stands in brackets, and which is released: else pages repeat the English."""
    texts = {k: f"{OPEN}{t}{CLOSE}" for k, t in words.texts.items()}
    return Words("xx", texts, released=f"{OPEN}somebody{CLOSE}")


class Reading(HTMLParser):
    """What is read of a page, as (text, whether it is a formula)."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.read: list[tuple[str, bool]] = []
        self.open: list[tuple[str, bool]] = []
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        of = dict(attrs)
        self.read += [(of[a] or "", False) for a in READ_OUT if a in of]
        if tag not in ("meta", "link", "input", "br", "wbr", "img", "hr"):
            self.open.append((tag, bool({"formula", "symbol"} & set((of.get("class") or "").split()))))

    def handle_endtag(self, tag: str) -> None:
        while self.open and self.open.pop()[0] != tag:
            pass

    def handle_data(self, data: str) -> None:
        if not any(tag in ("script", "style") for tag, _ in self.open):
            self.read.append((data, any(formula for _, formula in self.open)))


def outside(read: Iterable[tuple[str, bool]]) -> list[tuple[str, bool]]:
    """Return what stands outside all brackets; a bracketed text may run on through several elements."""
    found, depth = [], 0
    for text, formula in read:
        kept = ""
        for c in text:
            depth += (c == OPEN) - (c == CLOSE)
            kept += c if depth == 0 and c != CLOSE else " "
        found.append((kept, formula))
    assert depth == 0, "a bracket that is never closed"
    return found


def loose_words(page: str, own: Iterable[str], symbols: Iterable[str] = ()) -> set[str]:
    """Return the words of a page that are no catalogue's, no symbols and units, and not among the user's ``own``."""
    given = sorted({o for o in own if len(o) > 1}, key=len, reverse=True)
    signs = {*FUNCTIONS, *symbols}
    loose: set[str] = set()
    for text, formula in outside(Reading(page).read):
        for o in given:
            text = text.replace(o, " ")
        for unit in sorted(SYMBOLS_OF_UNITS, key=len, reverse=True):
            text = re.sub(rf"(?:(?<=[\d\s(±_])|^){re.escape(unit)}(?![^\W\d_])", " ", text)
        plain = text.translate(dict.fromkeys(map(ord, "⁰¹²³⁴⁵⁶⁷⁸⁹")))
        loose |= {w for w in re.findall(r"[^\W\d_]+", plain) if not (formula and w in signs)}
    return loose


def test_loose_words_are_found() -> None:
    formula = '<span class="formula">F = max(P, 2·k²)</span>'
    page = f'<p>⟦All <b>of</b> it⟧ 12 mm {formula} P-101 <i title="Shut">⟦x⟧</i> left</p>'
    assert loose_words(page, ["P-101"], ["F", "P", "k"]) == {"Shut", "left"}
    assert loose_words(page, ["P-101", "left", "Shut"], ["F", "P"]) == {"k"}
    assert loose_words("<p>F = 3 N</p>", [], ["F"]) == {"F"}, "a symbol stands in formulas alone"
    with pytest.raises(AssertionError, match="never closed"):
        loose_words("<p>⟦open</p>", [])


Pages = tuple[Path, list[str], list[str]]
"""The folder of pages, the user's own texts on them, and the symbols of all figures."""


@pytest.fixture(scope="module", params=["demo", "doubted"])
def bracketed_pages(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Pages:
    """Write the pages of a fleet in a language of brackets."""
    folder = tmp_path_factory.mktemp(request.param)
    file = DEMO_FLEET / "fleet.yaml"
    if request.param == "doubted":
        file = folder / "fleet.yaml"
        file.write_text(fleet(*DOUBTED), "utf-8")
    loaded = load_fleet(file)
    booklets = write_fleet_pages(loaded, folder, bracketed(load_words(DEFAULT)))
    own = [loaded.plant, "2031-01-01"]
    for row in loaded.heads:
        own += [row.tag, row.service, row.size.name]
        for v in row.values.values():
            if v.given is not None:
                own += [str(v.given.value), v.given.condition, v.given.source.document]
    for chapter in (c for b in booklets.values() for c in b.chapters):
        own += [chapter.title, *(s.title for s in chapter.sections)]
        own += [t for r in chapter.readings for t in (r.text, r.method)]
    figures = [f for b in booklets.values() for g in b.groups for f in g.figures]
    symbols = {s for f in figures for s in (f.symbol, *(i.symbol for i in f.inputs))}
    return folder, own, sorted(symbols)


def test_in_another_language_no_word_of_ours_is_left_on_the_pages(bracketed_pages: Pages) -> None:
    folder, own, symbols = bracketed_pages
    pages = [*folder.glob("*/values.html"), *folder.glob("*/record.html"), folder / "missing.html"]
    assert len(pages) > 10
    for page in pages:
        text = page.read_text("utf-8")
        assert text.count(OPEN) > 40
        assert loose_words(text, own, symbols) == set(), page.relative_to(folder)


def test_tables_for_spreadsheets_stay_english(bracketed_pages: Pages) -> None:
    folder, *_ = bracketed_pages
    for name in ("missing.csv", "doubts.csv"):
        text = (folder / name).read_text("utf-8-sig")
        assert text.startswith("plant tag,")
        assert OPEN not in text


def test_the_command_line_stays_english(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    from benchleaf.site.command import main

    (tmp_path / "fleet.yaml").write_text(FAULTY.replace("booklet: {", "booklet: {languages: en, "), "utf-8")
    assert main(["check", str(tmp_path)]) == 2
    assert "Beside that, figures speak against these values:" in capsys.readouterr().err
