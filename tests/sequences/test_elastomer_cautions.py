"""Messages from what a head's elastomers meet."""

from __future__ import annotations

import doctest

import pytest
from benchleaf.geometry.engineering.elastomers import (
    HEAT_C,
    heat_incompatibility,
    incompatibilities,
)
from benchleaf.geometry.engineering.materials import ELASTOMERS
from benchleaf.sequences.steps import elastomer_cautions as media
from benchleaf.sequences.steps.elastomer_cautions import elastomer_cautions


def test_examples_in_docstrings() -> None:
    assert doctest.testmod(media).failed == 0


def test_nothing_known_raises_nothing() -> None:
    for elastomer in ELASTOMERS:
        if elastomer != media.ENCAPSULATED:
            assert elastomer_cautions(elastomer) == ()


def test_a_combination_taken_away_and_put_back() -> None:
    with_oil = elastomer_cautions("EPDM", lubricant="mineral-grease")
    assert [r.caution.signal_word for r in with_oil] == ["NOTICE"]
    assert elastomer_cautions("EPDM", lubricant="silicone-grease") == ()
    assert elastomer_cautions("NBR", lubricant="mineral-grease") == ()
    assert elastomer_cautions("EPDM", lubricant="mineral-grease") == with_oil


def test_an_encapsulated_cover_ring_is_judged_by_itself() -> None:
    found = elastomer_cautions("EPDM", "ptfe-encapsulated", lubricant="mineral-grease")
    assert len(found) == 1
    assert "cover_oring" not in found[0].kinds
    solid = elastomer_cautions("EPDM", "solid", lubricant="mineral-grease")
    assert "cover_oring" in solid[0].kinds


def test_heat_above_the_class_is_raised() -> None:
    limit = HEAT_C["NBR"]
    assert elastomer_cautions("NBR", process_c=limit) == ()
    (raised,) = elastomer_cautions("NBR", process_c=limit + 1)
    assert raised.caution.meeting == heat_incompatibility("NBR", limit + 1)
    assert raised.caution.id == "media_nbr_heat"


def test_a_message_carries_what_meets_and_no_words() -> None:
    (raised,) = elastomer_cautions("EPDM", lubricant="mineral-grease")
    caution = raised.caution
    assert (caution.hazard, caution.consequence, caution.avoidance) == ("", "", "")
    assert (caution.meeting,) == incompatibilities("EPDM", "mineral-grease")


def test_ids_differ_and_are_words() -> None:
    found = elastomer_cautions(
        "EPDM", product=["essential-oils", "aliphatic-hydrocarbon"], lubricant="white-oil"
    )
    ids = [r.caution.id for r in found]
    assert len(set(ids)) == len(ids) == 3
    assert all(i == i.lower() and "__" not in i for i in ids)


def test_an_unknown_medium_is_named() -> None:
    with pytest.raises(KeyError, match="did you mean mineral-grease"):
        elastomer_cautions("EPDM", lubricant="mineral-greas")
