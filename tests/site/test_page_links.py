"""Pages of several languages: each links to its own, the switch to the others."""

from __future__ import annotations

import pytest
from benchleaf.site.pages.markup.page_links import linked_for, named_for


@pytest.mark.parametrize(
    ("text", "linked"),
    [
        ('<a href="record.html">', '<a href="record.de.html">'),
        ('<a href="../p-101/index.html#item-3">', '<a href="../p-101/index.de.html#item-3">'),
        ('<body data-notes="notes-assembly.html">', '<body data-notes="notes-assembly.de.html">'),
        ('{"list":"index.html#item-3"}', '{"list":"index.de.html#item-3"}'),
        ('<script src="asked.js" defer>', '<script src="asked.de.js" defer>'),
        ('<script src="assets/pumps.js" defer>', '<script src="assets/pumps.de.js" defer>'),
        ('<script src="assets/booklet.js" defer>', '<script src="assets/booklet.js" defer>'),
        ('<a hreflang="en" href="record.html">', '<a hreflang="en" href="record.html">'),
        (
            '<a href="https://plant.example/pumps/index.html">',
            '<a href="https://plant.example/pumps/index.html">',
        ),
        ('<a href="missing.csv">', '<a href="missing.csv">'),
        ("open index.html in a browser", "open index.html in a browser"),
    ],
)
def test_links_stay_in_their_language(text: str, linked: str) -> None:
    assert linked_for(text, ".de") == linked
    assert linked_for(text, "") == text


def test_names() -> None:
    assert named_for("p-101-a4.pdf", ".de") == "p-101-a4.de.pdf"
