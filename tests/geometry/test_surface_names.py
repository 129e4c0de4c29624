"""Names of surfaces known without a solid; that the solids have the very same is shown beside the surfaces."""

from __future__ import annotations

from benchleaf.geometry.dimensions.options import Options
from benchleaf.geometry.dimensions.parts_list import KINDS, part_kinds
from benchleaf.geometry.dimensions.surface_names import surface_names


def test_every_kind_has_names_and_what_is_no_part_of_a_head_has_none() -> None:
    options = Options(seal="double", cover="relief")
    parts = part_kinds(options)
    assert set(parts.values()) == set(KINDS)
    names = surface_names(options, parts)
    assert all(names.values())
    assert all(len(set(n)) == len(n) for n in names.values())
    assert surface_names(options, {"wheel": "wheel"}) == {"wheel": ()}


def test_rows_of_parts_say_how_many_holes_and_notches_there_are() -> None:
    names = surface_names(Options(), part_kinds(Options(), studs=8, seal_pins=3))
    assert [n for n in names["gear_case"] if n.startswith("stud hole")][-1] == "stud hole 8"
    assert [n for n in names["stationary_ring_drive"] if n.startswith("notch")] == [
        "notch 1", "notch 2", "notch 3",
    ]  # fmt: skip


def test_options_bring_their_surfaces() -> None:
    def of(part: str, **options: object) -> set[str]:
        chosen = Options(**options)  # type: ignore[arg-type]
        return set(surface_names(chosen, part_kinds(chosen))[part])

    assert of("body") - of("body", rotor="two-lobe") == {
        f"{s} {w}" for s in ("drive", "driven") for w in ("hub", "hub face")
    }
    assert "atmosphere-side lapped face" in of("rotating_ring_drive", seal="double") - of(
        "rotating_ring_drive"
    )
    assert of("cover_nut_1", cover_nuts="wing") - of("cover_nut_1") == {"wings"}
    assert of("shaft_drive") - of("shaft_driven") == {"coupling diameter", "coupling keyway"}
