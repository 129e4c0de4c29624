"""What an assembly file says beside its sequences: every mistake with its place, and each part's own word."""

from __future__ import annotations

from pathlib import Path

import pytest
from benchleaf.sequences.files.faults import FaultsFound
from benchleaf.sequences.fleet.user_assembly import load_user_assembly
from benchleaf.sequences.upkeep.own_upkeep import OwnCause, OwnSymptom, OwnTerm
from benchleaf.sequences.upkeep.spare_parts import SparePart
from small_assembly import write_small_assembly

BESIDE = """\
spare_parts: {lid: {number: B-2, spare: yes}, box: {number: B-1}}
symptoms:
  - symptom: It rattles
    causes:
      - {cause: The lid is loose., steps: assembly/lid}
      - {cause: The box is bent., refer: true}
terms:
  - {term: Lid, text: What shuts the box., part: lid, steps: [assembly/lid]}
  - {term: Fit, text: How tightly two parts sit.}
"""


def _written(folder: Path, beside: str) -> Path:
    file = write_small_assembly(folder)
    file.write_text(file.read_text("utf-8") + beside.replace("spare: yes", 'spare: "yes"'), "utf-8")
    return file


def test_all_of_it_is_read(tmp_path: Path) -> None:
    found = load_user_assembly(_written(tmp_path, BESIDE)).upkeep
    assert found
    assert found.spares == {"lid": SparePart("B-2", "yes"), "box": SparePart("B-1")}
    loose, bent = OwnCause("The lid is loose.", ("assembly/lid",)), OwnCause("The box is bent.", (), True)
    assert found.symptoms == (OwnSymptom("It rattles", (loose, bent)),)
    assert found.terms == (
        OwnTerm("Lid", "What shuts the box.", "lid", ("assembly/lid",)),
        OwnTerm("Fit", "How tightly two parts sit."),
    )


def test_without_it_there_is_nothing(tmp_path: Path) -> None:
    assert not load_user_assembly(write_small_assembly(tmp_path)).upkeep


@pytest.mark.parametrize(
    ("right", "wrong", "line", "said"),
    [
        ("{lid: {number", "{lit: {number", 6, "the part 'lit'; allowed: box or lid; likely fix: write lid"),
        ("box: {number: B-1}", "box: {}", 6, "nothing of box; allowed: number, spare or compound"),
        (
            "steps: assembly/lid}",
            "steps: assembly/lit}",
            10,
            "the step 'assembly/lit'; allowed: assembly/lid",
        ),
        ("part: lid,", "part: lie,", 13, "the part 'lie'; allowed: box or lid; likely fix: write lid"),
        ("steps: [assembly/lid]", "steps: [lid]", 13, "the step 'lid'; allowed: assembly/lid"),
        ("causes:\n", "cause:\n", 9, "the key cause; allowed: symptom or causes"),
    ],
)
def test_mistakes_have_their_places(tmp_path: Path, right: str, wrong: str, line: int, said: str) -> None:
    assert right in BESIDE
    with pytest.raises(FaultsFound) as caught:
        load_user_assembly(_written(tmp_path, BESIDE.replace(right, wrong)))
    assert f"lid.yaml, line {line}, column" in str(caught.value)
    assert said in str(caught.value)
