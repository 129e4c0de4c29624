"""Topics: typed facts that can be compared, kept in sets and looked up."""

from __future__ import annotations

import doctest
import pickle

import pytest
from benchleaf.geometry.engineering import topics
from benchleaf.geometry.engineering.topics import Topic


def test_examples_in_the_docstrings_hold() -> None:
    assert doctest.testmod(topics).failed == 0


def test_topics_are_equal_by_key_and_facts() -> None:
    hot = Topic("figure.gap_hot", gap="front", process_c=95.0)
    assert hot == Topic("figure.gap_hot", gap="front", process_c=95.0)
    assert (
        len({hot, Topic("figure.gap_hot", gap="front", process_c=96.0), Topic("figure.gap", gap="front")})
        == 3
    )
    assert pickle.loads(pickle.dumps(hot)) == hot, "heads go to workers"


def test_a_fact_that_is_not_there_is_named() -> None:
    with pytest.raises(KeyError, match="gland"):
        Topic("figure.gap", gap="front")["gland"]


def test_another_key_keeps_the_facts() -> None:
    assert Topic("a", gap="front").with_key("b", key="x") == Topic("b", gap="front", key="x")
