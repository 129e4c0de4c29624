"""Plans in words: what stands for the placeholders in the texts of steps, and the messages that media raise.

plan_in_words(plan, made_for, words) -> Plan
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, replace

from ...sequences.steps.plan import PLACEHOLDER, Caution, Measurement, Plan, Section, Step
from ...sequences.values.sourced_values import ResolvedValue
from .catalogue import Words
from .media_words import caution_in_words
from .value_words import value_stated


@dataclass(frozen=True)
class MadeFor:
    """What a plan is made for, as its texts tell of it."""

    parts: Mapping[str, str]
    """Part key to kind."""
    options: object
    """A field for each option."""
    values: Mapping[str, ResolvedValue]
    """Every value that a text may state, a blank where none is on file."""
    left_hand: Collection[str] = ()
    """Kinds of part whose thread is left-handed."""


def plan_in_words(plan: Plan, made_for: MadeFor, words: Words) -> Plan:
    """Return a plan with all its texts."""
    return _InWords(made_for, words).plan(plan)


@dataclass(frozen=True)
class _InWords:
    made_for: MadeFor
    words: Words

    def plan(self, plan: Plan) -> Plan:
        return replace(
            plan,
            sections=tuple(self._section(s) for s in plan.sections),
            steps=tuple(self._step(s) for s in plan.steps),
            cautions=self._cautions(plan.cautions),
        )

    def _section(self, section: Section) -> Section:
        return replace(section, cautions=self._cautions(section.cautions))

    def _step(self, step: Step) -> Step:
        return replace(
            step,
            title=self._text(step.title),
            acts=self._texts(step.acts),
            look=self._texts(step.look),
            measure=tuple(self._measurement(m) for m in step.measure),
            why=self._text(step.why),
            tools=self._texts(step.tools),
            supplies=self._texts(step.supplies),
            cautions=self._cautions(step.cautions),
        )

    def _measurement(self, m: Measurement) -> Measurement:
        return replace(m, text=self._text(m.text), method=self._text(m.method))

    def _cautions(self, cautions: Iterable[Caution]) -> tuple[Caution, ...]:
        return tuple(caution_in_words(c, self.words) for c in cautions)

    def _texts(self, texts: Iterable[str]) -> tuple[str, ...]:
        return tuple(self._text(t) for t in texts)

    def _text(self, text: str) -> str:
        return PLACEHOLDER.sub(lambda m: self._placed(*m[1].split(":", 1)), text)

    def _placed(self, word: str, name: str) -> str:
        if word == "count":
            count = sum(kind == name for kind in self.made_for.parts.values())
            return self.words.get(f"placeholder.number.{count}", str(count))
        if word == "value":
            return self._value(self.made_for.values[name])
        if word == "option":
            return option_in_words(name, getattr(self.made_for.options, name), self.words)
        clockwise = (word == "tighten") != (name in self.made_for.left_hand)
        return self.words("placeholder.clockwise" if clockwise else "placeholder.anticlockwise")

    def _value(self, value: ResolvedValue) -> str:
        if value.known:
            stated = value_stated(value, self.words)
            return self.words("placeholder.in_doubt", value=stated) if value.doubts else stated
        if value.unit:
            return self.words("placeholder.blank", unit=value.unit)
        return self.words("placeholder.blank_text")


def option_in_words(name: str, choice: str | bool, words: Words) -> str:
    """Return what the choice of an option is called.

    Raises:
        MissingWord: if the catalogue has no words for it.
    """
    if isinstance(choice, bool):
        return words("page.yes" if choice else "page.no")
    return words(f"option.{name}.{choice}")
