"""Texts that stand in English for a translation that is missing: elements with their language in what a page shows.

Attributes, titles and styles, which can hold no elements, show them plain.
"""

from __future__ import annotations

import re

from ...words.languages.fallback import BEGIN, END, plain

_TOKEN = re.compile(
    r"<(?P<whole>style|script|title|option|textarea)\b.*?</(?P=whole)>|<(?P<name>/?[a-zA-Z][\w-]*)[^<>]*>",
    re.S,
)
_MARK = re.compile(f"[{BEGIN}{END}]")
NAME = "in-english"


def in_english(page: str) -> str:
    """Return a page with an element of its own, told as English, around each text that stands in.

    >>> in_english(f'<p title="{BEGIN}Ring{END}">Der {BEGIN}ring{END}</p>')
    '<p title="Ring">Der <span class="in-english end" lang="en" dir="ltr">ring</span></p>'
    """
    if BEGIN not in page and END not in page:
        return page
    found: list[str] = []
    depth, drawn, at = 0, 0, 0
    for token in _TOKEN.finditer(page):
        depth = _text(page[at : token.start()], depth, drawn > 0, found)
        found.append(plain(token[0]))
        name = token["name"] or ""
        drawn += {"text": 1, "/text": -1}.get(name, 0)
        at = token.end()
    _text(page[at:], depth, False, found)
    return "".join(found)


def _text(text: str, depth: int, drawn: bool, found: list[str]) -> int:
    """Add what stands between two tags; ``depth`` is how many marks are open before it, and returned, after it."""
    if not depth and BEGIN not in text:  # an end alone is what a cut text has left
        found.append(plain(text))
        return 0
    element = "tspan" if drawn else "span"
    at = 0
    for mark in (*_MARK.finditer(text), None):
        piece = text[at : mark.start() if mark else len(text)]
        last = mark is not None and mark[0] == END and depth == 1
        if piece:
            if depth > 0 and piece.strip():
                end = " end" if last else ""
                direction = "" if drawn else ' dir="ltr"'
                found.append(f'<{element} class="{NAME}{end}" lang="en"{direction}>{piece}</{element}>')
            else:
                found.append(piece)
        if mark is not None:
            depth = max(0, depth + (1 if mark[0] == BEGIN else -1))
            at = mark.end()
    return depth
