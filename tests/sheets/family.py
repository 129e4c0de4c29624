"""One picture for each rotor form, seal, cover and body of the family, on one sheet to look at.

Run by hand: ``python tests/sheets/family.py SHEET.png``. The forms stand in the strong colour, the rest is quiet; seals
are shown in a half section through both shafts.
"""

from __future__ import annotations

import io
import sys
from dataclasses import replace
from pathlib import Path

import cadquery as cq
from benchleaf.geometry.assembly import Assembly
from benchleaf.geometry.dimensions.options import Options
from benchleaf.geometry.dimensions.size import example_measures, make_size
from benchleaf.geometry.head.head import make_head
from benchleaf.render.drawing.settings import PictureSettings
from benchleaf.render.engine.camera import make_view
from benchleaf.render.pictures.step_pictures import Studio, render_step
from benchleaf.sequences.steps.plan import Step
from PIL import Image, ImageDraw, ImageFont
from sample_solids import kernel

COVER_KINDS = (
    "cover",
    "cover_nut",
    "cover_oring",
    "relief_cap",
    "relief_piston",
    "relief_oring",
    "relief_spring",
)
SEAL_KINDS = ("rotating_ring", "stationary_ring", "atmosphere_ring", "wave_spring", "atmosphere_wave_spring")
ORING_KINDS = ("shaft_oring", "stationary_ring_oring", "atmosphere_ring_oring")
CELLS: tuple[tuple[str, dict[str, object], str], ...] = (
    ("Rotors: two-wing", {}, "rotor"),
    ("Rotors: two-lobe", {"rotor": "two-lobe"}, "rotor"),
    ("Rotors: three-lobe", {"rotor": "three-lobe"}, "rotor"),
    ("Body: standard", {}, "body"),
    ("Body: free-draining", {"body": "free-draining"}, "body"),
    ("Ports sideways, drilled for cleaning", {"ports": "sideways", "cleaning_in_place": True}, "rotor"),
    ("Seal: single", {}, "seal"),
    ("Seal: double, flushed", {"seal": "double"}, "seal"),
    ("Cover: plain, hexagon nuts", {}, "cover"),
    ("Cover: relief, wing nuts", {"cover": "relief", "cover_nuts": "wing"}, "cover"),
    ("Cover: jacketed", {"cover": "jacketed"}, "cover"),
    ("Cover: relief, in section", {"cover": "relief"}, "section"),
)


def cell(options: dict[str, object], what: str) -> Image.Image:
    """Return the picture of one form."""
    chosen = Options(**options)  # type: ignore[arg-type]
    head: Assembly = make_head("F-1", make_size("80", example_measures(80.0, chosen.rotor)), chosen)
    keys, focus = [p.key for p in head], [p.key for p in head if p.kind == what]
    side, above = 28.0, 20.0
    if what in ("rotor", "body"):
        hidden = {*COVER_KINDS, "relief_screw"}
        hidden |= (
            {"rotor", "rotor_nut", "nut_oring", "disc_spring", "spring_retaining_oring"}
            if what == "body"
            else set()
        )
        keys = [p.key for p in head if p.kind not in hidden]
    if what == "cover":
        focus = [p.key for p in head if p.kind in COVER_KINDS and p.kind != "cover_oring"]
    if what in ("seal", "section"):
        box = cq.Solid.makeBox(2000, 1000, 2000, cq.Vector(-1000, 0, -1000))
        parts = {}
        for p in head:
            cut = kernel(p.placed()).cut(box).Solids()
            if cut and p.kind != "gear_case":
                parts[p.key] = replace(
                    p, solid=cq.Compound.makeCompound(cut).moved(p.place.inverse().location())
                )
        head = Assembly(head.name, parts, head.up, head.front)
        wanted = SEAL_KINDS if what == "seal" else ("relief_piston", "relief_spring", "relief_cap")
        keys, focus = list(parts), [k for k, p in parts.items() if p.kind in wanted]
        side, above = 0.0, 60.0
    step = Step(1, "sheet", "sheet", "Sheet", tuple(keys), focus=tuple(focus))
    settings = replace(PictureSettings(), width=900, height=700)
    with Studio(head, settings) as studio:
        view = make_view("sheet", side, above, head.front, head.up)
        picture = render_step(studio, step, view, "sheet")
    return Image.open(io.BytesIO(next(iter(picture.content.values())))).convert("RGB")


def main() -> None:
    """Write the sheet."""
    across, width, height, line = 3, 700, 545, 40
    rows = -(-len(CELLS) // across)
    sheet = Image.new("RGB", (across * width, rows * (height + line)), "white")
    draw, font = ImageDraw.Draw(sheet), ImageFont.load_default(24)
    for n, (title, options, what) in enumerate(CELLS):
        x, y = (n % across) * width, (n // across) * (height + line)
        sheet.paste(cell(options, what).resize((width, height)), (x, y + line))
        draw.text((x + 16, y + 8), title, fill="#222222", font=font)
    sheet.save(Path(sys.argv[1]))


if __name__ == "__main__":
    main()
