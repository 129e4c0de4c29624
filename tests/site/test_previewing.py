"""The preview in a browser: a saved file is on the page at the same place, a mistake is told, and nothing is left."""

from __future__ import annotations

import json
import os
import re
import signal
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from pathlib import Path

import pytest
from benchleaf.sequences.files.faults import Fault, FaultsFound
from benchleaf.site.build.user_faults import UserFault
from benchleaf.site.preview.previewing import preview_fleet
from benchleaf.site.preview.server import open_server
from benchleaf.site.preview.state import PreviewState
from benchleaf.site.words.catalogue import load_words
from browsing import browser, viewport
from small_assembly import write_small_assembly

PATIENCE_MS = 120_000
"""How long a loaded machine may take; how fast it is stands in no test."""


class Preview:
    """A preview as a command of its own."""

    def __init__(self, file: Path, cache: Path, home: Path) -> None:
        command = [sys.executable, "-m", "benchleaf.site", "preview", str(file), "--port", "0"]
        there = {**os.environ, "BENCHLEAF_CACHE": str(cache), "TMPDIR": str(home), "PYTHONUNBUFFERED": "1"}
        self.process = subprocess.Popen(
            command, env=there, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True
        )
        assert self.process.stdout is not None
        self.said: list[str] = []
        self.address = ""
        for line in self.process.stdout:
            self.said.append(line)
            if found := re.search(r"http://127\.0\.0\.1:\d+/", line):
                self.address = found[0]
                break
        assert self.address, self.said

    def told(self) -> dict[str, object]:
        with urllib.request.urlopen(f"{self.address}.preview/state", timeout=60) as answer:
            found: dict[str, object] = json.load(answer)
        return found

    def wait_until_made(self, number: int) -> None:
        end = time.monotonic() + PATIENCE_MS / 1000
        while self.told()["made"] != number:
            assert time.monotonic() < end, self.told()
            time.sleep(0.1)

    def stop(self, number: int) -> tuple[int, str]:
        self.process.send_signal(number)
        rest, _ = self.process.communicate(timeout=60)
        return self.process.returncode, rest


@pytest.fixture(scope="module", name="store")
def _store(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """What one test draws, the next one finds."""
    return tmp_path_factory.mktemp("store")


@pytest.fixture(name="preview")
def _preview(tmp_path: Path, store: Path) -> Iterator[Preview]:
    (tmp_path / "own").mkdir()
    (tmp_path / "store").mkdir()
    running = Preview(write_small_assembly(tmp_path / "own"), store, tmp_path / "store")
    try:
        yield running
    finally:
        if running.process.poll() is None:
            running.process.kill()
            running.process.communicate()


def test_a_saved_file_is_on_the_page_at_the_same_place_and_a_mistake_is_told(
    preview: Preview, tmp_path: Path
) -> None:
    steps = tmp_path / "own" / "fit.yaml"
    right = steps.read_text("utf-8")
    preview.wait_until_made(1)
    with browser() as chrome:
        page = chrome.new_page(viewport=viewport(360, 740))
        troubles: list[str] = []
        page.on("pageerror", lambda e: troubles.append(str(e)))
        page.on("console", lambda m: troubles.append(m.text) if m.type == "error" else None)
        page.goto(f"{preview.address}assembly.html")
        page.wait_for_selector("#step-1-title:has-text('Put the lid on')")
        assert page.locator("img[src^='pictures/assembly-01']").count(), "the booklet, with its pictures"
        page.evaluate(
            "document.querySelectorAll('main details').forEach((d, n) => { d.open = n % 2 === 0; })"
        )
        page.evaluate("scrollTo(0, 300)")
        opened = page.evaluate("[...document.querySelectorAll('main details')].map(d => d.open)")
        at = page.evaluate("scrollY")
        assert at > 100, "the page is long enough to have a place"

        steps.write_text(right.replace("Put the lid on", "Lay the lid on"), "utf-8")
        page.wait_for_selector("#step-1-title:has-text('Lay the lid on')", timeout=PATIENCE_MS)
        page.wait_for_function(f"Math.abs(scrollY - {at}) < 2")
        assert page.evaluate("[...document.querySelectorAll('main details')].map(d => d.open)") == opened

        steps.write_text(right.replace("fit: lid", "fit: lit"), "utf-8")
        note = page.locator(".preview-note")
        note.locator("text=1 mistake in the files").wait_for(timeout=PATIENCE_MS)
        said = note.inner_text()
        assert "fit.yaml, line 6, column" in said
        assert "Found: the part 'lit'." in said
        assert "Likely fix: write lid" in said
        assert page.locator("#step-1-title:has-text('Lay the lid on')").count(), (
            "the page before it can still be read"
        )
        assert note.bounding_box()["y"] > 300  # type: ignore[index]
        page.goto(f"{preview.address}practice.html")
        note.locator("text=1 mistake in the files").wait_for(timeout=PATIENCE_MS)

        steps.write_text(right, "utf-8")
        note.wait_for(state="hidden", timeout=PATIENCE_MS)
        page.goto(f"{preview.address}assembly.html")
        page.wait_for_selector("#step-1-title:has-text('Put the lid on')")
        assert troubles == []
    assert preview.told()["made"] == 3
    assert list((tmp_path / "store").glob("benchleaf-preview-*/library/**/*preview*")) == []


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_it_ends_cleanly_and_leaves_nothing(preview: Preview, tmp_path: Path, number: int) -> None:
    preview.wait_until_made(1)
    assert list((tmp_path / "store").glob("benchleaf-preview-*"))
    status, rest = preview.stop(number)
    assert status == 0
    assert rest.endswith("The preview has ended.\n")
    assert list((tmp_path / "store").glob("benchleaf-preview-*")) == []
    with pytest.raises(urllib.error.URLError):
        preview.told()


def test_a_port_that_is_taken_is_told(tmp_path: Path) -> None:
    state = PreviewState(tmp_path / "library", tmp_path)
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        port = other.getsockname()[1]
        with pytest.raises(UserFault, match=f"Port {port} is taken by another program.*--port {port + 1}"):
            open_server(port, state, load_words())


def test_only_this_machine_is_answered_and_only_by_its_own_name(preview: Preview) -> None:
    port = int(preview.address.rsplit(":", 1)[1].strip("/"))
    asked = urllib.request.Request(
        f"{preview.address}.preview/state", headers={"Host": f"pumps.example:{port}"}
    )
    with pytest.raises(urllib.error.HTTPError, match="403"):
        urllib.request.urlopen(asked, timeout=10)
    with pytest.raises(urllib.error.HTTPError, match="404"):
        urllib.request.urlopen(f"{preview.address}..%2f..%2fetc/passwd", timeout=10)
    with socket.socket() as outside:
        outside.settimeout(5)
        assert outside.connect_ex((_own_address(), port)) != 0


def _own_address() -> str:
    """Return an address of this machine that is not the loopback's."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))
        except OSError:
            return "127.0.0.2"
        return str(probe.getsockname()[0])


def test_pumps_are_not_named_of_an_assembly(tmp_path: Path) -> None:
    with pytest.raises(UserFault, match="one booklet: leave --only out"):
        preview_fleet(write_small_assembly(tmp_path), 0, only=["P-101"])


def test_more_mistakes_than_are_told_are_counted(tmp_path: Path) -> None:
    state = PreviewState(tmp_path / "library", tmp_path)
    state.refused(FaultsFound(Fault("a.yaml", n, 1, "", "x", "y", "z") for n in range(1, 51)))
    told = json.loads(state.text())
    assert (len(told["faults"]), told["more"]) == (40, 10)
    assert told["faults"][0] == {
        "where": "a.yaml, line 1, column 1",
        "found": "x",
        "allowed": "y",
        "fix": "z",
    }
    state.made()
    assert json.loads(state.text()) == {"made": 1, "busy": False, "faults": [], "more": 0}
