"""Names of the surfaces of a head's parts, known without building a solid.

The checks of sequence files read this list; the ``*_surfaces`` functions of :mod:`..parts` make exactly these surfaces.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping

from .options import Options
from .parts_list import RELIEF_SCREWS, SIDES

DOWELS = ("large", "small")
BODY_SCREWS, JACKET_CONNECTIONS, KEYWAYS, PORTS, VENTS = 2, 2, 2, 2, 4
FLUSH_CONNECTIONS, BODY_PASSAGES = 4, 4
_RING = ("lapped face", "nose", "outer diameter", "O-ring groove", "spring face", "bore")
_WAVE_SPRING = ("front crests", "rear crests", "inner edge", "outer edge")
_PIN = ("rear end", "side")
_SCREW = ("socket", "head", "bearing face", "thread")
_ORING = ("outer diameter", "inner diameter", "front side", "rear side")
_LOBES = {"two-wing": 2, "two-lobe": 2, "three-lobe": 3}


def surface_names(options: Options, parts: Mapping[str, str]) -> dict[str, tuple[str, ...]]:
    """Return part key to the names of its surfaces; several of one kind are numbered (``notch 1``, ``notch 2``).

    ``parts`` is part key to kind, as :func:`.parts_list.part_kinds` gives it: rows of parts say how many holes there
    are. Parts of no head have none.

    >>> names = surface_names(Options(), {"stud_1": "stud", "shaft_drive": "shaft"})
    >>> names["stud_1"]
    ('thread', 'shank', 'front end')
    """
    kinds = list(parts.values())
    counts = {"stud": kinds.count("stud"), "pin": sum(k.startswith("seal_pin_drive_") for k in parts)}
    found: dict[str, tuple[str, ...]] = {}
    made: dict[str, tuple[str, ...]] = {}
    for key, kind in parts.items():
        if kind == "shaft":
            found[key] = _shaft(drive=key.endswith("_drive"))
        else:
            if kind not in made:
                made[kind] = tuple(_of_kind(kind, options, counts))
            found[key] = made[kind]
    return found


def _row(word: str, count: int) -> list[str]:
    return [f"{word} {n}" for n in range(1, count + 1)]


def _each(words: Iterable[str], what: str) -> list[str]:
    return [f"{word} {what}" for word in words]


def _of_kind(kind: str, options: Options, counts: Mapping[str, int]) -> Iterable[str]:
    if kind.endswith("oring"):
        return _ORING
    if kind in _ALIKE:
        return _ALIKE[kind]
    return _BY_OPTIONS[kind](options, counts) if kind in _BY_OPTIONS else ()


def _shaft(drive: bool) -> tuple[str, ...]:
    names = (
        "thread", "rotor fit", "shaft seal diameter", "shoulder", "shoulder edge", "O-ring groove", "keyway",
        "collar flats", "collar face", "front end", "rear end",
    )  # fmt: skip
    return (*names, "coupling diameter", "coupling keyway") if drive else names


def _gear_case(options: Options, counts: Mapping[str, int]) -> list[str]:
    holes = [*_row("screw hole", BODY_SCREWS), *_row("stud hole", counts["stud"])]
    return ["front face", *_each(DOWELS, "dowel hole"), *holes, *_each(SIDES, "shaft bore")]


def _rotating_ring(options: Options, counts: Mapping[str, int]) -> list[str]:
    names = ["lapped face", "outer diameter", "back flats", "rear face", "bore", "relief"]
    return [*names, "atmosphere-side lapped face"] if options.seal == "double" else names


def _stationary(options: Options, counts: Mapping[str, int]) -> list[str]:
    return [*_RING, *_row("notch", counts["pin"])]


def _body(options: Options, counts: Mapping[str, int]) -> list[str]:
    about = ["bore", "seal bore", "lead-in edge", "spring step", "seal chamber"]
    if options.seal == "double":
        about += _each(["atmosphere-side"], "seal bore") + _each(["atmosphere-side"], "lead-in edge")
        about += _each(["atmosphere-side"], "spring step")
    if options.rotor == "two-wing":
        about += ["hub", "hub face"]
    names = ["front face", "rear face", "O-ring groove", "floor", *_each(DOWELS, "dowel hole")]
    names += [f"{side} {what}" for side in SIDES for what in about]
    names += [*_row("screw hole", BODY_SCREWS), *_row("screw seat", BODY_SCREWS)]
    names += [*_row("stud hole", counts["stud"]), *_row("port", PORTS), *_row("port face", PORTS)]
    names += _row("flush connection", FLUSH_CONNECTIONS) if options.seal == "double" else []
    return names + (_row("cleaning passage", BODY_PASSAGES) if options.cleaning_in_place else [])


def _rotor(options: Options, counts: Mapping[str, int]) -> list[str]:
    names = [
        "bore", "pilot bore", "hub mouth", "O-ring groove", "tip", "flank", "front face", "rear face", "hub face",
        "nut recess face", "spring land", *_row("keyway", KEYWAYS),
    ]  # fmt: skip
    names += ["wing inner side"] if options.rotor == "two-wing" else []
    return names + (_row("cleaning passage", _LOBES[options.rotor]) if options.cleaning_in_place else [])


def _cover(options: Options, counts: Mapping[str, int]) -> list[str]:
    names = ["inner face", "sealing face", "front face", *_each(DOWELS, "dowel hole")]
    names += [*_row("stud hole", counts["stud"]), *_row("nut seat", counts["stud"])]
    names += _row("jacket connection", JACKET_CONNECTIONS) if options.cover == "jacketed" else []
    relief = ["piston bore", "piston step", "cap seat", *_row("screw hole", RELIEF_SCREWS)]
    return names + (relief if options.cover == "relief" else [])


def _cover_nut(options: Options, counts: Mapping[str, int]) -> list[str]:
    return ["bearing face", "thread", "wings" if options.cover_nuts == "wing" else "hexagon"]


_ALIKE: dict[str, tuple[str, ...]] = {
    "stud": ("thread", "shank", "front end"),
    "wave_spring": _WAVE_SPRING,
    "atmosphere_wave_spring": _WAVE_SPRING,
    "seal_pin": _PIN,
    "atmosphere_pin": _PIN,
    "body_dowel": ("front end", "rear end", "side"),
    "body_screw": _SCREW,
    "relief_screw": _SCREW,
    "key": ("top", "bottom", *_row("side", 2), "front end", "rear end"),
    "rotor_nut": (
        "hexagon", "bearing face", "O-ring groove", "pocket", "spring-retaining groove", "thread", "flange", "dome",
    ),
    "disc_spring": ("inner edge", "outer edge", "hollow side", "crown side"),
    "relief_piston": (
        "wetted face", "sliding face", "O-ring groove", "collar face", "spring face", "guide", "guide end",
    ),
    "relief_spring": ("front end", "rear end", "coils"),
    "relief_cap": (
        "flange face", "flange front", "top", *_row("screw hole", RELIEF_SCREWS), *_row("vent", VENTS),
    ),
}  # fmt: skip
_BY_OPTIONS: dict[str, Callable[[Options, Mapping[str, int]], Iterable[str]]] = {
    "gear_case": _gear_case,
    "rotating_ring": _rotating_ring,
    "stationary_ring": _stationary,
    "atmosphere_ring": _stationary,
    "body": _body,
    "rotor": _rotor,
    "cover": _cover,
    "cover_nut": _cover_nut,
}
