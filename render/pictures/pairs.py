"""Right beside wrong: two pictures of one fit, same view, same scale, the part in the strong colour.

The view is chosen by measurement: among natural views, and views into a cut through the part's axis, the one in
which right and wrong differ most to the eye. A cut is taken only where the difference is not plain without.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from PIL import Image, ImageFilter

from ...geometry.assembly import Assembly, Part
from ...geometry.frame import Floats, Place, Vec3, unit
from ...geometry.meshes.tessellation import Mesh, MeshError, mesh_of
from ..composition.views import StepScene
from ..drawing.arrows import OverlayCanvas
from ..drawing.compose import encode
from ..drawing.insets import Disc, disc_camera, lay_disc
from ..drawing.manifest import Inset, Manifest, State
from ..drawing.measure import measure_visible, parts_seen
from ..drawing.settings import PictureSettings
from ..engine.camera import Camera, View, fit_camera, sensible_views
from ..engine.grid import Ids
from ..engine.material_styles import INK, PAPER, STRONG, colour_bytes
from ..engine.part_models import MESH_ANGLE_DEG, PartModel, PartModels, make_part_models
from ..engine.section_views import Cut, bearing_lines, cut_mesh, hatch_of
from ..engine.stage import Shown, Stage
from .frames import Frame, take_frame
from .picture_cache import PictureCache, digest
from .studio import Picture, camera_seen

SIZE = (1040, 780)
PLAIN = 0.5
"""A difference above this is plain enough to do without a cut."""
MARGIN = 0.24
"""Share of the picture left round the part on every side, so that its seat is seen."""
CLOSE_UP_BELOW = 0.035
"""A cut in which less than this share of the picture differs gets a close-up of the cut face."""
BEARS_MM = 0.06
"""Faces nearer than this in a cut are taken to bear on each other."""
DISC_RADIUS = 0.21
MAGNIFIED = (2.0, 7.0)
_MEASURE_WIDTH = 240
_LARGE_ENOUGH = 0.03
"""Share of the picture above which a larger difference is no plainer."""
_GHOST_PX = 5
_SECOND = " (second)"


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


@dataclass(frozen=True)
class Pair:
    """The two pictures, and whether they show a cut."""

    right: Picture
    wrong: Picture
    cut: bool


@dataclass(frozen=True)
class _Candidate:
    """One way to look: the view, and the models in it (part to model key) for both pictures."""

    view: View
    right: Mapping[str, str]
    wrong: Mapping[str, str]
    context: Mapping[str, str]
    cut: Cut | None = None


def render_pairs(
    assembly: Assembly,
    scenes: Iterable[PairScene],
    settings: PictureSettings | None = None,
    cache: PictureCache | None = None,
    models: PartModels | None = None,
) -> Iterator[Pair]:
    """Yield the pair of pictures of each scene; files are called ``name-right`` and ``name-wrong``.

    Args:
        assembly: the parts with their solids.
        scenes: what to show.
        settings: of the pictures; width and height are those of step pictures, pairs are smaller.
        cache: of pictures taken before.
        models: of the assembly, where they are made already.

    Raises:
        NoGraphics: if this machine cannot draw.
        MeshError: if a solid does not give a closed mesh.
    """
    base = settings or PictureSettings()
    share = base.width / PictureSettings().width
    small = replace(base, width=round(SIZE[0] * share), height=round(SIZE[1] * share))
    known = models or make_part_models(assembly, base.detail)
    for scene in scenes:
        key = digest("pair", known.digest, small, _told(scene))
        if cache is not None:
            entries = [cache.get(f"{key}{which}") for which in "rw"]
            if entries[0] is not None and entries[1] is not None:
                right, wrong = (Picture.from_entry(e) for e in entries if e is not None)
                yield Pair(right, wrong, "cut" in right.manifest.camera.view)
                continue
        pair = _take(assembly, known, scene, small)
        if cache is not None:
            cache.put(f"{key}r", pair.right.as_entry())
            cache.put(f"{key}w", pair.wrong.as_entry())
        yield pair


def _told(scene: PairScene) -> tuple[object, ...]:
    return (*vars(scene).values(), tuple(scene.right.items()), tuple(scene.wrong.items()))


def _take(assembly: Assembly, known: PartModels, scene: PairScene, settings: PictureSettings) -> Pair:
    maker = _Maker(assembly, known, scene)
    candidates = maker.uncut()
    with Stage(maker.models(), settings.width, settings.height, settings.supersample) as stage:
        best, worth = _plainest(stage, candidates)
    if worth < PLAIN:
        cuts = maker.cuts()
        with Stage(maker.models(), settings.width, settings.height, settings.supersample) as stage:
            other, other_worth = _plainest(stage, cuts) if cuts else (best, -1.0)
            best = other if other_worth > worth else best
            return _draw(stage, scene, best, settings)
    with Stage(maker.models(), settings.width, settings.height, settings.supersample) as stage:
        return _draw(stage, scene, best, settings)


class _Maker:
    """Makes the models of the ways to look at one scene."""

    def __init__(self, assembly: Assembly, known: PartModels, scene: PairScene) -> None:
        self.assembly, self.known, self.scene = assembly, known, scene
        self.tolerance_mm = next(iter(known)).mesh.tolerance_mm
        self._models: dict[str, PartModel] = {}

    def models(self) -> PartModels:
        """Return all models made so far, as one set."""
        return replace(self.known, parts=dict(self._models))

    def _add(self, name: str, part: Part, mesh: Mesh, place: Place) -> str:
        self._models.setdefault(
            name, PartModel(name, part.kind, part.name, part.material, mesh, place, part.side, part.thread)
        )
        return name

    def uncut(self) -> list[_Candidate]:
        """Return natural views of the whole parts."""
        scene, parts = self.scene, self.assembly.parts

        def made(which: str, places: Mapping[str, Place]) -> dict[str, str]:
            meshes = {k: mesh_of(parts[k], self.tolerance_mm, MESH_ANGLE_DEG) for k in places}
            return {k: self._add(f"{which}:{k}", parts[k], meshes[k], p) for k, p in places.items()}

        right, wrong = made("right", scene.right), made("wrong", scene.wrong)
        context = made("around", scene.around)
        views = sensible_views(self.assembly.front, self.assembly.up)
        return [_Candidate(v, right, wrong, context) for v in views]

    def cuts(self) -> list[_Candidate]:
        """Return views into cuts through the parts' axis, from either side."""
        scene, parts = self.scene, self.assembly.parts
        lead = parts[next(iter(scene.right))]
        place = scene.right[lead.key]
        axis = np.array(place.direction((0.0, 0.0, 1.0)))
        front, up = np.array(unit(self.assembly.front)), np.array(unit(self.assembly.up))
        across = np.cross(up, front) if abs(float(axis @ front)) > 0.5 else front
        found = []
        for side, sign in (("right", 1.0), ("left", -1.0)):
            n = sign * across - axis * float(axis @ (sign * across))
            n /= np.linalg.norm(n)
            cut = Cut(place.shift, _vec(n))
            eye = n + 0.22 * front + 0.18 * up if abs(float(n @ front)) < 0.5 else n + 0.2 * up
            made = self._cut(cut, side)
            if made:
                view = View(f"into a cut from the {side}", unit(_vec(eye)), self.assembly.up)
                found.append(_Candidate(view, *made, cut))
        return found

    def _cut(self, cut: Cut, side: str) -> tuple[dict[str, str], dict[str, str], dict[str, str]] | None:
        """Cut everything; None where the kernel cannot cut the part itself."""
        scene, parts = self.scene, self.assembly.parts
        reach = max(self.known.parts[k].mesh.reach_mm for k in scene.right)
        numbers = {k: n for n, k in enumerate(scene.around, 1)}
        found: list[dict[str, str]] = []
        for which, places in (("right", scene.right), ("wrong", scene.wrong), ("around", scene.around)):
            made = {}
            for k, place in places.items():
                number = numbers[k] if which == "around" else 0
                hatch = hatch_of(parts[k].material, number, 0.035 * reach)
                try:
                    mesh = cut_mesh(parts[k].solid, place, cut, hatch, self.tolerance_mm)
                except MeshError:
                    if which != "around":
                        return None
                    continue
                if mesh is not None:
                    made[k] = self._add(f"{side} {which}:{k}", parts[k], mesh, Place())
            found.append(made)
        right, wrong, context = found
        return (right, wrong, context) if right else None


def _vec(v: Floats) -> Vec3:
    return (float(v[0]), float(v[1]), float(v[2]))


def _plainest(stage: Stage, candidates: Sequence[_Candidate]) -> tuple[_Candidate, float]:
    """Return the way to look in which right and wrong differ most, and by how much (0 to 1)."""
    worths = [_difference(stage, c) - 0.01 * n for n, c in enumerate(candidates)]
    best = int(np.argmax(worths))
    return candidates[best], worths[best]


def _difference(stage: Stage, c: _Candidate) -> float:
    """Return how much of what is seen of the parts differs: by outline, and half as much by relief."""
    changed, both = _changed(stage, c, _camera(stage, c))
    return changed / both * min(1.0, changed / _LARGE_ENOUGH) if both else 0.0


def _changed(stage: Stage, c: _Candidate, camera: Camera) -> tuple[float, float]:
    """Return which share of the picture differs in the parts, and which share the parts take up."""
    right, wrong = (_ids(stage, c, which, camera) for which in ("right", "wrong"))
    a, b = right.mask(c.right.values()), wrong.mask(c.wrong.values())
    span = max(camera.height_mm * 0.01, 1e-6)
    relief = (np.abs(right.near_mm - wrong.near_mm) > span) & a & b
    return float((a ^ b).mean() + 0.5 * relief.mean()), float((a | b).mean())


def _ids(stage: Stage, c: _Candidate, which: str, camera: Camera) -> Ids:
    keys = [*c.context.values(), *_subject(c, which)]
    return stage.ids({k: stage.models.parts[k].place for k in keys}, camera, _MEASURE_WIDTH)


def _subject(c: _Candidate, which: str) -> list[str]:
    return list((c.right if which == "right" else c.wrong).values())


def _camera(stage: Stage, c: _Candidate) -> Camera:
    keys = [*c.right.values(), *c.wrong.values()]
    models = stage.models.parts
    points = np.concatenate([models[k].place.points(models[k].mesh.extreme_points) for k in keys])
    return fit_camera(c.view, points, stage.width / stage.height, MARGIN)


def _draw(stage: Stage, scene: PairScene, c: _Candidate, settings: PictureSettings) -> Pair:
    camera = _camera(stage, c)
    disc = None
    if c.cut is not None and _changed(stage, c, camera)[0] < CLOSE_UP_BELOW:
        camera, disc = _with_room(stage, c, camera)
    pictures = [_draw_one(stage, scene, c, which, camera, disc, settings) for which in ("right", "wrong")]
    return Pair(pictures[0], pictures[1], c.cut is not None)


def _draw_one(
    stage: Stage,
    scene: PairScene,
    c: _Candidate,
    which: str,
    camera: Camera,
    disc: Disc | None,
    settings: PictureSettings,
) -> Picture:
    models = stage.models.parts
    subject = dict(c.right if which == "right" else c.wrong)
    named = dict(c.context)
    if which == "wrong" and scene.second:
        named.update(c.right)
        subject = {f"{k}{_SECOND}": m for k, m in subject.items()}
    strong = {*subject.values(), *(c.right.values() if scene.second else ())}
    named.update(subject)
    places = {m: models[m].place for m in named.values()}
    shown = {m: Shown(p, "moving" if m in strong else "context") for m, p in places.items()}
    whole = StepScene(places, (tuple(subject.values()),) if subject else (), ())
    ghosts = [] if subject else list(c.right.values())

    def take(view: Camera, size: tuple[int, int] | None = None) -> Frame:
        frame = take_frame(stage, whole, shown, view, settings, size)
        if ghosts:
            _lay_ghost(frame.image, stage, ghosts, view)
        return frame

    frame = take(camera)
    states: dict[str, State] = {m: "moving" if m in strong else "context" for m in places}
    visible = measure_visible(stage, frame.ids, places, whole.wanted, camera)
    seen = parts_seen(frame.ids, states, visible, {})
    insets: tuple[Inset, ...] = ()
    if disc is not None:
        near = disc_camera(camera, disc)
        side = 2 * round(disc.radius * frame.image.width)
        close = take(near, (side, side))
        _mark_bearing(close.image, stage, c, list(subject.values()), near, settings)
        lay_disc(frame.image, close.image, disc)
        there = parts_seen(
            close.ids, states, measure_visible(stage, close.ids, places, whole.wanted, near), {}
        )
        found = {k: there[m] for k, m in named.items() if there[m].visible_px}
        insets = (
            Inset(
                disc.centre,
                disc.radius,
                disc.of_centre,
                disc.of_radius,
                disc.magnification,
                tuple(subject),
                float(close.ids.mask(subject.values()).mean() * 4.0 / np.pi),
                min((p.visible or 0.0 for k, p in found.items() if k in subject), default=0.0),
                found,
            ),
        )
    manifest = Manifest(
        kind="pair",
        step=scene.step,
        number=scene.number,
        files={f: f"{scene.name}-{which}.{f}" for f in settings.formats},
        width=settings.width,
        height=settings.height,
        camera=camera_seen(camera),
        view_changed=False,
        parts={k: seen[m] for k, m in named.items()},
        insets=insets,
    )
    return Picture(manifest, {f: encode(frame.image, f, settings.webp_quality) for f in settings.formats})


def _mark_bearing(
    image: Image.Image,
    stage: Stage,
    c: _Candidate,
    subject: Sequence[str],
    camera: Camera,
    settings: PictureSettings,
) -> None:
    """Draw a thick line where the cut part bears on its neighbours."""
    if c.cut is None:
        return
    models, pen = stage.models.parts, OverlayCanvas(image)
    width = 9.0 * settings.width / SIZE[0]
    around = [models[m].mesh for m in c.context.values()]
    for m in subject:
        for line in bearing_lines(models[m].mesh, around, c.cut, BEARS_MM):
            at = camera.project(line)[:, :2] * image.size
            points = [(float(x), float(y)) for x, y in at]
            pen.line(points, width + 5.0, PAPER)
            pen.line(points, width, INK)


def _with_room(stage: Stage, c: _Candidate, camera: Camera) -> tuple[Camera, Disc | None]:
    """Return the camera pushed aside, and a close-up of the part's cut face on the upper side of its axis."""
    cut = c.cut
    assert cut is not None
    models, normal = stage.models.parts, np.array(unit(cut.normal))
    up = camera.view.axes[1]
    faces = []
    for m in [*c.right.values(), *c.wrong.values()]:
        points = models[m].mesh.points - np.array(cut.origin)
        faces.append(points[(np.abs(points @ normal) < 1e-3) & (points @ up > 0)])
    face = np.concatenate(faces) + np.array(cut.origin)
    if not len(face):
        return camera, None
    room = replace(camera, height_mm=camera.height_mm * 1.12)
    push = camera.view.axes[0] * 0.24 * room.width_mm
    centre = _vec(np.array(camera.centre) + push)
    room = replace(room, centre=centre)
    at = room.project(face)[:, :2]
    low, high = at.min(axis=0), at.max(axis=0)
    half = float(np.hypot(*((high - low) / 2 * (1.0, 1.0 / room.aspect))))
    radius = float(np.clip(1.5 * half, DISC_RADIUS / MAGNIFIED[1], DISC_RADIUS / MAGNIFIED[0]))
    middle = (low + high) / 2
    disc = Disc((1 - DISC_RADIUS - 0.015, 0.5), DISC_RADIUS, (float(middle[0]), float(middle[1])), radius)
    return room, disc


def _lay_ghost(image: Image.Image, stage: Stage, keys: Sequence[str], camera: Camera) -> None:
    """Draw the outline of what is missing where it should be, through what hides it."""
    shown = {k: Shown(stage.models.parts[k].place, "ghost") for k in keys}
    drawn = stage.draw(shown, camera, image.size, stage.width)
    lines = Image.fromarray(drawn).convert("L").filter(ImageFilter.MinFilter(_GHOST_PX))
    opacity = lines.reduce(stage.supersample).point(lambda v: round((255 - v) * 0.9))
    image.paste(colour_bytes(STRONG), (0, 0), opacity)
