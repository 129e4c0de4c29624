"""Processes at work on one proof: the same evidence as one alone, and nothing forgotten on the way."""

from __future__ import annotations

import dataclasses
import os
import subprocess
import sys
from pathlib import Path

import pytest
from benchleaf.geometry.assembly import Feature
from benchleaf.geometry.meshes.tessellation import MeshError
from benchleaf.sequences.proof.evidence import Evidence
from benchleaf.sequences.proof.evidence_keys import evidence_keys
from benchleaf.sequences.proof.prove import prove_plans
from benchleaf.sequences.work.store import Store
from proof_samples import ROWS, backwards, coupling, plan_of
from sample_solids import kernel


def test_two_processes_find_what_one_finds_and_other_work_is_done_once_meanwhile(tmp_path: Path) -> None:
    assembly, plan = coupling(), plan_of()
    thread = Feature("nut thread", "thread", (0.0, 0.0, 30.0), size_mm=12.0, mates="nut")
    shaft = dataclasses.replace(assembly.parts["shaft"], features=(thread,))
    assembly = dataclasses.replace(assembly, parts={**assembly.parts, "shaft": shaft})
    plans = [plan, backwards(plan)]
    meanwhile: list[int] = []

    def prove(workers: int, folder: Path | None = None) -> list[Evidence]:
        found = prove_plans(
            assembly,
            plans,
            store=Store(folder) if folder else None,
            workers=workers,
            meanwhile=lambda: meanwhile.append(workers),
        )
        assert [e.key for e in found] == [k.digest for k in evidence_keys(assembly, plans)]
        return found

    alone = prove(1)
    assert prove(2, tmp_path) == alone
    assert prove(2, tmp_path) == alone  # kept
    assert meanwhile == [1, 2, 2]


def test_a_solid_that_cannot_be_meshed_ends_the_proof_by_name_and_leaves_no_process() -> None:
    assembly = coupling()
    open_shell = kernel(assembly.parts["wheel"].solid).Faces()[0]
    broken = dataclasses.replace(assembly.parts["wheel"], solid=open_shell)
    assembly = dataclasses.replace(assembly, parts={**assembly.parts, "wheel": broken})
    with pytest.raises(MeshError, match=r"wheel \(Wheel\): the faces do not join"):
        prove_plans(assembly, [plan_of(ROWS)], workers=2)


PROOF = """\
from benchleaf.sequences.proof.prove import prove_plans
from benchleaf.sequences.work.store import Store
from proof_samples import backwards, coupling, plan_of
if __name__ == "__main__":
    plan = plan_of()
    print(len(prove_plans(coupling(), [plan, backwards(plan)], workers=2)))
"""


def test_no_library_complains_of_what_a_worker_leaves_behind(tmp_path: Path) -> None:
    script = tmp_path / "proof.py"
    script.write_text(PROOF)
    samples = str(Path(__file__).parents[1] / "samples")
    done = subprocess.run(
        [sys.executable, str(script)],
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, "PYTHONPATH": samples},
    )
    assert (done.stdout, done.stderr, done.returncode) == ("2\n", "", 0)
