"""A stranger's valve on its way to files to go on with: read, named, ordered, written, and checked as they stand."""

from __future__ import annotations

from pathlib import Path

import cadquery as cq
import numpy as np
import pytest
from benchleaf.geometry.solid import box_mm, moved, volume_mm3
from benchleaf.sequences.fleet.user_assembly import UserAssembly, load_user_assembly
from benchleaf.sequences.own.guesses import guess_of
from benchleaf.sequences.own.part_names import key_of
from benchleaf.site.build.user_faults import UserFault
from benchleaf.site.extras.assemblies.from_files import Begun, begin_from
from benchleaf.site.verbs import DEMO_ASSEMBLY
from lift_valve import PARTS, lift_valve, shipped_parts
from sample_solids import solid_of
from step_writing import Branch, Look, Placed, shift, write_step


@pytest.fixture(scope="module")
def begun(tmp_path_factory: pytest.TempPathFactory) -> Begun:
    folder = tmp_path_factory.mktemp("valve")
    lift_valve().export(str(folder / "valve.step"))
    return begin_from([folder / "valve.step"], folder / "draft", None, lambda _: None)


@pytest.fixture(scope="module")
def draft(begun: Begun) -> UserAssembly:
    return load_user_assembly(begun.file)


def test_every_part_is_named_counted_and_in_its_true_place(begun: Begun, draft: UserAssembly) -> None:
    assert (begun.parts, begun.kinds) == (24, 17)
    names = {name: len(at) for name, _, _, at in PARTS}
    found: dict[str, int] = {}
    for part in draft.assembly:
        found[part.name] = found.get(part.name, 0) + 1
    assert found == names
    true = {c.name: c for c in lift_valve().children}
    for name, _, _, at in PARTS:
        kind = [p for p in draft.assembly if p.name == name]
        boxes = sorted(np.round(np.concatenate(p.placed_box()), 2).tolist() for p in kind)
        called = [name] if len(at) == 1 else [f"{name} {n}" for n in range(1, len(at) + 1)]
        should = []
        for c in (true[k] for k in called):
            assert isinstance(c.obj, cq.Workplane)
            held = c.obj.val()
            assert isinstance(held, cq.Shape)
            low, high = box_mm(held.moved(c.loc))
            should.append(np.round(np.concatenate([low, high]), 2).tolist())
        assert np.allclose(boxes, sorted(should), atol=0.02), name


def test_guesses_are_marked_and_rings_give_way(begun: Begun, draft: UserAssembly) -> None:
    text = begun.file.read_text("utf-8")
    assert text.count("thread: true  # a guess, by its name") == 4 + 2 + 2 + 1 + 1
    assert text.count("# a guess: an O-ring") == 2
    rings = [p for p in draft.assembly if "O-ring" in p.name]
    assert all(p.elastic is not None and p.elastic.passing is not None for p in rings)
    assert all(p.elastic is None for p in draft.assembly if "O-ring" not in p.name)
    assert {p.colour for p in draft.assembly} == {colour for _, _, colour, _ in PARTS}


def test_the_first_sequence_is_that_of_the_trade(draft: UserAssembly) -> None:
    (plan,) = draft.plans
    order = [
        (s.bench is not None, sorted({draft.assembly.part(k).name for k in s.moving})) for s in plan.steps
    ]
    flat = [", ".join(names) for _, names in order]
    assert flat.index("Plug") < flat.index("Plug nut") < flat.index("Plug, Plug nut, Plug washer, Stem")
    assert flat.index("Seat O-ring, Seat ring") < flat.index("Plug, Plug nut, Plug washer, Stem")
    last = [
        flat.index(n)
        for n in (
            "Bonnet, Bonnet O-ring",
            "Packing ring",
            "Gland follower",
            "Gland nut",
            "Handwheel",
            "Wheel nut",
        )
    ]
    assert last == sorted(last)
    assert plan.given == ("body",)
    assert all(s.cautions or s.reminders for s in plan.steps)


def test_what_the_drawing_says_of_material_is_in_the_parts_list(tmp_path: Path) -> None:
    plate, peg = (solid_of(cq.Workplane().box(20, 20, h)).wrapped for h in (5, 9))
    looks = {id(plate): Look("Plate", material='Steel "S235"'), id(peg): Look("Peg")}
    step = write_step(Branch("x", [Placed(plate), Placed(peg, shift(0, 0, 7))]), looks, tmp_path / "a.step")
    begun = begin_from([step], tmp_path / "draft", None, lambda _: None)
    of = load_user_assembly(begun.file).assembly
    assert [p.material for p in of] == ['Steel "S235"', ""]


def test_nothing_is_written_over_and_bad_files_leave_nothing(begun: Begun, tmp_path: Path) -> None:
    before = begun.file.read_bytes()
    with pytest.raises(UserFault, match="not an empty folder"):
        begin_from([begun.file], begun.file.parent, None, lambda _: None)
    assert begun.file.read_bytes() == before
    (tmp_path / "bad.step").write_text("ISO-10303-21;\nnothing")
    with pytest.raises(UserFault, match=r"bad\.step: found .* likely fix: export it again"):
        begin_from([tmp_path / "bad.step"], tmp_path / "out", None, lambda _: None)
    assert not (tmp_path / "out").exists()


def test_the_shipped_example_is_the_model(tmp_path: Path) -> None:
    """Its STEP files hold the solids that ``lift_valve.py`` models."""
    user = load_user_assembly(DEMO_ASSEMBLY)
    made = shipped_parts()
    files = {name.split("/")[1].removesuffix(".step") for name, _ in user.files}
    assert files == set(made)
    for part, text in zip(user.assembly, user.text.parts, strict=True):
        solid = made[Path(text.file).stem]
        assert volume_mm3(part.solid) == pytest.approx(solid.Volume(), rel=1e-6)
        assert np.allclose(box_mm(part.solid), box_mm(moved(solid, type(part.place)())), atol=1e-3)


@pytest.mark.parametrize(
    ("name", "guess"),
    [
        ("Hex nut M8", "nut"),
        ("Schlitzmutter", "nut"),
        ("Zylinderschraube ISO 4762", "thread"),
        ("vis H M10", "thread"),
        ("device", ""),
        ("O-Ring 20x2", "o-ring"),
        ("шайба 8", "washer"),
        ("螺钉", "thread"),
        ("Bearing 6204", "bearing"),
        ("Wellendichtung", "seal"),
        ("Housing", ""),
    ],
)
def test_names_of_several_languages_are_guessed(name: str, guess: str) -> None:
    assert guess_of(name, None) == guess


@pytest.mark.parametrize(
    "name", ["Hex nut, M8", "Écrou", "螺母", "", "  ", "12", "_x_", "ÄÖÜ-Gehäuse  (links)"]
)
def test_any_name_gives_a_key_or_none(name: str) -> None:
    key = key_of(name)
    assert key == "" or (key[0].isalpha() and key.replace("_", "").isalnum() and key.isascii())
