"""Callouts on a page: labels round a picture with leaders to its parts, laid out anew for each band of page widths.

Labels keep their size in pixels while the picture grows, so a layout that is free of overlaps at one width is so at
every greater one; each page carries a few, and the style sheet shows the one that fits.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from markupsafe import Markup, escape

from ...render.drawing.callouts import Callout, NoRoomForCallouts, place_callouts
from ...render.drawing.manifest import Manifest
from ...render.drawing.review import Shortcoming
from .view_models import CalloutOverlay

WIDTHS = (240, 340, 480, 640, 900)
"""Widths of the picture in CSS pixels from which a layout is used; the style sheet has a rule for each."""
NAMED_FROM = 640
"""From this width on, labels may hold names and not numbers alone."""
DISC = (26.0, 26.0)
SMALL_DISC = (20.0, 20.0)
CHARACTER_PX = 7.9
"""Mean width of a character of the page's font at the notes' size, rounded up."""
HEIGHT_PX = 26.0
GAP_PX = 5.0
SMALL_GAP_PX = 3.0


@dataclass(frozen=True)
class Item:
    """What to point out: its number and name, where it is (fractions of the picture), and where its label leads."""

    number: str
    name: str
    anchor: tuple[float, float]
    href: str = ""


def best_anchor(manifest: Manifest, keys: Sequence[str]) -> tuple[float, float] | None:
    """Return the anchor of the best seen of equal parts, None where none is seen."""
    key = best_seen(manifest, keys)
    return manifest.parts[key].anchor if key else None


def best_seen(manifest: Manifest, keys: Sequence[str]) -> str | None:
    """Return the best seen of equal parts, None where none is seen.

    Of those that carry numbers in the picture it is the nearest to the border: a leader to another would run through
    the numbers on its way.
    """
    seen = [k for k in keys if k in manifest.parts and manifest.parts[k].anchor is not None]
    numbered = {o.part for o in manifest.order}
    if len(numbered.intersection(seen)) > 1:
        most = max(manifest.parts[k].visible_px for k in seen)
        seen = [k for k in seen if manifest.parts[k].visible_px >= most / 2]
        return min(seen, key=lambda k: _from_border(manifest.parts[k].anchor))
    return max(seen, key=lambda k: manifest.parts[k].visible_px) if seen else None


def _from_border(anchor: tuple[float, float] | None) -> float:
    return min(min(a, 1.0 - a) for a in anchor) if anchor else 1.0


def make_overlays(
    items: Sequence[Item],
    width: int,
    height: int,
    named: bool = False,
    avoid: Sequence[tuple[float, float]] = (),
) -> tuple[CalloutOverlay, ...]:
    """Return the layouts of the callouts for all of :data:`WIDTHS` at which they find room, equal neighbours as one.

    Args:
        items: what to point out; no two of one number.
        width, height: of the picture, any unit.
        named: whether wide layouts may show names.
        avoid: where numbers stand in the picture, fractions of it.
    """
    anchors = {i.number: i.anchor for i in items}
    by_number = {i.number: i for i in items}
    laid_out: list[tuple[Markup, str, list[int]]] = []
    for at in WIDTHS if items else ():
        shown = (float(at), at * height / width)
        placed = _named(anchors, by_number, shown, avoid) if named and at >= NAMED_FROM else ()
        with_names = bool(placed)
        for disc, gap in () if placed else ((DISC, GAP_PX), (SMALL_DISC, SMALL_GAP_PX)):
            try:
                placed = place_callouts(anchors, shown, disc, gap_px=gap, avoid=avoid)
                break
            except NoRoomForCallouts:
                continue
        if not placed:
            continue  # the list under the picture still names the parts
        size = "" if with_names or disc == DISC else " small"
        inner = _markup(placed, by_number, with_names)
        if laid_out and laid_out[-1][:2] == (inner, size):  # many keep their places as the picture grows
            laid_out[-1][2].append(at)
        else:
            laid_out.append((inner, size, [at]))
    hidden = Markup("" if any(i.href for i in items) else ' aria-hidden="true"')
    return tuple(
        CalloutOverlay(
            Markup('<div class="calls{}{}"{}>{}</div>').format(
                "".join(f" from-{at}" for at in widths), size, hidden, inner
            ),
            tuple(widths),
        )
        for inner, size, widths in laid_out
    )


PAPER_WIDTH, PAPER_OVERVIEW_WIDTH = 340.0, 760.0
"""Widths of a step's picture and of the overview on paper, in units of the drawing that is laid over them."""
PAPER_MARGIN = 30.0 / 340.0
"""Margin round a picture on paper, as a share of its width: the style sheet leaves as much."""
PAPER_DISC = (24.0, 24.0)
INK = "#1b1d1f"


def paper_overlay(
    items: Sequence[Item],
    width: int,
    height: int,
    wide: float = PAPER_WIDTH,
    avoid: Sequence[tuple[float, float]] = (),
) -> Markup:
    """Return the numbers of ``items`` with their leaders as one drawing, over the picture and the margin round it.

    On paper a picture has one width, and what makes PDF files knows no container queries; where the numbers find no
    room, the list beside the picture still names the parts.

    Args:
        items: what to point out; no two of one number.
        width, height: of the picture, any unit.
        wide: its width in units of the drawing; the greater, the smaller the numbers.
        avoid: where numbers stand in the picture, fractions of it.
    """
    high, margin = wide * height / width, PAPER_MARGIN * wide
    try:
        placed = place_callouts(
            {i.number: i.anchor for i in items}, (wide, high), PAPER_DISC, gap_px=GAP_PX, avoid=avoid
        )
    except NoRoomForCallouts:
        return Markup()
    if not placed:
        return Markup()
    reach = PAPER_DISC[0] / 2
    away = {"top": (0.0, -1.0), "bottom": (0.0, 1.0), "left": (-1.0, 0.0), "right": (1.0, 0.0)}
    lines, ends, discs, numbers = [], [], [], []
    for c in placed:
        (px, py), (ax, ay) = ((x * wide, y * high) for x, y in (c.port, c.anchor))
        dx, dy = (d * (GAP_PX + reach) for d in away[c.band])
        lines.append(f"M{px:.1f} {py:.1f}L{ax:.1f} {ay:.1f}")
        ends.append(f'<circle cx="{ax:.1f}" cy="{ay:.1f}" r="3"/>')
        discs.append(f'<circle cx="{px + dx:.1f}" cy="{py + dy:.1f}" r="{reach - 1:g}"/>')
        numbers.append(f'<text x="{px + dx:.1f}" y="{py + dy + 4.7:.1f}">{escape(c.key)}</text>')
    box = f"{-margin:g} {-margin:g} {wide + 2 * margin:g} {high + 2 * margin:g}"
    line = "".join(lines)
    return Markup(
        f'<svg class="on-paper" viewBox="{box}" aria-hidden="true"><g fill="none">'
        f'<path stroke="#fff" stroke-width="3.6" d="{line}"/><path stroke="{INK}" stroke-width="1.3" d="{line}"/></g>'
        f'<g fill="{INK}" stroke="#fff">{"".join(ends)}</g>'
        f'<g fill="#fff" stroke="{INK}" stroke-width="1.5">{"".join(discs)}</g>'
        f'<g fill="{INK}" font-family="Benchleaf Sans" font-weight="700" font-size="13" text-anchor="middle">'
        f"{''.join(numbers)}</g></svg>"
    )


def review_callouts(step: str, overlays: Sequence[CalloutOverlay]) -> list[Shortcoming]:
    """Return a shortcoming where the callouts of a step's picture lack a layout at some of :data:`WIDTHS`.

    No callouts at all is none: a part may be inside others, or be seen in its close-up alone.
    """
    lacking = len(WIDTHS) - sum(len(o.widths) for o in overlays)
    if not overlays or not lacking:
        return []
    reason = f"its callouts find no room at {lacking} of {len(WIDTHS)} page widths"
    return [Shortcoming(step, "", reason)]


def _named(
    anchors: Mapping[str, tuple[float, float]],
    items: Mapping[str, Item],
    shown: tuple[float, float],
    avoid: Sequence[tuple[float, float]],
) -> tuple[Callout, ...]:
    widest = max(len(f"{i.number} {i.name}") for i in items.values()) * CHARACTER_PX + 24
    try:
        return place_callouts(anchors, shown, (widest, HEIGHT_PX), ("top", "bottom"), GAP_PX, avoid)
    except NoRoomForCallouts:
        return ()


def _markup(placed: Sequence[Callout], items: Mapping[str, Item], named: bool) -> Markup:
    # One path for all, twice: with a line each a booklet's pages would be a twentieth heavier. Whoever cannot see them
    # has the list under the picture; only links are for all.
    lines = "".join(f"M{_short(c.port)}L{_short(c.anchor)}" for c in placed)
    ends = "".join(
        f'<i style="left:{c.anchor[0] * 100:.2f}%;top:{c.anchor[1] * 100:.2f}%"></i>' for c in placed
    )
    labels = "".join(_label(c, items[c.key], named) for c in placed)
    hidden = ' aria-hidden="true"' if any(items[c.key].href for c in placed) else ""
    return Markup(
        f'<svg viewBox="0 0 1 1" preserveAspectRatio="none"{hidden}>'
        f'<path class="halo" d="{lines}"/><path d="{lines}"/></svg>{ends}{labels}'
    )


def _short(spot: tuple[float, float]) -> str:
    """Return a spot as a path has it, to a ten-thousandth of the picture.

    >>> _short((0.5, 0.12345))
    '.5 .1235'
    """
    return " ".join(f"{v:.4f}".rstrip("0").rstrip(".").removeprefix("0") or "0" for v in spot)


def _label(callout: Callout, item: Item, named: bool) -> str:
    text = f'<b class="item">{escape(item.number)}</b>' + (f" {escape(item.name)}" if named else "")
    place = f'class="call {callout.band}" style="left:{callout.port[0] * 100:.2f}%;top:{callout.port[1] * 100:.2f}%"'
    if item.href:
        return f'<a href="{escape(item.href)}" title="{escape(item.name)}" {place}>{text}</a>'
    return f"<span {place}>{text}</span>"
