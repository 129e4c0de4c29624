"""Parts of a booklet to hand out: what there is, what each holds, and one page whole in itself."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from benchleaf.site.command import main
from benchleaf.site.pages.pages import Setting, write_booklet
from benchleaf.site.pages.paper.parts import booklet_part, part_names
from benchleaf.site.pages.paper.single_page import single_page
from benchleaf.site.words.catalogue import load_words
from site_samples import draw_sample_pictures, sample_booklet, sample_plan

WORDS = load_words()
SETTING = Setting(WORDS, "Invented Works", True, "2025-03-01")


def page_of(name: str, folder: Path) -> str:
    booklet, part = booklet_part(sample_booklet(), name, WORDS)
    write_booklet(booklet, folder, SETTING, part=part)
    assert [p.name for p in folder.glob("*.html")] == ["paper.html"]
    return (folder / "paper.html").read_text("utf-8")


def test_every_sequence_and_section_with_steps_is_a_part() -> None:
    plan = sample_plan()
    names = part_names([plan], proven=False)
    used = [s.id for s in plan.sections if any(x.section == s.id for x in plan.steps)]
    assert names == ("assembly", *(f"assembly/{s}" for s in used), "record")
    assert part_names([plan])[-2:] == ("cards", "record")


def test_a_section_holds_its_steps_alone_with_standing_messages_and_its_readings(tmp_path: Path) -> None:
    booklet = sample_booklet()
    (chapter,) = booklet.chapters
    for section in chapter.sections:
        name = f"assembly/{section.id}"
        reduced, part = booklet_part(booklet, name, WORDS)
        assert part.title == f"{chapter.title}: {section.title}"
        steps = [s.step.number for s in section.steps]
        assert [s.step.number for s in reduced.chapters[0].steps] == steps
        assert reduced.chapters[0].total == chapter.total
        assert {r.step for r in reduced.readings} <= set(steps)
        assert reduced.standing == booklet.standing
        page = page_of(name, tmp_path / section.id)
        assert re.findall(r'<section class="step[^>]* data-step="(\d+)"', page) == [str(n) for n in steps]
        assert all(c.hazard in page for c in booklet.standing)
        assert "sheet-contents" not in page


def test_the_record_alone_holds_every_reading_and_no_step(tmp_path: Path) -> None:
    page = page_of("record", tmp_path)
    assert '<section class="step' not in page
    assert all(f'id="assembly-{r.id}"' in page for r in sample_booklet().readings)


@pytest.mark.parametrize("name", ["cards", "assembly/nothing", "nothing", "nothing/body"])
def test_what_a_booklet_has_not_is_no_part(name: str) -> None:
    with pytest.raises(KeyError, match=name.partition("/")[2] or name):
        booklet_part(sample_booklet(), name, WORDS)


def test_one_page_holds_all_that_it_shows(tmp_path: Path) -> None:
    page = page_of("assembly", tmp_path)
    draw_sample_pictures(tmp_path)
    whole = single_page(page, lambda path: (tmp_path / path).read_bytes())
    assert re.findall(r"<(?:link|script|source)\b[^>]*>", whole) == ['<link rel="icon" href="data:,">']
    assert all(
        src.startswith("data:image/jpeg;base64,") for src in re.findall(r'<img [^>]*?src="([^"]*)"', whole)
    )
    assert all(h.startswith("#") for h in re.findall(r'<a [^>]*href="([^"]*)"', whole))
    assert whole.count("Content-Security-Policy") == 1
    assert whole.count("<style") == whole.count("sha256-")


def test_a_part_that_is_none_is_told_with_all_that_there_are(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "parts"
    given = ["export", "demo", "--only", "P-101", "--part", "asembly/rotors", "--page", "--to", str(out)]
    assert main(given) == 2
    said = capsys.readouterr().err
    assert "P-101 has no part asembly/rotors; did you mean assembly/rotors?" in said
    assert re.search(r"allowed: assembly, assembly/\w+.*, inspection, .*, cards, record", said)
    assert not out.exists()


def test_page_and_paper_are_of_parts_alone(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["export", "demo", "--page"]) == 2
    assert "--page goes with --part" in capsys.readouterr().err
