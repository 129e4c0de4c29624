"""What one booklet is made from, and what is known of it when it is made: both travel between processes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from ...sequences.proof.head_proof import ProofKeys
from ...sequences.proof.head_work import HeadWork
from ...sequences.work.keys import TaskKey
from ..pages.library.head_lines import HeadLine, MissingLine
from ..pages.pages import Setting
from ..pages.paper.pdf_files import PaperSize
from ..words.value_words import ChangeText

if TYPE_CHECKING:
    from ...render.drawing.settings import PictureSettings


Form = Literal["", "course", "slides"]
"""What a booklet is made into: pages, the package of a course for a learning system, or slides."""


@dataclass(frozen=True)
class HeadJob:
    """Everything that one booklet is made from."""

    work: HeadWork
    setting: Setting
    revision: str
    changes: tuple[ChangeText, ...]
    pictures: PictureSettings
    prove: bool = False
    """Whether the solids are asked for evidence; the booklet then has its pages."""
    despite_proof: bool = False
    """Whether to make the booklet also where the proof finds a fault; its pages then say so."""
    pdf: tuple[PaperSize, ...] = ()
    """Sizes of paper of which it has a PDF file."""
    part: str = ""
    """The one part that is wanted, as :func:`..pages.paper.parts.part_names` tells it; empty: the booklet."""
    form: Form = ""
    """Another form than pages."""
    steps: tuple[str, ...] = ()
    """The steps that this form is of, as :func:`..pages.chosen_steps.chosen_steps` takes them; empty: all."""

    @property
    def tag(self) -> str:
        """The head's plant tag."""
        return self.work.row.tag

    @property
    def slug(self) -> str:
        """The name of its folder."""
        return self.work.row.slug


@dataclass(frozen=True)
class HeadKeys:
    """Where all that the pages of one booklet rest on is kept."""

    proof: ProofKeys | None
    overview: TaskKey
    steps: tuple[tuple[str, str, TaskKey], ...]
    """Sequence, step id, picture."""
    cards: tuple[tuple[str, TaskKey, TaskKey], ...]
    """Card id, right and wrong picture."""
    viewer: TaskKey
    """The viewer's model."""


@dataclass(frozen=True)
class HeadDone:
    """What the library page has to know of a finished booklet."""

    line: HeadLine
    missing: tuple[MissingLine, ...] = ()
    faults: tuple[str, ...] = ()
    """What the proof found wrong, in English for the command line; unless that was waived, no booklet was made."""
    shortcomings: tuple[str, ...] = ()
    """Sequence, step, part and reason of each picture that does not show what it has to."""
    remarks: tuple[str, ...] = ()
    """What the owner of parts has to know of how they were read."""
