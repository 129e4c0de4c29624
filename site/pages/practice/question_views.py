"""Questions in words and pictures, as the pages that ask them take them: plain data with the right answer first."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ....render.drawing.manifest import Manifest
from ....sequences.steps.claims import MistakeKind
from ....sequences.training.questions import ALL_RIGHT, Answer, AskedCard, Question, make_questions
from ....sequences.values.sourced_values import ResolvedValue
from ...words.misfit_words import effect_sentence, mistake_words, outcome_words
from ...words.part_names import start
from ...words.value_words import value_in_words
from ..cards.cards import PAGE as CARDS
from ..cards.cards import CardView, MergedCard
from ..crops import crop_of
from .order_page import Data, OrderWords, cut_data


@dataclass(frozen=True)
class QuestionPages:
    """All questions of a booklet with the topics that they belong to."""

    data: Data
    topics: tuple[tuple[str, tuple[tuple[int, str], ...]], ...]
    """Title of a sequence, with number and title of each of its sections."""
    count: int


NOTHING_ASKED = QuestionPages({"questions": []}, (), 0)


@dataclass(frozen=True)
class ShownCard:
    """A card as it was merged, as its page tells it, and its pictures, right and wrong."""

    merged: MergedCard
    view: CardView
    pictures: tuple[Manifest, Manifest]


def question_pages(
    orders: Sequence[OrderWords], cards: Sequence[ShownCard], values: Mapping[str, ResolvedValue]
) -> QuestionPages:
    """Return the questions of all sequences; ``cards`` are those that have pictures, of the sequence that fits."""
    topics = 0
    named: set[tuple[str, str]] = set()
    told: list[Data] = []
    groups = []
    for order in orders:
        own = [c for c in cards if c.merged.evidence.sequence == order.plan.sequence]
        typed = make_questions(
            order.plan,
            order.evidence,
            order.practice,
            order.assembly.parts,
            [_asked(c) for c in own],
            values,
        )
        words = _QuestionWords(order, {c.merged.id: c for c in own}, values)
        made = [(q, data) for q in typed if (data := words.data(q)) is not None and not _again(data, named)]
        sections = {order.plan.steps[q.step - 1].section for q, _ in made}
        own_topics = [s for s in order.plan.sections if s.id in sections]
        numbers = {s.id: topics + n for n, s in enumerate(own_topics)}
        topics += len(numbers)
        groups.append((order.plan.title, tuple((numbers[s.id], s.title) for s in own_topics)))
        told += [{**data, "topic": numbers[order.plan.steps[q.step - 1].section]} for q, data in made]
    return QuestionPages({"questions": told}, tuple(groups), len(told))


def _again(data: Data, named: set[tuple[str, str]]) -> bool:
    """Return whether another sequence has asked the same already: for a part's name, or for a value."""
    asked = (str(data["ask"]), str(data["answers"][0]["text"]))
    if data["kind"] not in ("name", "value"):
        return False
    known = asked in named
    named.add(asked)
    return known


def _asked(card: ShownCard) -> AskedCard:
    ways: tuple[MistakeKind, ...] = tuple(dict.fromkeys(c.kind for c in card.merged.cards))
    return AskedCard(card.merged.id, card.merged.shown, ways)


@dataclass(frozen=True)
class _QuestionWords:
    order: OrderWords
    cards: Mapping[str, ShownCard]
    values: Mapping[str, ResolvedValue]

    def data(self, q: Question) -> Data | None:
        """Return a question as the page takes it; None where two answers would read alike, or its picture is missing.

        ``answers`` are text, picture and why it is wrong, the right one first.
        """
        found: Data = getattr(self, f"_{q.kind}")(q)
        told = [(a["text"], (a["pic"] or {}).get("src", "")) for a in found["answers"]]
        if len(set(told)) < len(told) or (q.kind in ("mistake", "name") and found["pic"] is None):
            return None
        step = self.order.plan.steps[q.step - 1]
        href = found.pop("href", "") or f"{self.order.plan.sequence}.html#step-{q.step}"
        at = self.order.names.words("practice.step", step=q.step, title=step.title)
        return {"id": q.id, "kind": q.kind, "href": href, "at": found.pop("at", at), **found}

    def _answers(self, q: Question, texts: Sequence[str], **more: Sequence[object]) -> list[Data]:
        pics, whys = more.get("pics") or [None] * len(texts), more.get("whys") or [""] * len(texts)
        return [
            {"text": text, "pic": pic, "why": why} for text, pic, why in zip(texts, pics, whys, strict=True)
        ]

    # ---- cards
    def _picture(self, q: Question) -> Data:
        shown, w = self.cards[q.about], self.order.names.words
        pics = [cut_data(crop_of(m, (), "")) for m in shown.pictures]
        return {
            "ask": w("question.picture", part=start(self.order.names.bare(shown.merged.shown.parts[0]))),
            "pic": None,
            "answers": self._answers(q, ["", ""], pics=pics),
            "why": self._of_card(shown),
            "href": f"{CARDS}#{q.about}",
            "at": shown.view.title,
        }

    def _mistake(self, q: Question) -> Data:
        shown = self.cards[q.about]
        return {
            "ask": self.order.names.words("question.mistake"),
            "pic": cut_data(crop_of(shown.pictures[1], (), "")),
            "answers": self._answers(q, [self._mistaken(a, shown) for a in q.answers]),
            "why": self._of_card(shown),
            "href": f"{CARDS}#{q.about}",
            "at": shown.view.title,
        }

    @staticmethod
    def _of_card(shown: ShownCard) -> str:
        return " ".join(shown.view.wrong[:1] or shown.view.answer[:1])

    def _mistaken(self, answer: Answer, shown: ShownCard) -> str:
        names, w = self.order.names, self.order.names.words
        if answer.what == ALL_RIGHT:
            return w("question.nothing_wrong")
        other = next((k for k in shown.merged.shown.wrong), "")
        if answer.what == "swapped" and other:
            part = names.parts[other]
            how = w("mistake.replaced", other=names.the_kind(part.kind, part.name))
        else:
            how = w(f"mistake.{answer.what.replace(' ', '_')}")
        return w("cards.title", part=start(names.bare(answer.part)), how=how)

    # ---- parts, order, mistakes
    def _step_cut(self, q: Question, key: str) -> Data | None:
        step = self.order.plan.steps[q.step - 1]
        manifest = self.order.shown.steps.get((self.order.plan.sequence, step.id))
        return cut_data(crop_of(manifest, [key], "")) if manifest is not None else None

    def _name(self, q: Question) -> Data:
        names, part = self.order.names, self.order.assembly.parts[q.about]
        return {
            "ask": names.words("question.name"),
            "pic": self._step_cut(q, q.about),
            "answers": self._answers(q, [names.title(a.what) for a in q.answers]),
            "why": names.words("question.name_why", part=names.kind(part.kind, part.name)),
        }

    def _next(self, q: Question) -> Data:
        order, w = self.order, self.order.names.words
        assert q.done is not None
        choices = [order.practice.choices[int(a.what)] for a in q.answers]
        last = order.practice.choices[q.done - 1] if q.done else None
        whys = []
        for choice in choices:
            against = order.practice.against(range(q.done), choice.number)
            first = next(iter(sorted(against, key=lambda h: not h.by_solids)), None)
            ground = w("practice.by_solids" if first and first.by_solids else "practice.by_rule")
            whys.append(f"{ground} {order.sentence(choice, [first])}" if first else "")
        return {
            "ask": w("question.next", done=order.title(last)) if last else w("question.first"),
            "pic": None,
            "answers": self._answers(
                q,
                [order.title(c) for c in choices],
                pics=[cut_data(order.picture(c)) for c in choices],
                whys=whys,
            ),
            "why": order.why(choices[0]),
        }

    def _outcome(self, q: Question) -> Data:
        names, fit = self.order.names, q.misfit
        assert fit is not None
        moves = self.order.evidence.moves
        texts = [names.words(f"question.result.{a.what.replace(' ', '_')}") for a in q.answers]
        if fit.verdict == "goes in":
            why = " ".join(effect_sentence(names, moves, e) for e in fit.wrong[:1])
        else:
            why = outcome_words(names, moves, fit)
        whole = [m for m in moves if m.step == fit.step and set(m.parts) == set(fit.parts)]
        part = names.moves(whole[:1]) if whole else names.several(fit.parts)
        return {
            "ask": names.words("question.outcome", part=part, how=mistake_words(names, fit)),
            "pic": self._step_cut(q, fit.lead),
            "answers": self._answers(q, texts),
            "why": why,
        }

    # ---- tools and values
    def _tool(self, q: Question) -> Data:
        w, step = self.order.names.words, self.order.plan.steps[q.step - 1]
        said = [
            getattr(step, o.said_in)[o.sentence]
            for o in step.operations
            if o.tool == q.answers[0].what and o.said_in == "acts"
        ]
        return {
            "ask": w("question.tool", title=step.title),
            "pic": None,
            "answers": self._answers(q, [start(w(f"tool_name.{a.what}")) for a in q.answers]),
            "why": said[0] if said else "",
        }

    def _value(self, q: Question) -> Data:
        w = self.order.names.words
        value = value_in_words(self.values[q.about], w)
        if value.known:
            texts = [value_in_words(self.values[a.what], w).text for a in q.answers]
            ask, why = w("question.value", title=value.title), value.source
        else:
            texts = [w(f"question.blank.{a.what.replace(' ', '_')}") for a in q.answers]
            ask, why = w("question.no_value", title=value.title), w("values.blank_where", where=value.where)
        return {"ask": ask, "pic": None, "answers": self._answers(q, texts), "why": why}
