"""Heads for other programs: a STEP and an animated glTF file each, or their pictures as SVG, in a folder that appears
when all are written."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from ...sequences.calculations.load_fleet import load_fleet
from ...sequences.fleet.heads import FleetHead, plan_head
from ...sequences.steps.sequence_file import Sequence as StepSequence
from ..build.folders import check_target, swapped_in
from ..build.head_booklet import make_fleet_head, make_plans
from ..build.library import BuildFault, chosen_heads
from ..build.workers import worker_count
from ..pages.booklet import make_parts_list
from ..pages.callouts import best_seen
from ..pages.picture_views import Items, PictureWords, overview_words, step_words
from ..words.catalogue import Words, load_words

if TYPE_CHECKING:
    from ...geometry.head.head import Head
    from ...render.drawing.settings import PictureSettings
    from ...render.pictures.studio import Picture, Studio
    from ...sequences.steps.plan import Plan


def export_heads(fleet_file: Path, target: Path, only: Sequence[str], say: Callable[[str], None]) -> int:
    """Write every head of the fleet, or those of ``only``, and return how many.

    Raises:
        FaultsFound: with every mistake of the fleet.
        FolderFault: if the folder cannot or must not be written.
        BuildFault: for a tag that the fleet does not have.
        ExportError: if the CAD kernel cannot write a file.
    """
    from ...geometry.exchange.cad_export import write_glb, write_step
    from ...geometry.head.masses import masses_kg
    from ...render.pictures.studio import Studio

    check_target(target)
    fleet = load_fleet(fleet_file)
    rows = chosen_heads(fleet, tuple(only))
    with swapped_in(target) as folder:
        for row in rows:
            say(row.tag)
            head = make_fleet_head(row)
            for key in write_step(head, folder / f"{row.slug}.step"):
                say(
                    f"{row.tag}: {key} is a mesh of too many triangles for STEP; it is in the glTF file alone."
                )
            scene = folder / f"{row.slug}.glb"
            write_glb(head, scene)
            plan = plan_head(row, fleet.sequences["assembly"], masses_kg(head))
            with Studio(head) as studio:
                scene.write_bytes(_moving(scene.read_bytes(), head, plan, studio))
    return len(rows)


def _moving(glb: bytes, head: Head, plan: Plan, studio: Studio) -> bytes:
    from ...render.pictures.gltf_motion import animate

    return animate(glb, plan, studio.places(), studio.travels, head.places_at)


def export_pictures(
    fleet_file: Path,
    target: Path,
    only: Sequence[str],
    say: Callable[[str], None],
    cache: Path | None = None,
    settings: PictureSettings | None = None,
) -> tuple[int, int]:
    """Write the pictures of every head of the fleet, or of those of ``only``, each as one self-contained SVG.

    They lie in a folder for each head, named as the booklet names its pictures. Return how many pictures of how many
    heads. ``cache`` is the folder in which a build keeps its pictures.

    Raises:
        FaultsFound: with every mistake of the fleet.
        FolderFault: if the folder cannot or must not be written.
        BuildFault: for a tag that the fleet does not have, or a language that there are no words in.
        NoGraphics: if this machine cannot draw.
    """
    from ...render.engine.gl_probe import ensure_graphics

    check_target(target)
    fleet = load_fleet(fleet_file)
    rows = chosen_heads(fleet, tuple(only))
    try:
        words = load_words(fleet.booklet.language)
    except LookupError as e:
        raise BuildFault(f"{fleet.file.name} (booklet > language): {e.args[0]}") from e
    ensure_graphics()
    count = 0
    with swapped_in(target) as folder:
        for row in rows:
            say(row.tag)
            (folder / row.slug).mkdir()
            for picture, told in _told_pictures(row, tuple(fleet.sequences.values()), words, cache, settings):
                stem = Path(next(iter(picture.manifest.files.values()))).stem
                text, left_out = figure_svg(picture, told)
                (folder / row.slug / f"{stem}.svg").write_text(text, "utf-8", newline="\n")
                count += 1
                if left_out:
                    say(f"{row.tag}, {stem}: {left_out}")
    return count, len(rows)


def _told_pictures(
    row: FleetHead,
    sequences: tuple[StepSequence, ...],
    words: Words,
    cache: Path | None,
    settings: PictureSettings | None,
) -> Iterator[tuple[Picture, PictureWords]]:
    """Yield the overview of a head and the pictures of all its steps, each with what is said of it."""
    from ...geometry.engineering.materials import materials
    from ...geometry.head.masses import masses_kg
    from ...render.engine.part_models import make_part_models
    from ...render.pictures.overview import render_overview_with
    from ...render.pictures.picture_cache import PictureCache
    from ...render.pictures.step_pictures import take_plan
    from ...render.pictures.studio import Studio

    head = make_fleet_head(row)
    items = Items(head, make_parts_list(head, words, {m.key: m.name for m in materials().values()}))
    kept = PictureCache(cache) if cache else None
    models = make_part_models(head)
    with Studio(models, settings, head.places_at, kept) as studio:
        yield render_overview_with(studio), overview_words(items, words)
    for plan in make_plans(row, sequences, masses_kg(head)):
        taken = take_plan(models, plan, settings, worker_count(None, 1), head.places_at, kept)
        for picture, step in zip(taken, plan.steps, strict=True):
            yield picture, step_words(picture.manifest, step, items, words)


def figure_svg(picture: Picture, told: PictureWords) -> tuple[str, str]:
    """Return a picture as one self-contained SVG with its callouts as text, and a sentence if they find no room."""
    from ...render.drawing.callouts import NoRoom
    from ...render.pictures.svg import picture_svg

    labels, numbers = dict[str, str](), dict[str, str]()
    for line, text, keys in told.pointed:
        if (key := best_seen(picture.manifest, keys)) is not None:
            labels[key], numbers[key] = text, str(line.item)
    try:
        return picture_svg(picture, labels, told.alt, numbers), ""
    except NoRoom:
        sentence = f"its {len(labels)} callouts find no room round the picture; it is written without them."
        return picture_svg(picture, {}, told.alt), sentence
