"""The command ``benchleaf``: build a library of booklets, check a fleet, begin a new one.

Exit status: 0 done; 1 the program failed; 2 something the user can mend; 130 stopped by the user. Nothing heavy is
imported before it is needed, so that ``--help`` and the data checks answer at once.
"""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Callable, Sequence
from pathlib import Path

DEMO = "demo"
DEMO_FLEET = Path(__file__).with_name("demo")

GOOD, FAILED, USER, STOPPED = 0, 1, 2, 130

_FLEET_HELP = (
    "fleet file, or the folder that holds fleet.yaml; the word demo means the invented plant that comes along"
)
_BUILD = "Make the library of booklets of a fleet. The folder appears only when everything has gone well."
_CHECK = (
    "Check a fleet and its sequences: every mistake with its place, what is allowed and the likely fix; "
    "then what is still missing, and what figures speak against. Writes nothing."
)
_EXPORT = (
    "Write every head for other programs: one STEP file (mm, names, colours) and one glTF binary (metres) a head; or, "
    "for slides, the overview and every step's picture as an SVG file that holds picture and callouts."
)
_EVIDENCE = (
    "Write what the solids prove about every head: clear paths, order, wrong-way fits, angles of the shafts; one JSON "
    "file a sequence, in a folder for each head. An assembly of your own, STEP solids with sequence files over them, "
    "gets the same, and a page to read. Ends with status 2 where a sequence cannot be done as written."
)
_NEW = "Begin a new fleet: a folder with a commented fleet file to fill in. Never writes over anything."


class UserFault(Exception):
    """Something the user can mend, in words for the user."""


def parser() -> argparse.ArgumentParser:
    """Return the parser of the whole command line."""
    top = argparse.ArgumentParser(
        prog="benchleaf",
        description="Training booklets for the fluid heads of twin-rotor pumps, from one fleet file.",
        epilog="Try it: benchleaf build demo --to demo-library, then open demo-library/index.html in a browser.",
    )
    top.add_argument("--version", action="store_true", help="show the version and end")
    top.add_argument(
        "--details", action="store_true", help="on a failure, show where in the program it happened"
    )
    verbs = top.add_subparsers(dest="verb", metavar="VERB", title="verbs")

    build = verbs.add_parser("build", help="make the library of booklets of a fleet", description=_BUILD)
    build.add_argument("fleet", metavar="FLEET", help=_FLEET_HELP)
    build.add_argument(
        "--to",
        metavar="FOLDER",
        type=Path,
        default=Path("library"),
        help="folder to write (default: library)",
    )
    build.add_argument("--only", metavar="TAG", nargs="+", default=[], help="a library of only these pumps")
    build.add_argument(
        "--workers",
        metavar="N",
        type=_workers,
        default=None,
        help="heads at the same time (default: one a core, four at most)",
    )
    build.add_argument(
        "--timings", metavar="FILE", type=Path, help="also write time and peak memory of each stage as JSON"
    )
    build.add_argument(
        "--afresh", action="store_true", help="draw every picture anew, and keep none for the next build"
    )
    build.add_argument(
        "--unproven",
        action="store_true",
        help="leave out the proof of paths, order and wrong-way fits, and its pages: a minute or two less for each "
        "head that changed",
    )
    build.add_argument(
        "--despite-proof",
        action="store_true",
        help="build also where the proof finds that a sequence cannot be done; every page then says so",
    )
    build.set_defaults(run=_build)

    check = verbs.add_parser(
        "check", help="check a fleet and its sequences, write nothing", description=_CHECK
    )
    check.add_argument("fleet", metavar="FLEET", help=_FLEET_HELP)
    check.set_defaults(run=_check)

    export = verbs.add_parser(
        "export", help="write the heads as STEP and glTF, or their pictures as SVG", description=_EXPORT
    )
    export.add_argument("fleet", metavar="FLEET", help=_FLEET_HELP)
    export.add_argument(
        "--to", metavar="FOLDER", type=Path, default=Path("models"), help="folder to write (default: models)"
    )
    export.add_argument("--only", metavar="TAG", nargs="+", default=[], help="only these pumps")
    export.add_argument(
        "--pictures",
        action="store_true",
        help="write pictures as SVG, in a folder for each pump, in place of STEP and glTF",
    )
    export.set_defaults(run=_export)

    evidence = verbs.add_parser(
        "evidence", help="write what the solids prove, machine-readable", description=_EVIDENCE
    )
    evidence.add_argument(
        "fleet", metavar="FILE", help=f"{_FLEET_HELP}; or the file of an assembly of your own"
    )
    evidence.add_argument(
        "--to",
        metavar="FOLDER",
        type=Path,
        default=Path("evidence"),
        help="folder to write (default: evidence)",
    )
    evidence.add_argument("--only", metavar="TAG", nargs="+", default=[], help="only these pumps")
    evidence.add_argument(
        "--afresh", action="store_true", help="prove everything anew, and keep nothing for the next time"
    )
    evidence.set_defaults(run=_evidence)

    new = verbs.add_parser("new", help="begin a new fleet", description=_NEW)
    new.add_argument("folder", metavar="FOLDER", type=Path, help="folder to make")
    new.set_defaults(run=_new)
    return top


def _workers(text: str) -> int:
    if not text.isdigit() or not 1 <= int(text) <= 64:
        raise argparse.ArgumentTypeError(f"found {text}, allowed: a whole number from 1 to 64")
    return int(text)


def fleet_file(given: str) -> Path:
    """Return the fleet file that the user means.

    Raises:
        UserFault: if there is none.
    """
    path = DEMO_FLEET if given == DEMO else Path(given)
    if path.is_dir():
        inside = path / "fleet.yaml"
        if not inside.is_file():
            raise UserFault(
                f"{path} holds no fleet.yaml. Name the fleet file itself, or begin one: benchleaf new {path}"
            )
        return inside
    if not path.exists():
        raise UserFault(f"{path} does not exist. Name a fleet file, or begin one: benchleaf new my-fleet")
    return path


def _is_own_assembly(file: Path) -> bool:
    from ..sequences.fleet.user_assembly import is_user_assembly

    return file.parent != DEMO_FLEET and is_user_assembly(file)


def _only_fleet_file(given: str) -> Path:
    """Return the fleet file that the user means, for what only a fleet has.

    Raises:
        UserFault: if there is none, or it is an assembly of the user's own.
    """
    file = fleet_file(given)
    if _is_own_assembly(file):
        raise UserFault(
            f"{file} is an assembly of your own, not a fleet. Prove it: benchleaf evidence {file}"
        )
    return file


def cache_folder() -> Path:
    """Return the folder in which pictures are kept from one build to the next: the system's own place for such files,
    or ``BENCHLEAF_CACHE``."""
    given = os.environ.get("BENCHLEAF_CACHE")
    if given:
        return Path(given)
    if sys.platform == "win32":
        return (
            Path(os.environ.get("LOCALAPPDATA") or Path.home() / "AppData" / "Local")
            / "benchleaf"
            / "pictures"
        )
    if sys.platform == "darwin":
        return Path.home() / "Library" / "Caches" / "benchleaf" / "pictures"
    return Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache") / "benchleaf" / "pictures"


def _build(args: argparse.Namespace) -> int:
    from .build.library import build_library
    from .build.progress import ProgressLines

    progress = ProgressLines()
    try:
        result = build_library(
            _only_fleet_file(args.fleet),
            args.to,
            only=tuple(args.only),
            workers=args.workers,
            progress=progress,
            cache=None if args.afresh else cache_folder(),
            prove=not args.unproven,
            despite_proof=args.despite_proof,
        )
    finally:
        progress.close()
    if args.timings:
        args.timings.write_text(result.stages.as_json(), "utf-8")
    print(f"{_counted(result.heads, 'booklet')} in {args.to}. Open {args.to / 'index.html'} in a browser.")
    if result.missing:
        print(
            f"{_counted(result.missing, 'value')} still missing, printed as blanks: {args.to / 'missing.csv'}"
        )
    if result.doubts:
        print(f"{_counted(result.doubts, 'doubt')} to look into: {args.to / 'doubts.csv'}")
    if result.shortcomings:
        print(f"{_counted(len(result.shortcomings), 'picture')} to look at before use:")
        for text in result.shortcomings:
            print(f"  {text}")
    return GOOD


def _check(args: argparse.Namespace) -> int:
    file = fleet_file(args.fleet)
    if _is_own_assembly(file):
        from ..sequences.fleet.user_assembly import load_user_assembly

        user = load_user_assembly(file)
        steps = ", ".join(f"{p.title} {_counted(len(p.steps), 'step')}" for p in user.plans)
        print(
            f"{user.assembly.name}: {_counted(len(user.assembly.parts), 'part')}, {steps}, no mistakes found."
        )
        for remark in user.remarks:
            print(f"  {remark}")
        return GOOD
    from .build.library import check_fleet

    summary = check_fleet(file)
    print(f"{summary.plant}: {_counted(len(summary.heads), 'head')}, no mistakes found.")
    for head in summary.heads:
        steps = ", ".join(f"{title} {_counted(n, 'step')}" for title, n in head.steps)
        print(f"  {head.tag}: {steps}")
    if summary.missing:
        print(f"{_counted(len(summary.missing), 'value')} not on file; they will print as blanks:")
        by_value: dict[tuple[str, str], list[str]] = {}
        for m in summary.missing:
            by_value.setdefault((m.title, m.where), []).append(m.tag)
        for (title, where), tags in by_value.items():
            print(f"  {title} ({', '.join(tags)}): look in {where}.")
    if summary.doubts:
        print(
            f"{_counted(len(summary.doubts), 'doubt')} to look into; the booklets can be made all the same:"
        )
        by_doubt: dict[tuple[str, str], list[str]] = {}
        for d in summary.doubts:
            by_doubt.setdefault((d.kind, d.sentence), []).append(d.tag)
        for (kind, sentence), tags in by_doubt.items():
            print(f"  {kind} ({', '.join(tags)}): {sentence}")
    return GOOD


def _export(args: argparse.Namespace) -> int:
    from .extras.exporting import export_heads, export_pictures

    def say(text: str) -> None:
        print(f"  {text}", flush=True)

    if args.pictures:
        pictures, heads = export_pictures(
            _only_fleet_file(args.fleet), args.to, args.only, say, cache_folder()
        )
        print(f"{_counted(pictures, 'picture')} of {_counted(heads, 'head')} as SVG in {args.to}.")
        return GOOD
    count = export_heads(_only_fleet_file(args.fleet), args.to, args.only, say)
    print(f"{_counted(count, 'head')} as STEP and glTF in {args.to}.")
    return GOOD


def _evidence(args: argparse.Namespace) -> int:
    def say(text: str) -> None:
        print(f"  {text}", flush=True)

    file, cache = fleet_file(args.fleet), None if args.afresh else cache_folder()
    if _is_own_assembly(file):
        from .extras.assembly_evidence import write_assembly_evidence

        if args.only:
            raise UserFault(f"{file} is an assembly of your own, which has no tags: leave --only out.")
        proof = write_assembly_evidence(file, args.to, cache, say)
        print(f"{proof.tag} proven. Open {args.to / 'index.html'} in a browser.")
        faults = list(proof.violations)
    else:
        from .extras.evidence_files import write_fleet_evidence

        found = write_fleet_evidence(file, args.to, args.only, cache, say)
        print(f"{_counted(len(found), 'head')} proven, evidence in {args.to}.")
        faults = [f"{tag}, {text}" for tag, texts in found.items() for text in texts]
    if not faults:
        print("Every sequence can be done as written.")
        return GOOD
    return _end(USER, "\n".join(["These cannot be done as written:", *(f"  {f}" for f in faults)]))


def _new(args: argparse.Namespace) -> int:
    from .extras.starter import write_starter

    file = write_starter(args.folder)
    print(f"Wrote {file}. Fill it in, then:")
    print(f"  benchleaf check {args.folder}")
    print(f"  benchleaf build {args.folder} --to library")
    return GOOD


def _counted(count: int, name: str) -> str:
    return f"{count} {name}" if count == 1 else f"{count} {name}s"


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command and return its exit status."""
    top = parser()
    args = top.parse_args(arguments)
    if args.version:
        from importlib.metadata import version

        print(f"benchleaf {version('benchleaf')}")
        return GOOD
    if args.verb is None:
        top.print_help()
        return USER
    return _guarded(args.run, args)


def _guarded(run: Callable[[argparse.Namespace], int], args: argparse.Namespace) -> int:
    try:
        return run(args)
    except KeyboardInterrupt:
        return _end(STOPPED, "Stopped. Nothing was written.")
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return GOOD
    except OSError as e:
        if args.details:
            raise
        return _end(USER, _plain_os_error(e))
    except Exception as e:
        status, text = _explain(e)
        if args.details and status == FAILED:
            raise
        return _end(status, text)


def _explain(e: Exception) -> tuple[int, str]:
    """Return exit status and words for an exception."""
    from ..geometry.dimensions.size import SizeError
    from ..geometry.exchange.own_parts import OwnPartError
    from ..render.engine.gl_probe import NoGraphics
    from ..sequences.files.faults import FaultsFound
    from .build.folders import FolderFault
    from .build.library import BuildFault
    from .build.system_libraries import MissingLibrary
    from .build.workers import WorkerLost
    from .extras.starter import StarterFault

    mendable = (
        BuildFault,
        FaultsFound,
        FolderFault,
        MissingLibrary,
        NoGraphics,
        OwnPartError,
        SizeError,
        StarterFault,
        UserFault,
        WorkerLost,
    )
    if isinstance(e, mendable):
        return USER, str(e)
    return FAILED, (
        f"benchleaf failed: {type(e).__name__}: {e}\n"
        "Nothing was written. This is a fault of the program, not of your files; "
        "run the same with: benchleaf --details ..., and report what it shows."
    )


def _plain_os_error(e: OSError) -> str:
    import errno

    where = f"{e.filename}: " if e.filename else ""
    if e.errno in (errno.EACCES, errno.EPERM, errno.EROFS):
        return f"{where}no permission. Choose a place where you may read and write."
    if e.errno in (errno.ENOSPC, errno.EDQUOT):
        return f"{where}no room left on the disk. Make room or choose another disk with --to. Nothing was written."
    if e.errno == errno.ENOENT:
        return f"{where}not found."
    if e.errno == errno.ENAMETOOLONG:
        return f"{where}the name is too long for this disk."
    return f"{where}{e.strerror or e}"


def _end(status: int, text: str) -> int:
    print(text, file=sys.stderr)
    return status
