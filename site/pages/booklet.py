"""What a booklet's pages show: a plan, its pictures, parts and values, arranged for reading."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from ...geometry.assembly import Assembly
from ...geometry.engineering.measuring import Instrument, Judging, too_coarse
from ...sequences.calculations.calculation_sheets import SheetGroup
from ...sequences.calculations.doubts import Doubt
from ...sequences.steps.asked_values import asked_values
from ...sequences.steps.plan import Caution, Plan, SignalWord, Step
from ...sequences.values.quantities import reading_floor
from ...sequences.values.sourced_values import ResolvedValue, ValueUse, decision_rule, limits_in
from ..words.catalogue import Words
from ..words.value_words import ChangeText
from .cards.sheets import ROWS
from .view_models import Identity, PartRow, PictureView, Use

FULL_SHEET_LINES = 26
MOST_LINES_ABOVE = 14
"""Lines of a section's head that leave room for a step below them on a sheet of A4 or Letter."""
MOST_LINES_WITH_EXAMPLES = 32
"""Lines of a section's head and the step below it that go on one sheet where the step has examples of damage too."""
FEW_LABELS = 2
"""Names of parts under a picture for which there is room anyhow."""
EXAMPLES_ABREAST, EXAMPLE_LINES = 2, 3
"""How many examples of damage stand in a row on paper, and the lines that a row takes."""
if TYPE_CHECKING:
    from .proof_pages import ProofPages
    from .upkeep_pages import UpkeepPages

InstrumentsFor = Callable[[str | None, str, float | None], tuple[Instrument, ...]]
"""Gives what a reading is taken with, the usual one first: of the value that judges it, its unit, its high limit."""
JOB = ("disassembly", "inspection", "assembly", "cleaning", "start_up")
"""Sequences in the order in which an overhaul goes through them; one of another kind has no place in it."""
SIGNAL_WORDS: tuple[SignalWord, ...] = ("DANGER", "WARNING", "CAUTION", "NOTICE")


@dataclass(frozen=True)
class ValueLine:
    """A value of the head with the places that use it."""

    value: ResolvedValue
    used: tuple[ValueUse, ...] = ()

    @property
    def known(self) -> bool:
        """Whether the fleet file holds it; otherwise the page prints a blank."""
        return self.value.known


@dataclass(frozen=True)
class RecordLine:
    """A line of the record sheet; ``low`` and ``high`` in the reading's unit, None where nothing on file judges it."""

    id: str
    step: int
    text: str
    method: str
    unit: str
    low: float | None
    high: float | None
    value: ResolvedValue | None = None
    """The value that judges it, on file or not; None where there is none to judge by."""
    instruments: tuple[Instrument, ...] = ()
    """What it is read with, the usual one first; without one a verdict leaves the instrument's error out."""
    setting: bool = False
    """Whether a torque wrench is set to it and clicks, so that there is no reading."""

    @property
    def floor(self) -> float | None:
        """What no reading lies below."""
        return reading_floor(self.unit)

    def judging(self, tool: Instrument | None = None) -> Judging:
        """Return what a reading with ``tool`` is held against; without one no error is counted."""
        u = 0.0 if tool is None else tool.uncertainty
        return decision_rule(self.value).judging(u, self.low, self.high, self.floor)

    @property
    def coarse(self) -> tuple[Instrument, ...]:
        """The instruments whose error takes more of the band than it may."""
        if self.setting:
            return ()
        return tuple(
            t for t in self.instruments if too_coarse(t.uncertainty, self.low, self.high, self.floor)
        )

    @property
    def may_stay_open(self) -> bool:
        """Whether a reading near a limit may decide nothing."""
        return any(self.judging(t).guarded for t in self.instruments)

    @property
    def judged(self) -> bool:
        """Whether limits on file judge it."""
        return self.low is not None or self.high is not None

    @property
    def judged_by_eye(self) -> bool:
        """Whether the result is pass or fail without a figure."""
        return self.unit == "pass"


@dataclass(frozen=True)
class StepView:
    """A step with its picture and values, and its neighbours on the page."""

    step: Step
    anchor: str
    section: str
    section_title: str
    bench: str
    """Title of the bench unit that the step works on; empty on the head itself."""
    figure: PictureView
    values: tuple[ResolvedValue, ...]
    back: str
    next: str
    lines_above: int = 0
    """Lines of the section's own head, on the first step of a section."""
    told: tuple[Use, ...] = ()
    """What figures say about this step, each with the place of the figures."""
    why_now: str = ""
    """Why it stands where it does, from the solids; empty where they have no say."""
    cards: tuple[Use, ...] = ()
    """Orientation cards to look at in this step."""

    @property
    def long(self) -> bool:
        """Whether on paper the words need the room of a part of the picture."""
        return (0 if self.apart else self.lines_above) + self._lines_below > FULL_SHEET_LINES

    @property
    def _lines_below(self) -> int:
        """Lines of the step besides its picture.

        An estimate in lines of 10.5 pt: a sheet holds the full picture and about 34 lines beside the step's head.
        """
        s = self.step
        values = sum(3 if v.known else 5 for v in self.values) + 2 * self.blank
        look, measure = (*s.look, *(t.text for t in self.told)), (f"{m.text} {m.method}" for m in s.measure)
        # Acts, values, look and measure stand in two columns, each whole under a heading.
        blocks = [_height(s.acts), values, _height(look), _height(measure)]
        blocks = [lines + 2 for lines in blocks if lines]
        in_columns = min((max(sum(blocks[:k]), sum(blocks[k:])) for k in range(len(blocks))), default=0)
        beside = sum(_lines(c.hazard + c.consequence + c.avoidance, 42) + 1 for c in s.cautions) - 20
        beside += sum(_lines(r.caution.hazard, 42) + 1 for r in s.reminders)
        beside += max(0, len(self.figure.labels) - FEW_LABELS)  # each a line under the picture
        if s.examples:  # in a row or more, under a line of their own and the picture's keys
            beside += 4 + EXAMPLE_LINES * -(-len(s.examples) // EXAMPLES_ABREAST)
        below = max(_lines(s.why, 42) + _lines(self.why_now, 42), 4)
        return in_columns + max(beside, 0) + below

    @property
    def blank(self) -> bool:
        """Whether a value that the step needs is not on file."""
        return any(not v.known for v in self.values)

    @property
    def apart(self) -> bool:
        """Whether on paper it begins a sheet of its own, since the section's head takes too much of one."""
        together = self.lines_above + self._lines_below
        crowded = self.lines_above > 0 and bool(self.step.examples) and together > MOST_LINES_WITH_EXAMPLES
        return crowded or self.lines_above > MOST_LINES_ABOVE


def _height(texts: Iterable[str]) -> int:
    """Return the lines of texts in a column."""
    return sum(_lines(t, 46) for t in texts)


def _lines(text: str, width: int) -> int:
    return -(-len(text) // width)


@dataclass(frozen=True)
class SectionView:
    """Steps under one heading."""

    id: str
    anchor: str
    title: str
    cautions: tuple[Caution, ...]
    steps: tuple[StepView, ...]


@dataclass(frozen=True)
class Chapter:
    """One sequence of the booklet."""

    id: str
    title: str
    sections: tuple[SectionView, ...]
    readings: tuple[RecordLine, ...]
    pictured: bool = True
    """Whether each of its steps has a picture; a checklist is told in words alone."""
    of: int = 0
    """Number of steps of the whole sequence, where this is a section of it alone."""

    @property
    def turns(self) -> bool:
        """Whether any of its steps can be turned in 3D."""
        return any(s.figure.turns for s in self.steps)

    @property
    def total(self) -> int:
        """Number of steps."""
        return self.of or sum(len(s.steps) for s in self.sections)

    @property
    def steps(self) -> tuple[StepView, ...]:
        """All steps in order."""
        return tuple(s for sec in self.sections for s in sec.steps)

    def section_of(self, number: int) -> str:
        """Return the id of the section that the step of this number stands in, empty where there is none."""
        return next((s.section for s in self.steps if s.step.number == number), "")


@dataclass(frozen=True)
class Page:
    """One page of a booklet."""

    kind: str
    file: str
    title: str
    short: str
    note: str = ""
    in_bar: bool = True
    listed: bool = True
    """Whether front page and menu lead to it; else another page does."""
    chapter: str = ""
    """Id of the chapter that it shows; empty: it shows none."""


@dataclass(frozen=True)
class Booklet:
    """Everything the pages of one head show."""

    identity: Identity
    standing: tuple[Caution, ...]
    overview: PictureView | None
    parts: tuple[PartRow, ...]
    chapters: tuple[Chapter, ...]
    values: tuple[ValueLine, ...]
    changes: tuple[ChangeText, ...] = ()
    demo_short: str = ""
    groups: tuple[SheetGroup, ...] = ()
    """Calculation sheets."""
    doubts: tuple[Doubt, ...] = ()
    proof: ProofPages | None = None
    """Cards, practice and evidence; None where nothing was proven."""
    upkeep: UpkeepPages | None = None
    """The pages beside the sequences; None where there are none."""
    pdfs: tuple[tuple[str, str], ...] = ()
    """Size and file of each PDF file beside the pages."""
    tools: tuple[str, ...] = field(init=False)
    supplies: tuple[str, ...] = field(init=False)

    def __post_init__(self) -> None:
        steps = [s.step for c in self.chapters for s in c.steps]
        object.__setattr__(self, "tools", _once(t for s in steps for t in s.tools))
        object.__setattr__(self, "supplies", _once(t for s in steps for t in s.supplies))

    @property
    def missing(self) -> tuple[ValueLine, ...]:
        """Values that are not on file."""
        return tuple(v for v in self.values if not v.known)

    @property
    def readings(self) -> tuple[RecordLine, ...]:
        """All readings of all chapters."""
        return tuple(r for c in self.chapters for r in c.readings)

    def after(self, chapter: Chapter) -> Chapter | None:
        """Return the chapter that an overhaul goes on with; None after the last, or where the order has none."""
        following = JOB[JOB.index(chapter.id) + 1 :] if chapter.id in JOB else ()
        by_id = {c.id: c for c in self.chapters}
        return next((by_id[name] for name in following if name in by_id), None)

    def page_list(self, words: Words) -> tuple[Page, ...]:
        """Return the pages this booklet has, in reading order; a page without content is left out."""
        pages = [Page("front", "index.html", words("front.title"), words("front.short"))]
        if self.upkeep and self.upkeep.has_kit:
            title, short, note = (words(f"pump.{k}") for k in ("title", "short", "note"))
            pages.append(Page("pump", "pump.html", title, short, note))
        for c in self.chapters:
            short = c.title if c.pictured else words.get(f"steps.short.{c.id}", c.title)
            count = words("steps.count", count=c.total)
            pages.append(Page("steps", f"{c.id}.html", c.title, short, count, chapter=c.id))
        if self.proof and self.proof.cards:
            note = words("cards.count", count=len(self.proof.cards))
            pages.append(Page("cards", "cards.html", words("cards.page"), words("cards.short"), note))
            for paper in ROWS:
                kind, title = (
                    f"cards_{paper.lower()}",
                    words("card_sheet.title", paper=words(f"card_sheet.paper.{paper}")),
                )
                pages.append(Page(kind, f"cards-{paper.lower()}.html", title, title, listed=False))
        if self.proof and self.proof.practices:
            title, short, note = (words(f"practice.{k}") for k in ("title", "short", "note"))
            pages.append(Page("practice", "practice.html", title, short, note))
        for c in (c for c in self.chapters if c.pictured):
            title, note = words("class.title", title=c.title), words("class.note")
            pages.append(Page("class_view", f"class-{c.id}.html", title, title, note, False, chapter=c.id))
            title = words("class.notes_title", title=c.title)
            pages.append(Page("class_notes", f"notes-{c.id}.html", title, title, listed=False, chapter=c.id))
        if self.proof and self.proof.asked.count:
            title, short = words("question.title"), words("question.short")
            note = words("question.note", count=self.proof.asked.count)
            pages.append(Page("questions", "questions.html", title, short, note, in_bar=False))
            title, short, note = (words(f"test.{k}") for k in ("title", "short", "note"))
            pages.append(Page("test", "test.html", title, short, note, in_bar=False))
        if self.chapters:
            title, short, note = (words(f"observed.{k}") for k in ("title", "short", "note"))
            pages.append(Page("observed", "observed.html", title, short, note, in_bar=False))
        if self.values or self.groups:
            note = words("values.missing", count=len(self.missing)) if self.missing else ""
            pages.append(Page("values", "values.html", words("values.title"), words("values.short"), note))
        if self.readings:
            note = words("record.count", count=len(self.readings))
            pages.append(Page("record", "record.html", words("record.title"), words("record.title"), note))
        if self.upkeep and self.upkeep.has_trouble:
            title, short = words("trouble.title"), words("trouble.short")
            note = words("trouble.note", count=len(self.upkeep.symptoms))
            pages.append(Page("trouble", "trouble.html", title, short, note))
        if self.upkeep and self.upkeep.has_year:
            title, short, note = (words(f"year.{k}") for k in ("title", "short", "note"))
            pages.append(Page("year", "year.html", title, short, note, in_bar=False))
        if self.upkeep and self.upkeep.terms:
            title, short = words("glossary.title"), words("glossary.short")
            note = words("glossary.note", count=len(self.upkeep.terms))
            pages.append(Page("glossary", "glossary.html", title, short, note, in_bar=False))
        pages.append(Page("paper", "paper.html", words("page.print"), words("page.print_short")))
        if self.proof:
            title, short, note = (words(f"evidence.{k}") for k in ("title", "short", "note"))
            pages.append(Page("evidence", "evidence.html", title, short, note))
        return tuple(pages)


def _once(items: Iterable[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(items))


def make_parts_list(assembly: Assembly, words: Words) -> tuple[PartRow, ...]:
    """Return the parts of ``assembly`` counted by kind, name and material, numbered from the gear case outwards.

    The assembly's own trade name and material stand where the catalogue has none.
    """
    rows: dict[tuple[str, str, str], list[str]] = {}
    for part in assembly:
        rows.setdefault((part.kind, part.name, part.material), []).append(part.key)
    return tuple(
        PartRow(
            item,
            kind,
            words.part(kind, name),
            len(keys),
            words.material(material),
            tuple(keys),
        )
        for item, ((kind, name, material), keys) in enumerate(rows.items(), start=1)
    )


def make_chapter(
    plan: Plan,
    figures: Mapping[str, PictureView],
    values: Mapping[str, ResolvedValue],
    told: Mapping[str, tuple[Use, ...]] | None = None,
    whys: Mapping[str, str] | None = None,
    cards: Mapping[str, tuple[Use, ...]] | None = None,
    instruments: InstrumentsFor = lambda *_: (),
    pictured: bool = True,
) -> Chapter:
    """Arrange a plan for reading.

    Args:
        figures: step id to its picture; a step without one gets the page's own notice.
        values: every value that the steps name, as resolved for the head.
        told: step id to what figures say about it.
        whys: step id to why it stands where it does.
        cards: step id to its orientation cards.
        instruments: gives what a reading is taken with.
        pictured: whether its steps have pictures.

    Raises:
        KeyError: if a step names a value that ``values`` does not hold.
    """
    file = plan.sequence
    anchors = [f"step-{s.number}" for s in plan.steps]
    sections: list[SectionView] = []
    where = {s.id: i for i, s in enumerate(plan.steps)}
    for section in plan.sections:
        views: list[StepView] = []
        head = sum(_lines(c.hazard + c.consequence + c.avoidance, 90) + 1 for c in section.cautions)
        for step in (s for s in plan.steps if s.section == section.id):
            i = where[step.id]
            views.append(
                StepView(
                    step=step,
                    anchor=anchors[i],
                    section=section.id,
                    section_title=section.title,
                    bench=plan.unit_titles.get(step.bench, step.bench) if step.bench else "",
                    figure=figures.get(step.id) or PictureView("", 4, 3, ""),
                    values=tuple(values[v] for v in step.values),
                    back=anchors[i - 1] if i else "",
                    next=anchors[i + 1] if i + 1 < len(anchors) else "",
                    lines_above=0 if views else 3 + head,
                    told=(told or {}).get(step.id, ()),
                    why_now=(whys or {}).get(step.id, ""),
                    cards=(cards or {}).get(step.id, ()),
                )
            )
        if views:
            sections.append(
                SectionView(
                    section.id, f"{section.id}-section", section.title, section.cautions, tuple(views)
                )
            )
    readings = tuple(_readings(plan.steps, values, instruments))
    return Chapter(file, plan.title, tuple(sections), readings, pictured)


def _readings(
    steps: Sequence[Step], values: Mapping[str, ResolvedValue], instruments: InstrumentsFor
) -> Iterable[RecordLine]:
    for step in steps:
        for m in step.measure:
            v = values[m.value] if m.value is not None else None
            low, high = limits_in(v, m.unit) if v is not None and m.unit != "pass" else (None, None)
            yield RecordLine(
                id=m.id,
                step=step.number,
                text=m.text,
                method=m.method,
                unit=m.unit,
                low=low,
                high=high,
                value=v,
                instruments=() if m.unit == "pass" else instruments(m.value, m.unit, high),
                setting=v is not None and v.quantity == "torque",
            )


def grouped(cautions: Iterable[Caution]) -> list[tuple[SignalWord, list[Caution]]]:
    """Return messages by signal word, gravest first: messages of one word share a panel."""
    by_word: dict[SignalWord, list[Caution]] = {}
    for c in cautions:
        by_word.setdefault(c.signal_word, []).append(c)
    return [(word, by_word[word]) for word in SIGNAL_WORDS if word in by_word]


def make_values(values: Mapping[str, ResolvedValue], plans: Iterable[Plan]) -> tuple[ValueLine, ...]:
    """Return the values that a booklet shows: those on file, and those that a step of ``plans`` asks for."""
    used = asked_values(plans)
    return tuple(ValueLine(v, used.get(v.name, ())) for v in values.values() if v.known or v.name in used)
