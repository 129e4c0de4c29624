"""Threads: the program's table against the standards' figures, typed a second time; all else reads that table."""

from __future__ import annotations

import pytest
from benchleaf.geometry.dimensions.size import example_measures, make_size
from benchleaf.geometry.dimensions.threads import fine_pitch_mm, fine_threads, nearest_thread, thread_table

COARSE_PITCHES = {
    5: 0.8, 6: 1, 8: 1.25, 10: 1.5, 12: 1.75, 14: 2, 16: 2, 18: 2.5, 20: 2.5, 22: 2.5, 24: 3, 27: 3, 30: 3.5, 33: 3.5,
    36: 4, 39: 4, 42: 4.5,
}  # fmt: skip
"""Nominal diameter to pitch, mm: the coarse series of ISO 261."""
FINE_PITCHES = {
    5: 0.5, 6: 0.75, 8: 1, 10: 1, 12: 1.25, 14: 1.5, 16: 1.5, 18: 1.5, 20: 1.5, 22: 1.5, 24: 2, 27: 2, 30: 2, 33: 2,
    36: 3, 39: 3, 42: 3, 45: 3, 48: 3, 52: 3, 56: 4, 60: 4, 64: 4,
}  # fmt: skip
"""Nominal diameter to a usual fine pitch of ISO 261, mm."""
NUTS = {
    5: (8, 4.7), 6: (10, 5.2), 8: (13, 6.8), 10: (16, 8.4), 12: (18, 10.8), 16: (24, 14.8), 20: (30, 18),
    24: (36, 21.5), 30: (46, 25.6), 36: (55, 31), 42: (65, 34),
}  # fmt: skip
"""First-choice diameter to width across flats and greatest height of a nut of ISO 4032, mm."""
SOCKET_HEADS = {
    5: 8.5, 6: 10, 8: 13, 10: 16, 12: 18, 16: 24, 20: 30, 24: 36, 30: 45, 36: 54, 42: 63,
}  # fmt: skip
"""Diameter to that of a plain head of ISO 4762, mm; the head is as high as the thread is thick."""


def test_pitches_are_those_of_the_coarse_series() -> None:
    assert {t.nominal_mm: t.pitch_mm for t in thread_table()} == COARSE_PITCHES


def test_fine_pitches_are_those_of_the_standard() -> None:
    assert {t.nominal_mm: t.pitch_mm for t in fine_threads()} == FINE_PITCHES
    coarse = {t.nominal_mm: t.pitch_mm for t in thread_table()}
    assert all(t.pitch_mm < coarse[t.nominal_mm] for t in fine_threads() if t.nominal_mm in coarse)
    assert fine_pitch_mm(21.4) == 1.5
    assert fine_pitch_mm(23.4) == 2.0


def test_nuts_and_heads_are_those_of_the_standards() -> None:
    table = {t.nominal_mm: t for t in thread_table()}
    assert {d: (table[d].across_flats_mm, table[d].nut_height_mm) for d in NUTS} == NUTS
    assert {d: table[d].head_diameter_mm for d in SOCKET_HEADS} == SOCKET_HEADS
    assert all(t.head_height_mm == t.nominal_mm for t in thread_table())


def test_figures_grow_with_the_diameter() -> None:
    for figure in ("nominal_mm", "across_flats_mm", "nut_height_mm", "head_diameter_mm"):
        column = [getattr(t, figure) for t in thread_table()]
        assert column == sorted(set(column)), figure


def test_root_is_that_of_iso_724() -> None:
    m12 = nearest_thread(12.0)
    assert 2 * m12.root_radius_mm == pytest.approx(9.853, abs=5e-4)
    assert 2 * nearest_thread(20.0).root_radius_mm == pytest.approx(16.933, abs=5e-4)
    assert m12.radius_mm == 6.0


def test_the_nearest_thread_is_the_smaller_of_two_as_near() -> None:
    assert nearest_thread(11.0).nominal_mm == 10.0
    assert nearest_thread(11.01).nominal_mm == 12.0
    assert nearest_thread(0.1).nominal_mm == 5.0
    assert nearest_thread(1000.0).nominal_mm == 42.0


@pytest.mark.parametrize("centre", [55.0, 80.0, 118.0, 220.0])
def test_pitches_of_a_size_are_those_of_its_threads(centre: float) -> None:
    size = make_size("t", example_measures(centre))
    threads = {
        "cover_nut": size.stud_thread_mm,
        "body_screw": size.body_screw_thread_mm,
        "relief_screw": size.relief_screw_thread_mm,
    }
    pitches = {kind: COARSE_PITCHES[int(d)] for kind, d in threads.items()}
    assert size.pitches_mm == {**pitches, "rotor_nut": FINE_PITCHES[int(size.rotor_thread_mm)]}
    assert size.rotor_thread.pitch_mm == size.rotor_thread_pitch_mm
