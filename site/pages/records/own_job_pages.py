"""Pages to record jobs on an assembly of one's own: its sequences in words, with ticks, and the record sheet."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from ..booklet import Booklet, Chapter, Page
from ..pages import Setting, page_text
from ..view_models import Identity


def write_own_job_pages(name: str, chapters: Sequence[Chapter], folder: Path, setting: Setting) -> None:
    """Write a page a sequence and ``record.html`` beside the page of evidence, which brought the assets.

    Args:
        name: of the assembly; it stands where a pump has its tag.
        chapters: its sequences, told in words alone.
        folder: with ``index.html`` and the assets.
        setting: words; the plant is the assembly itself.

    Raises:
        OSError: if the folder cannot be written.
    """
    words = setting.words
    short = words("evidence.own.notice_short")
    booklet = Booklet(Identity(name, "", "", "", ""), (), None, (), tuple(chapters), (), demo_short=short)
    evidence, record = words("evidence.title"), words("record.title")
    pages = (
        Page("evidence", "index.html", evidence, words("evidence.short")),
        *(Page("steps", f"{c.id}.html", c.title, c.title) for c in chapters),
        Page("record", "record.html", record, record),
    )
    for page, chapter in zip(pages[1:], (*chapters, None), strict=True):
        text = page_text(
            f"{page.kind}.html.j2",
            **setting.context(),
            booklet=booklet,
            pages=pages,
            page=page,
            chapter=chapter,
            library_href="",
            record_href="record.html",
        )
        (folder / page.file).write_text(text, "utf-8", newline="\n")
