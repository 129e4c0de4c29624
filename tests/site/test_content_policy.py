"""Every page carries a policy that lets in what it uses; what is not its own neither runs nor loads."""

from __future__ import annotations

import base64
import hashlib
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from benchleaf.site.pages.markup.content_policy import CHARSET, with_policy
from benchleaf.site.pages.pages import Setting, write_booklet
from benchleaf.site.words.catalogue import load_words
from browsing import Visit, browser
from playwright.sync_api import Browser, Route
from site_samples import draw_sample_pictures, sample_booklet

PAGE = f"""<head>
{CHARSET}
<style media="print">@page {{ }}</style>
</head><body><p class="a" style="left:1%">x</p><i style="left:1%"></i><img src="b" style="--ratio: 2"></body>"""


def test_style_attributes_become_classes_of_one_element_that_is_let_in_by_its_hash() -> None:
    page = with_policy(PAGE)
    assert '<p class="s0 a">x</p><i class="s0"></i><img src="b" class="s1">' in page
    rules = "\n.s0{left:1%}\n.s1{--ratio: 2}\n"
    assert f"<style>{rules}</style></head>" in page
    for text in ("@page { }", rules):
        digest = base64.b64encode(hashlib.sha256(text.encode()).digest()).decode("ascii")
        assert f"'sha256-{digest}'" in page
    assert page.index("charset") < page.index("Content-Security-Policy") < page.index("<style")
    assert "default-src 'none'; script-src 'self' file:; style-src 'self' file: 'sha256-" in page
    assert "unsafe" not in page


@pytest.fixture(scope="module", name="pages")
def _pages(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("booklet")
    write_booklet(sample_booklet(), folder, Setting(load_words(), "Invented Works", True, "2025-03-01"))
    draw_sample_pictures(folder)
    return folder


@pytest.fixture(scope="module", name="chrome")
def _chrome() -> Iterator[Browser]:
    with browser() as running:
        yield running


def test_no_page_holds_script_or_style_of_its_own_but_what_the_policy_names(pages: Path) -> None:
    found = sorted(pages.glob("*.html"))
    assert len(found) >= 5
    for file in found:
        text = file.read_text("utf-8")
        assert text.count("Content-Security-Policy") == 1
        assert CHARSET in text[:1024]
        assert not re.search(r"<[^<>]* (style|on\w+)=", text), file.name
        for script in re.findall(r"<script[^>]*>", text):
            assert re.search(r' src="assets/| type="application/json"', script), script


INJECTED = """
<script>document.body.dataset.ran = "inline "</script>
<img src="x:" onerror="document.body.dataset.ran += 'handler '">
<img id="outside" src="https://outside.invalid/picture.png">
<script src="https://outside.invalid/script.js"></script>
<a id="link" href="javascript:void(document.body.dataset.ran += 'link ')">x</a>
<iframe src="https://outside.invalid/frame.html"></iframe>
<form action="https://outside.invalid/form"><button id="send">x</button></form>
<style>body { display: none }</style>
<p id="dressed" style="display: none">x</p>
"""


@pytest.mark.parametrize("held", [True, False], ids=["with the policy", "without"])
def test_what_is_injected_into_a_page_neither_runs_nor_loads(
    chrome: Browser, pages: Path, held: bool
) -> None:
    """Without the policy the same things run and load."""
    text = (pages / "assembly.html").read_text("utf-8").replace("</main>", f"{INJECTED}</main>")
    free = re.sub(r'<meta http-equiv="Content-Security-Policy"[^>]*>', "", text)
    file = pages / "injected.html"
    file.write_text(text if held else free, "utf-8")
    context, reached = chrome.new_context(), list[str]()

    def answer(route: Route) -> None:
        reached.append(route.request.url.rpartition("/")[2])
        route.fulfill(status=204)

    context.route("https://outside.invalid/**", answer)
    visit = Visit(context, file)
    file.unlink()
    visit.page.wait_for_timeout(300)
    dressed = visit.page.evaluate(
        "[document.body, document.getElementById('dressed')].map(e => getComputedStyle(e).display)"
    )
    own = visit.page.evaluate("document.querySelector('.thumb').hidden") is False
    ran = set[str]()
    for at in ("", "link"):
        if at:
            visit.page.evaluate(f"document.getElementById('{at}').click()")
            visit.page.wait_for_timeout(100)
        ran |= set((visit.page.evaluate("document.body.getAttribute('data-ran')") or "").split())
    visit.page.evaluate("document.getElementById('send').click()")
    visit.page.wait_for_timeout(200)
    blocked = [t for t in visit.troubles if "Content Security Policy" in t]
    context.close()
    assert own, "the page's own script runs"
    if held:
        assert (ran, reached, dressed) == (set(), [], ["block", "block"])
        assert len(blocked) >= 8
    else:
        assert ran == {"inline", "handler", "link"}
        assert {"picture.png", "script.js", "frame.html", "form"} <= {r.rstrip("?") for r in reached}
        assert dressed == ["none", "none"]
        assert blocked == []
