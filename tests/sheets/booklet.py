"""Every picture of one booklet on contact sheets, to be looked at one by one.

Run by hand: ``python tests/sheets/booklet.py FOLDER [OPTION=VALUE ...]``, an option being one of a fleet file's
(``rotor=two-lobe cover=jacketed``). Writes a sheet for each sequence, each with the overview first.
"""

from __future__ import annotations

import io
import sys
from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from benchleaf.geometry.dimensions.options import Options
from benchleaf.geometry.dimensions.size import example_measures, make_size
from benchleaf.geometry.head.head import make_head
from benchleaf.geometry.tools.tool_solids import make_tool
from benchleaf.render.drawing.settings import PictureSettings
from benchleaf.render.pictures.kept_pictures import Picture
from benchleaf.render.pictures.overview import render_overview_with
from benchleaf.render.pictures.step_pictures import take_plans
from benchleaf.render.pictures.studio import Studio
from benchleaf.sequences.reach.reach import find_reach
from benchleaf.sequences.steps.resolve import resolve
from benchleaf.sequences.steps.sequence_file import load_sequence
from PIL import Image, ImageDraw, ImageFont

SEQUENCES = ("assembly", "disassembly", "inspection")
COLUMNS = 3
ROWS = 3
CELL = (520, 415)
"""Width and height of a picture with its title, px."""


def sheets(titled: Sequence[tuple[str, Picture]]) -> list[Image.Image]:
    """Return the pictures on as many sheets as they need."""
    font = ImageFont.load_default(16)
    found = []
    for first in range(0, len(titled), COLUMNS * ROWS):
        some = titled[first : first + COLUMNS * ROWS]
        sheet = Image.new("RGB", (COLUMNS * CELL[0], -(-len(some) // COLUMNS) * CELL[1]), "white")
        pen = ImageDraw.Draw(sheet)
        for n, (title, picture) in enumerate(some):
            x, y = n % COLUMNS * CELL[0], n // COLUMNS * CELL[1]
            image = Image.open(io.BytesIO(next(iter(picture.content.values())))).convert("RGB")
            image.thumbnail((CELL[0] - 10, CELL[1] - 30))
            sheet.paste(image, (x + 5, y + 25))
            pen.text((x + 8, y + 4), title, fill="black", font=font)
        found.append(sheet)
    return found


def main(folder: Path, chosen: Mapping[str, str]) -> None:
    """Write the sheets."""
    options = replace(Options(), **chosen)  # type: ignore[arg-type]
    head = make_head("S-1", make_size("80", example_measures(80.0, options.rotor)), options)
    kinds = {p.key: p.kind for p in head}
    settings = PictureSettings(
        width=1000, height=750, overview_width=1500, overview_height=940, film_frames=0
    )
    folder.mkdir(parents=True, exist_ok=True)
    plans = [resolve(load_sequence(n), options, kinds, assembly=head.name) for n in SEQUENCES]
    tools = [find_reach(head, plan).tools for plan in plans]
    with Studio(head, settings, make_tool=make_tool) as studio:
        pictures = take_plans(studio, plans, 1, tools)
        for name, plan in zip(SEQUENCES, plans, strict=True):
            titled = [(f"{s.number} {s.title}"[:70], next(pictures)) for s in plan.steps]
            if name == "assembly":
                titled.insert(0, ("Overview", render_overview_with(studio, together=plan.given)))
            for number, sheet in enumerate(sheets(titled), 1):
                sheet.save(folder / f"{name}-{number}.png")


if __name__ == "__main__":
    main(Path(sys.argv[1]), dict(word.split("=", 1) for word in sys.argv[2:]))
