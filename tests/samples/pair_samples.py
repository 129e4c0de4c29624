"""The pairs of orientation cards of a head, without the trials that judge mistakes: what tests and sheets draw."""

from __future__ import annotations

from collections.abc import Iterator

from benchleaf.geometry.dimensions.options import Options
from benchleaf.geometry.head.head import Head
from benchleaf.render.composition.pair_views import PairScene
from benchleaf.render.drawing.differences import tells_apart
from benchleaf.render.drawing.settings import PictureSettings
from benchleaf.render.pictures.pairs import render_pairs
from benchleaf.render.pictures.studio import models_of
from benchleaf.sequences.misfits.findings import Effect, Misfit
from benchleaf.sequences.misfits.insertion_trials import clusters
from benchleaf.sequences.misfits.misplacements import misplacements_of
from benchleaf.sequences.misfits.orientation_cards import (
    OrientationCard,
    make_asked_cards,
    make_cards,
    make_kind_cards,
)
from benchleaf.sequences.order.order import draft_moves, graph_of, lead_of, with_path
from benchleaf.sequences.order.order_graph import OrderGraph, PlannedMove
from benchleaf.sequences.proof.proving import poses_of
from benchleaf.site.pages.cards.cards import card_scene
from head_proofs import ProvenHead, head_of, shipped

MISTAKES = {
    "disc_spring": ("end for end",),
    "rotating_ring": ("end for end",),
    "stationary_ring": ("end for end", "part turn"),
    "atmosphere_ring": ("end for end", "part turn"),
    "body": ("half turn",),
    "rotor": ("other side",),
    "cover": ("half turn",),
}
"""Kinds of parts that the questions at the bench are about, and the mistakes with them."""
GO_IN = ("disc_spring", "rotor")
MEASURED = PictureSettings(width=800, height=600, supersample=1, measure_width=400, contact_shading=False)


def pair_shortcomings(options: Options, centre_mm: float) -> dict[str, list[str]]:
    """Return the pairs of a head that a phone does not tell apart, by card, each with how far they differ."""
    head, found = question_cards(options, centre_mm)
    pairs = render_pairs(models_of(head, MEASURED), [scene for _, scene in found], MEASURED)
    said = {}
    for (card, _), pair in zip(found, pairs, strict=True):
        seen = pair.right.manifest.difference
        if seen is None or not tells_apart(seen):
            said[card.id] = ["not measured" if seen is None else f"{seen.share:.0%}, {seen.outline_px:g} px"]
    return said


def question_cards(
    options: Options, centre_mm: float = 80.0
) -> tuple[Head, list[tuple[OrientationCard, PairScene]]]:
    """Return a head, and the cards of the questions at the bench with what their pictures show.

    Parts stand where the mistake aims: the trials that would bring them to rest take most of a proof's time.
    """
    proven = ProvenHead(head_of(options, centre_mm))
    head = proven.head
    plan = proven.plan(next(s for s in shipped() if s.kind == "assembly"))
    drafts = draft_moves(plan, head, poses_of(head.turning))
    moves = [with_path(proven.ways, d, measure_gap=False) if _leads(head, d.bare) else d.bare for d in drafts]
    graph = graph_of(head, plan, moves, (), proven.near)
    fits = [f for m in moves for f in _mistakes(proven, graph, m)]
    cards = [*make_cards(head, graph, fits), *make_asked_cards(head, graph, fits)]
    cards += make_kind_cards(head, moves, proven.near)
    steps = {s.number: s for s in plan.steps}
    return head, [(c, card_scene(head, steps[c.step], c, c.id)) for c in cards]


def _leads(head: Head, move: PlannedMove) -> set[str]:
    return {head.parts[k].kind for k in move.parts} & set(MISTAKES) if move.move.into else set()


def _mistakes(proven: ProvenHead, graph: OrderGraph, move: PlannedMove) -> Iterator[Misfit]:
    """Yield the mistakes of a move: of those about two axes the first."""
    parts = proven.head.parts
    for cluster in clusters(graph, move.parts) if _leads(proven.head, move) else ():
        lead = lead_of(proven.ways, cluster)
        kind, found = parts[lead].kind, set()
        for mistake in misplacements_of(proven.ways.bodies, cluster, lead, whole=False):
            if mistake.kind not in MISTAKES.get(kind, ()) or mistake.kind in found:
                continue
            found.add(mistake.kind)
            edges = Effect("bears elsewhere", ("rotor_nut_drive",), mm=1.0, right_mm=2.0)
            yield Misfit(
                move.step,
                move.step_id,
                cluster,
                lead,
                mistake.kind,
                "goes in" if kind in GO_IN else "stopped",
                "goes in" if kind in GO_IN else "stopped on its way",
                mistake.about,
                mistake.turn_deg,
                mistake.other,
                wrong=(edges,) if kind == "disc_spring" else (),
                places={k: mistake.motion @ parts[k].place for k in cluster},
            )
