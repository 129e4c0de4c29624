"""Booklets of the practice of a real head or of the coupling, for tests of their pages; pictures are placeholders."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache
from pathlib import Path

from benchleaf.geometry.assembly import Assembly
from benchleaf.render.drawing.manifest import CameraSeen, Manifest, PartSeen
from benchleaf.sequences.proof.assembly_proof import AssemblyProof
from benchleaf.sequences.proof.prove import prove_plans
from benchleaf.sequences.steps.plan import Plan
from benchleaf.sequences.values.head_values import blank_values
from benchleaf.sequences.values.sourced_values import ResolvedValue
from benchleaf.site.pages.booklet import Booklet, make_chapter, make_parts_list
from benchleaf.site.pages.pages import Setting, write_booklet
from benchleaf.site.pages.picture_views import FOLDER
from benchleaf.site.pages.practice.order_page import ShownPictures
from benchleaf.site.pages.proof_pages import cards_to_show, make_proof_pages
from benchleaf.site.pages.view_models import Identity
from benchleaf.site.words.catalogue import Words, load_words
from benchleaf.site.words.plan_words import plan_in_words
from practice_samples import Practised
from proof_samples import backwards, coupling, plan_of
from site_samples import draw_placeholder

WORDS = load_words()


def worded(p: Practised) -> Plan:
    """Return the plan of a practice with all its texts; no value is on file."""
    head = p.graph.assembly
    kinds = {part.key: part.kind for part in head}
    return plan_in_words(p.plan, kinds, WORDS, vars(head.options), blank_values())  # type: ignore[attr-defined]


def drawn(assembly: Assembly, file: str) -> Manifest:
    """Return the manifest of a placeholder in which every part is seen."""
    camera = CameraSeen("iso", (1.0, 1.0, 1.0), (0.0, 1.0, 0.0), (0.0, 0.0, 0.0), 100.0)
    parts = {
        key: PartSeen("focus", 900, 1.0, (0.1 + 0.8 * n / len(assembly.parts), 0.5), (0.3, 0.3, 0.6, 0.6))
        for n, key in enumerate(assembly.parts)
    }
    return Manifest("step", "", 0, {"webp": file}, 800, 600, camera, True, parts)


def write_pages(
    folder: Path,
    assembly: Assembly,
    plans: Sequence[Plan],
    proof: AssemblyProof,
    values: Mapping[str, ResolvedValue],
    library_href: str = "",
    words: Words = WORDS,
) -> Path:
    """Write a booklet with all its pages of practice into ``folder``, and return it."""
    booklet = practice_booklet(folder, assembly, plans, proof, values, words)
    write_booklet(booklet, folder, Setting(words, "Invented Works", False, "2031-01-01"), library_href)
    return folder


def practice_booklet(
    folder: Path,
    assembly: Assembly,
    plans: Sequence[Plan],
    proof: AssemblyProof,
    values: Mapping[str, ResolvedValue],
    words: Words = WORDS,
) -> Booklet:
    """Return a booklet with all its pages of practice, its pictures drawn into ``folder``."""
    cards = cards_to_show(assembly, plans, proof)
    steps = {
        (p.sequence, s.id): drawn(assembly, f"{p.sequence}-{s.number}.webp") for p in plans for s in p.steps
    }
    pairs = {
        c.id: (drawn(assembly, f"{c.id}-right.webp"), drawn(assembly, f"{c.id}-wrong.webp")) for c in cards
    }
    overview = drawn(assembly, "overview.webp")
    (folder / FOLDER).mkdir(parents=True)
    for manifest in (overview, *steps.values(), *(m for pair in pairs.values() for m in pair)):
        draw_placeholder(folder / FOLDER / manifest.files["webp"], 80, 60)
    shown = ShownPictures(overview, steps)
    pages = make_proof_pages(assembly, plans, proof, cards, pairs, words, shown, values)
    return Booklet(
        Identity(assembly.name, "IW-80", "", "1", "2031-01-01"),
        (),
        None,
        make_parts_list(assembly, words),
        tuple(make_chapter(plan, {}, blank_values()) for plan in plans),
        (),
        proof=pages,
    )


def write_practice(
    folder: Path,
    *practised: Practised,
    values: Mapping[str, ResolvedValue] | None = None,
    library_href: str = "",
) -> Path:
    """Write the booklet of a head whose order alone is proven."""
    head, plans = practised[0].graph.assembly, tuple(worded(p) for p in practised)
    proof = AssemblyProof(head.name, {p.plan.sequence: p.evidence for p in practised}, None)
    return write_pages(folder, head, plans, proof, values or blank_values(), library_href)


@cache
def coupling_proof() -> tuple[tuple[Plan, ...], AssemblyProof]:
    """Return the coupling's sequences with all their evidence."""
    plans = (plan_of(), backwards(plan_of()))
    found = prove_plans(coupling(), plans, workers=1)
    return plans, AssemblyProof("coupling", {p.sequence: e for p, e in zip(plans, found, strict=True)}, None)


def write_coupling(folder: Path, words: Words = WORDS) -> Path:
    """Write the booklet of the coupling."""
    plans, proof = coupling_proof()
    return write_pages(folder, coupling(), plans, proof, {}, words=words)
