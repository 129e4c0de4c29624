"""Where travelling parts are on their way: the legs of a move as stretches, and the pose at any share of them.

A travel is described outwards from the place of the parts, whether they come or leave, in *stretches*: a slide, a turn,
or both evenly at once (a thread: a turn of 360 degrees with a slide of its lead). The proof follows stretches, pictures
and films interpolate them.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from ...geometry.frame import Place, Vec3, Z
from .plan import Leg


@dataclass(frozen=True)
class Stretch:
    """One stretch of a travel, described outwards, in the assembly's frame.

    ``start`` carries the moving parts from their place to its inner end; then they slide by ``slide`` (mm) and turn
    by ``turn_deg`` about the line through ``about`` (mm) along ``axis``.
    """

    start: Place
    slide: Vec3
    turn_deg: float = 0.0
    about: Vec3 = (0.0, 0.0, 0.0)
    axis: Vec3 = Z

    def at(self, share: float) -> Place:
        """Return the motion that carries the parts from their place to ``share`` of the stretch, 0 to 1 outwards.

        Whole turns leave no trace of rounding.

        >>> Stretch(Place(), (0.0, 0.0, 3.0), 720.0, (5.0, 0.0, 0.0)).at(0.5)
        Place(rotation=((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)), shift=(0.0, 0.0, 1.5))
        """
        angle = math.fmod(share * self.turn_deg, 360.0)
        turned = Place.turn(angle, self.axis, self.about) if angle else Place()
        return turned.moved(*_scaled(self.slide, share)) @ self.start

    @property
    def end(self) -> Place:
        """Motion that carries the parts from their place to the outer end."""
        return self.at(1.0)

    @property
    def length_mm(self) -> float:
        """Length of the slide."""
        return math.dist((0, 0, 0), self.slide)

    def up_to(self, share: float) -> Stretch:
        """Return the inner ``share`` (0 to 1) of the stretch."""
        return replace(self, slide=_scaled(self.slide, share), turn_deg=share * self.turn_deg)

    def beyond(self, share: float) -> Stretch:
        """Return the outer rest of the stretch, without its inner ``share`` (0 to 1)."""
        inner = _scaled(self.slide, share)
        return replace(
            self,
            start=self.at(share),
            slide=_scaled(self.slide, 1.0 - share),
            turn_deg=(1.0 - share) * self.turn_deg,
            about=(self.about[0] + inner[0], self.about[1] + inner[1], self.about[2] + inner[2]),
        )


def _scaled(v: Vec3, by: float) -> Vec3:
    return (by * v[0], by * v[1], by * v[2])


def outwards(legs: Sequence[Leg], into: bool) -> list[tuple[Leg, float]]:
    """Return a move's legs in the order that leads away from the place, each with 1, or -1 where it runs inwards.

    ``legs`` run from where the parts start to where they end; ``into`` says whether that is their place.
    """
    return [(leg, -1.0) for leg in reversed(legs)] if into else [(leg, 1.0) for leg in legs]


def turning_axis(leg: Leg, own: Place) -> Vec3:
    """Return the axis a leg turns about, pointing along +Z (or, square to it, along the positive axis it follows most).

    It is the one that the leg names, as it points; else the leg's direction where it slides, else the Z axis of the
    part in its place ``own``.
    """
    if leg.axis is not None:
        return leg.axis
    along = leg.direction if leg.distance_mm is None or leg.distance_mm > 0 else own.direction(Z)
    most = max(along, key=abs) if abs(along[2]) < 1e-9 else along[2]
    return along if most > 0 else (-along[0], -along[1], -along[2])


def following(
    stretches: Sequence[Stretch],
    slide: Vec3,
    turn_deg: float,
    own: Place,
    axis: Vec3,
    through: Vec3 | None = None,
) -> Stretch:
    """Return the stretch that follows ``stretches`` outwards.

    It turns about the part whose place is ``own``, or about a line ``through`` a point of the assembly's frame.
    """
    start = stretches[-1].end if stretches else Place()
    return Stretch(start, slide, turn_deg, start.point(own.shift) if through is None else through, axis)


def motion_at(stretches: Sequence[Stretch], share: float, times: Sequence[float] | None = None) -> Place:
    """Return the motion that carries parts from their place to ``share`` of a travel, 0 in place to 1 at its outer end.

    ``times`` says how long each stretch takes, in any unit; without it each takes as long as its slide is.

    >>> way = [Stretch(Place(), (0.0, 0.0, 6.0)), Stretch(Place.at(0, 0, 6), (2.0, 0.0, 0.0))]
    >>> motion_at(way, 0.5).shift, motion_at(way, 0.75, [1.0, 1.0]).shift
    ((0.0, 0.0, 4.0), (1.0, 0.0, 6.0))
    """
    if not stretches or share <= 0.0:
        return Place()
    times = [s.length_mm for s in stretches] if times is None else times
    left = share * sum(times)
    for stretch, time in zip(stretches, times, strict=True):
        if left < time and share < 1.0:
            return stretch.at(left / time)
        left -= time
    return stretches[-1].end
