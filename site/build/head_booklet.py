"""One head's way to its booklet: solids, plans, pictures, pages. A worker runs this, so all it takes can be pickled."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, fields, replace
from pathlib import Path
from typing import TYPE_CHECKING

from ...geometry.engineering.materials import materials
from ...geometry.head.masses import masses_kg
from ...sequences.calculations.head_calculations import PartWeight, calculations, spring_sentence
from ...sequences.calculations.plausibility import Doubt, doubts
from ...sequences.fleet.heads import FleetHead, plan_head
from ...sequences.proof.head_proof import FOLDER as EVIDENCE
from ...sequences.proof.head_proof import HeadProof, prove_head, write_head_proof
from ...sequences.steps.plan import Caution, Plan
from ...sequences.steps.sequence_file import Sequence
from ..pages.booklet import Booklet, Change, make_chapter, make_parts_list, make_values
from ..pages.callouts import review_callouts
from ..pages.cards import CardView, MergedCard
from ..pages.pages import HeadLine, MissingLine, Setting, missing_line, write_booklet
from ..pages.picture_views import FOLDER, Items, overview_picture_view, step_picture_view
from ..pages.proof_pages import cards_to_show, make_proof_pages
from ..pages.view_models import Identity, PictureView, Use
from ..words.catalogue import Words
from .timings import StageTimes

if TYPE_CHECKING:
    from ...geometry.head.head import Head
    from ...render.drawing.manifest import Manifest
    from ...render.drawing.settings import PictureSettings

THUMB = (480, 360)
"""Greatest size of the small picture on the library page, in pixels."""
Say = Callable[[str], None]


@dataclass(frozen=True)
class HeadJob:
    """Everything that one booklet is made from; ``folder`` is the library's."""

    head: FleetHead
    sequences: tuple[Sequence, ...]
    setting: Setting
    revision: str
    changes: tuple[Change, ...]
    folder: Path
    pictures: PictureSettings | None = None
    cache: Path | None = None
    """Folder in which pictures are kept for the next build; None keeps none."""
    drawers: int = 1
    """Processes that draw, or prove, at the same time."""
    prove: bool = False
    """Whether the solids are asked for evidence; the booklet then has its pages."""
    despite_proof: bool = False
    """Whether to make the booklet also where the proof finds a fault; its pages then say so."""


@dataclass(frozen=True)
class HeadDone:
    """What the library page has to know of a finished booklet, and what its stages took."""

    line: HeadLine
    missing: tuple[MissingLine, ...]
    steps: tuple[tuple[str, int], ...]
    stages: StageTimes
    doubts: tuple[Doubt, ...] = ()
    faults: tuple[str, ...] = ()
    """What the proof found wrong; unless that was waived, no booklet was made."""
    shortcomings: tuple[str, ...] = ()
    """Sequence, step, part and reason of each picture that does not show what it has to."""


def build_head(job: HeadJob, say: Say) -> HeadDone:
    """Make one booklet; none where the proof finds a fault, unless the job waives that.

    Raises:
        MeshError, OverlapError: if a solid is not fit for the proof.
        SolidError, OwnPartError: if a part cannot be made.
        NoGraphics: if this machine cannot draw.
        OSError: if the folder cannot be written.
    """
    stages, words, row = StageTimes(), job.setting.words, job.head
    folder = job.folder / row.slug
    pictures = folder / FOLDER
    pictures.mkdir(parents=True)
    say("geometry")
    with stages.stage("geometry"):
        head = make_fleet_head(row)
    with stages.stage("data"):
        plans = make_plans(row, job.sequences, masses_kg(head))
    proof = _prove(head, plans, job, folder, stages, say) if job.prove else None
    faults = proof.violations if proof else ()
    if faults and not job.despite_proof:
        return HeadDone(HeadLine.bare(row.slug, row.tag), (), (), stages, faults=faults)
    with stages.stage("pictures"):
        overview, shown = _take_pictures(head, plans, job, pictures, say)
        merged = cards_to_show(head, plans, proof) if proof else ()
        pairs = _take_pairs(head, merged, job, pictures, say)
    say("pages")
    with stages.stage("pages"):
        rows = make_parts_list(head, words, {m.key: m.name for m in materials().values()})
        items = Items(head, rows)
        figures = {
            plan.sequence: {
                s.id: step_picture_view(shown[plan.sequence, s.id], s, items, words) for s in plan.steps
            }
            for plan in plans
        }
        proven = make_proof_pages(head, plans, proof, merged, pairs, words) if proof else None
        if proven:
            proven = replace(proven, cards=cards_with_spring(row, proven.cards))
        booklet = Booklet(
            identity=Identity(
                row.tag, row.size.name, row.service, job.revision, job.setting.date, option_words(row, words)
            ),
            standing=_standing(plans),
            overview=overview_picture_view(overview, items, words),
            parts=rows,
            chapters=tuple(
                make_chapter(
                    p,
                    figures[p.sequence],
                    row.values,
                    spring_told(row, p),
                    proven.whys.get(p.sequence) if proven else None,
                    proven.card_links.get(p.sequence) if proven else None,
                )
                for p in plans
            ),
            values=make_values(row.values, plans, words),
            changes=job.changes,
            demo_short=words("demo.short") if job.setting.invented else "",
            groups=calculations(row, part_weights(head)),
            doubts=doubts(row),
            proof=proven,
        )
        write_booklet(booklet, folder, job.setting, "../index.html")
        thumb = _thumb(_open_head(head, plans, figures) or booklet.overview, folder)
    line = HeadLine(
        slug=row.slug,
        tag=row.tag,
        size=row.size.name,
        service=row.service,
        options=option_words(row, words),
        href=f"{row.slug}/index.html",
        picture=f"{row.slug}/{FOLDER}/{thumb[0]}",
        picture_width=thumb[1],
        picture_height=thumb[2],
        missing=len(booklet.missing),
        faults=len(faults),
    )
    missing = tuple(missing_line(row.tag, row.slug, v) for v in booklet.missing)
    return HeadDone(
        line,
        missing,
        tuple((c.title, c.total) for c in booklet.chapters),
        stages,
        booklet.doubts,
        faults,
        _shortcomings(shown, figures),
    )


def _shortcomings(
    shown: Mapping[tuple[str, str], Manifest], figures: Mapping[str, Mapping[str, PictureView]]
) -> tuple[str, ...]:
    """Return what the step pictures fail to show, and where their callouts find no room."""
    from ...render.pictures.review import review_pictures

    said = [
        f"{sequence}, {found}"
        for (sequence, _), manifest in shown.items()
        for found in review_pictures([manifest])
    ]
    said += [
        f"{sequence}, {found}"
        for sequence, of in figures.items()
        for step, figure in of.items()
        for found in review_callouts(step, figure.overlays)
    ]
    return tuple(said)


def part_weights(head: Head) -> tuple[PartWeight, ...]:
    """Return volume and material of one part of each kind and form."""
    one: dict[str, PartWeight] = {}
    for part in head:
        one.setdefault(part.kind, PartWeight(part.kind, part.material, part.volume_mm3))
    return tuple(one.values())


def cards_with_spring(row: FleetHead, cards: tuple[CardView, ...]) -> tuple[CardView, ...]:
    """Return the cards, that of the disc spring turned over with what this does to the nut, as figures tell it."""
    return tuple(
        replace(c, wrong=(" ".join((*c.wrong[:1], spring_sentence(row))), *c.wrong[1:]))
        if any(kind == "end for end" and row.parts.get(part) == "disc_spring" for kind, part in c.covers)
        else c
        for c in cards
    )


def spring_told(row: FleetHead, plan: Plan) -> dict[str, tuple[Use, ...]]:
    """Return what turning the nut's disc spring over does, for each step that handles or inspects a loose one."""
    said = (Use(spring_sentence(row), "values.html#sheet-disc-spring"),)
    told: dict[str, tuple[Use, ...]] = {}
    for step in plan.steps:
        fitted = {row.parts[k] for m in step.moves if not m.group for k in m.parts}
        if "disc_spring" in fitted or {row.parts[k] for k in step.focus} == {"disc_spring"}:
            told[step.id] = said
    return told


def make_fleet_head(row: FleetHead) -> Head:
    """Return the solids of a head of the fleet, its owner's STEP parts in their places.

    Raises:
        SolidError: where the CAD kernel fails.
        OwnPartError: if a part of the owner's cannot stand in.
    """
    from ...geometry.exchange.own_parts import with_own_parts
    from ...geometry.head.head import make_head

    head = make_head(row.tag, row.size, row.options)
    return with_own_parts(head, row.own_parts) if row.own_parts else head


def make_plans(
    row: FleetHead, sequences: tuple[Sequence, ...], mass_kg: Mapping[str, float] | None = None
) -> tuple[Plan, ...]:
    """Return the plans of a head, one a sequence."""
    return tuple(plan_head(row, s, mass_kg) for s in sequences)


def option_words(row: FleetHead, words: Words) -> tuple[tuple[str, str], ...]:
    """Return name and choice of every option of a head, in words."""
    said = []
    for f in fields(row.options):
        choice = getattr(row.options, f.name)
        if choice is False:
            continue
        text = words("page.yes") if choice is True else words.get(f"option.{f.name}.{choice}", str(choice))
        said.append((words(f"options.{f.name}"), text))
    return tuple(said)


def _standing(plans: tuple[Plan, ...]) -> tuple[Caution, ...]:
    return tuple(dict.fromkeys(c for p in plans for c in p.cautions))


def _take_pictures(
    head: Head, plans: tuple[Plan, ...], job: HeadJob, folder: Path, say: Say
) -> tuple[Manifest, dict[tuple[str, str], Manifest]]:
    """Take and write all pictures; return the overview's manifest, and those of the steps by sequence and step id."""
    from ...render.engine.part_models import make_part_models
    from ...render.pictures.overview import render_overview_with
    from ...render.pictures.picture_cache import PictureCache
    from ...render.pictures.step_pictures import render_plan
    from ...render.pictures.studio import Studio

    cache = PictureCache(job.cache) if job.cache else None
    shown: dict[tuple[str, str], Manifest] = {}
    total, before = sum(len(p.steps) for p in plans) + 1, 1
    say(f"pictures, 1 of {total}")
    models = make_part_models(head)
    with Studio(models, job.pictures, head.places_at, cache) as studio:
        overview = render_overview_with(studio)
        overview.write(folder)
    for plan in plans:

        def progress(done: int, _of: int, _title: str, before: int = before) -> None:
            say(f"pictures, {before + done} of {total}")

        taken = render_plan(models, plan, folder, job.pictures, progress, job.drawers, head.places_at, cache)
        shown.update({(plan.sequence, s.id): p.manifest for s, p in zip(plan.steps, taken, strict=True)})
        before += len(plan.steps)
    return overview.manifest, shown


def _prove(
    head: Head, plans: tuple[Plan, ...], job: HeadJob, folder: Path, stages: StageTimes, say: Say
) -> HeadProof:
    say("proof")
    with stages.stage("proof"):
        proof = prove_head(
            job.head.tag, head, plans, job.cache / EVIDENCE if job.cache else None, job.drawers
        )
        write_head_proof(proof, folder / EVIDENCE)
    return proof


def _take_pairs(
    head: Head, cards: tuple[MergedCard, ...], job: HeadJob, folder: Path, say: Say
) -> dict[str, tuple[Manifest, Manifest]]:
    """Take and write the pictures of the cards; return their manifests, right and wrong, by card id."""
    from ...render.pictures.pairs import render_pairs
    from ...render.pictures.picture_cache import PictureCache

    cache = PictureCache(job.cache) if job.cache else None
    taken: dict[str, tuple[Manifest, Manifest]] = {}
    for n, (card, pair) in enumerate(
        zip(cards, render_pairs(head, [c.scene for c in cards], job.pictures, cache), strict=True), 1
    ):
        say(f"cards, {n} of {len(cards)}")
        pair.right.write(folder)
        pair.wrong.write(folder)
        taken[card.id] = (pair.right.manifest, pair.wrong.manifest)
    return taken


def _open_head(
    head: Head, plans: tuple[Plan, ...], figures: Mapping[str, Mapping[str, PictureView]]
) -> PictureView | None:
    """Return the picture in which the cover's O-ring is fitted: the head open, with its rotors to be seen."""
    for plan in plans:
        for step in plan.steps:
            if any(head.parts[k].kind == "cover_oring" for k in step.moving):
                return figures[plan.sequence][step.id]
    return None


def _thumb(figure: PictureView | None, folder: Path) -> tuple[str, int, int]:
    """Write a small copy of a picture for the library page; return its name, width and height."""
    from PIL import Image

    assert figure is not None
    with Image.open(folder / figure.src) as image:
        small = image.convert("RGB")
        small.thumbnail(THUMB, Image.Resampling.LANCZOS)
        small.save(folder / FOLDER / "small.webp", quality=85, method=6)
    return "small.webp", small.width, small.height
