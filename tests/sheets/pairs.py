"""Which pairs of orientation cards cannot be told apart on a phone, on any combination of options, as measured.

Run by hand: ``python tests/sheets/pairs.py FILE`` goes over every combination of options that changes solids or moves,
as ``review_options.py`` does: each is a line of FILE (JSON), and a run cut short goes on where it ended. Ends with
status 1 where a pair falls short. ``python tests/sheets/pairs.py --sheet FOLDER rotor=two-lobe`` draws the pairs of one
head instead, each 360 px wide, on ``pairs.png`` in FOLDER.
"""

from __future__ import annotations

import io
import sys
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "samples"))

from benchleaf.geometry.dimensions.options import Options
from benchleaf.render.drawing.differences import PHONE_PX
from benchleaf.render.drawing.settings import PictureSettings
from benchleaf.render.pictures.kept_pictures import Picture
from benchleaf.render.pictures.pairs import render_pairs
from benchleaf.render.pictures.studio import models_of
from combinations import Check, run
from pair_samples import pair_shortcomings, question_cards
from PIL import Image, ImageDraw


def sheet(options: Options, folder: Path) -> None:
    """Draw the pairs of one head."""
    head, found = question_cards(options)
    settings = PictureSettings()
    rows = []
    for pair in render_pairs(models_of(head, settings), [scene for _, scene in found], settings):
        rows.append([_small(p) for p in (pair.right, pair.wrong)])
    image = Image.new("RGB", (2 * PHONE_PX + 10, sum(r[0].height + 22 for r in rows)), "white")
    pen, top = ImageDraw.Draw(image), 0
    for (card, _), row in zip(found, rows, strict=True):
        pen.text((2, top + 4), card.id, fill="black")
        for n, picture in enumerate(row):
            image.paste(picture, (n * (PHONE_PX + 10), top + 20))
        top += row[0].height + 22
    folder.mkdir(parents=True, exist_ok=True)
    image.save(folder / "pairs.png")


def _small(picture: Picture) -> Image.Image:
    image = Image.open(io.BytesIO(next(iter(picture.content.values())))).convert("RGB")
    return image.resize((PHONE_PX, round(PHONE_PX * image.height / image.width)), Image.Resampling.LANCZOS)


def main(arguments: Sequence[str]) -> int:
    """Measure what FILE does not hold yet, or draw one head's pairs."""
    if arguments[:1] == ["--sheet"]:
        chosen = dict(word.split("=", 1) for word in arguments[2:])
        sheet(replace(Options(), **chosen), Path(arguments[1]))  # type: ignore[arg-type]
        return 0
    return run(Check(__doc__ or "", pair_shortcomings, "measure", "measured"), arguments)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
