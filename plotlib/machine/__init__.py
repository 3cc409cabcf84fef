"""The declared envelope of a machine: bed, axes, pen lift, and the words that it understands.

Begin with ``machine.py``, the value that holds all others. ``lifts/`` has one file for each kind of
pen lift, ``grid.py`` says where a machine's own places may be, ``words.py`` and
``declared_lines.py`` check its lines, and ``profile.py`` reads and writes TOML files.
"""

from plotlib.machine.axis import Axis
from plotlib.machine.corrections import Corrections
from plotlib.machine.dialogue import Dialogue
from plotlib.machine.height_map import HeightMap
from plotlib.machine.keep_out import KeepOut
from plotlib.machine.lifts import Lift, ServoLift, SolenoidLift, ZLift
from plotlib.machine.machine import Machine

__all__ = [
    "Axis",
    "Corrections",
    "Dialogue",
    "HeightMap",
    "KeepOut",
    "Lift",
    "Machine",
    "ServoLift",
    "SolenoidLift",
    "ZLift",
]


def __dir__() -> list[str]:
    return sorted(__all__)
