"""What a film of a sequence shows, one shot after the other, how long each stands, and the captions along it.

A shot stands as long as its words take to be read, in whichever of its languages takes longest. A step's safety
messages come before its acts, each by itself on the whole picture.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

from ....sequences.steps.plan import Caution, Plan, SignalWord, Step
from ....sequences.values.sourced_values import ResolvedValue
from ...pages.pages import units
from ...words.catalogue import Words
from ...words.languages.fallback import plain
from ...words.value_words import value_in_words

WORD_MS = 330
"""Time to read a word: 180 a minute, the pace of a person who looks at a picture too."""
LOOK_MS = 1500
"""Time to find one's way in a new shot before reading."""
LEAST_MS, LEAST_MESSAGE_MS = 3000, 5000
"""No shot stands shorter, and no safety message."""
CAPTION = 84
"""Most characters of one caption: two lines."""

Kind = Literal["opening", "message", "step", "after"]


@dataclass(frozen=True)
class FilmWords:
    """The plan of a film in one language; ``plan`` has all its texts."""

    words: Words
    plan: Plan
    values: Mapping[str, ResolvedValue] = field(default_factory=dict)
    """All that its steps may ask for, on file or not."""

    def stated(self, step: Step) -> tuple[str, ...]:
        """Return the values of a step, each with its figure, or with where to look for one that is not on file."""
        found = []
        for v in (value_in_words(self.values[n], self.words) for n in step.values if n in self.values):
            blank = self.words("values.blank_where", where=v.where)
            doubt = f" ({self.words('values.in_doubt')})" if v.doubt else ""
            found.append(f"{v.title}: {v.text}{doubt}" if v.known else f"{v.title}: ________. {blank}")
        return tuple(found)

    @property
    def language(self) -> str:
        """Code of the language."""
        return self.words.language


@dataclass(frozen=True)
class ShotLine:
    """A line of words in a shot: an act with its number, a point, a message given before, or a heading."""

    kind: Literal["heading", "act", "point", "again", "text"]
    text: str
    mark: str = ""
    signal: SignalWord | None = None


@dataclass(frozen=True)
class Shot:
    """One picture that stands, or a step that first stands and then moves."""

    kind: Kind
    step: Step | None
    """The step, where it is of one; a message of a section is of none."""
    title: str
    where: str
    lines: tuple[ShotLine, ...]
    read_ms: int
    """How long its words take to be read."""
    captions: Mapping[str, tuple[str, ...]]
    """What is said meanwhile, by language."""
    caution: Caution | None = None


@dataclass(frozen=True)
class Cue:
    """One caption: from when to when, ms, and its text."""

    start_ms: int
    end_ms: int
    text: str


def reading_ms(texts: Sequence[str], least: int = LEAST_MS) -> int:
    """Return how long these texts stand so that they can be read.

    >>> reading_ms(["one two three four five six seven eight nine ten"])
    4800
    """
    count = sum(len(t.split()) for t in texts)
    return max(least, -(-(LOOK_MS + WORD_MS * count) // 100) * 100)


def shots(told: Sequence[FilmWords], numbers: Sequence[int], head: Sequence[str]) -> Iterator[Shot]:
    """Yield the shots of a film of the steps of these ``numbers``.

    A message of a section that this film has shown before is not shown again; those of steps always are.

    Args:
        told: the plan in each language; what the film shows is in the first.
        numbers: of the steps, in order.
        head: lines of the opening, in the first language: of what it is, and what it is not.
    """
    words, plan = told[0].words, told[0].plan
    yield Shot(
        "opening",
        None,
        head[0],
        "",
        tuple(ShotLine("text", t) for t in head[1:]),
        reading_ms(head),
        {t.language: () for t in told},
    )
    for n, caution in enumerate(plan.cautions):
        yield _message(
            told, [t.plan.cautions[n] for t in told], caution, words("front.standing"), plan.assembly
        )
    sections = {s.id: n for n, s in enumerate(plan.sections)}
    begun: set[str] = set()
    given = set(plan.cautions)
    for number in numbers:
        at = next(n for n, s in enumerate(plan.steps) if s.number == number)
        of = sections[plan.steps[at].section]
        section = plan.sections[of]
        if section.id not in begun:
            begun.add(section.id)
            for n, caution in enumerate(section.cautions):
                if caution not in given:
                    each = [t.plan.sections[of].cautions[n] for t in told]
                    yield _message(told, each, caution, section.title, f"{plan.assembly} · {plan.title}")
            given |= set(section.cautions)
        yield from _step_shots(told, at, section.title)


def _step_shots(told: Sequence[FilmWords], at: int, section: str) -> Iterator[Shot]:
    words, plan = told[0].words, told[0].plan
    step, steps = plan.steps[at], [t.plan.steps[at] for t in told]
    said = words("steps.where", section=section, number=step.number, total=len(plan.steps))
    where, title = f"{plan.assembly} · {plan.title} · {said}", f"{step.number}  {step.title}"
    for n, caution in enumerate(step.cautions):
        yield _message(told, [s.cautions[n] for s in steps], caution, title, where, step)
    lines = []
    for caution in (r.caution for r in step.reminders):
        said = f"{words(f'signal.{caution.signal_word}')} {units(caution.hazard)}"
        lines.append(ShotLine("again", said, "", caution.signal_word))
    left_out = (f"{words('plant.left_out', title=x.title)} {x.because}" for x in step.plant.left_out)
    if notes := [*left_out, *step.plant.notes]:
        lines += [ShotLine("heading", words("plant.note")), *(ShotLine("text", units(t)) for t in notes)]
    acts = [ShotLine("act", units(t), f"{n}.") for n, t in enumerate(step.acts, 1)]
    if values := told[0].stated(step):
        acts += [ShotLine("heading", words("steps.values")), *(ShotLine("text", t) for t in values)]
    captions = {
        t.language: (s.title, *s.plant.notes, *s.acts, *t.stated(s)) for t, s in zip(told, steps, strict=True)
    }
    time = max(
        reading_ms((*captions[t.language], *(r.caution.hazard for r in s.reminders)))
        for t, s in zip(told, steps, strict=True)
    )
    yield Shot("step", step, title, where, (*lines, *acts), time, captions)
    after = [ShotLine("heading", words("steps.look"))] if step.look else []
    after += [ShotLine("point", units(t), "•") for t in step.look]
    after += [ShotLine("heading", words("steps.measure"))] if step.measure else []
    after += [ShotLine("point", units(m.text), "•") for m in step.measure]
    if after:
        captions = {
            t.language: (*s.look, *(m.text for m in s.measure)) for t, s in zip(told, steps, strict=True)
        }
        time = max(reading_ms((*s.look, *(m.text for m in s.measure))) for s in steps)
        yield Shot("after", step, title, where, tuple(after), time, captions)


def _message(
    told: Sequence[FilmWords],
    each: Sequence[Caution],
    caution: Caution,
    title: str,
    where: str,
    step: Step | None = None,
) -> Shot:
    captions = {}
    times = []
    for t, c in zip(told, each, strict=True):
        texts = (f"{t.words(f'signal.{c.signal_word}')}: {c.hazard}", c.consequence, c.avoidance, c.added)
        captions[t.language] = tuple(x for x in texts if x)
        times.append(reading_ms(texts, LEAST_MESSAGE_MS))
    return Shot("message", step, title, where, (), max(times), captions, caution)


def cues_of(texts: Sequence[str], start_ms: int, end_ms: int) -> tuple[Cue, ...]:
    """Return the captions of a shot from ``start_ms`` to ``end_ms``: parts of two lines, each for its share of words.

    >>> [c.text for c in cues_of(["One two.", "Three."], 0, 3000)]
    ['One two.', 'Three.']
    """
    parts = [part for text in texts for part in caption_parts(plain(text))]
    counts = [len(p.split()) for p in parts]
    cues, before = [], 0
    for part, count in zip(parts, counts, strict=True):
        begin, before = before, before + count
        first, last = (start_ms + (end_ms - start_ms) * k // sum(counts) for k in (begin, before))
        cues.append(Cue(first, last, part))
    return tuple(cues)


def caption_parts(text: str) -> list[str]:
    """Return a text in captions of at most :data:`CAPTION` characters, of about equal length, broken between words."""
    words = [w for w in re.split(r"[ \n]+", text) if w]
    count = -(-len(" ".join(words)) // CAPTION)
    for pieces in range(max(1, count), len(words) + 1):
        bound = max(1, -(-len(" ".join(words)) // pieces) + 12 if pieces > 1 else CAPTION)
        parts: list[str] = []
        for word in words:
            if parts and len(parts[-1]) + 1 + len(word) <= min(bound, CAPTION):
                parts[-1] += f" {word}"
            else:
                parts.append(word)
        if all(len(p) <= CAPTION for p in parts):
            return parts
    return words


def webvtt(cues: Sequence[Cue]) -> str:
    """Return captions as WebVTT."""
    texts = (c.text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;") for c in cues)
    rows = [
        f"{_clock(c.start_ms, '.')} --> {_clock(c.end_ms, '.')}\n{t}\n"
        for c, t in zip(cues, texts, strict=True)
    ]
    return "\n".join(["WEBVTT\n", *rows])


def srt(cues: Sequence[Cue]) -> str:
    """Return captions as SubRip text."""
    rows = [
        f"{n}\n{_clock(c.start_ms, ',')} --> {_clock(c.end_ms, ',')}\n{c.text}\n"
        for n, c in enumerate(cues, 1)
    ]
    return "\n".join(rows)


def _clock(ms: int, point: str) -> str:
    """Return a time as captions have it.

    >>> _clock(3_723_004, ",")
    '01:02:03,004'
    """
    seconds, rest = divmod(ms, 1000)
    return f"{seconds // 3600:02}:{seconds // 60 % 60:02}:{seconds % 60:02}{point}{rest:03}"
