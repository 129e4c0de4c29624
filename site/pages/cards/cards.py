"""Orientation cards for the pages: mistakes that nothing stops, equivalent ones merged, the gravest first.

What is turned over, swapped or on the wrong side comes first, and of these what cannot be seen any more later; then
what can be left out without anything noticing.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from ....geometry.assembly import Assembly
from ....render.drawing.manifest import Manifest
from ....render.pictures.pairs import PairScene
from ....sequences.misfits.findings import Misfit, alike_effect
from ....sequences.misfits.orientation_cards import OrientationCard, Telling, make_kind_cards
from ....sequences.proof.evidence import Evidence
from ....sequences.steps.marks.plant_marks import PlantPhoto
from ....sequences.steps.plan import Plan, Step
from ...words.catalogue import Words
from ...words.misfit_words import (
    card_question,
    effect_sentence,
    outcome_words,
    picture_words,
    telling_words,
)
from ...words.part_names import PartNames, start
from ..picture_views import FOLDER, MEDIA_TYPES
from ..view_models import PictureView, Use

PAGE = "cards.html"
GIVEN = "left out"
GRAVEST = ("end for end", "swapped", "other side", "fitted twice", "half turn", "part turn", GIVEN)
"""Kinds of mistake, the gravest first."""


@dataclass(frozen=True)
class MergedCard:
    """Cards that show the same mistake, before their pictures are taken."""

    id: str
    cards: tuple[OrientationCard, ...]
    """The first is the one shown."""
    scene: PairScene
    closed_by: int | None
    """Number of the step after which it can no longer be seen; None if it stays in view."""
    evidence: Evidence
    """Of the plan that the cards are about."""

    @property
    def shown(self) -> OrientationCard:
        """The card whose pictures stand for all."""
        return self.cards[0]

    @property
    def forgotten(self) -> bool:
        """Whether the mistake is that something is left out."""
        return self.shown.kind == GIVEN


@dataclass(frozen=True)
class CardView:
    """One card on the page."""

    anchor: str
    title: str
    forgotten: bool
    stopped: bool
    """Whether nothing but a look keeps it from being tried: the solids stop it."""
    question: str
    answer: tuple[str, ...]
    """Sentences."""
    wrong: tuple[str, ...]
    """What is then wrong, one sentence each."""
    alike: str
    """Other ways or parts that it holds for too; empty where there are none."""
    marked: bool
    """Whether a thick line in the pictures shows where the part bears."""
    hidden: str
    """When it can no longer be seen; empty where it stays in view."""
    right_words: str
    """On the right picture, six words at most."""
    wrong_words: str
    tell: tuple[tuple[str, str], ...]
    """How to tell right from wrong: way, sentence."""
    drawn: str
    """How the pictures are drawn other than true; empty where they are not."""
    right_figure: PictureView
    wrong_figure: PictureView
    steps: tuple[Use, ...]
    covers: frozenset[tuple[str, str]]
    """Kind of mistake and part, for each that the card stands for."""
    telling: Telling
    """What the pictures are told apart by."""
    part: str
    """Name of the part's kind, in words."""
    notes: tuple[str, ...] = ()
    """What the plant says beside the steps that the card is about, each once."""
    photos: tuple[PlantPhoto, ...] = ()
    """What it shows there."""

    @property
    def mistakes(self) -> frozenset[str]:
        """Kinds of mistake that the card stands for."""
        return frozenset(kind for kind, _ in self.covers)


def merge_cards(assembly: Assembly, plan: Plan, evidence: Evidence) -> tuple[MergedCard, ...]:
    """Return the cards of a plan, equivalent ones merged, ordered by consequence."""
    steps = {s.number: s for s in plan.steps}
    groups: dict[tuple[object, ...], list[OrientationCard]] = {}
    kinds = make_kind_cards(assembly, evidence.moves, evidence.touching)
    for card in (*evidence.cards, *kinds, *evidence.asked):
        groups.setdefault(_likeness(assembly, card), []).append(card)
    made: list[MergedCard] = []
    for cards in groups.values():
        first = cards[0]
        anchor = _anchor(assembly, first, {m.id for m in made})
        made.append(
            MergedCard(
                anchor,
                tuple(cards),
                card_scene(assembly, steps[first.step], first, anchor),
                _closed_by(evidence, first),
                evidence,
            )
        )
    return tuple(
        sorted(
            made,
            key=lambda m: (
                m.forgotten,
                m.shown.stopped,
                m.closed_by is None,
                GRAVEST.index(m.shown.kind),
                m.shown.step,
            ),
        )
    )


def _likeness(assembly: Assembly, card: OrientationCard) -> tuple[object, ...]:
    kinds = tuple(sorted(assembly.parts[k].kind for k in card.parts))
    effects = (alike_effect(assembly.parts, e) for e in card.wrong_because)
    if card.wrong_material:
        return (kinds, card.wrong_material)
    if card.stopped:
        return (kinds, "stopped", card.kind)
    if card.kind in ("end for end", "half turn", "part turn"):
        return (kinds, "turned", *effects)
    if card.kind == "swapped":
        return (kinds, card.kind, tuple(sorted(assembly.parts[k].kind for k in card.wrong)))
    if card.kind == "other side":
        return (kinds, card.kind)
    return (kinds, card.kind, *effects)


def _anchor(assembly: Assembly, card: OrientationCard, taken: Iterable[str]) -> str:
    part = assembly.parts[card.parts[0]]
    what = "of-another-kind" if card.wrong_material else card.kind
    base = f"{part.kind}-{what}".replace("_", "-").replace(" ", "-")
    taken, anchor, n = set(taken), base, 1
    while anchor in taken:
        n += 1
        anchor = f"{base}-{n}"
    return anchor


def card_scene(assembly: Assembly, step: Step, card: OrientationCard, name: str) -> PairScene:
    """Return what the pictures show: the part among those neighbours that are there when it is fitted."""
    there = {*step.present, *(k for m in step.moves for k in m.parts)}
    around = [k for k in card.around if k in there or card.opened]
    if card.kind == "other side" and not card.opened:
        kinds = {assembly.parts[k].kind for k in around}
        around += [
            p.key for p in assembly if p.kind in kinds and p.key in step.present and p.key not in around
        ]
        aim = next(iter(card.wrong), "")
        side = next((s for s in ("drive", "driven") if s != assembly.parts[aim].side), None) if aim else None
        carriers = {group.carrier for group in assembly.turning}
        around += [p.key for p in assembly if p.key in carriers and p.side == side and p.key not in around]
    around = [k for k in around if k not in card.right and k not in card.wrong]
    places = assembly.places_at(step.stands_at_deg)
    return PairScene(
        f"card-{name}",
        card.step_id,
        card.step,
        card.right,
        card.wrong,
        {k: places[k] for k in around},
        bool(card.second),
        card.out,
        tuple(k for k in (*card.right, *around) if step.bench and assembly.parts[k].elastic),
        card.opened,
        card.links,
        card.wrong_material,
    )


def _closed_by(evidence: Evidence, card: OrientationCard) -> int | None:
    """Return the step that closes the card's parts in, as the order graph has it."""
    mine = {m.number for m in evidence.moves if set(card.parts) <= set(m.parts) and m.step == card.step}
    later = [evidence.moves[e.then].step for e in evidence.edges if e.first in mine]
    return min(later, default=None)


def card_views(
    assembly: Assembly,
    plan: Plan,
    merged: Sequence[MergedCard],
    pictures: Mapping[str, tuple[Manifest, Manifest]],
    words: Words,
) -> tuple[CardView, ...]:
    """Return the cards for the page; ``pictures`` are the manifests, right and wrong, by card id."""
    return tuple(_view(assembly, plan, m, pictures.get(m.id), words) for m in merged)


def _view(
    assembly: Assembly,
    plan: Plan,
    merged: MergedCard,
    pictures: tuple[Manifest, Manifest] | None,
    words: Words,
) -> CardView:
    card, names = merged.shown, PartNames(words, assembly.parts, plan)
    name = names.title(card.parts[0])
    ways = list(dict.fromkeys(c.kind for c in merged.cards))
    other = next((assembly.parts[k] for k in card.wrong if card.kind == "swapped"), None)
    if card.wrong_material:
        how = words("cards.other_kind")
    else:
        how = words("list.or").join(
            words("mistake.replaced", other=names.the_kind(other.kind, other.name))
            if other
            else words(f"mistake.{w.replace(' ', '_')}")
            for w in ways
        )
    wrong = tuple(effect_sentence(names, merged.evidence.moves, e) for e in card.wrong_because)
    if card.wrong_material:
        right, taken = (
            words.material(m) for m in (assembly.parts[card.parts[0]].material, card.wrong_material)
        )
        wrong = (words("cards.other_material", right=right, wrong=taken),)
    if card.stopped:
        wrong = tuple(outcome_words(names, merged.evidence.moves, f) for f in _stops(merged)[:1])
    hidden = words("cards.hidden", step=merged.closed_by) if merged.closed_by else ""
    said = (
        "cards.answer_left_out"
        if merged.forgotten
        else "cards.answer_stopped"
        if card.stopped
        else "cards.answer"
    )
    answer = words(said)
    others = [k for c in merged.cards for k in (*c.parts, *c.also) if k not in card.parts]
    others = list(dict.fromkeys(others))
    alike = words("cards.alike", parts=names.several(others)) if others else ""
    steps = dict.fromkeys(c.step for c in merged.cards)
    for key in others:
        steps.update(dict.fromkeys(s.number for s in plan.steps if _fits(s, key)))
    subject = start(names.bare(card.parts[0]))
    missing = merged.forgotten
    figures = []
    for which, manifest in zip(("right", "wrong"), pictures or (None, None), strict=True):
        said = (
            "cards.alt_right" if which == "right" else "cards.alt_missing" if missing else "cards.alt_wrong"
        )
        alt = words(said, part=subject, how=how)
        if manifest is not None and "into a cut" in manifest.camera.view:
            alt += " " + words("cards.alt_cut")
        figures.append(_figure(manifest, alt))
    marks = [s.plant for s in plan.steps if s.number in steps]
    return CardView(
        anchor=merged.id,
        title=name if missing else words("cards.title", part=name, how=how),
        forgotten=missing,
        stopped=card.stopped,
        question=card_question(names, card),
        answer=(answer, *wrong),
        wrong=wrong,
        alike=alike,
        marked=pictures is not None and bool(pictures[0].insets),
        hidden=hidden,
        right_words=picture_words(names, card, "right"),
        wrong_words=picture_words(names, card, "wrong"),
        tell=telling_words(names, card),
        drawn=_drawn(words, card, pictures),
        right_figure=figures[0],
        wrong_figure=figures[1],
        steps=tuple(
            Use(words("values.use", title=plan.title, number=n), f"{plan.sequence}.html#step-{n}")
            for n in sorted(steps)
        ),
        covers=frozenset((c.kind, k) for c in merged.cards for k in (*c.parts, *c.also)),
        telling=card.telling,
        part=names.kind(assembly.parts[card.parts[0]].kind, assembly.parts[card.parts[0]].name),
        notes=tuple(dict.fromkeys(n for m in marks for n in m.notes)),
        photos=tuple(dict.fromkeys(p for m in marks for p in m.photos)),
    )


def _stops(merged: MergedCard) -> list[Misfit]:
    """Return the mistakes of a card that the solids stop."""
    card = merged.shown
    return [
        f
        for f in merged.evidence.wrong_fits
        if (f.step, f.parts, f.kind, f.verdict) == (card.step, card.parts, card.kind, "stopped")
    ]


def _drawn(words: Words, card: OrientationCard, pictures: tuple[Manifest, Manifest] | None) -> str:
    """Return how the pictures of a pair are drawn, where they are drawn other than true."""
    if pictures is None:
        return ""
    seen = pictures[0].difference
    if card.wrong_material:
        return words("cards.sheath")
    if pictures[0].links:
        two = any(link.dashed for link in pictures[0].links)
        return words("cards.opened_two") if two else words("cards.opened")
    if seen is None or seen.steeper == 1.0:
        return ""
    key = "cards.further" if set(pictures[0].parts) != set(pictures[1].parts) else "cards.steeper"
    return words(key, times=f"{seen.steeper:g}")


def _fits(step: Step, key: str) -> bool:
    return any(key in m.parts and m.into and not m.group for m in step.moves)


def _figure(manifest: Manifest | None, alt: str) -> PictureView:
    if manifest is None:
        return PictureView("", 4, 3, alt)
    files = [(MEDIA_TYPES[f], f"{FOLDER}/{name}") for f, name in manifest.files.items()]
    return PictureView(files[-1][1], manifest.width, manifest.height, alt, sources=tuple(files[:-1]))


def cards_by_step(cards: Sequence[CardView], words: Words) -> dict[str, tuple[Use, ...]]:
    """Return the links to cards for each step, by the page address of the step (``assembly.html#step-5``)."""
    found: dict[str, list[Use]] = {}
    for card in cards:
        for use in card.steps:
            said = "cards.check_there" if card.forgotten else "cards.check"
            found.setdefault(use.href, []).append(Use(words(said, card=card.title), f"{PAGE}#{card.anchor}"))
    return {k: tuple(v) for k, v in found.items()}


__all__ = ["PAGE", "CardView", "MergedCard", "card_scene", "card_views", "cards_by_step", "merge_cards"]
