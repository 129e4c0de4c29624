"""Booklets of a library: each thing that they share is made once, and what is kept is not made again."""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from types import CodeType, FrameType
from typing import Any

import pytest
from benchleaf.geometry.head.head import make_head
from benchleaf.render.engine.part_models import make_part_models
from benchleaf.render.pictures.studio import Studio
from benchleaf.sequences.calculations.head_calculations import calculations
from benchleaf.sequences.calculations.load_fleet import load_fleet
from benchleaf.sequences.calculations.plausibility import doubts
from benchleaf.sequences.fleet.heads import plan_head
from benchleaf.sequences.proof import head_work
from benchleaf.sequences.proof.assembly_proof import AssemblyProof
from benchleaf.sequences.proof.head_work import make_plans
from benchleaf.sequences.steps.plan import Plan
from benchleaf.sequences.steps.resolve import resolve
from benchleaf.site.booklets.library import Built, build_library
from benchleaf.site.extras.checking import check_fleet
from benchleaf.site.extras.evidence_files import write_fleet_evidence
from benchleaf.site.extras.exporting import export_heads
from benchleaf.site.extras.starter import write_starter
from picture_sizes import TINY

SEQUENCES = 3
LISTS = 2
"""Checklists, which have plans too."""
COUNTED: dict[str, Callable[..., Any]] = {
    "calculations": calculations,
    "doubts": doubts,
    "plans": plan_head,
    "resolved": resolve,
    "solids": make_head,
    "models": make_part_models,
    "studios": Studio.__init__,
}


@contextmanager
def counted() -> Iterator[Counter[str]]:
    """Count the calls of what is heavy, from wherever they come."""
    names: dict[CodeType, str] = {f.__code__: name for name, f in COUNTED.items()}
    found: Counter[str] = Counter()

    def note(frame: FrameType, event: str, _: object) -> None:
        if event == "call" and frame.f_code in names:
            found[names[frame.f_code]] += 1

    sys.setprofile(note)
    try:
        yield found
    finally:
        sys.setprofile(None)


@pytest.fixture(scope="module", name="fleet")
def _fleet(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A fleet of one head."""
    return write_starter(tmp_path_factory.mktemp("one") / "fleet")


def _few_steps(*given: Any) -> tuple[Plan, ...]:
    """Return the plans with their first steps alone: what is counted is the same, and it is sooner done."""
    return tuple(replace(p, steps=p.steps[:2]) for p in make_plans(*given))


@pytest.fixture(scope="module", name="built")
def _built(fleet: Path, tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Built, Counter[str]]:
    """A library of that head, its folder, and what was called for it."""
    to = tmp_path_factory.mktemp("built") / "library"
    with pytest.MonkeyPatch.context() as patch, counted() as found:
        patch.setattr(head_work, "make_plans", _few_steps)
        built = build_library(fleet, to, workers=1, pictures=TINY)
    return to, built, found


def test_a_build_makes_each_thing_once(built: tuple[Path, Built, Counter[str]]) -> None:
    assert built[2] == {
        "calculations": 1,
        "doubts": 1,
        "plans": SEQUENCES + LISTS,
        "resolved": 2 * (SEQUENCES + LISTS),  # once more to check the files, before there is a head
        "solids": 1,
        "models": 1,
        "studios": 1,
    }


def test_a_check_works_figures_and_plans_out_once_and_makes_nothing(fleet: Path) -> None:
    with counted() as found:
        check_fleet(fleet)
    assert found == {"calculations": 1, "doubts": 1, "resolved": 2 * (SEQUENCES + LISTS)}


def test_evidence_makes_solids_and_plans_once(
    fleet: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(head_work, "prove_head", lambda tag, *_: AssemblyProof(tag, {}, None))
    with counted() as found:
        assert write_fleet_evidence(fleet, tmp_path / "out", (), None, lambda _: None) == {"P-101": ()}
    assert (found["solids"], found["plans"], found["calculations"]) == (1, SEQUENCES, 1)
    assert found["models"] == 0


def test_an_export_makes_each_thing_once(fleet: Path, tmp_path: Path) -> None:
    with counted() as found:
        export_heads(fleet, tmp_path / "out", (), lambda _: None)
    assert {k: found[k] for k in ("solids", "plans", "models", "studios", "calculations")} == {
        "solids": 1,
        "plans": SEQUENCES,
        "models": 1,
        "studios": 1,
        "calculations": 1,
    }


def test_figures_of_a_head_hold_for_its_values_in_doubt(fleet: Path, tmp_path: Path) -> None:
    """They are worked out before doubtful values are marked, and the marks change none of them."""
    torque = "{value: 900, unit: N·m, source: {document: Invented}, date: 2031-02-28}"
    values = f"\nvalues:\n  rotor_nut_torque: {torque}\nheads:\n"
    text = fleet.read_text("utf-8").replace("\nheads:\n", values, 1)
    (tmp_path / "fleet.yaml").write_text(text, "utf-8")
    judged = load_fleet(tmp_path / "fleet.yaml")
    (row,) = judged.heads
    assert row.values["rotor_nut_torque"].doubts
    assert judged.figures[row.tag].sheets == calculations(row)
    assert judged.figures[row.tag].doubts == doubts(row) != ()


def test_stages_are_all_timed(built: tuple[Path, Built, Counter[str]]) -> None:
    to, library, _ = built
    assert set(library.stages.by_name) == {
        "data", "solids", "reach", "overview", "views", "picture", "viewer", "pages", "library",
    }  # fmt: skip
    assert (to / "p-101" / "index.html").is_file()
    assert (to / "p-101" / "pictures" / "small.webp").is_file()
    assert not (to / "p-101" / "evidence").exists()
