"""The command line: verbs, their arguments and help. Nothing heavy is imported for it."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from . import verbs

_EPILOG = """\
Try it, and open index.html of the folder in a browser:
  benchleaf build demo --to demo-library
  benchleaf build demo-valve --to demo-valve-booklet     (quicker)
"""
_FLEET = (
    "fleet file, or the folder that holds fleet.yaml or assembly.yaml; the word demo means the invented plant that "
    "comes along, demo-valve the invented valve, an assembly that is no pump"
)
_BUILD = (
    "Make the library of booklets of a fleet, or the booklet of an assembly of your own. The folder appears only when "
    "everything has gone well."
)
_CHECK = (
    "Check a fleet and its sequences: every mistake with its place, what is allowed and the likely fix; "
    "then what is still missing, and what figures speak against. Writes nothing."
)
_EXPORT = (
    "Write every head, or an assembly of your own, for other programs: one STEP file (mm, names, colours) and one glTF "
    "binary (metres) each; or, "
    "for slides, the overview and every step's picture as an SVG file that holds picture and callouts; or one part of "
    "the booklet, to hand out; or the whole booklet as a course, as slides or as films; or the library as one zip file."
)
_EVIDENCE = (
    "Write what the solids prove about every head: clear paths, order, wrong-way fits, angles of the shafts; one JSON "
    "file a sequence, in a folder for each head. An assembly of your own, STEP solids with sequence files over them, "
    "gets the same, and a page to read. Ends with status 2 where a sequence cannot be done as written."
)
_SPARES = (
    "Write the spares kit of these pumps as one table (CSV): what is new in every overhaul and what is kept ready, "
    "totals by part number and size, with the pumps that each is for. Sizes come from the pumps' dimensions, numbers "
    "from the fleet file, and stay blank where it has none. Replaces only a table of its own."
)
_RECORDS = (
    "Gather the records that people exported from the record sheets (JSON, CSV): readings as found, as left and in "
    "service over time, per pump, as a page with plots and as tables; what drifts towards its limit, when it gets "
    "there, and with what spread. A damaged record is told and left out; then it ends with status 2."
)
_WORDS = (
    "Write one table (XLSX or PO) with every text of a fleet's pages: where it stands, English, translation, state "
    "(translated, missing, stale with the English before). A table that is there is kept up, with all that was done. "
    "Name it under booklet > translations; what it lacks stands in English on the pages, and check tells it."
)
_VERIFY = (
    "Compare a folder that build, export or evidence wrote, or a copy of it, with the list of its files that was "
    "written with it: which are changed, missing, or came later. The same for a zip file that export --zip wrote, "
    "which is not unpacked for it. Ends with status 2 where there are any."
)
_STORE = (
    "Tell where solids, proofs, pictures and pages are kept from build to build, and how much room they take. What was "
    "not used for longest goes by itself; BENCHLEAF_CACHE names another folder, BENCHLEAF_STORE_MB another bound."
)
_NEW = (
    "Begin a new fleet: a folder with a commented fleet file to fill in. With --from, begin an assembly of your own "
    "from its CAD files: every part named, equal parts grouped, threads and O-rings guessed, and a first sequence "
    "found by the solids. Never writes over anything."
)
_PREVIEW = (
    "Show the library while you edit: pages on this machine alone (127.0.0.1), made anew and shown at the same place "
    "when a file of the fleet changes. Mistakes stand on the page, and the library before them stays readable. "
    "Ctrl-C ends it, and nothing of it is left."
)
_EXPLAIN = (
    "Tell what a key of the files means, what it may hold, what stands for it where it is left out, and an example. "
    "Also a dimension, a value, a step, a safety message, and the steps of a sequence. Without KEY: a list of all keys."
)


def parser() -> argparse.ArgumentParser:
    """Return the parser of the whole command line; what it returns holds the verb's function as ``run``."""
    top = argparse.ArgumentParser(
        prog="benchleaf",
        description="Training booklets for the fluid heads of twin-rotor pumps, from one fleet file.",
        epilog=_EPILOG,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    top.add_argument("--version", action="store_true", help="show the version and end")
    top.add_argument(
        "--details", action="store_true", help="on a failure, show where in the program it happened"
    )
    of = top.add_subparsers(dest="verb", metavar="VERB", title="verbs")
    _add_build(of)
    _add_check(of)
    _add_preview(of)
    _add_export(of)
    _add_evidence(of)
    _add_spares(of)
    _add_records(of)
    _add_words(of)
    _add_verify(of)
    _add_store(of)
    _add_new(of)
    _add_explain(of)
    return top


def _add_build(of: Any) -> None:
    build = of.add_parser("build", help="make the library of booklets of a fleet", description=_BUILD)
    build.add_argument("fleet", metavar="FILE", help=f"{_FLEET}; or the file of an assembly of your own")
    _add_target(build, "library")
    _add_only(build, "a library of only these pumps")
    build.add_argument(
        "--workers",
        metavar="N",
        type=_workers,
        default=None,
        help="processes at work at the same time (default: one a core, four at most)",
    )
    build.add_argument(
        "--cluster",
        metavar="ADDRESS",
        default="",
        help="have the workers of this cluster do the work (tcp://host:port of its scheduler); they must see the store "
        "and the fleet's files under the same paths",
    )
    build.add_argument(
        "--why", action="store_true", help="also tell what was made anew, and which of its inputs had changed"
    )
    build.add_argument(
        "--timings",
        metavar="FILE",
        type=Path,
        help="also write time and peak memory of each stage, and what drew, as JSON",
    )
    build.add_argument(
        "--afresh", action="store_true", help="make everything anew, and keep nothing for the next build"
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
    build.set_defaults(run=verbs.build)


def _add_check(of: Any) -> None:
    check = of.add_parser("check", help="check a fleet and its sequences, write nothing", description=_CHECK)
    check.add_argument("fleet", metavar="FLEET", help=_FLEET)
    check.set_defaults(run=verbs.check)


def _add_preview(of: Any) -> None:
    preview = of.add_parser("preview", help="see the library while you edit its files", description=_PREVIEW)
    preview.add_argument("fleet", metavar="FLEET", help=_FLEET)
    _add_only(preview)
    preview.add_argument(
        "--port",
        metavar="N",
        type=_port,
        default=8400,
        help="port of this machine (default: 8400; 0: any that is free)",
    )
    preview.add_argument(
        "--unproven",
        action="store_true",
        help="leave out the proof and its pages, which a new order or a new dimension takes a minute or two",
    )
    preview.set_defaults(run=verbs.preview)


def _add_export(of: Any) -> None:
    export = of.add_parser(
        "export",
        help="write models, pictures, slides, a course, films, one part or a zip file",
        description=_EXPORT,
    )
    export.add_argument("fleet", metavar="FLEET", help=_FLEET)
    _add_target(export, "models")
    _add_only(export)
    form = export.add_mutually_exclusive_group()
    form.add_argument(
        "--zip",
        action="store_true",
        help="write the library of these pumps as one zip file, to send or for a stick or a web server",
    )
    form.add_argument(
        "--course",
        action="store_true",
        help="write each booklet as a course for a learning system (SCORM 1.2): what was read, score of its test",
    )
    form.add_argument(
        "--slides",
        action="store_true",
        help="write each booklet as slides (PPTX) with notes to present by; takes the extra slides",
    )
    form.add_argument(
        "--film",
        action="store_true",
        help="write each sequence as a film (MP4 and WebM) with chapters and captions; takes the extra film",
    )
    form.add_argument(
        "--pictures",
        action="store_true",
        help="write pictures as SVG, in a folder for each booklet, in place of STEP and glTF",
    )
    form.add_argument(
        "--part",
        metavar="PART",
        default="",
        help="write one part of each booklet to hand out, in place of STEP and glTF: a sequence (assembly), a section "
        "of it (assembly/rotors), cards or record; as PDF, which takes the extra pdf",
    )
    export.add_argument(
        "--paper", choices=("A4", "Letter"), default="A4", help="paper size of the part (default: A4)"
    )
    export.add_argument(
        "--page", action="store_true", help="write the part as one page for the browser instead of PDF"
    )
    export.add_argument(
        "--steps",
        metavar="STEPS",
        nargs="+",
        default=[],
        help="slides or film of these alone: a sequence (assembly), a section (assembly/rotors), a step by name or "
        "number (assembly/12) or a few (assembly/12-15); of a course, the sequences that have to be read",
    )
    export.add_argument(
        "--language",
        metavar="CODE",
        default="",
        help="language of the part, course, slides or pictures' words, one of the file's (default: its main one); "
        "captions of films are in all of them",
    )
    export.set_defaults(run=verbs.export)


def _add_evidence(of: Any) -> None:
    evidence = of.add_parser(
        "evidence", help="write what the solids prove, machine-readable", description=_EVIDENCE
    )
    evidence.add_argument("fleet", metavar="FILE", help=f"{_FLEET}; or the file of an assembly of your own")
    _add_target(evidence, "evidence")
    _add_only(evidence)
    evidence.add_argument(
        "--afresh", action="store_true", help="prove everything anew, and keep nothing for the next time"
    )
    evidence.set_defaults(run=verbs.evidence)


def _add_spares(of: Any) -> None:
    spares = of.add_parser(
        "spares", help="write the spares kit of some pumps as a table (CSV)", description=_SPARES
    )
    spares.add_argument("fleet", metavar="FLEET", help=_FLEET)
    spares.add_argument(
        "--to",
        metavar="FILE",
        type=Path,
        default=Path("spares.csv"),
        help="table to write (default: spares.csv)",
    )
    _add_only(spares, "the kit of only these pumps")
    spares.set_defaults(run=verbs.spares)


def _add_records(of: Any) -> None:
    records = of.add_parser(
        "records", help="follow readings over time, from exported records", description=_RECORDS
    )
    records.add_argument("records", metavar="FOLDER", type=Path, help="folder of exported records")
    _add_target(records, "trend")
    _add_only(records, "only the records of these pumps")
    records.set_defaults(run=verbs.records)


def _add_words(of: Any) -> None:
    words = of.add_parser("words", help="write a table to translate the pages by", description=_WORDS)
    words.add_argument("fleet", metavar="FLEET", help=_FLEET)
    words.add_argument(
        "--language", metavar="CODE", required=True, help="language to translate into, such as de or pt-BR"
    )
    words.add_argument(
        "--to",
        metavar="FILE",
        type=Path,
        required=True,
        help="table to write, .xlsx or .po; kept up if it is there",
    )
    words.set_defaults(run=verbs.words)


def _add_verify(of: Any) -> None:
    verify = of.add_parser("verify", help="tell whether a folder is as it was written", description=_VERIFY)
    verify.add_argument(
        "folder",
        metavar="FOLDER",
        type=Path,
        help="library, models, evidence or trend, or the zip file of a library",
    )
    verify.set_defaults(run=verbs.verify)


def _add_store(of: Any) -> None:
    store = of.add_parser(
        "store", help="look at what is kept from build to build, or clear it", description=_STORE
    )
    store.add_argument("--clear", action="store_true", help="remove all of it; libraries stay as they are")
    store.set_defaults(run=verbs.store)


def _add_new(of: Any) -> None:
    new = of.add_parser(
        "new", help="begin a new fleet, or an assembly of your own from CAD files", description=_NEW
    )
    new.add_argument("folder", metavar="FOLDER", type=Path, help="folder to make")
    new.add_argument(
        "--from",
        dest="from_files",
        metavar="FILE",
        type=Path,
        nargs="+",
        default=[],
        help="STEP file of an assembly, or several STEP or mesh files (STL, OBJ, PLY, 3MF, GLB)",
    )
    new.add_argument(
        "--unit",
        choices=("mm", "cm", "m", "in"),
        default=None,
        help="unit of mesh files that state none (STL, OBJ, PLY)",
    )
    new.add_argument(
        "--table",
        action="store_true",
        help="pumps in a spreadsheet (XLSX) with lists of what each column may hold, and a sheet that explains them",
    )
    new.set_defaults(run=verbs.new)


def _add_explain(of: Any) -> None:
    explain = of.add_parser(
        "explain",
        help="tell what a key of the files means, with its range and an example",
        description=_EXPLAIN,
    )
    explain.add_argument(
        "key", metavar="KEY", nargs="?", help="key, dimension, value, sequence, step or safety message"
    )
    explain.set_defaults(run=verbs.explain)


def _add_target(verb: argparse.ArgumentParser, folder: str) -> None:
    verb.add_argument(
        "--to",
        metavar="FOLDER",
        type=Path,
        default=Path(folder),
        help=f"folder to write (default: {folder})",
    )


def _add_only(verb: argparse.ArgumentParser, words: str = "only these pumps") -> None:
    verb.add_argument("--only", metavar="TAG", nargs="+", default=[], help=words)


def _port(text: str) -> int:
    if not text.isdigit() or int(text) > 65535:
        raise argparse.ArgumentTypeError(f"found {text}, allowed: a whole number from 0 to 65535")
    return int(text)


def _workers(text: str) -> int:
    if not text.isdigit() or not 1 <= int(text) <= 64:
        raise argparse.ArgumentTypeError(f"found {text}, allowed: a whole number from 1 to 64")
    return int(text)
