"""One head's way to its booklet, stage after stage: solids, plans, proof, pictures, pages. A worker runs this."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from ...sequences.proof.assembly_proof import FOLDER as EVIDENCE
from ...sequences.proof.assembly_proof import AssemblyProof, write_proof
from ..pages.booklet import Booklet
from ..pages.cards import MergedCard
from ..pages.pages import HeadLine, missing_line, write_booklet
from ..pages.picture_views import FOLDER as PICTURES
from ..pages.proof_pages import cards_to_show
from .head_job import HeadDone, HeadJob
from .head_pages import (
    Figures,
    fault_sentences,
    make_head_booklet,
    option_words,
    picture_figures,
    picture_items,
    plans_in_words,
    proof_pages,
)
from .head_pictures import (
    SMALL_FILE,
    HeadPictures,
    open_head_view,
    open_studio,
    shortcomings,
    take_head_pictures,
    write_small_picture,
)
from .timings import StageTimes

Say = Callable[[str], None]


def build_head(job: HeadJob, say: Say) -> HeadDone:
    """Make one booklet; none where the proof finds a fault, unless the job waives that.

    Raises:
        MeshError, OverlapError: if a solid is not fit for the proof.
        SolidError, OwnPartError: if a part cannot be made.
        NoGraphics: if this machine cannot draw.
        WorkerLost: if a worker is ended from outside.
        OSError: if the folder cannot be written.
    """
    stages, folder = StageTimes(), job.folder / job.work.row.slug
    folder.mkdir()
    with stages.stage("geometry"):
        _make_solids(job, say)
    with stages.stage("data"):
        _resolve_plans(job)
    proof = None
    if job.prove:
        with stages.stage("proof"):
            proof = _prove(job, folder, say)
    if proof and proof.violations and not job.despite_proof:
        return _refused(job, proof, stages)
    cards = cards_to_show(job.work.head, job.work.plans, proof) if proof else ()
    with stages.stage("pictures"):
        pictures = _take_pictures(job, cards, folder, say)
    with stages.stage("pages"):
        booklet, figures = _write_pages(job, proof, cards, pictures, folder, say)
        line = _library_line(job, booklet, figures, proof, folder)
    faults = fault_sentences(job.work, proof) if proof else ()
    return _done(job, booklet, line, shortcomings(pictures.steps, figures), faults, stages)


def _make_solids(job: HeadJob, say: Say) -> None:
    say("geometry")
    _ = job.work.head


def _resolve_plans(job: HeadJob) -> None:
    _ = job.work.plans


def _prove(job: HeadJob, folder: Path, say: Say) -> AssemblyProof:
    """Return the proof, its evidence written into the booklet's folder."""
    say("proof")
    proof = job.work.prove(job.cache / EVIDENCE if job.cache else None, job.workers)
    write_proof(proof, folder / EVIDENCE)
    return proof


def _take_pictures(job: HeadJob, cards: tuple[MergedCard, ...], folder: Path, say: Say) -> HeadPictures:
    with open_studio(job.work, job.pictures, job.cache) as studio:
        return take_head_pictures(studio, job.work, cards, folder / PICTURES, say, job.workers)


def _write_pages(
    job: HeadJob,
    proof: AssemblyProof | None,
    cards: tuple[MergedCard, ...],
    pictures: HeadPictures,
    folder: Path,
    say: Say,
) -> tuple[Booklet, Figures]:
    say("pages")
    words = job.setting.words
    items = picture_items(job.work, words)
    plans = plans_in_words(job.work, words)
    figures = picture_figures(plans, pictures, items, words)
    proven = proof_pages(job.work, plans, proof, cards, pictures, words) if proof else None
    booklet = make_head_booklet(job, plans, pictures, items, figures, proven)
    write_booklet(booklet, folder, job.setting, "../index.html")
    return booklet, figures


def _library_line(
    job: HeadJob, booklet: Booklet, figures: Figures, proof: AssemblyProof | None, folder: Path
) -> HeadLine:
    """Return the head's line on the library page, its small picture written."""
    row = job.work.row
    view = open_head_view(job.work.head, job.work.plans, figures) or booklet.overview
    assert view is not None
    width, height = write_small_picture(folder / view.src, folder / PICTURES)
    return HeadLine(
        slug=row.slug,
        tag=row.tag,
        size=row.size.name,
        service=row.service,
        options=option_words(row, job.setting.words),
        href=f"{row.slug}/index.html",
        picture=f"{row.slug}/{PICTURES}/{SMALL_FILE}",
        picture_width=width,
        picture_height=height,
        missing=len(booklet.missing),
        faults=len(proof.violations) if proof else 0,
    )


def _done(
    job: HeadJob,
    booklet: Booklet,
    line: HeadLine,
    found: tuple[str, ...],
    faults: tuple[str, ...],
    stages: StageTimes,
) -> HeadDone:
    row = job.work.row
    return HeadDone(
        line,
        tuple(missing_line(row.tag, row.slug, v) for v in booklet.missing),
        tuple((c.title, c.total) for c in booklet.chapters),
        stages,
        booklet.doubts,
        faults,
        found,
    )


def _refused(job: HeadJob, proof: AssemblyProof, stages: StageTimes) -> HeadDone:
    """Return what is known of a head whose booklet is not made."""
    row = job.work.row
    return HeadDone(HeadLine.bare(row.slug, row.tag), (), (), stages, faults=fault_sentences(job.work, proof))
