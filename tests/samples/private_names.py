"""Finds where a module reaches into what others keep to themselves: names with a leading underscore."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from itertools import pairwise

DOTTED = re.compile(r"(?:\w+\.)+_[A-Za-z]\w*")
"""A private name in text after the module that holds it."""
PUBLIC = {"os._exit"}
"""Documented for all in spite of its name."""


def is_private(name: str) -> bool:
    """Return whether ``name`` begins with one underscore, and is not what notebooks call a thing's own picture by."""
    shown = re.fullmatch(r"_repr_\w+_", name)
    return name.startswith("_") and not name.startswith("__") and name != "_" and not shown


def _own_names(tree: ast.AST) -> set[str]:
    """Return the private names that the classes of a module bind themselves."""
    own = set[str]()
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            own.add(node.name)
        elif isinstance(node, ast.Attribute) and isinstance(node.ctx, ast.Store) and _is_self(node.value):
            own.add(node.attr)
        elif isinstance(node, ast.Name) and isinstance(node.ctx, ast.Store):
            own.add(node.id)
    return own


def _is_self(node: ast.expr) -> bool:
    return isinstance(node, ast.Name) and node.id in ("self", "cls")


def private_reaches(text: str) -> Iterator[tuple[int, str]]:
    """Yield line and name of each reach into a private member of something else.

    That is an attribute of anything but ``self``, one of ``self`` that no class of the module binds, a name imported,
    and a name given as text, as patches take it: dotted, or after what holds it.
    """
    tree = ast.parse(text)
    own = _own_names(tree)
    for node in ast.walk(tree):
        if isinstance(node, ast.Attribute) and is_private(node.attr):
            if not (_is_self(node.value) and node.attr in own) and ast.unparse(node) not in PUBLIC:
                yield node.lineno, node.attr
        elif isinstance(node, ast.ImportFrom):
            parts = [*(node.module or "").split("."), *(a.name for a in node.names)]
            yield from ((node.lineno, n) for n in parts if is_private(n))
        elif isinstance(node, ast.Call | ast.Tuple):
            row = node.args if isinstance(node, ast.Call) else node.elts
            for holder, name in pairwise(row):
                if isinstance(holder, ast.Name | ast.Attribute) and is_private(_text(name)):
                    yield name.lineno, _text(name)
        elif isinstance(node, ast.Constant) and DOTTED.fullmatch(_text(node)) and _text(node) not in PUBLIC:
            yield node.lineno, _text(node).rsplit(".", 1)[1]


def _text(node: ast.expr) -> str:
    """Return a constant text, or nothing."""
    return node.value if isinstance(node, ast.Constant) and isinstance(node.value, str) else ""
