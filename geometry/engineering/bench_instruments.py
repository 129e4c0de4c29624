"""Instruments of the record sheet beside those of :mod:`.measuring`: caliper, micrometer, dial indicator on short
travel, torque wrench.

Not verified: their errors are typed from general knowledge of the standards named; a calibrated instrument's own
certificate is better.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

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
MICROMETER = MeasuringMethod(
    "micrometer",
    (
        Contribution("micrometer", 0.005, Topic("source.micrometer", standard="DIN 863")),
        SCALE,
        Contribution("seat_on_edges", 0.010, ESTIMATE),
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
SettingVerdict = Literal["pass", "fail", "beyond wrench", "incomplete", "no limit", "below zero"]


def wrench_deviation(torque_nm: float) -> Input:
    """Return the permissible deviation of a torque wrench at ``torque_nm``, N·m, in percent."""
    share = 6.0 if torque_nm <= WRENCH_CHANGE_NM else 4.0
    return Input("e", Topic("input.wrench_deviation"), share, "%", _WRENCH_SOURCE, 1)


def torque_wrench_figure(torque_nm: float) -> Figure:
    """Return the expanded uncertainty U of a torque wrench at ``torque_nm``, N·m, about 95 %.

    Raises:
        ValueError: if the torque is not above zero.

    >>> round(torque_wrench_figure(50).value, 2)
    2.31
    """
    if torque_nm <= 0:
        raise ValueError(f"a torque is above zero, got {torque_nm:g} N·m")
    return make_figure(
        f"reading.{WRENCH}", Topic("figure.reading", method=WRENCH), "U", "N·m", "2·e/100·T/√(3)",
        (
            wrench_deviation(torque_nm),
            Input("T", Topic("input.greatest_torque"), torque_nm, "N·m", Topic("source.sourced_value"), 2),
        ),
        GUM, decimals=2, not_verified=Topic("caveat.wrench"),
    )  # fmt: skip


@dataclass(frozen=True)
class WrenchSetting:
    """What is written down of a nut or screw tightened with a torque wrench; torques in one unit.

    A wrench is set and clicks: it shows no reading. So the setting is held against its limits and the wrench's own
    range, and what vouches for the rest is the wrench's certificate and a click while the nut still turned.
    """

    setting: float
    least: float | None
    """Least torque of the wrench's range, None where it was not written down."""
    most: float | None
    certificate: str
    """Number of the wrench's calibration certificate; empty where it was not written down."""
    clicked: bool
    """Whether it clicked while the nut or screw still turned."""

    def verdict(self, low: float | None, high: float | None) -> SettingVerdict:
        """Return what the entry says against the limits; the record sheet's script does the same.

        >>> WrenchSetting(50, 20, 100, "W-7", True).verdict(47, 53)
        'pass'
        """
        if self.setting < 0:
            return "below zero"
        if (low is not None and self.setting < low) or (high is not None and self.setting > high):
            return "fail"
        if (self.least is not None and self.setting < self.least) or (
            self.most is not None and self.setting > self.most
        ):
            return "beyond wrench"
        if self.least is None or self.most is None or not self.certificate.strip() or not self.clicked:
            return "incomplete"
        return "no limit" if low is None and high is None else "pass"
