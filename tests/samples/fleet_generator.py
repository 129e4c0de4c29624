"""Large fleets as files: many heads of few designs, with values that differ; plant, pumps and documents are invented.

write_many_heads(folder, heads=100, designs=10) -> fleet file
"""

from __future__ import annotations

import random
from collections.abc import Mapping
from pathlib import Path

from benchleaf.geometry.dimensions.size import example_measures

ROTORS = ("two-wing", "two-lobe", "three-lobe")
FORMS: tuple[Mapping[str, str], ...] = (
    {},
    {"seal": "double", "cover": "relief", "elastomer": "FFKM"},
    {"cover": "jacketed", "body": "free-draining", "cover_nuts": "wing"},
    {"elastomer": "EPDM", "cover_oring": "ptfe-encapsulated"},
    {"cleaning_in_place": "true", "gear_case": "stainless", "rotor_metal": "316L"},
    {"seal": "double", "ports": "sideways"},
    {"cover": "relief", "body_metal": "duplex"},
)
"""Options of the designs, in turn; the rotor's form follows the design's number."""
MEDIA = ("fats-and-vegetable-oils", "essential-oils", "")
LUBRICANTS = ("silicone-grease", "mineral-grease")


def write_many_heads(
    folder: Path,
    heads: int = 100,
    designs: int = 10,
    variants: int = 4,
    seed: int = 0,
    sizes: int | None = None,
) -> Path:
    """Write a fleet of ``heads`` heads into ``folder`` and return its file.

    Args:
        folder: made where it is not there.
        heads: how many; head n has design n modulo ``designs``, and each ``designs``-th pass the next variant.
        designs: how many differ in their solids: a size and options each.
        variants: how many sets of values of their own the heads of one design share.
        seed: of all that is drawn by chance: values, products, temperatures.
        sizes: how many sizes the designs share; left out, each design has its own.
    """
    if not 0 < designs <= 200 or not 0 < (sizes or designs) <= designs:
        raise ValueError("1 to 200 designs, of as many sizes at most")
    chance = random.Random(seed)
    sizes = sizes or designs
    lines = [
        "plant: Larkrise Works (invented)",
        "demo: true",
        "booklet: {revision: 1, date: 2031-02-03}",
        "values:",
        *_value("safe_touch_temperature", "value: 45, unit: °C", 2),
        *_value("mass_limit", "value: 15, unit: kg", 2),
        *_value("assembly_lubricant", f"value: grease, medium: {chance.choice(LUBRICANTS)}", 2),
        "sizes:",
    ]
    centres = [58.0 + (132.0 - 58.0) * n / max(sizes - 1, 1) for n in range(sizes)]
    for n, centre in enumerate(centres):
        lines += _size(n, round(centre, 1), chance)
    lines.append("heads:")
    of_variant = {
        (d, v): _own_lines(d, v, centres[d % sizes], chance) for d in range(designs) for v in range(variants)
    }
    for n in range(heads):
        design, variant = n % designs, n // designs % variants
        lines += [
            f"  - tag: G-{n + 1:03d}",
            f"    service: duty {n + 1}",
            f"    size: {_name(design % sizes)}",
            f"    rotor: {_rotor(design % sizes)}",
            *(f"    {name}: {choice}" for name, choice in FORMS[design // 3 % len(FORMS)].items()),
            *of_variant[design, variant],
        ]
    folder.mkdir(parents=True, exist_ok=True)
    file = folder / "fleet.yaml"
    file.write_text("\n".join(lines) + "\n", "utf-8")
    return file


def _name(size: int) -> str:
    return f"G{size + 1}"


def _rotor(size: int) -> str:
    return ROTORS[size % len(ROTORS)]


def _size(n: int, centre_mm: float, chance: random.Random) -> list[str]:
    measures = example_measures(centre_mm, _rotor(n))
    low = round(centre_mm * 0.0012, 3)
    return [
        f"  {_name(n)}:",
        *(f"    {key}: {value:.2f}" for key, value in measures.items()),
        "    values:",
        *_value("rotor_nut_torque", f"value: {_torque(centre_mm, 50, chance)}, unit: N·m, threads: anti-seize", 6),
        *_value("body_screw_torque", f"value: {_torque(centre_mm, 17, chance)}, unit: N·m", 6),
        *_value("front_face_clearance", f"range: [{low:.3f}, {low + 0.06:.3f}], unit: mm", 6),
        *_value("radial_clearance", f"range: [{low - 0.04:.3f}, {low + 0.05:.3f}], unit: mm", 6),
        *_value("shaft_runout_limit", "value: 0.03, unit: mm", 6),
        *_value("temperature_limit", "value: 130, unit: °C", 6),
        *_value("pressure_limit", f"value: {chance.choice((3, 4, 5))}, unit: bar", 6),
    ]  # fmt: skip


def _own_lines(design: int, variant: int, centre_mm: float, chance: random.Random) -> list[str]:
    """Return what the heads of one variant have of their own: media, temperature, values."""
    medium = chance.choice(MEDIA)
    return [
        *([f"    product: {medium}"] if medium else []),
        f"    process_temperature_c: {chance.choice((8, 20, 60, 80, 95))}",
        "    values:",
        *_value("rotor_nut_torque", f"value: {_torque(centre_mm, 50, chance)}, unit: N·m, threads: dry", 6),
        *_value("shaft_end_float_limit", f"value: 0.0{4 + variant}, unit: mm", 6),
        *_value(
            "disc_spring_free_height", f"value: {centre_mm * chance.uniform(0.018, 0.028):.2f}, unit: mm", 6
        ),
        *_value("cleaning_agent", f"value: cleaner {design + 1}.{variant + 1}", 6),
    ]


def _torque(centre_mm: float, at_80_nm: float, chance: random.Random) -> int:
    """Return a torque that suits the size, or now and then does not."""
    usual = at_80_nm * (centre_mm / 80.0) ** 3 * chance.uniform(0.8, 1.2)
    return max(1, round(usual * chance.choice((*[1] * 14, 5, 0.1))))


def _value(name: str, text: str, deep: int) -> list[str]:
    source = "source: {document: Invented manual G, table: 7, page: 31}, date: 2030-05-04"
    return [f"{' ' * deep}{name}: {{{text}, {source}}}"]
