"""A fleet built in German, then in three languages: one set of pictures, and only pages are made for a language."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from benchleaf.site.booklets.kinds.own_booklet import build_own_booklet
from benchleaf.site.booklets.library import Built, build_library
from benchleaf.site.extras.starter import write_starter
from benchleaf.site.words.languages.table_files import TableLine, table_bytes
from benchleaf.site.words.languages.translated import words_in
from browsing import DESK, Visit, browser
from lxml import html
from picture_sizes import TINY
from small_assembly import write_small_assembly

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module", name="built")
def _built(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Built]:
    """The library in three languages, built over the store of one in German alone."""
    folder = tmp_path_factory.mktemp("three")
    fleet, to, cache = write_starter(folder / "fleet"), folder / "library", folder / "store"
    text = fleet.read_text("utf-8")
    for languages in ("de", "[de, en, es]"):
        fleet.write_text(re.sub(r"(?m)^booklet:\n", f"booklet:\n  languages: {languages}\n", text), "utf-8")
        built = build_library(fleet, to, workers=2, pictures=TINY, cache=cache)
    return to, built


def test_a_language_more_makes_pages_alone(built: tuple[Path, Built]) -> None:
    _, result = built
    assert [m.kind for m in result.made] == ["pages"]
    assert "words" in result.made[0].changed


def test_all_languages_lie_side_by_side_over_one_set_of_pictures(built: tuple[Path, Built]) -> None:
    to, _ = built
    [booklet] = [p for p in to.iterdir() if (p / "pictures").is_dir()]
    pages = {p.name.removesuffix(".html") for p in booklet.glob("*.html")}
    plain = {p for p in pages if "." not in p}
    assert len(plain) > 15
    assert pages == plain | {f"{p}.{code}" for p in plain for code in ("en", "es")}
    shown = {}
    for code, suffix in (("de", ""), ("en", ".en"), ("es", ".es")):
        tree = html.fromstring((booklet / f"assembly{suffix}.html").read_bytes())
        assert tree.get("lang") == code
        shown[code] = tree.xpath("//main//img/@src")
        alts = set(tree.xpath("//main//img[@alt != '']/@alt"))
        assert alts
        assert tree.xpath("//h1/text()")[0].strip() == words_in(code).say("Assembly")
    assert shown["de"] == shown["en"] == shown["es"] != []


def test_the_viewer_speaks_the_language_of_its_page(built: tuple[Path, Built]) -> None:
    to, _ = built
    [booklet] = [p for p in to.iterdir() if (p / "pictures").is_dir()]
    said = (booklet / "viewer" / "names.es.js").read_text("utf-8")
    names = json.loads(said.removeprefix("window.benchleafNames = ").rstrip().rstrip(";"))
    assert names["words"]["close"] == words_in("es")("viewer.close")
    assert all(".es.html" in part["list"] for part in names["parts"])
    assert not (booklet / "viewer" / "names.js").exists(), "the model itself is in the main language"


def test_the_library_is_opened_in_each_language(built: tuple[Path, Built]) -> None:
    to, _ = built
    with browser() as running:
        context = running.new_context(viewport=DESK)
        for suffix, code in (("", "de"), (".en", "en"), (".es", "es")):
            visit = Visit(context, to / f"index{suffix}.html")
            assert visit.page.evaluate("document.documentElement.lang") == code
            visit.page.locator("table.heads th a").first.click()
            visit.page.wait_for_url(re.compile(rf"/index{re.escape(suffix)}\.html$"))
            assert visit.page.evaluate("document.documentElement.lang") == code
            assert visit.troubles == []
            assert visit.broken_pictures() == []
        context.close()


def test_the_booklet_of_an_assembly_of_ones_own_has_its_pages_in_each_language(tmp_path: Path) -> None:
    """Its own texts come by a table as a fleet's do; what the table lacks stands in English."""
    file = write_small_assembly(tmp_path)
    text = file.read_text("utf-8") + "booklet: {languages: [en, de], translations: words-de.xlsx}\n"
    lines = [
        TableLine("", "file > lid > name", "Lid", "Klappe", "translated"),
        TableLine("", "assembly > lid > title > 1", "Put the lid on", "Klappe auflegen", "translated"),
    ]
    table = tmp_path / "words-de.xlsx"
    table.write_bytes(table_bytes(table, "de", lines))
    file.write_text(text, "utf-8")
    build_own_booklet(file, tmp_path / "booklet", pictures=TINY)
    page = html.fromstring((tmp_path / "booklet" / "assembly.de.html").read_bytes())
    assert "Klappe auflegen" in page.text_content()
    assert "Put the lid on" not in page.text_content()
    front = html.fromstring((tmp_path / "booklet" / "index.de.html").read_bytes())
    shown = front.text_content()
    assert "Klappe" in shown
    assert "Lid" not in front.xpath("//*[@class='in-english end']/text()")
    assert "Box" in front.xpath("//*[@class='in-english end']/text()")
    assert (tmp_path / "booklet" / "index.html").is_file()
