"""Heads for other programs: a STEP and an animated glTF file each, or their pictures as SVG, in a folder that appears
when all are written."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from ...sequences.files.faults import likely
from ...sequences.fleet.file_kind import is_user_assembly
from ...sequences.own.designs import Work, made_solids
from ...sequences.work.crews import MOST_WORKERS
from ...sequences.work.tasks import Account
from ...sequences.work.worker_pool import worker_count
from ..booklets.booklets import make_booklets
from ..booklets.head_job import Form, HeadJob, work_said
from ..booklets.head_pages import picture_items, plans_in_words
from ..booklets.head_pictures import open_studio
from ..build.fleet_run import fleet_words, open_fleet
from ..build.folders import swapped_in
from ..build.kept_results import open_store
from ..build.progress import Silent
from ..build.system_libraries import Machine
from ..build.user_faults import UserFault, WorkRefused, fault_lines
from ..pages.callouts import best_seen
from ..pages.paper.parts import part_names
from ..pages.paper.pdf_files import PaperSize, PdfUnavailable, pdf_maker
from ..pages.picture_views import PictureWords, overview_words, step_words
from ..words.catalogue import Words
from ..words.languages.fallback import plain
from .export_jobs import check_slides, check_steps, export_jobs

if TYPE_CHECKING:
    from ...render.drawing.settings import PictureSettings
    from ...render.pictures.kept_pictures import Picture
    from ...render.pictures.studio import Studio
    from ...sequences.steps.plan import Plan


def export_heads(fleet_file: Path, target: Path, only: Sequence[str], say: Callable[[str], None]) -> int:
    """Write every head of the fleet, or those of ``only``, or an assembly of the user's own, and return how many.

    Raises:
        FaultsFound, UserFault: as :func:`..build.fleet_run.open_fleet`.
        ExportError: if the CAD kernel cannot write a file.
    """
    if is_user_assembly(fleet_file):
        (job,) = export_jobs(fleet_file, target, only)
        with swapped_in(target, "export") as folder:
            write_models(job.work, folder, job.setting.words, say, job.file_slug)
        return 1
    run = open_fleet(fleet_file, target, only, "export")
    words = fleet_words(run.fleet)
    with swapped_in(target, "export") as folder:
        for work in run.works():
            say(work.row.tag)
            write_models(work, folder, words, say, work.row.slug)
    return len(run.rows)


def write_models(work: Work, folder: Path, words: Words, say: Callable[[str], None], name: str) -> None:
    """Write one STEP and one glTF file, in which the steps of the assembly move where it has such."""
    from ...geometry.exchange.cad_export import write_glb, write_step

    solids = made_solids(work)
    for key in write_step(solids, folder / f"{name}.step"):
        say(f"{work.row.tag}: {key} is a mesh of too many triangles for STEP; it is in the glTF file alone.")
    scene = folder / f"{name}.glb"
    write_glb(solids, scene)
    plan = next((p for p in plans_in_words(work, words) if p.sequence == "assembly"), None)
    if plan is None:
        return
    with open_studio(work) as studio:
        scene.write_bytes(_moving(scene.read_bytes(), plan, studio))


def _moving(glb: bytes, plan: Plan, studio: Studio) -> bytes:
    from ...render.pictures.gltf_motion import animate

    return animate(glb, plan, studio.models, studio.travels)


def export_pictures(
    file: Path,
    target: Path,
    only: Sequence[str],
    say: Callable[[str], None],
    cache: Path | None = None,
    settings: PictureSettings | None = None,
    language: str = "",
) -> tuple[int, int]:
    """Write the pictures of every head of a fleet, of those of ``only``, or of an assembly, each as one whole SVG.

    They lie in a folder for each booklet, named as it names its pictures. Return how many pictures of how many
    booklets. ``cache`` is the folder in which a build keeps its pictures; ``language``: one of the file's, left out
    its main one.

    Raises:
        FaultsFound, UserFault: as :func:`.export_jobs.export_jobs`.
        NoGraphics: if this machine cannot draw.
        WorkerLost: if a worker is ended from outside.
    """
    from ...render.engine.gl_probe import ensure_graphics

    jobs = export_jobs(file, target, only, settings, language)
    ensure_graphics()
    count = 0
    with open_store(cache) as store, swapped_in(target, "export") as folder:
        for job in jobs:
            say(job.tag)
            (folder / job.file_slug).mkdir()
            with open_studio(job.work, job.pictures, store) as studio:
                said = work_said(job.work, job.setting.words)
                for picture, texts in _pictures_with_words(studio, said, job.setting.words):
                    left_out = _write_svg(picture, texts, folder / job.file_slug)
                    count += 1
                    if left_out:
                        say(f"{job.tag}, {left_out}")
    return count, len(jobs)


def export_parts(
    file: Path,
    target: Path,
    only: Sequence[str],
    part: str,
    sizes: tuple[PaperSize, ...],
    cache: Path | None = None,
    pictures: PictureSettings | None = None,
    language: str = "",
) -> int:
    """Write one part of each booklet as PDF files of these sizes, without any as one page; return of how many.

    What it shows is taken from the store, or made first as by a build. ``language`` is one of the file's; left out,
    its main one.

    Raises:
        FaultsFound, UserFault: as :func:`.export_jobs.export_jobs`; also for a part that a booklet does not have, or
            PDF files that cannot be made here.
        SolidError, MeshError, NoGraphics, WorkerLost: as :func:`..booklets.booklets.make_booklets`.
    """
    jobs = export_jobs(file, target, only, pictures, language)
    if sizes:
        try:
            pdf_maker()
        except PdfUnavailable as e:
            raise UserFault(f"No PDF files: {e}. Without it: --page writes one page for the browser.") from e
    _check_part(part, [job.work for job in jobs])
    _hand_out([replace(job, pdf=sizes, part=part) for job in jobs], target, cache)
    return len(jobs)


def export_forms(
    file: Path,
    target: Path,
    only: Sequence[str],
    form: Form,
    steps: tuple[str, ...] = (),
    cache: Path | None = None,
    pictures: PictureSettings | None = None,
    language: str = "",
) -> int:
    """Write each booklet as the package of a course or as slides; return of how many.

    ``steps`` are those it is of, as :func:`..build.chosen_steps.chosen_steps` takes them; of a course, the sequences
    that have to be read.

    Raises:
        FaultsFound, UserFault: as :func:`.export_jobs.export_jobs`; also for steps that a booklet does not have, or
            slides that cannot be written here.
        SolidError, MeshError, NoGraphics, WorkerLost: as :func:`..booklets.booklets.make_booklets`.
    """
    jobs = export_jobs(file, target, only, pictures, language)
    if form == "slides":
        check_slides()
    check_steps([job.work for job in jobs], steps, whole=form == "course")
    _hand_out([replace(job, form=form, steps=steps, pdf=()) for job in jobs], target, cache)
    return len(jobs)


def _hand_out(jobs: Sequence[HeadJob], target: Path, cache: Path | None) -> None:
    """Make what these jobs want of booklets, and let it appear in ``target``."""
    known: dict[str, str] = {}
    with open_store(cache) as store, swapped_in(target, "export", known) as folder:
        done = make_booklets(jobs, store, folder, Silent(), Account(), known, Machine())
        if found := {d.line.tag: d.faults for d in done if d.faults}:
            lines = ["The proof found what cannot be done:", *fault_lines(found)]
            raise WorkRefused("\n".join(lines), "Mend the sequence or the size.")


def _check_part(part: str, works: Sequence[Work]) -> None:
    """Refuse a part that one of the booklets does not have, with all that it has."""
    for work in works:
        names = part_names((*work.plans, *work.checklist_plans))
        if part not in names:
            near = likely(part, list(names))
            fix = f"; did you mean {near}?" if near else ""
            raise UserFault(f"--part: {work.row.tag} has no part {part}{fix}\nallowed: {', '.join(names)}")


def _pictures_with_words(studio: Studio, work: Work, words: Words) -> Iterator[tuple[Picture, PictureWords]]:
    """Yield the overview of an assembly and the pictures of all its steps, each with its words."""
    from ...render.pictures.overview import render_overview_with
    from ...render.pictures.step_pictures import take_plans
    from ...sequences.reach.kept_reach import uses_tools
    from ...sequences.reach.reach import find_reach

    items = picture_items(work, words)
    yield render_overview_with(studio), overview_words(items, words)
    tools = [find_reach(made_solids(work), p).tools if uses_tools(p) else {} for p in work.plans]
    taken = take_plans(studio, work.plans, worker_count(None, MOST_WORKERS), tools)
    steps = (step for plan in plans_in_words(work, words) for step in plan.steps)
    for picture, step in zip(taken, steps, strict=True):
        yield picture, step_words(picture.manifest, step, items, words)


def _write_svg(picture: Picture, texts: PictureWords, folder: Path) -> str:
    """Write a picture under its name in a booklet; return which callouts found no room, empty where all did."""
    stem = Path(next(iter(picture.manifest.files.values()))).stem
    text, left_out = map(plain, figure_svg(picture, texts))
    (folder / f"{stem}.svg").write_text(text, "utf-8", newline="\n")
    return f"{stem}: {left_out}" if left_out else ""


def figure_svg(picture: Picture, texts: PictureWords) -> tuple[str, str]:
    """Return a picture as one self-contained SVG with its callouts as text, and a sentence if they find no room."""
    from ...render.drawing.callouts import NoRoomForCallouts
    from ...render.pictures.svg import picture_svg

    labels, numbers = dict[str, str](), dict[str, str]()
    for line, text, keys in texts.pointed:
        if (key := best_seen(picture.manifest, keys)) is not None:
            labels[key], numbers[key] = text, str(line.item)
    try:
        return picture_svg(picture, labels, texts.alt, numbers), ""
    except NoRoomForCallouts:
        sentence = f"its {len(labels)} callouts find no room round the picture; it is written without them."
        return picture_svg(picture, {}, texts.alt), sentence
