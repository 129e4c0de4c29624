"""Plans in words: what stands for the placeholders in the texts of steps, and the messages that media raise.

plan_in_words(plan, parts, words, options=..., values=..., left_hand=...) -> Plan
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, replace

from ...sequences.steps.marks.plant_marks import NO_MARKS, PlantMarks
from ...sequences.steps.plan import PLACEHOLDER, Caution, Measurement, Plan, Section, Step
from ...sequences.values.sourced_values import ResolvedValue
from .catalogue import Words
from .media_words import caution_in_words
from .value_words import value_stated


def plan_in_words(
    plan: Plan,
    parts: Mapping[str, str],
    words: Words,
    options: Mapping[str, str | bool] | None = None,
    values: Mapping[str, ResolvedValue] | None = None,
    left_hand: Collection[str] = (),
) -> Plan:
    """Return a plan with all its texts.

    Args:
        plan: as it is resolved, its placeholders unfilled.
        parts: part key to kind.
        words: of the page's language.
        options: name of an option to its choice.
        values: name to value, on file or not.
        left_hand: kinds of part whose thread is left-handed.

    Raises:
        KeyError: if a text asks for an option or a value that is not given.
    """
    return _InWords(words, parts, options or {}, values or {}, left_hand).plan(plan)


@dataclass(frozen=True)
class _InWords:
    words: Words
    parts: Mapping[str, str]
    options: Mapping[str, str | bool]
    values: Mapping[str, ResolvedValue]
    left_hand: Collection[str]

    def plan(self, plan: Plan) -> Plan:
        return replace(
            plan,
            sections=tuple(self._section(s) for s in plan.sections),
            steps=tuple(self._step(s) for s in plan.steps),
            cautions=self._cautions(plan.cautions),
            rules=tuple(replace(r, because=self._text(r.because)) for r in plan.rules),
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
            plant=self._marks(step.plant),
            cautions=self._cautions(step.cautions),
            reminders=tuple(
                replace(r, caution=caution_in_words(r.caution, self.words)) for r in step.reminders
            ),
        )

    def _marks(self, marks: PlantMarks) -> PlantMarks:
        if marks is NO_MARKS:
            return marks
        return replace(
            marks,
            notes=self._texts(marks.notes),
            texts=tuple(replace(t, text=self._text(t.text), was=self._text(t.was)) for t in marks.texts),
            left_out=tuple(replace(x, title=self._text(x.title)) for x in marks.left_out),
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
            count = sum(kind == name for kind in self.parts.values())
            return self.words.get(f"placeholder.number.{count}", str(count))
        if word == "value":
            return self._value(name)
        if word == "option":
            return option_in_words(name, self.options[name], self.words)
        clockwise = (word == "tighten") != (name in self.left_hand)
        return self.words("placeholder.clockwise" if clockwise else "placeholder.anticlockwise")

    def _value(self, name: str) -> str:
        value, words = self.values[name], self.words
        if not value.known:
            return (
                words("placeholder.blank", unit=value.unit) if value.unit else words("placeholder.blank_text")
            )
        said = value_stated(value, words)
        return words("placeholder.in_doubt", value=said) if value.doubts else said


def option_in_words(name: str, choice: str | bool, words: Words) -> str:
    """Return what the choice of an option is called.

    Raises:
        MissingWord: if the catalogue has no words for it.
    """
    if isinstance(choice, bool):
        return words("page.yes" if choice else "page.no")
    return words(f"option.{name}.{choice}")
