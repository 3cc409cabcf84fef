"""The declared envelope of a machine: bed, axes, pen lift, and the words that it understands."""

from plotlib.machine.axis import Axis
from plotlib.machine.lift import ServoLift, ZLift
from plotlib.machine.machine import KeepOut, Machine

__all__ = ["Axis", "KeepOut", "Machine", "ServoLift", "ZLift"]
