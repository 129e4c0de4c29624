"""Instruments of the record sheet beside those of :mod:`.measuring`: caliper, dial indicator on short travel, torque
wrench.

Not verified: their errors are typed from general knowledge of the standards named; a calibrated instrument's own
certificate is better.
"""

from __future__ import annotations

from .figures import Figure, Input, make_figure
from .measuring import ESTIMATE, GUM, HYSTERESIS, SCALE, STAND, Contribution, MeasuringMethod
from .topics import Topic

CALIPER = MeasuringMethod(
    "caliper",
    (
        Contribution("caliper", 0.030, Topic("source.caliper", standard="ISO 13385-1 (DIN 862)")),
        Contribution("display", 0.005, Topic("source.display")),
        Contribution("jaws", 0.020, ESTIMATE),
    ),
)
DIAL_SHORT = MeasuringMethod(
    "dial-indicator-short",
    (
        Contribution("indicator_short", 0.009, Topic("source.indicator_short", standard="DIN 878")),
        SCALE,
        HYSTERESIS,
        STAND,
    ),
)
WRENCH = "torque-wrench"
"""Key of the torque wrench among the methods; it has no steps of its own."""
_WRENCH_SOURCE = Topic("source.wrench", standard="ISO 6789-1")
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
        f"reading.{WRENCH}", Topic("figure.reading", method=WRENCH), "U", "N·m", "2·e/100·T/√(3)",
        (
            Input("e", Topic("input.wrench_deviation"), share, "%", _WRENCH_SOURCE, 1),
            Input("T", Topic("input.greatest_torque"), torque_nm, "N·m", Topic("source.sourced_value"), 2),
        ),
        GUM, decimals=2, not_verified=Topic("caveat.wrench"),
    )  # fmt: skip
