"""A stranger's assembly as a draft to go on with: parts with kinds and guesses, a first order, files to write.

make_draft(found) -> AssemblyDraft
draft_files(draft) -> {path: content}
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from ...geometry.assembly import Assembly, Part
from ...geometry.exchange.assemblies.read_assembly import StrangerAssembly
from ...geometry.frame import Y, Z
from ...geometry.meshes.closed_bodies import OverlapError
from ...geometry.meshes.overlaps import offset, overlap
from ...geometry.meshes.tessellation import MeshError
from ...geometry.solid import MeshSolid
from .first_order import SECONDS, FirstOrder, find_first_order, front_of
from .free_ways import FreeWays
from .guesses import Guess, guess_of
from .part_names import kinds_and_keys
from .soft_rings import SoftRing, soft_rings, with_soft

MOST_PRESSED_MM = 2.5
"""Two parts that overlap deeper than this do not press or thread: one of them is drawn wrong."""
CLEAR_MM = 0.012
"""How much further than it overlaps a pressed shape is drawn in: twice a mesh's tolerance."""
ROUNDS = 4


@dataclass(frozen=True)
class Pressed:
    """A part that overlaps others in place: how deep, and its shape drawn in until it does no more."""

    squeeze_mm: float
    core: MeshSolid


@dataclass(frozen=True)
class AssemblyDraft:
    """What is known of a stranger's assembly, ready to be written."""

    name: str
    assembly: Assembly
    guesses: Mapping[str, Guess]
    """By kind."""
    colours: Mapping[str, str]
    """By part."""
    pressed: Mapping[str, Pressed]
    """By kind: guessed thread or press fit that is drawn into what holds it."""
    rings: Mapping[str, SoftRing]
    """By kind: guessed O-rings that give way."""
    order: FirstOrder
    remarks: tuple[str, ...]


def make_draft(found: StrangerAssembly, seconds: float = SECONDS) -> AssemblyDraft:
    """Return the draft of an assembly that was read: equal parts grouped, threads and rings guessed, an order found.

    Raises:
        MeshError, OverlapError: if no part at all can be meshed.
    """
    kinds, keys, names = kinds_and_keys(found.parts)
    guesses = {
        k: guess_of(names[k], found.solids[p.solid].facts) for k, p in zip(kinds, found.parts, strict=True)
    }
    remarks = list(found.remarks)
    parts = {}
    for key, kind, p in zip(keys, kinds, found.parts, strict=True):
        solid = found.solids[p.solid].solid
        thread = guesses[kind] in ("thread", "nut")
        parts[key] = Part(key, kind, names[kind], p.material, solid, p.place, thread=thread)
    parts = _meshed(parts, remarks)
    colours = {k: p.colour for k, p in zip(keys, found.parts, strict=True) if p.colour and k in parts}
    assembly = Assembly(found.name, parts)
    ways = FreeWays(assembly)
    shapes = {
        k: facts for k, p in zip(kinds, found.parts, strict=True) if (facts := found.solids[p.solid].facts)
    }
    shapes = {k: f for k, f in shapes.items() if guesses[k] == "o-ring" and f.tori}
    rings = soft_rings(ways, {k: f for k, f in shapes.items() if assembly.of_kind(k)})
    if rings:
        assembly = with_soft(assembly, rings)
        ways = FreeWays(assembly)
    order = find_first_order(assembly, ways, seconds)
    front = front_of(order)
    up = Y if abs(front[2]) > 0.5 else Z
    pressed = _pressed(ways, guesses, remarks)
    for removal in order.removals:
        if len(removal.base) > 1:
            text = f"{', '.join(removal.base)}: no way apart was found; they stay together in {removal.unit}"
            remarks.append(text)
    for key in order.stuck:
        remarks.append(
            f"{key}: no way out was found, straight, with bends or with turns; it stays in place in the first order"
        )
    for key in order.loose:
        remarks.append(f"{key}: touches nothing that leads to {order.base[0]}")
    if order.out_of_time:
        remarks.append(f"the search for an order ended after {seconds:g} s")
    return AssemblyDraft(
        found.name,
        replace(assembly, up=up, front=front),
        guesses,
        colours,
        pressed,
        rings,
        order,
        tuple(remarks),
    )


def _meshed(parts: Mapping[str, Part], remarks: list[str]) -> dict[str, Part]:
    """Return the parts that can be meshed; of the others a remark is made.

    Raises:
        MeshError: if none can.
    """
    ways = FreeWays(Assembly("", parts))
    wrong: dict[int, str] = {}
    kept = {}
    for key, part in parts.items():
        if id(part.solid) not in wrong:
            try:
                ways.bodies.placed(key)
            except (MeshError, OverlapError) as error:
                wrong[id(part.solid)] = str(error)
                remarks.append(f"'{part.name}' cannot be meshed and is left out: {error}")
            else:
                kept[key] = part
    if not kept:
        raise MeshError(next(iter(wrong.values()), "no parts"))
    return kept


def _pressed(ways: FreeWays, guesses: Mapping[str, Guess], remarks: list[str]) -> dict[str, Pressed]:
    """Return for each kind that overlaps what holds it its shape drawn in until it overlaps no more."""
    parts = ways.assembly.parts
    deep: dict[str, list[tuple[str, str, float]]] = {}
    for pair, shared in ways.overlaps.items():
        a, b = sorted(
            pair, key=lambda k: (guesses.get(parts[k].kind, "") in ("", "bearing"), parts[k].volume_mm3, k)
        )
        if shared.depth_mm > MOST_PRESSED_MM:
            text = f"{a} and {b} overlap by {shared.volume_mm3:.3g} mm³, {shared.depth_mm:.2g} mm deep: one is wrong"
            remarks.append(text)
        else:
            deep.setdefault(parts[a].kind, []).append((a, b, shared.depth_mm))
    found = {}
    for kind, pairs in deep.items():
        core = _core(ways, pairs)
        if core is None:
            a, b, depth = pairs[0]
            remarks.append(
                f"{a} and {b} overlap, {depth:.2g} mm deep; no shape was found that fits: redraw one"
            )
        else:
            found[kind] = core
            if guesses.get(kind, "") not in ("thread", "nut"):
                depth = max(mm for _, _, mm in pairs)
                remarks.append(
                    f"{kind}: drawn about {depth:.2g} mm into its neighbours; taken for a press fit. If it is none, "
                    "correct the drawing and begin again"
                )
    return found


def _core(ways: FreeWays, pairs: list[tuple[str, str, float]]) -> Pressed | None:
    body = ways.bodies.own(pairs[0][0])
    by = max(depth for _, _, depth in pairs) + CLEAR_MM
    for _ in range(ROUNDS):
        core = offset(body.manifold, -by)
        if core.is_empty() or float(core.volume()) <= 0:
            return None
        placed = {a: core.transform(ways.assembly.part(a).place.matrix()[:3]) for a, _, _ in pairs}
        if all(overlap(placed[a], ways.bodies.placed(b), ways.tolerance_mm) is None for a, b, _ in pairs):
            return Pressed(round(by, 3), _mesh_of(core))
        by *= 1.5
    return None


def _mesh_of(core: object) -> MeshSolid:
    mesh = core.to_mesh64()  # type: ignore[attr-defined]
    points = np.array(mesh.vert_properties, float)[:, :3]
    return MeshSolid(points, np.array(mesh.tri_verts, np.int32))
