"""Review of finished pictures by their manifests: which fall short of what a picture has to show."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from .manifest import Inset, Manifest, ZoneSeen

LEAST_VISIBLE = 0.5
"""Share of a moving part's outline that has to be unhidden, in the picture or in a close-up of it."""
LEAST_FILL = 1.0 / 6.0
"""Share of a close-up's disc that its subject has to fill."""


LEAST_ZONE = 0.0002
"""Share of the picture that a painted surface has to fill, in the picture or in a close-up of it."""
FEW = 2
"""So many numbered surfaces of one name are seen each by itself."""
HUNG = frozenset({"lifting strap"})
"""Tools whose frame begins where they hang, far from what they hold."""


@dataclass(frozen=True)
class Shortcoming:
    """What a picture fails to show: its step, the part (empty for all of it), the reason in words."""

    step: str
    part: str
    reason: str

    def __str__(self) -> str:
        return f"{self.step}{f', {self.part}' if self.part else ''}: {self.reason}"


def review_pictures(manifests: Iterable[Manifest]) -> list[Shortcoming]:
    """Return every shortcoming of step pictures; an empty list means that all show what they have to."""
    return [found for m in manifests if m.kind == "step" for found in _review(m)]


def review_acts(manifests: Iterable[Manifest]) -> list[Shortcoming]:
    """Return what step pictures fail to show of their acts: zones out of sight, tools not seen where they touch.

    Of surfaces of one name that are treated alike, on equal parts, the one seen best counts; so it does of numbered
    ones of which there are many.
    """
    return [found for m in manifests if m.kind == "step" for found in _review_acts(m)]


def shared_names(surfaces: Iterable[tuple[str, str]]) -> dict[str, str]:
    """Return for each name of a surface that under which it counts, for ``surfaces`` as part and name.

    Of two that are numbered each counts by itself: keyways, notches, ports. Of more than :data:`FEW` on a part one
    shows what is done to all.

    >>> shared_names([("body", f"flush connection {n}") for n in (1, 2, 3)])["flush connection 2"]
    'flush connection'
    >>> shared_names([("rotor", "keyway 1"), ("rotor", "keyway 2")])["keyway 2"]
    'keyway 2'
    """
    numbered: dict[tuple[str, str], set[str]] = {}
    every = set(surfaces)
    for part, name in every:
        base, _, number = name.rpartition(" ")
        if number.isdigit():
            numbered.setdefault((part, base), set()).add(name)
    found = {name: name for _, name in every}
    for (_, base), names in numbered.items():
        if len(names) > FEW:
            found.update(dict.fromkeys(names, base))
    return found


def _review_acts(m: Manifest) -> list[Shortcoming]:
    best: dict[tuple[str, str], ZoneSeen] = {}
    named = shared_names((z.part, z.surface) for z in m.zones)
    for zone in m.zones:
        name = named[zone.surface], zone.treatment
        if zone.seen_px > best.setdefault(name, zone).seen_px:
            best[name] = zone
    least = LEAST_ZONE * m.width * m.height
    found = [
        Shortcoming(
            m.step, z.part, f"{z.surface or 'all of it'}, to {z.treatment}: only {z.seen_px} pixels are seen"
        )
        for z in best.values()
        if z.seen_px < least
    ]
    for tool in m.tools:
        if not tool.visible_px:
            found.append(
                Shortcoming(m.step, tool.part, f"the {tool.tool} at its {tool.surface} is out of sight")
            )
        elif not tool.contact_px and tool.tool not in HUNG:
            found.append(Shortcoming(m.step, tool.part, f"where the {tool.tool} touches it is out of sight"))
    return found


def _review(m: Manifest) -> list[Shortcoming]:
    found = []
    for key, part in m.parts.items():
        if part.state != "moving":
            continue
        shares = [
            part.visible or 0.0,
            *(i.visible for i in m.insets if key in i.subject and i.fill >= LEAST_FILL),
        ]
        if max(shares) < LEAST_VISIBLE:
            found.append(Shortcoming(m.step, key, f"only {max(shares):.0%} of its outline is unhidden"))
    for inset in m.insets:
        named = inset.subject[0]
        if inset.fill < LEAST_FILL:
            found.append(Shortcoming(m.step, named, f"fills only {inset.fill:.0%} of its close-up"))
        if not _in_frame(inset, m.width / m.height):
            found.append(Shortcoming(m.step, named, "its close-up leaves the picture"))
    for arrow in m.arrows:
        if not _inside(arrow.tail, arrow.head):
            found.append(Shortcoming(m.step, arrow.parts[0], "its arrow leaves the picture"))
    for key, part in m.parts.items():
        if part.anchor is not None and not _inside(part.anchor):
            found.append(Shortcoming(m.step, key, "its callout points out of the picture"))
    return found


def _inside(*spots: tuple[float, float]) -> bool:
    return all(0.0 <= c <= 1.0 for spot in spots for c in spot)


def _in_frame(inset: Inset, aspect: float) -> bool:
    x, y, r = *inset.centre, inset.radius
    return min(x - r, 1.0 - x - r, y - r * aspect, 1.0 - y - r * aspect) >= -1e-6
