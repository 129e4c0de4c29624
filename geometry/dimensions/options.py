"""The options of a fluid head: which forms of rotor, seal, cover and body it has."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

RotorForm = Literal["two-wing", "two-lobe", "three-lobe"]
SealForm = Literal["single", "double"]
CoverForm = Literal["plain", "relief", "jacketed"]
CoverNuts = Literal["hex", "wing"]
CoverOring = Literal["solid", "ptfe-encapsulated"]
BodyProfile = Literal["standard", "free-draining"]
Ports = Literal["upright", "sideways"]
GearCase = Literal["painted-iron", "stainless"]
Elastomer = Literal["FKM", "EPDM", "NBR", "VMQ", "FFKM"]
BodyMetal = Literal["316L", "duplex"]
RotorMetal = Literal["nickel-alloy", "316L"]


@dataclass(frozen=True)
class Options:
    """One head's choice of forms; the defaults are the base head."""

    rotor: RotorForm = "two-wing"
    seal: SealForm = "single"
    cover: CoverForm = "plain"
    cover_nuts: CoverNuts = "hex"
    cover_oring: CoverOring = "solid"
    body: BodyProfile = "standard"
    ports: Ports = "upright"
    cleaning_in_place: bool = False
    """Rotors and body drilled so that cleaning liquid reaches behind the rotors."""
    gear_case: GearCase = "painted-iron"
    elastomer: Elastomer = "FKM"
    body_metal: BodyMetal = "316L"
    rotor_metal: RotorMetal = "nickel-alloy"
