"""Every module has its test file of the same name, or is named here with the one that shows it."""

from __future__ import annotations

import itertools
from functools import cache
from pathlib import Path

import pytest
from heavy_files import SECONDS, heaviest_first
from program_files import ROOT, import_graph, imports_in, module_of, modules

SHOWN_BY = {
    "geometry": {
        "part_size": "geometry/test_part_sizes.py",
        "frame": "geometry/test_assembly.py",
        "tools/bench_tools": "geometry/test_tool_solids.py",
        "tools/gauges": "geometry/test_tool_solids.py",
        "tools/tool_measures": "geometry/test_tool_solids.py",
        "tools/turning_tools": "geometry/test_tool_solids.py",
        "dimensions/measured": "geometry/test_size.py",
        "dimensions/options": "geometry/test_head.py",
        "dimensions/parts_list": "geometry/test_head.py",
        "dimensions/profile_limits": "geometry/test_rotor_profiles.py",
        "dimensions/size_checks": "sequences/test_fleet_files.py",
        "dimensions/proportions/body": "geometry/test_stack_up.py",
        "dimensions/room_measures": "geometry/test_room_rules.py",
        "dimensions/proportions/fits": "geometry/test_stack_up.py",
        "dimensions/proportions/gear_case": "geometry/test_stack_up.py",
        "engineering/wrench_sockets": "geometry/test_tool_solids.py",
        "engineering/bench_instruments": "sequences/test_instruments.py",
        "engineering/strength/cantilevers": "geometry/test_strength.py",
        "engineering/strength/faces": "geometry/test_strength.py",
        "engineering/strength/helical_springs": "geometry/test_strength.py",
        "engineering/strength/keys": "geometry/test_strength.py",
        "engineering/strength/plates": "geometry/test_strength.py",
        "engineering/strength/studs": "geometry/test_strength.py",
        "engineering/strength/thread_shear": "geometry/test_strength.py",
        "engineering/strength/yields": "geometry/test_strength.py",
        "exchange/assemblies/solid_frames": "geometry/test_read_assembly.py",
        "exchange/assemblies/step_parts": "sequences/test_draft_files.py",
        "exchange/assemblies/step_tree": "geometry/test_read_assembly.py",
        "meshes/closed_bodies": "geometry/test_overlaps.py",
        "meshes/face_axes": "sequences/test_travel_search.py",
        "profiles/outlines": "geometry/test_rotor_profiles.py",
        "parts/body": "geometry/test_part_figures.py",
        "parts/gear_case": "geometry/test_part_figures.py",
        "head/masses": "geometry/test_cad_export.py",
        "head/rotor_turn": "geometry/test_family_turns.py",
    },
    "sequences": {
        "files/said": "sequences/test_translations.py",
        "reach/feeler_blades": "sequences/test_reach.py",
        "reach/laid_tools": "sequences/test_reach.py",
        "reach/soft_blocks": "sequences/test_reach.py",
        "reach/standing": "sequences/test_reach.py",
        "reach/tool_places": "sequences/test_reach.py",
        "reach/wrenches": "sequences/test_reach.py",
        "additions/addition_form": "sequences/test_additions.py",
        "additions/addition_tables": "sequences/test_additions.py",
        "additions/amend": "sequences/test_additions.py",
        "additions/check_additions": "sequences/test_additions.py",
        "additions/read_additions": "sequences/test_additions.py",
        "fleet/fleet_additions": "sequences/test_additions.py",
        "steps/marks/plant_marks": "sequences/test_additions.py",
        "files/sheet_rows": "sequences/test_fleet_tables.py",
        "files/csv_rows": "sequences/test_fleet_tables.py",
        "files/file_models": "sequences/test_fleet_files.py",
        "files/written_types": "sequences/test_fleet_files.py",
        "files/yaml_readers": "sequences/test_yaml_files.py",
        "files/yaml_syntax": "sequences/test_yaml_files.py",
        "records/record_form": "sequences/test_read_records.py",
        "records/figures_read": "end_to_end/test_record_in_browser.py",
        "values/head_values": "sequences/test_sourced_values.py",
        "values/quantities": "sequences/test_sourced_values.py",
        "values/value_names": "sequences/test_sourced_values.py",
        "steps/asked_values": "sequences/test_demo_fleet.py",
        "steps/conditions": "sequences/test_sequence_file.py",
        "steps/sequence_form": "sequences/test_sequence_file.py",
        "steps/step_state": "sequences/test_resolve.py",
        "upkeep/upkeep_entries": "sequences/test_upkeep.py",
        "upkeep/upkeep_file": "sequences/test_upkeep.py",
        "fleet/fleet_file": "sequences/test_fleet_files.py",
        "fleet/file_kind": "sequences/test_user_assembly.py",
        "fleet/fleet_loader": "sequences/test_fleet_files.py",
        "fleet/fleet_values": "sequences/test_fleet_files.py",
        "fleet/heads": "sequences/test_fleet_files.py",
        "fleet/turning_groups": "sequences/test_user_assembly.py",
        "fleet/own_surfaces": "site/test_own_booklet.py",
        "fleet/own_values": "site/test_own_booklet.py",
        "own/own_work": "site/test_own_booklet.py",
        "own/designs": "site/test_own_booklet.py",
        "own/draft": "sequences/test_draft_files.py",
        "own/free_ways": "sequences/test_first_order.py",
        "own/guesses": "sequences/test_draft_files.py",
        "own/part_names": "sequences/test_draft_files.py",
        "own/soft_rings": "sequences/test_draft_files.py",
        "fleet/own_part_check": "site/test_checking.py",
        "calculations/calculation_sheets": "sequences/test_head_calculations.py",
        "calculations/doubts": "sequences/test_plausibility.py",
        "calculations/load_fleet": "sequences/test_fleet_files.py",
        "calculations/nut_calculations": "sequences/test_head_calculations.py",
        "calculations/strength_calculations": "sequences/test_strength_sheet.py",
        "work/resources": "site/test_build.py",
        "order/order": "sequences/test_seeded_faults.py",
        "order/turn_lines": "sequences/test_turn_search.py",
        "misfits/findings": "sequences/test_misfits.py",
        "misfits/insertion_trials": "sequences/test_misfits.py",
        "misfits/misfit_effects": "sequences/test_misfits.py",
        "misfits/misplacements": "sequences/test_misfits.py",
        "proof/assembly_proof": "site/test_proof_pages.py",
        "proof/evidence": "site/test_proof_pages.py",
        "proof/head_proof": "sequences/test_bare_assembly.py",
        "proof/practice": "site/test_proof_pages.py",
        "proof/prove": "sequences/test_evidence_keys.py",
        "proof/proving": "sequences/test_proof_workers.py",
        "proof/shaft_timing": "end_to_end/test_seeded_heads.py",
    },
    "render": {
        "composition/detail/framings": "render/test_picture_layout.py",
        "drawing/film_files": "render/test_short_films.py",
        "drawing/settings": "render/test_step_pictures.py",
        "drawing/zone_colours": "render/test_zone_patterns.py",
        "engine/actors": "render/test_stage.py",
        "engine/window": "render/test_stage.py",
        "pictures/close_ups": "render/test_step_pictures.py",
        "pictures/kept_pictures": "render/test_step_pictures.py",
        "pictures/frames": "render/test_short_films.py",
        "pictures/studio": "render/test_bench_layout.py",
        "pictures/viewer/model_making": "render/test_viewer_models.py",
    },
    "site": {
        "words/languages/fallback": "site/test_languages.py",
        "words/languages/locales": "site/test_languages.py",
        "words/languages/po_files": "site/test_languages.py",
        "words/languages/translated": "site/test_languages.py",
        "build/languages/word_tables": "site/test_plant_words.py",
        "build/languages/texts_in_use": "site/test_plant_words.py",
        "words/languages/table_files": "site/test_plant_words.py",
        "preview/server": "site/test_previewing.py",
        "preview/state": "site/test_previewing.py",
        "extras/examples": "site/test_explaining.py",
        "build/published": "site/test_table_starter.py",
        "pages/markup/data_scripts": "site/test_library_pages.py",
        "build/kept_pumps": "site/test_pump_changes.py",
        "pages/library/head_lines": "site/test_library_pages.py",
        "pages/library/library_data": "site/test_library_pages.py",
        "__main__": "end_to_end/test_wheel.py",
        "command_line": "site/test_command.py",
        "verbs": "site/test_command.py",
        "build/fleet_run": "site/test_build.py",
        "booklets/booklet_files": "end_to_end/test_rebuild.py",
        "booklets/head_job": "site/test_booklets.py",
        "booklets/head_nodes": "end_to_end/test_rebuild.py",
        "booklets/head_pages": "site/test_worked_figures.py",
        "booklets/head_pictures": "site/test_build.py",
        "booklets/kinds/head_kind": "site/test_worked_figures.py",
        "booklets/kinds/kinds": "site/test_own_booklet.py",
        "booklets/kinds/own_kind": "site/test_own_booklet.py",
        "booklets/kinds/own_upkeep_pages": "site/test_own_booklet.py",
        "extras/assemblies/from_files": "sequences/test_draft_files.py",
        "booklets/tool_making": "end_to_end/test_rebuild.py",
        "booklets/head_upkeep": "site/test_upkeep_pages.py",
        "booklets/head_tasks": "end_to_end/test_rebuild.py",
        "build/kept_values": "site/test_what_changed.py",
        "build/progress": "site/test_build.py",
        "build/timings": "site/test_build.py",
        "build/user_faults": "site/test_exit_words.py",
        "extras/assembly_evidence": "sequences/test_user_assembly.py",
        "extras/evidence_files": "site/test_command.py",
        "extras/starter": "site/test_build.py",
        "booklets/booklet_pdfs": "site/test_parts.py",
        "booklets/forms/booklet_forms": "site/test_export_jobs.py",
        "extras/film/film_export": "site/test_export_jobs.py",
        "extras/film/scenes": "site/test_export_jobs.py",
        "extras/film/film_files": "site/test_sequence_film.py",
        "extras/film/film_frames": "site/test_sequence_film.py",
        "extras/film/film_letters": "site/test_sequence_film.py",
        "pages/slides/slide_blocks": "site/test_slide_deck.py",
        "pages/slides/slide_files": "site/test_slide_deck.py",
        "pages/slides/slide_shapes": "site/test_slide_deck.py",
        "pages/slides/slide_text": "site/test_slide_deck.py",
        "pages/booklet": "site/test_pages.py",
        "pages/paper/contents": "site/test_pdf_files.py",
        "pages/paper/single_page": "site/test_parts.py",
        "pages/callouts": "render/test_callouts.py",
        "pages/cards/cards": "site/test_proof_pages.py",
        "pages/class_view/notes": "site/test_class_view.py",
        "pages/cards/decks": "site/test_which_way.py",
        "pages/cards/faces": "site/test_which_way.py",
        "pages/cards/qr_codes": "site/test_which_way.py",
        "pages/cards/sheets": "site/test_which_way.py",
        "pages/evidence_page": "site/test_proof_pages.py",
        "pages/order_picture": "site/test_proof_pages.py",
        "pages/examples/grounds": "site/test_damage_tiles.py",
        "pages/examples/damage_marks": "site/test_damage_tiles.py",
        "pages/picture_views": "site/test_pages.py",
        "pages/view_models": "site/test_pages.py",
    },
}
"""Module below its room to the test file that shows what it does: where a module is one half of another's work."""
BY_PROCESS = {"benchleaf.site.__main__"}
"""What a test starts as a process of its own, and does not import."""


def own_file(module: Path) -> Path | None:
    """Return the test file named after a module, in its room's tests or those through all rooms."""
    room = module.relative_to(ROOT).parts[0]
    places = (ROOT / "tests" / folder / f"test_{module.stem}.py" for folder in (room, "end_to_end"))
    return next((p for p in places if p.is_file()), None)


def named(module: Path) -> str | None:
    """Return the test file that the table names for a module."""
    room, *inner = module.relative_to(ROOT).with_suffix("").parts
    return SHOWN_BY[room].get("/".join(inner))


@cache
def graph_of_imports() -> dict[str, set[str]]:
    return import_graph()


@cache
def reached_from(test: Path) -> set[str]:
    """Return the modules that a test file imports, with all that these and the tests' own helpers import."""
    graph, waiting, reached = graph_of_imports(), set(imports_in(test)), set[str]()
    for helper in (ROOT / "tests" / "samples").glob("*.py"):
        if f"from {helper.stem} import" in test.read_text("utf-8"):
            waiting |= set(imports_in(helper))
    while waiting:
        name = waiting.pop()
        if name in graph and name not in reached:
            reached.add(name)
            waiting |= graph[name]
    return reached


@pytest.mark.parametrize("module", modules(), ids=module_of)
def test_every_module_has_its_test_file(module: Path) -> None:
    own, other = own_file(module), named(module)
    assert (own is None) != (other is None), "a file of its own, or a line in the table, and not both"
    if other is not None:
        test = ROOT / "tests" / other
        assert test.is_file(), other
        assert module_of(module) in reached_from(test) | BY_PROCESS, f"{other} does not get there"


def test_the_table_names_no_module_that_is_gone() -> None:
    there = {"/".join(m.relative_to(ROOT).with_suffix("").parts) for m in modules()}
    assert {f"{room}/{m}" for room, rows in SHOWN_BY.items() for m in rows} - there == set()


# ------------------------------------------------------------------ which begins first
def test_files_that_are_called_heavy_are_there_heaviest_first() -> None:
    assert [f for f in SECONDS if not (ROOT / "tests" / f).is_file()] == []
    assert list(SECONDS.values()) == sorted(SECONDS.values(), reverse=True)


def test_tests_of_heavy_files_come_first_and_files_stay_whole(request: pytest.FixtureRequest) -> None:
    items = list(request.session.items)
    heaviest_first(items)
    assert items == request.session.items
    files = [i.path for i in items]
    assert len({*files}) == 1 + sum(a != b for a, b in itertools.pairwise(files))


def test_files_are_handed_out_in_that_order(request: pytest.FixtureRequest) -> None:
    """As the process that hands them out is told; without that plugin there is nothing to tell."""
    assert not getattr(request.config.option, "loadscopereorder", False)
