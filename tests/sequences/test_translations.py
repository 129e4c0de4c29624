"""A sequence in another language: other words, the same steps, messages and keys: nothing is proven or drawn anew."""

from __future__ import annotations

import pickle
from dataclasses import fields, replace

import pytest
from benchleaf.geometry.dimensions.options import Options
from benchleaf.geometry.dimensions.parts_list import part_kinds
from benchleaf.render.engine.camera import sensible_views
from benchleaf.render.pictures.picture_keys import picture_jobs, step_key, views_key
from benchleaf.sequences.files.said import Translation, english
from benchleaf.sequences.files.spoken import spoken_texts
from benchleaf.sequences.proof.evidence_keys import evidence_key
from benchleaf.sequences.reach.kept_reach import reach_key
from benchleaf.sequences.steps.plan import Plan
from benchleaf.sequences.steps.resolve import resolve
from benchleaf.sequences.steps.sequence_file import SHIPPED, load_sequence
from benchleaf.sequences.texts.translations import sequence_said
from picture_sizes import SMALL
from sample_assembly import sample_assembly

PARTS = part_kinds(Options(seal="double", cover="relief"))
TEXT_FIELDS = {
    "title",
    "acts",
    "look",
    "measure",
    "why",
    "tools",
    "supplies",
    "cautions",
    "reminders",
    "claims",
}


def say(text: str) -> str:
    """Return a text in a language that shares no word with English."""
    return Translation(
        text.translate({ord(c): 0x3B1 + n for n, c in enumerate("abcdefghijklmnopqrstuvwxyz")}), text
    )


def plans(kind: str) -> tuple[Plan, Plan]:
    sequence = load_sequence(kind)
    options = Options(seal="double", cover="relief")
    return resolve(sequence, options, PARTS), resolve(sequence_said(sequence, say), options, PARTS)


@pytest.mark.parametrize("kind", SHIPPED)
def test_plans_differ_in_words_alone(kind: str) -> None:
    """Messages that a tool's English name brings come in every language."""
    plain, said = plans(kind)
    assert [s.id for s in said.steps] == [s.id for s in plain.steps]
    for one, other in zip(plain.steps, said.steps, strict=True):
        assert [c.id for c in one.messages] == [c.id for c in other.messages]
        rest = [f.name for f in fields(one) if f.name not in TEXT_FIELDS]
        assert [getattr(one, n) for n in rest] == [getattr(other, n) for n in rest]
        assert one.title != other.title
        assert english(other.title) == one.title
    assert said.title == say(plain.title)
    assert {english(t) for t in said.unit_titles.values()} == set(plain.unit_titles.values())


@pytest.mark.parametrize("kind", SHIPPED)
def test_no_key_of_proof_reach_or_picture_knows_the_language(kind: str) -> None:
    plain, said = plans(kind)
    assembly = replace(sample_assembly(), made_from="a" * 64)
    assert evidence_key(assembly, plain, 0.01).digest == evidence_key(assembly, said, 0.01).digest
    assert reach_key("a" * 64, plain).digest == reach_key("a" * 64, said).digest
    assert views_key("b" * 64, SMALL, plain, {}).digest == views_key("b" * 64, SMALL, said, {}).digest
    views = [sensible_views((0.0, 0.0, 1.0), (0.0, 1.0, 0.0))[0]] * len(plain.steps)
    keys = [
        [step_key("b" * 64, SMALL, *job).digest for job in picture_jobs(plan, views, {})]
        for plan in (plain, said)
    ]
    assert keys[0] == keys[1]


def test_the_words_of_a_sequence_are_all_said() -> None:
    said = sequence_said(load_sequence("assembly"), say)
    texts = [t for _, t in spoken_texts(said.text)]
    texts += [t for entry in said.catalogue.entries.values() for _, t in spoken_texts(entry)]
    assert len(texts) > 700
    assert all(isinstance(t, Translation) for t in texts)
    alike = [t for t in texts if isinstance(t, Translation) and t == t.english]
    assert not any(c.islower() for t in alike for c in t.english)


def test_a_translation_travels_with_its_english() -> None:
    text = pickle.loads(pickle.dumps(Translation("Ring", "ring")))
    assert (text, english(text), english("bare")) == ("Ring", "ring", "bare")
