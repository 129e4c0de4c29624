"""Instruments of the record sheet beside those of :mod:`.measuring`: caliper, dial indicator on short travel, torque
wrench.

Not verified: their errors are typed from general knowledge of the standards named; a calibrated instrument's own
certificate is better.
"""

from __future__ import annotations

from .figures import Figure, Input, make_figure
from .measuring import ESTIMATE, Contribution, MeasuringMethod

CALIPER = MeasuringMethod(
    "caliper",
    "Caliper",
    "free height of springs and what is left of a worn face",
    ("caliper, reading 0.01 mm", "flat plate", "lint-free cloth"),
    (
        "Let part and caliper come to the same temperature; wipe both and the plate.",
        "Close the jaws and check that the caliper reads zero.",
        "Lay the part free on the plate; a spring must not be pressed by the jaws.",
        "Read square to the plate, or with the depth rod down to the plate, at three places.",
        "Write down the least reading.",
    ),
    (
        Contribution("error of the caliper", 0.030, "ISO 13385-1 (DIN 862), reading 0.01 mm, up to 100 mm"),
        Contribution("half a step of the display", 0.005, "reading of 0.01 mm"),
        Contribution("tilt, pressure of the jaws, dirt", 0.020, ESTIMATE),
    ),
    "A caliper squeezes what it measures: let the jaws only touch.",
)
DIAL_SHORT = MeasuringMethod(
    "dial-indicator-short",
    "Dial indicator, travel up to 0.1 mm",
    "run-out, play along the shaft and play of dowels",
    ("dial indicator, reading 0.01 mm", "rigid or magnetic stand", "lint-free cloth"),
    (
        "Clamp the stand to the body or gear case, not to a part that moves; short arms, all joints tight.",
        "Set the stem square to the face that moves; at 10 degrees off it already reads 1.5 % wrong.",
        "Press the stem in by half a turn of the pointer, so that it can follow both ways.",
        "For run-out: turn the shaft by hand a whole turn, take the difference of least and greatest.",
        "For play: push the part to one end by hand, set zero, pull to the other end, read.",
        "Repeat three times: readings that do not repeat tell of a loose stand, not of the pump.",
    ),
    (
        Contribution(
            "error of the indicator over 0.1 mm", 0.009, "DIN 878, part of the range, reading 0.01 mm"
        ),
        Contribution("half a division of the scale", 0.005, "scale of 0.01 mm"),
        Contribution("hysteresis of the indicator", 0.003, "DIN 878"),
        Contribution("spring of the stand, angle of the stem", 0.005, ESTIMATE),
    ),
    "Austenitic stainless steel does not hold a magnet: use a clamp, or a steel plate bolted on.",
)
_WRENCH = "ISO 6789-1, permissible deviation of setting torque tools"
WRENCH_CHANGE_NM = 10.0


def torque_wrench_figure(torque_nm: float) -> Figure:
    """Return the expanded uncertainty U of a torque wrench at ``torque_nm``, N·m, about 95 %.

    Raises:
        ValueError: if the torque is not above zero.

    >>> round(torque_wrench_figure(50).value, 2)
    2.31
    """
    if torque_nm <= 0:
        raise ValueError(f"a torque is above zero, got {torque_nm:g} N·m")
    share = 6.0 if torque_nm <= WRENCH_CHANGE_NM else 4.0
    return make_figure(
        "reading.torque-wrench", "Uncertainty of a reading, torque wrench", "U", "N·m", "2·e/100·T/√(3)",
        (
            Input("e", "permissible deviation of the wrench", share, "%", _WRENCH, 1),
            Input("T", "greatest torque of the limits", torque_nm, "N·m", "sourced value", 2),
        ),
        "GUM (JCGM 100), type B, coverage factor 2", decimals=2,
        not_verified="deviation typed from general knowledge of the standard; a certificate is better",
    )  # fmt: skip
