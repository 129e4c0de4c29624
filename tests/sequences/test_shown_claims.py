"""What sentences of steps say of the solids is what the proof of unlike heads shows, sentence by sentence."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest
from benchleaf.geometry.dimensions.options import Options
from benchleaf.geometry.dimensions.parts_list import part_kinds
from benchleaf.geometry.dimensions.stack_up import StackUp
from benchleaf.geometry.parts.rings import disc_spring
from benchleaf.sequences.calculations.load_fleet import load_fleet
from benchleaf.sequences.misfits.findings import Misfit
from benchleaf.sequences.order.order_graph import Edge
from benchleaf.sequences.proof.evidence import Evidence
from benchleaf.sequences.proof.head_work import head_works
from benchleaf.sequences.proof.prove import prove_plans
from benchleaf.sequences.proof.shaft_timing import OutOfPhase, TimingEvidence
from benchleaf.sequences.proof.shown_claims import is_shown, untrue_claims
from benchleaf.sequences.steps.claims import Claim
from benchleaf.sequences.steps.plan import Plan
from benchleaf.sequences.steps.resolve import resolve
from benchleaf.sequences.steps.sequence_file import SHIPPED, load_sequence
from benchleaf.sequences.steps.sequence_form import Said
from named_parts import FIT, OFF, bare_evidence
from program_files import DEMO

HEADS = ("P-104", "P-201", "P-202")
"""Two wings with double seal and relief, two lobes, three lobes: every claim is made of one of them."""
CLAIMING = re.compile(
    r"\b(goes on|go on|goes in|go in|goes home|go home|fit the nut without|does not go|one way only|just as well"
    r"|the other way round|wrong way round|turned half round|stands? out\b|closes the way|cannot follow|goes? first"
    r"|every angle|strike when|cannot reach the|stops you from|go into the body before)\b",
    re.IGNORECASE,
)
"""Words by which a sentence speaks of what the solids let in, stop or force."""


def _said() -> Iterator[tuple[str, str, Said]]:
    for name in SHIPPED:
        for step in load_sequence(name).steps:
            for said in (*step.acts, *step.look, *step.why):
                yield name, step.id, said


# ------------------------------------------------------------------ the shipped sequences
def test_a_sentence_of_what_the_solids_let_in_has_its_claim() -> None:
    """And each sentence with a claim speaks so: the words above find it."""
    assert [(n, i, s.text) for n, i, s in _said() if bool(CLAIMING.search(s.text)) != bool(s.shows)] == []
    assert sum(bool(s.shows) for *_, s in _said()) >= 20


def test_every_claim_is_made_of_one_of_the_heads_that_are_proven() -> None:
    fleet = load_fleet(DEMO)
    made = {
        c.text
        for tag in HEADS
        for name in SHIPPED
        for s in _plan(name, fleet.head(tag).options).steps
        for c in s.claims
    }
    assert made == {said.text for _, _, said in _said() if said.shows}


def _plan(name: str, options: Options) -> Plan:
    return resolve(load_sequence(name), options, part_kinds(options))


@pytest.mark.slow
@pytest.mark.parametrize("tag", HEADS)
def test_the_proof_of_the_head_shows_what_its_steps_say(tag: str) -> None:
    fleet = load_fleet(DEMO)
    (work,) = head_works(fleet, [fleet.head(tag)])
    plans = {p.sequence: p for p in work.plans}
    (fitted,) = prove_plans(work.head, [plans["assembly"]], workers=1)
    claims = [c for p in work.plans for s in p.steps for c in s.claims]
    assert len(claims) > 15
    assert [(s.id, c.text) for p in work.plans for s, c in untrue_claims(p, fitted)] == []


# ------------------------------------------------------------------ which way, and where
def _words(sequence: str, step: str) -> str:
    (found,) = (s for s in load_sequence(sequence).steps if s.id == step)
    return " ".join(x.text for x in (*found.acts, *found.look))


def test_the_disc_spring_is_hollow_towards_the_nut_on_every_head() -> None:
    """The outer edge in front, on the pocket's floor; the inner edge behind, on the rotor's land."""
    for row in load_fleet(DEMO).heads:
        stack = StackUp(row.size, row.options)
        s = stack.size
        sizes = (s.disc_spring_inner_mm, s.disc_spring_outer_mm, s.disc_spring_thickness_mm)
        solid, _ = disc_spring(*sizes, stack.disc_spring_height, stack.disc_spring_height)
        rims = [(v.Center().z, 2 * abs(complex(v.Center().x, v.Center().y))) for v in solid.Vertices()]
        behind, front = min(rims), max(rims)
        assert behind == pytest.approx((0.0, s.disc_spring_inner_mm))
        assert front == pytest.approx((stack.disc_spring_height, s.disc_spring_outer_mm))
        assert stack.land_height + stack.disc_spring_height == pytest.approx(stack.pocket_depth)
    for said in ("hollow side down, raised middle up", "The outer edge lies on the floor of the pocket."):
        assert said in _words("assembly", "disc_spring")
    assert "hollow side down" in _words("assembly", "second_nut")
    assert "hollow side into the nut, raised middle towards you" in _words("disassembly", "nut_drive_apart")


def test_the_large_dowel_stands_top_left_seen_from_the_front_on_every_head() -> None:
    """Seen against +Z with +Y up, +X is on the right."""
    for row in load_fleet(DEMO).heads:
        stack = StackUp(row.size, row.options)
        (large_x, large_y), (small_x, small_y) = (stack.dowel_points[k] for k in ("large", "small"))
        assert large_x < 0 < large_y, row.tag
        assert small_y < 0 < small_x, row.tag
        assert stack.size.dowels_mm["large"] > stack.size.dowels_mm["small"]
    for sequence, step in (("assembly", "inspect_body"), ("inspection", "dowels")):
        assert "Seen from the front, the large one stands top left, the small one bottom right." in _words(
            sequence, step
        )
    for step in ("body_on", "cover_on"):
        assert "large dowel at the top left" in _words("assembly", step)


# ------------------------------------------------------------------ what counts as shown
def _evidence() -> Evidence:
    fits = (
        Misfit(3, "rotor", ("rotor_drive",), "rotor_drive", "end for end", "stopped", "stopped on its way"),
        Misfit(3, "rotor", ("cover",), "cover", "half turn", "stopped", "stopped on its way", weak=True),
        Misfit(3, "rotor", ("rotor_drive",), "rotor_drive", "swapped", "goes in", "goes in", other="cover"),
    )
    over = (OutOfPhase(90.0, True, True, 12.0), OutOfPhase(180.0, True, False, None))
    timing = TimingEvidence(3, "rotor", "rotor_drive", "m", ((0.0, 360.0),), True, 0.1, 1.0, over)
    edges = (Edge(0, 1, "blocks"), Edge(1, 2, "built"))
    return bare_evidence(wrong_fits=fits, phases=(timing,), edges=edges, moves=tuple(FIT))


ROTOR = ("rotor_drive",)


@pytest.mark.parametrize(
    ("claim", "shown"),
    [
        (Claim("", ROTOR, mistake="end for end", verdict="stopped"), True),
        (Claim("", ROTOR, mistake="end for end", verdict="goes in"), False),
        (Claim("", ROTOR, mistake="half turn", verdict="stopped"), False),
        (Claim("", ("cover",), mistake="half turn", verdict="stopped"), False),
        (Claim("", ROTOR, mistake="swapped", verdict="goes in", other=("cover",)), True),
        (Claim("", ROTOR, mistake="swapped", verdict="goes in", other=("key_drive",)), False),
        (Claim("", ROTOR, angles="every"), True),
        (Claim("", ROTOR, angles="some"), False),
        (Claim("", ("cover",), angles="every"), False),
        (Claim("", ROTOR, set_over_deg=90.0, goes_in=True, turns_free=False), True),
        (Claim("", ROTOR, set_over_deg=90.0, goes_in=True, turns_free=True), False),
        (Claim("", ROTOR, set_over_deg=90.0, goes_in=False, turns_free=False), False),
        (Claim("", ROTOR, set_over_deg=180.0, goes_in=True, turns_free=True), False),
        (Claim("", ROTOR, before=("rotor_nut_drive",)), True),
        (Claim("", ROTOR, before=("cover",)), True),
        (Claim("", ROTOR, before=("cover_nut_1",)), False),
        (Claim("", ("cover",), before=ROTOR), False),
        (Claim("", (), before=("cover",)), False),
    ],
)
def test_a_claim_is_shown_by_what_was_found_alone(claim: Claim, shown: bool) -> None:
    assert is_shown(claim, _evidence()) == shown
    assert not is_shown(claim, bare_evidence(moves=tuple(OFF)))
