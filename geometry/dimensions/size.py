"""A size: a few measured dimensions, and documented proportions for all the others.

Proportions are those of the general trade (mostly a fraction of the shaft centre distance C), not of any maker; each
can be overridden one by one, see :mod:`.proportions`. Nothing here needs the CAD kernel.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from difflib import get_close_matches

from .measured import MEASURED, MeasuredDimensions
from .proportions.body import BodyDimensions
from .proportions.covers import CoverDimensions, ReliefDimensions
from .proportions.fasteners import FastenerDimensions, ThreadDimensions
from .proportions.fits import FitDimensions
from .proportions.gear_case import GearCaseDimensions
from .proportions.nuts import DiscSpringDimensions, RotorNutDimensions, RotorThreadDimensions
from .proportions.orings import OringDimensions
from .proportions.rotors import RotorDimensions
from .proportions.rules import Proportion, proportions_of, unit_of
from .proportions.seals import RotatingRingDimensions, StationaryRingDimensions
from .proportions.shafts import ShaftDimensions
from .threads import ScrewThread, Thread, nearest_thread


@dataclass(frozen=True)
class SizeFault:
    """One dimension that cannot be built."""

    field: str
    found: str
    allowed: str
    fix: str


class SizeError(ValueError):
    """A size that cannot be built; ``faults`` lists every reason."""

    def __init__(self, name: str, faults: list[SizeFault]) -> None:
        self.name = name
        self.faults = faults
        lines = [f"{f.field}: found {f.found}, allowed {f.allowed}; {f.fix}" for f in faults]
        super().__init__(f"size {name} cannot be built:\n" + "\n".join(lines))

    def __reduce__(self) -> tuple[type[SizeError], tuple[str, list[SizeFault]]]:
        """Let it come back whole from another process."""
        return SizeError, (self.name, self.faults)


@dataclass(frozen=True)
class Size(
    MeasuredDimensions,
    FitDimensions,
    OringDimensions,
    ThreadDimensions,
    BodyDimensions,
    GearCaseDimensions,
    CoverDimensions,
    ReliefDimensions,
    ShaftDimensions,
    StationaryRingDimensions,
    RotatingRingDimensions,
    RotorThreadDimensions,
    DiscSpringDimensions,
    RotorNutDimensions,
    RotorDimensions,
    FastenerDimensions,
):
    """All dimensions of one pump size, in mm unless the name says otherwise.

    Five are measured (:data:`.measured.MEASURED`); see :data:`PROPORTIONS` for how the others follow.
    """

    name: str

    @property
    def bore_radius_mm(self) -> float:
        """Radius of the body's bores."""
        return self.tip_radius_mm + self.running_gap_mm

    @property
    def boss_radius_mm(self) -> float:
        """Radius of boss and hub of the two-wing form: what the other rotor's tip leaves free."""
        return self.c - self.tip_radius_mm - self.running_gap_mm

    @property
    def journal_radius_mm(self) -> float:
        """Radius of the rotor fit."""
        return self.rotor_fit_mm / 2

    @property
    def rotor_thread(self) -> ScrewThread:
        """Thread of the shaft's end."""
        return ScrewThread(self.rotor_thread_mm, self.rotor_thread_pitch_mm)

    @property
    def stud_thread(self) -> Thread:
        """Thread of the studs."""
        return nearest_thread(self.stud_thread_mm)

    @property
    def body_screw_thread(self) -> Thread:
        """Thread of the body retaining screws."""
        return nearest_thread(self.body_screw_thread_mm)

    @property
    def relief_screw_thread(self) -> Thread:
        """Thread of the screws that hold the relief cap of a relief cover."""
        return nearest_thread(self.relief_screw_thread_mm)

    @property
    def dowels_mm(self) -> dict[str, float]:
        """Diameters of the two body dowels, by name."""
        return {"large": self.large_dowel_mm, "small": self.small_dowel_mm}

    @property
    def pitches_mm(self) -> dict[str, float]:
        """Kind of part that screws in or on to the pitch of its thread."""
        return {
            "rotor_nut": self.rotor_thread.pitch_mm,
            "cover_nut": self.stud_thread.pitch_mm,
            "body_screw": self.body_screw_thread.pitch_mm,
            "relief_screw": self.relief_screw_thread.pitch_mm,
        }


class ByName(Mapping[str, float]):
    """A size's dimensions by their names, as rules take them."""

    def __init__(self, size: Size) -> None:
        self._size = size

    def __getitem__(self, name: str) -> float:
        value: float = getattr(self._size, name)
        return value

    def __iter__(self) -> Iterator[str]:
        return iter((*MEASURED, *PROPORTIONS))

    def __len__(self) -> int:
        return len(MEASURED) + len(PROPORTIONS)


PROPORTIONS: dict[str, Proportion] = proportions_of(*Size.__bases__[1:])
"""Dimension: how it follows, in the order in which they are worked out."""


def measured_fields() -> dict[str, str]:
    """Return measured dimension to what it is."""
    return {name: m.words for name, m in MEASURED.items()}


def override_fields() -> dict[str, str]:
    """Return dimension that may be overridden to how it follows when it is not."""
    return {name: p.words for name, p in PROPORTIONS.items()}


def make_size(name: str, measured: Mapping[str, float], overrides: Mapping[str, float] | None = None) -> Size:
    """Return the size with all its dimensions.

    Args:
        name: what people call it.
        measured: the five fields of :data:`.measured.MEASURED`, mm.
        overrides: fields of :data:`PROPORTIONS` with a value of their own.

    Raises:
        SizeError: with every dimension that is missing, unknown, out of range or cannot be built together.

    >>> size = make_size("80", example_measures(80.0))
    >>> size.wall_mm, size.stud_thread.nominal_mm
    (16.0, 10.0)
    """
    overrides = dict(overrides or {})
    faults = [*_measuring_faults(measured), *_unknown_overrides(overrides)]
    if not any(f.field in MEASURED for f in faults):
        dimensions = {key: float(measured[key]) for key in MEASURED}
        faults += _fill(dimensions, overrides)
    if faults:
        raise SizeError(name, faults)
    size = Size(name, **dimensions)
    faults = [*_disproportions(size)]
    if faults:
        raise SizeError(name, faults)
    return size


def _measuring_faults(measured: Mapping[str, float]) -> Iterator[SizeFault]:
    for key, m in MEASURED.items():
        value = measured.get(key)
        allowed = f"{m.least_mm:g} to {m.most_mm:g} mm ({m.words})"
        if value is None:
            yield SizeFault(key, "nothing", allowed, "measure it and add it")
        elif not (math.isfinite(value) and m.least_mm <= value <= m.most_mm):
            yield SizeFault(key, f"{value:g}", allowed, "check the measurement and its unit")
    for key in sorted(measured.keys() - MEASURED.keys()):
        fix = "put it under overrides or drop it"
        yield SizeFault(key, f"{measured[key]:g}", ", ".join(MEASURED), fix)


def _unknown_overrides(overrides: Mapping[str, float]) -> Iterator[SizeFault]:
    for key in sorted(overrides.keys() - PROPORTIONS.keys()):
        near = get_close_matches(key, PROPORTIONS, 3, 0.5)
        allowed = f"a dimension that has a proportion{', such as ' if near else ''}{', '.join(near)}"
        yield SizeFault(key, f"{overrides[key]:g}", allowed, "correct the name or drop it")


def _fill(dimensions: dict[str, float], overrides: Mapping[str, float]) -> Iterator[SizeFault]:
    """Add all other dimensions to those measured; yield each override that is out of its range.

    Those that follow from such a one are worked out as if it had not been given.
    """
    for key, p in PROPORTIONS.items():
        usual = p.rule(dimensions)
        value = dimensions[key] = float(overrides.get(key, usual))
        if key in overrides and not p.choice.holds(value, usual):
            unit = unit_of(key)
            fix = f"leave it out for the usual {usual:.4g}{unit} ({p.words})"
            dimensions[key] = usual
            yield SizeFault(key, f"{value:g}", p.choice.words(usual, unit), fix)


PORT_WALLS = 0.085
"""Least metal that the cavity leaves before and behind a port together, as a share of C."""


def _disproportions(s: Size) -> Iterator[SizeFault]:
    """What no dimension is guilty of alone: measured ones that do not suit the centre distance."""
    c = s.c
    widest_port = min(s.rotor_width_mm - PORT_WALLS * c, 0.85 * c)
    limits = {
        "rotor_diameter_mm": (1.30 * c, 1.53 * c, "measure over the tips of one rotor"),
        "rotor_width_mm": (0.5 * c, 1.0 * c, "measure one rotor along its shaft"),
        "shaft_diameter_mm": (0.25 * c, 0.45 * c, "measure the seal journal, not the rotor's"),
        "port_bore_mm": (0.25 * c, widest_port, "check the port's size"),
    }
    for key, (least, most, fix) in limits.items():
        value: float = getattr(s, key)
        if not least - 1e-9 <= value <= most + 1e-9:
            yield SizeFault(key, f"{value:g}", f"{least:.4g} to {most:.4g} mm at C = {c:g} mm", fix)


def example_measures(centre_mm: float, rotor: str = "two-wing") -> dict[str, float]:
    """Return measured dimensions of usual proportions for one centre distance (mm): for tests and new fleets."""
    # Lobes: the cycloidal tip circle less half the usual running gap.
    tip = {"two-wing": 0.71, "two-lobe": 0.75 - 0.0005, "three-lobe": 2 / 3 - 0.0005}[rotor]
    return {
        "shaft_centre_distance_mm": centre_mm,
        "rotor_diameter_mm": 2 * tip * centre_mm,
        "rotor_width_mm": 0.7 * centre_mm,
        "shaft_diameter_mm": 0.38 * centre_mm,
        "port_bore_mm": 0.6 * centre_mm,
    }
