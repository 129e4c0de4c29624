"""Taking the close-ups of a layout and composing them into the frame."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from ...geometry.frame import Place, Vec3
from ..acts.surface_sight import Sight, sight_of
from ..acts.tools_drawn import ToolDrawn, tools_seen
from ..composition.hidden_seats import SUFFIX, HiddenSeat, opened
from ..composition.picture_layout import CloseUp, frame_box, shown_close
from ..composition.views import StepScene
from ..drawing.insets import draw_inset
from ..drawing.manifest import Inset, PartSeen, State, ToolSeen
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
    tools: tuple[ToolDrawn, ...] = ()


def zone_sights(stage: Stage, scene: StepScene, ids: Ids, camera: Camera) -> dict[ZoneKey, Sight]:
    """Return what is in sight of each zone of ``scene``; ``ids`` is what is seen where in ``camera``."""
    return {
        z.key: sight_of(stage.model(z.part), z.surface, scene.places[z.part], ids, camera)
        for z in scene.zones
        if z.part in scene.places
    }


@dataclass(frozen=True)
class CloseUpSeen:
    """What is seen in a close-up: the manifest's account, what of zones is in sight, and its tools.

    The area of what is in sight is counted in square millimetres of the whole picture, as large as that shows it.
    """

    inset: Inset
    zones: dict[ZoneKey, Sight]
    tools: tuple[ToolSeen, ...]


def draw_close_up(
    frame: Frame,
    stage: Stage,
    scene: StepScene,
    shown: Mapping[str, Shown],
    moved: Mapping[str, Vec3],
    close_up: CloseUp,
    settings: PictureSettings,
) -> CloseUpSeen:
    """Take ``close_up`` and compose it into ``frame``; return the manifest's account of it."""
    disc, subject, detail = close_up.disc, close_up.subject, close_up.detail
    camera = close_up.camera(frame.camera)
    side = 2 * round(disc.radius * frame.image.width)
    if close_up.seat is not None:
        tools = tuple(t for t in scene.tools if detail and t.key in detail.tools)
        taken = _take_cut(stage, scene, close_up.seat, shown, tools, camera, settings, side)
    else:
        laid = {t.key: Shown(t.place, "tool") for t in scene.laid}
        there = {k: shown.get(k) or laid[k] for k in shown_close(scene, close_up)}
        own = scene if detail is None else _beside(scene, there)
        taken = _take_whole(stage, own, there, moved, subject, camera, settings, side)
    from_here = detail is None or detail.view is None
    draw_inset(frame.image, taken.frame.image, disc, tied=from_here)
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
        view="" if from_here else camera.view.name,
        alone=detail is not None and detail.shown is not None,
    )
    zones = {key: replace(s, area_mm2=s.area_mm2 * disc.magnification**2) for key, s in taken.zones.items()}
    return CloseUpSeen(inset, zones, tools_seen(taken.frame.ids, taken.tools, camera))


def _beside(scene: StepScene, shown: Mapping[str, Shown]) -> StepScene:
    """Return what of ``scene`` a close-up from another side says: nothing of the way that parts go."""
    zones = tuple(z for z in scene.zones if z.part in shown)
    tools = tuple(t for t in (*scene.tools, *scene.laid) if t.key in shown)
    places = {k: s.place for k, s in shown.items()}
    return replace(scene, places=places, travels=(), turns=(), zones=zones, tools=tools, laid=())


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
    sights = zone_sights(stage, scene, frame.ids, camera)
    tools = tuple(t for t in scene.tools if t.key in shown)
    return _Taken(frame, seen, min(shares.values()), scene.places, sights, tools)


def _take_cut(
    stage: Stage,
    scene: StepScene,
    seat: HiddenSeat,
    shown: Mapping[str, Shown],
    tools: tuple[ToolDrawn, ...],
    camera: Camera,
    settings: PictureSettings,
    side: int,
) -> _Taken:
    """Take the parts in place, their surroundings cut open; ``tools`` stay whole."""
    stage.add_models(opened(stage, seat))
    try:
        there = {k + SUFFIX: p for k, p in seat.places.items() if stage.has(k + SUFFIX)}
        subject = tuple(k + SUFFIX for k in seat.subject if k + SUFFIX in there)
        role = shown[seat.subject[0]].role
        roles = {k: Shown(p, role if k in subject else "context") for k, p in there.items()}
        roles |= {t.key: shown[t.key] for t in tools}
        zones = tuple(replace(z, part=z.part + SUFFIX) for z in scene.zones if z.part + SUFFIX in there)
        placed = {**there, **{t.key: t.place for t in tools}}
        whole = StepScene(placed, (subject,), (), zones=zones, tools=tools)
        frame = take_frame(stage, whole, roles, camera, settings, (side, side))
        shares = measure_visible(stage, frame.ids, there, [subject], camera)
        strong = STATES.get(role, "context")
        states: dict[str, State] = {k: strong if k in subject else "context" for k in there}
        seen = {k.removesuffix(SUFFIX): p for k, p in parts_seen(frame.ids, states, shares, {}).items()}
        sights = zone_sights(stage, whole, frame.ids, camera)
        own = {(part.removesuffix(SUFFIX), *rest): s for (part, *rest), s in sights.items()}
        return _Taken(frame, seen, min(shares.values(), default=0.0), seat.places, own, tools)
    finally:
        stage.remove_models()
