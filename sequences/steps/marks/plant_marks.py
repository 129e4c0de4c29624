"""What of a booklet is the plant's own: notes, photos, texts, steps left out, its look."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path


@dataclass(frozen=True)
class PlantText:
    """A text of a step that the plant wrote, as the step shows it; ``was``: what it stands in place of."""

    text: str
    was: str = ""


@dataclass(frozen=True)
class PlantPhoto:
    """A photo of the plant's. Width and height are those of the shown picture, in pixels, upright and shrunk."""

    name: str
    """Name of the shown picture's file, made of the hash of the photo's bytes."""
    width: int
    height: int
    alt: str
    caption: str = ""
    file: Path = field(default=Path(), compare=False)
    """The plant's own file; what is in it counts by ``name``."""


@dataclass(frozen=True)
class LeftOutStep:
    """A step that the plant has left out before this one, with its reason."""

    id: str
    title: str
    because: str


@dataclass(frozen=True)
class PlantMarks:
    """What of one step is the plant's own."""

    own: bool = False
    """Whether the whole step is."""
    notes: tuple[str, ...] = ()
    photos: tuple[PlantPhoto, ...] = ()
    texts: tuple[PlantText, ...] = ()
    """Those of its title, acts and other texts that the plant wrote."""
    left_out: tuple[LeftOutStep, ...] = ()

    def wrote(self, text: str) -> bool:
        """Return whether the plant wrote this text of the step."""
        return any(t.text == text for t in self.texts)

    @property
    def replaced(self) -> tuple[PlantText, ...]:
        """The texts that stand in place of others."""
        return tuple(t for t in self.texts if t.was)


NO_MARKS = PlantMarks()


@dataclass(frozen=True)
class PlantLook:
    """Logo and colour of the plant."""

    logo: PlantPhoto | None = None
    accent: str = ""
    """``#rrggbb``; empty: the pages' own."""
    dark: str = ""
    """The same for pages on a dark ground."""


@dataclass(frozen=True)
class PlantContact:
    """Whom a reader asks; phone and mail may be empty."""

    ask: str
    phone: str = ""
    mail: str = ""


NO_LOOK = PlantLook()
