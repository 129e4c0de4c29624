"""The files of a SCORM 1.2 package: a booklet's pages, the frame round them, and the manifest.

The one unit of the course counts as done when every step of every sequence that counts was read, and, where the booklet
has questions, a test of :data:`TEST_LENGTH` over all its parts was passed. The score is the best such test, percent.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping, Sequence
from pathlib import PurePosixPath
from urllib.parse import quote
from xml.sax.saxutils import escape, quoteattr

from ..booklet import Booklet, Chapter
from ..markup.data_scripts import data_script
from ..pages import ASSETS, Setting, page_text

FRAME, MANIFEST, DATA = "course.html", "imsmanifest.xml", "course-data.js"
PAGE_SCRIPT = "assets/course-page.js"
TEST_LENGTH, PASS_PERCENT = 20, 80
"""Questions of a test that counts, all there are where there are fewer, and the share of right answers that passes."""
MOST_REMEMBERED = 4096
"""Characters that a learning system keeps of a course (SCORM 1.2, ``cmi.suspend_data``)."""
_NEEDED = ("page.css", "fonts.css")
_SCHEMAS = (
    "http://www.imsproject.org/xsd/imscp_rootv1p1p2 imscp_rootv1p1p2.xsd "
    "http://www.adlnet.org/xsd/adlcp_rootv1p2 adlcp_rootv1p2.xsd"
)
_POLICY_END = "; base-uri"


class CourseTooLong(ValueError):
    """More steps than a learning system can remember."""


def course_files(
    booklet: Booklet, files: Mapping[str, bytes], setting: Setting, counted: Sequence[str] = ()
) -> dict[str, bytes]:
    """Return all files of the package of a booklet, by path.

    Args:
        booklet: with its chapters.
        files: of the booklet's folder, which lead nowhere outside of it.
        setting: what all pages of the library share.
        counted: ids of the sequences that have to be read; left out, all.

    Raises:
        CourseTooLong: if a learning system could not remember which of so many steps were read.
        KeyError: if the booklet has no such sequence.
    """
    chapters = {c.id: c for c in booklet.chapters if c.steps}
    wanted = [chapters[name] for name in counted] if counted else list(chapters.values())
    w, tag = setting.words, booklet.identity.tag
    title = w("course.title", tag=tag)
    questions = booklet.proof.asked.count if booklet.proof else 0
    data = {
        "first": "index.html",
        "pages": sorted(n for n in files if n.endswith(".html") and "/" not in n),
        "sequences": [{"id": c.id, "steps": len(c.steps), "mark": _mark(c)} for c in wanted],
        "test": {"length": TEST_LENGTH, "pass": PASS_PERCENT, "pool": questions} if questions else None,
    }
    remembered = 20 + sum(len(c.id) + 9 + len(c.steps) // 4 for c in wanted)
    if remembered > MOST_REMEMBERED:
        raise CourseTooLong(f"{remembered} characters, {MOST_REMEMBERED} at most")
    made = {n: _reporting(c) if n.endswith(".html") else c for n, c in files.items() if _belongs(n)}
    for name in ("course.js", "course-page.js", "course.css"):
        made[f"assets/{name}"] = (ASSETS / "course" / name).read_bytes()
    made[DATA] = data_script("benchleafCourse", data).encode("ascii")
    frame = page_text("course.html.j2", w=w, title=title, tested=bool(questions))
    made[FRAME] = frame.replace(_POLICY_END, f"; frame-src 'self' file:{_POLICY_END}", 1).encode("utf-8")
    made[MANIFEST] = manifest(_identifier(booklet, setting), title, made).encode("utf-8")
    return made


def _belongs(name: str) -> bool:
    """Return whether a file goes along: not what is printed or exchanged apart from the pages."""
    return PurePosixPath(name).suffix != ".pdf"


def _mark(chapter: Chapter) -> str:
    """Return what tells a sequence from one with other steps: what was read of that counts for nothing."""
    return hashlib.sha256("\n".join(s.step.id for s in chapter.steps).encode()).hexdigest()[:6]


def _reporting(page: bytes) -> bytes:
    """Return a page that tells the frame what is read."""
    return page.replace(b"</head>", b'<script src="%s" defer></script>\n</head>' % PAGE_SCRIPT.encode(), 1)


def _identifier(booklet: Booklet, setting: Setting) -> str:
    """Return the package's identifier: the same for each revision of the same booklet."""
    tag = booklet.identity.tag
    told = hashlib.sha256(f"{setting.library_id} {tag}".encode()).hexdigest()[:12]
    return f"course-{told}"


def manifest(identifier: str, title: str, paths: Iterable[str]) -> str:
    """Return the manifest of a package with one unit that all of ``paths`` belong to.

    It states no mastery score: with one, a learning system may call a course passed by its score alone.
    """
    files = "".join(f"      <file href={quoteattr(quote(p))}/>\n" for p in sorted(paths))
    return f"""<?xml version="1.0" encoding="UTF-8"?>
<manifest identifier="{identifier}" version="1.0"
  xmlns="http://www.imsproject.org/xsd/imscp_rootv1p1p2"
  xmlns:adlcp="http://www.adlnet.org/xsd/adlcp_rootv1p2"
  xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance"
  xsi:schemaLocation="{_SCHEMAS}">
  <metadata>
    <schema>ADL SCORM</schema>
    <schemaversion>1.2</schemaversion>
  </metadata>
  <organizations default="all">
    <organization identifier="all">
      <title>{escape(title)}</title>
      <item identifier="unit" identifierref="pages" isvisible="true">
        <title>{escape(title)}</title>
      </item>
    </organization>
  </organizations>
  <resources>
    <resource identifier="pages" type="webcontent" adlcp:scormtype="sco" href="{FRAME}">
{files}    </resource>
  </resources>
</manifest>
"""
