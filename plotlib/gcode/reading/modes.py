"""The modes of an interpreter: units, distance, feed, motion, spindle, and the order in which a
line's words change them.

After table 8 of RS274NGC (NISTIR 6556): feed mode, F, S, spindle, dwell, plane, units, distance;
then the motion, then the stop.
"""

from __future__ import annotations

from dataclasses import dataclass

from plotlib.gcode.reading.lines import Fault, key
from plotlib.gcode.reading.penstate import Spindle
from plotlib.gcode.reading.vocabulary import Command
from plotlib.machine import Machine

INCH = 25.4


@dataclass
class Modes:
    """What is in force; None for what is not known.

    Attributes
    ----------
    scale : float or None
        Millimetres in the unit in force.
    absolute : bool or None
    inverse : bool
        G93: F tells how many such moves fit in a minute.
    motion : str or None
        The motion word in force.
    feed : float or None
        mm/min, or moves per minute under G93.
    spindle : (str or None, float or None)
    """

    scale: float | None = None
    absolute: bool | None = None
    inverse: bool = False
    motion: str | None = None
    feed: float | None = None
    spindle: Spindle = (None, None)

    @classmethod
    def at_start(cls, machine: Machine, *, given: bool) -> Modes:
        """Modes before the first line.

        What the machine's setup says must be said by the program too; the rest is as a program end
        leaves it (section 3.6.1). With ``given`` the program need not say them.
        """
        setup = "".join(map(key, machine.setup))
        unsaid_units = ("G20" in setup or "G21" in setup) and not given
        unsaid_distance = ("G90" in setup or "G91" in setup) and not given
        return cls(None if unsaid_units else 1.0, None if unsaid_distance else True)

    def set_feed(self, command: Command) -> None:
        """Feed mode and F."""
        mode = command.modal.get("feed mode")
        if mode is not None and (mode == "G93") != self.inverse:
            self.inverse = mode == "G93"
            self.feed = None
        if "F" in command.values:
            feed = command.values["F"]
            if feed < 0:
                raise Fault(f"F{feed:g} is negative; a feed is greater than 0")
            self.feed = feed if self.inverse else feed * (self.scale or _units(command) or 1.0)

    def set_geometry(self, command: Command) -> None:
        """Units and distance mode."""
        self.scale = _units(command) or self.scale
        distance = command.modal.get("distance")
        self.absolute = self.absolute if distance is None else distance == "G90"

    def need(self, *, prologue: bool) -> tuple[float, bool]:
        """The unit and whether coordinates are absolute, or Fault when nobody said so; declared
        prologues speak in mm.
        """
        if self.scale is None and not prologue:
            raise Fault(
                "nothing says the unit yet; put G21 (mm) or G20 (inch) first, or read with "
                'ignore={"unsaid modes"}'
            )
        if self.absolute is None and not prologue:
            raise Fault(
                "nothing says the distance mode yet; put G90 (absolute) first, or read with "
                'ignore={"unsaid modes"}'
            )
        return self.scale or 1.0, self.absolute is not False


def _units(command: Command) -> float | None:
    units = command.modal.get("units")
    if units is None:
        return None
    return INCH if units == "G20" else 1.0
