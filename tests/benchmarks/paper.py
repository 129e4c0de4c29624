"""Tell what a booklet weighs on paper: pages, megabytes, seconds, by paper size.

Run by hand: ``python tests/benchmarks/paper.py LIBRARY/p-101 [FOLDER]``, with the folder of a built booklet; the files
are kept in FOLDER where one is named.
"""

from __future__ import annotations

import io
import sys
import time
from pathlib import Path

from benchleaf.site.pages.paper.pdf_files import PaperSize, make_pdf, pdf_name
from pypdf import PdfReader

SIZES: tuple[PaperSize, ...] = ("A4", "Letter")


def main() -> None:
    """Make both files and tell of them."""
    booklet = Path(sys.argv[1])
    page = (booklet / "paper.html").read_text("utf-8")
    for size in SIZES:
        start = time.process_time()
        pdf = make_pdf(page, lambda path: (booklet / path).read_bytes(), size)
        seconds = time.process_time() - start
        reader = PdfReader(io.BytesIO(pdf))
        words = sum(len(p.extract_text().split()) for p in reader.pages)
        pages = len(reader.pages)
        print(f"{size}: {pages} pages, {len(pdf) / 1e6:.1f} MB, {words} words, {seconds:.0f} s of processor")
        if len(sys.argv) > 2:
            (Path(sys.argv[2]) / pdf_name(booklet.name, size)).write_bytes(pdf)


if __name__ == "__main__":
    main()
