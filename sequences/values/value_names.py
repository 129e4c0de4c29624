"""The values a booklet may state: their names, kinds of quantity, and the heads they belong to.

No value is kept here, and no words: what each is called and where a person finds it stands in the catalogues, by name.

API::

    VALUE_NAMES: dict[str, ValueName]          # name, quantity, unit, bound, when
    VALUE_NAMES[name].belongs(options)         # relief_set_pressure belongs to relief covers only
"""

from __future__ import annotations

from .quantities import ValueName

_VENTED = {"cover": ("relief",)}
_JACKET = {"cover": ("jacketed",)}
_DOUBLE = {"seal": ("double",)}
_HEX = {"cover_nuts": ("hex",)}
_NO_STANDARD = {"rotor_metal": ("nickel-alloy",)}

_VALUES: tuple[ValueName, ...] = (
    ValueName("rotor_nut_torque", "torque"),
    ValueName("body_screw_torque", "torque"),
    ValueName("cover_nut_torque", "torque", when=_HEX),
    ValueName("relief_screw_torque", "torque", when=_VENTED),
    ValueName("front_face_clearance", "length"),
    ValueName("radial_clearance", "length"),
    ValueName("rear_clearance", "length"),
    ValueName("mesh_clearance", "length"),
    ValueName("closed_joint_blade", "length", "most"),
    ValueName("shaft_runout_limit", "length", "most"),
    ValueName("shaft_end_float_limit", "length", "most"),
    ValueName("seal_face_wear_limit", "length", "least"),
    ValueName("wave_spring_free_height", "length", "least"),
    ValueName("disc_spring_free_height", "length", "least"),
    ValueName("relief_spring_free_length", "length", "least", when=_VENTED),
    ValueName("dowel_wear_limit", "length", "most"),
    ValueName("temperature_limit", "temperature", "most"),
    ValueName("safe_touch_temperature", "temperature", "most"),
    ValueName("pressure_limit", "pressure", "most"),
    ValueName("leak_test_pressure", "pressure"),
    ValueName("relief_set_pressure", "pressure", when=_VENTED),
    ValueName("rotor_yield_strength", "pressure", "least", when=_NO_STANDARD, own_unit="MPa"),
    ValueName("jacket_pressure_limit", "pressure", "most", when=_JACKET),
    ValueName("flush_pressure", "pressure", when=_DOUBLE),
    ValueName("air_pressure_limit", "pressure", "most"),
    ValueName("mass_limit", "mass", "most"),
    ValueName("assembly_lubricant", "text"),
    ValueName("seal_face_lubricant", "text"),
    ValueName("anti_seize", "text"),
    ValueName("cleaning_agent", "text"),
    ValueName("flush_fluid", "text", when=_DOUBLE),
    ValueName("pipe_gasket", "text"),
    ValueName("stud_property_class", "text"),
    ValueName("food_contact_registration", "text"),
    ValueName("cleaning_procedure", "text"),
    ValueName("sanitiser", "text"),
    ValueName("release_rinse", "text"),
    ValueName("gear_case_oil", "text"),
    ValueName("start_up_speed", "text"),
    ValueName("motor_current_limit", "text"),
)

VALUE_NAMES: dict[str, ValueName] = {v.name: v for v in _VALUES}
"""Name to value, in the order of the values page."""
