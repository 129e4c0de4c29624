"""A head in a notebook: its picture, its parts and what its solids prove, shown as soon as they end a cell.

    from benchleaf.site.notebook import head, own_assembly
    p = head("demo", "P-101")          # or own_assembly("latch.yaml")
    p.picture()                        # taken apart; p.picture("assembly", 5): as its fifth step shows it
    p.evidence("assembly")             # each move with its way and its smallest gap; p.proof("assembly"): typed

Nothing heavy is imported before it is asked for; what is proven is kept in the same store as a build's.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from functools import cached_property
from html import escape
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ..geometry.assembly import Assembly
    from ..sequences.proof.evidence import Evidence
    from ..sequences.steps.plan import Plan

WIDTH = 1040
"""Width of a picture in pixels where no other is asked for."""


@dataclass(frozen=True)
class NotebookPicture:
    """A picture, drawn; a notebook shows it."""

    png: bytes = field(repr=False)
    alt: str
    width: int
    height: int

    def _repr_png_(self) -> bytes:
        return self.png

    def save(self, file: str | Path) -> Path:
        """Write it as PNG and return the file.

        Raises:
            OSError: if it cannot be written.
        """
        Path(file).write_bytes(self.png)
        return Path(file)


@dataclass(frozen=True)
class NotebookTable:
    """Rows under a heading: a table in a notebook, lines in a terminal."""

    title: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]

    def _repr_html_(self) -> str:
        head = "".join(f"<th>{escape(c)}</th>" for c in self.columns)
        body = "".join("<tr>" + "".join(f"<td>{escape(c)}</td>" for c in r) + "</tr>" for r in self.rows)
        caption = f"<caption>{escape(self.title)}</caption>"
        return f"<table>{caption}<thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>"

    def __str__(self) -> str:
        return "\n".join([self.title, *(" | ".join(row) for row in (self.columns, *self.rows))])


@dataclass(frozen=True)
class NotebookAssembly:
    """A head, or an assembly of the owner's own, with its sequences."""

    name: str
    assembly: Assembly = field(repr=False)
    plans: tuple[Plan, ...] = field(repr=False)
    """With all their texts, and what the plant adds."""

    @cached_property
    def parts(self) -> NotebookTable:
        """Its parts list: equal parts counted together."""
        from .pages.booklet import make_parts_list
        from .words.catalogue import load_words

        rows = make_parts_list(self.assembly, load_words())
        cells = tuple((str(r.item), r.name, str(r.quantity), r.material) for r in rows)
        return NotebookTable(f"{self.name}: parts", ("Item", "Part", "Quantity", "Material"), cells)

    def steps(self, sequence: str = "assembly") -> NotebookTable:
        """Return the steps of a sequence.

        Raises:
            KeyError: naming the sequences that there are, if this is none.
        """
        plan = self.plan(sequence)
        rows = tuple((str(s.number), s.id, s.title) for s in plan.steps)
        return NotebookTable(f"{self.name}: {plan.title}", ("Step", "Id", "Title"), rows)

    def picture(self, sequence: str = "", step: int = 0, width: int = WIDTH) -> NotebookPicture:
        """Return it taken apart; with a sequence and a step's number from 1, as that step shows it, without tools.

        Raises:
            KeyError: naming what there is, if there is no such sequence or step.
            NoGraphics: if this machine cannot draw.
        """
        from ..render.drawing.settings import PictureSettings
        from ..render.engine.gl_probe import ensure_graphics
        from ..render.pictures.overview import render_overview_with
        from ..render.pictures.step_pictures import choose_views, render_step
        from ..render.pictures.studio import Studio

        usual = PictureSettings()
        share = width / (usual.width if sequence else usual.overview_width)
        settings = replace(
            usual,
            width=round(usual.width * share),
            height=round(usual.height * share),
            overview_width=round(usual.overview_width * share),
            overview_height=round(usual.overview_height * share),
            film_frames=0,
        )
        plan = self.plan(sequence) if sequence else None
        if plan is not None and not 1 <= step <= len(plan.steps):
            raise KeyError(f"no step {step} in {sequence}; its steps are 1 to {len(plan.steps)}")
        ensure_graphics()
        with Studio(self.assembly, settings) as studio:
            if plan is None:
                content, alt = render_overview_with(studio).content, f"{self.name}, taken apart"
            else:
                until = replace(plan, steps=plan.steps[:step])
                shown = until.steps[-1]
                content, alt = (
                    render_step(studio, shown, choose_views(studio, until)[-1], "step").content,
                    shown.title,
                )
        return _as_png(next(iter(content.values())), alt)

    def evidence(self, sequence: str = "assembly") -> NotebookTable:
        """Return what the solids prove: a row for each move. The first time a head takes a minute.

        Raises:
            KeyError: naming the sequences that there are, if this is none.
            MeshError, OverlapError: if a solid is not fit for the proof.
        """
        found = self.proof(sequence)
        faults, moves = len(found.violations), len(found.moves)
        said = f"{faults or 'no'} {'fault' if faults == 1 else 'faults'}"
        title = f"{self.name}, {sequence}: {moves} {'move' if moves == 1 else 'moves'}, {said}"
        return NotebookTable(title, ("Step", "Parts", "Way", "Smallest gap"), tuple(_move_rows(found)))

    def proof(self, sequence: str = "assembly") -> Evidence:
        """Return the evidence itself, typed.

        Raises:
            KeyError, MeshError, OverlapError: as :meth:`evidence`.
        """
        from ..sequences.proof.prove import prove
        from .build.kept_results import open_store, store_folder

        plan = self.plan(sequence)
        with open_store(store_folder()) as store:
            return prove(self.assembly, plan, store=store)

    def plan(self, sequence: str) -> Plan:
        """Return one of its plans.

        Raises:
            KeyError: naming those that there are, if this is none.
        """
        for plan in self.plans:
            if plan.sequence == sequence:
                return plan
        raise KeyError(f"no sequence {sequence}; there are: {', '.join(p.sequence for p in self.plans)}")

    def _repr_html_(self) -> str:
        rows = tuple((p.title, f"{len(p.steps)} steps") for p in self.plans)
        count = f"{len(self.assembly.parts)} parts"
        return NotebookTable(f"{self.name}: {count}", ("Sequence", ""), rows)._repr_html_()


def head(fleet: str | Path, tag: str) -> NotebookAssembly:
    """Return one pump of a fleet; ``demo`` is the invented plant that comes along.

    Raises:
        FaultsFound: with every mistake of the fleet's files.
        UserFault: if there is no such file.
        KeyError: naming the nearest tag, if there is no such pump.
        SolidError, OwnPartError: if a part cannot be made.
    """
    from ..sequences.calculations.load_fleet import load_fleet
    from ..sequences.proof.head_work import head_works
    from .booklets.head_pages import plans_in_words
    from .verbs import fleet_file
    from .words.catalogue import load_words

    loaded = load_fleet(fleet_file(str(fleet)))
    work = next(iter(head_works(loaded, [loaded.head(tag)])))
    return NotebookAssembly(work.row.tag, work.head, plans_in_words(work, load_words()))


def own_assembly(file: str | Path) -> NotebookAssembly:
    """Return an assembly of the owner's own.

    Raises:
        FaultsFound: with every mistake of its files.
    """
    from ..sequences.fleet.user_assembly import load_user_assembly
    from ..sequences.own.own_work import own_work
    from .booklets.kinds.own_kind import own_words
    from .extras.assembly_evidence import in_words
    from .words.catalogue import load_words

    user = load_user_assembly(Path(file))
    row = own_work(user, Path(file).resolve()).row
    user = in_words(user, row, own_words(load_words(), row))
    return NotebookAssembly(user.assembly.name, user.assembly, user.plans)


def _move_rows(found: Evidence) -> Iterator[tuple[str, ...]]:
    for move in found.moves:
        path = move.path
        way = "clear" if path.clear else f"stopped by {', '.join(dict.fromkeys(b.by for b in path.blocks))}"
        gap = f"{path.gap.mm:.2f} mm" if path.gap else ""
        yield f"{move.step} {move.step_id}", ", ".join(move.parts), way, gap


def _as_png(content: bytes, alt: str) -> NotebookPicture:
    from PIL import Image

    out = BytesIO()
    with Image.open(BytesIO(content)) as picture:
        picture.convert("RGB").save(out, "PNG")
        return NotebookPicture(out.getvalue(), alt, *picture.size)
