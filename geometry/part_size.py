"""How a part is told by its size in standards, stock lists and orders: its form and the figures that go with it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Form = Literal["ring", "ring_made", "parallel_key", "bolt", "nut", "pin", "disc", "wave", "coil"]
"""What the figures of a :class:`PartSize` are, all mm:

``ring``          O-ring of a standard's table: section d2, inside diameter d1
``ring_made``     O-ring made to size: the same
``parallel_key``  width b, height h, length l
``bolt``          screw under its head, or stud from end to end: nominal thread, length
``nut``           nominal thread, width across flats (0: a wing nut)
``pin``           diameter, length
``disc``          disc spring: outside diameter De, inside diameter Di, thickness t
``wave``          wave spring: outside and inside diameter, thickness of the strip, height in place
``coil``          compression spring: wire, mean diameter of its coils, length in place
"""


@dataclass(frozen=True)
class PartSize:
    """Size of a part as it is drawn; ``code`` is that of the standard's table, where the form has one."""

    form: Form
    mm: tuple[float, ...]
    code: str = ""
    pitch_mm: float = 0.0
    """Pitch of a fine thread; 0 where there is no thread or it is a coarse one, whose pitch nobody writes."""
