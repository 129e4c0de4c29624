"""The stack-up of a head: where everything sits along and about a shaft, worked out from size and options.

All z in mm from the front face of the gear case, growing towards the cover; all radii in mm about the shaft's axis.
Every part is drawn from these figures, so that two parts that meet read the same number. No CAD kernel here.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

from .options import Options
from .profile_limits import phase_deg
from .proportions.nuts import flange_radius_mm, land_height_mm, nut_height_mm, pocket_depth_mm
from .proportions.nuts import pocket_radius_mm as nut_pocket_radius_mm
from .proportions.orings import radial_gland_mm
from .proportions.rotors import hub_groove_radius_mm, pilot_length_mm
from .size import ByName, Size


@dataclass(frozen=True)
class StackUp:
    """Derived figures of one size with one set of options."""

    size: Size
    options: Options

    @property
    def lobed(self) -> bool:
        """Whether the rotors are lobes (no boss in the cavity)."""
        return self.options.rotor != "two-wing"

    @property
    def double(self) -> bool:
        """Whether the head has a second, atmosphere-side ring."""
        return self.options.seal == "double"

    # ---- glands
    def radial_gland_mm(self, section_mm: float) -> float:
        """Return the depth of a radial gland; thick sections take less squeeze."""
        return radial_gland_mm(ByName(self.size), section_mm)

    def sliding_gland_mm(self, section_mm: float) -> float:
        """Return the depth of a radial gland whose ring slides in service: a seal ring's, the relief piston's."""
        return self.size.sliding_gland_share * section_mm

    def face_gland_mm(self, section_mm: float) -> float:
        """Return the depth of a face gland."""
        return self.size.face_gland_share * section_mm

    def gland_width_mm(self, section_mm: float) -> float:
        """Return the width of a gland."""
        return self.size.gland_width_share * section_mm

    # ---- shaft axis positions
    @property
    def axis_x(self) -> dict[str, float]:
        """X of each shaft's axis."""
        return {"drive": -self.size.c / 2, "driven": self.size.c / 2}

    # ---- seals, from the gear case outwards
    @property
    def collar_radius(self) -> float:
        return self.size.shaft_radius_mm + self.size.collar_step_mm

    @property
    def flats_half(self) -> float:
        """Half the width across the collar's flats."""
        return self.size.shaft_radius_mm + self.size.flats_step_mm

    @property
    def bearing_radius(self) -> float:
        """Seat of the locating bearing."""
        return self.size.bearing_bore_mm / 2

    @property
    def rotating_ring_rear_z(self) -> float:
        return self.size.rotating_ring_rear_share * self.size.collar_length_mm

    @property
    def rotating_ring_face_z(self) -> float:
        """Where the lapped faces of the seal rings meet."""
        return self.size.collar_length_mm + self.size.rotating_ring_length_mm

    @property
    def rotating_ring_radius(self) -> float:
        s = self.size
        return s.shaft_radius_mm + (
            s.double_rotating_ring_step_mm if self.double else s.rotating_ring_step_mm
        )

    @property
    def rotating_ring_chamber_radius(self) -> float:
        """Body's rear counterbore round the rotating ring."""
        s = self.size
        return s.shaft_radius_mm + (
            s.double_rotating_ring_chamber_step_mm if self.double else s.rotating_ring_chamber_step_mm
        )

    @property
    def stationary_ring_radius(self) -> float:
        return self.size.shaft_radius_mm + self.size.stationary_ring_step_mm

    @property
    def atmosphere_ring_radius(self) -> float:
        return self.size.shaft_radius_mm + self.size.atmosphere_ring_step_mm

    @property
    def atmosphere_ring_hole_radius(self) -> float:
        return self.stationary_ring_radius + self.size.atmosphere_ring_bore_gap_mm

    @property
    def outer_end_z(self) -> float:
        """Step in the body that the atmosphere-side ring's spring bears on (double seal)."""
        return (
            self.rotating_ring_face_z
            + self.size.atmosphere_ring_length_mm
            + self.size.atmosphere_spring_height_mm
        )

    @property
    def stationary_ring_length(self) -> float:
        """The stationary ring reaches past the outer one, so it is longer in a double arrangement."""
        if not self.double:
            return self.size.stationary_ring_length_mm
        extra = self.outer_end_z - self.rotating_ring_face_z - self.size.stationary_ring_setback_mm
        return self.size.stationary_ring_length_mm + max(0.0, extra)

    @property
    def seal_end_z(self) -> float:
        """Step in the body that the stationary ring's spring bears on."""
        return self.rotating_ring_face_z + self.stationary_ring_length + self.size.wave_spring_height_mm

    @property
    def floor_z(self) -> float:
        """Floor of the rotor cavity: thickness of the rear wall."""
        return self.seal_end_z + self.size.front_wall_mm

    # ---- rotor and cavity
    @property
    def rotor_rear_z(self) -> float:
        return self.floor_z + self.size.rear_gap_mm

    @property
    def rotor_front_z(self) -> float:
        return self.rotor_rear_z + self.size.rotor_width_mm

    @property
    def face_z(self) -> float:
        """Front face of the body, where the cover lies."""
        return self.rotor_front_z + self.size.front_gap_mm

    @property
    def port_z(self) -> float:
        return (self.floor_z + self.face_z) / 2

    @property
    def hub_radius(self) -> float:
        """Two-wing: as wide as the boss; lobes: the root circle of the profile."""
        if self.lobed:
            return self.lobe_root_radius
        return self.size.boss_radius_mm

    @property
    def lobe_root_radius(self) -> float:
        """Root circle of the lobe form: what the other rotor's tip leaves free, less the running gap."""
        return self.size.c - self.size.tip_radius_mm - self.size.running_gap_mm

    # ---- nut, from the recess floor outwards
    @property
    def pocket_radius(self) -> float:
        """Nut's pocket for the disc spring."""
        return nut_pocket_radius_mm(ByName(self.size))

    @property
    def spring_retaining_centre_radius(self) -> float:
        """Centre circle of the retainer O-ring, part of it in the groove of the pocket's wall."""
        return (
            self.pocket_radius
            - self.size.spring_retaining_inset_share * self.size.spring_retaining_oring_section_mm
        )

    @property
    def land_radius(self) -> float:
        """Raised land on the rotor's web that reaches through the retainer O-ring to the disc spring."""
        s = self.size
        inner, outer = s.disc_spring_inner_mm / 2, s.disc_spring_outer_mm / 2
        room = self.spring_retaining_centre_radius - s.spring_retaining_oring_section_mm / 2 - s.land_gap_mm
        return min(inner + s.land_share * (outer - inner), room)

    @property
    def land_height(self) -> float:
        return land_height_mm(ByName(self.size))

    @property
    def disc_spring_height(self) -> float:
        """Height of the disc spring in its fitted place."""
        s = self.size
        return s.disc_spring_thickness_mm + s.disc_spring_cone_mm * (1 - s.disc_spring_deflection)

    @property
    def pocket_depth(self) -> float:
        return pocket_depth_mm(ByName(self.size))

    @property
    def nut_groove_radii(self) -> tuple[float, float]:
        """Inner and outer radius of the nut O-ring's face groove."""
        s = self.size
        inner = self.pocket_radius + s.spring_retaining_oring_section_mm / 2 + s.nut_groove_wall_mm
        return inner, inner + self.gland_width_mm(s.nut_oring_section_mm)

    @property
    def nut_flange_radius(self) -> float:
        return flange_radius_mm(ByName(self.size))

    @property
    def nut_height(self) -> float:
        return nut_height_mm(ByName(self.size))

    @property
    def recess_radius(self) -> float:
        """Recess in the rotor's front for the nut."""
        return self.nut_flange_radius + self.size.nut_recess_gap_mm

    @property
    def recess_room(self) -> float:
        """Greatest recess radius that leaves a sound wall in the hub."""
        return self.hub_radius - self.size.hub_wall_mm

    @property
    def recess_depth(self) -> float:
        return self.nut_height + self.size.nut_sink_mm

    # ---- hub
    @property
    def recess_floor_z(self) -> float:
        return self.rotor_front_z - self.recess_depth

    @property
    def web_rear_z(self) -> float:
        return self.recess_floor_z - self.size.web_mm

    @property
    def shoulder_z(self) -> float:
        """The shaft's shoulder, where the rotor bears: step from the seal journal to the rotor fit."""
        return self.web_rear_z - self.size.rotor_fit_length_mm

    @property
    def shoulder_radii(self) -> tuple[float, float]:
        """Inner and outer radius of the ring on which the rotor bears on the shoulder, between both bevels."""
        s = self.size
        return s.journal_radius_mm + s.fit_gap_mm + s.hub_lead_mm, s.shaft_radius_mm - s.hub_lead_mm

    @property
    def pilot_length(self) -> float:
        """How much of the seal journal a two-wing rotor's hub covers: groove and lands of the hub O-ring."""
        return pilot_length_mm(ByName(self.size))

    @property
    def hub_rear_z(self) -> float:
        """Rear of the hub, of its neck where it has one; lobes: the rotor's rear."""
        if self.lobed:
            return self.rotor_rear_z
        return self.shoulder_z - self.pilot_length

    @property
    def hub_step_z(self) -> float:
        """Rear of the hub's full width, before the body's hub (two-wing form); lobes: the rotor's rear."""
        if self.lobed:
            return self.hub_rear_z
        # A hub that ends before the body's hub has no neck.
        return max(self.hub_rear_z, self.web_rear_z - self.size.keyed_length_mm)

    @property
    def hub_necked(self) -> bool:
        """Whether the hub goes on as a neck inside the body's hub."""
        return self.hub_rear_z < self.hub_step_z - 1e-9

    @property
    def hub_neck_radius(self) -> float:
        """Outside of the hub's neck in the body's hub (two-wing form)."""
        return hub_groove_radius_mm(ByName(self.size)) + self.size.hub_neck_wall_mm

    @property
    def boss_bore_radius(self) -> float:
        """Bore of the body's hub round the rotor hub's neck (two-wing form)."""
        return self.hub_neck_radius + self.size.hub_neck_gap_mm

    @property
    def boss_bore_z(self) -> float:
        """Floor of that bore."""
        return self.hub_rear_z - self.size.hub_neck_gap_mm

    @property
    def boss_front_z(self) -> float:
        """Front of the body's boss (two-wing form)."""
        return self.hub_step_z - self.size.rear_gap_mm

    @property
    def boss_length(self) -> float:
        return self.boss_front_z - self.floor_z

    @property
    def journal_end_z(self) -> float:
        return self.web_rear_z - self.size.journal_setback_mm

    @property
    def key_span_z(self) -> tuple[float, float]:
        """Z range of the key, back from near the journal's end."""
        s = self.size
        end = self.journal_end_z - s.key_end_gap_mm
        return end - s.key_length_mm, end

    @property
    def shaft_end_z(self) -> float:
        s = self.size
        return self.recess_floor_z + self.pocket_depth + s.nut_thread_length_mm - s.nut_end_room_mm

    @property
    def hub_gland_depth(self) -> float:
        """Radial depth of the hub O-ring's gland: groove in the hub's bore over the seal journal."""
        return self.radial_gland_mm(self.size.hub_oring_section_mm)

    @property
    def hub_gland_length(self) -> float:
        return self.gland_width_mm(self.size.hub_oring_section_mm)

    @property
    def hub_groove_z(self) -> tuple[float, float]:
        """Z range of the hub O-ring's groove, a land before the hub's rear."""
        start = self.hub_rear_z + self.size.hub_land_mm
        return start, start + self.hub_gland_length

    # ---- outline and fasteners
    @property
    def half_height(self) -> float:
        return self.size.bore_radius_mm + self.size.wall_mm

    @property
    def half_width(self) -> float:
        return self.size.c / 2 + self.half_height

    @property
    def cover_groove(self) -> tuple[float, float]:
        """Inner and outer stadium radius of the cover O-ring's groove, about both shafts' axes."""
        s = self.size
        inner = s.bore_radius_mm + s.cover_groove_wall_mm
        return inner, inner + s.cover_gland_width_share * s.cover_oring_section_mm

    def _fastener_at(self, angle_deg: float, share: float) -> tuple[float, float]:
        """Return (x, y) of a fastener in the corner at +X and +Y, its angle about the driven shaft from +X.

        ``share`` of the wall is how far beyond the bore it stands.
        """
        reach = self.size.bore_radius_mm + share * self.size.wall_mm
        a = math.radians(angle_deg)
        return self.size.c / 2 + reach * math.cos(a), reach * math.sin(a)

    @cached_property
    def stud_points(self) -> tuple[tuple[float, float], ...]:
        """(x, y) of the studs, clockwise from top left.

        One in each corner; where there are six, two more at both ends; where there are eight, two in each corner.
        """
        s = self.size
        x, y = self._fastener_at(s.stud_angle_deg, s.corner_share)
        if s.studs == 4:
            return ((-x, y), (x, y), (x, -y), (-x, -y))
        if s.studs == 6:
            end = self.half_width
            return ((-x, y), (x, y), (end, 0.0), (x, -y), (-x, -y), (-end, 0.0))
        a, b = self._fastener_at(s.low_stud_angle_deg, s.corner_share)
        return ((-x, y), (x, y), (a, b), (a, -b), (x, -y), (-x, -y), (-a, -b), (-a, b))

    @cached_property
    def dowel_points(self) -> dict[str, tuple[float, float]]:
        """(x, y) of the two body dowels, on a diagonal."""
        x, y = self._fastener_at(self.size.dowel_angle_deg, self.size.corner_share)
        return {"large": (-x, y), "small": (x, -y)}

    @cached_property
    def screw_points(self) -> tuple[tuple[float, float], ...]:
        """(x, y) of the two body retaining screws, on the other diagonal."""
        x, y = self._fastener_at(self.size.body_screw_angle_deg, self.size.body_screw_share)
        return ((x, y), (-x, -y))

    @property
    def screw_sink_depth(self) -> float:
        """Counterbore that takes a body screw's head below the front face."""
        return self.size.body_screw_thread.head_height_mm + self.size.body_screw_sink_mm

    @property
    def screw_sink_z(self) -> float:
        """Face in the body that a body screw's head bears on."""
        return self.face_z - self.screw_sink_depth

    @property
    def phase_deg(self) -> float:
        """Turn of the driven rotor against the drive rotor, degrees."""
        return phase_deg(self.options.rotor)
