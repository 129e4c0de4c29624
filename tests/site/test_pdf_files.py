"""PDF files of a booklet: made without a browser, read back by another library."""

from __future__ import annotations

import io
import re
import sys
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from benchleaf.site.pages.booklet import Booklet
from benchleaf.site.pages.pages import Setting, write_booklet
from benchleaf.site.pages.paper import pdf_files
from benchleaf.site.pages.paper.contents import paper_contents
from benchleaf.site.pages.paper.pdf_files import PdfUnavailable, for_print, make_pdf, pdf_maker
from benchleaf.site.words.catalogue import load_words
from PIL import Image
from pypdf import PdfReader
from site_samples import draw_sample_pictures, sample_booklet

WORDS = load_words()
SETTING = Setting(WORDS, "Invented Works", True, "2025-03-01")


@pytest.fixture(scope="module")
def made() -> None:
    """Skip where a library of the system is missing, with what the command tells of it."""
    try:
        pdf_maker()
    except PdfUnavailable as e:
        pytest.skip(str(e))


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("booklet")
    write_booklet(sample_booklet(), folder, SETTING)
    draw_sample_pictures(folder)
    return folder


@pytest.fixture(scope="module")
def pdf(made: None, folder: Path) -> bytes:
    return pdf_of(folder)


def pdf_of(folder: Path, size: pdf_files.PaperSize = "A4") -> bytes:
    page = (folder / "paper.html").read_text("utf-8")
    return make_pdf(page, lambda path: (folder / path).read_bytes(), size)


def flat(text: str) -> str:
    return " ".join(text.split())


def elements(node: Any) -> Iterator[Any]:
    """Yield every element of the tags below ``node``."""
    node = node.get_object()
    if isinstance(node, list):
        for kid in node:
            yield from elements(kid)
    elif isinstance(node, dict):
        if "/S" in node:
            yield node
        if "/K" in node:
            yield from elements(node["/K"])


def outline(entries: list[Any], level: int = 0) -> Iterator[tuple[int, Any]]:
    for entry in entries:
        if isinstance(entry, list):
            yield from outline(entry, level + 1)
        else:
            yield level, entry


def page_number(reader: PdfReader, entry: Any) -> int:
    """Return the page, from 0, to which a bookmark leads."""
    number = reader.get_destination_page_number(entry)
    assert number is not None
    return number


def test_bookmarks_are_chapters_sections_and_steps_in_their_order(pdf: bytes) -> None:
    reader, booklet = PdfReader(io.BytesIO(pdf)), sample_booklet()
    found = [(level, flat(entry.title)) for level, entry in outline(reader.outline)]
    (chapter,) = booklet.chapters
    wanted = [(0, chapter.title)]
    for section in chapter.sections:
        wanted.append((1, section.title))
        wanted += [(2, f"{s.step.number} {s.step.title}") for s in section.steps]
    start = found.index(wanted[0])
    assert found[start : start + len(wanted)] == wanted
    places = [page_number(reader, entry) for _, entry in outline(reader.outline)]
    assert places == sorted(places)


def test_contents_name_the_page_on_which_each_begins(pdf: bytes) -> None:
    reader, booklet = PdfReader(io.BytesIO(pdf)), sample_booklet()
    text = flat(reader.pages[0].extract_text())
    at = {flat(e.title): page_number(reader, e) + 1 for _, e in outline(reader.outline)}
    entries = [e for e in paper_contents(booklet, WORDS) if e.title in at]
    assert len(entries) >= 8
    for entry in entries:
        assert re.search(rf"{re.escape(entry.title)}[ .]*{at[entry.title]}\b", text), entry.title


def test_every_picture_has_its_alt_text_and_every_tag_is_of_its_kind(pdf: bytes, folder: Path) -> None:
    reader = PdfReader(io.BytesIO(pdf))
    root: Any = reader.trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"]
    assert root["/Lang"] == "en"
    found = list(elements(root["/StructTreeRoot"]["/K"]))
    kinds = {e["/S"] for e in found}
    assert kinds >= {"/H1", "/H2", "/H3", "/P", "/L", "/LI", "/Table", "/TH", "/TD", "/Figure", "/Link"}
    told = {str(e.get("/Alt", "")) for e in found if e["/S"] == "/Figure"}
    assert "" not in told
    page = (folder / "paper.html").read_text("utf-8")
    alts = {re.sub("&#39;", "'", a) for a in re.findall(r'<img [^>]*alt="([^"]*)"', page)}
    assert alts <= told
    assert b"pdfuaid" in root["/Metadata"].get_data()


def test_pictures_keep_the_bytes_of_jpeg(pdf: bytes) -> None:
    pages: list[Any] = list(PdfReader(io.BytesIO(pdf)).pages)
    drawn = [x.get_object() for p in pages for x in (p["/Resources"].get("/XObject") or {}).values()]
    filters = {str(x["/Filter"]) for x in drawn if x["/Subtype"] == "/Image"}
    assert filters == {"/DCTDecode"} or filters == {"['/DCTDecode']"}


@pytest.mark.parametrize("size", ["A4", "Letter"])
def test_no_step_is_torn_and_no_message_parted_from_it(
    made: None, folder: Path, size: pdf_files.PaperSize
) -> None:
    reader = PdfReader(io.BytesIO(pdf_of(folder, size)))
    width, height = (float(v) / 72 * 25.4 for v in reader.pages[0].mediabox[2:])
    assert (round(width), round(height)) == {"A4": (210, 297), "Letter": (216, 279)}[size]
    pages = [flat(p.extract_text()) for p in reader.pages]
    for number, text in enumerate(pages, start=1):
        assert f"Page {number} of {len(pages)}" in text
        assert "P-101" in text
        assert "Rev. C · 2025-03-01" in text
    for chapter in sample_booklet().chapters:
        for view in chapter.steps:
            step = view.step
            texts = [f"{step.number} {step.title}", *step.acts, *step.look, *step.tools]
            texts += [c.hazard for c in step.cautions] + [r.caution.hazard for r in step.reminders]
            assert [n for n, page in enumerate(pages) if all(flat(t) in page for t in texts)], step.title


def test_text_is_that_of_the_page_in_its_order(pdf: bytes) -> None:
    text = flat(" ".join(p.extract_text() for p in PdfReader(io.BytesIO(pdf)).pages))
    steps = [s.step for c in sample_booklet().chapters for s in c.steps]
    places = [text.rindex(f"{s.number} {s.title}") for s in steps]
    assert places == sorted(places)
    for s in steps:
        after = text[text.rindex(f"{s.number} {s.title}") :]
        acts = [after.index(flat(act)) for act in s.acts]
        assert acts == sorted(acts)


def test_links_stay_within_the_file(pdf: bytes) -> None:
    pages: list[Any] = list(PdfReader(io.BytesIO(pdf)).pages)
    notes = [a.get_object() for p in pages for a in p.get("/Annots") or ()]
    links = [a for a in notes if a["/Subtype"] == "/Link"]
    assert links
    assert [x["/A"] for x in links if "/URI" in x.get("/A", {})] == []


def test_the_same_page_gives_the_same_bytes(pdf: bytes, folder: Path) -> None:
    assert pdf_of(folder) == pdf


def test_nothing_from_elsewhere_is_fetched(made: None, folder: Path) -> None:
    asked: list[str] = []

    def read(path: str) -> bytes:
        asked.append(path)
        return (folder / path).read_bytes()

    page = (folder / "paper.html").read_text("utf-8")
    make_pdf(page.replace("</main>", '<img src="https://example.org/a.png" alt="x"></main>'), read, "A4")
    assert "a.png" in asked, "an address is a path beside the page, and no file is there"


def test_what_paper_hides_is_left_out_and_links_lead_within(folder: Path) -> None:
    page = for_print((folder / "paper.html").read_text("utf-8"))
    assert "<script" not in page
    assert "onward" not in page
    hrefs = re.findall(r'<a [^>]*href="([^"]*)"', page)
    assert hrefs
    assert [h for h in hrefs if not h.startswith("#")] == []
    assert {h[1:] for h in hrefs} <= set(re.findall(r' id="([^"]*)"', page))
    assert page.count("<svg") == len(re.findall(r"<svg[^>]*><title>[^<]", page))


def test_a_missing_library_is_told_in_one_line(monkeypatch: pytest.MonkeyPatch) -> None:
    pdf_files.pdf_library.cache_clear()
    monkeypatch.setitem(sys.modules, "weasyprint", None)
    try:
        with pytest.raises(
            PdfUnavailable, match=r"^WeasyPrint is not installed: pip install 'benchleaf\[pdf\]'$"
        ):
            pdf_maker()
    finally:
        pdf_files.pdf_library.cache_clear()


def test_pictures_are_reduced_to_what_paper_needs() -> None:
    out = io.BytesIO()
    Image.new("RGB", (1600, 1200), "white").save(out, "WEBP")
    with Image.open(io.BytesIO(pdf_files.as_jpeg(out.getvalue()))) as image:
        assert (image.format, image.size) == ("JPEG", (820, 615))


def test_a_booklet_with_pdf_files_leads_to_them(tmp_path: Path) -> None:
    booklet: Booklet = replace(sample_booklet(), pdfs=(("A4", "p-101-a4.pdf"),))
    write_booklet(booklet, tmp_path, SETTING)
    assert '<a href="p-101-a4.pdf">PDF file, A4</a>' in (tmp_path / "paper.html").read_text("utf-8")
