"""Instruments of the record sheet beside those of :mod:`.measuring`: the caliper and the torque wrench.

Not verified: their errors are typed from general knowledge of the standards named; a calibrated instrument's own
certificate is better.
"""

from __future__ import annotations

from .figures import Figure, Input, make_figure
from .measuring import ESTIMATE, Contribution, Method

CALIPER = Method(
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
