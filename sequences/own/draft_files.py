"""The files of a draft: the assembly with every part named, its first sequence, and a solid file a kind of part.

All guesses are marked as such, and each step waits for the trainer's words: its reason, and cautions that fit.
"""

from __future__ import annotations

import io
import json
import math
import tempfile
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np

from ...geometry.frame import Place
from ...geometry.solid import MeshSolid, Solid
from .draft import AssemblyDraft
from .first_order import Removal
from .written_ways import axis_word, written_acts, written_travel

PARTS = "parts"
ASSEMBLY, SEQUENCE = "assembly.yaml", "fit.yaml"
_GUESSED = {
    "thread": "a thread",
    "nut": "a thread",
    "o-ring": "an O-ring",
    "seal": "a seal",
    "spring": "a spring",
}
STEPS = 5
"""So many steps make a stretch of the sequence."""
SOFT = ("o-ring", "seal", "spring")


def draft_files(draft: AssemblyDraft) -> dict[str, bytes]:
    """Return the content of every file, by its path in the folder."""
    files: dict[str, bytes] = {}
    done: dict[str, str] = {}
    solids: dict[int, str] = {}
    for part in draft.assembly:
        if part.kind in done:
            continue
        if id(part.solid) not in solids:
            ending = "3mf" if isinstance(part.solid, MeshSolid) else "step"
            solids[id(part.solid)] = f"{PARTS}/{part.kind}.{ending}"
            files[solids[id(part.solid)]] = _solid_file(part.solid, part.kind)
        done[part.kind] = solids[id(part.solid)]
        if (ring := draft.rings.get(part.kind)) is not None:
            files[f"{PARTS}/{part.kind}_pressed.step"] = _solid_file(ring.core, part.kind)
            files[f"{PARTS}/{part.kind}_on_its_way.step"] = _solid_file(ring.passing, part.kind)
        if part.kind in draft.pressed:
            files[f"{PARTS}/{part.kind}_pressed.3mf"] = _mesh_file(draft.pressed[part.kind].core)
    files[ASSEMBLY] = "".join(_assembly(draft, done)).encode()
    files[SEQUENCE] = "".join(_sequence(draft)).encode()
    return files


def _assembly(draft: AssemblyDraft, files: dict[str, str]) -> Iterator[str]:
    yield "# A draft, made from the solids. Rename the parts (name), say what they are made of (material, where the\n"
    yield "# file did not), and take away or confirm what is marked as a guess.\n"
    yield "# What a key means: benchleaf explain KEY.\n"
    yield f"assembly: {_text(draft.name)}\n"
    yield f'up: "{axis_word(draft.assembly.up)}"\nfront: "{axis_word(draft.assembly.front)}"\n'
    if draft.remarks:
        yield "# What the reader noticed:\n"
        for remark in draft.remarks:
            yield f"#   {_line(remark)}\n"
    yield "parts:\n"
    for part in draft.assembly:
        yield f"  - part: {part.key}\n"
        if part.kind != part.key:
            yield f"    kind: {part.kind}\n"
        yield f"    name: {_text(part.name)}\n"
        if part.material:
            yield f"    material: {_text(_line(part.material))}\n"
        yield f"    file: {files[part.kind]}\n"
        yield from _place(part.place)
        if colour := draft.colours.get(part.key):
            yield f'    colour: "{colour}"\n'
        guess = draft.guesses.get(part.kind, "")
        if part.thread:
            yield "    thread: true  # a guess, by its name\n"
        elif guess in SOFT:
            yield f"    # a guess: {_GUESSED[guess]}\n"
        if ring := draft.rings.get(part.kind):
            yield "    # a guess: pressed as deep as it is drawn into its neighbours, stretched on its way\n"
            stem = f"{PARTS}/{part.kind}"
            said = f"pressed: {stem}_pressed.step, on_its_way: {stem}_on_its_way.step"
            yield f"    elastic: {{{said}, squeeze_mm: {ring.squeeze_mm:g}}}\n"
        if pressed := draft.pressed.get(part.kind):
            yield "    # a guess: it is drawn into what holds it; pressed is the same drawn in until it is clear\n"
            core = f"{PARTS}/{part.kind}_pressed.3mf"
            yield f"    elastic: {{pressed: {core}, on_its_way: {core}, squeeze_mm: {pressed.squeeze_mm:g}}}\n"
    yield f"sequences: [{SEQUENCE}]\n"


def _place(place: Place) -> Iterator[str]:
    """Yield a place as turns about x, y and z, one after the other, and a shift."""
    r = np.array(place.rotation)
    y = math.degrees(math.asin(max(-1.0, min(1.0, -float(r[2, 0])))))
    if abs(r[2, 0]) < 1 - 1e-12:
        x = math.degrees(math.atan2(r[2, 1], r[2, 2]))
        z = math.degrees(math.atan2(r[1, 0], r[0, 0]))
    else:
        x, z = math.degrees(math.atan2(-r[1, 2], r[1, 1])), 0.0
    turns = [(n, round(a, 10) + 0.0) for n, a in (("x", x), ("y", y), ("z", z)) if abs(a) > 1e-9]
    if turns:
        said = ", ".join(f"{{about: {n}, deg: {a!r}}}" for n, a in turns)
        yield f"    turn: [{said}]\n"
    shift = [round(c, 9) + 0.0 for c in place.shift]
    if any(shift):
        yield f"    shift_mm: [{', '.join(map(repr, shift))}]\n"


def _sequence(draft: AssemblyDraft) -> Iterator[str]:
    yield "# A first sequence, found by the solids: what is free comes off, layer by layer, and this is the way back.\n"
    yield "# It can be done. Whether it is how the work is done, only people know: rename the steps, reorder them,\n"
    yield "# say why, and give each its own cautions. benchleaf check tells every mistake.\n"
    yield "sequence: assembly\ntitle: Assembly\n"
    yield f"given: [{', '.join(draft.order.base)}]\n"
    units = [r for r in _flat(draft.order.removals) if r.unit]
    if units:
        yield "units:\n"
        for r in units:
            yield f"  {r.unit}: {{title: {_text(_called(draft, r))}, base: [{', '.join(r.base)}]}}\n"
    stretches = _stretches(draft)
    yield "cautions: [lock_out, stored_energy, mixed_up_parts]\n"
    yield "sections:\n"
    for n in range(1, len(stretches) + 1):
        yield f"  - {{id: stage_{n}, title: {_text(f'Stage {n} of {len(stretches)}')}}}\n"
    yield "steps:\n"
    used: set[str] = set()
    for n, stretch in enumerate(stretches, start=1):
        for removal in stretch:
            yield from _steps(draft, removal, f"stage_{n}", "", used)
    if not draft.order.removals:
        yield "  - {id: look, section: stage_1, title: Look at it, focus: all, cautions: mixed_up_parts}\n"


def _stretches(draft: AssemblyDraft) -> list[list[Removal]]:
    """Return what is fitted, first to last, a few steps a stretch; equal parts one behind the other are one step."""
    steps: list[Removal] = []
    for removal in reversed(draft.order.removals):
        last = steps[-1] if steps else None
        if last and _in_line(draft, last, removal):
            steps[-1] = replace(last, parts=(*last.parts, *removal.parts))
        else:
            steps.append(removal)
    found: list[list[Removal]] = [[]]
    for removal in steps:
        if sum(1 + len(r.inside) for r in found[-1]) >= STEPS:
            found.append([])
        found[-1].append(removal)
    return found


def _in_line(draft: AssemblyDraft, first: Removal, then: Removal) -> bool:
    kinds = {draft.assembly.part(k).kind for k in (*first.parts, *then.parts)}
    same = first.direction == then.direction and _travel(draft, first) == _travel(draft, then)
    return len(kinds) == 1 and not first.unit and not then.unit and same


def _flat(removals: tuple[Removal, ...]) -> Iterator[Removal]:
    for r in removals:
        yield r
        yield from _flat(r.inside)


def _steps(draft: AssemblyDraft, removal: Removal, section: str, bench: str, used: set[str]) -> Iterator[str]:
    if removal.unit:
        for inner in reversed(removal.inside):
            yield from _steps(draft, inner, section, removal.unit, used)
    kinds = {draft.assembly.part(k).kind for k in removal.parts}
    kind = next(iter(kinds))
    if removal.unit:
        what, word, title = removal.unit, removal.unit, f"Fit: {_called(draft, removal)}"
    else:
        whole = removal.parts == tuple(p.key for p in draft.assembly.of_kind(kind))
        what = kind if whole else f"[{', '.join(removal.parts)}]"
        word = kind if whole else removal.parts[0]
        count = f" ({len(removal.parts)})" if len(removal.parts) > 1 else ""
        title = f"Fit: {draft.assembly.part(removal.parts[0]).name}{count}"
    step, n = f"fit_{word}", 2
    while step in used:
        step, n = f"fit_{word}_{n}", n + 1
    used.add(step)
    yield f"  - id: {step}\n    section: {section}\n    title: {_text(title)}\n"
    if bench:
        yield f"    bench: {bench}\n"
    yield f"    fit: {what}\n"
    yield f"    travel: {_travel(draft, removal)}\n"
    if acts := list(written_acts(removal.way, draft.assembly.front)):
        yield "    acts:\n"
        yield from (f"      - {_text(act)}\n" for act in acts)
    yield f"    cautions: [{', '.join(_cautions(draft, removal))}]\n"


def _travel(draft: AssemblyDraft, removal: Removal) -> str:
    """Return how parts come in, as the sequence tells it: one direction, stretches, or to be found."""
    d = removal.direction
    if d is not None:
        way = axis_word((-d[0] + 0.0, -d[1] + 0.0, -d[2] + 0.0))
        return f'"{way}"' if way else "find"
    return written_travel(removal.way, draft.assembly.part(removal.parts[0]).place) or "find"


def _cautions(draft: AssemblyDraft, removal: Removal) -> Iterator[str]:
    guesses = {draft.guesses.get(draft.assembly.part(k).kind, "") for k in removal.parts}
    yield "pinch_fitting"
    for guess, caution in (
        ("thread", "thread_protection"),
        ("nut", "thread_protection"),
        ("seal", "gasket_surface"),
        ("spring", "spring_load"),
        ("bearing", "bearing_damage"),
        ("o-ring", "oring_damage"),
    ):
        if guess in guesses:
            yield caution
            return


def _called(draft: AssemblyDraft, removal: Removal) -> str:
    """Return what a unit is called: by its largest part."""
    largest = max(removal.parts, key=lambda k: draft.assembly.part(k).volume_mm3)
    return f"{draft.assembly.part(largest).name}, with what it holds"


def _text(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)


def _line(text: str) -> str:
    return " ".join(text.split())[:400]


def _solid_file(solid: Solid, name: str) -> bytes:
    if isinstance(solid, MeshSolid):
        return _mesh_file(solid)
    from ...geometry.exchange.assemblies.step_parts import step_of_solid

    return step_of_solid(solid, name)


def _mesh_file(solid: MeshSolid) -> bytes:
    import trimesh

    mesh = trimesh.Trimesh(solid.points, solid.triangles, process=False)
    mesh.units = "millimeters"
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "part.3mf"
        out = io.BytesIO()
        mesh.export(out, file_type="3mf")
        path.write_bytes(out.getvalue())
        return path.read_bytes()
