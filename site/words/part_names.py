"""How parts are called in sentences: trade name, number in its row, side; several in one phrase.

    names = PartNames(words, assembly.parts, plan)
    names.the("rotor_drive")                    # the rotor (drive side)
    names.several(["key_drive", "key_driven"])  # both keys
    names.moves([move])                         # what travels: a unit by its title, loose parts by name

Names and phrases come from the catalogue; only a user's own names are put into English sentences by rule.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from ...geometry.assembly import Part
from ...sequences.order.order_graph import PlannedMove
from ...sequences.steps.plan import Plan
from .catalogue import DEFAULT, Words
from .languages.fallback import starting

MOST_NAMED = 3
"""More parts than this are counted, not named, in one sentence."""
SIDES = {"drive", "driven"}


@dataclass(frozen=True)
class PartNames:
    """The names of one assembly's parts in one language; with a plan, those of its bench units too."""

    words: Words
    parts: Mapping[str, Part]
    plan: Plan | None = None

    # ---- one part
    def title(self, key: str) -> str:
        """Return a part's name as it stands in a list: ``Rotor``."""
        part = self.parts[key]
        return self.words.part(part.kind, part.name)

    def bare(self, key: str) -> str:
        """Return what a sentence calls a part, without article: ``rotor (drive side)``, ``large body dowel``."""
        part, w = self.parts[key], self.words
        text = self.kind(part.kind, part.name)
        if part.number:
            text = w("naming.numbered", part=text, number=part.number)
        elif part.which:
            which = w.get(f"which.{part.which}", part.which.replace("_", " "))
            text = w("naming.told_apart", part=text, which=which)
        return w("naming.sided", part=text, side=w(f"side.{part.side}")) if part.side else text

    def the(self, key: str) -> str:
        """Return a part with its article."""
        return self.words("naming.the", part=self.bare(key))

    def kind(self, kind: str, name: str = "", count: int = 1) -> str:
        """Return what a sentence calls a kind of part, one or several of them, without article.

        A name that is not in the catalogue is the user's own: it stands as it is, but that an English one begins
        small and takes its plural.
        """
        if f"parts.{kind}.one" in self.words.texts:
            return self.words(f"parts.{kind}", count=count)
        name = name or next((p.name for p in self.parts.values() if p.kind == kind), kind)
        if self.words.language != DEFAULT:
            return self.words.say(name)
        text = within(name)
        return text if count == 1 else plural(text)

    def the_kind(self, kind: str, name: str = "") -> str:
        """Return what a sentence calls one part of a kind, with its article."""
        return self.words("naming.the", part=self.kind(kind, name))

    def feature(self, name: str) -> str:
        """Return what a sentence calls a mating feature; the number of one of several stands behind it."""
        found = re.fullmatch(r"(.+?)(?: (\d+))?", name)
        stem, number = (found[1], found[2]) if found else (name, None)
        text = self.words.get(f"feature.{re.sub(r'[^A-Za-z0-9]+', '_', stem)}", stem)
        return self.words("naming.numbered", part=text, number=number) if number else text

    # ---- several
    def several(self, keys: Iterable[str]) -> str:
        """Return several parts in one phrase, with articles: equal parts are counted, a long list is cut."""
        return listed(self.words, self._phrases(keys)) or self.words("naming.nothing")

    def moves(self, moves: Sequence[PlannedMove]) -> str:
        """Return what sentences call the parts of some moves: a unit by its title, loose parts by name."""
        titles, loose = self.units(moves)
        phrases = [self.words("naming.unit", title=t) for t in titles]
        return listed(self.words, [*phrases, *self._phrases(loose)])

    def moves_title(self, moves: Sequence[PlannedMove]) -> str:
        """Return :meth:`moves` as the head of a list: capital first, no articles."""
        titles, loose = self.units(moves)
        phrases = [self.words("naming.unit_alone", title=t) for t in titles]
        return start(listed(self.words, [*phrases, *self._phrases(loose, article=False)]))

    def box_title(self, moves: Sequence[PlannedMove]) -> str:
        """Return the parts of some moves as they stand in a small box: units by their bare titles, no articles."""
        titles, loose = self.units(moves)
        phrases = [*titles, *([listed(self.words, self._phrases(loose, article=False))] if loose else [])]
        text = phrases[0]
        for phrase in phrases[1:]:
            text = self.words("naming.list_next", first=text, next=phrase)
        return start(text)

    def unit(self, name: str) -> str:
        """Return the title of a bench unit."""
        titles = self.plan.unit_titles if self.plan else {}
        return titles.get(name, name.replace("_", " "))

    def units(self, moves: Sequence[PlannedMove]) -> tuple[list[str], list[str]]:
        """Return the titles of the units that travel as one, and the keys of the loose parts."""
        units = self.plan.units if self.plan else {}
        whole = [m for m in moves if m.move.group in units and len(m.parts) > 1]
        titles = dict.fromkeys(self.unit(m.move.group) for m in whole)
        return list(titles), [k for m in moves if m not in whole for k in m.parts]

    def _phrases(self, keys: Iterable[str], article: bool = True) -> list[str]:
        groups: dict[tuple[str, str], list[Part]] = {}
        for key in dict.fromkeys(keys):
            part = self.parts[key]
            groups.setdefault((part.kind, part.name), []).append(part)
        phrases, w = [], self.words
        for (kind, name), group in groups.items():
            if len(group) == 1:
                # One of a row, told by its number, has no article here.
                plain = not article or (group[0].number and not group[0].side)
                phrases.append(self.bare(group[0].key) if plain else self.the(group[0].key))
                continue
            many = self.kind(kind, name, len(group))
            if len(group) == 2 and {p.side for p in group} == SIDES:
                phrases.append(w("naming.both", parts=many))
            else:
                text = w("naming.counted", parts=many, number=len(group))
                phrases.append(w("naming.the", part=text) if article else text)
        if len(phrases) > MOST_NAMED:
            rest = len(phrases) - MOST_NAMED
            phrases = [*phrases[:MOST_NAMED], w("naming.more", count=rest)]
        return phrases


def listed(words: Words, phrases: Sequence[str]) -> str:
    """Return phrases as one: with commas, and an *and* before the last."""
    if len(phrases) < 2:
        return "".join(phrases)
    text = phrases[0]
    for phrase in phrases[1:-1]:
        text = words("naming.list_next", first=text, next=phrase)
    return words("naming.list_last", first=text, last=phrases[-1])


def start(text: str) -> str:
    """Return ``text`` as the start of a sentence."""
    return starting(text)


def within(name: str) -> str:
    """Return an English name as it stands inside a sentence.

    >>> within("Cover O-ring"), within("O-ring")
    ('cover O-ring', 'O-ring')
    """
    return name if name[:2].isupper() else name[:1].lower() + name[1:]


def plural(name: str) -> str:
    """Return the plural of an English name: of its noun, which the designation of a standard part may follow.

    >>> plural("key"), plural("body"), plural("bush"), plural("hex bolt M6"), plural("screw ISO 4762")
    ('keys', 'bodies', 'bushes', 'hex bolts M6', 'screws ISO 4762')
    """
    first, *rest = name.split(" ")
    for n, word in enumerate(rest):
        if any(c.isdigit() for c in word) or (len(word) > 1 and word.isupper()):
            return " ".join([plural(" ".join([first, *rest[:n]])), *rest[n:]])
    if name.endswith("y") and name[-2:-1] not in "aeiou":
        return name[:-1] + "ies"
    return name + ("es" if name.endswith(("s", "x", "sh", "ch")) else "s")
