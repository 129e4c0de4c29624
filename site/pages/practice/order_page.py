"""Practice of the order: the learner chooses what comes next; the page judges by solids and by the sequence's rules."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from ....geometry.assembly import Assembly
from ....render.drawing.manifest import Manifest
from ....sequences.order.order_graph import PlannedMove
from ....sequences.proof.assembly_proof import AssemblyProof
from ....sequences.proof.evidence import Evidence
from ....sequences.steps.plan import Plan, Step
from ....sequences.training.order_practice import Hurdle, OrderChoice, OrderPractice, make_order_practice
from ...words.catalogue import Words
from ...words.order_words import hurdle_sentence, why_words
from ...words.part_names import PartNames
from ..crops import Crop, crop_of

PAGE = "practice.html"
LEAST_TILE = 0.075
"""Least width of a part's picture on a tile, as a share of the overview's."""
Data = dict[str, Any]


@dataclass(frozen=True)
class ShownPictures:
    """What the booklet's pictures show, for cuts of them; none where nothing is drawn."""

    overview: Manifest | None = None
    steps: Mapping[tuple[str, str], Manifest] = field(default_factory=dict)
    """By sequence and step id."""


@dataclass(frozen=True)
class PracticeRow:
    """One choice in words, for a page without script."""

    words: str
    bench: str
    before: tuple[str, ...]
    """What has to be done first, by the solids."""
    after: tuple[str, ...]
    """What it would be in the way of, or shut out by."""
    rules: tuple[str, ...]
    """What the sequence sets before it, each with the reason."""


@dataclass(frozen=True)
class PracticeView:
    """The practice of one sequence: the page's data, and the same in words."""

    id: str
    title: str
    into: bool
    data: Data
    rows: tuple[PracticeRow, ...]


@dataclass(frozen=True)
class OrderWords:
    """The choices of one sequence in words and pictures."""

    assembly: Assembly
    plan: Plan
    evidence: Evidence
    practice: OrderPractice
    names: PartNames
    shown: ShownPictures

    def step(self, choice: OrderChoice) -> Step:
        """Return the step of a choice."""
        return next(s for s in self.plan.steps if s.number == choice.step)

    def title(self, choice: OrderChoice) -> str:
        """Return what a choice is called: its parts, or its step where none move."""
        if choice.moves:
            return self.names.box_title(self._moves(choice.moves))
        return self.step(choice).title

    def small(self, choice: OrderChoice) -> str:
        """Return what stands under its name: what kind of work it is, and where."""
        w, said = self.names.words, []
        if choice.task:
            said.append(w(f"practice.task.{choice.task}"))
        if choice.bench:
            said.append(w("practice.bench", unit=self.names.unit(choice.bench)))
        if self.step(choice).plant.own:
            said.append(w("plant.step"))
        return " · ".join(said)

    def href(self, choice: OrderChoice) -> str:
        """Return the address of its step."""
        return f"{self.plan.sequence}.html#step-{choice.step}"

    def why(self, choice: OrderChoice) -> str:
        """Return why it stands where it does, in one sentence: the step's own, or else what the solids say."""
        text = self.step(choice).why or why_words(self.names, self.evidence, choice.step)
        return re.split(r"(?<=[.!?])\s", text, maxsplit=1)[0]

    def picture(self, choice: OrderChoice) -> Crop | None:
        """Return its picture: its part from the overview, or the work from its step's own picture."""
        own = self.shown.steps.get((self.plan.sequence, choice.step_id))
        if choice.moves:
            for manifest in filter(None, (self.shown.overview, own)):
                for keys in (self._alike(choice), choice.parts):
                    if (cut := crop_of(manifest, keys, "", LEAST_TILE)) is not None:
                        return cut
        return None if own is None else crop_of(own, (), "")

    def _alike(self, choice: OrderChoice) -> list[str]:
        """Return all parts that look like the first of a choice, or like that on which its unit is built."""
        group = self.evidence.moves[choice.moves[0]].move.group
        lead = self.assembly.parts[(*self.plan.units.get(group, ()), *choice.parts)[0]]
        return [
            p.key for p in self.assembly if (p.kind, p.name, p.which) == (lead.kind, lead.name, lead.which)
        ]

    def hurdles(self, choice: OrderChoice) -> Iterator[tuple[Hurdle, str]]:
        """Yield what may speak against a choice, each with its sentence; equal parts are told together."""
        groups: dict[tuple[str, int | None, bool], list[Hurdle]] = {}
        for h in choice.hurdles:
            groups.setdefault((h.kind, h.choice, h.while_done), []).append(h)
        for told in groups.values():
            yield told[0], self.sentence(choice, told)

    def sentence(self, choice: OrderChoice, told: Sequence[Hurdle]) -> str:
        """Return hurdles of one kind and one other choice as a sentence."""
        first = told[0]
        if first.kind == "rule":
            return first.because
        own = self._moves(dict.fromkeys(h.own for h in told if h.own is not None)) or self._moves(
            choice.moves
        )
        others = self._moves(dict.fromkeys(h.move for h in told if h.move is not None))
        into = (others if first.kind == "not there" else own)[0].move.into
        title = "" if first.choice is None else self.title(self.practice.choices[first.choice])
        return hurdle_sentence(self.names, first.kind, into, own, others, title)

    def _moves(self, numbers: Iterable[int]) -> list[PlannedMove]:
        return [self.evidence.moves[n] for n in numbers]


def order_words(
    assembly: Assembly, plan: Plan, evidence: Evidence, words: Words, shown: ShownPictures
) -> OrderWords:
    """Return the practice of one sequence, ready to be put into words."""
    kinds = {key: part.kind for key, part in assembly.parts.items()}
    practice = make_order_practice(plan, evidence, kinds)
    return OrderWords(assembly, plan, evidence, practice, PartNames(words, assembly.parts, plan), shown)


def make_practices(
    assembly: Assembly, plans: Sequence[Plan], proof: AssemblyProof, words: Words, shown: ShownPictures
) -> tuple[OrderWords, ...]:
    """Return the practice of every sequence that moves parts."""
    return tuple(
        order_words(assembly, p, proof.by_sequence[p.sequence], words, shown)
        for p in plans
        if p.sequence in proof.by_sequence
    )


def practice_view(order: OrderWords) -> PracticeView:
    """Return the practice of one sequence as its page shows it."""
    choices = order.practice.choices
    into = any(c.moves and c.into for c in choices)
    data = {
        "sequence": order.plan.sequence,
        "choices": [_choice(order, c) for c in choices],
    }
    rows = tuple(_row(order, c, into) for c in choices)
    return PracticeView(order.plan.sequence, order.plan.title, into, data, rows)


def cut_data(cut: Crop | None) -> Data | None:
    """Return a cut of a picture as a script places it: file, and percent of the cut's width and height."""
    if cut is None:
        return None
    return {
        "src": cut.src,
        "wide": round(cut.scale, 2),
        "left": round(cut.left, 2),
        "top": round(cut.top, 2),
        "size": [cut.width, cut.height],
    }


def _choice(order: OrderWords, choice: OrderChoice) -> Data:
    """Return what the page's script needs of a choice; a hurdle is [choice, while done, by the solids, sentence]."""
    return {
        "words": order.title(choice),
        "small": order.small(choice),
        "work": not choice.moves,
        "parts": list(choice.parts),
        "step": choice.step,
        "title": order.step(choice).title,
        "href": order.href(choice),
        "why": order.why(choice),
        "pic": cut_data(order.picture(choice)),
        "hurdles": [[h.choice, h.while_done, h.by_solids, said] for h, said in order.hurdles(choice)],
        "held": [list(held) for held in choice.held_by],
        "loose": order.sentence(choice, [Hurdle("loose")]) if choice.held_by else "",
    }


def _row(order: OrderWords, choice: OrderChoice, into: bool) -> PracticeRow:
    def title(hurdle: Hurdle) -> str:
        return order.title(order.practice.choices[hurdle.choice or 0])

    solids = [h for h, _ in order.hurdles(choice) if h.by_solids]
    return PracticeRow(
        order.title(choice),
        order.small(choice),
        tuple(dict.fromkeys(title(h) for h in solids if not h.while_done)),
        tuple(dict.fromkeys(title(h) for h in solids if h.while_done)) if into else (),
        tuple(dict.fromkeys(said for h, said in order.hurdles(choice) if not h.by_solids)),
    )
