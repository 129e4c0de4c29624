"""Ways that were found, as a sequence file tells them: stretches of a travel, and acts in words."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from ...geometry.frame import Place, Vec3
from ..steps.travel_poses import Stretch

_ON_LINE_MM = 1e-4
_SAME = 1 - 1e-9


def written_travel(way: Sequence[Stretch], own: Place) -> str:
    """Return the travel of parts that come in along a way with turns.

    Args:
        way: outwards; empty where there is none.
        own: place of the part that turns, whose origin a turn need not name where its axis runs through it.

    Empty where a direction or an axis is along none of the axes, or nothing turns.

    >>> from ..steps.travel_poses import Stretch
    >>> turn = Stretch(Place(), (0.0, 0.0, 0.0), -40.0, (3.0, 0.0, 0.0))
    >>> written_travel([turn, Stretch(turn.end, (0.0, 0.0, 12.0))], Place())
    '["-z", {about: z, deg: 40, through_mm: [3.0, 0.0, 0.0]}]'
    """
    if not any(s.turn_deg for s in way):
        return ""
    told: list[str] = []
    for n, s in enumerate(reversed(way)):
        if s.turn_deg:
            axis = axis_word(s.axis)
            if not axis:
                return ""
            deg = s.turn_deg if axis[0] == "-" else -s.turn_deg
            off = np.cross(np.subtract(s.start.point(own.shift), s.about), s.axis)
            through = ", ".join(repr(c) for c in s.about)
            more = f", through_mm: [{through}]" if float(np.linalg.norm(off)) > _ON_LINE_MM else ""
            told.append(f"{{about: {axis[1]}, deg: {_figure(deg)}{more}}}")
        else:
            d = axis_word(_inwards(s))
            if not d:
                return ""
            told.append(f'"{d}"' if n == 0 else f'{{slide: "{d}", mm: {_figure(s.length_mm)}}}')
    return f"[{', '.join(told)}]"


def written_acts(way: Sequence[Stretch], front: Vec3) -> Iterator[str]:
    """Yield what a person who looks from the ``front`` does on the way in; nothing where nothing turns.

    >>> from ..steps.travel_poses import Stretch
    >>> turn = Stretch(Place(), (0.0, 0.0, 0.0), -40.0)
    >>> way = [turn, Stretch(turn.end, (0.0, 0.0, 12.0))]
    >>> list(written_acts(way, (0.0, 0.0, 1.0)))
    ['Slide it in.', 'Turn it by 40° anticlockwise, as seen from the front.']
    >>> list(written_acts(way, (1.0, 0.0, 0.0)))
    ['Slide it in along -z.', 'Turn it by 40° anticlockwise, as seen from +z.']
    """
    if not any(s.turn_deg for s in way):
        return
    for n, s in enumerate(reversed(way)):
        if s.turn_deg:
            # Where the axis points away from whoever looks, they see it turn the other way.
            ahead = float(np.dot(s.axis, front))
            sense = "anticlockwise" if (s.turn_deg < 0) == (ahead > -_SAME) else "clockwise"
            seen = "the front" if abs(ahead) > _SAME else axis_word(s.axis) or "the tip of its axis"
            yield f"Turn it by {_figure(abs(s.turn_deg))}° {sense}, as seen from {seen}."
        else:
            d = _inwards(s)
            ahead = float(np.dot(d, front))
            along = "" if ahead < -_SAME else f" along {axis_word(d) or 'its own axis'}"
            how = "Slide it in" if n == 0 else f"Slide it {_figure(s.length_mm)} mm on"
            yield f"{how}{along}."


def _inwards(s: Stretch) -> Vec3:
    d = s.slide
    return (-d[0] / s.length_mm + 0.0, -d[1] / s.length_mm + 0.0, -d[2] / s.length_mm + 0.0)


def _figure(value: float) -> str:
    return f"{round(value, 4):g}"


def axis_word(d: Vec3) -> str:
    """Return what sequence files call a direction; empty where it is along none of the axes.

    >>> axis_word((0.0, 0.0, -1.0)), axis_word((0.6, 0.8, 0.0))
    ('-z', '')
    """
    for n, name in enumerate("xyz"):
        if abs(d[n]) > 1 - 1e-9:
            return ("+" if d[n] > 0 else "-") + name
    return ""
