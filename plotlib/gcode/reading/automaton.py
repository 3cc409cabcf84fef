"""The quick way through lifts, dwells and arcs: most lines that are not plain come again and again.

Nothing here knows what such a line does. The first time that a line comes in some state of the pen
and the spindle, the carriage itself runs it, with a note-taker that only listens; from then on the
compiled walk repeats what was heard. What the walk does not know, every fault included, is left to
the interpreter.
"""

from __future__ import annotations

import math
from typing import Any, cast

import numpy as np

from plotlib.gcode.reading.carriage import Carriage
from plotlib.gcode.reading.lines import Fault
from plotlib.gcode.reading.plain import MOTIONS, Source
from plotlib.gcode.reading.record import Record
from plotlib.gcode.reading.vocabulary import Command

LEAST = 20_000  # lines of a program that are worth it: a tenth of a second of the slow way
_AT_ONCE = 500_000  # lines walked between two looks whether somebody interrupts: 10 ms
_STATES = 64  # of a pen and a spindle; a lift has a few. In a new one the slow way goes on
_TEXTS = 32


class _Listener:
    """A note-taker that keeps what one line says; whatever a lift does not say is a Fault."""

    def __init__(self, *, is_drawing: bool) -> None:
        self.is_drawing = is_drawing
        self.pens: list[float] = []
        self.seconds = math.nan
        self.stroke = 0

    def pen(self, line: int, down: bool | None, whole: bool, *, height: float, feed: float) -> None:
        if not math.isnan(height) or len(self.pens) == 6:
            raise Fault("more than a lift without an axis says")
        self.pens += [bool(down), down is not None, whole]

    def dwell(self, line: int, seconds: float) -> None:
        if not math.isnan(self.seconds):
            raise Fault("two dwells")
        self.seconds = seconds

    def lowered(self, x: float, y: float, line: int) -> None:
        self._turned(1)

    def raised(self) -> None:
        self._turned(-1)

    def _turned(self, stroke: int) -> None:
        if self.stroke:
            raise Fault("two changes")
        self.stroke = stroke
        self.is_drawing = stroke > 0

    def say(self, word: str, line: int) -> None:
        raise Fault("more than a lift says")

    @property
    def effect(self) -> list[float]:
        pens = [*self.pens, *[0.0] * (6 - len(self.pens))]
        return [len(self.pens) / 3, *pens, self.seconds, self.stroke]


class Automaton:
    """Known lines of one program, and what they do in each state of its carriage.

    Parameters
    ----------
    source : Source
        The program.
    commands : dict of str to Command
        Lines that only turn the spindle or wait.
    """

    def __init__(self, source: Source, commands: dict[str, Command]) -> None:
        from plotlib.gcode.reading.automaton_kernel import ASK, Table

        texts = list(commands)[:_TEXTS]
        self._commands = [commands[text] for text in texts]
        self.code = source.named(texts)
        self.codes = memoryview(cast(Any, self.code))
        self._lines = source.columns
        count = len(texts) + 1
        self._table = Table(np.full((_STATES, count), ASK, np.int64), np.zeros((_STATES, count, 9)))
        self._states: dict[tuple[Any, ...], int] = {}

    def run(self, carriage: Carriage, index: int, end: int) -> int:
        """Run known and plain lines from ``index`` on; the first that is left to do."""
        from plotlib.gcode.reading.automaton_kernel import ASK, Frame, walk

        modes = carriage.modes
        state = self._number(carriage)
        if not self._is_ready(carriage) or state is None:
            return index
        at = carriage.spot.at
        offset = carriage.spot.offset
        frame = Frame(cast(float, modes.scale), offset["X"], offset["Y"])
        while index < end:
            here = self._here(carriage, index, state)
            until = min(end, index + _AT_ONCE)
            now, stopped, notes = walk(self._lines, self.code, self._table, here, until, frame)
            carriage.record.repeated(notes)
            index = int(now.line)
            at["X"] = float(now.x)
            at["Y"] = float(now.y)
            modes.motion = MOTIONS[int(now.motion)]
            modes.feed = float(now.feed)
            state = int(now.state)
            self._set(carriage, state)
            if index == until:
                continue
            if stopped < 0 or self._table.follow[state, stopped] != ASK:
                break
            self._learn(carriage, state, int(stopped))
        return index

    @staticmethod
    def _is_ready(carriage: Carriage) -> bool:
        """Whether plain lines and arcs may be run at once; known lines do not change that."""
        modes = carriage.modes
        told = modes.scale is not None and modes.absolute and not modes.inverse and modes.feed
        return bool(told) and modes.motion in MOTIONS and carriage.is_placed

    @staticmethod
    def _here(carriage: Carriage, index: int, state: int) -> Any:
        from plotlib.gcode.reading.automaton_kernel import Here

        modes = carriage.modes
        x, y = carriage.place
        feed = cast(float, modes.feed)
        motion = MOTIONS.index(cast(str, modes.motion))
        return Here(index, state, x, y, motion, feed, carriage.record.count)

    def _number(self, carriage: Carriage) -> int | None:
        """The number of the state in which a carriage is; None where there are too many."""
        mark = (
            carriage.pen.mark(),
            carriage.modes.spindle,
            carriage.handled,
            carriage.record.is_drawing,
        )
        number = self._states.get(mark)
        if number is None and len(self._states) < _STATES:
            number = self._states[mark] = len(self._states)
        return number

    def _set(self, carriage: Carriage, number: int) -> None:
        """Bring a carriage into a state; what its record says needs no bringing."""
        mark = list(self._states)[number]
        carriage.pen.restore(mark[0])
        carriage.modes.spindle = mark[1]
        carriage.handled = mark[2]

    def _learn(self, carriage: Carriage, state: int, name: int) -> None:
        """Find out what a known line (or a plain one, 0) does in the state of a carriage."""
        from plotlib.gcode.reading.automaton_kernel import LEAVE

        record = carriage.record
        listener = _Listener(is_drawing=record.is_drawing)
        carriage.record = cast(Record, listener)
        try:
            if name == 0:
                then = self._after_move(carriage)
            else:
                command = self._commands[name - 1]
                carriage.begin(command, carriage.line, prologue=False, declared=False)
                carriage.run(command)
                then = self._number(carriage)
        except Fault:
            then = None
        finally:
            carriage.record = record
        self._set(carriage, state)
        self._table.follow[state, name] = LEAVE if then is None else then
        self._table.effect[state, name] = listener.effect

    def _after_move(self, carriage: Carriage) -> int | None:
        if carriage.down is None:
            return None
        carriage.pass_by()
        return self._number(carriage)
