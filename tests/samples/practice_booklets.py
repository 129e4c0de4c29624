"""Booklets of the practice of a real head, for tests of its pages: order and texts are real, no picture is drawn."""

from __future__ import annotations

from pathlib import Path

from benchleaf.sequences.proof.assembly_proof import AssemblyProof
from benchleaf.sequences.steps.plan import Plan
from benchleaf.sequences.values.head_values import blank_values
from benchleaf.site.pages.booklet import Booklet, make_chapter, make_parts_list
from benchleaf.site.pages.pages import Setting, write_booklet
from benchleaf.site.pages.proof_pages import make_proof_pages
from benchleaf.site.pages.view_models import Identity
from benchleaf.site.words.catalogue import load_words
from benchleaf.site.words.plan_words import plan_in_words
from practice_samples import Practised

WORDS = load_words()


def worded(p: Practised) -> Plan:
    """Return the plan of a practice with all its texts; no value is on file."""
    head = p.graph.assembly
    kinds = {part.key: part.kind for part in head}
    return plan_in_words(p.plan, kinds, WORDS, vars(head.options), blank_values())  # type: ignore[attr-defined]


def write_practice(folder: Path, *practised: Practised) -> Path:
    """Write a booklet with the practice of some sequences of one head into ``folder``, and return it."""
    head, plans = practised[0].graph.assembly, tuple(worded(p) for p in practised)
    proof = AssemblyProof(head.name, {p.plan.sequence: p.evidence for p in practised}, None)
    pages = make_proof_pages(head, plans, proof, (), {}, WORDS)
    values = blank_values()
    booklet = Booklet(
        Identity(head.name, "IW-80", "", "1", "2031-01-01"),
        (),
        None,
        make_parts_list(head, WORDS),
        tuple(make_chapter(plan, {}, values) for plan in plans),
        (),
        proof=pages,
    )
    write_booklet(booklet, folder, Setting(WORDS, "Invented Works", False, "2031-01-01"))
    return folder
