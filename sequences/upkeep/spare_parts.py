"""What a fleet file says of the parts of a size or of one pump: part number, whether it is a spare, elastomer compound.

API::

    SparePartText                                        # as the fleet file has it
    gather_spares(entries, doc, known, faults) -> dict   # checked, by the words that name parts
    spares_of(parts, *levels) -> dict[part key, SparePart]
    SpareLine; summed(kits) -> tuple[SpareLine, ...]     # totals by part number and size
    spare_key(line) -> tuple                             # what is ordered together
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Literal

from pydantic import Field

from ...geometry.part_size import PartSize
from ..files.faults import Faults, any_of, likely
from ..files.file_models import FileModel, Text
from ..files.yaml_files import YamlFile

Spare = Literal["yes", "replace always", "on condition"]
_SAID = ("number", "spare", "compound")


class SparePartText(FileModel):
    """What is known of a part from its maker's list; nothing of it is ever made up."""

    number: Text | None = Field(None, description="part number of the maker or of the store")
    spare: Spare | None = Field(
        None,
        description="yes: kept in the store; replace always: new in every overhaul; on condition: after inspection",
    )
    compound: Text | None = Field(None, description="elastomer compound, of an O-ring")


@dataclass(frozen=True)
class SparePart:
    """What the fleet says of one part; empty where it says nothing."""

    number: str = ""
    spare: Spare | Literal[""] = ""
    compound: str = ""


def gather_spares(
    entries: Mapping[str, SparePartText],
    doc: YamlFile,
    known: Collection[str],
    faults: Faults,
    elsewhere: Collection[str] = (),
) -> dict[str, SparePart]:
    """Return the entries of one size or pump that are sound.

    Args:
        entries: word that names parts to what is said of them.
        doc: the file, for the places of faults.
        known: every word that may name parts here.
        faults: takes each mistake: an unknown word with those there are, an entry that says nothing.
        elsewhere: words that name parts with other options.
    """
    found: dict[str, SparePart] = {}
    for word, text in entries.items():
        if word not in known:
            near = "" if word in elsewhere else likely(word, known)
            fix = f"write {near}" if near else "name a kind of part, or one part by its key"
            if word in elsewhere:
                fix = "take it away: no part of this kind belongs to these options"
            faults.add(doc.fault(text.path, f"the part '{word}'", any_of(known, word), fix, key=True))
        elif text.sound and not any(getattr(text, name) for name in _SAID):
            fix = "add one of them, or take the part away"
            faults.add(doc.fault(text.path, f"nothing of {word}", any_of(_SAID), fix, key=True))
        elif text.compound is not None and "oring" not in word:
            at = (*text.path, "compound")
            faults.add(
                doc.fault(
                    at, f"a compound of {word}", "a compound of O-rings", "take the line away", key=True
                )
            )
        else:
            found[word] = SparePart(text.number or "", text.spare or "", text.compound or "")
    return found


_ELASTOMERS = re.compile(r"\b(FFKM|FKM|EPDM|NBR|VMQ)\b", re.IGNORECASE)


def other_elastomer(compound: str, elastomer: str) -> str:
    """Return the elastomer that a compound's name says, where it is not ``elastomer``; else nothing.

    >>> other_elastomer("EPDM 70, black", "FKM"), other_elastomer("E 70", "FKM"), other_elastomer("fkm 75", "FKM")
    ('EPDM', '', '')
    """
    said = {name.upper() for name in _ELASTOMERS.findall(compound)}
    return "" if elastomer in said else ", ".join(sorted(said))


def spares_of(parts: Mapping[str, str], *levels: Mapping[str, SparePart]) -> dict[str, SparePart]:
    """Return part key to what is said of it; parts of which nothing is said are left out.

    What a later level says comes before an earlier one, and a part's own key before its kind; each column by itself.

    >>> size = {"key": SparePart("K-8", "yes"), "key_drive": SparePart("K-8D")}
    >>> found = spares_of({"key_drive": "key", "key_driven": "key"}, size, {"key": SparePart(spare="on condition")})
    >>> found["key_drive"], found["key_driven"].number
    (SparePart(number='K-8D', spare='on condition', compound=''), 'K-8')
    """
    found: dict[str, SparePart] = {}
    for key, kind in parts.items():
        # From the most general to the most special: a part's own key outranks its kind on each level.
        said = [level[word] for level in levels for word in dict.fromkeys((kind, key)) if word in level]
        if said:
            found[key] = SparePart(
                next((s.number for s in reversed(said) if s.number), ""),
                next((s.spare for s in reversed(said) if s.spare), ""),
                next((s.compound for s in reversed(said) if s.compound), ""),
            )
    return found


Need = Literal["always", "ready"]
"""``always``: new in every overhaul; ``ready``: kept ready, and fitted where inspection asks for it."""


@dataclass(frozen=True)
class SpareLine:
    """A line of a spares kit: parts of one number and size, of one pump or of several."""

    kinds: tuple[str, ...]
    """Kinds of part that take it, from the gear case outwards."""
    size: PartSize | None
    number: str
    compound: str
    """Elastomer compound as the fleet says it."""
    material: str
    """Key of the materials table, of what is made of an elastomer; empty for others."""
    need: Need
    quantity: int
    tags: tuple[str, ...]
    """Plant tags of the pumps, with :attr:`of_each` in the same order."""
    of_each: tuple[int, ...]


def summed(kits: Iterable[Iterable[SpareLine]]) -> tuple[SpareLine, ...]:
    """Return the kits of several pumps as one, totals by part number and size.

    Without a number only parts of one kind and size are the same, and O-rings of one size and elastomer wherever they
    sit. What is always needed comes first; else the order is that in which lines first appear.
    """
    found: dict[tuple[object, ...], SpareLine] = {}
    for line in (x for kit in kits for x in kit):
        same = spare_key(line)
        before = found.get(same)
        found[same] = line if before is None else _joined(before, line)
    return tuple(sorted(found.values(), key=lambda x: x.need != "always"))


def spare_key(line: SpareLine) -> tuple[object, ...]:
    """Return what is the same for lines that one order takes together."""
    ring = line.size is not None and line.size.form in ("ring", "ring_made")
    return (line.number or (ring or line.kinds), line.size, line.compound, line.material, line.need)


def _joined(a: SpareLine, b: SpareLine) -> SpareLine:
    each = dict(zip(a.tags, a.of_each, strict=True))
    for tag, count in zip(b.tags, b.of_each, strict=True):
        each[tag] = each.get(tag, 0) + count
    kinds = tuple(dict.fromkeys((*a.kinds, *b.kinds)))
    return replace(
        a, kinds=kinds, quantity=a.quantity + b.quantity, tags=tuple(each), of_each=tuple(each.values())
    )
