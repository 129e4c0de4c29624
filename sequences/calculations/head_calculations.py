"""The calculation sheets of one head: every figure that a booklet shows, and blanks where a source is missing.

API::

    calculations(head, weights=()) -> tuple[SheetGroup, ...]
    with_masses(groups, head, weights) -> tuple[SheetGroup, ...]   # the masses added, once the solids are there
    SheetGroup(id, sheets); CalculationSheet(id, topic, figures, findings, blanks, notes); Blank(name, unit)
    nut_spring_turned(head) -> TurnedOver   # what turning the nut's disc spring over does, for the step that fits it
    PartWeight(kind, material, volume_mm3)  # from the solids, where they are there

Worked out from size, options and sourced values, without the CAD kernel. A torque, clearance or limit is only ever the
owner's own: without it there is a blank, and no figure that would need it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from typing import TYPE_CHECKING

from ...geometry.dimensions.stack_up import StackUp
from ...geometry.engineering.clearances import WARMTH, gap_figures, hot_gap_figure, root_sum_square
from ...geometry.engineering.elastomers import HEAT_C, HEAT_SOURCE, FoodContact, judge
from ...geometry.engineering.figures import Figure, Input, Limit, make_figure
from ...geometry.engineering.materials import material
from ...geometry.engineering.measuring import Instrument
from ...geometry.engineering.orings import gland_figures, made_to_size, nearest_size
from ...geometry.engineering.seal_faces import balance_figure
from ...geometry.engineering.shaft_fits import rotor_fit_figures
from ...geometry.engineering.springs.disc_springs import DiscSpring, force_figures, stress_figure
from ...geometry.engineering.springs.spring_seats import TurnedOver, turned_over
from ...geometry.engineering.topics import SIZE, Topic
from ...geometry.head.calculation_inputs import gap_chains, glands, nut_spring, seal_faces, section_mm
from ...geometry.profiles.displacement import by_flow, closed_form
from ...geometry.profiles.rotor_profiles import make_profile
from ..values.instruments import STEPWISE, TORQUES, WAYS, instruments, share_figure
from ..values.sourced_values import ResolvedValue
from .calculation_sheets import (
    Blank,
    CalculationSheet,
    Finding,
    Gap,
    GapScatter,
    HotGap,
    PartWeight,
    RingsOf,
    SheetGroup,
    TooCoarse,
    blank_for,
    too_coarse,
)
from .nut_calculations import nut_sheets, pocket_of
from .strength_calculations import strength_sheets

if TYPE_CHECKING:
    from ..fleet.heads import FleetHead

GAP_VALUES = {
    "front": "front_face_clearance",
    "rear": "rear_clearance",
    "radial": "radial_clearance",
    "mesh": "mesh_clearance",
}
"""Chain of dimensions to the sourced value that limits it."""
GRADE = 7
"""Grade of ISO 286-1 that is assumed for dimensions whose drawing tolerance nobody gave."""
_WARMED = (
    Topic(
        "note.gap_warmth",
        case_percent=100 * WARMTH["hot"]["gear_case"],
        body_percent=100 * WARMTH["warm_up"]["body"],
        cold_case_percent=100 * WARMTH["warm_up"]["gear_case"],
    ),
)
_HEAT = Blank("process_temperature_c", "°C")


def calculations(head: FleetHead, weights: Iterable[PartWeight] = ()) -> tuple[SheetGroup, ...]:
    """Return all calculation sheets of a head, in the order of the page.

    Args:
        head: a row of the fleet that has passed the checks.
        weights: what the parts weigh, from the solids; without them there is no sheet of masses.

    >>> from benchleaf.geometry.dimensions.options import Options
    >>> from benchleaf.geometry.dimensions.parts_list import part_kinds
    >>> from benchleaf.geometry.dimensions.size import example_measures, make_size
    >>> from benchleaf.sequences.fleet.heads import FleetHead
    >>> from benchleaf.sequences.values.head_values import resolve_values
    >>> o, size = Options(), make_size("62", example_measures(62.0, "two-wing"))
    >>> bare = FleetHead("P-1", "p-1", "", size, o, resolve_values({}, o), part_kinds(o))
    >>> [g.id for g in calculations(bare)]
    ['orings', 'seals', 'spring', 'nut', 'strength', 'gaps', 'readings', 'media', 'pump']
    """
    stack = StackUp(head.size, head.options)
    pump = _displacement_sheet(head, stack)
    groups = (
        SheetGroup("orings", tuple(_gland_sheets(head, stack))),
        SheetGroup("seals", (_seal_sheet(stack),)),
        SheetGroup("spring", (_spring_sheet(stack),)),
        SheetGroup("nut", tuple(nut_sheets(head, stack))),
        SheetGroup("strength", tuple(strength_sheets(head, stack, pump.figures[0]))),
        SheetGroup("gaps", tuple(_gap_sheets(head, stack))),
        SheetGroup("readings", tuple(_reading_sheets(head))),
        SheetGroup("media", tuple(_media_sheets(head))),
        SheetGroup("pump", (pump,)),
    )
    return with_masses(tuple(g for g in groups if g.sheets), head, weights)


def with_masses(
    groups: tuple[SheetGroup, ...], head: FleetHead, weights: Iterable[PartWeight]
) -> tuple[SheetGroup, ...]:
    """Return the sheets of a head with that of its masses, once its solids are there."""
    masses = tuple(_mass_sheets(head, weights))
    return tuple(replace(g, sheets=(*g.sheets, *masses)) if g.id == "pump" else g for g in groups)


# ---- O-rings
def ring_material(head: FleetHead, kind: str) -> str:
    """Return what an O-ring of this head is made of."""
    encapsulated = kind == "cover_oring" and head.options.cover_oring == "ptfe-encapsulated"
    return "ptfe-encapsulated" if encapsulated else head.options.elastomer


def _gland_sheets(head: FleetHead, stack: StackUp) -> Iterator[CalculationSheet]:
    kinds = list(head.parts.values())
    for kind, gland in glands(stack).items():
        elastomer = ring_material(head, kind)
        section = section_mm(stack, kind)
        choice = nearest_size(gland, section)
        ring = choice.ring if choice.fits else made_to_size(gland, section)
        yield CalculationSheet(
            f"gland-{kind}",
            Topic("sheet.gland", part=kind),
            gland_figures(gland, ring, elastomer, head.process_temperature_c),
            findings=(RingsOf(kinds.count(kind), elastomer), choice),
            blanks=() if head.process_temperature_c is not None else (_HEAT,),
            notes=(Topic("note.ring"),),
        )


# ---- the seals
def _seal_sheet(stack: StackUp) -> CalculationSheet:
    return CalculationSheet(
        "seal-faces",
        Topic("sheet.seal_faces"),
        tuple(balance_figure(face) for face in seal_faces(stack)),
        notes=(Topic("note.balance"),),
    )


# ---- the nut's spring
def _spring_sheet(stack: StackUp) -> CalculationSheet:
    spring, pocket = nut_spring(stack), pocket_of(stack)
    found = turned_over(spring, pocket)
    figures = list(found.figures)
    if found.right.deflection_mm > 0:
        figures.append(stress_figure(spring, found.right.deflection_mm))
    return CalculationSheet(
        "disc-spring",
        Topic("sheet.disc_spring"),
        _with_working(tuple(figures), spring, found.right.deflection_mm, found.wrong.deflection_mm),
        findings=(found,),
        notes=(Topic("note.spring_assumed"), Topic("note.spring_way")),
    )


def _with_working(
    figures: tuple[Figure, ...], spring: DiscSpring, right_mm: float, wrong_mm: float
) -> tuple[Figure, ...]:
    """Return the figures with the coefficient K1 that their formulas take, before the first that needs it."""
    k1 = force_figures(spring, right_mm or wrong_mm or spring.cone_mm)[0]
    at = next((n for n, f in enumerate(figures) if any(i.symbol == k1.symbol for i in f.inputs)), None)
    return figures if at is None else (*figures[:at], k1, *figures[at:])


def nut_spring_turned(head: FleetHead) -> TurnedOver:
    """Return what turning the disc spring of this head's nuts over does."""
    stack = StackUp(head.size, head.options)
    return turned_over(nut_spring(stack), pocket_of(stack))


# ---- clearances
def _gap_sheets(head: FleetHead, stack: StackUp) -> Iterator[CalculationSheet]:
    process_c = head.process_temperature_c
    for key, chain in gap_chains(stack, GRADE).items():
        value = head.values[GAP_VALUES[key]]
        limit = _gap_limit(value)
        nominal, reach, sampled = gap_figures(chain, limit)
        figures = [nominal, reach, replace(sampled, inputs=nominal.inputs)]
        figures += rotor_fit_figures(head.size.rotor_fit_mm, head.size.running_gap_mm, key)
        findings: list[Finding] = [Gap(nominal), GapScatter(*root_sum_square(chain))]
        blanks = [] if limit is not None else [blank_for(value)]
        if process_c is None:
            blanks.append(_HEAT)
        else:
            cold = Topic("limit.cold")
            warm = None if limit is None else replace(limit, condition=limit.condition or cold)
            for state, shares in WARMTH.items():
                hot = hot_gap_figure(chain, process_c, warm if state == "hot" else None, shares, state)
                figures.append(hot)
                findings.append(HotGap(hot, 1000 * (hot.value - chain.nominal_mm)))
        yield CalculationSheet(
            f"gap-{key}",
            Topic("sheet.gap", gap=key),
            tuple(figures),
            tuple(findings),
            tuple(blanks),
            notes=(
                Topic("note.gap", grade=GRADE, standard="ISO 286-1"),
                *(() if process_c is None else _WARMED),
            ),
        )


def _gap_limit(value: ResolvedValue) -> Limit | None:
    """Return the sourced limit of a gap, None where none is on file."""
    given = value.given
    if given is None or (value.low is None and value.high is None):
        return None
    condition = Topic("limit.condition", words=given.condition) if given.condition else None
    return Limit(value.low, value.high, value.unit, given.reference, condition)


# ---- readings
def _reading_sheets(head: FleetHead) -> Iterator[CalculationSheet]:
    """One sheet for each method: how exact it is, and whether it is fine enough for the limits that it has to judge."""
    used: dict[str, list[tuple[ResolvedValue, Instrument]]] = {}
    for name in (*WAYS, *TORQUES):
        value = head.values.get(name)
        if value is not None:
            for tool in instruments(name, value.unit, value.high):
                used.setdefault(tool.key, []).append((value, tool))
    for key, pairs in used.items():
        figures: dict[str, Figure] = {}
        findings: list[TooCoarse] = []
        blanks = []
        for value, tool in pairs:
            figures.setdefault(tool.figure.id, tool.figure)
            share = share_figure(value, tool)
            if share is not None:
                figures[share.id] = share
            elif not value.known:
                blanks.append(blank_for(value))
            if (narrow := too_coarse(value, tool, share)) is not None:
                findings.append(narrow)
        told = key in STEPWISE
        yield CalculationSheet(
            f"reading-{key}",
            Topic("sheet.reading", method=key),
            tuple(figures.values()),
            tuple(findings),
            tuple(blanks),
            notes=(Topic(f"method.{key}.beware"),) if told else (),
            method=key if told else "",
        )


# ---- elastomers and media
def _media_sheets(head: FleetHead) -> Iterator[CalculationSheet]:
    lubricant = [head.lubricant] if head.lubricant else []
    media = dict.fromkeys([*lubricant, *head.product, *head.cleaning])
    for elastomer in dict.fromkeys([head.options.elastomer, ring_material(head, "cover_oring")]):
        figures = []
        most, hot = HEAT_C.get(elastomer), head.process_temperature_c
        if most is not None and hot is not None:
            figures.append(_heat_figure(elastomer, most, hot))
        yield CalculationSheet(
            f"media-{elastomer}",
            Topic("sheet.media", elastomer=elastomer),
            tuple(figures),
            tuple(judge(elastomer, m) for m in media),
            notes=(Topic("note.media"),) if media else (),
        )
    paper = head.values.get("food_contact_registration")
    if paper is not None:
        given = paper.given
        said = FoodContact() if given is None else FoodContact(str(given.value), given.reference)
        blanks = () if paper.known else (blank_for(paper),)
        yield CalculationSheet("food-contact", Topic("sheet.food_contact"), findings=(said,), blanks=blanks)


def _heat_figure(elastomer: str, most_c: float, process_c: float) -> Figure:
    return make_figure(
        f"heat.{elastomer}", Topic("figure.heat", elastomer=elastomer), "Δt", "K", "tₐ - tₚ",
        (
            Input("tₐ", Topic("input.heat_ageing", elastomer=elastomer), most_c, "°C", HEAT_SOURCE),
            Input("tₚ", Topic("input.process_temperature"), process_c, "°C", Topic("source.fleet_file")),
        ),
        HEAT_SOURCE,
        limit=Limit(0.0, None, "K", HEAT_SOURCE, Topic("limit.long_service")),
        not_verified=Topic("caveat.elastomer_class"),
    )  # fmt: skip


# ---- the pump as a whole
def _displacement_sheet(head: FleetHead, stack: StackUp) -> CalculationSheet:
    s = head.size
    profile = make_profile(stack.options.rotor, s.c, s.tip_radius_mm, s.running_gap_mm, s.wing_half_angle_deg)
    width = Input("W", Topic("input.rotor_width"), s.rotor_width_mm, "mm", SIZE)
    centre = Input("C", Topic("input.shaft_distance"), s.c, "mm", SIZE)
    id, topic = "pump.displacement", Topic("figure.displacement")
    source, doubt = Topic("source.outlines"), Topic("caveat.displacement")
    if profile.curve == "wing":
        tip = Input("r", Topic("input.tip_radius"), s.tip_radius_mm, "mm", SIZE)
        gap = Input("g", Topic("input.running_gap"), s.running_gap_mm, "mm", SIZE, 4)
        formula = "π·W·C·(2·r + g - C)·10⁻⁶"
        figure = make_figure(
            id, topic, "V", "L", formula, (width, centre, tip, gap), source, decimals=4, not_verified=doubt
        )
    elif profile.curve == "cycloid":
        lobes = Input("N", Topic("input.lobes"), profile.lobes, "", Topic("source.rotor_form"), 0)
        formula = "4·π·W·C/(4·N)·(C + C/(4·N))·10⁻⁶"
        figure = make_figure(
            id, topic, "V", "L", formula, (width, centre, lobes), source, decimals=4, not_verified=doubt
        )
    else:
        figure = Figure(
            id, topic, "V", by_flow(profile) * s.rotor_width_mm / 1e6, "L", "", (width, centre), source,
            derivation=Topic("derivation.outlines"), decimals=4, not_verified=doubt,
        )  # fmt: skip
    assert closed_form(profile, s.rotor_width_mm) is None or figure.formula
    return CalculationSheet("displacement", Topic("sheet.displacement"), (figure,))


def _mass_sheets(head: FleetHead, weights: Iterable[PartWeight]) -> Iterator[CalculationSheet]:
    limit: Limit | None = None
    blanks: tuple[Blank, ...] = ()
    value = head.values["mass_limit"]
    if value.given is not None and value.nominal is not None:
        limit = Limit(None, value.nominal, "kg", value.given.reference, Topic("limit.lift"))
    else:
        blanks = (blank_for(value),)
    figures = [_mass_figure(w, None if w.kind in _STAYS else limit) for w in weights]
    heavy = sorted((f for f in figures if f.value >= LEAST_SHOWN_KG), key=lambda f: -f.value)
    if heavy:
        yield CalculationSheet("masses", Topic("sheet.masses"), tuple(heavy), blanks=blanks)


def _mass_figure(weight: PartWeight, limit: Limit | None) -> Figure:
    return make_figure(
        f"mass.{weight.kind}", Topic("figure.mass", part=weight.kind), "m", "kg", "ρ·V·10⁻⁹",
        (
            material(weight.material).density_input("ρ"),
            Input("V", Topic("input.volume"), weight.volume_mm3, "mm³", Topic("source.solid"), 0),
        ),
        Topic("source.mass"), limit=limit,
    )  # fmt: skip


_STAYS = ("gear_case", "shaft", "stud")
"""Kinds of part that no sequence lifts."""
LEAST_SHOWN_KG = 0.5
