"""Guesses at what a stranger's part is, by its name and its shape; each is marked as one in the file that is written.

The words are those of several languages: names of parts come as they were drawn.
"""

from __future__ import annotations

import re
from typing import Literal

from ...geometry.exchange.assemblies.solid_frames import SolidFacts

Guess = Literal["thread", "nut", "o-ring", "seal", "spring", "washer", "pin", "bearing", ""]
_WORDS: tuple[tuple[Guess, tuple[str, ...]], ...] = (
    ("o-ring", (r"o[- ]?rings?", r"o[- ]?ringe", "joint torique", r"junta t[oó]rica", "Oリング", "O[形型]圈")),
    ("washer", (r"\w*washers?", r"\w*scheiben?", "rondelles?", "arandelas?", "rondell[ae]", "шайб", "ワッシャ", "垫")),
    ("nut", (r"\w*nuts?", r"\w*muttern?", "[ée]crous?", "tuercas?", "dad[oi]", "гайк", "ナット", "螺母")),
    ("thread", (r"\w*screws?", r"\w*bolts?", "studs?", r"\w*schrauben?", "vis", "boulons?", "tornillos?", "vit[ei]")),
    ("thread", ("винт", "болт", "шпильк", "ボルト", "ねじ", "螺[钉栓]")),
    ("spring", (r"\w*springs?", r"\w*federn?", "ressorts?", "resortes?", "moll[ae]", "пружин", "ばね", "弹簧")),
    ("bearing", (r"\w*bearings?", r"\w*lager", "roulements?", "rodamientos?", "cuscinett[oi]", "подшип", "轴承")),
    ("seal", (r"\w*seals?", "gaskets?", r"\w*dichtung(?:en)?", "juntas?", "guarnizioni?", "проклад", "密封")),
    ("pin", ("pins?", "dowels?", r"\w*stifte?", "goupilles?", "pasador(?:es)?", "spin[ae]", "штифт", "ピン", "销")),
)  # fmt: skip
"""What parts are called, as it stands in drawings; a word of the Latin alphabet is a whole one."""


def _pattern(word: str) -> str:
    return rf"\b{word}\b" if word.isascii() or word[0] in "[é" else word


_DRAWN = tuple((g, re.compile("|".join(map(_pattern, words)), re.IGNORECASE)) for g, words in _WORDS)
RING_SHARE = 0.35
"""An O-ring's section is at most this share of its ring's radius."""


def guess_of(name: str, facts: SolidFacts | None) -> Guess:
    """Return what a part may be; empty where neither name nor shape says.

    >>> guess_of("Sechskantschraube M8x20", None), guess_of("六角螺母 M8", None), guess_of("Cover", None)
    ('thread', 'nut', '')
    """
    text = name.replace("_", " ")
    for guess, pattern in _DRAWN:
        if pattern.search(text):
            return guess
    if facts is not None and facts.tori and facts.tori[0][1] <= RING_SHARE * facts.tori[0][0]:
        return "o-ring"
    return ""
