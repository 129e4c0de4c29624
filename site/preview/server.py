"""A web server on this machine alone, which puts the preview's script into each page on its way.

API::

    open_server(port, state, words) -> PreviewServer     # UserFault where the port is taken
    PreviewServer.address; .serve_forever() in a thread of its own; .shutdown(), .server_close()
"""

from __future__ import annotations

import errno
import json
import sys
from functools import partial
from http import HTTPStatus
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any

from markupsafe import escape

from ..build.user_faults import UserFault
from ..words.catalogue import Words
from .state import PreviewState

HOST = "127.0.0.1"
OWN = "/.preview/"
"""Under this path lies what the preview adds; no library has a folder of that name."""
ASSETS = Path(__file__).parent
FILES = {"preview.js": "text/javascript", "preview.css": "text/css"}
_TEXTS = (
    "one",
    "other",
    "old",
    "none_yet",
    "busy",
    "found",
    "allowed",
    "fix",
    "hide",
    "show",
    "more",
    "gone",
)
_CLOSED = "default-src 'none';"
"""How the policy of every page begins: it may ask nobody anything."""


class PreviewServer(ThreadingHTTPServer):
    """Serves one preview."""

    daemon_threads = True
    allow_reuse_address = sys.platform != "win32"  # there it would let two programs share the port

    @property
    def address(self) -> str:
        """Where its first page is."""
        return f"http://{HOST}:{self.server_port}/"


def open_server(port: int, state: PreviewState, words: Words) -> PreviewServer:
    """Return a server that listens on a port of this machine, out of reach of any other; 0 takes one that is free.

    Raises:
        UserFault: if another program has the port, or nobody may take it.
    """
    try:
        return PreviewServer((HOST, port), partial(PreviewRequest, state=state, tag=_tag(words)))
    except OSError as e:
        if e.errno in (errno.EADDRINUSE, getattr(errno, "WSAEADDRINUSE", None)):
            why = "is taken by another program, perhaps by another preview"
        elif e.errno in (errno.EACCES, errno.EPERM):
            why = "may not be used by this user"
        else:
            why = f"cannot be used ({e.strerror or e})"
        other = port + 1 if 1023 < port < 65535 else 8400
        raise UserFault(f"Port {port} {why}. Name another: --port {other}") from e


def _tag(words: Words) -> bytes:
    """Return what is put into the head of each page."""
    texts = json.dumps({name: words(f"preview.{name}", count="{count}") for name in _TEXTS})
    return (
        f'<link rel="stylesheet" href="{OWN}preview.css">'
        f'<script src="{OWN}preview.js" data-own="{OWN}" data-texts="{escape(texts)}" defer></script></head>'
    ).encode()


class PreviewRequest(SimpleHTTPRequestHandler):
    """One request of a page."""

    server_version, sys_version = "benchleaf", ""

    def __init__(self, *given: Any, state: PreviewState, tag: bytes) -> None:
        self.state, self.tag = state, tag
        super().__init__(*given, directory=str(state.folder))

    def do_GET(self) -> None:
        """Send a file of the library, or one of the preview's own."""
        self._answer(True)

    def do_HEAD(self) -> None:
        """Send what a file's head is."""
        self._answer(False)

    def _answer(self, whole: bool) -> None:
        port = self.server.server_port if isinstance(self.server, PreviewServer) else 0
        # A page elsewhere could have its own name lead to this machine: it is told nothing.
        if self.headers.get("Host", "") not in (f"{HOST}:{port}", f"localhost:{port}"):
            self.send_error(HTTPStatus.FORBIDDEN)
            return
        path = self.path.split("?", 1)[0]
        if path == f"{OWN}state":
            self._send(self.state.text(), "application/json", whole)
        elif path.startswith(OWN):
            name = path.removeprefix(OWN)
            if name in FILES:
                self._send((ASSETS / name).read_bytes(), FILES[name], whole)
            else:
                self.send_error(HTTPStatus.NOT_FOUND)
        elif (page := self._page()) is not None:
            self._send(page, "text/html; charset=utf-8", whole)
        elif whole:
            super().do_GET()
        else:
            super().do_HEAD()

    def _page(self) -> bytes | None:
        """Return the page that is asked for, with the preview's script; None where it is no page."""
        file = Path(self.translate_path(self.path))
        if file.is_dir() and self.path.split("?", 1)[0].endswith("/"):
            file /= "index.html"
        if file.suffix != ".html":
            return None
        try:
            page = file.read_bytes()
        except OSError:
            return None
        opened = page.replace(_CLOSED.encode(), f"{_CLOSED} connect-src 'self';".encode(), 1)
        return opened.replace(b"</head>", self.tag, 1)

    def _send(self, content: bytes, kind: str, whole: bool) -> None:
        self.send_response(HTTPStatus.OK)
        self.send_header("Content-Type", kind)
        self.send_header("Content-Length", str(len(content)))
        self.end_headers()
        if whole:
            self.wfile.write(content)

    def list_directory(self, path: Any) -> None:
        """List no folder."""
        self.send_error(HTTPStatus.NOT_FOUND)

    def end_headers(self) -> None:
        """Let no browser keep what may be another in a moment."""
        self.send_header("Cache-Control", "no-store")
        super().end_headers()

    def log_message(self, format: str, *args: Any) -> None:
        """Say nothing: a page asks every second."""
