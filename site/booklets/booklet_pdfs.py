"""PDF files of a booklet, and its parts to hand out: made of its page for paper, kept by what that shows."""

from __future__ import annotations

from collections.abc import Mapping
from hashlib import sha256

from ...sequences.work.code_hash import code_hash
from ...sequences.work.keys import task_key
from ...sequences.work.store import Store
from ..pages.markup.page_links import named_for
from ..pages.paper.pdf_files import PaperSize, installed_maker, make_pdf, pdf_name
from ..pages.paper.single_page import single_page
from .head_job import HeadJob

PAGE = "paper.html"
FILE = "file.pdf"
"""Name under which an entry of the store holds a PDF file."""


def pdf_files(store: Store, job: HeadJob, files: Mapping[str, bytes]) -> dict[str, bytes]:
    """Return the PDF files that a booklet of these ``files`` is to have, by name.

    Raises:
        PdfUnavailable: if none can be made here.
    """
    suffixes = [s.suffix for s in (job.setting, *(o.setting for o in job.others))]
    return {
        named_for(pdf_name(job.file_slug, size), suffix): _kept_pdf(
            store, files, size, named_for(PAGE, suffix)
        )
        for size in job.pdf
        for suffix in suffixes
    }


def part_files(store: Store, job: HeadJob, files: Mapping[str, bytes]) -> dict[str, bytes]:
    """Return the files of the one part that a job wants: a PDF file for each of its sizes, or else one page.

    Raises:
        PdfUnavailable: if none can be made here.
    """
    stem = f"{job.file_slug}-{job.part.replace('/', '-')}"
    if not job.pdf:
        return {f"{stem}.html": single_page(files[PAGE].decode("utf-8"), files.__getitem__).encode("utf-8")}
    return {pdf_name(stem, size): _kept_pdf(store, files, size, PAGE) for size in job.pdf}


def _kept_pdf(store: Store, files: Mapping[str, bytes], size: PaperSize, name: str) -> bytes:
    """Return the PDF file of the page of this name from the store, made first where it is not there."""
    page = files[name].decode("utf-8")
    shown = {n: sha256(c).hexdigest() for n, c in sorted(files.items()) if n.endswith(".css") or n in page}
    key = task_key(
        "pdf",
        templates=sha256(files[name]).hexdigest(),
        pictures=shown,
        settings=(size, installed_maker()),
        code=code_hash("site.pages.paper.pdf_files", libraries=("pillow", "lxml")),
    )
    kept = store.get(key.digest)
    if kept is not None and FILE in kept:
        return kept[FILE]
    made = make_pdf(page, files.__getitem__, size)
    store.put(key.digest, {FILE: made})
    return made
