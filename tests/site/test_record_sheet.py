"""What the record sheet's scripts reckon with: units that turn back, the published form, every text they ask for."""

from __future__ import annotations

import json
import re

import pytest
from benchleaf.geometry.engineering.units import UNITS, convert
from benchleaf.sequences.fleet.schemas import FOLDER
from benchleaf.site.pages.pages import ASSETS
from benchleaf.site.pages.records.record_sheet import form_script, other_unit, record_texts
from benchleaf.site.words.catalogue import load_words

SCRIPTS = sorted(ASSETS.glob("record*.js"))


@pytest.mark.parametrize("unit", [u for u in UNITS if UNITS[u].other])
def test_a_figure_in_the_other_unit_turns_into_one_of_its_own(unit: str) -> None:
    other = other_unit(unit)
    assert other is not None
    assert other.symbol == UNITS[unit].other
    for figure in (0.0, 1.0, -7.25, 1234.5):
        assert figure * other.factor + other.shift == pytest.approx(
            float(convert(figure, other.symbol, unit))
        )
    back = other_unit(other.symbol)
    assert back is not None
    assert back.us != other.us


@pytest.mark.parametrize("unit", ["pass", "pH", "A", "%", "1/min"])
def test_what_people_of_both_systems_read_alike_has_no_other_unit(unit: str) -> None:
    assert other_unit(unit) is None


def bare(node: object, names: bool = False) -> object:
    if isinstance(node, list):
        return [bare(n) for n in node]
    if not isinstance(node, dict):
        return node
    said = ("description", "title", "default", "$schema")
    inner = ("properties", "$defs")
    return {k: bare(v, not names and k in inner) for k, v in node.items() if names or k not in said}


def test_the_import_knows_the_form_that_is_published() -> None:
    (text,) = re.findall(r"window\.benchleafRecordForm = (.*);\n\Z", form_script(), re.DOTALL)
    published = json.loads((FOLDER / "schema_record.json").read_text("utf-8"))
    assert json.loads(text) == bare(published)
    assert set(json.loads(text)["$defs"]) >= {"RecordedReading", "RecordedTick", "RecordedPhoto"}


def test_the_scripts_ask_for_texts_that_are_there_and_for_all_of_them() -> None:
    there = {k.removesuffix(".one").removesuffix(".other") for k in record_texts(load_words())}
    code = "\n".join(s.read_text("utf-8") for s in SCRIPTS)
    quoted = set(re.findall(r'"([a-z_]+)"', code))
    asked = set(re.findall(r'(?:\btext|\bsay)\("([a-z_]+)"[,)]', code))
    assert len(asked) > 40
    assert asked <= there
    stems = set(re.findall(r'\bsay\("(\w+_)" \+', code))
    assert {t for t in there if t not in quoted and not t.startswith(tuple(stems))} == set()


def test_scripts_are_small_and_classic() -> None:
    assert len(SCRIPTS) == 6
    for script in SCRIPTS:
        text = script.read_text("utf-8")
        assert not re.search(
            r"^\s*(import|export)\b|\beval\(|\bfetch\(|innerHTML|https?:", text, re.MULTILINE
        ), script
        assert text.count("\n") < 250
