"""Where the carriage and its pen are, and the notes taken of their moves."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from plotlib.gcode.reading.arcs import Arc
from plotlib.gcode.reading.lines import Fault
from plotlib.gcode.reading.modes import Modes
from plotlib.gcode.reading.penstate import pen_state
from plotlib.gcode.reading.plain import MOTIONS, Source
from plotlib.gcode.reading.record import Record
from plotlib.gcode.reading.vocabulary import Command
from plotlib.machine import Machine

UNKNOWN = math.nan


@dataclass
class Spot:
    """Controller coordinates in mm, those of the program plus ``offset`` (G92); not a number where
    unknown.
    """

    at: dict[str, float] = field(default_factory=lambda: dict.fromkeys("XYZ", UNKNOWN))
    offset: dict[str, float] = field(default_factory=lambda: dict.fromkeys("XYZ", 0.0))

    def target(self, values: dict[str, float], scale: float, absolute: bool) -> dict[str, float]:
        """Where a line's axis words lead."""
        goal = dict(self.at)
        for axis in "XYZ":
            if axis in values:
                goal[axis] = values[axis] * scale + (
                    self.offset[axis] if absolute else self.at[axis]
                )
        return goal


class Track:
    """Place, pen, modes and notes of a run, and the moves that change them."""

    def __init__(self, source: Source, machine: Machine, ignore: frozenset[str]) -> None:
        self.machine = machine
        self.ignore = ignore
        self.source = source
        self.record = Record(source)
        self.modes = Modes.at_start(machine, given="unsaid modes" in ignore)
        self.spot = Spot()
        self.pen = pen_state(machine)
        self.line = 0
        self.prologue = False
        self.declared = False
        self.handled = (
            True  # whether somebody may have moved the pen since the program last told it up
        )
        self.command = Command("", {}, {})
        if "unsaid pen" in ignore:
            self.pen.down = False

    def go_on_in(self, source: Source) -> None:
        """Take notes of the lines of another source from now on."""
        self.source = source
        self.record.source = source

    # ---- facts

    @property
    def place(self) -> tuple[float, float]:
        return self.spot.at["X"], self.spot.at["Y"]

    @property
    def down(self) -> bool | None:
        return self.pen.down

    @property
    def is_placed(self) -> bool:
        return not math.isnan(self.spot.at["X"] + self.spot.at["Y"])

    # ---- moves

    def lead(self, goal: dict[str, float], feed: float, arc: Arc | None) -> None:
        """Move X and Y, and Z with them: the pen is up only if it is up at both ends."""
        falls = self._falls(goal)
        if falls:
            self.lift(goal, feed)
        follows = self.pen.follows(goal["Z"])
        self._check_pen(goal)
        self._check_way()
        self.spot.at["X"] = goal["X"]
        self.spot.at["Y"] = goal["Y"]
        if arc is not None:
            self.record.arc(arc, self.line, feed=feed)
        elif self.is_placed:
            motion = MOTIONS.index(self.modes.motion or "G1")
            self.record.move(goal["X"], goal["Y"], self.line, motion=motion, feed=feed)
        else:
            self.record.glimpse(goal["X"], goal["Y"], self.line)
        if follows:
            self.spot.at["Z"] = goal["Z"]
            self._note_height(goal["Z"])
        elif not falls and goal["Z"] != self.spot.at["Z"] and not math.isnan(goal["Z"]):
            self.lift(goal, feed)

    def _check_way(self) -> None:
        """A way from an unknown place may lead anywhere; a declared prologue may take it."""
        closed = any(not keep_out.passable for keep_out in self.machine.keep_outs)
        if closed and not self.is_placed and not self.prologue:
            raise Fault(
                "the way from an unknown place may lead over a keep-out with passable=False; put "
                "lines with unknown words into the prologue, after which the carriage stands at "
                "home"
            )

    def _falls(self, goal: dict[str, float]) -> bool:
        return (
            goal["Z"] != self.spot.at["Z"] and not math.isnan(goal["Z"]) and self.pen.down is False
        )

    def lift(self, goal: dict[str, float], feed: float) -> None:
        before = self.pen.down
        self.spot.at["Z"] = goal["Z"]
        self._note_height(goal["Z"])
        if self.pen.moved(goal["Z"]):
            self.pen_changed(before, height=goal["Z"] - self.spot.offset["Z"], feed=feed)

    def _note_height(self, z: float) -> None:
        if self.machine.height_map is not None:
            self.record.height(self.line, z)

    def _check_pen(self, goal: dict[str, float]) -> None:
        if self.pen.down is None and not self.prologue:
            raise Fault(
                "moves before the pen is known to be up; raise it first, or read with "
                'ignore={"unsaid pen"}'
            )
        lost = not self.is_placed or math.isnan(goal["X"] + goal["Y"])
        if lost and self.pen.down and not (self.prologue and self.pen.rises(self.command)):
            raise Fault(
                "draws from an unknown place; raise the pen and move to an absolute place first"
            )

    def pen_changed(
        self, before: bool | None, *, height: float = UNKNOWN, feed: float = UNKNOWN
    ) -> None:
        if self.prologue and self.pen.down:
            if not self.pen.rises(self.command):
                raise Fault(
                    "the prologue lowers the pen; nothing may lower it before the first stroke"
                )
            return
        if self.pen.down and (before is None or self.handled) and self.pen.rises(self.command):
            self.pen.down = None  # on the way up from a place that nobody knows
        now = self.pen.down
        self.handled = self.handled and now is not False
        self.record.pen(self.line, now, self.pen.whole, height=height, feed=feed)
        if now and not before:
            if not self.is_placed:
                raise Fault("lowers the pen at an unknown place; move to an absolute place first")
            self.record.lowered(*self.place, self.line)
        if before and not now and self.record.is_drawing:
            self.record.raised()
