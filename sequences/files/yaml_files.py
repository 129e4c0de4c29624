"""Read a user's YAML file into plain data that remembers the line and column of every key and value.

YAML 1.2 core schema only: ``no``, ``on`` and dates are text. Data only: anchors, aliases, merge keys, tags and several
documents in one file are refused, so no file can grow when it is read. Numbers remember how they were written, so that
a size called 62 or a revision 1.10 can be read as text.

API::

    read_yaml(path, faults, shown_as="") -> YamlFile | None      # None: the faults say why
    parse_yaml(text, file, faults) -> YamlFile | None
    YamlFile.data, .file, .mark(path, key=False) -> (line, column), .fault(path, found, allowed, fix, key=False)
    Path = tuple[str | int, ...]
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path as FilePath
from typing import Any

from .faults import Fault, Faults, unprintable
from .yaml_readers import Events, readers
from .yaml_syntax import syntax_fault

Path = tuple[str | int, ...]
Mark = tuple[int, int]

MOST_BYTES = 1_000_000
MOST_DEPTH = 24
MOST_NODES = 100_000

_INT = re.compile(r"[-+]?[0-9]+|0o[0-7]+|0x[0-9a-fA-F]+")
_FLOAT = re.compile(r"[-+]?(\.[0-9]+|[0-9]+(\.[0-9]*)?)([eE][-+]?[0-9]+)?")
_NULL = {"", "~", "null", "Null", "NULL"}
_BOOL = {w: v for v in (True, False) for w in (str(v), str(v).lower(), str(v).upper())}


class WrittenInt(int):
    """A whole number that remembers how it was written."""

    written: str

    def __new__(cls, value: int, written: str) -> WrittenInt:
        number = super().__new__(cls, value)
        number.written = written
        return number

    def __getnewargs__(self) -> tuple[int, str]:  # type: ignore[override]
        return int(self), self.written

    def __reduce__(self) -> tuple[type, tuple[int, str]]:
        return WrittenInt, (int(self), self.written)


class WrittenFloat(float):
    """A number that remembers how it was written."""

    written: str

    def __new__(cls, value: float, written: str) -> WrittenFloat:
        number = super().__new__(cls, value)
        number.written = written
        return number

    def __getnewargs__(self) -> tuple[float, str]:  # type: ignore[override]
        return float(self), self.written

    def __reduce__(self) -> tuple[type, tuple[float, str]]:
        return WrittenFloat, (float(self), self.written)


@dataclass
class YamlFile:
    """A file's data with the place of every node; lines and columns count from 1."""

    file: str
    data: Any = None
    values: dict[Path, Mark] = field(default_factory=dict)
    keys: dict[Path, Mark] = field(default_factory=dict)

    def real(self, path: Path) -> Path:
        """Return the part of ``path`` that exists in the file: readers may add levels of their own, such as the list
        round an entry that stands alone."""
        here: Path = ()
        node = self.data
        for step in path:
            listed = isinstance(node, list) and isinstance(step, int) and step < len(node)
            if listed or (isinstance(node, dict) and step in node):
                node, here = node[step], (*here, step)
        return here

    def mark(self, path: Path, key: bool = False) -> Mark:
        """Return the place of the node at ``path`` (of its key if ``key``), or of the nearest node above it."""
        here = self.real(path)
        while here:
            if key and here in self.keys:
                return self.keys[here]
            if here in self.values:
                return self.values[here]
            here = here[:-1]
        return self.values.get((), (1, 1))

    def fault(self, path: Path, found: str, allowed: str, fix: str = "", key: bool = False) -> Fault:
        """Return a fault at ``path``."""
        line, column = self.mark(path, key)
        return Fault(self.file, line, column, words_of(path), found, allowed, fix)


def words_of(path: Path) -> str:
    """Return a path for people; entries of a list count from 1.

    >>> words_of(("heads", 2, "seal"))
    'heads > #3 > seal'
    """
    return " > ".join(f"#{p + 1}" if isinstance(p, int) else str(p) for p in path)


def read_bytes(path: FilePath, file: str, faults: Faults, most: int = MOST_BYTES) -> bytes | None:
    """Return what a file holds, or None with a fault where it is absent, no file, unreadable or too large."""
    try:
        if not path.is_file():
            found = "a folder" if path.is_dir() else "no such file"
            faults.add(Fault(file, None, None, "", found, "a file that can be read", "check name and folder"))
            return None
        size = path.stat().st_size
        if size > most:
            fix = "split it, or check that it is the right file"
            faults.add(Fault(file, None, None, "", f"{size} bytes", f"at most {most} bytes", fix))
            return None
        return path.read_bytes()
    except (OSError, ValueError) as e:
        reason = getattr(e, "strerror", None) or str(e)
        faults.add(
            Fault(file, None, None, "", reason, "a file that can be read", "check name and permissions")
        )
        return None


def decode(raw: bytes, file: str, faults: Faults) -> str | None:
    """Return UTF-8 text (a byte order mark is dropped), or None with a fault at the byte that is not UTF-8."""
    if raw[:2] in (b"\xff\xfe", b"\xfe\xff"):
        faults.add(Fault(file, 1, 1, "", "UTF-16 text", "UTF-8 text", "save the file with encoding UTF-8"))
        return None
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as e:
        start = e.start + (3 if raw.startswith(b"\xef\xbb\xbf") else 0)
        before = raw[:start]
        line = before.count(b"\n") + 1
        column = len(before.rsplit(b"\n", 1)[-1].decode("utf-8", "replace")) + 1
        found = f"byte 0x{raw[start]:02X}, which is not UTF-8"
        faults.add(Fault(file, line, column, "", found, "UTF-8 text", "save the file with encoding UTF-8"))
        return None


def read_yaml(path: FilePath, faults: Faults, shown_as: str = "") -> YamlFile | None:
    """Return the file's data, or None with the reasons in ``faults``."""
    file = shown_as or path.name
    raw = read_bytes(path, file, faults)
    if raw is None:
        return None
    text = decode(raw, file, faults)
    if text is None:
        return None
    doc, found = _parsed(text, file)
    faults.extend(found)
    return doc


@lru_cache(maxsize=2)
def _parsed(text: str, file: str) -> tuple[YamlFile | None, tuple[Fault, ...]]:
    """Return what :func:`parse_yaml` gives; a file is looked at more than once, and a large one takes seconds."""
    faults = Faults()
    return parse_yaml(text, file, faults), tuple(faults)


def parse_yaml(text: str, file: str, faults: Faults) -> YamlFile | None:
    """Return the data of YAML ``text``, or None with the reasons in ``faults``.

    Every duplicate key, alias and tag is reported; of broken syntax only the first place can be known.
    """
    for events in readers(text):
        builder, broken = built_by(events, text, file)
        if not broken:
            break
    if builder.faults:
        faults.extend(builder.faults)
        return None
    if not builder.seen:
        faults.add(
            Fault(
                file, 1, 1, "", "an empty file", "a mapping of keys to values", "fill it in or take it away"
            )
        )
        return None
    return builder.out


def built_by(events: Events, text: str, file: str) -> tuple[Builder, bool]:
    """Return what a reader makes of ``text``, and whether that is broken YAML."""
    from ruamel.yaml.error import MarkedYAMLError
    from ruamel.yaml.reader import ReaderError

    builder = Builder(file)
    try:
        for event in events(text):
            if not builder.take(event):
                break
        return builder, False
    except MarkedYAMLError as e:
        builder.faults.append(syntax_fault(file, text, e))
    except ReaderError as e:
        before = text[: e.position]
        column = len(before) - (before.rfind("\n") + 1) + 1
        found = (
            f"the control character U+{ord(text[e.position]):04X}"
            if e.position < len(text)
            else "a control character"
        )
        line = before.count("\n") + 1
        builder.faults.append(Fault(file, line, column, "", found, "printable text", "delete that character"))
    except (
        ValueError,
        OverflowError,
        AttributeError,
        TypeError,
        IndexError,
        AssertionError,
        NotImplementedError,
    ) as e:
        # The YAML library answers a few broken escapes and directives with errors of its own code.
        line, column = builder.last
        found = f"text that is not YAML ({e})" if str(e) else "text that is not YAML"
        builder.faults.append(
            Fault(file, line, column, "", found, "YAML 1.2", "look for a wrong escape near this place")
        )
    return builder, True


class Builder:
    """Turns the parser's events into plain data; works without recursion, so depth cannot exhaust the stack."""

    def __init__(self, file: str) -> None:
        self.out = YamlFile(file)
        self.faults: list[Fault] = []
        self.stack: list[tuple[Any, Path]] = []
        self.key: list[Any] = []
        self.documents = 0
        self.nodes = 0
        self.seen = False
        self.last: Mark = (1, 1)

    def take(self, event: Any) -> bool:
        """Take one event; False ends the reading."""
        name = type(event).__name__
        mark = (event.start_mark.line + 1, event.start_mark.column + 1)
        self.last = mark
        if name == "DocumentStartEvent":
            self.documents += 1
            if self.documents > 1:
                self._add(mark, (), "a second document", "one document in a file", "take the line '---' away")
                return False
        elif name in ("MappingEndEvent", "SequenceEndEvent"):
            self.stack.pop()
            self.key.pop()
        elif name in ("ScalarEvent", "MappingStartEvent", "SequenceStartEvent", "AliasEvent"):
            return self._node(name, event, mark)
        return True

    def _add(self, mark: Mark, path: Path, found: str, allowed: str, fix: str) -> None:
        self.faults.append(Fault(self.out.file, *mark, words_of(path), found, allowed, fix))

    def _node(self, name: str, event: Any, mark: Mark) -> bool:
        self.nodes += 1
        if self.nodes > MOST_NODES or len(self.stack) > MOST_DEPTH:
            what = (
                f"more than {MOST_NODES} values"
                if self.nodes > MOST_NODES
                else f"more than {MOST_DEPTH} levels"
            )
            self._add(mark, (), what, "a file of ordinary size", "check that it is the right file")
            return False
        parent, path = self.stack[-1] if self.stack else (None, ())
        if isinstance(parent, dict) and self.key[-1] is None:
            self._take_key(name, event, mark, parent, path)
            return True
        here = self._here(parent, path)
        self._refuse_marks(name, event, mark, here)
        if name == "ScalarEvent" and not event.value and not event.style:
            mark = self.out.keys.get(here, mark)  # the parser puts what is left out at the next word
        self.out.values[here] = mark
        value: Any
        if name == "ScalarEvent":
            value = self._scalar(event, mark, here)
        else:
            value = None if name == "AliasEvent" else {} if name == "MappingStartEvent" else []
        self._attach(parent, value)
        if name in ("MappingStartEvent", "SequenceStartEvent"):
            self.stack.append((value, here))
            self.key.append(None)
        return True

    def _here(self, parent: Any, path: Path) -> Path:
        if isinstance(parent, dict):
            return (*path, str(self.key[-1]))
        return (*path, len(parent)) if isinstance(parent, list) else ()

    def _attach(self, parent: Any, value: Any) -> None:
        if isinstance(parent, dict):
            parent[self.key[-1]] = value
            self.key[-1] = None
        elif isinstance(parent, list):
            parent.append(value)
        else:
            self.out.data = value
            self.seen = True

    def _take_key(self, name: str, event: Any, mark: Mark, parent: dict[str, Any], path: Path) -> None:
        if name != "ScalarEvent":
            what = "an alias" if name == "AliasEvent" else "a list or mapping"
            self._add(mark, path, f"{what} as a key", "a plain word as a key", "write the key as plain text")
            key = f"?{mark[0]}:{mark[1]}"
            if name != "AliasEvent":
                # Read on into a value that nobody sees, then wait for the key's own value.
                self.stack.append(({} if name == "MappingStartEvent" else [], (*path, key)))
                self.key.append(None)
                self.key[-2] = key
                return
        else:
            key = event.value
            if sign := unprintable(key):
                found = f"the character U+{ord(sign):04X} in a key"
                self._add(mark, path, found, "a plain word as a key", "delete that character")
            self._refuse_marks(name, event, mark, (*path, key))
            if key in parent:
                line = self.out.keys[(*path, key)][0]
                fix = "take one of them away or rename it"
                self._add(
                    mark,
                    (*path, key),
                    f"the key {key} a second time",
                    f"each key once (first in line {line})",
                    fix,
                )
                key = f"{key} (again, line {mark[0]})"
        self.out.keys[(*path, key)] = mark
        self.key[-1] = key

    def _refuse_marks(self, name: str, event: Any, mark: Mark, here: Path) -> None:
        if name == "AliasEvent":
            self._add(
                mark, here, f"the alias *{event.anchor}", "values written out", "copy the value to this place"
            )
            return
        if event.anchor is not None:
            self._add(mark, here, f"the anchor &{event.anchor}", "values written out", "take the anchor away")
        if event.tag is not None:
            self._add(mark, here, f"the tag {event.tag}", "plain values without a tag", "take the tag away")

    def _scalar(self, event: Any, mark: Mark, here: Path) -> Any:
        text = str(event.value)
        if event.style:  # one reader says None of plain text, the other nothing
            return text
        if text in _NULL:
            return None
        if text in _BOOL:
            return _BOOL[text]
        if _INT.fullmatch(text):
            if len(text) <= 18:
                return WrittenInt(int(text, 0) if text[:2] in ("0o", "0x") else int(text), text)
            return text
        # A number without an end stays text: no key takes it, and its mistake is told with all the others.
        if not _FLOAT.fullmatch(text) or not math.isfinite(float(text)):
            return text
        return WrittenFloat(float(text), text)


def walk(data: Any, path: Path = ()) -> Iterator[tuple[Path, Any]]:
    """Yield every (path, value) of plain data, outermost first."""
    yield path, data
    if isinstance(data, dict):
        for key, value in data.items():
            yield from walk(value, (*path, str(key)))
    elif isinstance(data, list):
        for n, value in enumerate(data):
            yield from walk(value, (*path, n))
