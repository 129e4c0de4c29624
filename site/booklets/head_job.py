"""What one booklet is made from, and what is known of it when it is made: both travel between processes."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal

from ...sequences.own.designs import Work
from ...sequences.own.own_work import OwnRow, OwnWork
from ...sequences.proof.head_proof import ProofKeys
from ...sequences.texts.translations import row_said, sequence_said
from ...sequences.work.keys import TaskKey
from ..pages.library.head_lines import HeadLine, MissingLine
from ..pages.pages import Setting
from ..pages.paper.pdf_files import PaperSize
from ..words.catalogue import DEFAULT, Words
from ..words.value_words import ChangeText

if TYPE_CHECKING:
    from ...render.drawing.settings import PictureSettings


Form = Literal["", "course", "slides"]
"""What a booklet is made into: pages, the package of a course for a learning system, or slides."""


@dataclass(frozen=True)
class OtherLanguage:
    """What the pages of one more language are made from."""

    setting: Setting
    changes: tuple[ChangeText, ...]


@dataclass(frozen=True)
class HeadJob:
    """Everything that one booklet is made from."""

    work: Work
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
    """The steps that this form is of, as :func:`..build.chosen_steps.chosen_steps` takes them; empty: all."""
    others: tuple[OtherLanguage, ...] = ()
    """The languages that its pages are in besides the main one."""

    @property
    def tag(self) -> str:
        """The head's plant tag, or the assembly's name."""
        return self.work.row.tag

    @property
    def slug(self) -> str:
        """The name of its folder; empty where the booklet is the whole folder."""
        return self.work.row.slug

    @property
    def file_slug(self) -> str:
        """What files of it that leave its folder are called by."""
        row = self.work.row
        return row.file_slug if isinstance(row, OwnRow) else row.slug

    def tellings(self) -> tuple[HeadJob, ...]:
        """Return the job once a language, the main one first, each with its texts; solids and keys are the same."""
        first = replace(self, work=work_said(self.work, self.setting.words), others=())
        return (
            first,
            *(
                replace(
                    first,
                    work=work_said(self.work, o.setting.words),
                    setting=o.setting,
                    changes=o.changes,
                )
                for o in self.others
            ),
        )


def work_said(work: Work, words: Words) -> Work:
    """Return a work with the texts of its sequences and of its row in the language of ``words``."""
    if words.language == DEFAULT:
        return work
    sequences, checklists = (
        tuple(sequence_said(s, words.say) for s in those) for those in (work.sequences, work.checklists)
    )
    if isinstance(work, OwnWork):
        return replace(work, row=row_said(work.row, words.say), sequences=sequences, checklists=checklists)
    return replace(work, row=row_said(work.row, words.say), sequences=sequences, checklists=checklists)


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
class OtherDone:
    """What the library pages of one more language have to know of a finished booklet."""

    language: str
    line: HeadLine
    missing: tuple[MissingLine, ...] = ()


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
    others: tuple[OtherDone, ...] = ()
    """Line and missing values in its other languages."""
