"""Files that a STEP assembly names: its parts may stand in files of their own, beside it.

The CAD kernel opens them by itself, from the folder that is the process's own then; here is looked at first what it
will open.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

from ..bounded import Refused
from ..own_parts import STEP_ENDINGS

_NAMED = re.compile(rb"DOCUMENT_FILE\s*\(\s*'((?:[^']|'')*)'", re.IGNORECASE)
_WIDE = re.compile(r"\\X2\\((?:[0-9A-F]{4})+)\\X0\\")


@dataclass(frozen=True)
class NamedFiles:
    """What an assembly names: ``there`` are STEP files beside it, ``missing`` names of which no such file is there."""

    there: tuple[Path, ...] = ()
    missing: tuple[str, ...] = ()


def named_files(file: Path, most_bytes: int) -> NamedFiles:
    """Return the files that a STEP file names, and that those name, each once; all beside it.

    Raises:
        Refused: if one would be read from another folder, is no ordinary file, or all are more than ``most_bytes``.
    """
    folder, there, missing = file.parent, list[Path](), dict[str, None]()
    todo, size, known = [file], file.stat().st_size, {file.name}
    while todo:
        for name in _names_in(todo.pop()):
            if name in known:
                continue
            known.add(name)
            path = folder / name
            if not name.casefold().endswith(STEP_ENDINGS):
                missing[name] = None  # a drawing, or a part in another program's own form
                continue
            if any(sign in name for sign in "/\\:\0"):
                raise _elsewhere(name)
            if not path.exists():
                missing[name] = None
                continue
            if not path.is_file() or path.resolve().parent != folder.resolve():
                raise _elsewhere(name)
            size += path.stat().st_size
            if size > most_bytes:
                raise Refused(
                    f"more than {most_bytes / 1e6:.0f} MB with the files that it names",
                    f"up to {most_bytes / 1e6:.0f} MB",
                    "export a part of the assembly",
                )
            there.append(path)
            todo.append(path)
    return NamedFiles(tuple(there), tuple(missing))


def _elsewhere(name: str) -> Refused:
    return Refused(
        f"parts in '{name}', which is no ordinary file beside it",
        "parts in the file itself, or in files beside it",
        "export the assembly as one STEP file",
    )


def _names_in(file: Path) -> list[str]:
    found = [n.replace(b"''", b"'").decode("latin-1").strip() for n in _NAMED.findall(file.read_bytes())]
    return [n for n in (_WIDE.sub(_letters, n) for n in found) if n]


def _letters(coded: re.Match[str]) -> str:
    """Return letters that ISO 10303-21 writes as numbers of two bytes each."""
    return bytes.fromhex(coded[1]).decode("utf-16-be", "replace")
