"""The command ``benchleaf``: build a library of booklets, check a fleet, begin a new one.

Exit status: 0 done; 1 the program failed; 2 something the user can mend; 130 stopped by the user, 143 or 129 by a
signal that asks the process to end or tells that its terminal is gone. Nothing heavy is imported before it is needed,
so that ``--help`` and the data checks answer at once.
"""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path

from .build.folders import heal
from .command_line import parser
from .exit_words import FAILED, GOOD, STOPPED, USER, Output, explain
from .stop_signals import Stop, stopped_by_signals
from .verbs import DEMO_FLEET

__all__ = ["DEMO_FLEET", "main"]


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
    with stopped_by_signals() as stop:
        return _run(args, stop)


def _appears(args: argparse.Namespace) -> Path | None:
    """Return what the verb makes appear at its end, None for one that writes nothing."""
    if args.verb == "new":
        return Path(args.folder) / ("assembly.yaml" if args.from_files else "fleet.yaml")
    return getattr(args, "to", None)


def _run(args: argparse.Namespace, stop: Stop) -> int:
    output = Output(None)
    try:
        if folder := getattr(args, "to", None) or getattr(args, "folder", None):
            heal(folder)
        output = Output(_appears(args))
        status: int = args.run(args)
        return status
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return GOOD if output.path is None or output.written else STOPPED
    except (Exception, KeyboardInterrupt) as error:
        status, text = explain(stop.behind(error), output, args.verb)
        if args.details and (status == FAILED or isinstance(error, OSError)):
            raise
        with suppress(OSError):  # of a terminal that is gone
            print(text, file=sys.stderr)
        return status
