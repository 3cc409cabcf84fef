"""A simulated controller: it receives bytes, answers lines, keeps a queue of moves, and draws.

It knows one machine and its dialogue, and of programs only what plotlib writes. It reads no code
of the sender, so that a test compares what was drawn with what was planned.
"""

from __future__ import annotations

import math
import re
from collections import deque
from dataclasses import dataclass

import numpy as np

from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue
from plotlib.gcode.reading.arcs import by_centre
from plotlib.gcode.reading.lines import Fault as GcodeFault
from plotlib.machine import Dialogue, Machine
from plotlib.planning.moving.timing import controller_of

_WORD = re.compile(r"([A-Z])([-+]?\d*\.?\d+)")
_COMMENT = re.compile(r"\([^()]*\)|;.*")
_KNOWN = frozenset("G0 G1 G2 G3 G4 G17 G21 G90 G91 G94 M0 M2 M30".split())  # noqa: SIM905
_END = ord("\n")
_BEHIND = 48  # moves before the present one that its speed may depend on


@dataclass
class Block:
    """One thing to do, and for how long."""

    line: int
    text: str
    start: tuple[float, float]
    end: tuple[float, float]
    feed: float
    rapid: bool
    seconds: float = 0.0
    moves: bool = False
    pen: str = ""
    height: float | None = None


@dataclass
class Counts:
    """What came in.

    Attributes
    ----------
    received, dropped : int
        Bytes that came, and those for which there was no room.
    lines, refused : int
        Whole lines, and those that were not taken.
    """

    received: int = 0
    dropped: int = 0
    lines: int = 0
    refused: int = 0


class Controller:
    """The controller of one machine, in a time of its own.

    Attributes
    ----------
    counts : Counts
        Bytes and lines so far.
    is_down : bool
        Whether the pen is down.
    told_up : bool
        Whether the last word about the pen was that it is to go up.
    """

    def __init__(self, machine: Machine, *, receive_bytes: int | None = None) -> None:
        if machine.dialogue is None:
            raise InvalidValue(
                "the machine declares no dialogue, so nobody knows what its controller says",
                name="machine",
            )
        self.machine = machine
        self.words: Dialogue = machine.dialogue
        self.size = receive_bytes or self.words.receive_bytes or 128
        self.counts = Counts()
        self.out: deque[tuple[float, bytes]] = deque()  # answers, and when they are said
        self.time = 0.0
        self.strokes: list[list[tuple[float, float]]] = []
        self.is_down = False
        self.told_up = True
        self.is_dead = False
        self.place = _of_home(machine)
        self.height = 0.0
        self.executed = 0  # lines done
        self._start_anew()

    def _start_anew(self) -> None:
        self._buffer = bytearray()
        self._queue: deque[Block] = deque()
        self._ends = math.inf  # when the present block is done
        self._is_held = False
        self._held_left = 0.0
        self._is_locked = False
        self._goal = self.place
        self._z = self.height
        self._feed = 0.0
        self._motion = ""
        self._absolute = True
        self._recent: list[str] = []
        self._past: deque[tuple[float, float]] = deque(maxlen=_BEHIND)
        self._number = 0

    # ---- the wire

    def greet(self) -> None:
        """Say what a controller says when it starts."""
        if self.words.greeting is not None:
            self.say(f"{self.words.greeting} (simulated)")
        self._is_locked = bool(self.words.unlock)

    def say(self, line: str) -> None:
        """Put a line on the wire."""
        self.out.append((self.time, (line + "\r\n").encode("latin-1")))

    def receive(self, data: bytes) -> None:
        """Bytes come in, now."""
        signs = self.words.immediate.encode("latin-1")
        for value in data:
            self.counts.received += 1
            if self.is_dead:
                continue
            if value in signs:
                self._hear(chr(value))
            elif len(self._buffer) >= self.size:
                self.counts.dropped += 1
            else:
                self._buffer.append(value)
                if value == _END:
                    self._work()

    def _hear(self, sign: str) -> None:
        words = self.words
        if sign == words.hold:
            self.hold()
        elif sign == words.go_on and self._is_held:
            self._is_held = False
            if self._queue:
                self._ends = self.time + self._held_left
        elif sign == words.halt:
            self.reset()
        elif sign == words.ask:
            idle = not self._queue and not self._buffer
            self.say(f"<{words.resting if idle and words.resting else 'working'}>")

    def hold(self) -> None:
        """Stand still where it is."""
        if not self._is_held:
            self._is_held = True
            self._held_left = max(self._ends - self.time, 0.0) if self._queue else 0.0

    def reset(self) -> None:
        """Forget everything; the carriage stands where it stood."""
        self._stand_still()
        self._start_anew()
        self.greet()

    def _stand_still(self) -> None:
        """Draw what was drawn of the present move."""
        if not self._queue:
            return
        block = self._queue[0]
        if block.moves and block.seconds > 0:
            left = self._held_left if self._is_held else max(self._ends - self.time, 0.0)
            share = 1.0 - min(left / block.seconds, 1.0)
            step = np.subtract(block.end, block.start) * share
            x, y = (np.asarray(block.start) + step).tolist()
            self._draw_to((x, y))
            if block.height is not None:
                self.height += (block.height - self.height) * share

    # ---- time

    @property
    def next_event(self) -> float:
        """When it will do something of itself; infinite if it waits for the wire."""
        return math.inf if self._is_held or self.is_dead else self._ends

    @property
    def moves(self) -> bool:
        """Whether there is anything left to do."""
        return bool(self._queue)

    @property
    def rests(self) -> bool:
        """Whether nothing moves and nothing waits."""
        return not self._queue and not self._buffer

    def advance(self, time: float) -> None:
        """Let time go on."""
        while self.next_event <= time:
            self.time = max(self.time, self._ends)
            self._finish()
            self._work()
        self.time = max(self.time, time)

    def _finish(self) -> None:
        """The present block is done."""
        block = self._queue.popleft()
        if block.moves:
            self._past.append(block.start)
            self._draw_to(block.end)
        else:
            self._past.clear()
        if block.pen:
            self._set_pen(block.pen)
        if block.height is not None:
            self.height = block.height
        self.executed = block.line
        self._ends = math.inf
        self._begin()

    def _begin(self) -> None:
        if not self._queue or self._ends < math.inf:
            return
        block = self._queue[0]
        if block.moves:
            block.seconds = self._seconds(block)
        self._ends = self.time + block.seconds
        if self._is_held:
            self._held_left = block.seconds

    def _draw_to(self, place: tuple[float, float]) -> None:
        self.place = place
        if self.is_down and self.strokes[-1][-1] != place:
            self.strokes[-1].append(place)

    def _set_pen(self, state: str) -> None:
        if state == "down" and not self.is_down:
            self.strokes.append([self.place])
        self.is_down = state == "down"

    @property
    def drawn(self) -> Drawing:
        """The ink so far, in bed mm."""
        return Drawing([np.array(stroke) for stroke in self.strokes])

    # ---- lines

    def _work(self) -> None:
        """Take lines out of the buffer while the queue has room."""
        while b"\n" in self._buffer and len(self._queue) < self.machine.look_ahead:
            line, _, rest = bytes(self._buffer).partition(b"\n")
            self._buffer = bytearray(rest)
            self._take(line.decode("latin-1").strip())
        self._begin()

    def _take(self, line: str) -> None:
        self.counts.lines += 1
        self._number += 1
        if not self.answer(line):
            return
        reason = self._enter(line)
        if reason is None:
            self.acknowledge(line)
        else:
            self.counts.refused += 1
            self.say(f"{self.words.refused[0]} {reason}")

    def answer(self, line: str) -> bool:
        """Whether a line is looked at; faults change it."""
        del line
        return True

    def acknowledge(self, line: str) -> None:
        """Say that a line was taken; faults change it."""
        del line
        self.say(self.words.accepted)

    def _enter(self, line: str) -> str | None:
        """Put a line into the queue; a reason if that cannot be."""
        if self._is_locked:
            if line != self.words.unlock[-1]:
                return "locked"
            self._is_locked = False
            return None
        bare = _COMMENT.sub("", line).strip()
        state = self._pen_after(bare)
        if state is not None:
            self._put(Block(self._number, bare, self._goal, self._goal, 0.0, False, pen=state))
            return None
        return self._words(bare)

    def _pen_after(self, line: str) -> str | None:
        """Whether a line belongs to the lift, and what it does to the pen: "up", "down" or
        nothing yet.
        """
        lift = self.machine.lift
        if line not in lift.lines:
            if not line.startswith("G4"):
                self._recent = []
            return None
        self._recent.append(line)
        for state in ("up", "down"):
            lines = lift.change("up" if state == "up" else "down").lines
            if lines and tuple(self._recent[-len(lines) :]) == lines:
                self.told_up = state == "up"
                return state
        return ""

    def _words(self, line: str) -> str | None:
        words = _WORD.findall(line)
        left = _WORD.sub("", line).strip()
        if left:
            return f"unreadable {left!r}"
        values = {letter: float(number) for letter, number in words if letter not in "GM"}
        said = [f"{letter}{float(number):g}" for letter, number in words if letter in "GM"]
        unknown = [word for word in said if word not in _KNOWN and not self._is_declared(line)]
        if unknown:
            return f"unknown {unknown[0]}"
        if "G4" in said:
            scale = 0.001 if self.machine.dwell == "milliseconds" else 1.0
            seconds = values.get("P", 0.0) * scale
            self._put(Block(self._number, line, self._goal, self._goal, 0.0, False, seconds))
            return None
        for word in said:
            if word in ("G90", "G91"):
                self._absolute = word == "G90"
            elif word in ("G0", "G1", "G2", "G3"):
                self._motion = word
        self._feed = values.get("F", self._feed)
        if values.keys() & {"X", "Y", "Z"}:
            return self._move(line, values)
        return None

    def _is_declared(self, line: str) -> bool:
        machine = self.machine
        return line in (*machine.prologue, *machine.setup, *machine.epilogue)

    def _move(self, line: str, values: dict[str, float]) -> str | None:
        if not self._motion:
            return "no motion word"
        if self._motion != "G0" and not self._feed > 0:
            return "no feed"
        if self._motion in ("G2", "G3"):
            return self._bend(line, values)
        goal = _target(self.machine, self._goal, values, absolute=self._absolute)
        block = Block(
            self._number, line, self._goal, goal, self._feed, self._motion == "G0", moves=True
        )
        if "Z" in values:
            self._rise(block, values["Z"], is_alone=goal == self._goal)
        self._goal = goal
        self._put(block)
        return None

    def _bend(self, line: str, values: dict[str, float]) -> str | None:
        """An arc by its centre, driven in chords."""
        if not self.machine.arcs:
            return "no arcs"
        goal = _target(self.machine, self._goal, values, absolute=self._absolute)
        way = {"X": values.get("I", 0.0), "Y": values.get("J", 0.0)}
        centre = _target(self.machine, self._goal, way, absolute=False)
        mirrored = self.machine.x.reversed != self.machine.y.reversed
        is_clockwise = (self._motion == "G2") != mirrored
        try:
            arc = by_centre(self._goal, goal, centre, clockwise=is_clockwise)
        except GcodeFault as error:
            return str(error)
        start = self._goal
        for x, y in arc.points().tolist():
            self._put(Block(self._number, line, start, (x, y), self._feed, False, moves=True))
            start = (x, y)
        self._goal = goal
        return None

    def _rise(self, block: Block, z: float, *, is_alone: bool) -> None:
        """Z alone takes its own time; beside X and Y, over a bed that is not flat, it goes along
        with them.
        """
        heights = self.machine.lift.heights
        was = self._z
        self._z = z + (0.0 if self._absolute else was)
        rate = heights.feed if heights is not None else 600.0
        block.height = self._z
        if is_alone:
            block.moves = False
            block.seconds = abs(self._z - was) / rate * 60
        if heights is not None:
            above = (self._z - heights.up) * (1 if heights.up > heights.down else -1)
            is_up = above > -1e-9  # above up is up as well
            bed = self.machine.height_map
            if bed is not None:  # and a whole lift above the bed, where that is low
                is_up = is_up or above - bed.at([block.end]).item() > -bed.tolerance
            block.pen = "up" if is_up else "down"
            self.told_up = is_up

    def _put(self, block: Block) -> None:
        self._queue.append(block)
        self._begin()

    def _seconds(self, block: Block) -> float:
        """The present move by the motion model, with the moves before it and those that wait."""
        ahead = [block]
        for other in list(self._queue)[1:]:
            if not other.moves or other.rapid != block.rapid:
                break
            ahead.append(other)
        behind = list(self._past) if not block.rapid else []
        places = [*behind, *(item.start for item in ahead), ahead[-1].end]
        units = np.rint(np.array(places) / self.machine.unit).astype(np.int64)
        return _time_of(units, len(behind) + 1, self.machine, block.rapid, block.feed)


def _time_of(units: np.ndarray, move: int, machine: Machine, rapid: bool, feed: float) -> float:
    from plotlib.planning.moving.motion import motion_times

    if (units[move] == units[move - 1]).all():
        return 0.0
    times = motion_times(
        units,
        np.array([0, len(units)]),
        controller_of(machine),
        unit=machine.unit,
        feed=1e9 if rapid else feed,
    )
    return float(times.moves[move])


def _of_home(machine: Machine) -> tuple[float, float]:
    x, y = machine.home
    return float(x), float(y)


def _target(
    machine: Machine, place: tuple[float, float], values: dict[str, float], *, absolute: bool
) -> tuple[float, float]:
    """Where a move leads, in bed mm."""
    out = []
    axes = (machine.x, machine.y)
    for letter, zero, axis, here in zip("XY", machine.zero, axes, place, strict=True):
        sign = -1.0 if axis.reversed else 1.0
        if letter not in values:
            out.append(here)
        elif absolute:
            out.append(zero + sign * values[letter])
        else:
            out.append(here + sign * values[letter])
    return out[0], out[1]
