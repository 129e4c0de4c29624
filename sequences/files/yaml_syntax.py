"""Broken YAML in plain words: what the parser's messages mean to a person who edits the file."""

from __future__ import annotations

import re
from typing import Any

from .faults import Fault

_SYNTAX: tuple[tuple[str, str, str, str], ...] = (
    (r"character '\\t'", "a tab", "spaces for indentation", "replace the tab by spaces"),
    (
        r"mapping values are not allowed",
        "a colon where no key can stand",
        "one 'key: value' a line, deeper lines indented alike",
        "check the indentation, or put the text in quotes",
    ),
    (r"unexpected end of stream", "a quote that is never closed", "quotes in pairs", "close the quote"),
    (r"expected ',' or '\]'", "a list in [ ] that is not closed", "[a, b]", "add the comma or the ]"),
    (
        r"expected ',' or '\}'",
        "a mapping in { } that is not closed",
        "{a: 1, b: 2}",
        "add the comma or the }",
    ),
    (
        r"expected <block end>",
        "a line that does not fit its neighbours",
        "lines of one level indented alike",
        "indent it like the lines above",
    ),
    (r"could not find expected ':'", "a line without a colon", "'key: value'", "add the colon after the key"),
    (
        r"unknown escape",
        "a backslash that means nothing",
        '\\n, \\t, \\", \\\\',
        "use single quotes, or double it",
    ),
    (
        r"cannot start any token",
        "a character that cannot start a value",
        "text in quotes",
        "put the text in quotes",
    ),
    (r"undefined alias", "an alias", "values written out", "copy the value to this place"),
)


def syntax_fault(file: str, text: str, error: Any) -> Fault:
    """Return the fault of a marked error of the YAML library, in plain words where it is a common one."""
    mark = error.problem_mark or error.context_mark
    problem = str(error.problem or error.context or "text that is not YAML")
    found, allowed, fix = problem, "YAML 1.2", "compare the line with the one above"
    for pattern, *words in _SYNTAX:
        if re.search(pattern, problem):
            found, allowed, fix = words
            break
    if "never closed" in found and error.context_mark is not None:
        mark = error.context_mark
    if mark is None:
        return Fault(file, None, None, "", found, allowed, fix)
    line, column = mark.line + 1, mark.column + 1
    lines = text.splitlines()
    if "\t" in (lines[line - 1][: column + 1] if line <= len(lines) else "") and found == problem:
        found, allowed, fix = "a tab", "spaces for indentation", "replace the tab by spaces"
    return Fault(file, line, column, "", found, allowed, fix)
