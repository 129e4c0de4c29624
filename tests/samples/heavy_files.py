"""The test files that take longest: they begin first, so that no process is left with one of them at the end."""

from __future__ import annotations

from pathlib import Path

import pytest
from program_files import ROOT

SECONDS = {
    # First of all: in a process that other tests have made large, thousands of readings and a cluster take far longer.
    "end_to_end/test_broken_files.py": 500,
    "sequences/test_crews.py": 490,
    "end_to_end/test_library.py": 300,
    "end_to_end/test_rebuild.py": 155,
    "geometry/test_family_greatest.py": 130,
    "geometry/test_family_usual.py": 110,
    "sequences/test_shown_claims.py": 90,
    "geometry/test_head.py": 75,
    "end_to_end/test_viewer.py": 70,
    "end_to_end/test_review_options.py": 60,
    "end_to_end/test_acts_shown.py": 60,
    "geometry/test_family_turns.py": 60,
    "site/test_order_page.py": 60,
    "site/test_question_views.py": 60,
    "end_to_end/test_languages_in_browser.py": 60,
    "geometry/test_family_least.py": 55,
    "test_style.py": 50,
    "end_to_end/test_three_languages.py": 45,
    "end_to_end/test_all_options.py": 40,
    "end_to_end/test_pages_in_browser.py": 40,
    "site/test_reading.py": 40,
    "end_to_end/test_pseudo_language.py": 35,
    "render/test_side_by_side.py": 35,
    "site/test_class_view.py": 30,
    "site/test_which_way.py": 30,
    "end_to_end/test_seeded_heads.py": 30,
    "end_to_end/test_wheel.py": 30,
    "end_to_end/test_kills.py": 30,
    "sequences/test_head_work.py": 30,
    "sequences/test_order_practice.py": 30,
    "geometry/test_room_rules.py": 30,
    "geometry/test_part_figures.py": 30,
    "sequences/test_proof_workers.py": 30,
    "site/test_booklets.py": 30,
    "site/test_export_jobs.py": 30,
    "site/test_course_package.py": 30,
    "site/test_stop_signals.py": 25,
    "site/test_plant_words.py": 25,
    "site/test_command.py": 25,
    "sequences/test_worker_pool.py": 20,
    "end_to_end/test_kernel_agreement.py": 20,
    "site/test_exporting.py": 20,
    "site/test_slide_deck.py": 20,
    "geometry/test_trimesh_agreement.py": 20,
    "render/test_mesh_part_pictures.py": 15,
    "render/test_step_pictures.py": 15,
    "render/test_short_films.py": 15,
    "sequences/test_resolve.py": 15,
    "sequences/test_mesh_assembly.py": 15,
}
"""Test file to the seconds of processor time that it took, roughly; a file that is not named takes less than these."""


def seconds_of(file: Path) -> int:
    """Return what :data:`SECONDS` says of a test file, 0 where it is not named."""
    return SECONDS.get(file.relative_to(ROOT / "tests").as_posix(), 0)


def heaviest_first(items: list[pytest.Item]) -> None:
    """Put the tests of heavy files first; those of one file stay together, in their order."""
    items.sort(key=lambda item: -seconds_of(item.path))
