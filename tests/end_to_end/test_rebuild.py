"""A build makes what its inputs changed, and nothing else; what it makes is what a build from nothing would make."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from benchleaf.sequences.work.store import Store
from benchleaf.site.booklets import head_tasks
from benchleaf.site.booklets.library import Built, build_library
from benchleaf.site.build.fleet_run import open_fleet
from benchleaf.site.folders.marks import KEPT_PUMPS, KEPT_VALUES, MARK
from fleet_generator import write_many_heads
from picture_sizes import TINY
from pypdf import PdfReader

FIRST_PARTS = (
    "[gear_case, shaft, stud, shaft_oring, rotating_ring, seal_pin, wave_spring, stationary_ring, "
    "stationary_ring_oring, body, body_dowel, body_screw, hub_oring, key, rotor, rotor_nut, "
    "disc_spring, spring_retaining_oring, nut_oring]"
)
SHORT = {
    "assembly": f"""\
sequence: assembly
title: Assembly
given: {FIRST_PARTS}
sections: [{{id: cover, title: Cover}}]
steps:
  - {{id: ring, section: cover, title: Lay the ring in, fit: cover_oring, acts: Lay it in., why: So it is.,
     cautions: [sharp_edges]}}
  - {{id: cover, section: cover, title: Push the cover on, fit: cover, acts: Push it on., why: So it is.,
     cautions: [pinch_fitting]}}
  - {{id: nuts, section: cover, title: Run the nuts on, fit: cover_nut, acts: Run them on., why: So it is.,
     values: [cover_nut_torque], cautions: [galling]}}
""",
    "disassembly": f"""\
sequence: disassembly
title: Disassembly
given: {FIRST_PARTS[:-1]}, cover_oring]
sections: [{{id: cover, title: Cover}}]
steps:
  - {{id: nuts, section: cover, title: Take the nuts off, remove: cover_nut, acts: Take them off., why: So it is.,
     cautions: [galling]}}
  - {{id: cover, section: cover, title: Pull the cover off, remove: cover, acts: Pull it off., why: So it is.,
     cautions: [pinch_fitting]}}
""",
    "inspection": """\
sequence: inspection
title: Inspection
given: [all]
sections: [{id: nut, title: Nuts}]
steps:
  - {id: look, section: nut, title: Look at the nuts, focus: [rotor_nut], acts: Look., why: So it is.,
     values: [rotor_nut_torque], cautions: [sharp_edges]}
""",
}
"""Sequences of a few steps, since it is the kinds of pieces that count here."""
PAGES = {"pages"}
ALL_DRAWN = {"solids", "overview", "views", "motion", "picture", "viewer", "pages"}
HEADS = ("G-001", "G-002", "G-003", "G-004")
"""Of two designs: the first and third are alike in all but their values, so are the others."""


def made_by(built: Built) -> dict[str, set[str]]:
    """Return the kinds of what was made, by plant tag."""
    found: dict[str, set[str]] = {}
    for made in built.made:
        found.setdefault(made.of, set()).add(made.kind)
    return found


def causes(built: Built) -> set[str]:
    """Return the inputs that had changed."""
    return {name for made in built.made for name in made.changed}


def contents(library: Path) -> dict[str, bytes]:
    return {
        str(p.relative_to(library)): p.read_bytes()
        for p in sorted(library.rglob("*"))
        if p.is_file() and p.name not in (KEPT_PUMPS, KEPT_VALUES, MARK)
    }


class Works:
    """A fleet of four heads of two designs with its store and library; unproven and with tiny pictures."""

    def __init__(self, folder: Path) -> None:
        self.file = write_many_heads(folder / "fleet", heads=4, designs=2, variants=2)
        for name, text in SHORT.items():
            (self.file.parent / f"{name}.yaml").write_text(text, "utf-8")
        self.edit("demo: true\n", f"demo: true\nsequences: [{', '.join(f'{n}.yaml' for n in SHORT)}]\n")
        self.store, self.library = folder / "store", folder / "library"

    def build(self, workers: int = 1, only: tuple[str, ...] = (), **more: object) -> Built:
        return build_library(
            self.file,
            self.library,
            only,
            workers,
            pictures=TINY,
            cache=self.store,
            **more,  # type: ignore[arg-type]
        )

    def edit(self, old: str, new: str, count: int = 1, file: str = "") -> None:
        path = self.file.with_name(file) if file else self.file
        text = path.read_text("utf-8")
        assert old in text, text
        path.write_text(text.replace(old, new, count), "utf-8")


@pytest.fixture(scope="module", name="first")
def _first(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Works, Built]]:
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("SOURCE_DATE_EPOCH", "1900000000")
        works = Works(tmp_path_factory.mktemp("works"))
        yield works, works.build(workers=2)


@pytest.fixture(name="works")
def _works(first: tuple[Works, Built], tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Works:
    """The works as they are after the first build, to be changed; the fleet file keeps its path's last part."""
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1900000000")
    old = first[0]
    works = Works(tmp_path)
    shutil.rmtree(works.file.parent)
    shutil.copytree(old.file.parent, works.file.parent)
    shutil.copytree(old.store, works.store)
    shutil.copytree(old.library, works.library)
    return works


def test_heads_of_one_design_share_all_but_their_pages(first: tuple[Works, Built]) -> None:
    made = made_by(first[1])
    assert set(made) == set(HEADS)
    assert [made[tag] for tag in HEADS] == [ALL_DRAWN, ALL_DRAWN, PAGES, PAGES]


def test_nothing_is_made_twice_and_nothing_heavy_is_loaded(works: Works) -> None:
    """Looked at in a process of its own."""
    before = contents(works.library)
    script = f"""
import sys
from pathlib import Path
from benchleaf.site.booklets.library import build_library
from picture_sizes import TINY
from pypdf import PdfReader
built = build_library(Path({str(works.file)!r}), Path({str(works.library)!r}), (), 2, pictures=TINY,
    cache=Path({str(works.store)!r}))
heavy = {{"cadquery", "OCP", "vtkmodules", "pyvista"}} & set(sys.modules)
print(len(built.made), sorted(heavy))
"""
    here = Path(__file__).parent
    env = {**os.environ, "PYTHONPATH": os.pathsep.join([str(here), str(here.parent / "samples")])}
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True, env=env)
    assert done.stdout.split("\n")[0] == "0 []"
    assert contents(works.library) == before


TORQUE = "rotor_nut_torque: {value: 23"
CHANGES: dict[str, tuple[str, str, dict[str, set[str]]]] = {
    "a value of the fleet": ("value: 45, unit: °C", "value: 46, unit: °C", dict.fromkeys(HEADS, PAGES)),
    "a torque of one pump": (TORQUE, "rotor_nut_torque: {value: 22", {"G-003": PAGES}),
    "where that torque stands": (f"{TORQUE}, unit: N·m", f"{TORQUE}.0, unit: N·m", {"G-003": PAGES}),
    "the plant's name": ("Larkrise Works", "Larkfall Works", dict.fromkeys(HEADS, PAGES)),
    "the revision": ("revision: 1", "revision: 2", dict.fromkeys(HEADS, PAGES)),
    "the date": ("date: 2031-02-03}", "date: 2031-02-04}", dict.fromkeys(HEADS, PAGES)),
    "a tag": ("tag: G-003", "tag: G-303", {"G-303": PAGES}),
    "a service": ("service: duty 4", "service: duty 5", {"G-004": PAGES}),
    "a serial number": ("tag: G-003", "tag: G-003\n    serial_number: 7", {"G-003": PAGES}),
    "a part number": (
        "tag: G-002",
        "tag: G-002\n    spare_parts: {key: {number: K-8}}",
        {"G-002": PAGES},
    ),
    "a comment": ("demo: true", "demo: true  # of course", {}),
    "the name of a size": ("G1", "G9", {"G-001": PAGES, "G-003": PAGES}),
}
WHY = {
    "a value of the fleet": {"values", "changes"},
    "a torque of one pump": {"values", "changes"},
    "the plant's name": {"plant"},
    "the revision": {"revision"},
    "a service": {"pump"},
    "a part number": {"spares"},
    "the name of a size": {"pump"},
}


def test_what_is_the_same_is_not_written_again_and_what_was_altered_is(works: Works) -> None:
    """Nor does a second name of a file lead to the earlier one: what somebody still reads stays as it is."""
    before = contents(works.library)
    pictures = [n for n in before if n.startswith("g-001/pictures/")]
    files = {n: (works.library / n).stat().st_ino for n in pictures}
    altered = works.library / pictures[0]
    altered.write_bytes(before[pictures[0]][::-1])
    held = altered.open("rb")
    works.build()
    assert contents(works.library) == before
    now = {n: (works.library / n).stat().st_ino for n in pictures}
    assert {n for n in pictures if now[n] != files[n]} == {pictures[0]}
    with held:
        assert held.read() == before[pictures[0]][::-1]


@pytest.mark.parametrize("change", CHANGES)
def test_a_change_of_words_or_values_makes_pages_alone(works: Works, change: str) -> None:
    old, new, wanted = CHANGES[change]
    works.edit(old, new, 9)
    built = works.build()
    assert made_by(built) == wanted
    assert set(built.stages.by_name) <= {"data", "pages", "library"}


@pytest.mark.parametrize("change", WHY)
def test_which_input_changed_is_told(first: tuple[Works, Built], tmp_path: Path, change: str) -> None:
    """In the folder of the first build, whose history it is."""
    works = first[0]
    before = works.file.read_text("utf-8")
    old, new, _ = CHANGES[change]
    try:
        works.edit(old, new, 9)
        assert causes(works.build()) == WHY[change]
    finally:
        works.file.write_text(before, "utf-8")
        works.build()


def test_one_torque_changes_only_the_pages_that_state_it(works: Works) -> None:
    before = contents(works.library)
    works.edit(TORQUE, "rotor_nut_torque: {value: 22")
    works.build()
    after = contents(works.library)
    assert before.keys() == after.keys()
    changed = {name for name in before if before[name] != after[name]}
    of_library = {"index.html", "changes.html", "assets/pumps.js"}
    # The list marks it already where a test before changed a value and took it back.
    assert of_library - {"index.html"} <= changed, "what has changed, and what pumps are compared by"
    assert b'href="changes.html#g-003"' in after["index.html"]
    assert all(name.startswith("g-003/") for name in changed - of_library)
    assert b"22" in after["changes.html"]
    for name in changed - of_library:
        assert b"22" in after[name]
        assert name.endswith(".html")
    assert "g-003/values.html" in changed
    assert not {"g-003/assembly.html", "g-003/disassembly.html"} & changed


def test_a_steps_words_make_pages_alone(works: Works) -> None:
    works.edit("why: So it is.", "why: So it must be.", file="assembly.yaml")
    built = works.build()
    assert made_by(built) == dict.fromkeys(HEADS, PAGES)


def test_a_step_more_draws_the_steps_it_moves_and_proves_nothing_else(works: Works) -> None:
    """The steps after it have other numbers, and other files; the views of the sequence are chosen again."""
    more = "  - {id: look, section: cover, title: Look, focus: [body], acts: Look., why: So.,\n"
    more += "     cautions: [sharp_edges]}\n"
    path = works.file.with_name("disassembly.yaml")
    path.write_text(path.read_text("utf-8") + more, "utf-8")
    made = works.build().made
    for tag in ("G-001", "G-002"):
        mine = {m.kind: m.what for m in made if m.of == tag}
        assert mine["views"] == ("views, disassembly",)
        assert mine["picture"] == ("picture, disassembly 3",)
        assert mine["motion"] == ("motion, disassembly",)
        assert set(mine) == {"views", "motion", "picture", "viewer", "pages"}


def test_a_dimension_makes_the_heads_of_its_size_alone(works: Works) -> None:
    works.edit("rotor_width_mm: 40.60", "rotor_width_mm: 40.70")
    assert made_by(works.build()) == {"G-001": ALL_DRAWN, "G-003": PAGES}


def test_an_option_makes_that_head_alone(works: Works) -> None:
    works.edit("service: duty 3\n", "service: duty 3\n    cover_nuts: wing\n")
    assert made_by(works.build()) == {"G-003": ALL_DRAWN}


def test_files_for_paper_are_made_with_the_pages_and_say_what_they_say(works: Works) -> None:
    """Asked for in the fleet file: nothing is drawn for them; each page for paper leads to its file."""
    works.edit("booklet: {revision", "booklet: {pdf: [A4], revision")
    assert made_by(works.build(only=("G-001",))) == {"G-001": PAGES}
    folder = works.library / "g-001"
    (file,) = folder.glob("*.pdf")
    assert f'href="{file.name}"' in (folder / "paper.html").read_text("utf-8")
    reader = PdfReader(file)
    assert reader.metadata is not None
    assert reader.metadata.title is not None
    assert reader.metadata.title.startswith("G-001")
    said = "".join("".join(p.extract_text().split()) for p in reader.pages)
    for title in (
        "Lay the ring in",
        "Push the cover on",
        "Run the nuts on",
        "Take the nuts off",
        "Look at the nuts",
    ):
        assert title.replace(" ", "") in said
    assert not works.build(only=("G-001",)).made


def test_it_is_what_a_build_from_nothing_makes(works: Works, tmp_path: Path) -> None:
    """Also where the one was drawn by workers, the other in this process."""
    shutil.rmtree(works.library)  # a new library tells no changes
    works.edit("revision: 1", "revision: 2")
    assert made_by(works.build()) == dict.fromkeys(HEADS, PAGES)
    fresh = build_library(works.file, tmp_path / "fresh", workers=1, pictures=TINY)
    assert made_by(fresh).keys() == set(HEADS)
    assert contents(works.library) == contents(tmp_path / "fresh")


def test_other_workers_folders_and_choices_find_the_same(works: Works, tmp_path: Path) -> None:
    moved = tmp_path / "elsewhere"
    works.file.parent.rename(moved)
    works.file = moved / works.file.name
    works.library = tmp_path / "another library"
    assert not works.build(workers=3, only=("G-002", "G-003")).made
    assert [p.name for p in sorted(works.library.iterdir()) if p.name.startswith("g-")] == ["g-002", "g-003"]


def damaged(store: Path) -> Callable[[], None]:
    """Return what flips a bit in the middle of every content."""

    def damage() -> None:
        for path in store.rglob("contents/*/*"):
            content = bytearray(path.read_bytes())
            if content:
                content[len(content) // 2] ^= 16
                path.write_bytes(bytes(content))

    return damage


def test_a_damaged_store_is_made_anew_and_nothing_of_it_is_used(works: Works) -> None:
    works.build(only=HEADS[:1])
    before = contents(works.library)
    damaged(works.store)()
    built = works.build(only=HEADS[:1])
    assert made_by(built) == {"G-001": ALL_DRAWN}
    assert contents(works.library) == before
    assert not works.build(only=HEADS[:1]).made


def test_contents_that_are_gone_are_made_anew(works: Works) -> None:
    works.build(only=HEADS[1:2])
    before = contents(works.library)
    for n, path in enumerate(sorted(works.store.rglob("contents/*/*"))):
        if n % 3 == 0:
            path.unlink()
    assert works.build(workers=2, only=HEADS[1:2]).made
    assert contents(works.library) == before


def test_a_store_that_cannot_be_written_costs_the_next_build_its_time_alone(
    works: Works, tmp_path: Path
) -> None:
    works.build(only=HEADS[:1])
    before = contents(works.library)
    works.store = tmp_path / "file"
    works.store.write_text("in the way")
    built = works.build(only=HEADS[:1])
    assert built.unwritable
    assert contents(works.library) == before


def test_a_build_that_was_stopped_goes_on_where_it_was(
    works: Works, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    works.build(only=HEADS[:1])
    before = contents(works.library)
    works.store = tmp_path / "another store"

    def stop(*_: object) -> None:
        raise KeyboardInterrupt

    with monkeypatch.context() as patch:
        patch.setattr(head_tasks, "take_overview", stop)
        with pytest.raises(KeyboardInterrupt):
            works.build(only=HEADS[:1])
    assert contents(works.library) == before
    made = made_by(works.build(only=HEADS[:1]))
    assert made["G-001"] == ALL_DRAWN - {"solids"}
    assert contents(works.library) == before


def test_keys_are_the_same_in_every_process(works: Works, tmp_path: Path) -> None:
    """Five processes with hash seeds and folders of their own name one head's pieces alike."""
    script = """
import sys
from pathlib import Path
from benchleaf.sequences.proof.bare_assembly import bare
from benchleaf.sequences.proof.head_proof import proof_keys
from benchleaf.site.booklets.booklet_files import booklet_key
from benchleaf.site.build.fleet_run import open_fleet
from benchleaf.site.booklets.head_job import HeadJob
from benchleaf.site.booklets.library import booklet_setting, picture_settings
from benchleaf.render.pictures.picture_keys import models_key, overview_key, views_key
from dataclasses import replace
run = open_fleet(Path(sys.argv[1]))
work = next(run.works())
if sys.argv[2] == "solid":
    work = replace(work, known=bare(work.head))
    print(*(k.digest for k in proof_keys(work.assembly, work.plans).all))
settings = picture_settings(run.fleet)
job = HeadJob(work, booklet_setting(run.fleet), "1", (), settings)
print(work.design.digest, booklet_key(job).digest, models_key(work.design.digest, settings.detail).digest)
"""
    said: dict[str, set[str]] = {"solid": set(), "bare": set()}
    for n in range(5):
        folder = tmp_path / f"works {n}"
        shutil.copytree(works.file.parent, folder)
        kind = "solid" if n < 2 else "bare"
        env = {**os.environ, "PYTHONHASHSEED": str(n * 17 + 1)}
        done = subprocess.run(
            [sys.executable, "-c", script, str(folder / works.file.name), kind],
            capture_output=True,
            text=True,
            check=True,
            env=env,
        )
        said[kind].add(done.stdout)
    assert len(said["solid"]) == len(said["bare"]) == 1
    (solid,), (alone,) = said["solid"], said["bare"]
    assert solid.splitlines()[1] == alone.splitlines()[0]


def test_heads_of_a_fleet_have_as_many_designs_as_they_differ_in(works: Works) -> None:
    run = open_fleet(works.file)
    assert len({work.design.digest for work in run.works()}) == 2
    assert Store(works.store).size().entries > 0
