"""What speaks against a head's data, word for word."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from benchleaf.sequences.calculations.doubts import Doubt, SpringIdle
from benchleaf.sequences.calculations.load_fleet import load_fleet
from benchleaf.sequences.calculations.plausibility import doubts
from benchleaf.site.words.catalogue import load_words
from benchleaf.site.words.doubt_words import doubt_in_words, doubt_sentence
from doubted_fleets import DOUBTED, fleet, head, value

WORDS = load_words("en")


def plain(text: str) -> str:
    return text.replace("\u00a0", " ").replace("\u202f", " ")


@pytest.fixture(scope="module")
def told(tmp_path_factory: pytest.TempPathFactory) -> dict[str, list[str]]:
    """Tag to what is said against each of the doubted heads, and against one that heat moves out of its limit."""
    warm = head(
        "WARM", value("radial_clearance", "range: [0.06, 0.09], unit: mm"), process_temperature_c="120"
    )
    wide = head("WIDE", process_temperature_c="390", rotor_metal="316L", elastomer="FFKM")
    file: Path = tmp_path_factory.mktemp("doubted") / "fleet.yaml"
    file.write_text(fleet(*DOUBTED, warm, wide), "utf-8")
    loaded = load_fleet(file, ())
    return {h.tag: [plain(doubt_sentence(d, WORDS)) for d in doubts(h)] for h in loaded.heads}


@pytest.mark.parametrize(
    ("tag", "said"),
    [
        ("GAP",
         "Front clearance: 0.120 mm by the dimensions, 0.063 mm to 0.176 mm with all tolerances at their ends. "
         "Outside the limit of 0.300 to 0.400 mm (Manual, table 7; 2031-01-01). The limit or a dimension of the size "
         "is wrong; one not given is a proportion."),
        ("GAP",
         "Radial clearance, rotor to body, 0.075 to 0.085 mm (0.00296 to 0.00334 in): this method (±0.019 mm) is too "
         "coarse for these limits, its error is more than a third of the band between them. Take a finer method, or "
         "ask the responsible engineer."),
        ("SPRING",
         "Disc spring, least free height, 9.5 mm (0.375 in), is more than the free height of this size's disc spring, "
         "2.150 mm. One of the two is wrong: check the value, and give the size its measured height."),
        ("SPRING",
         "Wave spring, least free height, 2.0 mm (0.0788 in), is not above the height that this size's wave spring "
         "works at, 4.000 mm. One of the two is wrong: check the value, and give the size its measured height."),
        ("MEDIA",
         "EPDM and mineral-oil grease must not meet: it swells and softens in the mineral oil of the grease."),
        ("MEDIA", "160 °C is above the 150 °C at which EPDM is heat-aged for 70 hours."),
        ("WARM",
         "At 120 °C radial clearance, tip to bore opens by 59 µm, to 0.139 mm. Outside the limit of 0.060 to 0.090 mm "
         "(Manual, table 7; 2031-01-01). The limit is read as one for the cold head."),
        ("TOUCH", "Shaft O-ring: at 390 °C the FFKM ring is squeezed by 27.0 %, outside the allowed 14.0 to 25.0 %."),
        ("TOUCH",
         "Cover O-ring: at 390 °C the FFKM ring fills 101.3 % of its gland, outside the allowed 100.0 % at most."),
    ],
)  # fmt: skip
def test_each_doubt_word_for_word(told: dict[str, list[str]], tag: str, said: str) -> None:
    assert said in told[tag]


def test_a_torque_is_doubted_with_its_name(told: dict[str, list[str]]) -> None:
    (low,) = [t for t in told["LOW"] if "torque" in t.split(":")[0]]
    assert low.startswith("Rotor nut torque: 2 N·m (1.48 lbf·ft) gives ")
    named = [re.split(r": ", text)[0] for text in told["HIGH"]]
    assert sorted(n for n in named if n.endswith("torque")) == [
        "Body screw torque",
        "Rotor nut torque",
    ]


def test_a_part_that_does_not_bear_its_load_is_told_with_its_limit(told: dict[str, list[str]]) -> None:
    (cover,) = [t for t in told["WEAK"] if t.startswith("Bending stress in the cover")]
    assert re.fullmatch(
        r"Bending stress in the cover: \d+\.\d MPa, where the limit is 133\.3 MPa at most \(EN 10088-3, 1\.4404 bars, "
        r"solution annealed, 0\.2 % yield\)\. Check what loads it and its dimensions; one not given is a proportion\.",
        cover,
    )


def test_a_gap_that_may_close_is_told_with_its_span(told: dict[str, list[str]]) -> None:
    (mesh,) = [t for t in told["WIDE"] if "can touch" in t and "between the rotors" in t]
    assert re.fullmatch(
        r"Clearance between the rotors, tip to hub at 390 °C: −?0\.\d{3} mm \(−0\.\d{3} to −?0\.\d{3} mm\)\. "
        r"The parts can touch\.",
        mesh,
    )


def test_a_spring_that_does_not_work() -> None:
    doubt = Doubt("P-1", "spring", SpringIdle("flat"), sheet="disc-spring")
    said = doubt_in_words(doubt, WORDS)
    assert (said.tag, said.kind, said.sheet) == ("P-1", "spring", "disc-spring")
    assert said.sentence == (
        "The disc spring does not work as a spring in this nut, even the right way round."
    )
