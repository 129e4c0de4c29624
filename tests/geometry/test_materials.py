"""The materials table is complete, sourced, and within what is physically known."""

from __future__ import annotations

import doctest
from typing import get_args

import pytest
from benchleaf.geometry.dimensions.options import BodyMetal, CoverOring, Elastomer, GearCase, RotorMetal
from benchleaf.geometry.engineering import materials as table
from benchleaf.geometry.engineering.figures import by_hand, make_figure
from benchleaf.geometry.engineering.materials import ELASTOMERS, UnknownMaterial, material, materials
from benchleaf.geometry.engineering.topics import Topic


def test_examples_in_the_docstrings_hold() -> None:
    assert doctest.testmod(table).failed == 0


def test_the_table_has_the_rows_it_is_known_for() -> None:
    assert len(materials()) == 19


def test_every_option_of_a_head_has_its_material() -> None:
    named = {*get_args(BodyMetal), *get_args(RotorMetal), *get_args(GearCase), *get_args(Elastomer)}
    named |= set(get_args(CoverOring)) - {"solid"}
    assert named <= set(materials())
    assert set(ELASTOMERS) <= set(materials())


@pytest.mark.parametrize("key", list(materials()))
def test_every_value_has_a_source_and_a_sane_span(key: str) -> None:
    m = material(key)
    assert m.key == key
    for source in (m.density_source, m.expansion_source):
        assert source.isidentifier(), "the last part of a key of the catalogues"
    for work in (m.density_work, m.expansion_work):
        assert work or key in ELASTOMERS, "general tables of rubber have no one name"
    assert len(m.youngs_source) > 10
    assert len(m.not_verified) > 10
    assert 1000 < m.density_kg_m3 < 9000
    assert 0 < m.expansion_low <= m.expansion <= m.expansion_high
    assert 0 < m.youngs_low_gpa <= m.youngs_gpa <= m.youngs_high_gpa
    assert m.expansion_high <= 2.3 * m.expansion_low or key in ("carbon",)


@pytest.mark.parametrize(
    ("key", "density", "expansion_100", "modulus"),
    # EN 10088-1, physical properties of 1.4404, 1.4307 and 1.4462
    [("316L", 8000, 16.0, 200), ("stainless", 7900, 16.0, 200), ("duplex", 7800, 13.0, 200)],
)
def test_stainless_steels_are_those_of_the_standard(
    key: str, density: float, expansion_100: float, modulus: float
) -> None:
    m = material(key)
    assert (m.density_kg_m3, m.expansion_low, m.youngs_gpa) == (density, expansion_100, modulus)


def test_rubber_grows_about_ten_times_as_much_as_steel() -> None:
    steel = material("316L").expansion
    for key in ELASTOMERS:
        assert 7 * steel < material(key).expansion < 20 * steel


def test_rubber_moduli_are_those_of_the_hardness_named() -> None:
    def gent(shore_a: float) -> float:
        """A. N. Gent, Rubber Chemistry and Technology 31 (1958) 896, in GPa."""
        return 0.0981 * (56 + 7.62336 * shore_a) / (0.137505 * (254 - 2.54 * shore_a)) * 1e-3

    m = material("FKM")
    assert m.youngs_low_gpa <= gent(65) < gent(80) <= m.youngs_high_gpa * 1.1


def test_a_mass_follows_from_its_volume() -> None:
    assert material("painted-iron").mass_kg(250e3) == pytest.approx(1.8)


def test_an_unknown_material_is_answered_with_the_nearest() -> None:
    with pytest.raises(
        UnknownMaterial, match=r"no material '316'; did you mean 316L\? Known are 316L, A4-70, duplex"
    ) as e:
        material("316")
    assert e.value.allowed == tuple(materials())
    with pytest.raises(UnknownMaterial, match="no material 'cheese'; add it to the table with its sources"):
        material("cheese")


def test_an_expansion_goes_into_formulas_with_its_source() -> None:
    given = material("duplex").expansion_input("α")
    assert (given.unit, given.shown) == ("10⁻⁶/K", "13.25")
    assert given.topic == Topic("input.expansion", material="duplex")
    assert given.source == Topic("source.expansion.mean", work="EN 10088-1", least=13.0, most=13.5)
    grown = make_figure("x", Topic("figure.x"), "ΔL", "mm", "100·α·10⁻⁶·80", (given,), given.source)
    assert by_hand(grown) == pytest.approx(0.106)


def test_a_density_goes_into_formulas_with_its_source() -> None:
    given = material("painted-iron").density_input("ρ")
    assert (given.symbol, given.value, given.unit) == ("ρ", 7200, "kg/m³")
    assert given.topic == Topic("input.density", material="painted-iron")
    assert given.source == Topic("source.density.annex", work="EN 1561")
