"""Taking the close-ups of a layout and composing them into the frame."""

from __future__ import annotations

from collections.abc import Mapping

from ...geometry.frame import Place, Vec3
from ..composition.hidden_seats import SUFFIX, HiddenSeat, cut_open
from ..composition.picture_layout import CloseUp, frame_box
from ..composition.views import StepScene
from ..drawing.insets import disc_camera, draw_inset
from ..drawing.manifest import Inset, PartSeen, State
from ..drawing.measure import measure_visible, parts_seen
from ..drawing.settings import PictureSettings
from ..engine.camera import Camera
from ..engine.stage import Shown, Stage
from .frames import Frame, take_frame


def lay_close_up(
    frame: Frame,
    stage: Stage,
    scene: StepScene,
    shown: Mapping[str, Shown],
    moved: Mapping[str, Vec3],
    close_up: CloseUp,
    settings: PictureSettings,
) -> Inset:
    """Take ``close_up`` and compose it into ``frame``; return the manifest's account."""
    disc, subject = close_up.disc, close_up.subject
    camera = disc_camera(frame.camera, disc)
    side = 2 * round(disc.radius * frame.image.width)
    if close_up.seat is not None:
        close, seen, visible = _take_cut(stage, close_up.seat, shown, camera, settings, side)
        places: Mapping[str, Place] = close_up.seat.places
    else:
        close = take_frame(stage, scene, shown, camera, settings, (side, side))
        shares = measure_visible(stage, close.ids, scene.places, [subject], camera)
        states: dict[str, State] = {
            k: s.role if s.role in ("moving", "focus") else "context" for k, s in shown.items()
        }
        seen, visible, places = (
            parts_seen(close.ids, states, shares, moved),
            min(shares.values()),
            scene.places,
        )
    draw_inset(frame.image, close.image, disc)
    box = frame_box(stage.models.parts, places, subject, camera)
    return Inset(
        centre=disc.centre,
        radius=disc.radius,
        of_centre=disc.of_centre,
        of_radius=disc.of_radius,
        magnification=disc.magnification,
        subject=subject,
        fill=(box[2] - box[0]) ** 2 + (box[3] - box[1]) ** 2,
        visible=visible,
        parts={k: p for k, p in seen.items() if p.visible_px},
        cut=close_up.seat is not None,
    )


def _take_cut(
    stage: Stage,
    seat: HiddenSeat,
    shown: Mapping[str, Shown],
    camera: Camera,
    settings: PictureSettings,
    side: int,
) -> tuple[Frame, dict[str, PartSeen], float]:
    """Return the frame of a cut-away, what is seen in it by part, and how much of the subject's outline."""
    stage.put_on(cut_open(stage.models, seat))
    try:
        there = {k + SUFFIX: p for k, p in seat.places.items() if stage.has(k + SUFFIX)}
        subject = tuple(k + SUFFIX for k in seat.subject if k + SUFFIX in there)
        role = shown[seat.subject[0]].role
        roles = {k: Shown(p, role if k in subject else "context") for k, p in there.items()}
        whole = StepScene(there, (subject,), ())
        frame = take_frame(stage, whole, roles, camera, settings, (side, side))
        shares = measure_visible(stage, frame.ids, there, [subject], camera)
        strong: State = "focus" if role == "focus" else "moving"
        states: dict[str, State] = {k: strong if k in subject else "context" for k in there}
        seen = parts_seen(frame.ids, states, shares, {})
        return frame, {k.removesuffix(SUFFIX): p for k, p in seen.items()}, min(shares.values(), default=0.0)
    finally:
        stage.take_off()
