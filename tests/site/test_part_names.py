"""How parts are called in sentences: by number, side and kind, counted, cut, and a user's own by their own names."""

from __future__ import annotations

import dataclasses
import re

import pytest
from benchleaf.geometry.assembly import Side
from benchleaf.geometry.dimensions.options import Options
from benchleaf.geometry.dimensions.parts_list import KINDS, part_kinds
from benchleaf.geometry.dimensions.size import example_measures, make_size
from benchleaf.geometry.dimensions.stack_up import StackUp
from benchleaf.geometry.parts.body import body_features
from benchleaf.geometry.parts.covers import cover_features
from benchleaf.geometry.parts.gear_case import gear_case_features
from benchleaf.geometry.parts.nuts import nut_features
from benchleaf.geometry.parts.rotors import rotor_features
from benchleaf.geometry.parts.seals import rotating_ring_features, stationary_features
from benchleaf.geometry.parts.shafts import shaft_features
from benchleaf.sequences.steps.plan import Plan
from benchleaf.site.words.catalogue import Words, load_words
from benchleaf.site.words.languages.fallback import stand_in
from benchleaf.site.words.part_names import PartNames, listed, start
from named_parts import bare_part, planned

WORDS = load_words()
FULL = part_kinds(Options(seal="double", cover="relief"))


def side_of(key: str) -> Side | None:
    words = key.split("_")
    return "drive" if "drive" in words else "driven" if "driven" in words else None


PARTS = {key: bare_part(key, kind, side_of(key), KINDS[kind]) for key, kind in FULL.items()}
NAMES = PartNames(WORDS, PARTS)


@pytest.mark.parametrize(
    ("key", "text"),
    [
        ("cover", "cover"),
        ("rotor_drive", "rotor (drive side)"),
        ("cover_nut_3", "cover nut 3"),
        ("seal_pin_driven_2", "anti-rotation pin 2 (driven side)"),
        ("body_dowel_large", "large body dowel"),
        ("shaft_oring_drive", "shaft O-ring (drive side)"),
    ],
)
def test_a_part_is_told_from_its_equals(key: str, text: str) -> None:
    assert NAMES.bare(key) == text
    assert NAMES.the(key) == f"the {text}"


@pytest.mark.parametrize(
    ("keys", "text"),
    [
        ([], "nothing"),
        (["cover"], "the cover"),
        (["cover_nut_3"], "cover nut 3"),
        (["seal_pin_drive_1"], "the anti-rotation pin 1 (drive side)"),
        (["key_drive", "key_driven"], "both keys"),
        (["key_drive", "key_drive"], "the key (drive side)"),
        (["cover_nut_1", "cover_nut_2", "cover_nut_3", "cover_nut_4"], "the 4 cover nuts"),
        (["body_dowel_large", "body_dowel_small"], "the 2 body dowels"),
        (["rotor_drive", "cover", "key_driven"], "the rotor (drive side), the cover and the key (driven side)"),
        (["rotor_drive", "cover", "body", "stud_1", "stud_2", "gear_case"],
         "the rotor (drive side), the cover, the body and 2 more"),
    ],
)  # fmt: skip
def test_several_parts_are_counted_and_a_long_list_is_cut(keys: list[str], text: str) -> None:
    assert NAMES.several(keys) == text


def test_what_travels_is_called_by_its_unit_or_its_parts() -> None:
    plan = Plan(
        "assembly", "A", "x", (), (), units={"nut_unit": ("rotor_nut_drive", "nut_oring_drive")},
        unit_titles={"nut_unit": "Rotor nut, built up"},
    )  # fmt: skip
    names = dataclasses.replace(NAMES, plan=plan)
    unit = planned(0, "rotor_nut_drive", "nut_oring_drive", group="nut_unit")
    loose = planned(1, "cover")
    assert names.moves([unit, loose]) == "the unit “Rotor nut, built up” and the cover"
    assert names.moves_title([unit]) == "Unit “Rotor nut, built up”"
    assert names.moves_title([loose, planned(2, "key_drive")]) == "Cover and key (drive side)"
    assert names.box_title([unit, loose]) == "Rotor nut, built up, cover"
    assert names.unit("seal_unit") == "seal unit", "a unit without a title is called by its key"


def test_features_have_words_and_their_number_behind_them() -> None:
    assert NAMES.feature("keyway 2") == "keyway 2"
    assert NAMES.feature("bore, drive side") == "bore, drive side"
    other = PartNames(
        Words("xx", {"feature.O_ring_groove": "rainure", "naming.numbered": "{part} n° {number}"}), {}
    )
    assert other.feature("O-ring groove") == "rainure"
    assert other.feature("O-ring groove 3") == "rainure n° 3"
    assert other.feature("own slot") == "own slot"


def test_every_feature_of_a_head_has_words_that_can_be_translated() -> None:
    stack = StackUp(make_size("62", example_measures(62.0, "two-wing")), Options(seal="double"))
    found = [
        *body_features(stack), *cover_features(stack), *gear_case_features(stack), *nut_features(stack),
        *rotating_ring_features(stack), *rotor_features(stack), *shaft_features(stack),
        *stationary_features(stack, outer=False), *stationary_features(stack, outer=True),
    ]  # fmt: skip
    keys = {re.sub(r"[^A-Za-z0-9]+", "_", re.sub(r" \d+$", "", f.name)) for f in found}
    assert {k for k in keys if f"feature.{k}" not in WORDS.texts} == set()


def test_every_kind_of_a_head_has_its_trade_name_in_list_and_sentence() -> None:
    assert {k for k in WORDS.texts if k.startswith("part.")} == {f"part.{kind}" for kind in KINDS}
    for kind, name in KINDS.items():
        assert WORDS.part(kind, "") == name
        assert start(NAMES.kind(kind)) == name.partition(" (")[0], "the list may add a second usual name"
        assert NAMES.kind(kind, count=2) != NAMES.kind(kind)


def test_own_parts_keep_their_names_whatever_their_kind() -> None:
    own = {k: bare_part(k, "cover", name="Lid") for k in ("lid_1", "lid_2")} | {
        "bush": bare_part("bush", "bush")
    }
    names = PartNames(WORDS.without("part.", "parts."), own)
    assert names.title("lid_1") == "Lid"
    assert names.several(own) == "the 2 lids and the bush"
    assert names.kind("bush", count=2) == "bushes"
    texts = {"naming.the": "le {part}", "naming.counted": "{number} {parts}"}
    elsewhere = PartNames(Words("xx", texts), own).several(["bush"])
    assert elsewhere == f"le {stand_in('Bush')}", "no English grammar elsewhere, and marked as English"
    bolts = {k: bare_part(k, "bolt_m6", name="Bolt M6") for k in ("bolt_1", "bolt_2")}
    assert PartNames(WORDS, bolts).several(bolts) == "the 2 bolts M6"


def test_lists_have_commas_and_one_and() -> None:
    assert [listed(WORDS, "abc"[:n]) for n in range(4)] == ["", "a", "a and b", "a, b and c"]
    words = Words("xx", {"naming.list_next": "{next} < {first}", "naming.list_last": "{last} & {first}"})
    assert listed(words, ["a", "b", "c"]) == "c & b < a", "a language may turn them round"


def test_a_sentence_starts_with_a_capital_and_changes_nothing_else() -> None:
    assert start("the O-ring") == "The O-ring"
    assert start("") == ""
