"""Tell what a booklet weighs on paper: pages, megabytes, seconds, by paper size, and how far its sheets are filled.

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
LOWEST_PT = 45
"""What stands lower than this on a sheet is its foot."""


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
        filled = [_filled(p) for p in reader.pages]
        quarter = [n for n, share in enumerate(filled, start=1) if share < 0.75]
        print(f"  filled to {sum(filled) / pages:.0%} on average; a quarter or more is blank on {quarter}")
        if len(sys.argv) > 2:
            (Path(sys.argv[2]) / pdf_name(booklet.name, size)).write_bytes(pdf)


def _filled(page: object) -> float:
    """Return how far down a sheet its text goes, as a share of its height."""
    lowest = [1e9]

    def visit(text: str, _cm: object, tm: list[float], *_: object) -> None:
        if text.strip() and tm[5] > LOWEST_PT:
            lowest.append(tm[5])

    page.extract_text(visitor_text=visit)  # type: ignore[attr-defined]
    height = float(page.mediabox.height)  # type: ignore[attr-defined]
    return min(1.0, (height - min(lowest)) / (height - LOWEST_PT))


if __name__ == "__main__":
    main()
