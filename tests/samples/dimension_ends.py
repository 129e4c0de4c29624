"""Each named dimension at the ends of what may be given for it: a fault at the check, or sound solids, nothing else."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, ClassVar, cast
from unittest.mock import patch

from benchleaf.geometry.dimensions.options import Options
from benchleaf.geometry.dimensions.proportions.rules import OneOf, Within, ZeroOrWithin
from benchleaf.geometry.dimensions.size import PROPORTIONS, Size, SizeError, example_measures, make_size
from benchleaf.geometry.dimensions.stack_up import StackUp
from benchleaf.geometry.head import head as heads
from benchleaf.geometry.head.head import HeadBuilder, Maker

FORMS = {
    "wings": Options(seal="double", cover="relief"),
    "lobes": Options(rotor="three-lobe", cover="jacketed", body="free-draining", cleaning_in_place=True),
}
"""Two heads that between them have every kind of part."""
CENTRES_MM = (62.0, 80.0, 118.0)


@dataclass(frozen=True)
class End:
    """One dimension of one size at an end of its range."""

    centre_mm: float
    form: str
    name: str
    value: float


def ends(centre_mm: float, form: str) -> Iterator[End]:
    """Yield every dimension at every end of what may be given for it; the usual value is left out."""
    usual = make_size("x", example_measures(centre_mm, FORMS[form].rotor))
    for name, p in PROPORTIONS.items():
        own: float = getattr(usual, name)
        choice = p.choice
        if isinstance(choice, Within):
            values = [choice.least * own, choice.most * own]
        elif isinstance(choice, ZeroOrWithin):
            values = [0.0, choice.least, choice.most]
        else:
            assert isinstance(choice, OneOf)
            values = list(choice.values(own))
        for value in values:
            if value != own:
                yield End(centre_mm, form, name, value)


class ReadSize:
    """A size that notes what is read of it."""

    def __init__(self, size: Size) -> None:
        self.size, self.read = size, dict[str, Any]()

    def __getattr__(self, name: str) -> Any:
        value = self.read[name] = getattr(self.size, name)
        return value


class SparingBuilder(HeadBuilder):
    """Makes a part anew only where something has changed that its maker reads: of most dimensions, few parts know."""

    made: ClassVar[dict[object, list[tuple[dict[str, Any], Any]]]] = {}

    def make(self, maker: Maker, uses: tuple[str, ...] = (), *extra: object) -> Any:
        """Return what ``maker`` makes of the stack."""
        size = self.stack.size
        options = Options(**{name: getattr(self.stack.options, name) for name in uses})
        kept = self.made.setdefault((maker, options, extra), [])
        for read, made in kept:
            if all(getattr(size, name) == value for name, value in read.items()):
                return made
        reading = ReadSize(size)
        kept.append((reading.read, maker(StackUp(cast(Size, reading), options), *extra)))
        return kept[-1][1]


def judged(end: End) -> str:
    """Return what comes of a head with this end: ``fault`` where a check refuses it, ``sound``, or what failed."""
    options = FORMS[end.form]
    try:
        size = make_size("x", example_measures(end.centre_mm, options.rotor), {end.name: end.value})
        with patch.object(heads, "HeadBuilder", SparingBuilder):
            head = heads.make_head("X", size, options)
    except SizeError as e:
        return "fault" if all(f.fix and f.allowed for f in e.faults) else f"a fault without words: {e}"
    except Exception as e:
        return f"{type(e).__name__}: {e}"
    empty = [p.key for p in head if not p.volume_mm3 > 0]
    return f"no volume: {', '.join(empty)}" if empty else "sound"
