"""Taking the close-ups of a layout and composing them into the frame."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from ...geometry.frame import Place, Vec3
from ..acts.surface_sight import Sight, sight_of
from ..composition.hidden_seats import SUFFIX, HiddenSeat, opened
from ..composition.picture_layout import CloseUp, frame_box
from ..composition.views import StepScene
from ..drawing.insets import disc_camera, draw_inset
from ..drawing.manifest import Inset, PartSeen, State
from ..drawing.measure import measure_visible, parts_seen
from ..drawing.settings import PictureSettings
from ..engine.camera import Camera
from ..engine.grid import Ids
from ..engine.material_styles import Role
from ..engine.stage import Shown, Stage
from .frames import Frame, take_frame

ZoneKey = tuple[str, ...]
"""Part, surface and treatment of a zone."""
STATES: Mapping[Role, State] = {"moving": "moving", "focus": "focus", "quiet": "focus"}
"""What the manifest says of a part in a role; of all others that they are context."""


@dataclass(frozen=True)
class _Taken:
    """A close-up's frame, what is seen in it by part, how much of its subject's outline, and where the parts are."""

    frame: Frame
    seen: Mapping[str, PartSeen]
    visible: float
    places: Mapping[str, Place]
    zones: Mapping[ZoneKey, Sight]


def zone_sights(stage: Stage, scene: StepScene, ids: Ids, camera: Camera) -> dict[ZoneKey, Sight]:
    """Return what is in sight of each zone of ``scene``; ``ids`` is what is seen where in ``camera``."""
    return {
        z.key: sight_of(stage.model(z.part), z.surface, scene.places[z.part], ids, camera)
        for z in scene.zones
        if z.part in scene.places
    }


def draw_close_up(
    frame: Frame,
    stage: Stage,
    scene: StepScene,
    shown: Mapping[str, Shown],
    moved: Mapping[str, Vec3],
    close_up: CloseUp,
    settings: PictureSettings,
) -> tuple[Inset, dict[ZoneKey, Sight]]:
    """Take ``close_up`` and compose it into ``frame``; return the manifest's account, and what of zones is in sight.

    The area of what is in sight is counted in square millimetres of the whole picture, as large as that shows it.
    """
    disc, subject = close_up.disc, close_up.subject
    camera = disc_camera(frame.camera, disc)
    side = 2 * round(disc.radius * frame.image.width)
    if close_up.seat is not None:
        taken = _take_cut(stage, scene, close_up.seat, shown, camera, settings, side)
    else:
        # A tool elsewhere would hide the surface that is meant.
        off = {t.key for t in scene.tools if close_up.surface and t.tool.at.surface != close_up.surface}
        there = {k: s for k, s in shown.items() if k not in off}
        taken = _take_whole(stage, scene, there, moved, subject, camera, settings, side)
    draw_inset(frame.image, taken.frame.image, disc)
    box = frame_box(stage.models.parts, taken.places, subject, camera)
    inset = Inset(
        centre=disc.centre,
        radius=disc.radius,
        of_centre=disc.of_centre,
        of_radius=disc.of_radius,
        magnification=disc.magnification,
        subject=subject,
        fill=(box[2] - box[0]) ** 2 + (box[3] - box[1]) ** 2,
        visible=taken.visible,
        parts={k: p for k, p in taken.seen.items() if p.visible_px},
        cut=close_up.seat is not None,
        surface=close_up.surface,
    )
    return inset, {
        key: replace(s, area_mm2=s.area_mm2 * disc.magnification**2) for key, s in taken.zones.items()
    }


def _take_whole(
    stage: Stage,
    scene: StepScene,
    shown: Mapping[str, Shown],
    moved: Mapping[str, Vec3],
    subject: Sequence[str],
    camera: Camera,
    settings: PictureSettings,
    side: int,
) -> _Taken:
    """Take the parts as they stand in the picture."""
    frame = take_frame(stage, scene, shown, camera, settings, (side, side))
    shares = measure_visible(stage, frame.ids, scene.places, [subject], camera)
    states: dict[str, State] = {
        k: STATES.get(s.role, "context") for k, s in shown.items() if s.role != "tool"
    }
    seen = parts_seen(frame.ids, states, shares, moved)
    return _Taken(
        frame, seen, min(shares.values()), scene.places, zone_sights(stage, scene, frame.ids, camera)
    )


def _take_cut(
    stage: Stage,
    scene: StepScene,
    seat: HiddenSeat,
    shown: Mapping[str, Shown],
    camera: Camera,
    settings: PictureSettings,
    side: int,
) -> _Taken:
    """Take the parts in place, their surroundings cut open."""
    stage.add_models(opened(stage, seat))
    try:
        there = {k + SUFFIX: p for k, p in seat.places.items() if stage.has(k + SUFFIX)}
        subject = tuple(k + SUFFIX for k in seat.subject if k + SUFFIX in there)
        role = shown[seat.subject[0]].role
        roles = {k: Shown(p, role if k in subject else "context") for k, p in there.items()}
        zones = tuple(replace(z, part=z.part + SUFFIX) for z in scene.zones if z.part + SUFFIX in there)
        whole = StepScene(there, (subject,), (), zones=zones)
        frame = take_frame(stage, whole, roles, camera, settings, (side, side))
        shares = measure_visible(stage, frame.ids, there, [subject], camera)
        strong = STATES.get(role, "context")
        states: dict[str, State] = {k: strong if k in subject else "context" for k in there}
        seen = {k.removesuffix(SUFFIX): p for k, p in parts_seen(frame.ids, states, shares, {}).items()}
        sights = zone_sights(stage, whole, frame.ids, camera)
        own = {(part.removesuffix(SUFFIX), *rest): s for (part, *rest), s in sights.items()}
        return _Taken(frame, seen, min(shares.values(), default=0.0), seat.places, own)
    finally:
        stage.remove_models()
