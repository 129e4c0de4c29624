"""The system's own Chromium, driven over pages on disk: what a reader's browser would meet."""

from __future__ import annotations

import os
import shutil
import subprocess
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import unquote, urlsplit

from playwright.sync_api import Browser, BrowserContext, Page, ViewportSize, sync_playwright

NAMES = ("chromium", "chromium-browser", "google-chrome", "chrome")
QUIET = (
    "--no-sandbox",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--no-first-run",
)
FLAT = ("--disable-gpu",)
SOLID = ("--use-gl=angle", "--use-angle=swiftshader", "--enable-unsafe-swiftshader")
"""Pages as fast as can be, and 3D by the browser's own software renderer."""


def viewport(width: int, height: int) -> ViewportSize:
    """Return a window's size, CSS pixels, as the browser takes it."""
    return {"width": width, "height": height}


PHONE = viewport(360, 740)
DESK = viewport(1440, 900)


def chromium() -> str:
    """Return the program file of Chromium.

    Raises:
        FileNotFoundError: if there is none; the tests of pages cannot do without.
    """
    found = os.environ.get("BENCHLEAF_CHROMIUM") or next((p for n in NAMES if (p := shutil.which(n))), None)
    if not found:
        raise FileNotFoundError(
            "no Chromium found: install it, or set BENCHLEAF_CHROMIUM to its program file"
        )
    return found


@contextmanager
def browser(solid: bool = False) -> Iterator[Browser]:
    """Yield a browser for the block, ``solid``: one that draws in 3D."""
    with sync_playwright() as p:
        running = p.chromium.launch(executable_path=chromium(), args=[*QUIET, *(SOLID if solid else FLAT)])
        yield running
        running.close()


class Visit:
    """One page opened from disk, with everything that went wrong on it."""

    def __init__(self, context: BrowserContext, file: Path, anchor: str = "") -> None:
        self.page: Page = context.new_page()
        self.troubles: list[str] = []
        self.asked: list[str] = []
        self.page.on("console", lambda m: self.troubles.append(f"{m.type}: {m.text}"))
        self.page.on("pageerror", lambda e: self.troubles.append(f"error: {e}"))
        self.page.on("requestfailed", lambda r: self.troubles.append(f"failed: {r.url}"))
        self.page.on("request", lambda r: self.asked.append(r.url))
        self.page.goto(file.as_uri() + anchor)

    def outside(self) -> list[str]:
        """Return requests that left the disk."""
        return [u for u in self.asked if not u.startswith(("file:", "data:"))]

    def broken_pictures(self) -> list[str]:
        """Return pictures that did not load, lazy ones included."""
        bad: list[str] = self.page.evaluate(
            """async () => {
                const bad = [];
                for (const i of document.images) {
                    i.loading = "eager";
                    try { await i.decode(); } catch (e) { bad.push(i.currentSrc || i.src); }
                    if (!i.naturalWidth) bad.push(i.src);
                }
                return bad;
            }"""
        )
        return bad

    def too_wide(self) -> int:
        """Return by how many CSS pixels the page is wider than its window."""
        return int(
            self.page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
        )


def dead_links(files: list[Path]) -> list[str]:
    """Return every link of ``files`` whose file or anchor is not there."""
    from html.parser import HTMLParser

    class Links(HTMLParser):
        def __init__(self, text: str) -> None:
            super().__init__()
            self.links: list[str] = []
            self.ids: list[str] = []
            self.feed(text)

        def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
            for name, value in attrs:
                if name in ("href", "src") and value:
                    self.links.append(value)
                if name == "srcset" and value:
                    self.links += [part.split()[0] for part in value.split(",")]
                if name == "id" and value:
                    self.ids.append(value)

    seen = {f.resolve(): Links(f.read_text("utf-8")) for f in files}
    dead = [
        f"{f.name}: the id {i} twice"
        for f, links in seen.items()
        for i in set(links.ids)
        if links.ids.count(i) > 1
    ]
    for file, links in seen.items():
        for link in links.links:
            parts = urlsplit(link)
            if parts.scheme == "data":
                continue
            target = (file.parent / unquote(parts.path)).resolve() if parts.path else file
            if parts.scheme or not target.is_file():
                dead.append(f"{file.name}: {link}")
            elif parts.fragment and parts.fragment not in seen[target].ids:
                dead.append(f"{file.name}: {link} (no such place)")
    return dead


def pdf_pages(page: Page, to: Path, size: str) -> list[str]:
    """Print ``page`` to the PDF ``to`` and return the text of each of its sheets.

    It is laid out for paper once before: Chromium 150 leaves closed ``details`` blank the first time it prints a page.
    """
    page.emulate_media(media="print")
    page.screenshot()
    page.pdf(path=str(to), format=size)
    page.emulate_media(media="screen")
    text = subprocess.run(["pdftotext", "-layout", str(to), "-"], check=True, capture_output=True, text=True)
    return text.stdout.split("\f")[:-1]


def pictures_on_sheets(pdf: Path) -> Counter[int]:
    """Return how many pictures each sheet of ``pdf`` holds, by sheet number."""
    listed = subprocess.run(["pdfimages", "-list", str(pdf)], check=True, capture_output=True, text=True)
    rows = [line.split() for line in listed.stdout.splitlines()[2:]]
    return Counter(int(row[0]) for row in rows if row[2] == "image")
