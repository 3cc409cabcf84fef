"""Pen lifts: how a machine is told to raise and lower its pen.

Begin with ``lift.py``: what every lift answers, so that the machine, the writer, the reader and the
proof ask it and never look which kind it is. Each kind is a file of its own; ``KINDS`` is the
registry by which profiles name them.
"""

from __future__ import annotations

from types import MappingProxyType
from typing import Final

from plotlib.machine.lifts.lift import STATES, Change, Heights, Lift, State
from plotlib.machine.lifts.servo import ServoLift
from plotlib.machine.lifts.solenoid import SolenoidLift
from plotlib.machine.lifts.z import ZLift

KINDS: Final = MappingProxyType({lift.kind: lift for lift in (ServoLift, ZLift, SolenoidLift)})

__all__ = [
    "KINDS",
    "STATES",
    "Change",
    "Heights",
    "Lift",
    "ServoLift",
    "SolenoidLift",
    "State",
    "ZLift",
]


def __dir__() -> list[str]:
    return sorted(__all__)
