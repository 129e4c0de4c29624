"""What has changed in booklets since the library before: by their data, whatever the words."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from benchleaf.sequences.work.json_data import from_json, json_bytes
from benchleaf.site.build.kept_pumps import read_kept_pumps, write_kept_pumps
from benchleaf.site.folders.marks import KEPT_PUMPS
from benchleaf.site.pages.library.head_lines import GROUPS, ComparedRow, Group, HeadLine
from benchleaf.site.pages.library.pump_changes import KeptPumps, next_kept_pumps, pump_changes, rows_said
from benchleaf.site.words.languages.fallback import stand_in
from hypothesis import given
from hypothesis import strategies as st

ROWS = (
    ComparedRow("options", "seal", "Seal", "single", "1", "pump.html"),
    ComparedRow("values", "torque", "Torque", "25 N·m", "2", "values.html"),
    ComparedRow("steps", "assembly nuts", "Assembly: tighten", "step 9", "3", "assembly.html#step-9"),
)


def head(tag: str, rows: tuple[ComparedRow, ...] = ROWS) -> HeadLine:
    return replace(HeadLine.bare(tag.lower(), tag), rows=rows)


def test_a_first_library_has_no_changes() -> None:
    kept = next_kept_pumps(KeptPumps(), [head("A"), head("B")], "2031-01-01")
    assert (pump_changes(kept), kept.new, kept.gone) == ((), (), ())
    assert len(kept.groups) == len(GROUPS), "what pumps share is held once"


def test_rows_new_gone_and_other_are_told_and_words_alone_are_no_change() -> None:
    first = next_kept_pumps(KeptPumps(), [head("A"), head("B"), head("C")], "2031-01-01")
    new = ComparedRow("parts", "key 1", "Key", "2 pieces", "7", "pump.html")
    now = (replace(ROWS[0], text="simple"), replace(ROWS[1], text="30 N·m", key="9"), new)
    kept = next_kept_pumps(first, [head("A", now), head("B", now), head("C")], "2031-02-01")
    (found,) = pump_changes(kept)
    assert (found.tags, found.since) == (("A", "B"), "2031-01-01")
    assert [(c.group, c.kind, c.name, c.was, c.now, c.page) for c in found.changes] == [
        ("parts", "new", "Key", "", "2 pieces", "pump.html"),
        ("values", "other", "Torque", "25 N·m", "30 N·m", "values.html"),
        ("steps", "gone", "Assembly: tighten", "step 9", "", ""),
    ]


def test_building_again_without_a_change_tells_the_same() -> None:
    first = next_kept_pumps(KeptPumps(), [head("A"), head("B")], "2031-01-01")
    second = next_kept_pumps(first, [head("A", ROWS[:2]), head("C")], "2031-02-01")
    third = next_kept_pumps(second, [head("A", ROWS[:2]), head("C")], "2031-03-01")
    assert (second.new, second.gone) == (("C",), ("B",)) == (third.new, third.gone)
    assert pump_changes(third) == pump_changes(second) != ()


def test_what_is_kept_is_read_again_and_what_is_damaged_counts_as_nothing(tmp_path: Path) -> None:
    kept = next_kept_pumps(KeptPumps(), [head("A")], "2031-01-01")
    write_kept_pumps(kept, tmp_path)
    assert read_kept_pumps(tmp_path) == kept
    content = (tmp_path / KEPT_PUMPS).read_bytes()
    (tmp_path / KEPT_PUMPS).write_bytes(content[: len(content) // 2])
    assert read_kept_pumps(tmp_path) == KeptPumps() == read_kept_pumps(tmp_path / "none")


@st.composite
def libraries(draw: st.DrawFn) -> list[HeadLine]:
    def rows(number: int) -> tuple[ComparedRow, ...]:
        made = []
        for n in range(number):
            group: Group = draw(st.sampled_from(GROUPS))
            made.append(ComparedRow(group, str(n), f"n{n}", "t", draw(st.sampled_from("ab"))))
        return tuple(made)

    tags = draw(st.lists(st.sampled_from("ABCD"), unique=True))
    return [head(tag, rows(draw(st.integers(0, 4)))) for tag in tags]


@given(libraries(), libraries())
def test_changes_lead_from_the_old_rows_to_the_new(old: list[HeadLine], new: list[HeadLine]) -> None:
    kept = next_kept_pumps(next_kept_pumps(KeptPumps(), old, "1"), new, "2")
    assert from_json(KeptPumps, json_bytes(kept)) == kept
    before = {h.tag: {(r.group, r.name): r.key for r in h.rows} for h in old}
    after = {h.tag: {(r.group, r.name): r.key for r in h.rows} for h in new}
    told = {tag: found.changes for found in pump_changes(kept) for tag in found.tags}
    for tag in after.keys() & before.keys():
        was, now = before[tag], after[tag]
        kinds = {(c.group, c.name): c.kind for c in told.get(tag, ())}
        assert {k for k, kind in kinds.items() if kind == "new"} == now.keys() - was.keys()
        assert {k for k, kind in kinds.items() if kind == "gone"} == was.keys() - now.keys()
        assert {k for k, kind in kinds.items() if kind == "other"} == {
            k for k in was.keys() & now.keys() if was[k] != now[k]
        }
    assert told.keys() <= after.keys() & before.keys()


@pytest.mark.parametrize("order", [(0, 1, 2), (2, 1, 0)])
def test_a_change_of_order_alone_is_none(order: tuple[int, ...]) -> None:
    first = next_kept_pumps(KeptPumps(), [head("A")], "1")
    kept = next_kept_pumps(first, [head("A", tuple(ROWS[n] for n in order))], "2")
    assert pump_changes(kept) == ()


def test_changes_are_told_in_another_language_as_far_as_it_has_them() -> None:
    """What is gone, or was there before, has words of the main language alone: they stand in."""
    first = next_kept_pumps(KeptPumps(), [head("A")], "2031-01-01")
    now = (ROWS[0], replace(ROWS[1], text="30 N·m", key="9"))
    kept = next_kept_pumps(first, [head("A", now)], "2031-02-01")
    german = tuple(replace(r, name=f"{r.name} (de)", text="30,0 N·m") for r in now)
    (found,) = pump_changes(kept, rows_said([head("A", german)]))
    assert [(c.kind, c.name, c.was, c.now) for c in found.changes] == [
        ("other", "Torque (de)", stand_in("25 N·m"), "30,0 N·m"),
        ("gone", stand_in("Assembly: tighten"), stand_in("step 9"), ""),
    ]
