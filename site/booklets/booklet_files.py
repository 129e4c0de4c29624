"""The pages of one booklet, made from what the store holds of its head; with its pictures they are one entry there."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, replace
from functools import cache
from hashlib import sha256
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from ...render.pictures.viewer.viewer_models import ViewerModel, kept_viewer_model
from ...sequences.own.designs import Row
from ...sequences.own.own_work import OwnRow
from ...sequences.proof.assembly_proof import FOLDER as EVIDENCE
from ...sequences.proof.assembly_proof import AssemblyProof, write_proof
from ...sequences.proof.bare_assembly import BareAssembly
from ...sequences.proof.head_proof import kept_proof
from ...sequences.proof.head_work import parts_key
from ...sequences.steps import cautions
from ...sequences.work.code_hash import code_hash
from ...sequences.work.json_data import from_json, json_bytes
from ...sequences.work.keys import TaskKey, task_key
from ...sequences.work.store import Store
from ...sequences.work.tasks import PieceGone
from ..pages import pages as page_files
from ..pages.booklet import Booklet
from ..pages.cards.faces import card_face
from ..pages.library.head_lines import HeadLine, MissingLine, missing_line
from ..pages.pages import write_booklet
from ..pages.paper.parts import booklet_part
from ..pages.paper.pdf_files import installed_maker
from ..pages.picture_views import FOLDER as PICTURES
from ..pages.proof_pages import cards_to_show
from ..pages.slides.slide_files import installed_slides
from ..pages.viewer.viewer_files import ViewerNames, viewer_files
from ..words.catalogue import Words
from .booklet_pdfs import part_files, pdf_files
from .forms.booklet_forms import form_files
from .head_job import HeadDone, HeadJob, HeadKeys, OtherDone
from .head_pages import (
    Figures,
    fault_sentences,
    make_head_booklet,
    picture_figures,
    picture_items,
    plans_in_words,
    proof_pages,
)
from .head_pictures import (
    SMALL_FILE,
    HeadPictures,
    fetch_pictures,
    shortcomings,
    small_picture,
)
from .kinds.kinds import kind_of
from .plant_files import plant_photos, write_logo

PARTS = "parts.json"
"""Name under which an entry holds an assembly without its solids."""
DONE = "done.json"
"""Name under which a booklet's entry holds what the library page has to know of it."""
FILES = "booklet/"
"""Where in that entry the files of the booklet's folder are."""
MAKING = ("site.booklets.head_tasks", "site.booklets.booklet_files", "sequences.calculations.load_fleet")
"""Whose code a booklet rests on: pages, pictures, proof and figures."""
LIBRARIES = (
    "cadquery",
    "cadquery-ocp",
    "vtk",
    "numpy",
    "pillow",
    "manifold3d",
    "scipy",
    "shapely",
    "jinja2",
    "benchleaf",
)


def booklet_key(job: HeadJob) -> TaskKey:
    """Return the key of a booklet: of all that anything in it rests on.

    Raises:
        OSError: if an owner's file cannot be read.
    """
    plant = _fields(job.setting)
    del plant["words"]
    return task_key(
        "pages",
        **_row_inputs(job.work.row),
        design=job.work.design,
        sequences=[s.digest for s in (*job.work.sequences, *job.work.checklists)],
        words=[words_key(s.words) for s in (job.setting, *(o.setting for o in job.others))],
        revision=(job.revision, plant.pop("date")),
        plant=plant,
        changes=(job.changes, [o.changes for o in job.others]),
        proof=(job.prove, job.despite_proof),
        paper=(job.pdf, installed_maker() if job.pdf else "", job.part),
        form=(job.form, job.steps, installed_slides() if job.form == "slides" else ""),
        pictures=job.pictures,
        templates=_page_files(),
        upkeep=_upkeep_file(),
        code=code_hash(*MAKING, libraries=LIBRARIES),
    )


def words_key(words: Words) -> tuple[object, ...]:
    """Return all that pages take from the words of one language."""
    return words.language, words.texts, words.said, words.released


def _row_inputs(row: Row) -> dict[str, Any]:
    """Return what the row brings besides its design."""
    of = _fields(row)
    if isinstance(row, OwnRow):
        del of["design"], of["file"]
        return {"values": of.pop("values"), "media": (), "spares": (), "pump": of}
    size = of.pop("size")
    for name in ("options", "own_parts"):  # in the design, as the name of the size is not
        del of[name]
    return {
        "values": of.pop("values"),
        "media": [of.pop(name) for name in ("process_temperature_c", "product", "cleaning")],
        "spares": [of.pop(name) for name in ("spare_parts", "name_plate", "as_found")],
        "pump": (of, size.name),
    }


def _fields(of: Any) -> dict[str, Any]:
    """Return all fields of a dataclass: what is added to it later is in the key at once."""
    return {f.name: getattr(of, f.name) for f in fields(of)}


@cache
def _page_files() -> str:
    """Return the hash of all templates, styles, scripts and fonts."""
    home = Path(page_files.__file__).parent
    h = sha256()
    for file in sorted(
        f for name in ("templates", "assets") for f in (home / name).rglob("*") if f.is_file()
    ):
        h.update(file.relative_to(home).as_posix().encode() + b"\0" + file.read_bytes() + b"\0")
    return h.hexdigest()


@cache
def _upkeep_file() -> str:
    """Return the hash of the file that the pages beside the sequences are made of."""
    return sha256((cautions.DATA / "upkeep.yaml").read_bytes()).hexdigest()


def fetch_parts(store: Store, job: HeadJob) -> HeadJob:
    """Return ``job`` with what is known of the head's parts without their solids.

    Raises:
        PieceGone: if that is not in the store.
    """
    entry = store.get(parts_key(job.work.design).digest)
    try:
        known = from_json(BareAssembly, (entry or {})[PARTS])
    except (KeyError, ValueError):
        raise PieceGone("solids") from None
    return replace(job, work=replace(job.work, known=known))


def make_pages(store: Store, wanted: tuple[str, ...], job: HeadJob, keys: HeadKeys) -> None:
    """Keep a booklet: its pages, and all files that they show; the parts of its head are known.

    Raises:
        PieceGone: if a picture or a part of the proof is not in the store.
    """
    proof = fetch_proof(store, job, keys) if keys.proof else None
    viewer = kept_viewer_model(store, keys.viewer.digest)
    if viewer is None:
        raise PieceGone("viewer")
    done, files = make_booklet(job, proof, *fetch_pictures(store, keys), viewer)
    if job.part:
        files = part_files(store, job, files)
    elif not job.form:
        files.update(pdf_files(store, job, files))
    contents = {FILES + name: content for name, content in files.items()}
    store.put(wanted[0], {**contents, DONE: json_bytes(done)})


def fetch_proof(store: Store, job: HeadJob, keys: HeadKeys) -> AssemblyProof:
    """Return the proof of a head.

    Raises:
        PieceGone: if a part of it is not in the store.
    """
    assert keys.proof is not None
    proof = kept_proof(job.tag, keys.proof, store)
    if proof is None:
        raise PieceGone("evidence")
    return proof


def fetch_booklet(store: Store, key: TaskKey) -> tuple[HeadDone, dict[str, tuple[bytes, str]]]:
    """Return a booklet: what is known of it, and its files with their SHA-256, by their path in its folder.

    Raises:
        PieceGone: if it is not in the store.
    """
    entry = store.get_hashed(key.digest)
    try:
        done = from_json(HeadDone, (entry or {})[DONE][0])
    except (KeyError, ValueError):
        raise PieceGone("pages") from None
    assert entry is not None
    return done, {n.removeprefix(FILES): found for n, found in entry.items() if n.startswith(FILES)}


def refused(job: HeadJob, proof: AssemblyProof) -> HeadDone:
    """Return what is known of a head whose booklet is not made for what its proof found."""
    return HeadDone(HeadLine.bare(job.slug, job.tag), faults=fault_sentences(job.work, proof))


def make_booklet(
    job: HeadJob,
    proof: AssemblyProof | None,
    pictures: HeadPictures,
    taken: Mapping[str, bytes],
    viewer: tuple[ViewerModel, bytes],
) -> tuple[HeadDone, dict[str, bytes]]:
    """Return a booklet: what is known of it, and its files.

    ``taken`` are the files of its pictures by name, ``viewer`` is the viewer's model with its meshes.
    """
    work = job.work
    files = {f"{PICTURES}/{name}": content for name, content in taken.items()}
    if proof is not None:
        with TemporaryDirectory() as folder:
            write_proof(proof, Path(folder))
            for name, content in _files_in(Path(folder)).items():
                files[f"{EVIDENCE}/{name}"] = content
    first, *others = (_tell(told, proof, pictures, viewer, files) for told in job.tellings())
    line, missing, figures = first
    done = HeadDone(
        line,
        missing,
        fault_sentences(work, proof) if proof else (),
        shortcomings(pictures.steps, figures),
        work.known.remarks if work.known else (),
        tuple(
            OtherDone(o.setting.words.language, line, missing)
            for o, (line, missing, _) in zip(job.others, others, strict=True)
        ),
    )
    return done, files


def _tell(
    job: HeadJob,
    proof: AssemblyProof | None,
    pictures: HeadPictures,
    viewer: tuple[ViewerModel, bytes],
    files: dict[str, bytes],
) -> tuple[HeadLine, tuple[MissingLine, ...], Figures]:
    """Add the pages of one language to ``files``; return what is known of them."""
    work, words = job.work, job.setting.words
    items, plans = picture_items(work, words), plans_in_words(work, words)
    figures = picture_figures(plans, pictures, items, words)
    proven = None
    if proof is not None:
        cards = cards_to_show(work.assembly, work.plans, proof)
        proven = proof_pages(work, plans, proof, cards, pictures, words)
    booklet, part = make_head_booklet(job, plans, pictures, items, figures, proven), None
    whole = booklet
    if job.part:
        booklet, part = booklet_part(booklet, job.part, words)
    files.update(plant_photos((*work.plans, *work.checklist_plans)))
    terms = {t.id for t in booklet.upkeep.terms} if booklet.upkeep else set()
    names = ViewerNames(work.assembly, items.rows, plans, terms)
    files.update(viewer_files(*viewer, names, words, job.setting.suffix))
    line = _library_line(job, whole, figures, proof, files)
    with TemporaryDirectory() as folder:
        # What is handed out has no library round it.
        library = "../index.html" if job.slug and not part and not job.form else ""
        write_booklet(booklet, Path(folder), job.setting, library, part)
        write_logo(Path(folder), job.setting)
        files.update(_files_in(Path(folder)))
    if job.form:
        made = form_files(job, whole, pictures, items, files)
        files.clear()
        files.update(made)
    return line, tuple(missing_line(job.tag, job.slug, v) for v in whole.missing), figures


def _files_in(folder: Path) -> dict[str, bytes]:
    found = sorted(p for p in folder.rglob("*") if p.is_file())
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in found}


def _library_line(
    job: HeadJob, booklet: Booklet, figures: Figures, proof: AssemblyProof | None, files: dict[str, bytes]
) -> HeadLine:
    """Return the head's line on the library page; its small picture is added to ``files``."""
    kind = kind_of(job.work, job.setting.words)
    identity, stem = booklet.identity, f"{job.slug}/" if job.slug else ""
    view = kind.face(figures) or booklet.overview
    assert view is not None
    small, width, height = small_picture(files[view.src])
    files[f"{PICTURES}/{SMALL_FILE}"] = small
    return HeadLine(
        slug=job.slug,
        tag=job.tag,
        size=identity.size,
        service=identity.service,
        options=identity.options,
        href=f"{stem}index.html",
        picture=f"{stem}{PICTURES}/{SMALL_FILE}",
        picture_width=width,
        picture_height=height,
        missing=len(booklet.missing),
        faults=len(proof.violations) if proof else 0,
        rows=kind.rows(booklet),
        kit=kind.kit(),
        cards=tuple(card_face(c, files) for c in booklet.proof.cards) if booklet.proof else (),
    )
