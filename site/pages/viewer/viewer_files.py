"""Files of the viewer in a booklet: the script that is the viewer, and the head's model with its words as another.

Both are classic scripts, since a page that is opened from disk can load nothing else: the model calls itself
``benchleafModel``, a pair of what ``src`` reads as ``model`` and of the packed meshes as base64.
"""

from __future__ import annotations

import base64
import json
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from ....geometry.assembly import Assembly
from ....render.engine.material_styles import STRONG, PartStyle
from ....render.pictures.viewer.viewer_models import StepMotion, ViewerModel, shape_name
from ....sequences.steps.plan import Plan
from ...words.catalogue import Words
from ...words.languages.fallback import plain, starting
from ...words.part_names import PartNames
from ..markup.data_scripts import data_script
from ..markup.page_links import linked_for, named_for
from ..view_models import PartRow

FOLDER = "viewer"
MODEL_FILE = "model.js"
NAMES_FILE = "names.js"
"""What the model says in another language than the booklet's main one, laid over it by ``load-viewer.js``."""
BUILT = Path(__file__).parent.parent / "assets" / "viewer"
"""Where the viewer's script lies as it was made, with the licence of what is in it."""
SAID = (
    "title",
    "keys",
    "step",
    "close",
    "full",
    "small",
    "back",
    "next",
    "play",
    "pause",
    "time",
    "parts",
    "all",
    "reset",
    "cut",
    "way",
    "way_side",
    "way_above",
    "way_front",
    "depth",
    "other",
    "away",
    "only",
    "to_list",
    "to_term",
)
"""What the viewer says, under ``viewer.`` in the catalogue."""


@dataclass(frozen=True)
class ViewerNames:
    """What the viewer tells besides: names of parts with their lines of the parts list, titles of steps."""

    assembly: Assembly
    rows: Sequence[PartRow]
    plans: Sequence[Plan]
    terms: Collection[str] = ()
    """Terms of the glossary; those that are kinds of parts are linked to."""


def viewer_files(
    model: ViewerModel, meshes: bytes, names: ViewerNames, words: Words, suffix: str = ""
) -> dict[str, bytes]:
    """Return the viewer's files by their paths in a booklet's folder; of a language with a ``suffix`` its words
    alone."""
    if suffix:
        over = linked_for(_names_script(_told(model, names, words)), suffix)
        return {f"{FOLDER}/{named_for(NAMES_FILE, suffix)}": over.encode()}
    told = plain(json.dumps(_told(model, names, words), ensure_ascii=False, separators=(",", ":")))
    text = f'window.benchleafModel=[{told},"{base64.b64encode(meshes).decode("ascii")}"];\n'
    files = {f"{FOLDER}/{MODEL_FILE}": text.encode()}
    for file in sorted(BUILT.iterdir()):
        files[f"{FOLDER}/{file.name}"] = file.read_bytes()
    return files


def _names_script(told: dict[str, Any]) -> str:
    """Return a script with all that a language changes of a model, by its place there."""
    over = {
        "words": told["words"],
        "parts": [{k: p[k] for k in ("name", "list", "term") if k in p} for p in told["parts"]],
        "tools": [{"name": t["name"]} for t in told["tools"]],
        "steps": [{"title": s["title"]} for s in told["steps"]],
    }
    return data_script("benchleafNames", over)


def step_name(sequence: str, number: int) -> str:
    """Return what the viewer calls a step."""
    return f"{sequence}-{number}"


def _told(model: ViewerModel, names: ViewerNames, words: Words) -> dict[str, Any]:
    numbers = {p.key: n for n, p in enumerate(model.parts)}
    tools = {t.key: n for n, t in enumerate(model.tools)}
    row_of = {key: row for row in names.rows for key in row.keys}
    called = PartNames(words, names.assembly.parts)
    parts = []
    for part in model.parts:
        row = row_of[part.key]
        told = {
            "id": part.key,
            "mesh": part.mesh,
            "material": part.material,
            "pose": part.pose,
            "hatch": part.hatch_deg,
            "gap": part.hatch_spacing,
            "name": starting(called.bare(part.key)),
            "item": row.item,
            "list": f"index.html#item-{row.item}",
        }
        if part.kind in names.terms:
            told["term"] = f"glossary.html#term-{part.kind}"
        parts.append(told)
    titles = {(p.sequence, s.number): s.title for p in names.plans for s in p.steps}
    steps = [_step(model, s, numbers, tools, titles[s.sequence, s.number]) for s in model.steps]
    return {
        "extent": round(model.extent_mm, 3),
        "cell": round(model.cell_mm, 5),
        "up": model.up,
        "front": model.front,
        "lights": model.lights,
        "strong": [round(c, 4) for c in STRONG],
        "tints": {treatment: [*ground, *ink] for treatment, (ground, ink) in model.tints.items()},
        "looks": {
            role: {m: _look(style) for m, style in looks.items()} for role, looks in model.styles.items()
        },
        "meshes": [
            {
                "points": m.points,
                "triangles": m.triangles,
                "edges": m.edges,
                "low": m.low_mm,
                "step": m.step_mm,
            }
            for m in model.meshes
        ],
        "parts": parts,
        "tools": [{"mesh": t.mesh, "name": starting(words(f"tool_name.{t.tool}"))} for t in model.tools],
        "groups": [
            {"parts": [numbers[k] for k in g.parts], "about": g.about, "axis": g.axis, "ratio": g.ratio}
            for g in model.groups
        ],
        "steps": steps,
        "words": {name: words.texts[f"viewer.{name}"] for name in SAID},
    }


def _step(
    model: ViewerModel,
    step: StepMotion,
    numbers: Mapping[str, int],
    tools: Mapping[str, int],
    title: str,
) -> dict[str, Any]:
    return {
        "id": step_name(step.sequence, step.number),
        "sequence": step.sequence,
        "number": step.number,
        "title": title,
        "direction": step.direction,
        "up": step.up,
        "parts": [numbers[k] for k in step.parts],
        "poses": [[numbers[k], pose] for k, pose in step.poses.items()],
        **{name: [numbers[k] for k in getattr(step, name)] for name in ("moving", "focus", "quiet")},
        "acts": [
            [{"part": numbers[t.part], "shares": t.shares, "poses": t.poses} for t in act]
            for act in step.acts
        ],
        "into": step.into,
        "tools": [
            {
                "tool": tools[t.key],
                "part": numbers.get(t.part, -1),
                "pose": t.pose,
                "swing": t.swing_deg,
                "push": t.push_mm,
            }
            for t in step.tools
        ],
        "turn": step.turn_deg,
        "zones": [
            {
                "part": numbers[z.part],
                "treatment": z.treatment,
                "unrolled": z.unrolled,
                "axes": z.axes,
                "origin": z.origin,
                "bounds": [*z.radius_mm, *z.along_mm],
                "half": z.half_deg,
                "drawn": z.drawn_mm,
                "round": z.round_mm,
                "narrow": z.narrow_mm,
                "faced": z.faced,
            }
            for z in step.zones
        ],
        "shapes": [
            [numbers[k], model.shapes[name]]
            for k in step.free
            if (name := shape_name(step, k)) in model.shapes
        ],
    }


def _look(style: PartStyle) -> list[float]:
    """Return a look as the viewer reads it: colour, ambient, diffuse, specular, power, outline, edge, ink."""
    s = style.surface
    look = (*s.colour, s.ambient, s.diffuse, s.specular, s.power, style.outline, style.edge, *style.line)
    return [round(x, 4) for x in look]
