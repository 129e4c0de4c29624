"""One step's picture of one head, as its booklet shows it, with its manifest.

Run by hand: ``python tests/sheets/step.py TAG SEQUENCE STEP FOLDER [FLEET]``, STEP being a number or id, FLEET
a fleet file (the demo where left out). Writes picture and manifest, without the short film, and prints what the
picture fails to show. Views are chosen for the steps up to the end of its section, as the booklet's are.
"""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

import benchleaf.site
from benchleaf.geometry.tools.tool_solids import make_tool
from benchleaf.render.drawing.review import review_acts, review_pictures
from benchleaf.render.drawing.settings import PictureSettings
from benchleaf.render.engine.gl_probe import ensure_graphics
from benchleaf.render.pictures.kept_pictures import Picture
from benchleaf.render.pictures.step_pictures import choose_views, render_step
from benchleaf.render.pictures.studio import Studio
from benchleaf.sequences.calculations.load_fleet import load_fleet
from benchleaf.sequences.proof.head_work import head_works
from benchleaf.sequences.reach.reach import find_reach
from benchleaf.sequences.steps.plan import Plan

DEMO = Path(benchleaf.site.__path__[0]) / "demo" / "fleet.yaml"


def index_of(plan: Plan, step: str) -> int:
    """Return where in its plan the step of this number or id stands.

    Raises:
        SystemExit: naming all steps, if there is none.
    """
    for n, found in enumerate(plan.steps):
        if step in (str(found.number), found.id):
            return n
    raise SystemExit(f"no step {step}; there are " + ", ".join(f"{s.number} {s.id}" for s in plan.steps))


def take(tag: str, sequence: str, step: str, fleet: Path = DEMO) -> Picture:
    """Return the picture of one step."""
    loaded = load_fleet(fleet)
    work = next(head_works(loaded, [loaded.head(tag)]))
    plan = next((p for p in work.plans if p.sequence == sequence), None)
    if plan is None:
        raise SystemExit(f"no sequence {sequence}; there are " + ", ".join(p.sequence for p in work.plans))
    at = index_of(plan, step)
    end = max(n for n, s in enumerate(plan.steps) if s.section == plan.steps[at].section) + 1
    ensure_graphics()
    chosen = replace(plan, steps=plan.steps[:end])
    tools = find_reach(work.head, chosen).tools
    with Studio(work.head, replace(PictureSettings(), film_frames=0), make_tool=make_tool) as studio:
        views = choose_views(studio, chosen, tools)
        name, own = f"{sequence}-{plan.steps[at].number:02d}", tools.get(plan.steps[at].number, ())
        changed = at > 0 and views[at] != views[at - 1]
        return render_step(studio, plan.steps[at], views[at], name, changed, own)


def main(tag: str, sequence: str, step: str, folder: str, fleet: str = str(DEMO)) -> None:
    """Write the picture and its manifest, and say what it fails to show."""
    picture = take(tag, sequence, step, Path(fleet))
    picture.write(Path(folder))
    print(*(Path(folder) / name for name in picture.manifest.files.values()))
    print(*review_pictures([picture.manifest]), *review_acts([picture.manifest]), sep="\n")


if __name__ == "__main__":
    main(*sys.argv[1:])
