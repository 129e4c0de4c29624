"""PDF files of a booklet's page for paper, made without a browser: tagged, with bookmarks, links and alt texts.

WeasyPrint is an extra of this package, and loads Pango of the system: where either is missing, PDF files cannot be made
and nothing else is amiss (:class:`PdfUnavailable`).
"""

from __future__ import annotations

import logging
import os
import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import cache
from importlib.metadata import PackageNotFoundError, version
from io import BytesIO
from typing import TYPE_CHECKING, Any, Literal
from urllib.parse import unquote, urlsplit

from ..markup.drawn_once import drawn_in_full

if TYPE_CHECKING:
    from lxml.html import HtmlElement

PaperSize = Literal["A4", "Letter"]
PICTURE_WIDTH, PICTURE_QUALITY = 820, 72
"""Pixels that a step's picture is wide in a PDF file, 300 an inch and more, and its quality as JPEG."""
WIDE_PICTURE_WIDTH = 2000
"""The same of a picture that goes over a sheet's width."""
WIDE_FROM = 2000
"""Pictures of so many pixels are drawn for a sheet's width."""
VARIANT = "pdf/ua-1"
_BASE = "booklet:/"
_RANGE = re.compile(rb"unicode-range:[^;}]*;?")
_TAGS = frozenset({"script", "select", "legend", "fieldset", "output", "footer"})
_CLASSES = frozenset(
    {"bar", "skip", "onward", "screen-only", "film", "calls", "to-record", "hidden", "tick", "in-motion"}
)
"""Elements, by tag and class, that the style sheet for paper hides anyhow: without them a file is made in half the
time, and its tags are clean."""


class PdfUnavailable(RuntimeError):
    """PDF files cannot be made here; the message says what is missing and what brings it."""


def pdf_maker() -> str:
    """Return what makes PDF files here, with its version.

    Raises:
        PdfUnavailable: if it is not installed, or a library of the system that it needs is missing.
    """
    pdf_library()
    return f"weasyprint {version('weasyprint')}"


def installed_maker() -> str:
    """Return the same without loading it: empty where it is not installed."""
    try:
        return f"weasyprint {version('weasyprint')}"
    except PackageNotFoundError:
        return ""


@cache
def pdf_library() -> Any:
    """Return the module that makes PDF files.

    Raises:
        PdfUnavailable: as :func:`pdf_maker`.
    """
    try:
        import weasyprint
    except ImportError:
        raise PdfUnavailable("WeasyPrint is not installed: pip install 'benchleaf[pdf]'") from None
    except OSError as e:
        reason = str(e).splitlines()[0]
        raise PdfUnavailable(
            f"a library that WeasyPrint needs is missing ({reason}): apt-get install libpango-1.0-0 libpangoft2-1.0-0 "
            "libharfbuzz-subset0"
        ) from None
    logging.getLogger("weasyprint").setLevel(logging.ERROR)  # rules that are for browsers alone
    return weasyprint


def pdf_name(stem: str, size: PaperSize) -> str:
    """Return the name of a PDF file.

    >>> pdf_name("p-101", "A4")
    'p-101-a4.pdf'
    """
    return f"{stem}-{size.lower()}.pdf"


def make_pdf(page: str, read: Callable[[str], bytes], size: PaperSize) -> bytes:
    """Return a page for paper as a PDF file.

    Args:
        page: the text of the page.
        read: gives a file beside the page by its path from there; raises KeyError or OSError where there is none.
        size: of the sheets.

    Raises:
        PdfUnavailable: as :func:`pdf_maker`.
    """
    weasyprint = pdf_library()
    from weasyprint.urls import URLFetcher, URLFetcherResponse

    class Fetcher(URLFetcher):  # type: ignore[misc]
        """Gives what stands beside the page, and nothing from anywhere else."""

        def fetch(self, url: str, headers: Any = None) -> Any:
            if url.startswith("data:"):
                return super().fetch(url, headers)
            path = unquote(urlsplit(url).path).lstrip("/")
            content = read(path)
            if path.endswith((".webp", ".avif", ".png")):
                return URLFetcherResponse(url, as_jpeg(content), {"Content-Type": "image/jpeg"})
            kind = "text/css" if path.endswith(".css") else "application/octet-stream"
            if path.endswith("fonts.css"):  # what a font lacks within its range would print as an empty box
                content = _RANGE.sub(b"", content)
            return URLFetcherResponse(url, content, {"Content-Type": kind})

    sheets = [weasyprint.CSS(string=f"@page {{ size: {size} }}")]
    text = for_print(drawn_in_full(page))
    html = weasyprint.HTML(string=text, base_url=_BASE, url_fetcher=Fetcher(), media_type="print")
    with _still_clock():
        made: bytes = html.write_pdf(stylesheets=sheets, pdf_variant=VARIANT)
    return made


@contextmanager
def _still_clock() -> Iterator[None]:
    """Hold the clock that fonts are stamped by, unless it is held already: the same page gives the same bytes."""
    name = "SOURCE_DATE_EPOCH"
    if name in os.environ:
        yield
        return
    os.environ[name] = "0"
    try:
        yield
    finally:
        del os.environ[name]


def as_jpeg(content: bytes) -> bytes:
    """Return a picture as JPEG at the width that paper needs: the one format that goes into a PDF file as it is."""
    from PIL import Image

    with Image.open(BytesIO(content)) as image:
        picture = image.convert("RGB")
    most = WIDE_PICTURE_WIDTH if picture.width >= WIDE_FROM else PICTURE_WIDTH
    if picture.width > most:
        height = round(picture.height * most / picture.width)
        picture = picture.resize((most, height), Image.Resampling.LANCZOS)
    out = BytesIO()
    picture.save(out, "JPEG", quality=PICTURE_QUALITY, optimize=True)
    return out.getvalue()


def for_print(page: str) -> str:
    """Return a page as it goes into a PDF file.

    What paper does not show is left out, links lead within it, each drawing has the words beside it as its title.
    """
    from lxml import html

    tree = html.document_fromstring(page)
    for element in [e for e in tree.iter() if not _printed(e)]:
        element.drop_tree()
    link_within(tree)
    for drawing in tree.iter("svg"):
        _name(drawing)
    text: str = html.tostring(tree, encoding="unicode")
    return f"<!doctype html>\n{text}"


def _printed(element: HtmlElement) -> bool:
    tag, classes = element.tag, element.get("class", "").split()
    if tag == "link":
        return bool(element.get("rel") == "stylesheet" and element.get("media") != "screen")
    if (
        tag == "p"
        and (above := element.getparent()) is not None
        and "again" in above.get("class", "").split()
    ):
        return False
    return tag not in _TAGS and _CLASSES.isdisjoint(classes) and not element.get("http-equiv")


def link_within(tree: HtmlElement) -> None:
    """Lead links to other pages of the booklet to the same places in this one; what it does not hold is no link."""
    ids = {e.get("id") for e in tree.iter() if e.get("id")}
    for link in tree.iter("a"):
        if (href := link.get("href")) is None:
            continue
        file, _, anchor = href.partition("#")
        stem = file.removesuffix(".html")
        places = (f"{stem}-{anchor}", anchor) if stem else (anchor,)
        places = (*places, f"paper-{stem}") if not anchor else places
        found = next((p for p in places if p in ids), None)
        if found is None:
            del link.attrib["href"]
        else:
            link.set("href", f"#{found}")


def _name(drawing: HtmlElement) -> None:
    """Give a drawing the words beside it as its title, from which its alt text is made."""
    from lxml import etree

    parent = drawing.getparent()
    words = ""
    while parent is not None and not words:
        words = " ".join("".join(parent.itertext()).split())
        words = words or next((i.get("alt", "") for i in parent.iter("img")), "")
        parent = parent.getparent()
    title = etree.Element("title")
    title.text = words[:200]
    drawing.insert(0, title)
    drawing.attrib.pop("aria-hidden", None)
