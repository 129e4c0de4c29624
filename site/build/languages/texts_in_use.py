"""Every text that the pages of a fleet, or of an assembly of a user's own, are made of: what a translator is given.

API::

    told_of_fleet(fleet) -> ToldTexts
    told_of_own(user, file) -> ToldTexts
    told.texts -> (TextInUse, ...)
    safety_hash(words, told) -> "0123456789ab"   # of the safety texts in one language
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property
from hashlib import sha256
from pathlib import Path

from ....sequences.additions.additions import Additions
from ....sequences.files.spoken import spoken_texts
from ....sequences.fleet.fleet_file import BookletText
from ....sequences.fleet.heads import Fleet
from ....sequences.fleet.user_assembly import UserAssembly
from ....sequences.steps.cautions import Catalogue
from ....sequences.steps.marks.plant_marks import PlantMarks
from ....sequences.steps.sequence_file import Sequence
from ....sequences.values.sourced_values import ResolvedValue
from ...words.catalogue import Words, load_words
from ...words.languages.fallback import TextInUse, plain
from ...words.languages.locales import plural_forms

SAFETY = ("signal.", "safety.", "notice.", "meeting.", "own.notice.")
"""Keys of the catalogue that belong to safety messages."""
Placed = tuple[str, str]
"""A place and the text there."""


@dataclass(frozen=True)
class ToldTexts:
    """What one data file has its pages made of."""

    file: Path
    booklet: BookletText
    cautions: tuple[Placed, ...]
    """Texts of all safety messages."""
    sequences: tuple[Placed, ...]
    plant: tuple[Placed, ...]
    """The plant's own texts besides its sequences and messages."""

    @cached_property
    def texts(self) -> tuple[TextInUse, ...]:
        """All texts of the pages; one that stands in several places is given once, at its first."""
        found = [TextInUse(key, f"pages > {key}", text) for key, text in load_words().texts.items()]
        once: dict[str, str] = {}
        for where, text in (*self.cautions, *self.sequences, *self.plant):
            once.setdefault(text, where)
        return (*found, *(TextInUse("", where, text) for text, where in once.items()))

    def texts_for(self, language: str) -> tuple[TextInUse, ...]:
        """The same for a translator: with the further forms of the plural that the language has."""
        forms = plural_forms(language)
        more = (
            TextInUse(f"{stem}.{form}", f"{t.where} ({form})", t.english)
            for t in self.texts
            if t.key.endswith(".other")
            and f"{(stem := t.key.removesuffix('.other'))}.one" in load_words().texts
            for form in forms
        )
        return (*self.texts, *more) if forms else self.texts


def told_of_fleet(fleet: Fleet, sound: bool = True) -> ToldTexts:
    """Return what the pages of a fleet are made of; where it is not ``sound``, without what the plant adds."""
    sequences: list[Sequence] = [*fleet.sequences.values(), *fleet.checklists.values()]
    done: set[tuple[int, ...]] = {()}
    for head in fleet.heads if sound else ():
        mine = tuple(map(id, fleet.additions.for_pump((head.tag, head.size.name))))
        if mine not in done:
            done.add(mine)
            sequences += [*fleet.sequences_for(head), *fleet.checklists_for(head)]
    plant = [*_booklet(fleet.booklet), *_additions(fleet.additions)]
    for head in fleet.heads:
        plant += [(f"fleet > {head.tag} > service", head.service)] if head.service else []
        for value in head.values.values():
            plant += _value(f"fleet > {head.tag}", value)
    cautions = [*_cautions(fleet.catalogue), *(p for s in sequences for p in _cautions(s.catalogue))]
    said = (p for s in sequences for p in _sequence(s))
    return ToldTexts(fleet.file, fleet.booklet, _once(cautions), _once(said), _once(plant))


def told_of_own(user: UserAssembly, file: Path) -> ToldTexts:
    """Return what the booklet of an assembly of a user's own is made of."""
    plant = [*_booklet(user.text.booklet), *_additions(user.additions)]
    if user.text.service:
        plant.append(("file > service", user.text.service))
    for part in user.text.parts:
        plant.append((f"file > {part.part} > name", part.name))
        if part.material:
            plant.append((f"file > {part.part} > material", part.material))
    for name, own in user.values.items():
        plant += [(f"file > {name} > title", own.title), (f"file > {name} > where", own.where)]
        plant += _value("file", own.value)
    for entry in (*user.text.symptoms, *user.text.terms):
        plant += [(" > ".join(("file", *place)), text) for place, text in spoken_texts(entry)]
    cautions = (p for s in user.sequences for p in _cautions(s.catalogue))
    said = (p for s in user.sequences for p in _sequence(s))
    return ToldTexts(file, user.text.booklet, _once(cautions), _once(said), _once(plant))


def _once(found: Iterable[Placed]) -> tuple[Placed, ...]:
    return tuple(dict.fromkeys(found))


def _cautions(catalogue: Catalogue) -> Iterator[Placed]:
    for entry in catalogue.entries.values():
        for place, text in spoken_texts(entry):
            yield " > ".join(("cautions", entry.id, entry.signal_word, *place)), text
    for name, text in catalogue.plant.items():
        if text:
            yield f"cautions > {name} > added", text


def _sequence(sequence: Sequence) -> Iterator[Placed]:
    for place, text in spoken_texts(sequence.text):
        yield " > ".join((sequence.kind, *_shorter(place))), text
    for step, marks in sequence.plant.items():
        for name, text in _marks(marks):
            yield f"{sequence.kind} > {step} > {name}", text


def _marks(marks: PlantMarks) -> Iterator[Placed]:
    yield from (("note", text) for text in marks.notes)
    for photo in marks.photos:
        yield "photo > alt", photo.alt
        if photo.caption:
            yield "photo > caption", photo.caption
    for text in marks.texts:
        yield "plant", text.text
        if text.was:
            yield "plant > was", text.was
    for step in marks.left_out:
        yield from (("left out > title", step.title), ("left out > because", step.because))


def _booklet(booklet: BookletText) -> Iterator[Placed]:
    yield from ((" > ".join(("booklet", *place)), text) for place, text in spoken_texts(booklet))


def _additions(additions: Additions) -> Iterator[Placed]:
    if additions.contact is not None:
        yield "additions > contact > ask", additions.contact.ask
    if additions.look.logo is not None:
        yield "additions > look > logo_alt", additions.look.logo.alt


def _value(at: str, value: ResolvedValue) -> Iterator[Placed]:
    given = value.given
    if given is not None and isinstance(given.value, str) and given.value:
        yield f"{at} > {value.name} > value", given.value
    if given is not None and given.condition:
        yield f"{at} > {value.name} > condition", given.condition


def _shorter(place: Iterable[str]) -> list[str]:
    """Return a place without what each of its kind has."""
    return [p for p in place if p not in ("text", "steps", "sections")]


def safety_hash(words: Words, told: ToldTexts) -> str:
    """Return twelve characters that change with any safety text of a language: what a release is about."""
    texts = [f"{k}={plain(t)}" for k, t in sorted(words.texts.items()) if k.startswith(SAFETY)]
    texts += sorted(f"{where}={plain(words.say(text))}" for where, text in told.cautions)
    return sha256("\n".join(texts).encode()).hexdigest()[:12]
