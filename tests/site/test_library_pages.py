"""The list of booklets: what it filters by, what each line tells, and the data that its scripts work on."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from pathlib import Path

from benchleaf.sequences.calculations.load_fleet import load_fleet
from benchleaf.sequences.calculations.spares import kit
from benchleaf.sequences.upkeep.spare_parts import summed
from benchleaf.site.booklets.head_rows import kit_lines
from benchleaf.site.command import DEMO_FLEET
from benchleaf.site.pages.library.head_lines import ComparedRow, HeadLine, KitLine
from benchleaf.site.pages.library.library_data import NAME, pumps_script
from benchleaf.site.pages.library.library_pages import list_heads, usual_choices, write_library
from benchleaf.site.pages.library.pump_changes import KeptPumps, next_kept_pumps, pump_changes
from benchleaf.site.pages.pages import Setting
from benchleaf.site.words.catalogue import load_words

WORDS = load_words()


def line(tag: str, size: str, **options: str) -> HeadLine:
    return replace(
        HeadLine.bare(tag.lower(), tag), size=size, options=tuple(options.items()), href=f"{tag}/index.html"
    )


HEADS = (
    line("A", "62", seal="single", cover="plain", metal="316L"),
    line("B", "62", seal="double", cover="plain", metal="316L"),
    line("C", "80", seal="double", cover="relief", metal="316L", drain="yes"),
)


def test_filters_are_what_pumps_differ_by() -> None:
    filters, listed = list_heads(HEADS, ("seal",), "Size")
    assert [(f.title, f.choices) for f in filters] == [
        ("Size", ("62", "80")),
        ("seal", ("double", "single")),
        ("cover", ("plain", "relief")),
        ("drain", ("", "yes")),
    ]
    for f_at, f in enumerate(filters):
        for item in listed:
            own = item.line.size if f.title == "Size" else dict(item.line.options).get(f.title, "")
            assert f.choices[item.chosen[f_at]] == own


def test_a_line_tells_what_is_always_told_and_where_it_is_not_as_most() -> None:
    assert usual_choices(HEADS, ("seal",)) == {"cover": "plain", "drain": ""}
    told = [item.told for item in list_heads(HEADS, ("seal",), "Size")[1]]
    assert told == [
        (("seal", "single"),),
        (("seal", "double"),),
        (("seal", "double"), ("cover", "relief"), ("drain", "yes")),
    ]


def test_without_a_majority_every_line_tells() -> None:
    heads = (line("A", "62", cover="plain"), line("B", "62", cover="relief"))
    assert usual_choices(heads, ()) == {}
    assert [item.told for item in list_heads(heads, (), "Size")[1]] == [
        (("cover", "plain"),),
        (("cover", "relief"),),
    ]


def test_an_empty_library_and_one_of_one_pump_have_no_filter() -> None:
    assert list_heads((), (), "Size") == ((), ())
    assert list_heads(HEADS[:1], (), "Size")[0] == ()


def _data(script: str) -> dict[str, object]:
    head, _, rest = script.partition(" = ")
    assert head == f"window.{NAME}"
    data: dict[str, object] = json.loads(rest.removesuffix(";\n"))
    return data


def test_the_script_holds_every_row_and_kit_and_what_is_shared_once() -> None:
    row = ComparedRow("parts", "key 1", "Key", "8 × 7", "k", "pump.html")
    kit = KitLine("s", "Key", "8 × 7", "N-1", "steel", True, 2)
    heads = tuple(replace(h, rows=(row,), kit=(kit,)) for h in HEADS)
    data = _data(pumps_script(heads))
    assert data["rows"] == [["key 1", "Key", "8 × 7", "k", "pump.html"]]
    assert len(data["kits"]) == 1  # type: ignore[arg-type]
    assert [p["tag"] for p in data["pumps"]] == ["A", "B", "C"]  # type: ignore[attr-defined]


def test_nothing_in_the_data_ends_the_script() -> None:
    hostile = ComparedRow("values", "v", "</script><script>alert(1)</script>", "<!--\u2028", "k")
    script = pumps_script((replace(HEADS[0], rows=(hostile,)),))
    assert "<" not in script
    assert "\u2028" not in script
    assert _data(script)["rows"] == [["v", hostile.name, hostile.text, "k", ""]]


def test_kits_add_up_by_their_keys_as_the_program_sums_them() -> None:
    fleet = load_fleet(DEMO_FLEET / "fleet.yaml")
    rows = fleet.heads
    by_key: dict[str, int] = {}
    for row in rows:
        for k in kit_lines(row, WORDS):
            by_key[k.same] = by_key.get(k.same, 0) + k.quantity
    assert sorted(by_key.values()) == sorted(x.quantity for x in summed(kit(row) for row in rows))
    assert len(by_key) > 20


def test_changes_are_on_their_page_and_in_the_list(tmp_path: Path) -> None:
    setting = Setting(WORDS, "Invented Works", True, "2031-02-01")
    row = ComparedRow("values", "torque", "Torque", "25 N·m", "2", "values.html")
    old = [replace(HEADS[0], rows=(row,)), HEADS[1]]
    new = (replace(HEADS[0], rows=(replace(row, text="30 N·m", key="3"),)), HEADS[1], HEADS[2])
    kept = next_kept_pumps(next_kept_pumps(KeptPumps(), old, "2031-01-01"), new, setting.date)
    write_library(new, (), tmp_path, setting, changes=pump_changes(kept), new=kept.new, gone=kept.gone)
    page = (tmp_path / "changes.html").read_text("utf-8")
    for text in ("25\u00a0N·m", "30\u00a0N·m", "2031-01-01", 'href="a/values.html"', 'id="a"'):
        assert text in page, text
    lines = re.findall(r"<tr data-find[^>]*>", (tmp_path / "index.html").read_text("utf-8"))
    assert ["data-changed" in tag for tag in lines] == [True, False, False]
    assert 'href="changes.html#a"' in (tmp_path / "index.html").read_text("utf-8")
