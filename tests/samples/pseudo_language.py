"""A language in which every text of the catalogue stands in brackets, and what a page shows outside of them.

Fields stay outside the brackets: what fills them must bring its own, or be the user's own data.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Iterator
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

from benchleaf.geometry.engineering.units import UNITS
from benchleaf.site.words.catalogue import Words, load_words
from ruamel.yaml import YAML

LANGUAGE = "xx"
OPEN, CLOSE = "⟦", "⟧"
TEXTS = {"title", "text", "because", "method", "hazard", "consequence", "avoidance"}
"""Keys of the sequence and caution files whose values are texts."""
LISTS = {"title", "acts", "look", "why", "tools", "supplies"}
"""Keys whose values are one text or several, each bare or with a condition."""

VOID = {"meta", "link", "img", "input", "br", "wbr", "source", "hr", "col"}
INLINE = {
    "span",
    "b",
    "strong",
    "em",
    "a",
    "wbr",
    "br",
    "small",
    "tspan",
    "output",
    "q",
    "sup",
    "sub",
    "label",
    "input",
}
SHOWN = {"alt", "title", "aria-label", "placeholder", "summary"}
MACHINE = {
    "data-keep",
    "data-booklet",
    "data-class",
    "data-notes",
    "data-section",
    "data-verdict",
    "data-do",
    "data-show",
    "data-u",
    "data-low",
    "data-high",
    "data-tick",
    "data-of",
    "data-sign",
    "data-sequence",
    "data-id",
    "data-state",
    "data-limits-unit",
    "data-value",
    "data-other",
    "data-library",
    "data-job",
    "data-reading",
    "data-only",
    "data-filter",
    "data-chosen",
    "data-group",
}
"""Attributes that scripts use and nobody sees."""
MACHINE_KEYS = {"sequence", "src", "href", "parts", "id", "kind"}
"""Keys of a page's data whose values scripts use and nobody sees."""
_UNIT = "|".join(
    sorted(
        (re.escape(u) for u in {*UNITS, "L", "rpm", "mm²", "mm³", "N/µm", "10⁻⁶/K"}), key=len, reverse=True
    )
)


def bracketed(text: str) -> str:
    """Return a text with all but its fields in brackets.

    >>> bracketed("Step {number} of {total}")
    '⟦Step ⟧{number}⟦ of ⟧{total}'
    """
    parts = re.split(r"(\{[^{}]*\})", text)
    return "".join(p if p.startswith("{") or not p else f"{OPEN}{p}{CLOSE}" for p in parts)


def pseudo_words() -> Words:
    """Return the catalogue in the bracketed language, its safety texts released: else pages repeat the English."""
    texts = {key: bracketed(text) for key, text in load_words().texts.items()}
    return Words(LANGUAGE, texts, released=bracketed("somebody"))


def write_bracketed(source: Path, target: Path) -> None:
    """Write a copy of a sequence or caution file with its texts in brackets."""
    yaml = YAML()
    data = yaml.load(source.read_text("utf-8"))
    with target.open("w", encoding="utf-8") as out:
        yaml.dump(_in_brackets(data), out)


def _in_brackets(node: Any, key: str = "") -> Any:
    if isinstance(node, dict):
        for name, value in node.items():
            node[name] = _in_brackets(value, name)
    elif isinstance(node, list):
        for n, value in enumerate(node):
            node[n] = (
                bracketed(value) if key in LISTS and isinstance(value, str) else _in_brackets(value, key)
            )
    elif isinstance(node, str) and key in TEXTS | LISTS:
        return bracketed(node)
    return node


class Shown(HTMLParser):
    """All that a page shows: text by blocks, attributes that are read or put in by a script, words of styles and data.

    ``without`` are elements left out with all that is in them, as (tag, class).
    """

    def __init__(self, page: str, without: Iterable[tuple[str, str]] = ()) -> None:
        super().__init__()
        self.texts: list[str] = []
        self.without = set(without)
        self._open: list[tuple[str, str, bool]] = []
        self._block = ""
        self.feed(page)
        self._flush()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        named = {name: value or "" for name, value in attrs}
        hidden = bool(self._open and self._open[-1][2])
        hidden |= any((tag, c) in self.without for c in named.get("class", "").split())
        if tag not in INLINE:
            self._flush()
        if not hidden:
            self.texts += [
                v for n, v in named.items() if n in SHOWN or (n.startswith("data-") and n not in MACHINE)
            ]
        if tag not in VOID:
            self._open.append((tag, named.get("type", ""), hidden))

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Take an element that is closed at once: nothing is inside it."""

    def handle_endtag(self, tag: str) -> None:
        if tag not in INLINE:
            self._flush()
        while self._open:
            if self._open.pop()[0] == tag:
                break

    def handle_data(self, data: str) -> None:
        tag, kind, hidden = self._open[-1] if self._open else ("", "", False)
        if hidden or not data.strip():
            self._block += " " if data and not hidden else ""
        elif tag == "style":
            strings = re.findall(r'"((?:[^"\\]|\\.)*)"', data)
            self.texts += [re.sub(r"\\([0-9a-f]+) ", lambda m: chr(int(m[1], 16)), s) for s in strings]
        elif tag == "script":
            self.texts += _strings(json.loads(data)) if kind == "application/json" else []
        else:
            self._block += data

    def _flush(self) -> None:
        if self._block.strip():
            self.texts.append(self._block)
        self._block = ""


def _strings(node: Any, key: str = "") -> list[str]:
    if isinstance(node, dict):
        return [s for name, value in node.items() for s in _strings(value, name)]
    if isinstance(node, list):
        return [s for value in node for s in _strings(value, key)]
    return [node] if isinstance(node, str) and key not in MACHINE_KEYS else []


def outside(text: str, own: Iterable[str] = ()) -> str:
    """Return what a text shows outside the brackets that is no figure, no unit and none of the user's ``own`` words."""
    rest = re.sub(rf"{OPEN}[^{OPEN}{CLOSE}]*{CLOSE}", " ", text)
    rest = re.sub(
        rf"{OPEN}[^{CLOSE}]*…|\{{\w+\}}", " ", rest
    )  # cut short to its box; fields that a script fills
    for word in sorted(own, key=len, reverse=True):
        rest = rest.replace(word, " ")
    rest = re.sub(rf"(?<=\d)[\s\u00a0]?(?:{_UNIT})(?!\w)|^\s*(?:{_UNIT})\s*$|\b[0-9a-f]{{40}}\b", " ", rest)
    return " ".join(rest.split()) if any(c.isalpha() for c in rest) else ""


def untranslated(
    page: str, own: Iterable[str] = (), without: Iterable[tuple[str, str]] = ()
) -> Iterator[str]:
    """Yield every text of a page that shows something outside the brackets, with what it is."""
    for text in Shown(page, without).texts:
        if rest := outside(text, own):
            yield f"{rest!r} in {' '.join(text.split())[:160]!r}"
