"""What the pages beside the sequences show: the pump and its kit, trouble, the yearly plan, the glossary."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

from ...sequences.steps.plan import Caution
from ...sequences.upkeep.as_found import READINGS, AsFound
from ...sequences.upkeep.spare_parts import SpareLine, SparePart
from ...sequences.upkeep.upkeep_entries import Cause, Clearance, StepLink, Term, Upkeep, UpkeepRow
from ...sequences.values.sourced_values import ResolvedValue
from ..words.catalogue import Words
from ..words.upkeep.size_words import KitRow, kit_row
from ..words.value_words import value_in_words, value_title
from .crops import Crop
from .view_models import PartRow, Use

MOST_TREND = 4
"""So many earlier overhauls stand in the trend, the latest."""
BLANK_TREND = 3
"""So many columns of it are left to be written in."""
PictureOf = Callable[[Term, str], Crop | None]
"""Gives the picture of a term, with its words for those who do not see it."""


@dataclass(frozen=True)
class PlateRow:
    """A line of the name plate: what is on file, or nothing."""

    id: str
    title: str
    on_file: str


@dataclass(frozen=True)
class LinkedText:
    """A sentence with the steps it leads to; ``refer``: it is not put right at the head."""

    id: str
    text: str
    steps: tuple[Use, ...] = ()
    refer: bool = False


@dataclass(frozen=True)
class SymptomView:
    """A symptom with its causes, the likeliest first."""

    id: str
    title: str
    causes: tuple[LinkedText, ...]


@dataclass(frozen=True)
class ClearanceView:
    """What is done about a clearance outside its limits."""

    id: str
    title: str
    limits: str
    """As the fleet file has them; empty where they are not on file."""
    too_small: tuple[LinkedText, ...]
    too_large: tuple[LinkedText, ...]


@dataclass(frozen=True)
class TrendRow:
    """Readings of one clearance, overhaul by overhaul; empty where nothing was read."""

    title: str
    limits: str
    readings: tuple[str, ...]


@dataclass(frozen=True)
class TermView:
    """A term of the glossary with its picture."""

    id: str
    name: str
    text: str
    picture: Crop | None
    steps: tuple[Use, ...]


@dataclass(frozen=True)
class PartDetail:
    """What the parts list says besides of a row: a line for each of its sizes and numbers."""

    row: PartRow
    sizes: tuple[str, ...]
    numbers: tuple[str, ...]
    spares: tuple[str, ...]
    compounds: tuple[str, ...]


@dataclass(frozen=True)
class UpkeepPages:
    """All that the pages beside the sequences show of one head."""

    cautions: Mapping[str, tuple[Caution, ...]]
    """Page to the safety messages at its head."""
    plate: tuple[PlateRow, ...]
    compare: tuple[LinkedText, ...]
    parts: tuple[PartDetail, ...]
    always: tuple[KitRow, ...]
    ready: tuple[KitRow, ...]
    maybe: tuple[KitRow, ...]
    """Wearing parts that are marked as no spares: stores may have them or not."""
    gaskets: ResolvedValue | None
    symptoms: tuple[SymptomView, ...]
    clearances: tuple[ClearanceView, ...]
    tasks: tuple[LinkedText, ...]
    trend: tuple[TrendRow, ...]
    overhauls: tuple[AsFound, ...]
    terms: tuple[TermView, ...]

    @property
    def has_kit(self) -> bool:
        """Whether there is a page that identifies the pump and lists its spares."""
        return bool(self.plate or self.always or self.ready or any(d.numbers for d in self.parts))

    @property
    def has_trouble(self) -> bool:
        """Whether there is a page of symptoms."""
        return bool(self.symptoms or self.clearances)

    @property
    def has_year(self) -> bool:
        """Whether there is a yearly plan."""
        return bool(self.tasks or self.trend)

    @property
    def remedied(self) -> frozenset[str]:
        """Names of the values for which there is something to do where a reading is outside them."""
        return frozenset(c.id for c in self.clearances)

    @property
    def blank_columns(self) -> range:
        """Columns of the trend that are left to be written in."""
        return range(BLANK_TREND)


def make_upkeep_pages(
    upkeep: Upkeep,
    words: Words,
    *,
    plate: Iterable[PlateRow],
    facts: Mapping[str, str],
    parts: Iterable[PartDetail],
    kit: Sequence[SpareLine],
    maybe: Iterable[SpareLine],
    gaskets: ResolvedValue | None,
    values: Mapping[str, ResolvedValue],
    as_found: Sequence[AsFound],
    picture: PictureOf,
) -> UpkeepPages:
    """Put the rows of a head into words.

    Args:
        upkeep: what belongs to the head.
        words: of the page's language.
        plate: lines of the name plate.
        facts: what the lines to compare name of the head, in words.
        parts: the parts list with sizes and numbers.
        kit: lines of the spares kit.
        maybe: wearing parts that are not in it.
        gaskets: the value that names the gaskets of the pipes.
        values: of the head, for the limits of clearances.
        as_found: clearances of earlier overhauls, the oldest first.
        picture: gives the picture of a term.
    """
    latest = tuple(as_found[-MOST_TREND:])
    return UpkeepPages(
        upkeep.cautions,
        tuple(plate),
        tuple(
            LinkedText(e.id, words(f"compare.{e.id}", **facts), step_uses(e.steps, words))
            for e in upkeep.compare
        ),
        tuple(parts),
        tuple(kit_row(line, words) for line in kit if line.need == "always"),
        tuple(kit_row(line, words) for line in kit if line.need == "ready"),
        tuple(kit_row(line, words) for line in maybe),
        gaskets,
        tuple(SymptomView(s.id, words(f"symptom.{s.id}"), _causes(s.causes, words)) for s in upkeep.symptoms),
        tuple(_clearance(c, values, words) for c in upkeep.clearances),
        tuple(_task(e, words) for e in upkeep.tasks),
        tuple(_trend(name, latest, values, words) for name in READINGS),
        latest,
        tuple(sorted((_term(t, picture, words) for t in upkeep.terms), key=lambda t: t.name.casefold())),
    )


def step_uses(steps: Iterable[StepLink], words: Words) -> tuple[Use, ...]:
    """Return links to steps, each named by its sequence and number with its title."""
    return tuple(
        Use(
            words("upkeep.step", sequence=s.sequence_title, number=s.number, title=s.title),
            f"{s.sequence}.html#step-{s.number}",
        )
        for s in steps
    )


def _causes(causes: Iterable[Cause], words: Words) -> tuple[LinkedText, ...]:
    return tuple(LinkedText(c.id, words(f"cause.{c.id}"), step_uses(c.steps, words), c.refer) for c in causes)


def _task(task: UpkeepRow, words: Words) -> LinkedText:
    return LinkedText(task.id, words(f"task.{task.id}"), step_uses(task.steps, words))


def _clearance(c: Clearance, values: Mapping[str, ResolvedValue], words: Words) -> ClearanceView:
    return ClearanceView(
        c.value,
        value_title(c.value, words),
        _limits(c.value, values, words),
        _causes(c.too_small, words),
        _causes(c.too_large, words),
    )


def _limits(name: str, values: Mapping[str, ResolvedValue], words: Words) -> str:
    value = values.get(name)
    return value_in_words(value, words).text if value is not None and value.known else ""


def _trend(
    name: str, overhauls: Iterable[AsFound], values: Mapping[str, ResolvedValue], words: Words
) -> TrendRow:
    readings = tuple(str(o.mm[name]) if name in o.mm else "" for o in overhauls)
    return TrendRow(value_title(name, words), _limits(name, values, words), readings)


def _term(term: Term, picture: PictureOf, words: Words) -> TermView:
    name = words(f"term.{term.id}.name")
    alt = words("glossary.picture", name=name)
    shown = picture(term, alt)
    uses = step_uses(term.steps[:1], words)
    if term.whole:
        uses = (Use(words("glossary.overview"), "index.html"),)
    return TermView(term.id, name, words(f"term.{term.id}.text"), shown, uses)


def part_detail(
    row: PartRow,
    sizes: Mapping[str, str],
    said: Mapping[str, SparePart],
    which: Callable[[str], str],
    words: Words,
) -> PartDetail:
    """Return what the parts list says of a row: each different size and number once, told apart where they differ.

    Args:
        row: of the parts list.
        sizes: part key to its size in words.
        said: part key to what the fleet file says of it.
        which: gives what tells a part from others of its row, empty where nothing does.
        words: of the page's language.
    """

    def told(texts: Mapping[str, str]) -> tuple[str, ...]:
        of = {key: text for key in row.keys if (text := texts.get(key, ""))}
        if len(set(of.values())) < 2 and len(of) in (0, len(row.keys)):
            return tuple(dict.fromkeys(of.values()))
        named = (
            words("size.several", size=text, which=which(key)) if which(key) else text
            for key, text in of.items()
        )
        return tuple(dict.fromkeys(named))

    return PartDetail(
        row,
        told(sizes),
        told({k: s.number for k, s in said.items()}),
        told({k: words(f"spare.{s.spare.replace(' ', '_')}") for k, s in said.items() if s.spare}),
        told({k: s.compound for k, s in said.items()}),
    )
