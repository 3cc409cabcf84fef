"""What a command makes the carriage and its pen do."""

from __future__ import annotations

import math

from plotlib.gcode.reading.arcs import RADIUS_RULE, RADIUS_RULE_INCHES, Arc, by_centre, by_radius
from plotlib.gcode.reading.lines import Fault
from plotlib.gcode.reading.penstate import spindle_of
from plotlib.gcode.reading.plain import MOTIONS, Source, Span
from plotlib.gcode.reading.track import UNKNOWN, Track
from plotlib.gcode.reading.vocabulary import Command
from plotlib.machine import Machine

_MOVE = Command("G", {}, {})  # for followers of declared lines: something came between
_SAME = 1e-9  # mm: what a sum of decimals may be off
_FARTHEST = 1e9  # mm: no machine is larger
_LONGEST_ARC = 1e5  # mm: up to here arcs are followed off any bed; it bounds their chords to 6,300


class Carriage(Track):
    """A track that understands commands."""

    def __init__(
        self, source: Source, machine: Machine, ignore: frozenset[str], *, at_home: bool
    ) -> None:
        super().__init__(source, machine, ignore)
        if at_home:
            self.arrive_home()
        else:
            self.record.jump(UNKNOWN, UNKNOWN)

    def begin(self, command: Command, line: int, *, prologue: bool, declared: bool) -> None:
        """Take note of a line before it is run; lifts made of unknown words act here."""
        self.command = command
        self.line = line
        self.prologue = prologue
        self.declared = declared
        before = self.pen.down
        if self.pen.saw(command):
            self.pen_changed(before)

    def run(self, command: Command) -> None:
        """Run a line whose words are known, in the order of the standard."""
        touches = command.touches
        if "feed" in touches:
            self.modes.set_feed(command)
        if "spindle" in touches:
            self._spindle(command)
        if "dwell" in touches:
            self._dwell(command)
        if "geometry" in touches:
            self.modes.set_geometry(command)
        for word in command.said:
            self.record.say(word, self.line)
        if "offset" in touches:
            self._offset(command)
        elif "motion" in touches:
            self._motion(command)

    def run_plain(self, first: int, end: int) -> int:
        """Run the plain lines ``first`` … ``end - 1`` at once, where that is safe; the index of the
        first line that is left to do.
        """
        modes = self.modes
        at = self.spot.at
        offset = self.spot.offset
        if (
            end <= first
            or modes.scale is None
            or not modes.absolute
            or modes.inverse
            or self.down is None
            or not self.is_placed
        ):
            return first
        if not modes.feed or (modes.motion not in ("G0", "G1") and not self.source.kind[first]):
            return first
        here = (
            at["X"],
            at["Y"],
            MOTIONS.index(modes.motion or "G1"),
            modes.feed,
            modes.scale,
            offset["X"],
            offset["Y"],
        )
        span = Span(first, end, *here)
        at["X"], at["Y"], motion, modes.feed = self.source.after(span)
        modes.motion = MOTIONS[motion]
        self.record.span(span)
        self.pass_by()
        return end

    def pass_by(self) -> None:
        """Let the pen know that something moved between the lines of its lift."""
        self.pen.saw(_MOVE)

    def run_unknown(self, command: Command, *, lost: bool) -> None:
        """Run a line of which some words are unknown: spindle and modes count, feed and motion word
        must be said again, and the place may be lost.
        """
        if "offset" in command.touches and not self.prologue:
            raise Fault(
                f"{command.modal['offset']} beside {command.unknown[0]}, a word that is unknown "
                f"here; put it on a line of its own"
            )
        if "spindle" in command.touches:
            self._spindle(command)
        self.modes.set_geometry(command)
        if lost or "motion" in command.modal:
            self.modes.motion = None
        if lost or "F" in command.values:
            self.modes.feed = None
        if lost:
            self._lose(command)

    def _lose(self, command: Command) -> None:
        """Afterwards nobody knows where the carriage is; where the line's own words lead counts."""
        if "motion" in command.modal or not self.declared:
            goal = self._target(command)
            values = command.values
            across, up = (goal[axis] if axis in values else UNKNOWN for axis in "XY")
            self.record.glimpse(across, up, self.line)
        before = self.pen.down
        self.spot.at = dict.fromkeys("XYZ", UNKNOWN)
        self.record.jump(UNKNOWN, UNKNOWN)
        self._note_height(UNKNOWN)
        if self.pen.moved(UNKNOWN):
            self.pen_changed(before)

    def arrive_home(self) -> None:
        """After the prologue the carriage stands at home, in the declared coordinates."""
        machine = self.machine
        for axis, home, zero, turned in zip(
            "XY", machine.home, machine.zero, (machine.x.reversed, machine.y.reversed), strict=True
        ):
            declared = (zero - home if turned else home - zero) + 0.0
            told = self.spot.at[axis] - self.spot.offset[axis]
            if abs(told - declared) > _SAME:
                raise Fault(
                    f"the prologue leaves {axis} at {told:g}, but the machine's home is "
                    f"{declared:g}; mend one of them"
                )
            self.spot.at[axis] = declared
            self.spot.offset[axis] = 0.0
        self._settle_height()
        if self.pen.down:
            if not self.pen.rises(self.command) or not math.isnan(self.spot.at["Z"]):
                raise Fault("the prologue leaves the pen down; it must end with the pen up")
            self.pen.down = None
        self.handled = True
        self.record.jump(*self.place)

    def _settle_height(self) -> None:
        """From here on Z is what the prologue told it to be by G92, and the pen stands there."""
        spot = self.spot
        if not spot.offset["Z"]:
            return
        spot.at["Z"] -= spot.offset["Z"]
        spot.offset["Z"] = 0.0
        self._note_height(spot.at["Z"])
        self.pen.moved(spot.at["Z"])

    def stop(self, line: int, message: str) -> None:
        self.handled = True
        self.record.stops.append((line, *self.place, self.pen.down is not False, message))

    def spindle_off(self, line: int) -> None:
        """A program end stops the spindle."""
        self._turn(("M5", self.modes.spindle[1]))

    # ---- one kind of word each

    def _spindle(self, command: Command) -> None:
        self._turn(spindle_of(command, self.modes.spindle))

    def _turn(self, spindle: tuple[str | None, float | None]) -> None:
        before = self.pen.down
        self.modes.spindle = spindle
        if self.pen.turned(spindle):
            self.pen_changed(before)

    def _dwell(self, command: Command) -> None:
        seconds = command.values.get("P")
        if "dwell" not in command.modal:
            if seconds is not None:
                raise Fault("P without G4; write G4 P… for a dwell")
            return
        if seconds is None or seconds < 0:
            raise Fault("G4 needs P, the time of the dwell, of at least 0")
        scale = 1000 if self.machine.dwell == "milliseconds" else 1
        self.record.dwell(self.line, seconds / scale)

    def _offset(self, command: Command) -> None:
        word = command.modal["offset"]
        spot = self.spot
        if word == "G92.3":
            raise Fault("G92.3 brings back coordinates of an earlier program; say them with G92")
        if word in ("G92.1", "G92.2"):
            spot.offset = dict.fromkeys("XYZ", 0.0)
            return
        axes = [axis for axis in "XYZ" if axis in command.values]
        if not axes or "motion" in command.modal:
            raise Fault(
                "G92 needs X, Y or Z, and takes them from the motion word; put each on its own line"
            )
        scale, _ = self.modes.need(prologue=self.prologue)
        for axis in axes:
            told = command.values[axis] * scale
            if math.isnan(spot.at[axis]):
                if not self.prologue:
                    raise Fault(f"G92 where {axis} is unknown; move to an absolute place first")
                spot.at[axis] = told
                spot.offset[axis] = 0.0
            spot.offset[axis] = spot.at[axis] - told

    def _motion(self, command: Command) -> None:
        modes = self.modes
        word = command.modal.get("motion")
        if word is not None:
            modes.motion = None if word == "G80" else word
        axes = [axis for axis in "XYZ" if axis in command.values]
        self._check_motion(command, axes)
        if not axes:
            return
        if modes.motion == "G0":
            self._straight(command, feed=UNKNOWN)
        else:
            if (modes.feed is None or modes.feed == 0) and "missing feeds" not in self.ignore:
                raise Fault(
                    f'{modes.motion} without a feed; say F first, or read with ignore={{"missing '
                    f'feeds"}}'
                )
            if modes.inverse and "F" not in command.values:
                raise Fault(f"under G93 every {modes.motion} line needs its own F")
            feed = UNKNOWN if modes.feed is None else modes.feed
            if modes.motion == "G1":
                self._straight(command, feed=feed)
            else:
                self._arc(command, feed)

    def _check_motion(self, command: Command, axes: list[str]) -> None:
        modes = self.modes
        word = command.modal.get("motion")
        if axes and modes.motion is None:
            raise Fault("no motion word is in force; say G0 or G1 first")
        if word in ("G0", "G1", "G2", "G3") and not axes and "idle motion words" not in self.ignore:
            raise Fault(
                f'{word} without X, Y or Z; give it one, or read with ignore={{"idle motion '
                f'words"}}'
            )
        stray = [letter for letter in "IJR" if letter in command.values]
        if stray and not (axes and modes.motion in ("G2", "G3")):
            raise Fault(f"{stray[0]} without an arc; it belongs to G2 or G3 with X or Y")

    def _target(self, command: Command) -> dict[str, float]:
        goal = self._said_target(command)
        self._check_steps(command, goal)
        far = [axis for axis in "XYZ" if abs(goal[axis]) > _FARTHEST]
        if far:
            raise Fault(
                f"{far[0]} leads to {goal[far[0]]:g} mm, farther than any machine reaches; mend "
                f"the number"
            )
        return goal

    def _check_steps(self, command: Command, goal: dict[str, float]) -> None:
        """Only a declared prologue may step from a place that nobody knows."""
        for axis in "XY":
            if axis in command.values and math.isnan(goal[axis]) and not self.prologue:
                raise Fault(
                    f"a step along {axis} from an unknown place; move to an absolute place first"
                )

    def _said_target(self, command: Command) -> dict[str, float]:
        scale, absolute = self.modes.need(prologue=self.prologue)
        if "Z" in command.values and self.machine.lift.heights is None:
            if "z words" in self.ignore:
                return self.spot.target(
                    {axis: value for axis, value in command.values.items() if axis != "Z"},
                    scale,
                    absolute,
                )
            if not self.declared:
                raise Fault(
                    f"Z on a machine whose pen is on a {self.machine.lift.kind}; delete it, or "
                    f'read with ignore={{"z words"}}'
                )
        return self.spot.target(command.values, scale, absolute)

    def _straight(self, command: Command, *, feed: float) -> None:
        goal = self._target(command)
        way = (goal["X"] - self.spot.at["X"], goal["Y"] - self.spot.at["Y"])
        if self.modes.inverse and not math.isnan(feed):
            feed *= math.hypot(*way)
        if "X" in command.values or "Y" in command.values:
            self.lead(goal, feed, None)
        else:
            self.lift(goal, feed)

    def _arc(self, command: Command, feed: float) -> None:
        values = command.values
        goal = self._target(command)
        if not ("X" in values or "Y" in values):
            raise Fault(f"{self.modes.motion} needs X or Y, also for a full circle")
        if not self.is_placed:
            raise Fault("an arc from an unknown place; move to an absolute place first")
        arc = self._curve(values, goal)
        bed = math.pi * (self.machine.width + self.machine.height)  # no arc on it is longer
        if arc.length > max(bed, _LONGEST_ARC):
            raise Fault(
                f"the arc is {arc.length / 1000:,.0f} m long, far off the bed; mend its centre or "
                f"its end"
            )
        self.lead(goal, feed * arc.length if self.modes.inverse else feed, arc)

    def _curve(self, values: dict[str, float], goal: dict[str, float]) -> Arc:
        scale, _ = self.modes.need(prologue=self.prologue)
        slack = RADIUS_RULE if scale == 1.0 else RADIUS_RULE_INCHES
        if "arc radii" in self.ignore:
            slack = math.inf
        start = self.place
        end = (goal["X"], goal["Y"])
        clockwise = self.modes.motion == "G2"
        if "R" in values:
            if "I" in values or "J" in values:
                raise Fault("an arc takes R, or I and J, not both")
            return by_radius(
                start, end, values["R"] * scale, clockwise=clockwise, slack=min(slack, 1.0)
            )
        if "I" not in values and "J" not in values:
            raise Fault(f"{self.modes.motion} needs I or J, the way to the centre, or R")
        centre = (start[0] + values.get("I", 0.0) * scale, start[1] + values.get("J", 0.0) * scale)
        return by_centre(start, end, centre, clockwise=clockwise, slack=slack)
