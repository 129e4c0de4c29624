"""The values a booklet may state: their names, kinds of quantity, and where a person finds them.

No value is kept here. Each name says which units it may have and where to look when the fleet file leaves it out.

API::

    VALUE_NAMES: dict[str, ValueName]          # name, title, quantity, unit, where
    VALUE_NAMES[name].belongs(options)         # relief_set_pressure belongs to vented covers only
"""

from __future__ import annotations

from .quantities import ValueName

_MANUAL = "the pump maker's manual for this size"
_TORQUE = f"{_MANUAL}, table of tightening torques"
_GAP = f"{_MANUAL}, table of clearances"
_CHECK = f"{_MANUAL}, chapter on inspection"
_SEAL = f"{_MANUAL} or the seal maker's sheet"
_SPRING = f"{_MANUAL} or the spring maker's sheet"
_PLATE = "the pump's name plate and the maker's data sheet"
_SETTING = f"{_PLATE}; the setting sheet of the relief cover"
_LUBE = "the site's approved lubricant list and the safety data sheet; ask the lubrication planner"
_FLUSH = f"{_MANUAL}, chapter on seal flush; the process engineer"
_TOUCH = "the site's rule for hot surfaces; ask the safety department"
_AIR = "the site's rule for compressed air; local code"
_LOAD = "the site's rule for manual handling; local code"
_CLEAN = "the site's cleaning procedure and the safety data sheet"
_FOOD = "the lubricant maker's registration or declaration; the quality department"
_VENTED = {"cover": ("vented",)}
_JACKET = {"cover": ("jacketed",)}
_DOUBLE = {"seal": ("double",)}
_HEX = {"cover_nuts": ("hex",)}

_VALUES: tuple[ValueName, ...] = (
    ValueName("rotor_nut_torque", "Rotor nut torque", "torque", _TORQUE),
    ValueName("body_screw_torque", "Body retaining screw torque", "torque", _TORQUE),
    ValueName("cover_nut_torque", "Cover nut torque", "torque", _TORQUE, when=_HEX),
    ValueName("relief_screw_torque", "Relief cap screw torque", "torque", _TORQUE, when=_VENTED),
    ValueName("front_face_clearance", "Front-face clearance", "length", _GAP),
    ValueName("radial_clearance", "Radial clearance, rotor to body", "length", _GAP),
    ValueName("rear_clearance", "Rear clearance, rotor to body", "length", _GAP),
    ValueName("mesh_clearance", "Clearance between the rotors in mesh", "length", _GAP),
    ValueName("shaft_runout_limit", "Shaft run-out, greatest reading", "length", _CHECK, "most"),
    ValueName("shaft_end_float_limit", "Shaft end float, greatest reading", "length", _CHECK, "most"),
    ValueName("seal_face_wear_limit", "Seal face, least height left", "length", _SEAL, "least"),
    ValueName("wave_spring_free_height", "Wave spring, least free height", "length", _SEAL, "least"),
    ValueName("disc_spring_free_height", "Disc spring, least free height", "length", _SPRING, "least"),
    ValueName(
        "relief_spring_free_length",
        "Relief spring, least free length",
        "length",
        _SPRING,
        "least",
        when=_VENTED,
    ),
    ValueName("dowel_wear_limit", "Body dowel, greatest play in its hole", "length", _CHECK, "most"),
    ValueName("temperature_limit", "Highest temperature of the head", "temperature", _PLATE, "most"),
    ValueName(
        "safe_touch_temperature", "Highest temperature to work on the head", "temperature", _TOUCH, "most"
    ),
    ValueName("pressure_limit", "Highest working pressure", "pressure", _PLATE, "most"),
    ValueName("relief_set_pressure", "Relief cover set pressure", "pressure", _SETTING, when=_VENTED),
    ValueName("jacket_pressure_limit", "Highest jacket pressure", "pressure", _PLATE, "most", when=_JACKET),
    ValueName("flush_pressure", "Flush pressure of the double seal", "pressure", _FLUSH, when=_DOUBLE),
    ValueName("air_pressure_limit", "Highest pressure of blow-off air", "pressure", _AIR, "most"),
    ValueName("mass_limit", "Heaviest load to lift by hand", "mass", _LOAD, "most"),
    ValueName("assembly_lubricant", "Lubricant for O-rings and journals", "text", _LUBE),
    ValueName("seal_face_lubricant", "Liquid for seal faces at assembly", "text", f"{_SEAL}; {_LUBE}"),
    ValueName("anti_seize", "Anti-seize for threads", "text", _LUBE),
    ValueName("cleaning_agent", "Cleaning agent for wetted parts", "text", _CLEAN),
    ValueName("flush_fluid", "Flush liquid of the double seal", "text", _FLUSH, when=_DOUBLE),
    ValueName("food_contact_registration", "Food-contact registration of the lubricants", "text", _FOOD),
)

VALUE_NAMES: dict[str, ValueName] = {v.name: v for v in _VALUES}
"""Name to value, in the order of the values page."""
