"""Elastomers and what they meet, word for word."""

from __future__ import annotations

import pytest
from benchleaf.geometry.engineering.elastomers import (
    FoodContact,
    Role,
    Verdict,
    heat_incompatibility,
    incompatibilities,
    judge,
    matches,
)
from benchleaf.geometry.engineering.topics import Topic
from benchleaf.sequences.steps.elastomer_cautions import elastomer_cautions
from benchleaf.sequences.steps.plan import Caution
from benchleaf.site.words.catalogue import load_words
from benchleaf.site.words.media_words import caution_in_words, food_in_words, hazard_in_words, match_in_words
from benchleaf.site.words.topic_words import topic_in_words

WORDS = load_words("en")
KNOWN = "general knowledge of the trade; the compound's own data sheet or its maker decides.)"


def plain(text: str) -> str:
    return text.replace("\u00a0", " ")


@pytest.mark.parametrize(
    ("elastomer", "medium", "said"),
    [
        ("EPDM", "mineral-grease",
         "EPDM and mineral-oil grease must not meet: it swells and softens in the mineral oil of the grease. "
         "(ASTM D2000, classes by oil swelling (IRM 903 oil))"),
        ("VMQ", "mineral-oil",
         "VMQ bears mineral oil only within limits: it swells markedly in mineral oil (classes FC, FE, GE, 80 to "
         "120 %). (ASTM D2000, classes by oil swelling (IRM 903 oil))"),
        ("ptfe-encapsulated", "ketone", None),
    ],
)  # fmt: skip
def test_a_judgement_word_for_word(elastomer: str, medium: str, said: str | None) -> None:
    found = match_in_words(judge(elastomer, medium), WORDS)
    free = "Nothing general speaks against PTFE-encapsulated rubber with ketones: "
    assert found == said if said else found.startswith(free)


def test_every_judgement_has_a_reason_of_its_own() -> None:
    for (elastomer, medium), match in matches().items():
        reason = WORDS(f"medium_reason.{medium}.{elastomer}")
        assert len(reason.split()) >= 3
        assert not reason.endswith(".")
        said = match_in_words(match, WORDS)
        assert WORDS(f"elastomer.{elastomer}") in said
        assert WORDS(f"medium.{medium}") in said
        assert said.endswith(f": {reason}. ({topic_in_words(match.source, WORDS)})")


def caution(elastomer: str, **met: object) -> Caution:
    (raised,) = elastomer_cautions(elastomer, **met)  # type: ignore[arg-type]
    return caution_in_words(raised.caution, WORDS)


AVOIDANCE: dict[tuple[Verdict, Role], str] = {
    ("must not meet", "lubricant"):
        "Use only the lubricant that the pump's maker names for EPDM; wipe off any other first.",
    ("must not meet", "product"):
        "Do not run this product on EPDM rings; ask the pump's maker for the elastomer that suits.",
    ("must not meet", "cleaning"):
        "Do not clean this pump with it; ask the pump's maker which agent, strength and temperature it bears.",
    ("limited", "lubricant"):
        "Have the ring's maker agree to this lubricant in writing, or use one that suits.",
    ("limited", "product"):
        "Have the ring's maker agree to this product and its temperature in writing; look at the rings often.",
    ("limited", "cleaning"):
        "Keep to the strength, temperature and time that the pump's maker allows; look at the rings often.",
}  # fmt: skip
CONSEQUENCE: dict[Role, str] = {
    "lubricant": "The rings swell, are cut in fitting or leave their grooves, leak or shed rubber into the product.",
    "product": "The rings fail in service, leak, and shed rubber into the product.",
    "cleaning": "The rings harden, crack or swell, leak after some cleanings, and shed rubber into the product.",
}


@pytest.mark.parametrize(("verdict", "role"), AVOIDANCE)
def test_a_caution_says_hazard_consequence_and_avoidance(verdict: Verdict, role: Role) -> None:
    medium = next(m for (e, m), match in matches().items() if e == "EPDM" and match.verdict == verdict)
    met: dict[str, object] = {role: medium if role == "lubricant" else [medium]}
    said = caution("EPDM", **met)
    (meeting,) = incompatibilities(
        "EPDM",
        medium if role == "lubricant" else None,
        [medium] * (role == "product"),
        [medium] * (role == "cleaning"),
    )
    assert said.hazard == hazard_in_words(meeting, WORDS)
    source = topic_in_words(meeting.source, WORDS)
    assert match_in_words(judge("EPDM", medium), WORDS) == f"{said.hazard} ({source})"
    assert said.consequence == CONSEQUENCE[role]
    assert said.avoidance.startswith(f"{AVOIDANCE[verdict, role]} (")
    assert said.avoidance.endswith(f"; {KNOWN}")


def test_too_much_heat_word_for_word() -> None:
    said = caution("NBR", process_c=120.0)
    assert plain(said.hazard) == "120 °C is above the 100 °C at which NBR is heat-aged for 70 hours."
    assert said.consequence == "The rings harden, take a set and leak."
    assert said.avoidance == (
        "Keep below the temperature that the ring's maker allows; it is lower still for long service. "
        f"(ASTM D2000, temperature types by heat ageing for 70 h; {KNOWN}"
    )
    heat = heat_incompatibility("NBR", 120.0)
    assert heat is not None
    assert hazard_in_words(heat, WORDS) == said.hazard


def test_a_caution_with_words_of_its_own_keeps_them() -> None:
    own = Caution("own", "NOTICE", "H.", "C.", "A.", "contamination")
    assert caution_in_words(own, WORDS) is own


def test_food_contact_is_asked_for_and_never_assumed() -> None:
    assert food_in_words(FoodContact(), WORDS) == (
        "Lubricants: food-contact registration not given. Ask the supplier for it: product name, category, number, "
        "date."
    )
    assert food_in_words(FoodContact("category H1"), WORDS) == (
        "Lubricants: 'category H1' is given without its source; ask for the certificate and its number."
    )
    paper = Topic("source.on_file", document="certificate", revision="", table="", page="", date="2024-05-02")
    assert food_in_words(FoodContact("category H1, no. 000000", paper), WORDS) == (
        "Lubricants: category H1, no. 000000 (source: certificate; 2024-05-02)."
    )
