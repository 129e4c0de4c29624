"""What a build made anew, and which of its inputs had changed since the build before."""

from __future__ import annotations

import json
import zlib
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from ...sequences.work.keys import TaskKey, task_key
from ...sequences.work.store import Store
from ...sequences.work.tasks import KeptPiece

NAME = "history"
CALLED = {
    "solids": ("solids", "solids"),
    "evidence": ("proof of a sequence", "proofs of sequences"),
    "turn": ("proof of the whole turn", "proofs of the whole turn"),
    "reach": ("reach of tools in a sequence", "reaches of tools in sequences"),
    "views": ("choice of views", "choices of views"),
    "overview": ("overview", "overviews"),
    "picture": ("picture of a step", "pictures of steps"),
    "card": ("picture of a card", "pictures of cards"),
    "motion": ("motion of a sequence", "motions of sequences"),
    "viewer": ("3D model", "3D models"),
    "pages": ("booklet's pages", "booklets' pages"),
}
"""Kinds of pieces, one and several."""
INPUTS = {
    "design": "dimensions, options or own parts",
    "solids": "dimensions, options or own parts",
    "models": "dimensions, options or own parts",
    "parts": "parts and their places",
    "pump": "tag, size or service",
    "media": "product, cleaning or temperature",
    "spares": "spares, name plate or clearances as found",
    "values": "values",
    "sequence": "moves of the sequence",
    "sequences": "sequences or safety messages",
    "step": "moves of the step",
    "steps": "moves of the steps",
    "scene": "the mistake shown",
    "view": "the view",
    "views": "views of the steps",
    "view_changed": "the view",
    "words": "words of the pages",
    "plant": "plant or title",
    "revision": "revision or date",
    "changes": "changes since the build before",
    "proof": "whether it is proven",
    "paper": "PDF files wanted",
    "settings": "picture settings",
    "pictures": "picture settings",
    "detail": "picture settings",
    "templates": "page templates",
    "code": "the program",
    "upkeep": "the program",
    "tolerance": "the program",
    "tools": "tools of the sequence",
    "files": "the sequence's name",
}
"""Inputs in words; one that stands for itself is not here."""
SHORT = 12
"""Characters of a digest that tell a changed input from an unchanged one."""
Inputs = dict[str, str]


@dataclass(frozen=True)
class Made:
    """Pieces of one kind made for one pump, and the inputs that had changed; none where it was never made before."""

    of: str
    kind: str
    what: tuple[str, ...]
    changed: tuple[str, ...]

    def __str__(self) -> str:
        one, several = CALLED[self.kind]
        what = one if len(self.what) == 1 else f"{len(self.what)} {several}"
        why = ", ".join(dict.fromkeys(INPUTS.get(n, n) for n in self.changed))
        return f"{self.of}: {what}; {f'changed: {why}' if why else 'not kept from before'}"


class History:
    """The inputs of every piece, as the last builds of one fleet file had them."""

    def __init__(self, store: Store, fleet_file: Path) -> None:
        self._store, self._key = store, task_key(NAME, file=str(fleet_file.absolute())).digest
        entry = store.get(self._key)
        try:
            self._known: dict[str, Inputs] = json.loads(zlib.decompress((entry or {})[NAME]))
        except (KeyError, ValueError, zlib.error):
            self._known = {}

    def made(self, pieces: Iterable[KeptPiece]) -> tuple[Made, ...]:
        """Return what these pieces are, those of one kind and one pump with the same changed inputs together."""
        found: dict[tuple[str, str, tuple[str, ...]], list[str]] = {}
        for piece in pieces:
            before = self._known.get(_slot(piece))
            changed = () if before is None else _changed(before, _inputs(piece.key))
            found.setdefault((piece.of, piece.key.kind, changed), []).append(piece.what)
        return tuple(Made(of, kind, tuple(what), changed) for (of, kind, changed), what in found.items())

    def keep(self, pieces: Iterable[KeptPiece]) -> None:
        """Note the inputs of these pieces for the next build."""
        known = dict(self._known)
        known.update({_slot(p): _inputs(p.key) for p in pieces})
        if known != self._known:
            self._known = known
            text = json.dumps(known, sort_keys=True).encode()
            self._store.put(self._key, {NAME: zlib.compress(text)})


def _slot(piece: KeptPiece) -> str:
    return f"{piece.of}\n{piece.what}"


def _inputs(key: TaskKey) -> Inputs:
    return {name: digest[:SHORT] for name, digest in key.inputs}


def _changed(before: Inputs, now: Inputs) -> tuple[str, ...]:
    return tuple(sorted(n for n in before.keys() | now.keys() if before.get(n) != now.get(n)))
