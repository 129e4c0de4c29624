"""What was made anew is told with the inputs that had changed since the build before."""

from __future__ import annotations

from pathlib import Path

from benchleaf.sequences.work.keys import task_key
from benchleaf.sequences.work.store import Store
from benchleaf.sequences.work.tasks import KeptPiece
from benchleaf.site.build.why import CALLED, INPUTS, History, Made


def piece(of: str, what: str, kind: str = "picture", **inputs: object) -> KeptPiece:
    return KeptPiece(task_key(kind, **inputs), of, what)


def test_changed_inputs_are_named_and_like_pieces_told_together(tmp_path: Path) -> None:
    store, file = Store(tmp_path / "store"), tmp_path / "fleet.yaml"
    first = [piece("P-1", f"picture {n}", step=n, settings="a") for n in range(3)]
    history = History(store, file)
    assert history.made(first) == (Made("P-1", "picture", ("picture 0", "picture 1", "picture 2"), ()),)
    history.keep(first)
    now = [piece("P-1", f"picture {n}", step=n + (n == 2), settings="b") for n in range(3)]
    assert History(store, file).made(now) == (
        Made("P-1", "picture", ("picture 0", "picture 1"), ("settings",)),
        Made("P-1", "picture", ("picture 2",), ("settings", "step")),
    )


def test_an_input_that_came_or_went_is_a_change(tmp_path: Path) -> None:
    history = History(Store(tmp_path), tmp_path / "fleet.yaml")
    history.keep([piece("P-1", "pages", "pages", words=1, plant=2)])
    (made,) = history.made([piece("P-1", "pages", "pages", words=1, media=2)])
    assert made.changed == ("media", "plant")


def test_each_fleet_file_has_its_history(tmp_path: Path) -> None:
    store = Store(tmp_path / "store")
    history = History(store, tmp_path / "a.yaml")
    history.keep([piece("P-1", "pages", "pages", words=1)])
    (made,) = History(store, tmp_path / "b.yaml").made([piece("P-1", "pages", "pages", words=2)])
    assert made.changed == ()


def test_what_was_kept_before_stays_where_a_build_did_not_look(tmp_path: Path) -> None:
    store, file = Store(tmp_path), tmp_path / "fleet.yaml"
    History(store, file).keep(
        [piece("P-1", "pages", "pages", words=1), piece("P-2", "pages", "pages", words=1)]
    )
    History(store, file).keep([piece("P-1", "pages", "pages", words=2)])
    made = History(store, file).made([piece(tag, "pages", "pages", words=3) for tag in ("P-1", "P-2")])
    assert [m.changed for m in made] == [("words",), ("words",)]


def test_a_damaged_history_is_none(tmp_path: Path) -> None:
    store, file = Store(tmp_path), tmp_path / "fleet.yaml"
    history = History(store, file)
    history.keep([piece("P-1", "pages", "pages", words=1)])
    key = task_key("history", file=str(file.absolute())).digest
    for content in (b"", b"no history"):
        store.put(key, {"history": content})
        (made,) = History(store, file).made([piece("P-1", "pages", "pages", words=2)])
        assert made.changed == ()


def test_it_is_told_in_words() -> None:
    assert str(Made("P-1", "picture", ("a", "b"), ("step", "code"))) == (
        "P-1: 2 pictures of steps; changed: moves of the step, the program"
    )
    assert str(Made("P-1", "pages", ("pages",), ())) == "P-1: booklet's pages; not kept from before"
    assert set(CALLED) >= {
        "solids",
        "evidence",
        "turn",
        "views",
        "motion",
        "overview",
        "picture",
        "card",
        "viewer",
        "pages",
    }
    assert all(INPUTS.values())
