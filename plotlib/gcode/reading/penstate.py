"""Whether the pen is up, told from what a program says: by the height of Z, by the spindle's state,
or by the declared lines themselves.

Only what is exactly the declared up state counts as up; everything else is down.
"""

from __future__ import annotations

from collections import deque
from typing import Any, Protocol

from plotlib.gcode.reading.lines import Fault, key
from plotlib.gcode.reading.vocabulary import Command, command_of
from plotlib.machine import Lift, Machine
from plotlib.machine.lifts import Heights

Spindle = tuple[str | None, float | None]  # M3, M4, M5 or unknown; S or unknown


class PenState(Protocol):
    """How one kind of lift is followed. ``down`` is None while nothing is known."""

    down: bool | None
    whole: bool  # whether the last change was one that the machine declares, in full

    def saw(self, command: Command) -> bool:
        """Take note of a line with words; whether it is about the pen."""

    def turned(self, spindle: Spindle) -> bool:
        """Take note of the spindle's new state; whether that is about the pen."""

    def moved(self, height: float) -> bool:
        """Take note of Z in mm, not a number when unknown; whether that is about the pen."""

    def follows(self, height: float) -> bool:
        """Whether a move that ends at this Z, in mm, leaves the pen down and follows the bed."""

    def rises(self, command: Command) -> bool:
        """Whether a line is part of raising the pen."""

    def mark(self) -> tuple[Any, ...]:
        """All that the next lines may depend on."""

    def restore(self, mark: tuple[Any, ...]) -> None:
        """Be as at a mark."""


def pen_state(machine: Machine) -> PenState:
    """The follower for a machine's lift."""
    lift = machine.lift
    if lift.heights is not None:
        return HeightPen(machine, lift.heights)
    start = _spindle_after((*machine.prologue, *machine.setup), (None, None))
    up = _spindle_after(lift.change("up").lines, start)
    down = _spindle_after(lift.change("down").lines, start)
    by_spindle = up[0] is not None and down[0] is not None
    return SpindlePen(lift, up) if by_spindle else SpokenPen(lift)


class _Sequences:
    """Recognises the declared lines of a lift in the lines as they come.

    Where a lift pauses between its lines, dwells may stand there; how long they are is for the
    proof to judge. No other line may.
    """

    def __init__(self, lift: Lift) -> None:
        self.up = tuple(map(key, lift.change("up").lines))
        self.down = tuple(map(key, lift.change("down").lines))
        self._pauses = bool(lift.pauses)
        self._wanted = (("up", self.up), ("down", self.down))
        self._ends = frozenset((self.up[-1], self.down[-1]))
        self._last: deque[str] = deque(maxlen=max(len(self.up), len(self.down)))

    def mark(self) -> tuple[str, ...]:
        """The lines that may be a part of the declared ones."""
        return tuple(self._last)

    def restore(self, mark: tuple[str, ...]) -> None:
        """Be as at a mark."""
        self._last = deque(mark, self._last.maxlen)

    def saw(self, command: Command) -> str | None:
        """``"up"`` or ``"down"`` when the line completes the declared lines."""
        if self._pauses and _only_waits(command):
            return None
        name = command.key
        self._last.append(name)
        if name not in self._ends:
            return None
        for state, wanted in self._wanted:
            if name == wanted[-1] and (
                len(wanted) == 1 or tuple(self._last)[-len(wanted) :] == wanted
            ):
                return state
        return None


class SpokenPen:
    """A lift whose words mean nothing to the standard: the declared lines, in full, are its only
    states.
    """

    def __init__(self, lift: Lift) -> None:
        self.down: bool | None = None
        self.whole = False
        self._lines = _Sequences(lift)
        self._own = frozenset(self._lines.up + self._lines.down)
        self._by_spindle = any(map(_has_spindle, lift.lines))

    def saw(self, command: Command) -> bool:
        state = self._lines.saw(command)
        if command.key not in self._own:
            return False
        self.down = state != "up"
        self.whole = state is not None
        return True

    def turned(self, spindle: Spindle) -> bool:
        """A spindle word outside the declared lines leaves a lift that listens to the spindle in no
        declared state.
        """
        if self._by_spindle:
            self.down = True
            self.whole = False
        return self._by_spindle

    def moved(self, height: float) -> bool:
        return False

    def follows(self, height: float) -> bool:
        return False

    def rises(self, command: Command) -> bool:
        return command.key in self._lines.up

    def mark(self) -> tuple[Any, ...]:
        return self.down, self.whole, self._lines.mark()

    def restore(self, mark: tuple[Any, ...]) -> None:
        self.down, self.whole, last = mark
        self._lines.restore(last)


class SpindlePen:
    """A lift on the spindle output: direction and S tell where it stands."""

    def __init__(self, lift: Lift, up: Spindle) -> None:
        self.down: bool | None = None
        self.whole = False
        self._up = up
        self._lines = _Sequences(lift)
        self._declared: str | None = None

    def saw(self, command: Command) -> bool:
        self._declared = self._lines.saw(command)
        if (
            self._declared is None
            or self.down is None
            or "spindle" in command.modal
            or "S" in command.values
        ):
            return False
        self.whole = self._declared == (
            "down" if self.down else "up"
        )  # declared lines that end with something else, such as a dwell
        return True

    def turned(self, spindle: Spindle) -> bool:
        if spindle[0] is None:
            return False
        self.down = _settled(spindle) != _settled(self._up)
        self.whole = self._declared == ("down" if self.down else "up")
        return True

    def moved(self, height: float) -> bool:
        return False

    def follows(self, height: float) -> bool:
        return False

    def rises(self, command: Command) -> bool:
        return command.key in self._lines.up

    def mark(self) -> tuple[Any, ...]:
        return self.down, self.whole, self._declared, self._lines.mark()

    def restore(self, mark: tuple[Any, ...]) -> None:
        self.down, self.whole, self._declared, last = mark
        self._lines.restore(last)


class HeightPen:
    """A lift on a Z axis: heights on the machine's grid."""

    def __init__(self, machine: Machine, heights: Heights) -> None:
        self.down: bool | None = None
        self.whole = False
        self._machine = machine
        self._up = int(machine.to_units(heights.up))
        self._low = int(machine.to_units(heights.down))
        self._beyond = False

    def saw(self, command: Command) -> bool:
        return False

    def turned(self, spindle: Spindle) -> bool:
        return False

    def moved(self, height: float) -> bool:
        if height != height:  # unknown
            self.down = None
            self.whole = False
            self._beyond = False
            return True
        units = int(self._machine.to_units(height))
        self.down = units != self._up
        self.whole = units in (self._up, self._low)
        self._beyond = (units - self._up) * (self._low - self._up) < 0
        return True

    def follows(self, height: float) -> bool:
        """A height map lets Z change while the pen draws; what is exactly up lifts it."""
        if self._machine.height_map is None or self.down is not True or height != height:
            return False
        return int(self._machine.to_units(height)) != self._up

    def rises(self, command: Command) -> bool:
        """Whether Z stands beyond up, away from the paper."""
        return self._beyond

    def mark(self) -> tuple[Any, ...]:
        return self.down, self.whole, self._beyond

    def restore(self, mark: tuple[Any, ...]) -> None:
        self.down, self.whole, self._beyond = mark


def spindle_of(command: Command, before: Spindle) -> Spindle:
    """The spindle's state after a line's own words."""
    speed = command.values.get("S", before[1])
    if speed is not None and speed < 0:
        raise Fault(f"S{speed:g} is negative; a spindle speed is at least 0")
    return command.modal.get("spindle", before[0]), speed


def _settled(spindle: Spindle) -> Spindle:
    """The state that matters: a spindle that stands has no speed."""
    return ("M5", None) if spindle[0] == "M5" else spindle


def _spindle_after(lines: tuple[str, ...], spindle: Spindle) -> Spindle:
    """The spindle's state after declared lines; the direction unknown when none of them says it."""
    direction = None
    for line in lines:
        command = _known(line)
        if command is not None:
            spindle = spindle_of(command, spindle)
            direction = command.modal.get("spindle", direction)
    return direction, spindle[1]


def _known(line: str) -> Command | None:
    try:
        command = command_of(line, semicolons=True)
    except Fault:
        return None
    return None if command.unknown else command


def _only_waits(command: Command) -> bool:
    return command.touches == {"dwell"} and not command.unknown and not command.tools


def _has_spindle(line: str) -> bool:
    command = _known(line)
    return command is not None and "spindle" in command.modal
