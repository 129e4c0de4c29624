"""Lead a fleet through the rooms: check everything, then make every booklet and the library, then show the folder."""

from __future__ import annotations

import json
import os
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ...sequences.calculations.doubts import Doubt
from ...sequences.calculations.load_fleet import load_fleet
from ...sequences.calculations.plausibility import doubts
from ...sequences.fleet.heads import Fleet, FleetHead, plan_head
from ...sequences.proof.head_proof import refusal
from ...sequences.steps.asked_values import asked_values
from ...sequences.values.sourced_values import Missing, missing_values
from ...sequences.values.value_changes import changed, snapshot
from ..pages.pages import Setting, write_library
from ..words.catalogue import Words, load_words
from ..words.value_words import ChangeText, change_in_words
from .folders import MARK, check_target, swapped_in
from .head_booklet import HeadJob
from .progress import Progress, Silent
from .pruning import prune
from .timings import StageTimes
from .workers import run_jobs, worker_count

if TYPE_CHECKING:
    from ...render.drawing.settings import PictureSettings

STATE_FORM = 1


class BuildFault(Exception):
    """Something the user can mend; the message says what and how."""


@dataclass(frozen=True)
class HeadSummary:
    """A checked head: its tag, and title and number of steps of each sequence."""

    tag: str
    steps: tuple[tuple[str, int], ...]


@dataclass(frozen=True)
class Summary:
    """A checked fleet, the values that its steps ask for and nobody has given, and what speaks against others."""

    plant: str
    heads: tuple[HeadSummary, ...]
    missing: tuple[Missing, ...]
    doubts: tuple[Doubt, ...] = ()


@dataclass(frozen=True)
class Built:
    """A library that has been written."""

    heads: int
    missing: int
    stages: StageTimes
    doubts: int = 0
    shortcomings: tuple[str, ...] = ()
    """Tag, sequence, step and reason of each picture that does not show what it has to."""


def check_fleet(file: Path) -> Summary:
    """Check a fleet with all its files, without making a solid.

    Raises:
        FaultsFound: with every mistake.
    """
    fleet = load_fleet(file)
    plans = {h.tag: [plan_head(h, s) for s in fleet.sequences.values()] for h in fleet.heads}
    missing = missing_values(
        {h.tag: h.values for h in fleet.heads}, {tag: asked_values(p) for tag, p in plans.items()}
    )
    return Summary(
        fleet.plant,
        tuple(HeadSummary(tag, tuple((p.title, len(p.steps)) for p in of)) for tag, of in plans.items()),
        tuple(missing),
        tuple(d for h in fleet.heads for d in doubts(h)),
    )


def _picture_settings(fleet: Fleet) -> PictureSettings:
    """Return the settings of a booklet's pictures: WebP, and JPEG for other browsers where the fleet asks for it."""
    from ...render.drawing.settings import PictureSettings

    return PictureSettings(formats=("webp", "jpg") if fleet.booklet.jpeg else ("webp",))


def build_library(
    file: Path,
    to: Path,
    only: tuple[str, ...] = (),
    workers: int | None = None,
    progress: Progress | None = None,
    pictures: PictureSettings | None = None,
    cache: Path | None = None,
    prove: bool = False,
    despite_proof: bool = False,
) -> Built:
    """Make the library of a fleet in the folder ``to``, which is replaced whole at the end.

    Args:
        file: the fleet file.
        to: a new folder, or one that this program wrote before.
        only: plant tags; left out, every head of the fleet.
        workers: heads worked on at the same time, each in a process of its own; 1 works in this process.
        progress: told of every step of the work.
        cache: folder in which pictures are kept for the next build; left out, none are kept.
        pictures: size and format of the pictures; left out, those for booklets, in the formats that the fleet asks for.
        prove: whether the solids are asked for evidence: minutes for each head the first time.
        despite_proof: whether to build also where the proof finds a fault; every page then says so.

    Raises:
        FaultsFound: with every mistake in the data.
        BuildFault, FolderFault, MissingLibrary, NoGraphics, OwnPartError, WorkerLost: something else the user can mend.
        OSError: if the folder cannot be written.
    """
    from ...render.engine.gl_probe import ensure_graphics
    from .system_libraries import check_libraries

    progress = progress or Silent()
    stages = StageTimes()
    with stages.stage("data"):
        progress.say("checking the data")
        check_target(to)
        fleet = load_fleet(file)
        heads = chosen_heads(fleet, only)
        setting = _setting(fleet)
    with stages.stage("probe"):
        progress.say("looking for a way to draw")
        check_libraries()
        ensure_graphics()
    state = _next_state(_read_state(to), heads)
    with swapped_in(to) as folder:
        jobs = [
            HeadJob(
                h,
                tuple(fleet.sequences.values()),
                setting,
                fleet.booklet.revision,
                _changes(state, h, setting.words),
                folder,
                pictures or _picture_settings(fleet),
                cache,
                prove=prove,
                despite_proof=despite_proof,
            )
            for h in heads
        ]
        done = run_jobs(jobs, worker_count(workers, len(jobs)), progress)
        for d in done:
            stages.add(d.stages)
        refused = {d.line.tag: d.faults for d in done if d.faults}
        if refused and not despite_proof:
            raise BuildFault(refusal(refused, "build all the same with --despite-proof"))
        with stages.stage("library"):
            progress.say("the library page")
            missing = tuple(m for d in done for m in d.missing)
            in_doubt = tuple(x for d in done for x in d.doubts)
            write_library(tuple(d.line for d in done), missing, folder, setting, in_doubt)
            (folder / MARK).write_text(
                json.dumps(state, indent=1, sort_keys=True, ensure_ascii=False), "utf-8"
            )
    if cache is not None:
        prune(cache)
    shortcomings = tuple(f"{d.line.tag}, {text}" for d in done for text in d.shortcomings)
    return Built(len(done), len(missing), stages, len(in_doubt), shortcomings)


def chosen_heads(fleet: Fleet, only: tuple[str, ...]) -> tuple[FleetHead, ...]:
    """Return the heads of these tags in the order of the fleet; all of them where none is named.

    Raises:
        BuildFault: naming every tag that the fleet does not have.
    """
    if not only:
        return fleet.heads
    heads, unknown = [], []
    for tag in only:
        try:
            heads.append(fleet.head(tag))
        except KeyError as e:
            unknown.append(str(e.args[0]))
    if unknown:
        raise BuildFault("\n".join(unknown))
    return tuple(h for h in fleet.heads if h in heads)


def _setting(fleet: Fleet) -> Setting:
    try:
        words = load_words(fleet.booklet.language)
    except LookupError as e:
        raise BuildFault(f"{fleet.file.name} (booklet > language): {e.args[0]}") from e
    return Setting(
        words, fleet.plant, fleet.demo, fleet.booklet.date or build_date(), title=fleet.booklet.title or ""
    )


def build_date() -> str:
    """Return today's date in UTC, or that of ``SOURCE_DATE_EPOCH``.

    Raises:
        BuildFault: if ``SOURCE_DATE_EPOCH`` is no number of seconds.
    """
    epoch = os.environ.get("SOURCE_DATE_EPOCH")
    if epoch is None:
        return datetime.now(UTC).date().isoformat()
    try:
        return datetime.fromtimestamp(int(epoch), UTC).date().isoformat()
    except (ValueError, OverflowError, OSError) as e:
        raise BuildFault(f"SOURCE_DATE_EPOCH is '{epoch}'; allowed: whole seconds since 1970-01-01") from e


# ---- what changed
def _read_state(to: Path) -> Mapping[str, Any]:
    """Return what the last build of this library kept, empty where there is none or it cannot be read."""
    try:
        state = json.loads((to / MARK).read_text("utf-8"))
    except (OSError, ValueError):
        return {}
    sound = (
        isinstance(state, dict) and state.get("form") == STATE_FORM and isinstance(state.get("heads"), dict)
    )
    return state["heads"] if sound else {}


def _next_state(old: Mapping[str, Any], heads: tuple[FleetHead, ...]) -> dict[str, Any]:
    """Return what this build keeps: each head's values now, and those before their last change.

    A build that changes nothing keeps the values before, so that building twice gives the same pages.
    """
    kept: dict[str, Any] = {}
    for head in heads:
        now = snapshot({head.tag: head.values})
        entry = old.get(head.tag)
        was = entry if isinstance(entry, dict) else {}
        before = was.get("before") if was.get("now") == now else was.get("now")
        kept[head.tag] = {"now": now, "before": before}
    return {"form": STATE_FORM, "heads": kept}


def _changes(state: Mapping[str, Any], head: FleetHead, words: Words) -> tuple[ChangeText, ...]:
    found = changed(state["heads"][head.tag]["before"], {head.tag: head.values})
    return tuple(change_in_words(c, words) for c in found)
