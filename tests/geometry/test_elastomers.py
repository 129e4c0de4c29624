"""Elastomers and media: the table is whole, says what is known of old, and never clears what it does not know."""

from __future__ import annotations

import doctest

import pytest
from benchleaf.geometry.engineering import elastomers
from benchleaf.geometry.engineering.elastomers import (
    HEAT_C,
    HEAT_SOURCE,
    FoodContact,
    heat_incompatibility,
    incompatibilities,
    judge,
    matches,
    media,
)
from benchleaf.geometry.engineering.materials import ELASTOMERS
from benchleaf.geometry.engineering.topics import Topic
from hypothesis import given
from hypothesis import strategies as st


def test_examples_in_the_docstrings_hold() -> None:
    assert doctest.testmod(elastomers).failed == 0


def test_every_elastomer_is_judged_with_every_medium() -> None:
    assert len(matches()) == 156
    assert set(matches()) == {(e, m) for e in ELASTOMERS for m in media()}
    assert {m.role for m in media().values()} == {"lubricant", "product", "cleaning"}


def test_every_judgement_names_an_open_work() -> None:
    for match in matches().values():
        assert match.source.key.startswith("source.media.")
        assert len(str(match.source["work"])) > 5
    for medium in media():
        assert any(judge(e, medium).verdict == "suits" for e in ELASTOMERS), medium


@pytest.mark.parametrize(
    ("elastomer", "medium"),
    # what every handbook of seals agrees on
    [
        ("EPDM", "mineral-oil"), ("EPDM", "mineral-grease"), ("EPDM", "petroleum-jelly"), ("EPDM", "white-oil"),
        ("EPDM", "synthetic-hydrocarbon"), ("EPDM", "aliphatic-hydrocarbon"), ("NBR", "ozone"), ("NBR", "steam"),
        ("NBR", "ketone"), ("VMQ", "silicone-grease"), ("VMQ", "steam"), ("FKM", "ketone"), ("FKM", "steam"),
        ("FKM", "strong-caustic"), ("FKM", "amine"),
    ],
)  # fmt: skip
def test_pairs_that_must_not_meet(elastomer: str, medium: str) -> None:
    assert judge(elastomer, medium).verdict == "must not meet"


@pytest.mark.parametrize(
    ("elastomer", "medium"),
    [
        ("FKM", "mineral-oil"), ("NBR", "mineral-grease"), ("EPDM", "silicone-grease"), ("EPDM", "steam"),
        ("EPDM", "caustic-cleaner"), ("EPDM", "ketone"), ("FKM", "silicone-grease"), ("FFKM", "ketone"),
        ("FFKM", "mineral-oil"), ("ptfe-encapsulated", "ketone"), ("VMQ", "ozone"),
    ],
)  # fmt: skip
def test_pairs_that_nothing_general_speaks_against(elastomer: str, medium: str) -> None:
    assert judge(elastomer, medium).verdict == "suits"


def test_oil_judgements_follow_the_classes_of_oil_swelling() -> None:
    """ASTM D2000: letter for swelling in IRM 903 oil; A sets no limit, K allows 10 %."""
    swelling = {"EPDM": None, "VMQ": 80, "NBR": 10, "FKM": 10}
    for elastomer, percent in swelling.items():
        verdict = judge(elastomer, "mineral-oil").verdict
        assert verdict == ("must not meet" if percent is None else "limited" if percent >= 40 else "suits")


def test_a_row_that_combines_what_must_not_meet_raises_its_caution() -> None:
    found = incompatibilities(
        "EPDM", "mineral-grease", ["fats-and-vegetable-oils"], ["caustic-cleaner", "steam"]
    )
    assert [(c.role, c.verdict) for c in found] == [("lubricant", "must not meet"), ("product", "limited")]
    first = found[0]
    assert (first.elastomer, first.medium, first.heat_c) == ("EPDM", "mineral-grease", None)
    assert first.source == Topic("source.media.oil_swelling", work="ASTM D2000")


def test_taking_the_cause_away_takes_the_caution_away() -> None:
    assert incompatibilities("EPDM", "mineral-grease") != ()
    assert incompatibilities("EPDM", "silicone-grease") == ()
    assert incompatibilities("FKM", "mineral-grease") == ()
    assert incompatibilities("EPDM") == ()


@given(
    st.sampled_from(ELASTOMERS),
    st.none() | st.sampled_from(sorted(media())),
    st.lists(st.sampled_from(sorted(media())), max_size=4),
    st.lists(st.sampled_from(sorted(media())), max_size=4),
)
def test_every_doubt_is_raised_once_and_the_worst_comes_first(
    elastomer: str, lubricant: str | None, product: list[str], cleaning: list[str]
) -> None:
    found = incompatibilities(elastomer, lubricant, product, cleaning)
    met = ([lubricant] if lubricant else []) + product + cleaning
    assert len(found) == sum(judge(elastomer, m).verdict != "suits" for m in met)
    order = [c.verdict for c in found]
    assert order == sorted(order, key=lambda v: v != "must not meet")
    assert {c.medium for c in found} == {m for m in met if judge(elastomer, m).verdict != "suits"}
    assert all(c.source == judge(elastomer, c.medium).source for c in found)


def test_heat_beyond_the_class_is_told() -> None:
    for elastomer, most in HEAT_C.items():
        assert heat_incompatibility(elastomer, most) is None
        hot = heat_incompatibility(elastomer, most + 1)
        assert hot is not None
        assert (hot.heat_c, hot.medium, hot.verdict) == (most + 1, "", "must not meet")
        assert hot.source == HEAT_SOURCE
    assert heat_incompatibility("FFKM", 300) is None


def test_unknown_names_are_answered_with_the_nearest() -> None:
    with pytest.raises(KeyError, match=r"no class of media 'mineral grease'; did you mean mineral-grease\?"):
        incompatibilities("EPDM", "mineral grease")
    with pytest.raises(KeyError, match=r"no elastomer 'epdm'; did you mean EPDM\? Known are FKM, EPDM"):
        judge("epdm", "water")
    with pytest.raises(KeyError, match="no elastomer 'leather'"):
        heat_incompatibility("leather", 50)


def test_food_contact_is_shown_by_a_sourced_fact_alone() -> None:
    paper = Topic("source.on_file", document="certificate")
    assert not FoodContact().shown
    assert not FoodContact("category H1").shown
    assert not FoodContact("", paper).shown
    assert FoodContact("category H1, no. 000000", paper).shown
