"""The catalogue of safety messages, a fleet's own ones, and what brings a message by itself."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from benchleaf.geometry.dimensions.options import Options
from benchleaf.geometry.dimensions.parts_list import part_kinds
from benchleaf.sequences.files.faults import FaultsFound
from benchleaf.sequences.steps.cautions import SEVERITY, Catalogue, Subject, by_severity, load_cautions
from benchleaf.sequences.steps.sequence_file import CHECKLISTS, SHIPPED, load_sequence
from benchleaf.sequences.upkeep.upkeep_file import load_upkeep

HAZARDS = {
    "pressure",
    "unexpected start",
    "hot surface",
    "chemical",
    "pinch and shear",
    "weight",
    "sharp edge",
    "slipping tool",
    "compressed air",
    "contamination",
}
"""Kinds of hazard that a fluid head always has."""


@pytest.fixture(scope="module")
def catalogue() -> Catalogue:
    return load_cautions()


def test_every_kind_of_hazard_has_a_message(catalogue: Catalogue) -> None:
    assert {e.hazard_kind for e in catalogue.entries.values()} >= HAZARDS


def test_signal_words_say_what_they_mean(catalogue: Catalogue) -> None:
    injury = re.compile(r"\b(injur\w*|death|kill\w*|burn\w*|blind|scald|crush\w*|cut off|bruise\w*)\b", re.I)
    for e in catalogue.entries.values():
        text = f"{e.hazard} {e.consequence}"
        if e.signal_word == "DANGER":
            assert re.search(r"\bwill\b", e.consequence), e.id
        elif e.signal_word in ("WARNING", "CAUTION"):
            assert re.search(r"\bcould\b", e.consequence), e.id
            assert not re.search(r"\bwill\b", e.consequence), e.id
        else:
            assert not injury.search(text), e.id


def test_messages_are_sentences(catalogue: Catalogue) -> None:
    for e in catalogue.entries.values():
        for part in (e.hazard, e.consequence, e.avoidance):
            assert part[0].isupper(), (e.id, part)
            assert part.endswith("."), (e.id, part)
            assert len(part) < 260, (e.id, part)


def test_every_message_is_used_or_brought(catalogue: Catalogue) -> None:
    used = {e.id for e in catalogue.entries.values() if e.brought_by}
    for name in (*SHIPPED, *CHECKLISTS):
        text = load_sequence(name).text
        for named in (text.cautions, *(s.cautions for s in text.sections), *(s.cautions for s in text.steps)):
            used |= {n.name for n in named}
    used |= {name for names in load_upkeep().pages.values() for name in names}
    assert set(catalogue.entries) == used


def test_gravest_first_and_once(catalogue: Catalogue) -> None:
    ids = ["seal_faces", "lock_out", "sharp_edges", "hot_parts", "seal_faces", "lock_out"]
    messages = by_severity(catalogue[i] for i in ids)
    assert [m.id for m in messages] == ["lock_out", "hot_parts", "sharp_edges", "seal_faces"]
    assert [m.signal_word for m in messages] == list(SEVERITY)


BASE = frozenset(part_kinds(Options()).values())


@pytest.mark.parametrize(
    ("caution", "at", "with_it", "without"),
    [
        (
            "compressed_air",
            "step",
            Subject("assembly", Options(), staged=("compressed air",)),
            Subject("assembly", Options(), staged=("lint-free cloths",)),
        ),
        (
            "hot_jacket",
            "step",
            Subject("assembly", Options(cover="jacketed"), frozenset({"cover"})),
            Subject("assembly", Options(), frozenset({"cover"})),
        ),
        (
            "hot_jacket",
            "step",
            Subject("assembly", Options(cover="jacketed"), frozenset({"cover"})),
            Subject("assembly", Options(cover="jacketed"), frozenset({"rotor"})),
        ),
        (
            "hot_jacket",
            "front",
            Subject("assembly", Options(cover="jacketed")),
            Subject("assembly", Options()),
        ),
        (
            "trapped_flush",
            "front",
            Subject("assembly", Options(seal="double")),
            Subject("assembly", Options()),
        ),
        (
            "relief_spring_load",
            "front",
            Subject("assembly", Options(cover="relief")),
            Subject("assembly", Options()),
        ),
        (
            "relief_spring_load",
            "step",
            Subject("assembly", Options(cover="relief"), moving=frozenset({"relief_cap"})),
            Subject("assembly", Options(cover="relief"), moving=frozenset({"cover_nut"})),
        ),
        (
            "trapped_in_relief",
            "step",
            Subject("disassembly", Options(cover="relief"), moving=frozenset({"relief_piston"})),
            Subject("assembly", Options(cover="relief"), moving=frozenset({"relief_piston"})),
        ),
        (
            "heavy_part",
            "step",
            Subject("assembly", Options(), over_limit=True),
            Subject("assembly", Options(), over_limit=False),
        ),
        (
            "oring_ptfe",
            "step",
            Subject("assembly", Options(cover_oring="ptfe-encapsulated"), moving=frozenset({"cover_oring"})),
            Subject("assembly", Options(), moving=frozenset({"cover_oring"})),
        ),
        (
            "cip_flow",
            "front",
            Subject("inspection", Options(cleaning_in_place=True)),
            Subject("inspection", Options()),
        ),
        (
            "slipping_wrench",
            "step",
            Subject("assembly", Options(), staged=("torque wrench",)),
            Subject("assembly", Options(), staged=("open wrench",)),
        ),
        (
            "soft_block",
            "step",
            Subject("assembly", Options(), staged=("soft block",)),
            Subject("assembly", Options(), staged=()),
        ),
        (
            "disc_spring_reversed",
            "step",
            Subject("assembly", Options(), moving=frozenset({"disc_spring"})),
            Subject("assembly", Options(), moving=frozenset({"spring_retaining_oring"})),
        ),
    ],
)
def test_a_condition_brings_its_message_and_its_absence_takes_it_away(
    catalogue: Catalogue, caution: str, at: str, with_it: Subject, without: Subject
) -> None:
    assert caution in catalogue.brought(at, with_it)  # type: ignore[arg-type]
    assert caution not in catalogue.brought(at, without)  # type: ignore[arg-type]


OWN = """\
cautions:
  - id: dust
    signal_word: WARNING
    hazard_kind: chemical
    hazard: Milk powder dust.
    consequence: It could ignite and burn people near it.
    avoidance: Keep sparks away.
    brought_by:
      - {touching: rotor, at: step}
"""


def test_a_fleets_own_message_joins_the_catalogue(tmp_path: Path) -> None:
    (tmp_path / "own.yaml").write_text(OWN)
    joined = load_cautions(tmp_path / "own.yaml")
    assert joined["dust"].hazard == "Milk powder dust."
    assert "dust" in joined.brought("step", Subject("assembly", Options(), frozenset({"rotor"})))
    assert "dust" not in load_cautions()


def test_every_mistake_in_own_messages_has_its_place(tmp_path: Path) -> None:
    text = (
        OWN.replace("id: dust", "id: lock_out").replace("touching: rotor", "touching: roter")
        + """\
  - id: Big Dust
    signal_word: ATTENTION
    hazard_kind: chemical
    hazard: x
    consequence: It burns.
    avoidance: z
  - id: soft
    signal_word: DANGER
    hazard_kind: dust
    hazard: x
    consequence: It could burn.
"""
    )
    (tmp_path / "own.yaml").write_text(text)
    with pytest.raises(FaultsFound) as caught:
        load_cautions(tmp_path / "own.yaml")
    found = [(f.line, f.column, f.found) for f in caught.value.faults]
    assert found == [
        (2, 9, "the id lock_out a second time"),
        (9, 20, "'roter'"),
        (10, 9, "'Big Dust'"),
        (11, 18, "'ATTENTION'"),
        (16, 5, "no avoidance"),
        (18, 18, "'dust'"),
        (20, 18, "It could burn."),
    ]
    assert caught.value.faults[2].fix == "write big_dust"


def test_signal_word_and_consequence_must_agree(tmp_path: Path) -> None:
    text = OWN.replace("WARNING", "DANGER").replace("touching: rotor", "touching: roter")
    (tmp_path / "own.yaml").write_text(text)
    with pytest.raises(FaultsFound) as caught:
        load_cautions(tmp_path / "own.yaml")
    said, kind = caught.value.faults
    assert (said.line, said.column) == (6, 18)
    assert said.allowed == "a DANGER says what will happen"
    assert (kind.line, kind.column, kind.fix) == (9, 20, "write rotor")
