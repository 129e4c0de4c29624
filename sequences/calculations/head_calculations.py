"""The calculation sheets of one head: every figure that a booklet shows, and blanks where a source is missing.

API::

    calculations(head, weights=()) -> tuple[Group, ...]
    with_masses(groups, head, weights) -> tuple[Group, ...]   # the masses added, once the solids are there
    Group(id, sheets); Sheet(id, title, figures, sentences, blanks, notes); Blank(title, unit, where, name)
    spring_sentence(head) -> str            # what turning the nut's disc spring over does, for the step that fits it
    PartWeight(kind, count, material, volume_mm3)   # from the solids, where they are there

Worked out from size, options and sourced values, without the CAD kernel. A torque, clearance or limit is only ever the
owner's own: without it there is a blank, and no figure that would need it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from typing import TYPE_CHECKING

from ...geometry.dimensions.parts_list import KINDS
from ...geometry.dimensions.stack_up import StackUp
from ...geometry.engineering.clearances import gap_figures, hot_gap_figure
from ...geometry.engineering.disc_springs import DiscSpring, force_figures, stress_figure
from ...geometry.engineering.elastomers import HEAT_C, HEAT_SOURCE, NAMES, food_contact, judge
from ...geometry.engineering.figures import Figure, Input, Limit, make_figure
from ...geometry.engineering.materials import material
from ...geometry.engineering.measuring import Instrument
from ...geometry.engineering.orings import gland_figures, made_to_size, nearest_size
from ...geometry.engineering.spring_seats import turned_over
from ...geometry.head.calculation_inputs import gap_chains, glands, nut_spring, section_mm
from ...geometry.profiles.displacement import by_flow, closed_form
from ...geometry.profiles.rotor_profiles import make_profile
from ..values.instruments import TORQUES, WAYS, instruments, no_room, room_figure
from ..values.sourced_values import ResolvedValue
from .calculation_sheets import Blank, CalculationSheet, PartWeight, SheetGroup, blank_for
from .nut_calculations import nut_sheets, pocket_of

if TYPE_CHECKING:
    from ..fleet.heads import FleetHead

__all__ = [
    "GAP_VALUES",
    "Blank",
    "CalculationSheet",
    "PartWeight",
    "SheetGroup",
    "calculations",
    "spring_sentence",
    "with_masses",
]

GAP_VALUES = {
    "front": "front_face_clearance",
    "rear": "rear_clearance",
    "radial": "radial_clearance",
    "mesh": "mesh_clearance",
}
"""Chain of dimensions to the sourced value that limits it."""
GRADE = 7
"""Grade of ISO 286-1 that is assumed for dimensions whose drawing tolerance nobody gave."""
_HEAT = Blank(
    "Process temperature",
    "°C",
    "the process sheet of this pump; write it as process_temperature_c of the head in the fleet file",
    "process_temperature_c",
)


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
    ['orings', 'spring', 'nut', 'gaps', 'readings', 'media', 'pump']
    """
    stack = StackUp(head.size, head.options)
    groups = (
        SheetGroup("orings", tuple(_gland_sheets(head, stack))),
        SheetGroup("spring", (_spring_sheet(stack),)),
        SheetGroup("nut", tuple(nut_sheets(head, stack))),
        SheetGroup("gaps", tuple(_gap_sheets(head, stack))),
        SheetGroup("readings", tuple(_reading_sheets(head))),
        SheetGroup("media", tuple(_media_sheets(head))),
        SheetGroup("pump", (_displacement_sheet(head, stack),)),
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
            KINDS[kind],
            gland_figures(gland, ring, elastomer, head.process_temperature_c),
            sentences=(
                f"{kinds.count(kind)} in this head, {NAMES.get(elastomer, elastomer)}.",
                choice.sentence,
            ),
            blanks=() if head.process_temperature_c is not None else (_HEAT,),
            notes=("A suggestion by dimensions alone. The ring that the pump's maker names comes first.",),
        )


# ---- the nut's spring
def _spring_sheet(stack: StackUp) -> CalculationSheet:
    spring, pocket = nut_spring(stack), pocket_of(stack)
    found = turned_over(spring, pocket)
    figures = [replace(f, sentence="") for f in found.figures]
    if found.right.deflection_mm > 0:
        figures.append(stress_figure(spring, found.right.deflection_mm))
    return CalculationSheet(
        "disc-spring",
        "Disc spring of the rotor nut",
        _with_working(tuple(figures), spring, found.right.deflection_mm, found.wrong.deflection_mm),
        sentences=(found.sentence,),
        notes=(found.assumptions, "The maker's manual for this size decides which way round is right."),
    )


def _with_working(
    figures: tuple[Figure, ...], spring: DiscSpring, right_mm: float, wrong_mm: float
) -> tuple[Figure, ...]:
    """Return the figures with the coefficient K1 that their formulas take, before the first that needs it."""
    k1 = force_figures(spring, right_mm or wrong_mm or spring.cone_mm)[0]
    at = next((n for n, f in enumerate(figures) if any(i.symbol == k1.symbol for i in f.inputs)), None)
    return figures if at is None else (*figures[:at], k1, *figures[at:])


def spring_sentence(head: FleetHead) -> str:
    """Return what turning the disc spring of this head's nuts over does, in a sentence for a new hire."""
    stack = StackUp(head.size, head.options)
    return turned_over(nut_spring(stack), pocket_of(stack)).sentence


# ---- clearances
def _gap_sheets(head: FleetHead, stack: StackUp) -> Iterator[CalculationSheet]:
    hot = head.process_temperature_c
    for key, chain in gap_chains(stack, GRADE).items():
        value = head.values[GAP_VALUES[key]]
        limit = None
        if value.known and (value.low is not None or value.high is not None):
            limit = Limit(value.low, value.high, value.unit, value.source, value.condition)
        nominal, reach, sampled = gap_figures(chain, limit)
        figures = [nominal, reach, replace(sampled, inputs=nominal.inputs)]
        blanks = [] if limit is not None else [blank_for(value)]
        if hot is None:
            blanks.append(_HEAT)
        else:
            cold = "given for the head as it is measured, cold; read here as a warning"
            warm = None if limit is None else replace(limit, words=limit.words or cold)
            figures.append(hot_gap_figure(chain, hot, warm))
        yield CalculationSheet(
            f"gap-{key}",
            chain.name,
            tuple(figures),
            sentences=tuple(f.sentence for f in figures if f.sentence),
            blanks=tuple(blanks),
            notes=(
                f"Dimensions are those of this size, tolerances those of grade IT{GRADE} of ISO 286-1, assumed: "
                "they show how the gap comes about and stand in for no drawing.",
            ),
        )


# ---- readings
def _reading_sheets(head: FleetHead) -> Iterator[CalculationSheet]:
    """One sheet for each method: how exact it is, and whether the limits that it has to judge leave it room."""
    used: dict[str, list[tuple[ResolvedValue, Instrument]]] = {}
    for name in (*WAYS, *TORQUES):
        value = head.values.get(name)
        if value is not None:
            for tool in instruments(name, value.unit, value.high):
                used.setdefault(tool.key, []).append((value, tool))
    for key, pairs in used.items():
        first = pairs[0][1]
        figures: dict[str, Figure] = {}
        sentences, blanks = [], []
        for value, tool in pairs:
            figures.setdefault(tool.figure.id, tool.figure)
            room = room_figure(value, tool)
            if room is not None:
                figures[room.id] = room
                if room.judgement == "outside":
                    sentences.append(no_room(value, tool))
            elif not value.known:
                blanks.append(blank_for(value))
        yield CalculationSheet(
            f"reading-{key}",
            first.name,
            tuple(figures.values()),
            sentences=tuple(sentences),
            blanks=tuple(blanks),
            notes=(first.method.beware,) if first.method else (),
            steps=first.method.steps if first.method else (),
            tools=first.method.tools if first.method else (),
        )


# ---- elastomers and media
def _media_sheets(head: FleetHead) -> Iterator[CalculationSheet]:
    lubricant = [head.lubricant] if head.lubricant else []
    media = dict.fromkeys([*lubricant, *head.product, *head.cleaning])
    for elastomer in dict.fromkeys([head.options.elastomer, ring_material(head, "cover_oring")]):
        judged = [judge(elastomer, m) for m in media]
        figures = []
        most, hot = HEAT_C.get(elastomer), head.process_temperature_c
        if most is not None and hot is not None:
            figures.append(
                make_figure(
                    f"heat.{elastomer}", f"Below the heat of ageing, {elastomer}", "Δt", "K", "tₐ - tₚ",
                    (
                        Input("tₐ", f"temperature at which {elastomer} is heat-aged for 70 h", most, "°C", HEAT_SOURCE),
                        Input("tₚ", "process temperature", hot, "°C", "fleet file"),
                    ),
                    HEAT_SOURCE,
                    limit=Limit(0.0, None, "K", HEAT_SOURCE, "long service ends lower"),
                    not_verified="class of the elastomer; the compound's own data sheet decides",
                )
            )  # fmt: skip
        yield CalculationSheet(
            f"media-{elastomer}",
            f"{NAMES.get(elastomer, elastomer)} and what it meets",
            tuple(figures),
            sentences=tuple(f"{m.sentence} ({m.source})" for m in judged),
            notes=()
            if not judged
            else (f"{judged[0].not_verified[:1].upper()}{judged[0].not_verified[1:]}.",),
        )
    paper = head.values.get("food_contact_registration")
    if paper is not None:
        said = food_contact("Lubricants", paper.text or None, paper.source or None)
        blanks = () if paper.known else (blank_for(paper),)
        yield CalculationSheet("food-contact", "Food contact", sentences=(said.sentence,), blanks=blanks)


# ---- the pump as a whole
def _displacement_sheet(head: FleetHead, stack: StackUp) -> CalculationSheet:
    s = head.size
    profile = make_profile(stack.options.rotor, s.c, s.tip_radius_mm, s.running_gap_mm, s.wing_half_angle_deg)
    width = Input("W", "rotor width", s.rotor_width_mm, "mm", "this size")
    centre = Input("C", "distance of the shafts", s.c, "mm", "this size")
    name, source = "Displacement for one turn", "rotor outlines: liquid that fills every space, no slip"
    doubt = "slip through the gaps comes off; no pump was measured"
    if profile.curve == "wing":
        tip = Input("r", "tip radius", s.tip_radius_mm, "mm", "this size")
        gap = Input("g", "running gap", s.running_gap_mm, "mm", "this size", 4)
        figure = make_figure(
            "pump.displacement", name, "V", "L", "π·W·C·(2·r + g - C)·10⁻⁶", (width, centre, tip, gap), source,
            decimals=4, not_verified=doubt,
        )  # fmt: skip
    elif profile.curve == "cycloid":
        lobes = Input("N", "lobes of a rotor", profile.lobes, "", "rotor form", 0)
        figure = make_figure(
            "pump.displacement", name, "V", "L", "4·π·W·C/(4·N)·(C + C/(4·N))·10⁻⁶", (width, centre, lobes), source,
            decimals=4, not_verified=doubt,
        )  # fmt: skip
    else:
        figure = Figure(
            "pump.displacement", name, "V", by_flow(profile) * s.rotor_width_mm / 1e6, "L", "", (width, centre),
            source, method="from the outlines of both rotors in 90 positions of half a pitch", decimals=4,
            not_verified=doubt,
        )  # fmt: skip
    assert closed_form(profile, s.rotor_width_mm) is None or figure.formula
    return CalculationSheet("displacement", "Displacement", (figure,))


def _mass_sheets(head: FleetHead, weights: Iterable[PartWeight]) -> Iterator[CalculationSheet]:
    limit: Limit | None = None
    blanks: tuple[Blank, ...] = ()
    value = head.values["mass_limit"]
    if value.nominal is not None:
        limit = Limit(None, value.nominal, "kg", value.source, "to lift by hand")
    else:
        blanks = (blank_for(value),)
    figures = []
    for w in weights:
        metal = material(w.material)
        figures.append(
            make_figure(
                f"mass.{w.kind}", f"Mass of one {KINDS[w.kind][0].lower()}{KINDS[w.kind][1:]}", "m", "kg", "ρ·V·10⁻⁹",
                (
                    Input("ρ", f"density of {metal.name}", metal.density_kg_m3, "kg/m³", metal.density_source),
                    Input("V", "volume of the solid", w.volume_mm3, "mm³", "this size's solid", 0),
                ),
                "volume by density", limit=None if w.kind in _STAYS else limit,
            )
        )  # fmt: skip
    heavy = sorted((f for f in figures if f.value >= LEAST_SHOWN_KG), key=lambda f: -f.value)
    if heavy:
        yield CalculationSheet("masses", "What the heavier parts weigh", tuple(heavy), blanks=blanks)


_STAYS = ("gear_case", "shaft", "stud")
"""Kinds of part that no sequence lifts."""
LEAST_SHOWN_KG = 0.5
