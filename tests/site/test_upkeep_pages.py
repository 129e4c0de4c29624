"""The pages beside the sequences, of demo pumps: what is on file, what is a blank, and where each line leads."""

from __future__ import annotations

import re
from dataclasses import replace
from html import unescape
from pathlib import Path

import pytest
from benchleaf.geometry.assembly import Assembly
from benchleaf.render.drawing.manifest import CameraSeen, Manifest, PartSeen
from benchleaf.sequences.calculations.load_fleet import JudgedFleet, load_fleet
from benchleaf.sequences.fleet.heads import FleetHead
from benchleaf.sequences.upkeep.spare_parts import SparePart
from benchleaf.sequences.upkeep.upkeep_file import load_upkeep
from benchleaf.site.booklets.head_pictures import HeadPictures
from benchleaf.site.booklets.head_upkeep import part_details
from benchleaf.site.command import DEMO_FLEET
from benchleaf.site.pages.booklet import Booklet, make_parts_list
from benchleaf.site.pages.pages import Setting, write_booklet
from benchleaf.site.pages.upkeep_pages import PartDetail
from benchleaf.site.words.catalogue import load_words
from fleet_pages import make_booklet, named_parts, worded_plans

WORDS = load_words()
PAGES = ("pump", "cleaning", "start_up", "trouble", "year", "glossary")


@pytest.fixture(scope="module")
def fleet() -> JudgedFleet:
    return load_fleet(DEMO_FLEET / "fleet.yaml")


@pytest.fixture(scope="module")
def written(fleet: JudgedFleet, tmp_path_factory: pytest.TempPathFactory) -> dict[str, tuple[Booklet, Path]]:
    folder = tmp_path_factory.mktemp("pages")
    setting = Setting(WORDS, fleet.plant, fleet.demo, "2031-01-01")
    found = {}
    for row in fleet.heads:
        booklet = make_booklet(fleet, row)
        write_booklet(booklet, folder / row.slug, setting)
        found[row.tag] = booklet, folder / row.slug
    return found


def page(written: dict[str, tuple[Booklet, Path]], tag: str, name: str) -> str:
    return (written[tag][1] / f"{name}.html").read_text("utf-8")


def test_every_pump_has_its_pages_in_the_order_of_the_job(written: dict[str, tuple[Booklet, Path]]) -> None:
    for booklet, folder in written.values():
        pages = booklet.page_list(WORDS)
        files = [p.file.removesuffix(".html") for p in pages]
        wanted = ["index", "pump", "assembly", "disassembly", "inspection", "cleaning", "start_up"]
        assert files[: len(wanted)] == wanted
        assert [f for f in files if f in PAGES] == list(PAGES)
        assert files.index("record") < files.index("trouble")
        assert all((folder / f"{name}.html").is_file() for name in PAGES)
        assert {p.kind for p in pages if not p.in_bar} == {"year", "glossary", "class_view", "observed"}


def test_no_link_is_dead(written: dict[str, tuple[Booklet, Path]]) -> None:
    for booklet, folder in written.values():
        texts = {p.name: p.read_text("utf-8") for p in folder.glob("*.html")}
        anchors = {name: set(re.findall(r'id="([^"]+)"', text)) for name, text in texts.items()}
        assert texts.keys() == {p.file for p in booklet.page_list(WORDS)}
        assert len(texts) == 20
        for name, text in texts.items():
            links = re.findall(r'href="([\w.]*\.html)?(?:#([^"]*))?"', text)
            assert len(links) > 10
            for file, anchor in links:
                assert not file or file in texts, (name, file)
                assert not anchor or anchor in anchors[file or name], (name, file, anchor)


def test_the_name_plate_says_what_is_on_file_and_leaves_a_line_for_each(
    written: dict[str, tuple[Booklet, Path]],
) -> None:
    known, bare = page(written, "P-101", "pump"), page(written, "P-103", "pump")
    assert '<span class="figure-of">IV-2029-0417</span>' in known
    assert bare.count(WORDS("pump.not_on_file")) == 4
    assert known.count(WORDS("pump.not_on_file")) == 1, "the clearance code is not on file"
    assert "cream to the standardising tank, animal fats and vegetable oils" in known
    assert "yoghurt to the filler." in bare
    for text in (known, bare):
        assert text.count('data-keep="plate-') == 8
        assert text.count('data-keep="kit-gasket"') == 1
        assert WORDS("pump.stop") in text


def details(row: FleetHead) -> tuple[PartDetail, ...]:
    """Return the parts list of a head whose parts of one kind are of one material."""
    parts = {
        key: replace(p, material="316L", side=key.removeprefix(f"{p.kind}_") if "_dri" in key else None)  # type: ignore[arg-type]
        for key, p in named_parts(row).parts.items()
    }
    assembly = Assembly(row.tag, parts)
    return part_details(row, assembly, make_parts_list(assembly, WORDS), WORDS)


def test_a_number_stands_where_the_fleet_gives_it_and_else_a_blank(
    fleet: JudgedFleet, written: dict[str, tuple[Booklet, Path]]
) -> None:
    by_kind = {d.row.kind: d for d in details(fleet.head("P-101"))}
    assert by_kind["shaft_oring"].numbers == ("IV-62-101",)
    assert by_kind["shaft_oring"].spares == ("replace always",)
    assert by_kind["shaft_oring"].compounds == ("FKM 75",)
    assert by_kind["rotor"].numbers == by_kind["rotor"].spares == by_kind["rotor"].sizes == ()
    large, small = by_kind["body_dowel"].sizes
    assert large.endswith(" mm (large)")
    assert small.endswith(" mm (small)")
    assert by_kind["body_dowel"].numbers == ("IV-62-130 (large)", "IV-62-131 (small)")
    assert by_kind["body_dowel"].spares == ("on condition",)
    bare = written["P-103"][0].upkeep
    assert bare is not None
    assert {d.numbers for d in bare.parts} == {()}
    assert {r.number for r in (*bare.always, *bare.ready)} == {""}
    assert bare.ready == ()
    assert {"Key", "Disc spring (Belleville washer)", "Cover nut"} <= {r.part for r in bare.maybe}
    assert not {r.part for r in bare.maybe} & {r.part for r in bare.always}
    marked = written["P-101"][0].upkeep
    assert marked is not None
    assert "Key" in {r.part for r in marked.ready}
    assert "Key" not in {r.part for r in marked.maybe}
    assert WORDS("pump.none_ready") in page(written, "P-103", "pump")


def test_only_one_of_two_twins_with_a_number_is_told_by_its_side(fleet: JudgedFleet) -> None:
    row = replace(fleet.head("P-103"), spare_parts={"key_drive": SparePart("K-8")})
    (key,) = (d for d in details(row) if d.row.kind == "key")
    assert key.numbers == ("K-8 (drive side)",)


def test_the_trend_holds_what_the_fleet_gives_and_room_for_more(
    written: dict[str, tuple[Booklet, Path]],
) -> None:
    text = page(written, "P-101", "year")
    rows = re.findall(r'<td class="figure-of">(.*?)</td>', text)
    assert rows == ["0.08", "0.09", "0.09", "0.09", "0.07", "0.08", "0.07", ""]
    assert "WO-3107" in text
    assert text.count('data-keep="trend-date-') == 3
    bare = page(written, "P-202", "year")
    assert re.findall(r'<td class="figure-of">(.*?)</td>', bare) == []
    assert bare.count(WORDS("year.no_limits")) == 4
    assert not re.search(r"<td[^>]*>\s*(every|yearly)", bare), "no interval is proposed"


def test_trouble_follows_the_options_and_says_what_is_referred(
    written: dict[str, tuple[Booklet, Path]],
) -> None:
    plain, relief = page(written, "P-101", "trouble"), page(written, "P-104", "trouble")
    assert "symptom-leak_relief" not in plain
    assert 'id="symptom-leak_relief"' in relief
    for text in (plain, relief):
        assert text.index('class="safety') < text.index('class="symptom"')
        assert text.count('class="refer"') >= 10
        assert WORDS("cause.shaft_forward") in text
    steps = dict(re.findall(r'<a href="(assembly\.html#step-\d+)">(.*?)</a>', relief))
    assert any("Measure the mesh clearance" in t for t in steps.values())


def test_checklists_have_no_pictures_and_their_readings_are_on_the_record(
    written: dict[str, tuple[Booklet, Path]],
) -> None:
    for tag in ("P-101", "P-104"):
        for name in ("cleaning", "start_up"):
            text = page(written, tag, name)
            assert 'class="plate' not in text
            assert WORDS("steps.figure_missing") not in text
            assert text.count('<section class="step plain"') > 6
        record = page(written, tag, "record")
        assert 'id="cleaning-rinse_ph_out"' in record
        (ph,) = re.findall(r'<tr id="cleaning-rinse_ph_out" .*?</tr>', record, re.DOTALL)
        assert "pH of the last rinse as that of the water that goes in, within 0.3" in ph.replace(
            "\u00a0", " "
        )
        assert WORDS("record.no_limits") not in ph, (
            "a rule in words is on file, though no figure judges by it"
        )
        (current,) = re.findall(r'<tr id="start_up-duty_current" .*?</tr>', record, re.DOTALL)
        assert WORDS("record.no_limits") in current
        assert WORDS("value.motor_current_limit.where") in unescape(current).replace("\u00a0", " ")
        assert 'id="start_up-hour_leaks"' in record
    assert "Turn on the flush" not in page(written, "P-101", "start_up")
    assert "Turn on the flush" in page(written, "P-104", "start_up")


def test_blanks_of_the_checklists_are_among_the_missing_values(
    written: dict[str, tuple[Booklet, Path]],
) -> None:
    booklet, _ = written["P-101"]
    missing = {v.value.name: v.used for v in booklet.missing}
    assert {u.sequence for u in missing["start_up_speed"]} == {"cleaning", "start_up"}
    assert "gear_case_oil" not in missing
    assert "________" not in page(written, "P-101", "glossary")


def test_each_part_of_the_job_leads_to_the_next(written: dict[str, tuple[Booklet, Path]]) -> None:
    onward = {
        "disassembly": "inspection", "inspection": "assembly", "assembly": "cleaning", "cleaning": "start_up",
        "start_up": None,
    }  # fmt: skip
    for name, following in onward.items():
        text = page(written, "P-101", name)
        (end,) = re.findall(r'<p class="begin">(.*?)</p>', text)
        assert text.index('<p class="begin">') > text.rindex('<section class="step')
        linked = ["record.html"] if following is None else [f"{following}.html", "record.html"]
        assert re.findall(r'href="([^"]+)"', end) == linked


def test_a_step_whose_value_is_not_on_file_says_to_stop(written: dict[str, tuple[Booklet, Path]]) -> None:
    for booklet, folder in written.values():
        for chapter in booklet.chapters:
            text = (folder / f"{chapter.id}.html").read_text("utf-8")
            steps = text.split('<section class="step')[1:]
            assert len(steps) == chapter.total
            for step, shown in zip(chapter.steps, steps, strict=True):
                blank = any(not v.known for v in step.values)
                assert shown.count(WORDS("values.stop")) == blank, step.step.id


def test_a_clearance_leads_from_its_step_to_what_is_done_outside_its_limits(
    written: dict[str, tuple[Booklet, Path]],
) -> None:
    for name, count in (("assembly", 7), ("disassembly", 6), ("start_up", 0)):
        text = page(written, "P-101", name)
        found = re.findall(r'href="trouble\.html#limits-(\w+)">(.*?)</a>', text)
        assert len(found) == count
        assert {said for _, said in found} <= {WORDS("steps.outside")}


def test_words_and_data_name_the_same_rows() -> None:
    file = load_upkeep()
    ids = {
        "compare": {e.id for e in file.compare},
        "symptom": {s.id for s in file.symptoms},
        "cause": {c.id for s in file.symptoms for c in s.causes}
        | {c.id for k in file.limits for c in (*k.too_small, *k.too_large)},
        "task": {e.id for e in file.tasks},
        "term": {t.id for t in file.terms},
    }
    for table, wanted in ids.items():
        found = {k.split(".")[1] for k in WORDS.texts if k.startswith(f"{table}.")}
        assert found == wanted, table


# ------------------------------------------------------------------ glossary
def test_every_term_has_a_picture_of_its_part_or_none(fleet: JudgedFleet, tmp_path: Path) -> None:
    """Pictures are stood in for by manifests that show every part of their step, each in its own place."""
    camera = CameraSeen("iso", (1.0, 1.0, 1.0), (0.0, 1.0, 0.0), (0.0, 0.0, 0.0), 100.0)
    for tag in ("P-101", "P-104", "P-105", "P-201"):
        row = fleet.head(tag)
        keys = list(named_parts(row).parts)
        spots = {k: (n / len(keys), 0.4, (n + 1) / len(keys), 0.5) for n, k in enumerate(keys)}
        seen = {k: PartSeen("plain", 100, 1.0, None, box) for k, box in spots.items()}

        def shown(name: str, seen: dict[str, PartSeen] = seen) -> Manifest:
            return Manifest("step", name, 1, {"webp": f"{name}.webp"}, 1600, 1200, camera, False, seen)

        steps = {
            (p.sequence, s.id): shown(f"{p.sequence}-{s.id}")
            for p in worded_plans(fleet, row)
            for s in p.steps
        }
        booklet = make_booklet(fleet, row, pictures=HeadPictures(shown("overview"), steps, {}))
        assert booklet.upkeep is not None
        parts = {t.id: t.part for t in load_upkeep().terms}
        names = [t.name.casefold() for t in booklet.upkeep.terms]
        assert names == sorted(names)
        pictured = 0
        for term in booklet.upkeep.terms:
            assert term.steps, term.id
            kind = parts[term.id]
            if term.picture is None:
                assert kind is None, term.id
                assert term.id != "fluid_head"
                continue
            pictured += 1
            assert term.name in term.picture.alt
            if kind is None:
                assert term.id == "fluid_head"
                assert "overview" in term.picture.src
                assert [u.href for u in term.steps] == ["index.html"]
            else:
                left, _, right, _ = term.picture.box
                middle = (left + right) / 2
                of_kind = [spots[k] for k, x in row.parts.items() if x == kind]
                assert any(left <= (b[0] + b[2]) / 2 <= right for b in of_kind), (term.id, middle)
        write_booklet(booklet, tmp_path / tag, Setting(WORDS, fleet.plant, True, "2031-01-01"))
        text = (tmp_path / tag / "glossary.html").read_text("utf-8")
        assert text.count("<img ") == pictured > 10
        assert 'style="' not in text.partition("</head>")[2], "places are classes, as the policy asks"
