"""Ways to look at a fit, right beside wrong, and which of them shows the difference best.

Candidates are natural views of the whole parts, and views into a section through the parts' axis. They are compared by
measurement: how much of what is seen of the parts differs between the two pictures.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Literal

import numpy as np

from ...geometry.frame import Floats, Place, Vec3, unit
from ...geometry.meshes.raised_shapes import middle_surface, raised
from ...geometry.meshes.tessellation import Mesh
from ..drawing.insets import Disc
from ..engine.camera import Camera, View, fit_camera, sensible_views
from ..engine.grid import Ids
from ..engine.part_models import PartModel, PartModels
from ..engine.section_views import CuttingPlane, cut_face, cut_model, remaining_points
from ..engine.stage import Stage

Which = Literal["right", "wrong"]
MARGIN = 0.24
"""Share of the picture left round the part on every side, so that its seat is seen."""
LARGE_ENOUGH = 0.03
"""Share of the picture above which a larger difference is no plainer."""
RELIEF_SHARE = 0.01
"""Surfaces that lie apart in depth by more than this share of the frame's height differ in relief."""
ORDER_COST = 0.01
"""What each place later in the list of candidates costs."""
HATCH_SHARE = 0.035
"""Distance of hatch lines as a share of the part's reach."""
HATCH_CLOSE = 0.16
"""The same, of the part's thickness, where its cut face alone is looked at."""
MEASURE_WIDTH = 240
DISC_RADIUS = 0.21
"""Radius of the close-up of a cut face, as a share of the picture's width."""
MAGNIFIED = (2.0, 7.0)
"""Least and greatest magnification of it."""
CLOSE_UP_FRAME, CLOSE_UP_PAN = 1.12, 0.24
"""To make room for it the frame grows by this factor and pans by this share of its width."""
DISC_MARGIN = 0.015
BESIDE_PAN = 0.18
"""To make room for a small picture the frame pans by this share of its width."""


@dataclass(frozen=True)
class PairScene:
    """What two pictures show.

    ``right`` are the parts in their right places; ``wrong`` those of the wrong picture, empty where they are missing.
    ``second``: the parts of ``wrong`` stand there besides those of ``right``. ``around`` are neighbours as they stand.
    """

    name: str
    step: str
    number: int
    right: Mapping[str, Place]
    wrong: Mapping[str, Place]
    around: Mapping[str, Place] = field(default_factory=dict)
    second: bool = False
    out: Vec3 = (0.0, 0.0, 1.0)
    """Unit vector from the seat to where the parts are fitted from."""
    free: tuple[str, ...] = ()
    """Springs that nothing presses as yet."""
    opened: bool = False
    """Show both mating faces, opened like a book: ``around`` is then the other piece."""
    links: tuple[str, ...] = ()
    """Parts of one piece that go into the other."""
    wrong_material: str = ""
    """What the wrong one is made of, where that is all that differs."""


@dataclass(frozen=True)
class PairView:
    """One way to look: the view, and for both pictures the key of the model that shows each part.

    ``context`` are the neighbours. ``plane`` is the cutting plane of a section, None for whole parts.
    """

    view: View
    right: Mapping[str, str]
    wrong: Mapping[str, str]
    context: Mapping[str, str]
    plane: CuttingPlane | None = None
    steeper: float = 1.0
    """How many times as steep as it is a thin ring is drawn."""

    def subject(self, which: Which) -> Mapping[str, str]:
        """Return the parts that one of the pictures is about, and their models."""
        return self.right if which == "right" else self.wrong


Candidates = tuple[list[PairView], list[PartModel]]
"""Ways to look, and the models that they show, under keys of their own."""
_Role = tuple[str, Mapping[str, Place]]


def _roles(scene: PairScene) -> tuple[_Role, _Role, _Role]:
    """Return the places of the parts by their role in the pair."""
    return ("right", scene.right), ("wrong", scene.wrong), ("around", scene.around)


def can_be_steeper(models: PartModels, scene: PairScene) -> bool:
    """Return whether what the pair is about is one thin ring, which can be drawn steeper than it is."""
    return len(scene.right) == 1 and all(
        middle_surface(models.parts[k].mesh) is not None for k in scene.right
    )


def _taken_for(models: PartModels, scene: PairScene) -> PartModel | None:
    """Return the part that the wrong one is taken for, where one is taken for another."""
    if len(scene.right) != 1 or len(scene.wrong) != 1 or set(scene.right) == set(scene.wrong):
        return None
    return models.parts[next(iter(scene.right))]


def can_be_further_off(models: PartModels, scene: PairScene) -> bool:
    """Return whether a part is taken for one of another size, so that the difference can be drawn larger than it is."""
    return _taken_for(models, scene) is not None


def _further_off(mesh: Mesh, other: Mesh, times: float) -> Mesh:
    """Return ``mesh`` with its sizes off those of ``other`` by ``times`` as much as they are."""
    own, its = (np.ptp(np.stack(m.box), axis=0) for m in (mesh, other))
    scale = np.clip((its + times * (own - its)) / np.maximum(own, 1e-9), 0.4, 2.5)
    scale[:2] = scale[:2].mean()
    return replace(
        mesh,
        points=mesh.points * scale,
        joined_points=mesh.joined_points * scale,
        edges=tuple(e * scale for e in mesh.edges),
        smooth_edges=tuple(e * scale for e in mesh.smooth_edges),
    )


def steepness(models: PartModels, scene: PairScene, lean: float, steps: Sequence[float]) -> list[float]:
    """Return those of ``steps`` by which a thin ring rises by at least ``lean`` of its breadth, or the last.

    It is one of which :func:`can_be_steeper` holds.
    """
    key = next(iter(scene.right))
    surface = middle_surface(models.parts[key].mesh)
    if surface is None:
        return []
    rise = surface.rise_mm * (models.parts[key].free_rise if key in scene.free else 1.0)
    return [s for s in steps if s * rise >= lean * surface.breadth_mm] or list(steps[-1:])


def _standing(
    models: PartModels, scene: PairScene, role: str, key: str, place: Place, steeper: float
) -> PartModel:
    """Return a part as it stands: a spring that nothing presses is as high as it is free, on the seat that it had."""
    model = replace(models.parts[key], key=f"{role}:{key}", place=place)
    if role == "wrong" and scene.wrong_material:
        model = replace(model, material=scene.wrong_material)
    if role == "wrong" and steeper != 1.0 and (other := _taken_for(models, scene)) is not None:
        return replace(model, mesh=_further_off(model.mesh, other.mesh, steeper))
    rise = model.free_rise if key in scene.free else 1.0
    rise *= steeper if role != "around" else 1.0
    surface = middle_surface(model.mesh) if rise != 1.0 else None
    if surface is None:
        return model
    mesh = raised(model.mesh, surface, rise)
    out = np.array(scene.out)
    sunk = float((place.points(model.mesh.points) @ out).min() - (place.points(mesh.points) @ out).min())
    return replace(model, mesh=mesh, place=place.moved(*(sunk * out)))


def whole_candidates(models: PartModels, scene: PairScene, steeper: float = 1.0) -> Candidates:
    """Return natural views of the whole parts."""
    made: list[PartModel] = []
    keys: list[dict[str, str]] = []
    for role, places in _roles(scene):
        standing = {k: _standing(models, scene, role, k, p, steeper) for k, p in places.items()}
        keys.append(_keys(standing))
        made += standing.values()
    right, wrong, context = keys
    views = [PairView(v, right, wrong, context) for v in sensible_views(models.front, models.up)]
    return views, made


def section_candidates(models: PartModels, scene: PairScene, steeper: float = 1.0) -> Candidates:
    """Return views into sections through the axis of the first part, from either side."""
    views: list[PairView] = []
    made: list[PartModel] = []
    for side, plane, eye in _sections(models, scene):
        right, wrong, context = (
            _cut(models, scene, role, places, plane, side, steeper) for role, places in _roles(scene)
        )
        if right:
            view = View(f"into a cut from the {side}", eye, models.up)
            views.append(PairView(view, _keys(right), _keys(wrong), _keys(context), plane, steeper))
            made += [*right.values(), *wrong.values(), *context.values()]
    return views, made


def _keys(cut: Mapping[str, PartModel]) -> dict[str, str]:
    return {k: m.key for k, m in cut.items()}


def _sections(models: PartModels, scene: PairScene) -> Iterator[tuple[str, CuttingPlane, Vec3]]:
    """Yield side, plane and direction of view of each section."""
    place = next(iter(scene.right.values()))
    axis = np.array(place.direction((0.0, 0.0, 1.0)))
    front, up = np.array(unit(models.front)), np.array(unit(models.up))
    across = np.cross(up, front) if abs(float(axis @ front)) > 0.5 else front
    for side, sign in (("right", 1.0), ("left", -1.0)):
        n = sign * across - axis * float(axis @ (sign * across))
        n /= np.linalg.norm(n)
        eye = n + 0.22 * front + 0.18 * up if abs(float(n @ front)) < 0.5 else n + 0.2 * up
        yield side, CuttingPlane(place.shift, unit(_vec(n))), unit(_vec(eye))


def _cut(
    models: PartModels,
    scene: PairScene,
    role: str,
    places: Mapping[str, Place],
    plane: CuttingPlane,
    side: str,
    steeper: float,
) -> dict[str, PartModel]:
    """Return the parts of a role cut open, without those of which nothing is left."""
    spacing_mm = HATCH_SHARE * max(models.parts[k].mesh.reach_mm for k in scene.right)
    if scene.wrong_material:
        spacing_mm = HATCH_CLOSE * min(
            float(np.ptp(models.parts[k].mesh.box, axis=0).min()) for k in scene.right
        )
    found = {}
    for key, place in places.items():
        number = 1 + list(scene.around).index(key) if role == "around" else 0
        whole = _standing(models, scene, role, key, place, steeper)
        name = f"{side} {role}:{key}" if steeper == 1.0 else f"{side} {role}:{key} x{steeper:g}"
        cut = cut_model(whole, whole.place, plane, spacing_mm, number, name)
        if cut is not None:
            found[key] = cut
    return found


def _vec(v: Floats) -> Vec3:
    return (float(v[0]), float(v[1]), float(v[2]))


def clearest(stage: Stage, candidates: Sequence[PairView]) -> tuple[PairView, float]:
    """Return the way to look in which right and wrong differ most, and by how much (0 to 1)."""
    worths = [_difference(stage, c) - ORDER_COST * n for n, c in enumerate(candidates)]
    best = int(np.argmax(worths))
    return candidates[best], worths[best]


def _difference(stage: Stage, pair: PairView) -> float:
    """Return how much of what is seen of the parts differs: by outline, and half as much by relief."""
    changed, both = _shares(stage, pair, pair_camera(stage, pair))
    return changed / both * min(1.0, changed / LARGE_ENOUGH) if both else 0.0


def changed_share(stage: Stage, pair: PairView, camera: Camera) -> float:
    """Return which share of the picture differs in the parts."""
    return _shares(stage, pair, camera)[0]


def _shares(stage: Stage, pair: PairView, camera: Camera) -> tuple[float, float]:
    """Return which share of the picture differs in the parts, and which share the parts take up."""
    right, wrong = (seen_in(stage, pair, which, camera, MEASURE_WIDTH) for which in ("right", "wrong"))
    a, b = right.mask(pair.right.values()), wrong.mask(pair.wrong.values())
    span = max(camera.height_mm * RELIEF_SHARE, 1e-6)
    relief = (np.abs(right.near_mm - wrong.near_mm) > span) & a & b
    return float((a ^ b).mean() + 0.5 * relief.mean()), float((a | b).mean())


def seen_in(stage: Stage, pair: PairView, which: Which, camera: Camera, width: int) -> Ids:
    """Return what is seen where in one of the pictures, on a grid ``width`` wide."""
    keys = [*pair.context.values(), *pair.subject(which).values()]
    return stage.ids({k: stage.model(k).place for k in keys}, camera, width)


def pair_camera(stage: Stage, pair: PairView, margin: float = MARGIN) -> Camera:
    """Return the camera of both pictures, which holds the parts of both with air for their seat."""
    models = [stage.model(k) for k in (*pair.right.values(), *pair.wrong.values())]
    if pair.plane is None:
        points = [m.place.points(m.mesh.extreme_points) for m in models]
    else:
        points = [remaining_points(m, m.place) for m in models]
    return fit_camera(pair.view, np.concatenate(points), stage.width / stage.height, margin)


def close_up_of_section(stage: Stage, pair: PairView, camera: Camera) -> tuple[Camera, Disc | None]:
    """Return the camera moved aside, and a close-up of the parts' cut face on the upper side of the axis.

    Where nothing is cut, the camera is as it was and there is no close-up.
    """
    face = _upper_cut_face(stage, pair, camera)
    if not len(face):
        return camera, None
    room = replace(camera, height_mm=camera.height_mm * CLOSE_UP_FRAME)
    pan = camera.view.axes[0] * CLOSE_UP_PAN * room.width_mm
    room = replace(room, centre=_vec(np.array(camera.centre) + pan))
    at = room.project(face)[:, :2]
    low, high = at.min(axis=0), at.max(axis=0)
    half = float(np.hypot(*((high - low) / 2 * (1.0, 1.0 / room.aspect))))
    radius = float(np.clip(1.5 * half, DISC_RADIUS / MAGNIFIED[1], DISC_RADIUS / MAGNIFIED[0]))
    middle = (low + high) / 2
    centre = (1 - DISC_RADIUS - DISC_MARGIN, 0.5)
    return room, Disc(centre, DISC_RADIUS, (float(middle[0]), float(middle[1])), radius)


def cut_face_camera(stage: Stage, pair: PairView) -> Camera:
    """Return the camera of the parts' cut face on the upper side of the axis alone, with air for its groove."""
    face = _upper_cut_face(stage, pair, pair_camera(stage, pair))
    return fit_camera(pair.view, face, stage.width / stage.height, MARGIN)


def _upper_cut_face(stage: Stage, pair: PairView, camera: Camera) -> Floats:
    """Return points (n, 3) mm of the parts' cut faces above the axis, as the picture shows it."""
    if pair.plane is None:
        return np.empty((0, 3))
    models = [stage.model(k) for k in (*pair.right.values(), *pair.wrong.values())]
    points = np.concatenate([cut_face(m, m.place, pair.plane).reshape(-1, 3) for m in models])
    above: Floats = points[(points - np.array(pair.plane.point)) @ camera.view.axes[1] > 0]
    return above


def beside(camera: Camera) -> Camera:
    """Return the camera moved aside, so that there is room for a small picture on the right."""
    pan = camera.view.axes[0] * BESIDE_PAN * camera.width_mm
    return replace(camera, centre=_vec(np.array(camera.centre) + pan))
