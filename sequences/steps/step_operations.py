"""What the acts of a step do, with the keys of one head: words become parts that are there, names their surfaces."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

from ..files.faults import Fault, any_of, likely
from ..files.yaml_files import Path
from .conditions import belongs
from .operations import Operation, SaidIn, SurfaceOf
from .plan import Step
from .sequence_form import DIRECTIONS, Act, Measure, OperationText, StepText
from .step_state import StepState

SIDES_OF_A_BLOCK = 2


def step_operations(
    text: StepText, draft: Step, walk: StepState, surfaces: Mapping[str, Collection[str]]
) -> tuple[Operation, ...]:
    """Return the operations of a step that belong to this head; what is wrong is noted among the faults of ``walk``.

    Args:
        text: the step as written.
        draft: says what is there and what moves.
        walk: knows what the words mean for this head.
        surfaces: part key to the names of its surfaces.
    """
    reader = _Reader(walk, {*draft.present, *draft.moving, *draft.focus}, surfaces)
    lists: tuple[tuple[SaidIn, Sequence[Act | Measure]], ...] = (
        ("acts", text.acts),
        ("look", text.look),
        ("measure", text.measure),
    )
    return tuple(found for said_in, said in lists for found in reader.read(said, said_in))


@dataclass
class _Reader:
    walk: StepState
    reach: set[str]
    """Parts that are there in the step."""
    surfaces: Mapping[str, Collection[str]]

    def read(self, sentences: Iterable[Act | Measure], said_in: SaidIn) -> list[Operation]:
        said = [s for s in sentences if belongs(s.when, self.walk.options)]
        done = [(n, op) for n, s in enumerate(said) for op in s.does if belongs(op.when, self.walk.options)]
        found = (self._operation(op, n, said_in) for n, op in done)
        return [operation for operation in found if operation is not None]

    def _operation(self, op: OperationText, sentence: int, said_in: SaidIn) -> Operation | None:
        """Return one operation; None where this head has none of its parts, or where it has a fault."""
        on, between = self._named(op.on, op, "on"), self._named(op.between, op, "between")
        if between and len(between) != SIDES_OF_A_BLOCK:
            found = f"{len(between)} surfaces to stand between"
            self._note(op.path, "between", found, "two surfaces, one of each part", "name two")
            return None
        if not on and not between:
            return None
        towards = DIRECTIONS[op.towards] if op.towards else None
        return Operation(
            op.do, op.tool, on, between, towards, op.order or "", sentence, op.zone_only, said_in
        )

    def _named(self, words: Mapping[str, list[str]], op: OperationText, at: str) -> tuple[SurfaceOf, ...]:
        """Return the surfaces of the parts that ``words`` mean, each once, in the order written."""
        found: dict[SurfaceOf, None] = {}
        for word, names in words.items():
            keys = [k for k in self.walk.keys_of(word) if k in self.reach]
            if not keys and self.walk.keys_of(word):
                fault = f"{word}, which is not there in this step"
                fix = "move it to the step where it is, or put the part in focus"
                self._note((*op.path, at), word, fault, "parts that are in place, or move", fix)
            found |= {SurfaceOf(k): None for k in keys if not names}
            for n, name in enumerate(names):
                had = [SurfaceOf(k, s) for k in keys for s in self._called(k, name)]
                if keys and not had:
                    self._unknown(keys, name, (*op.path, at, word, n))
                found |= dict.fromkeys(had)
        return tuple(found)

    def _called(self, key: str, name: str) -> list[str]:
        """Return the surfaces of a part that ``name`` means: of a numbered row, its bare name means all."""
        return _by_word(tuple(self.surfaces.get(key, ()))).get(name, [])

    def _unknown(self, keys: list[str], name: str, path: Path) -> None:
        known = sorted({s for k in keys for s in self.surfaces.get(k, ())})
        part = keys[0] if len(keys) == 1 else self.walk.parts[keys[0]]
        near = likely(name, known)
        allowed = any_of(known, name) if known else "the whole part, which has no named surfaces"
        fix = f"write {near}" if near else "" if known else f"write {part} alone"
        doc = self.walk.sequence.doc
        self._add(doc.fault(path, f"the surface '{name}' of {part}", allowed, fix))

    def _note(self, path: Path, key: str, found: str, allowed: str, fix: str) -> None:
        self._add(self.walk.sequence.doc.fault((*path, key), found, allowed, fix, key=True))

    def _add(self, fault: Fault) -> None:
        self.walk.faults.append(fault)


@lru_cache(maxsize=256)
def _by_word(names: tuple[str, ...]) -> dict[str, list[str]]:
    """Return the names that each word means: every name itself, and the bare word of a numbered row all of it."""
    found: dict[str, list[str]] = {}
    for name in names:
        word, _, number = name.rpartition(" ")
        for meant in (name, word) if number.isdigit() else (name,):
            found.setdefault(meant, []).append(name)
    return found
