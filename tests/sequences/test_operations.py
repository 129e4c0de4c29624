"""What sentences say and what their operations do cannot drift apart: verbs, tools and lists of tools."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from typing import get_args

import pytest
from benchleaf.sequences.steps.operations import TOOLS_FOR, Tool, Verb
from benchleaf.sequences.steps.sequence_file import CHECKLISTS, SHIPPED, load_sequence
from benchleaf.sequences.steps.sequence_form import Act, OperationText, StepText

SAYS: dict[Verb, str] = {
    "tighten": r"tighten|draw them down|connect",
    "loosen": r"loosen|break the nut loose|back all|disconnect",
    "run on": r"start (both|all|the nut)|run (a|each)\b|hand-tight",
    "run off": r"run (all|the|them)\b.* (off|out)\b",
    "turn": r"\bturn\b",
    "hold": r"\bhold|clamp|soft block|take the weight|support",
    "press": r"\bpress|\bpush|slide|\bease|guide|lay (the ring|it) (\S+ )?in\b",
    "pull": r"\bpull|\bdraw\b|take hold",
    "tap": r"\btap\b",
    "lift": r"\blift\b|pass the cover",
    "pick out": r"\blift\b|\btake .* out\b",
    "lay on": r"\blay\b",
    "measure": r"\bmeasure|indicator|straightedge|feeler|\bblade\b|\btry\b|thermometer|depth|caliper",
    "clean": r"\bwipe|\bclean|rinse|soft wire|\bdry all",
    "blow out": r"\bblow\b",
    "lubricate": r"\bwet\b|thin film|lubricate",
    "anti-seize": r"anti-seize",
    "dress": r"\bdress\b|stone",
    "look": r"\blook|\bcheck|\bsee\b|compare|choose|\bfind\b|stop where|\blamp\b|a second|line up"
    r"|enters its hole|hole to the large dowel",
    "feel": r"swab|finger|\bfeel\b",
}
"""Words of which one stands in each sentence that has an operation; what is looked at may be said in any words."""
ASKS: dict[str, tuple[Verb, ...]] = {
    r"tighten|draw them down": ("tighten",),
    r"loosen|back all|break the nut loose": ("loosen",),
    r"run|start (both|all|the nut)": ("run on", "run off", "feel"),
    r"wipe": ("clean",),
    r"wet|lubricate|put a thin film": ("lubricate",),
    r"put anti-seize": ("anti-seize",),
    r"blow": ("blow out",),
    r"press|push|ease|slide (each|the|it)": ("press",),
    r"pull|draw (it|each ring|the ring) ?(straight|forward|off)?": ("pull",),
    r"lay (the|a) (small )?(straightedge|square)": ("lay on", "measure"),
    r"set (a dial|the) indicator|slide (a )?feeler|try a feeler|measure": ("measure",),
    r"draw a (fine|oil) stone|draw the flat side of an oil stone|dress": ("dress",),
    r"set (a|the) soft block|hold (it|the [\w ]+) by|hold a contact": ("hold", "measure"),
    r"feel|draw a cotton swab|run a finger(nail)?": ("feel",),
    r"look (at|into|through|over)": ("look",),
    r"lift": ("lift", "pick out"),
    r"tap one|with a light tap": ("tap",),
}
"""Beginnings of clauses that ask for an act, with the verbs of which one belongs to the sentence."""
NAMES = re.compile(
    r"\b(rotors?|nuts?|rings?|springs?|body|cover|shafts?|screws?|dowels?|pins?|studs?|keys?|keyways?|grooves?|bores?"
    r"|faces?|cap|piston|flanks?|gear case|threads?|fits?|edges?|them|it|joint|block|clearance|holes|connections"
    r"|excess|wings?|sheath|marks?|sides?|crests?)\b",
    re.IGNORECASE,
)
"""Words by which a sentence names a part, or goes on about one."""
ELSEWHERE: dict[str, str] = {
    "Loosen one joint": "a pipe's joint is no part of a head",
    "Where the drag is uneven": "a pipe's joint is no part of a head",
    "Take a sample of the product": "the product is no part of a head",
    "Wipe the seal rings one by one": "the rings are not in the step's picture",
}
"""Sentences that ask for an act on what is no part of the head, by their beginnings, and why."""
IN_LISTS: dict[str, tuple[Tool, ...]] = {
    "bent feeler gauges": ("feeler blade",),
    "blunt plastic pick": ("o-ring pick",),
    "box wrench": ("socket wrench",),
    "breaker bar": ("socket wrench", "hexagon key socket"),
    "brush": ("brush",),
    "caliper": ("caliper",),
    "compressed air": ("air gun",),
    "compressed air at low pressure": ("air gun",),
    "cotton swabs": ("swab",),
    "cover nut socket": ("torque wrench", "socket wrench"),
    "depth gauge": ("depth gauge",),
    "dial indicator with magnetic stand": ("dial indicator",),
    "feeler gauges": ("feeler blade",),
    "fine stone": ("oil stone",),
    "flat plate": ("flat plate",),
    "hexagon key socket": ("hexagon key socket",),
    "lamp": ("lamp",),
    "lifting gear or second person": ("lifting strap",),
    "lint-free cloths": ("cloth",),
    "oil stone": ("oil stone",),
    "open-ended wrench": ("open wrench",),
    "press or two clamps": ("clamp",),
    "rotor nut socket": ("torque wrench", "socket wrench"),
    "small clean brush": ("brush",),
    "small straightedge": ("straightedge",),
    "soft block": ("soft block",),
    "soft-faced mallet": ("soft-faced mallet",),
    "straightedge": ("straightedge",),
    "torque wrench": ("torque wrench",),
}
"""Entries of a step's tools and supplies, by the tools of operations that they are."""
NO_TOOL = {
    "brass drift", "contact thermometer", "face shield", "gauge pins", "internal puller with soft jaws",
    "key of the lock box", "locks and tags for valves", "magnifying glass", "micrometer", "pH meter",
    "personal lock and tag", "pipe supports", "plastic wedges", "pressure gauge", "safety goggles", "small square",
    "soft mat", "soft wire", "tool for the pipe joints",
}  # fmt: skip
"""Entries of a step's tools that are no tool of an operation: worn, carried, or told in words alone."""

Sentence = tuple[str, list[OperationText], bool]
"""Its text, what it does, whether it is an act."""


def sentences(step: StepText) -> Iterator[Sentence]:
    for act in step.acts:
        yield act.text, act.does, True
    for look in step.look:
        yield look.text, look.does, False
    for reading in step.measure:
        yield f"{reading.text}. {reading.method}", reading.does, False


def unsaid(step: StepText) -> list[str]:
    """Return operations whose verb or tool no word of their sentence says; a tool may stand in the step's lists."""
    listed = {t for x in (*step.tools, *step.supplies) for t in IN_LISTS.get(x.text, ())}
    found = []
    for text, does, is_act in sentences(step):
        for op in does:
            if not re.search(SAYS[op.do], text, re.IGNORECASE) and (is_act or op.do != "look"):
                found.append(f"{step.id}: {op.do}: {text}")
            said = re.search(rf"\b{op.tool.split()[-1]}", text, re.IGNORECASE)
            if op.tool != "hand" and op.tool not in listed and not said:
                found.append(f"{step.id}: {op.tool}: {text}")
    return found


def undone(step: StepText) -> list[str]:
    """Return acts that ask for something on a part, without the operation that it is."""
    found = []
    for text, does, is_act in sentences(step):
        if not is_act or not NAMES.search(text) or text.startswith(tuple(ELSEWHERE)):
            continue
        clauses = re.split(r"(?<=[.,:;])\s+|\b(?:and|then|or)\s+", text)
        for clause in clauses:
            for begins, verbs in ASKS.items():
                if re.match(rf"(?:{begins})\b", clause, re.IGNORECASE) and not {op.do for op in does} & {
                    *verbs
                }:
                    found.append(f"{step.id}: {clause} ({text})")
    return found


def idle(step: StepText) -> list[str]:
    """Return entries of a step's tools that no operation uses."""
    used = {op.tool for _, does, _ in sentences(step) for op in does}
    return [
        f"{step.id}: {x.text}"
        for x in step.tools
        if x.text not in NO_TOOL and not used & set(IN_LISTS.get(x.text, ()))
    ]


CHECKS: tuple[Callable[[StepText], list[str]], ...] = (unsaid, undone, idle)
STEPS = {(name, s.id): s for name in (*SHIPPED, *CHECKLISTS) for s in load_sequence(name).steps}


@pytest.mark.parametrize("check", CHECKS, ids=lambda c: c.__name__)
def test_sentences_and_operations_say_the_same(check: Callable[[StepText], list[str]]) -> None:
    assert [(name, fault) for (name, _), step in STEPS.items() for fault in check(step)] == []


def test_tables_name_nothing_that_is_gone() -> None:
    listed = {x.text for s in STEPS.values() for x in (*s.tools, *s.supplies)}
    assert set(IN_LISTS) | NO_TOOL <= listed
    assert not set(IN_LISTS) & NO_TOOL
    texts = [a.text for s in STEPS.values() for a in s.acts]
    assert all(any(t.startswith(begin) for t in texts) for begin in ELSEWHERE)
    assert set(SAYS) == set(TOOLS_FOR) == set(get_args(Verb))
    assert {t for tools in TOOLS_FOR.values() for t in tools} == set(get_args(Tool))


# ------------------------------------------------------------------ drift, seeded
def _changed(sequence: str, step: str, begin: str, **change: object) -> StepText:
    """Return a step in which the act that begins so has another text, or other operations."""
    text = STEPS[sequence, step]
    (number,) = [n for n, a in enumerate(text.acts) if a.text.startswith(begin)]
    acts: list[Act] = list(text.acts)
    acts[number] = acts[number].model_copy(update=change)
    return text.model_copy(update={"acts": acts})


def _op(**words: object) -> OperationText:
    return OperationText.model_validate(words)


DRIFTS: dict[str, tuple[StepText, Callable[[StepText], list[str]]]] = {
    "it loosens what the sentence tightens": (
        _changed(
            "assembly", "torque_drive", "Tighten with",
            does=[_op(do="loosen", tool="socket wrench", on={"rotor_nut_drive": "hexagon"})],
        ),
        unsaid,
    ),
    "it takes a tool that nobody laid out": (
        _changed(
            "assembly", "torque_drive", "Tighten with",
            does=[_op(do="tighten", tool="open wrench", on={"rotor_nut_drive": "hexagon"})],
        ),
        unsaid,
    ),
    "the sentence tightens what it loosens": (
        _changed("disassembly", "body_screws_off", "Loosen both", text="Tighten both screws in turn."), undone,
    ),
    "the sentence asks for an act that it has not": (
        _changed("assembly", "clean_gear_case", "Wipe the face", does=[]), undone,
    ),
    "the sentence is of other words": (
        _changed("assembly", "stationary_rings", "Wet the lead-in", text="Dry the lead-in edge."), unsaid,
    ),
    "a tool of the list has nothing to do": (_changed("assembly", "torque_drive", "Set a soft block", does=[]), idle),
}  # fmt: skip
"""Steps that have drifted, with the check that finds it."""


@pytest.mark.parametrize("drift", DRIFTS)
def test_drift_is_found(drift: str) -> None:
    step, finds = DRIFTS[drift]
    assert finds(step) != []
    whole = next(s for (_, name), s in STEPS.items() if name == step.id)
    assert finds(whole) == []


def test_an_act_that_asks_for_one_never_loses_its_operations_unseen() -> None:
    """Of all acts that ask for one, none can lose all its operations unseen."""
    seen = lost = 0
    for (name, _), step in STEPS.items():
        for act in step.acts:
            if act.does and any(re.match(rf"(?:{b})\b", act.text, re.IGNORECASE) for b in ASKS):
                seen += 1
                begin = _changed(name, step.id, act.text, does=[])
                lost += not (undone(begin) or idle(begin))
    assert seen > 100
    assert lost == 0
