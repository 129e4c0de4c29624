"""The verbs of the command: each does its work with the arguments given, reports it, and returns the exit status."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

from .exit_words import GOOD, USER

if TYPE_CHECKING:
    from .booklets.head_job import Form
    from .booklets.library import Built

DEMO = "demo"
DEMO_FLEET = Path(__file__).with_name("demo")
DEMO_VALVE = "demo-valve"
DEMO_ASSEMBLY = Path(__file__).with_name("demo_valve") / "assembly.yaml"
"""The worked example of an assembly that is no pump."""
MOST_SOON = 20
"""So many readings that drift towards a limit are written out."""
MOST_PATHS = 20
"""So many paths are written out in one list."""


def build(args: argparse.Namespace) -> int:
    """Make the library of booklets of a fleet."""
    from .booklets.library import build_library
    from .build.progress import ProgressLines

    file = fleet_file(args.fleet)
    if _is_own_assembly(file):
        return _build_own(file, args)
    progress = ProgressLines()
    try:
        result = build_library(
            file,
            args.to,
            only=tuple(args.only),
            workers=args.workers,
            progress=progress,
            cache=_cache(args.afresh),
            prove=not args.unproven,
            despite_proof=args.despite_proof,
            cluster=args.cluster,
        )
    finally:
        progress.close()
    return _report_build(result, args, f"{_counted(result.heads, 'booklet')} in {args.to}")


def _build_own(file: Path, args: argparse.Namespace) -> int:
    """Make the booklet of an assembly of the user's own."""
    from .booklets.kinds.own_booklet import build_own_booklet
    from .build.progress import ProgressLines
    from .build.user_faults import UserFault

    if args.only or args.cluster:
        given = "--only" if args.only else "--cluster"
        raise UserFault(f"{file} is an assembly of your own, one booklet: leave {given} out.")
    progress = ProgressLines()
    try:
        result = build_own_booklet(
            file,
            args.to,
            workers=args.workers,
            progress=progress,
            cache=_cache(args.afresh),
            prove=not args.unproven,
            despite_proof=args.despite_proof,
        )
    finally:
        progress.close()
    return _report_build(result, args, f"The booklet is in {args.to}")


def _report_build(result: Built, args: argparse.Namespace, made: str) -> int:
    if args.timings:
        args.timings.write_text(result.stages.as_json(), "utf-8")
    print(f"{made}.")
    if args.why:
        lines = [f"  {made}" for made in result.made] or ["  nothing: all was kept from before"]
        print("\n".join(["Made anew:", *lines]))
    if result.unwritable:
        print(f"What was made could not be kept for the next build: {result.unwritable}", file=sys.stderr)
    for remark in result.remarks:
        print(f"  {remark}")
    if result.missing:
        where = args.to / ("missing.csv" if result.library else "values.html")
        print(f"{_counted(result.missing, 'value')} still missing, printed as blanks: {where}")
    if result.doubts:
        print(f"{_counted(result.doubts, 'doubt')} to look into: {args.to / 'doubts.csv'}")
    if result.shortcomings:
        print(f"{_counted(len(result.shortcomings), 'picture')} to look at before use:")
        for text in result.shortcomings:
            print(f"  {text}")
    page = args.to / "index.html"
    print(f"Open this page first, in a browser: {page}\n  {page.resolve().as_uri()}")
    return GOOD


MOST_LISTED = 20
"""Texts that are not translated are told one by one up to so many."""


def check(args: argparse.Namespace) -> int:
    """Check a fleet, or an assembly of the user's own."""
    file = fleet_file(args.fleet)
    if _is_own_assembly(file):
        _check_assembly(file)
    else:
        _check_fleet(file)
    return GOOD


def preview(args: argparse.Namespace) -> int:
    """Serve the library of a fleet while its files are edited, until it is stopped."""
    from .build.progress import ProgressLines
    from .preview.previewing import preview_fleet

    progress = ProgressLines()
    try:
        preview_fleet(
            fleet_file(args.fleet),
            args.port,
            args.only,
            _cache(),
            not args.unproven,
            lambda text: print(text, flush=True),
            progress,
        )
    except KeyboardInterrupt:
        print("The preview has ended.")
    finally:
        progress.close()
    return GOOD


def _check_assembly(file: Path) -> None:
    from .extras.checking import check_own_assembly
    from .words.report_words import own_missing_lines

    user, missing = check_own_assembly(file)
    steps = ", ".join(f"{p.title} {_counted(len(p.steps), 'step')}" for p in user.plans)
    print(f"{user.assembly.name}: {_counted(len(user.assembly.parts), 'part')}, {steps}, no mistakes found.")
    _say_all(user.remarks)
    if missing:
        print(f"{_counted(len(missing), 'value')} not on file; they will print as blanks:")
        _say_all(own_missing_lines(missing))


def _check_fleet(file: Path) -> None:
    from .extras.checking import check_fleet
    from .words.report_words import design_lines, doubt_lines, missing_lines

    summary = check_fleet(file)
    tags = summary.tags
    designs = f" of {_counted(len(summary.designs), 'design')}" if len(summary.designs) < len(tags) else ""
    print(f"{summary.plant}: {_counted(len(tags), 'head')}{designs}, no mistakes found.")
    _say_all(design_lines(summary.designs))
    if summary.missing:
        print(f"{_counted(len(summary.missing), 'value')} not on file; they will print as blanks:")
        _say_all(missing_lines(summary.missing, tags))
    if summary.doubts:
        print(
            f"{_counted(len(summary.doubts), 'doubt')} to look into; the booklets can be made all the same:"
        )
        _say_all(doubt_lines(summary.doubts, tags))
    for language, lacking, unreleased in summary.languages:
        if lacking:
            print(
                f"{_counted(len(lacking), 'text')} not translated into '{language}'; they will stand in English:"
            )
            _say_all(f"{t.where}: {t.english}" for t in lacking[:MOST_LISTED])
            if more := lacking[MOST_LISTED:]:
                _say(f"... and {len(more)} more; `benchleaf words --language {language}` writes them all")
        if unreleased:
            print(f"Nobody has released the safety texts in '{language}': every page in it says so.")
    if summary.stale:
        print(f"{_counted(len(summary.stale), 'line')} of the translations not of today's English:")
        _say_all(summary.stale)
    if summary.remarks:
        print("Of own parts that are meshes:")
        _say_all(summary.remarks)


def export(args: argparse.Namespace) -> int:
    """Write the heads for other programs, or their booklets in another form."""
    from .build.user_faults import UserFault
    from .extras.exporting import export_forms, export_heads, export_parts, export_pictures

    if args.page and not args.part:
        raise UserFault("--page goes with --part: name what is to be one page, such as --part assembly")
    if args.steps and not (args.course or args.slides or args.film):
        raise UserFault(
            "--steps goes with --course, --slides or --film: name what is to be made of these steps"
        )

    if args.language and not (args.part or args.pictures or args.course or args.slides):
        raise UserFault(
            "--language goes with --part, --pictures, --course or --slides: the models hold no sentences"
        )
    file = fleet_file(args.fleet)
    what_of = "assembly" if _is_own_assembly(file) else "head"
    if args.part:
        sizes = () if args.page else (args.paper,)
        heads = export_parts(file, args.to, args.only, args.part, sizes, _cache(), language=args.language)
        what = "one page" if args.page else f"PDF, {args.paper}"
        print(f"{args.part} of {_counted(heads, 'booklet')} as {what} in {args.to}.")
    elif args.zip:
        _export_zip(file, args)
    elif args.course or args.slides:
        form: Form = "course" if args.course else "slides"
        heads = export_forms(
            file, args.to, args.only, form, tuple(args.steps), _cache(), language=args.language
        )
        what = "a course for a learning system (SCORM 1.2)" if args.course else "slides (PPTX)"
        print(f"{_counted(heads, 'booklet')} as {what} in {args.to}.")
    elif args.film:
        from .extras.film.film_export import export_films

        films = export_films(file, args.to, args.only, args.steps, _say, _cache())
        print(f"{_counted(films, 'film')} as MP4 and WebM, captions beside them, in {args.to}.")
    elif args.pictures:
        pictures, heads = export_pictures(file, args.to, args.only, _say, _cache(), language=args.language)
        print(f"{_counted(pictures, 'picture')} of {_counted(heads, what_of)} as SVG in {args.to}.")
    else:
        heads = export_heads(file, args.to, args.only, _say)
        print(f"{_counted(heads, what_of)} as STEP and glTF in {args.to}.")
    return GOOD


def _export_zip(file: Path, args: argparse.Namespace) -> None:
    from .build.progress import ProgressLines
    from .extras.sharing.shared_library import share_library

    progress = ProgressLines()
    try:
        shared = share_library(file, args.to, args.only, progress, _cache())
    finally:
        progress.close()
    size = f"{shared.bytes / 1e6:.1f} MB"
    print(f"{_counted(shared.built.heads, 'booklet')} in {args.to / shared.name}, {size}.")
    for remark in shared.built.remarks:
        print(f"  {remark}")


def evidence(args: argparse.Namespace) -> int:
    """Write what the solids prove; status 2 where a sequence cannot be done."""
    file = fleet_file(args.fleet)
    lines = _assembly_evidence(file, args) if _is_own_assembly(file) else _fleet_evidence(file, args)
    if not lines:
        print("Every sequence can be done as written.")
        return GOOD
    print("\n".join(["These cannot be done as written:", *lines]), file=sys.stderr)
    return USER


def _fleet_evidence(file: Path, args: argparse.Namespace) -> list[str]:
    from .build.user_faults import fault_lines
    from .extras.evidence_files import write_fleet_evidence

    found = write_fleet_evidence(file, args.to, args.only, _cache(args.afresh), _say)
    print(f"{_counted(len(found), 'head')} proven, evidence in {args.to}.")
    return fault_lines(found)


def _assembly_evidence(file: Path, args: argparse.Namespace) -> list[str]:
    from .build.user_faults import UserFault
    from .extras.assembly_evidence import write_assembly_evidence

    if args.only:
        raise UserFault(f"{file} is an assembly of your own, which has no tags: leave --only out.")
    name, faults = write_assembly_evidence(file, args.to, _cache(args.afresh), _say)
    print(f"{name} proven. Open {args.to / 'index.html'} in a browser.")
    return [f"  {text}" for text in faults]


def spares(args: argparse.Namespace) -> int:
    """Write the spares kit of some pumps as one table."""
    from .extras.spares import write_spares

    lines, heads = write_spares(_only_fleet_file(args.fleet), args.to, args.only)
    print(f"{_counted(lines, 'line')} of spares for {_counted(heads, 'head')} in {args.to}.")
    return GOOD


def records(args: argparse.Namespace) -> int:
    """Gather exported records over time; status 2 where a file had to be left out."""
    from ..sequences.files.faults import printable
    from .extras.records import write_records

    found = write_records(args.records, args.to, args.only)
    counted = f"{_counted(found.records, 'record')} of {_counted(len(found.tags), 'tag')}"
    print(
        f"{counted}, {found.series} readings over time in {args.to}. Open {args.to / 'index.html'} in a browser."
    )
    if found.soon:
        print("What reaches its limit first:")
        _say_all(printable(line) for line in found.soon[:MOST_SOON])
    if more := found.soon[MOST_SOON:]:
        _say(f"... and {len(more)} more, on the page")
    if found.remarks:
        print("Readings left out:")
        _say_all(printable(r) for r in found.remarks)
    if found.faults is None:
        return GOOD
    print(f"Files left out. {found.faults}", file=sys.stderr)
    return USER


def verify(args: argparse.Namespace) -> int:
    """Tell whether a folder, or a zip file of one, is as it was written; status 2 where it is not."""
    from .build.folders import named
    from .extras.sharing.verification import verify

    verified = verify(args.folder)
    found, count = verified.found, len(verified.mark.files)
    if not found and not verified.cut_off:
        size = f"{verified.bytes / 1e6:.1f} MB"
        print(
            f"{args.folder}: {_counted(count, 'file')}, {size}, as benchleaf {verified.mark.verb} wrote them."
        )
        return GOOD
    lines = [f"{args.folder} is not as benchleaf {verified.mark.verb} wrote it:"]
    if verified.cut_off:
        lines.append("  the end of the zip file is missing: unpacking programs may refuse it")
    for what, paths in (("changed", found.changed), ("missing", found.missing), ("not ours", found.foreign)):
        if paths:
            lines.append(f"  {what}: {named(list(paths), MOST_PATHS)}")
    if args.folder.is_file():
        lines.append("Copy it again from where it came, or make it again.")
    elif found.changed or found.missing:
        lines.append("Make it again; what is not ours has to be moved elsewhere first.")
    print("\n".join(lines), file=sys.stderr)
    return USER


def store(args: argparse.Namespace) -> int:
    """Tell what is kept from build to build, or clear it."""
    from ..sequences.work.store import Store
    from .build.kept_results import most_bytes, store_folder

    kept = Store(store_folder())
    size = kept.size()
    held = (
        f"{_counted(size.entries, 'result')}, {size.bytes / 1e6:.0f} MB of at most {most_bytes() / 1e6:.0f}"
    )
    if args.clear:
        kept.clear()
        print(f"Cleared {kept.folder}: {held}. The next build makes everything anew.")
    else:
        print(f"{kept.folder}: {held}.")
    return GOOD


def new(args: argparse.Namespace) -> int:
    """Begin a new fleet, or an assembly of one's own from CAD files."""
    if args.from_files:
        return _new_assembly(args)
    from .extras.starter import write_starter

    file = write_starter(args.folder, args.table)
    print(f"Wrote {file}{' and pumps.xlsx beside it' if args.table else ''}. Fill it in, then:")
    print(f"  benchleaf check {args.folder}")
    print(f"  benchleaf preview {args.folder}")
    print(f"  benchleaf build {args.folder} --to library")
    print("What your plant adds goes into the folder additions; benchleaf explain tells what a key means.")
    return GOOD


def _new_assembly(args: argparse.Namespace) -> int:
    from ..sequences.files.faults import printable
    from .extras.assemblies.from_files import begin_from

    begun = begin_from(args.from_files, args.folder, args.unit, _say)
    print(
        f"Wrote {begun.file}: {_counted(begun.parts, 'part')} of {_counted(begun.kinds, 'kind')}, and a first order."
    )
    _say_all(printable(r) for r in begun.remarks[:MOST_PATHS])
    if more := begun.remarks[MOST_PATHS:]:
        _say(f"... and {len(more)} more, at the head of the file")
    print("Rename parts and steps, say why, then:")
    print(f"  benchleaf check {begun.file}")
    print(f"  benchleaf build {begun.file} --to booklet")
    return GOOD


def explain(args: argparse.Namespace) -> int:
    """Tell what a key of the files means."""
    from .extras.explaining import explained, known_words

    print("\n".join(explained(args.key) if args.key else known_words()))
    return GOOD


def fleet_file(given: str) -> Path:
    """Return the fleet file that the user means.

    Raises:
        UserFault: if there is none.
    """
    from .build.user_faults import UserFault

    if given == DEMO_VALVE:
        return DEMO_ASSEMBLY
    path = DEMO_FLEET if given == DEMO else Path(given)
    if path.is_dir():
        inside = next((path / f for f in ("fleet.yaml", "assembly.yaml") if (path / f).is_file()), None)
        if inside is None:
            begin = "Name the file itself, or begin one: benchleaf new my-fleet"
            raise UserFault(f"{path} holds no fleet.yaml and no assembly.yaml. {begin}")
        return inside
    if not path.exists():
        raise UserFault(f"{path} does not exist. Name a fleet file, or begin one: benchleaf new my-fleet")
    return path


def words(args: argparse.Namespace) -> int:
    """Write the table that a plant translates its pages by."""
    from .build.languages.word_tables import write_words

    made = write_words(fleet_file(args.fleet), args.language, args.to)
    total = made.translated + made.missing + made.stale
    states = f"{made.translated} translated, {made.missing} missing, {made.stale} stale"
    print(f"{_counted(total, 'text')} in {made.file}: {states}.")
    if made.left_out:
        print(f"{_counted(made.left_out, 'line')} left out, of texts that the fleet does not use any more.")
    print(
        f"Name it in the fleet file (booklet > translations), and {args.language} under booklet > languages."
    )
    print(
        "Safety texts count as released once a qualified person has released them: booklet > released, with language, "
        f"role, date, and texts: {made.safety}"
    )
    return GOOD


def _is_own_assembly(file: Path) -> bool:
    from ..sequences.fleet.file_kind import is_user_assembly

    return file.parent != DEMO_FLEET and is_user_assembly(file)


def _only_fleet_file(given: str) -> Path:
    """Return the fleet file that the user means, for what only a fleet has.

    Raises:
        UserFault: if there is none, or it is an assembly of the user's own.
    """
    from .build.user_faults import UserFault

    file = fleet_file(given)
    if _is_own_assembly(file):
        raise UserFault(
            f"This is made of a fleet alone; {file} is an assembly of your own, not a fleet. Make its booklet: "
            f"benchleaf build {file}"
        )
    return file


def _cache(afresh: bool = False) -> Path | None:
    from .build.kept_results import store_folder

    return None if afresh else store_folder()


def _say(text: str) -> None:
    print(f"  {text}", flush=True)


def _say_all(lines: Iterable[str]) -> None:
    for line in lines:
        _say(line)


def _counted(count: int, name: str) -> str:
    return f"{count} {name}" if count == 1 else f"{count} {name}s"
