"""The heads of every combination of options at one size: sound solids, none through another; by hand, some minutes.

The tests do this at the usual size, and try the pairs of options at the others.
"""

from __future__ import annotations

import argparse
import time

from benchleaf.geometry.head.head import forget_solids
from benchleaf.geometry.meshes.tessellation import forget_meshes
from families import ROTORS, check_family


def main() -> None:
    """Check all heads of one centre distance; the first fault ends it by name."""
    words = argparse.ArgumentParser(description=__doc__)
    words.add_argument("centre", type=float, nargs="+", help="shaft centre distance, mm")
    for centre in words.parse_args().centre:
        for rotor in ROTORS:
            start = time.process_time()
            check_family(centre, rotor)
            forget_solids()
            forget_meshes()
            print(f"{centre:g} mm, {rotor}: sound, {time.process_time() - start:.0f} s of processor time")


if __name__ == "__main__":
    main()
