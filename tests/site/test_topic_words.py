"""Topics, limits and amounts in words."""

from __future__ import annotations

import doctest

import pytest
from benchleaf.geometry.engineering.figures import Figure, Limit, with_span
from benchleaf.geometry.engineering.materials import material
from benchleaf.geometry.engineering.preload import strength
from benchleaf.geometry.engineering.springs.disc_springs import DiscSpring, force_figures
from benchleaf.geometry.engineering.topics import SIZE, Topic
from benchleaf.site.words import topic_words as module
from benchleaf.site.words.catalogue import load_words
from benchleaf.site.words.topic_words import limit_in_words, topic_in_words, value_of_figure

WORDS = load_words("en")


def plain(text: str) -> str:
    return text.replace("\u00a0", " ").replace("\u202f", " ")


def test_examples_in_the_docstrings_hold() -> None:
    assert doctest.testmod(module).failed == 0


@pytest.mark.parametrize(
    ("topic", "said"),
    [
        (Topic("figure.gap_rss", gap="radial"), "Half span, radial clearance, tip to bore"),
        (
            Topic("figure.squeeze_hot", gland="relief_oring", elastomer="ptfe-encapsulated", process_c=95.0),
            "Squeeze, relief piston O-ring, PTFE-encapsulated rubber at 95 °C",
        ),
        (Topic("figure.preload_compared", threads="anti-seize"), "Preload, threads with anti-seize paste, to compare"),
        (Topic("figure.kept.plain_settled", settling_um=20.0), "Preload kept without a spring, 20 µm"),
        (Topic("figure.mass", part="body_screw"), "Mass of one body screw"),
        (
            Topic("figure.reading_of", method="torque-wrench", value="cover_nut_torque"),
            "Uncertainty of a reading, torque wrench: cover nut torque",
        ),
        (
            Topic("figure.share", value="radial_clearance", method="feeler-radial"),
            "Share of the band that the error takes, radial clearance, rotor to body, feeler gauge in the radial gap",
        ),
        (Topic("input.half_tolerance", dimension="tip_radius"), "half tolerance of rotor, tip radius"),
        (
            Topic("input.rise", room_c=20.0, temperature="gear_case"),
            "rise of temperature from 20 °C (gear case)",
        ),
        (
            Topic("source.assumed_grade_toleranced", grade=7, standard="ISO 286-1", upper_mm=0.015, lower_mm=-0.015),
            "this size; IT7 of ISO 286-1 assumed; tolerance +0.015/-0.015 mm",
        ),
        (
            Topic("derivation.sampled", draws=100_000, seed="20231"),
            "100 000 heads drawn with seed 20231, each dimension normal with three standard deviations to each end of "
            "its tolerance",
        ),
        (Topic("span.sample", percent=99.73), "99.73 % of the sample"),
        (Topic("limit.squeeze.axial", section_mm=3.53), "static, axial, section 3.53 mm"),
        (Topic("limit.condition", words="the owner's own"), "the owner's own"),
        (Topic("sheet.gland", part="hub_oring"), "Rotor hub O-ring"),
        (material("VMQ").expansion_input("e").topic, "linear expansion: VMQ (silicone rubber)"),
        (
            material("VMQ").expansion_input("e").source,
            "Callister, appendix B, table B.6 (270), with the scatter usual in general tables; span 230 to 300",
        ),
        (material("carbon").density_input("ρ").source,
         "graphite 1710 to 1780, Callister, appendix B, impregnation added"),
        (strength("duplex").source, "EN 10088-3, 1.4462 bars, solution annealed, 0.2 % yield"),
        (strength("8.8").source, "ISO 898-1, proof stress up to M16"),
    ],
)  # fmt: skip
def test_a_topic_is_called_by_its_facts(topic: Topic, said: str) -> None:
    assert plain(topic_in_words(topic, WORDS)) == said


@pytest.mark.parametrize(
    ("low", "high", "unit", "said"),
    [
        (15.0, 30.0, "%", "15.0 to 30.0 %"),
        (None, 0.2, "mm", "0.200 mm at most"),
        (0.1, None, "mm", "0.100 mm at least"),
    ],
)
def test_a_limit_says_what_it_allows(low: float | None, high: float | None, unit: str, said: str) -> None:
    assert plain(limit_in_words(Limit(low, high, unit, SIZE), WORDS)) == said


def test_a_limit_open_on_both_sides_has_no_words() -> None:
    with pytest.raises(ValueError, match="open on both sides"):
        limit_in_words(Limit(None, None, "mm", SIZE), WORDS)


def test_a_span_is_told_where_print_can_tell_it() -> None:
    _, force = force_figures(DiscSpring(50, 25.4, 3, 1.1), 0.83)
    assert plain(value_of_figure(force, WORDS)) == "12 040 N"
    wide = with_span(force, [{"t": 2.99}], Topic("span.ring"))
    assert plain(value_of_figure(wide, WORDS)) == "12 040 N (11 930 to 12 040 N)"
    area = Figure("a", Topic("figure.stress_area"), "A", 57.99, "mm²", "", (), SIZE, low=56.65, high=60.64)
    assert plain(value_of_figure(area, WORDS)) == "57.99 mm² (56.65 to 60.64 mm²)"
