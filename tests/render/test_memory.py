"""What a stage remembers: made once for each key, within its bound, and the picture is the same as without."""

from __future__ import annotations

from dataclasses import replace

import pytest
from benchleaf.render.drawing.still_files import STILL_ENDING
from benchleaf.render.engine.camera import sensible_views
from benchleaf.render.engine.memory import Memory
from benchleaf.render.engine.stage import Stage
from benchleaf.render.engine.window import Window
from benchleaf.render.pictures.kept_pictures import Picture
from benchleaf.render.pictures.step_pictures import render_step
from benchleaf.render.pictures.studio import Studio
from benchleaf.sequences.steps.plan import Leg, Move, Step
from sample_assembly import SMALL, sample_models, sample_plan

VIEW = sensible_views((0.0, 0.0, 1.0), (0.0, 1.0, 0.0))[0]


def test_what_is_remembered_is_made_once() -> None:
    memory, made = Memory(), list[str]()

    def ask(key: str) -> str:
        def make() -> str:
            made.append(key)
            return key.upper()

        return memory.of(key, make)

    assert [ask(key) for key in "abab"] == ["A", "B", "A", "B"]
    assert made == ["a", "b"]


def test_what_was_not_asked_for_longest_goes_first() -> None:
    memory, made = Memory(250), list[str]()

    def ask(key: str) -> None:
        memory.of(key, lambda: made.append(key), lambda _: 100)

    for key in ("a", "b", "a", "c", "a", "b"):
        ask(key)
    memory.of("small", lambda: made.append("small"))
    assert made == ["a", "b", "c", "b", "small"]
    assert memory.bytes <= 250
    for key in ("d", "e", "f"):
        ask(key)
    memory.of("small", lambda: made.append("small"))
    assert made.count("small") == 1


def test_what_is_larger_than_the_memory_is_made_but_not_kept() -> None:
    memory = Memory(10)
    assert memory.of("a", lambda: 1, lambda _: 11) == 1
    assert memory.bytes == 0


def _taken_off(step: Step) -> Step:
    """Return the step in which is taken off again what ``step`` fits."""

    def back(leg: Leg) -> Leg:
        x, y, z = leg.direction
        return Leg((-x, -y, -z), leg.distance_mm, -leg.turn_deg)

    moves = tuple(Move(m.parts, tuple(back(leg) for leg in reversed(m.legs)), into=False) for m in step.moves)
    return replace(step, id=f"{step.id}-off", moves=moves)


@pytest.mark.parametrize("name", ["key", "rotor", "nut", "cover"])
def test_what_is_taken_off_is_not_drawn_anew_and_looks_as_if_it_were(
    name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    fitted = next(s for s in sample_plan().steps if s.id == name)
    drawn: list[object] = []

    def counted(kind: type[Stage] | type[Window], method: str) -> None:
        draw = getattr(kind, method)

        def noted(self: object, *given: object) -> object:
            drawn.append(method)
            return draw(self, *given)

        monkeypatch.setattr(kind, method, noted)

    def take(studio: Studio, step: Step) -> Picture:
        drawn.clear()
        return render_step(studio, step, VIEW, "off")

    for kind, method in ((Stage, "start"), (Window, "render")):
        counted(kind, method)
    with Studio(sample_models(), SMALL) as studio:
        first = take(studio, fitted)
        assert drawn.count("start") >= 3
        again, ghosts = take(studio, _taken_off(fitted)), drawn.count("start")
    with Studio(sample_models(), SMALL) as fresh:
        anew = take(fresh, _taken_off(fitted))
        assert len(drawn) > 3
    assert ghosts <= 1  # those of the film
    assert again == anew
    assert again.manifest.arrows != first.manifest.arrows
    assert again.content[STILL_ENDING] != first.content[STILL_ENDING]
