"""Decks for the workshop wall: the cards of all pumps of one size, each once."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, replace

from .faces import CardFace, FacePicture


@dataclass(frozen=True)
class DeckCard:
    """A card of a deck: as the first of its pumps has it, with all pumps it holds for."""

    face: CardFace
    tags: tuple[str, ...]
    href: str
    """Its place in the booklet of the first of them, from the library's folder."""


@dataclass(frozen=True)
class Deck:
    """All cards of one size of the fleet."""

    file: str
    size: str
    tags: tuple[str, ...]
    """The pumps of this size."""
    cards: tuple[DeckCard, ...]


def make_decks(heads: Iterable[tuple[str, str, str, tuple[CardFace, ...]]]) -> tuple[Deck, ...]:
    """Return a deck for each size, in the order of the fleet; ``heads`` are size, tag, folder and cards of each pump.

    Pumps share a card that says the same of the same pictures.
    """
    sizes: dict[str, list[tuple[str, str, tuple[CardFace, ...]]]] = {}
    for size, tag, folder, faces in heads:
        if faces:
            sizes.setdefault(size, []).append((tag, folder, faces))
    decks: list[Deck] = []
    for size, pumps in sizes.items():
        found: dict[CardFace, list[tuple[str, str]]] = {}
        for tag, folder, faces in pumps:
            for face in faces:
                found.setdefault(face, []).append((tag, folder))
        cards = tuple(
            DeckCard(_in_folder(face, of[0][1]), tuple(tag for tag, _ in of), f"{of[0][1]}/{face.href}")
            for face, of in found.items()
        )
        taken = {d.file for d in decks}
        decks.append(Deck(_file(size, taken), size, tuple(tag for tag, *_ in pumps), cards))
    return tuple(decks)


def _file(size: str, taken: set[str]) -> str:
    """Return a file name that says the size as far as every system can write it."""
    base = "deck-" + (re.sub(r"[^a-z0-9]+", "-", size.casefold()).strip("-")[:40] or "size")
    name, n = f"{base}.html", 1
    while name in taken:
        n += 1
        name = f"{base}-{n}.html"
    return name


def _in_folder(face: CardFace, folder: str) -> CardFace:
    """Return a card with its pictures named from outside its booklet's folder."""

    def moved(picture: FacePicture) -> FacePicture:
        sources = tuple((kind, f"{folder}/{src}") for kind, src in picture.sources)
        return replace(picture, src=f"{folder}/{picture.src}" if picture.src else "", sources=sources)

    return replace(face, right=moved(face.right), wrong=moved(face.wrong))
