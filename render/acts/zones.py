"""Zones: which surfaces of a step are painted, by what is done to them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from ...geometry.surfaces import Surface
from ...sequences.steps.operations import Operation, SurfaceOf, Verb
from ..drawing.manifest import Treatment
from ..engine.part_models import PartModels

TREATMENTS: Mapping[Verb, Treatment] = MappingProxyType(
    {
        "clean": "clean",
        "blow out": "clean",
        "lubricate": "lubricate",
        "anti-seize": "anti-seize",
        "look": "look",
        "feel": "look",
        "measure": "measure",
        "dress": "dress",
    }
)
"""What is done, and how the surface is painted for it; what is not here paints none."""
RANK: tuple[Treatment, ...] = ("anti-seize", "lubricate", "measure", "clean", "dress", "look")
"""Which treatment a surface shows that has several: what is left on it before what is done on the way."""
SOUGHT = frozenset({"keyway", "flats", "notch", "hole", "groove", "pin", "pocket"})
"""Kinds of surface that are looked for while a part is on its way."""
CASTING_SHARE = 0.05
"""A part with more than this share of the assembly's volume is never painted or tinted whole: that says nothing."""


@dataclass(frozen=True)
class Zone:
    """A surface of a part to be painted; ``surface`` None for all of a small part."""

    part: str
    surface: Surface | None
    treatment: Treatment

    @property
    def name(self) -> str:
        """Name of the surface, empty for the whole part."""
        return self.surface.name if self.surface else ""

    @property
    def key(self) -> tuple[str, str, str]:
        """What tells it from others of its assembly."""
        return self.part, self.name, self.treatment


@dataclass(frozen=True)
class Aim:
    """A surface of a part that a step is about, and that its picture has to show."""

    part: str
    surface: Surface
    close_up: bool = False
    """It is to be seen large enough to tell what is done to it: a surface that is painted."""

    @property
    def key(self) -> tuple[str, str]:
        """What tells it from others of its assembly."""
        return self.part, self.surface.name


def zones_of(operations: Sequence[Operation], models: PartModels, moving: bool = False) -> tuple[Zone, ...]:
    """Return what is painted in a step, in the order of its operations; each surface once, for what says most.

    In a step in which parts are ``moving`` only what is put onto surfaces or cleaned, and what is looked for before
    they go home: a groove, a keyway, a notch. A surface that its part does not have is left out: that is reported where
    the reach of tools is looked at.
    """
    found: dict[tuple[str, str], Zone] = {}
    turning = any(o.verb in ("tighten", "loosen") and o.tool != "hand" for o in operations)
    for operation in operations:
        treatment = TREATMENTS.get(operation.verb)
        # What is wiped after a nut is pulled tight is not what its picture is about.
        if treatment is None or (turning and treatment == "clean"):
            continue
        # What is done to whole castings is done to all that is there: to paint the small parts says nothing.
        overall = any(
            not at.surface and at.part in models.parts and is_casting(at.part, models) for at in operation.on
        )
        for at in operation.on:
            if overall and not at.surface:
                continue
            zone = _zone(at, treatment, models)
            if zone is None or (moving and not _before_home(zone)):
                continue
            known = found.get((zone.part, zone.name))
            if known is None or RANK.index(treatment) < RANK.index(known.treatment):
                found[zone.part, zone.name] = zone
    return tuple(found.values())


def aims_of(operations: Sequence[Operation], models: PartModels) -> tuple[Aim, ...]:
    """Return all surfaces that the operations of a step name, each once; those at which a hand turns a shaft are left
    out: where the person stands for that says the turn itself."""
    found: dict[tuple[str, str], Aim] = {}
    for operation in operations:
        if operation.verb == "turn":
            continue
        for at in (*operation.on, *operation.between):
            surface = _surface(at, models)
            if surface is not None:
                aim = Aim(at.part, surface, operation.verb in TREATMENTS)
                if aim.close_up or aim.key not in found:
                    found[aim.key] = aim
    return tuple(found.values())


def turned_at(operations: Sequence[Operation], models: PartModels) -> tuple[Aim, ...]:
    """Return the surfaces at which shafts are turned by hand."""
    found = []
    for at in (at for o in operations if o.verb == "turn" for at in o.on):
        surface = _surface(at, models)
        if surface is not None:
            found.append(Aim(at.part, surface))
    return tuple(found)


def _before_home(zone: Zone) -> bool:
    if zone.treatment in ("look", "measure"):
        return zone.treatment == "look" and zone.surface is not None and zone.surface.kind in SOUGHT
    return True


def _zone(at: SurfaceOf, treatment: Treatment, models: PartModels) -> Zone | None:
    if at.part not in models.parts:
        return None
    if at.surface:
        surface = _surface(at, models)
        return Zone(at.part, surface, treatment) if surface else None
    return None if is_casting(at.part, models) else Zone(at.part, None, treatment)


def is_casting(part: str, models: PartModels) -> bool:
    """Return whether a part is so large that a tint of all of it points out nothing."""
    return models.parts[part].mesh.volume_mm3 > CASTING_SHARE * sum(m.mesh.volume_mm3 for m in models)


def _surface(at: SurfaceOf, models: PartModels) -> Surface | None:
    model = models.parts.get(at.part)
    return next((s for s in model.surfaces if s.name == at.surface), None) if model else None
