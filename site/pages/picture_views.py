"""From a finished picture and its manifest to a figure on a page: words for it, and the key to its parts."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from ...geometry.assembly import Assembly
from ...render.drawing.manifest import Manifest
from ...sequences.steps.plan import Step
from ..words.catalogue import Words
from .callouts import PAPER_OVERVIEW_WIDTH, Item, best_anchor, make_overlays, paper_overlay
from .view_models import CalloutOverlay, FilmView, Label, PartRow, PictureView
from .zone_keys import order_marks, zone_key

MEDIA_TYPES = {"avif": "image/avif", "webp": "image/webp", "png": "image/png", "jpg": "image/jpeg"}
FOLDER = "pictures"
MOST_NAMED = 8
"""A step that moves or looks at more kinds of part than this does not point them out one by one."""


@dataclass(frozen=True)
class Items:
    """Item numbers and names of the parts list, by part key."""

    assembly: Assembly
    rows: tuple[PartRow, ...]

    @property
    def by_key(self) -> Mapping[str, PartRow]:
        """Part key to its line of the parts list."""
        return {k: row for row in self.rows for k in row.keys}

    def named(self, keys: Sequence[str], words: Words) -> list[tuple[PartRow, str]]:
        """Return the lines of ``keys`` in order, each with its name in words: count or side where it matters."""
        by_key, found = self.by_key, dict[int, list[str]]()
        for key in keys:
            found.setdefault(by_key[key].item, []).append(key)
        named = []
        for keys_of in found.values():
            row = by_key[keys_of[0]]
            side = self.assembly.parts[keys_of[0]].side
            text = row.name
            if len(keys_of) > 1:
                text = words("picture.several", name=row.name, count=len(keys_of))
            elif side is not None and row.quantity > 1:
                text = words("picture.sided", name=row.name, side=words(f"side.{side}"))
            named.append((row, text))
        return named


@dataclass(frozen=True)
class PictureWords:
    """What is said of a picture: its words, whether it moves, and the parts that are pointed out by name.

    ``pointed`` are lines of the parts list with their names in words and the keys of their parts in this picture.
    """

    alt: str
    in_motion: str
    pointed: tuple[tuple[PartRow, str, tuple[str, ...]], ...]


def step_words(manifest: Manifest, step: Step, items: Items, words: Words) -> PictureWords:
    """Return what is said of a step's picture."""
    moving = list(dict.fromkeys(step.moving)) or [k for k in step.focus if k in manifest.parts]
    named = items.named(moving, words)
    names = "; ".join(text for _, text in named)
    if len(named) > MOST_NAMED:
        named, names = [], words("picture.many", count=len(named))
    if not step.moving:
        turned = step.shaft_turn_deg or not manifest.tools
        said, in_motion = "picture.shows", words("picture.film_turns" if turned else "picture.film_tool")
    elif all(m.into for m in step.moves):
        said, in_motion = "picture.moves", words("picture.film_moves", parts=names)
    else:
        said, in_motion = "picture.leaves", words("picture.film_leaves", parts=names)
    alt = [words(said, title=step.title, parts=names)]
    if manifest.tools:
        tools = dict.fromkeys(words(f"tool_name.{t.tool}") for t in manifest.tools)
        alt.append(words("picture.tools", tools=", ".join(tools)))
    if manifest.zones:
        painted = dict.fromkeys(words(f"zone.{z.treatment}") for z in manifest.zones)
        alt.append(words("picture.painted", treatments=", ".join(painted)))
    return PictureWords(
        " ".join(alt),
        in_motion,
        tuple((row, text, tuple(k for k in moving if k in row.keys)) for row, text in named),
    )


def overview_words(items: Items, words: Words) -> PictureWords:
    """Return what is said of the exploded overview."""
    pointed = tuple((row, row.name, row.keys) for row in items.rows)
    return PictureWords(words("picture.overview", count=len(items.rows)), "", pointed)


def step_picture_view(manifest: Manifest, step: Step, items: Items, words: Words) -> PictureView:
    """Return the figure of a step's picture."""
    told = step_words(manifest, step, items, words)
    pointed = [Item(str(row.item), text, spot) for row, text, spot in _spots(manifest, told)]
    marks = [o.at for o in manifest.order]
    figure = _figure(
        manifest,
        make_overlays(pointed, manifest.width, manifest.height, named=True, avoid=marks),
        alt=told.alt,
        caption=_caption(manifest, items, words),
        labels=tuple(Label(str(row.item), text) for row, text, _ in told.pointed),
    )
    figure = replace(
        figure,
        zones=zone_key(manifest, words),
        order=order_marks(manifest.order),
        on_paper=paper_overlay(pointed, manifest.width, manifest.height, avoid=marks),
    )
    if (film := manifest.film) is None:
        return figure
    return replace(figure, film=FilmView(f"{FOLDER}/{film.file}", film.width, film.height, told.in_motion))


def _caption(manifest: Manifest, items: Items, words: Words) -> str:
    """Return what is said under a step's picture of how it is looked at."""
    said = [words("picture.view_changed")] if manifest.view_changed else []
    if manifest.turned_over:
        parts = "; ".join(text for _, text in items.named(manifest.turned_over, words))
        said.append(words("picture.turned_over", parts=parts))
    turned = [i for i in manifest.insets if i.view]
    if turned:
        said.append(words("picture.by_itself" if any(i.alone for i in turned) else "picture.other_side"))
    return " ".join(said)


def overview_picture_view(manifest: Manifest, items: Items, words: Words) -> PictureView:
    """Return the figure of the exploded overview, keyed to the parts list."""
    told = overview_words(items, words)
    pointed = [
        Item(str(row.item), text, spot, f"#item-{row.item}") for row, text, spot in _spots(manifest, told)
    ]
    figure = _figure(manifest, make_overlays(pointed, manifest.width, manifest.height), told.alt, "", ())
    drawn = paper_overlay(pointed, manifest.width, manifest.height, PAPER_OVERVIEW_WIDTH)
    return replace(figure, on_paper=drawn, framed=manifest.frames > 0)


def _spots(manifest: Manifest, told: PictureWords) -> Iterator[tuple[PartRow, str, tuple[float, float]]]:
    for row, text, keys in told.pointed:
        spot = best_anchor(manifest, keys)
        if spot is not None:
            yield row, text, spot


def _figure(
    manifest: Manifest,
    overlays: tuple[CalloutOverlay, ...],
    alt: str,
    caption: str,
    labels: tuple[Label, ...],
) -> PictureView:
    files = [(MEDIA_TYPES[f], f"{FOLDER}/{name}") for f, name in manifest.files.items()]
    return PictureView(
        files[-1][1], manifest.width, manifest.height, alt, caption, tuple(files[:-1]), labels, overlays
    )
