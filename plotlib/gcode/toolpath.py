"""The Toolpath: what a program makes the carriage and the pen do, as arrays, every event with the
line that causes it.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from plotlib.arrays import ragged
from plotlib.checks import BoolArray, FloatArray, IntArray, counted
from plotlib.drawing import Bounds, Drawing
from plotlib.gcode.reading.places import Places
from plotlib.pen import Pen


@dataclass(frozen=True)
class Moves:
    """Straight moves (K) in the XY plane, arcs in chords.

    Attributes
    ----------
    start, end : (K, 2) bed mm; a move from an unknown place starts at its end.
    length : (K,) mm, measured along the arc where there is one.
    feed : (K,) mm/min; not a number for G0 and where none was said.
    rapid, arc, down : (K,) whether by G0, whether a chord of an arc, whether with the pen down.
    line : (K,) counted from 1.
    climb : (K, 2) Z in mm at both ends, as the controller counts; not a number where unknown.
    """

    start: FloatArray
    end: FloatArray
    length: FloatArray
    feed: FloatArray
    rapid: BoolArray
    arc: BoolArray
    down: BoolArray
    line: IntArray
    climb: FloatArray


@dataclass(frozen=True)
class PenChanges:
    """Words about the pen (P), also those that change nothing.

    Attributes
    ----------
    line : (P,) counted from 1.
    down : (P,) whether the pen is down after it; what is not exactly up is down.
    known : (P,) False where the words leave the pen's state unknown.
    whole : (P,) whether the change is one that the machine declares, said in full.
    height, feed : (P,) Z in mm and its feed in mm/min (not a number for G0); not a number for a
    servo.
    """

    line: IntArray
    down: BoolArray
    known: BoolArray
    whole: BoolArray
    height: FloatArray
    feed: FloatArray


@dataclass(frozen=True)
class Stops:
    """Stops for the operator (S): line, place (S, 2) in bed mm, pen state there, message."""

    line: IntArray
    place: FloatArray
    down: BoolArray
    messages: tuple[str, ...]


@dataclass(frozen=True)
class Dwells:
    """Dwells (D): line and seconds."""

    line: IntArray
    seconds: FloatArray


@dataclass(frozen=True)
class Glimpses:
    """Ends of pen-up moves (G) of which one coordinate is unknown: line, place (G, 2) in bed mm,
    not a number where unknown.
    """

    line: IntArray
    place: FloatArray


@dataclass(frozen=True)
class Turns:
    """Arcs (A): the moves ``first`` … ``end - 1`` are the chords of one.

    Attributes
    ----------
    first, end : (A,)
    centre : (A, 2) bed mm.
    side : (A,) 1 for a turn to the left as it lies on the bed (counter-clockwise), -1 to the right.
    """

    first: IntArray
    end: IntArray
    centre: FloatArray
    side: IntArray


@dataclass(frozen=True)
class Finish:
    """How things stand before the epilogue and at the end: places in bed mm, pen states (None:
    unknown).
    """

    place: tuple[float, float]
    down: bool | None
    end_place: tuple[float, float]
    end_down: bool | None


@dataclass(frozen=True)
class Toolpath:
    """What a program does on one machine; made by ``read``.

    Attributes
    ----------
    points, offsets : (N, 2) bed mm and (M + 1,)
        Every pen-down run from the place where the pen went down, repeated points included.
    point_lines : (N,)
        The line that puts the pen on each point.
    heights : (N,)
        Z in mm on each point, the shape of the bed taken out; not a number without a Z axis.
    moves, pens, stops, dwells
        The events, each with its line.
    said : dict of str to (n,) arrays
        The lines that say a feed ("F") or a mode ("G90", "G21", …).
    places : Places
        Where the program says its machine's declared lines.
    finish : Finish
        How things stand at the end.
    glimpses : Glimpses
        Places known along one axis only, after words that leave the position unknown.
    turns : Turns
        The arcs among the moves.
    """

    points: FloatArray
    offsets: IntArray
    point_lines: IntArray
    heights: FloatArray
    moves: Moves
    pens: PenChanges
    stops: Stops
    dwells: Dwells
    said: dict[str, IntArray]
    places: Places
    finish: Finish
    glimpses: Glimpses
    turns: Turns

    @cached_property
    def inner_moves(self) -> BoolArray:
        """Which moves (K,) end inside an arc, so that no line of the program ends there."""
        steps = np.zeros(len(self.moves.line) + 1, np.int64)
        np.add.at(steps, self.turns.first, 1)
        np.add.at(steps, self.turns.end - 1, -1)
        return np.asarray(np.cumsum(steps)[:-1] > 0)

    @cached_property
    def inner_points(self) -> BoolArray:
        """Which points (N,) lie inside an arc."""
        return self._of_points(self.inner_moves)

    @cached_property
    def bent_points(self) -> BoolArray:
        """Which points (N,) arcs lead to, those inside them among them."""
        return self._of_points(self.moves.arc)

    def _of_points(self, moves: BoolArray) -> BoolArray:
        """What is known of moves (K,) for the points (N,) that they lead to."""
        result = np.zeros(len(self.points), np.bool_)
        rows = np.ones(len(self.points), np.bool_)
        rows[self.offsets[:-1]] = False
        result[rows] = moves[self.moves.down]
        return result

    @cached_property
    def drawing(self) -> Drawing:
        """The ink in bed mm: a stroke for each pen-down run, a dot where the pen goes down without
        moving.

        All strokes are of the default pen, or, where stops part them, of "pen 1", "pen 2" and so
        on.
        """
        points, offsets = ragged.without_repeats(self.points, self.offsets)
        group = np.unique(self.stops_before, return_inverse=True)[1]
        if not len(group) or not group[-1]:
            return Drawing.from_arrays(points, offsets)
        ends = [*np.flatnonzero(np.diff(group, prepend=-1)), len(group)]
        parts = []
        for number, (first, last) in enumerate(itertools.pairwise(ends), 1):
            low = offsets[first]
            high = offsets[last]
            parts.append(
                Drawing.from_arrays(
                    points[low:high].copy(),
                    offsets[first : last + 1] - low,
                    pen=Pen(f"pen {number}"),
                )
            )
        return Drawing(parts)

    @property
    def stops_before(self) -> IntArray:
        """How many stops (M,) come before each stroke."""
        return np.searchsorted(self.stops.line, self.point_lines[self.offsets[:-1]]).astype(
            np.int64
        )

    @property
    def bounds(self) -> Bounds | None:
        """(left, bottom, right, top) of all motion in bed mm, travel and the bulge of arcs
        included; None without motion, not a number along an axis of which nothing is known.
        """
        places = (self.moves.start, self.moves.end, self.points, self.glimpses.place)
        boxes = [(table.min(axis=0), table.max(axis=0)) for table in places[:3] if len(table)]
        boxes += [(row, row) for row in self.glimpses.place]
        if not boxes:
            return None
        low, high = zip(*boxes, strict=True)
        left, bottom = np.fmin.reduce(low).tolist()
        right, top = np.fmax.reduce(high).tolist()
        return left, bottom, right, top

    @property
    def travel(self) -> float:
        """Length of the pen-up moves in mm."""
        return float(self.moves.length[~self.moves.down].sum())

    @property
    def ink(self) -> float:
        """Length of the pen-down moves in mm."""
        return float(self.moves.length[self.moves.down].sum())

    @property
    def lifts(self) -> int:
        """How often the pen rises after a stroke."""
        return len(self) - (self.finish.end_down is True)

    def __len__(self) -> int:
        """The number of strokes."""
        return len(self.offsets) - 1

    def __repr__(self) -> str:
        return (
            f"<Toolpath: {counted(len(self), 'stroke')}, {self.ink:,.1f} mm of ink, "
            f"{self.travel:,.1f} mm of travel, {counted(self.lifts, 'lift')}>"
        )
