"""Tell how fast a library of three hundred pumps is in the browser: first paint, search, filter, spares of all.

Run by hand: ``python tests/benchmarks/large_library.py [HEADS [DESIGNS]]``. The pages are opened from disk at the width
of a phone, as fast as this machine is and slowed down four times. Booklets are not written; their lines are as in a
build.
"""

from __future__ import annotations

import statistics
import sys
from pathlib import Path
from tempfile import TemporaryDirectory

sys.path.insert(0, str(Path(__file__).parents[1] / "samples"))

from benchleaf.sequences.calculations.load_fleet import load_fleet
from benchleaf.site.pages.library.library_data import FILE
from benchleaf.site.pages.library.library_pages import write_library
from benchleaf.site.pages.pages import Setting
from browsing import PHONE, browser
from fleet_generator import write_many_heads
from fleet_pages import WORDS, library_line, make_booklet
from playwright.sync_api import Browser

PAINT = "() => performance.getEntriesByName('first-contentful-paint')[0].startTime"
SEARCH = """text => { const f = document.querySelector("input[type=search]"), start = performance.now();
    f.value = text; f.dispatchEvent(new Event("input"));
    document.body.offsetHeight; return performance.now() - start; }"""
SPARES = """() => { const start = performance.now(); document.querySelector("[data-do=all]").click();
    document.querySelector("[data-do=spares]").click();
    document.body.offsetHeight; return performance.now() - start; }"""
WORDS_TYPED = ("G", "G-1", "62", "1.78 x 20.35", "double", "no such pump", "")


def write(folder: Path, heads: int, designs: int) -> None:
    """Write the library's own pages of a generated fleet."""
    fleet = load_fleet(write_many_heads(folder / "fleet", heads=heads, designs=designs))
    lines = tuple(library_line(fleet, row, make_booklet(fleet, row)) for row in fleet.heads)
    (folder / "library").mkdir()
    write_library(lines, (), folder / "library", Setting(WORDS, fleet.plant, True, "2031-01-01"))


def measure(chrome: Browser, page_file: Path, slower: int) -> None:
    """Print the times of one page, the middle one of five."""
    paints, first, searches, spares = [], [], [], []
    for _ in range(5):
        context = chrome.new_context(viewport=PHONE)
        page = context.new_page()
        context.new_cdp_session(page).send("Emulation.setCPUThrottlingRate", {"rate": slower})
        page.goto(page_file.as_uri())
        page.wait_for_function(PAINT.replace("[0].startTime", ".length > 0"))
        paints.append(page.evaluate(PAINT))
        first.append(page.evaluate(SEARCH, "cream"))
        searches.append(max(page.evaluate(SEARCH, text) for text in WORDS_TYPED))
        spares.append(page.evaluate(SPARES))
        context.close()
    told = {
        "first paint": paints,
        "first search": first,
        "slowest later search": searches,
        "spares of all": spares,
    }
    for name, times in told.items():
        print(f"  {name:22} {statistics.median(times):7.0f} ms")


def main(arguments: list[str]) -> None:
    """Write a library and measure it."""
    heads, designs = (*map(int, arguments), *(300, 40)[len(arguments) :])
    with TemporaryDirectory() as folder:
        write(Path(folder), heads, designs)
        library = Path(folder) / "library"
        sizes = {name: (library / name).stat().st_size / 1000 for name in ("index.html", FILE)}
        print(
            f"{heads} pumps, {designs} designs: " + ", ".join(f"{n} {kb:.0f} kB" for n, kb in sizes.items())
        )
        with browser() as chrome:
            for slower in (1, 4):
                print(f"processor {slower} times slower" if slower > 1 else "processor as it is")
                measure(chrome, library / "index.html", slower)


if __name__ == "__main__":
    main(sys.argv[1:])
