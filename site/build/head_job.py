"""What a worker is given to make one booklet, and what it gives back: both travel between processes."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from ...sequences.calculations.doubts import Doubt
from ...sequences.proof.head_work import HeadWork
from ..pages.pages import HeadLine, MissingLine, Setting
from ..words.value_words import ChangeText
from .timings import StageTimes

if TYPE_CHECKING:
    from ...render.drawing.settings import PictureSettings


@dataclass(frozen=True)
class HeadJob:
    """Everything that one booklet is made from; ``folder`` is the library's."""

    work: HeadWork
    setting: Setting
    revision: str
    changes: tuple[ChangeText, ...]
    folder: Path
    pictures: PictureSettings | None = None
    cache: Path | None = None
    """Folder in which pictures and evidence are kept for the next build; None keeps none."""
    workers: int = 1
    """Processes that prove, and then draw, at the same time."""
    prove: bool = False
    """Whether the solids are asked for evidence; the booklet then has its pages."""
    despite_proof: bool = False
    """Whether to make the booklet also where the proof finds a fault; its pages then say so."""

    @property
    def tag(self) -> str:
        """The head's plant tag."""
        return self.work.row.tag


@dataclass(frozen=True)
class HeadDone:
    """What the library page has to know of a finished booklet, and what its stages took."""

    line: HeadLine
    missing: tuple[MissingLine, ...]
    steps: tuple[tuple[str, int], ...]
    stages: StageTimes
    doubts: tuple[Doubt, ...] = ()
    faults: tuple[str, ...] = ()
    """What the proof found wrong, in English for the command line; unless that was waived, no booklet was made."""
    shortcomings: tuple[str, ...] = ()
    """Sequence, step, part and reason of each picture that does not show what it has to."""
