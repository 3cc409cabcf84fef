"""The Job: a program as the lines to send, each with the seconds that it keeps the machine busy and
where in the drawing it stands.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from plotlib.checks import BoolArray, FloatArray, IntArray
from plotlib.errors import InvalidValue
from plotlib.gcode.reading.lines import key
from plotlib.gcode.toolpath import Toolpath
from plotlib.machine import Machine
from plotlib.planning.plot import Plot


@dataclass(frozen=True)
class Job:
    """What is to be sent to one machine.

    Attributes
    ----------
    text : str
        The program.
    machine : Machine
        Whom it is for.
    path : Toolpath
        What it does.
    plot : Plot or None
        What it is proven to draw; None for a program that is not proven.
    """

    text: str
    machine: Machine
    path: Toolpath
    plot: Plot | None

    @cached_property
    def lines(self) -> list[str]:
        """All lines, as the file has them."""
        return self.text.splitlines()

    @cached_property
    def digest(self) -> str:
        """What tells this program from any other (SHA-256)."""
        return hashlib.sha256(self.text.encode("utf-8", "surrogateescape")).hexdigest()

    @cached_property
    def told(self) -> list[int]:
        """The numbers, from 1, of the lines that are sent: all but those that say nothing."""
        return [n for n, line in enumerate(self.lines, 1) if key(line) not in ("", "%")]

    @cached_property
    def stops(self) -> dict[int, str]:
        """Lines at which the person changes the pen, and what they say; they are not sent."""
        stops = self.path.stops
        return dict(zip(stops.line.tolist(), stops.messages, strict=True))

    @cached_property
    def is_up(self) -> BoolArray:
        """Whether (L + 1,) the pen is up and at rest after each line, by its number; 0 is before
        the first.
        """
        lines = np.arange(len(self.lines) + 1)
        path = self.path
        pens = path.pens
        last = np.searchsorted(pens.line, lines, side="right") - 1
        raised = np.append(~pens.down & pens.known & pens.whole, False)[last]
        others = np.unique(np.concatenate([path.moves.line, pens.line, path.stops.line]))
        waits = _next(path.dwells.line, lines) < _next(others, lines)
        return np.asarray((last >= 0) & raised & ~waits)

    @cached_property
    def seconds(self) -> FloatArray:
        """How long (L + 1,) each line keeps the machine busy, by its number."""
        busy = np.zeros(len(self.lines) + 1)
        moves = self.path.moves
        np.add.at(busy, moves.line, self._move_seconds())
        np.add.at(busy, self.path.dwells.line, self.path.dwells.seconds)
        heights = self.machine.lift.heights
        if heights is not None:
            ways = np.abs(np.diff(self.path.pens.height, prepend=heights.up))
            np.add.at(busy, self.path.pens.line, np.nan_to_num(ways) / heights.feed * 60)
        return busy

    def _move_seconds(self) -> FloatArray:
        """Of each move (K,): by the motion model where the plot is known, else at its feed."""
        moves = self.path.moves
        seconds = self._plain_seconds()
        if self.plot is None:
            return seconds
        times = self.plot.times
        ink = np.ones(len(self.plot.units), np.bool_)
        ink[self.plot.drawing.offsets[:-1]] = False
        legs = self.plot.legs
        gone = (legs.begin != legs.end).any(axis=1)
        travels = ~moves.down & (moves.length > 0)
        if len(self.plot.arcs):
            seconds[moves.down] = self._arc_seconds(times.moves)
        elif int(moves.down.sum()) == int(ink.sum()):
            seconds[moves.down] = times.moves[ink]
        if int(travels.sum()) == int(gone.sum()):
            seconds[travels] = times.ways[gone]
        return seconds

    def _arc_seconds(self, seconds: FloatArray) -> FloatArray:
        """Of each move that draws, where a plot with arcs takes so long to each of its points: the
        whole time of an arc at its last chord.
        """
        assert self.plot is not None
        path = self.path
        counts = np.diff(np.concatenate([[0], self._rows + 1]))
        whole = np.add.reduceat(seconds, self._rows - counts + 1) if len(counts) else seconds
        points = np.zeros(len(path.points))
        points[~path.inner_points] = whole
        drawn = np.ones(len(path.points), np.bool_)
        drawn[path.offsets[:-1]] = False
        return points[drawn]

    @cached_property
    def _rows(self) -> IntArray:
        """The points of the plot that lines of the program lead to, in their order."""
        assert self.plot is not None
        return np.flatnonzero(~self.plot.arcs.inner(len(self.plot.units)))

    def _plain_seconds(self) -> FloatArray:
        """As if every move went at its feed, or at the rate of the slower axis."""
        moves = self.path.moves
        way = np.abs(moves.end - moves.start)
        rates = np.array([self.machine.x.rate, self.machine.y.rate])
        least = (way / rates).max(axis=1) if len(way) else np.zeros(0)
        with np.errstate(divide="ignore", invalid="ignore"):
            fed = np.where(moves.feed > 0, moves.length / moves.feed, 0.0)
        return np.asarray(60.0 * np.maximum(least, fed))

    @cached_property
    def motions(self) -> IntArray:
        """The lines (K,) that move the carriage or the pen along Z: what a queue holds."""
        lines = [self.path.moves.line]
        if self.machine.lift.heights is not None:
            lines.append(self.path.pens.line)
        return np.unique(np.concatenate(lines))

    @cached_property
    def stroke_ends(self) -> IntArray:
        """The line (M,) with which each stroke is complete."""
        return np.asarray(self.path.point_lines[self.path.offsets[1:] - 1])

    def stroke_at(self, line: int) -> int:
        """The first stroke that is not complete before a line is run; their count after all."""
        return int(np.searchsorted(self.stroke_ends, line))

    def stroke_begin(self, stroke: int) -> int:
        """The line that puts the pen down for a stroke."""
        return int(self.path.point_lines[self.path.offsets[stroke]])

    def ink_until(self, line: int) -> float:
        """How many mm of ink are drawn when a line is done."""
        moves = self.path.moves
        return float(moves.length[moves.down & (moves.line <= line)].sum())

    def ink_before(self, line: int) -> float:
        """How many mm of the stroke at ``line`` are drawn before it."""
        stroke = self.stroke_at(line)
        if stroke >= len(self.path):
            return 0.0
        first, end = self.path.offsets[stroke : stroke + 2]
        points = self.path.points[first:end]
        drawn = self.path.point_lines[first:end] < line
        if self.plot is not None and len(self.plot.arcs):
            return self._planned_before(
                stroke, int(drawn[~self.path.inner_points[first:end]].sum())
            )
        return float(np.hypot(*np.diff(points[drawn], axis=0).T).sum()) if drawn.any() else 0.0

    def _planned_before(self, stroke: int, said: int) -> float:
        """How many mm of a stroke of the plot its first ``said`` points are along it: a bit less
        than along its arcs, as its own points on them have chords between them.
        """
        assert self.plot is not None
        first = int(self.plot.drawing.offsets[stroke])
        if said < 1:
            return 0.0
        last = self._rows[np.searchsorted(self._rows, first) + said - 1]
        points = self.plot.drawing.points[first : last + 1]
        return float(np.hypot(*np.diff(points, axis=0).T).sum())

    def check_immediate(self) -> None:
        """Refuse a program that holds a character which the controller hears at once."""
        dialogue = self.machine.dialogue
        for sign in dialogue.immediate if dialogue is not None else "":
            if sign in self.text:
                line = self.text.count("\n", 0, self.text.index(sign)) + 1
                raise InvalidValue(
                    f"line {line} holds {sign!r}, which the controller hears at once wherever it "
                    f"stands; take it out",
                    name="file",
                    line=line,
                )


def _next(sorted_lines: IntArray, lines: IntArray) -> IntArray:
    """The first of some lines after each line; a number beyond all lines where there is none."""
    padded = np.append(sorted_lines, np.iinfo(np.int64).max)
    return np.asarray(padded[np.searchsorted(sorted_lines, lines, side="right")])
