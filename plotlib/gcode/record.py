"""Taking notes while a program is interpreted, and making the Toolpath of them."""

from __future__ import annotations

import math
from array import array
from typing import Any

import numpy as np

from plotlib.arrays.ragged import offsets_of
from plotlib.checks import BoolArray, FloatArray, IntArray
from plotlib.gcode.places import Places
from plotlib.gcode.plain import Source, Span
from plotlib.gcode.toolpath import Dwells, Finish, Glimpses, Moves, PenChanges, Stops, Toolpath
from plotlib.machine import Machine

_SNAP = 1e-9  # mm: coordinates this near to the machine's grid are the grid's own floats


class Record:
    """Notes in controller millimetres; ``toolpath`` turns them into bed millimetres."""

    def __init__(self, source: Source) -> None:
        self._source = source
        self._spans: list[Span] = []
        self._plain = 0  # moves of the spans
        self.x: array[float] = array("d")  # of each move: where it ends, its feed, line and kind
        self.y: array[float] = array("d")
        self.feed: array[float] = array("d")
        self.line: array[int] = array("q")
        self.rapid: array[int] = array("b")
        self.jumps: dict[
            int, tuple[float, float]
        ] = {}  # moves that do not start where the one before ended
        self.glimpses: list[tuple[int, float, float]] = []  # half-known places
        self.arcs: list[tuple[int, int, float]] = []  # first move, number of chords, length
        self.runs: list[
            tuple[int, int, float, float]
        ] = []  # of each stroke: first move, line, where the pen went down
        self.ends: list[int] = []  # of each stroke: the move before which the pen went up
        self.pens: list[tuple[int, bool | None, bool, float, float]] = []
        self.stops: list[tuple[int, float, float, bool, str]] = []
        self.dwells: list[tuple[int, float]] = []
        self.said: dict[str, list[int]] = {}

    def move(self, x: float, y: float, line: int, *, rapid: bool, feed: float) -> None:
        self.x.append(x)
        self.y.append(y)
        self.feed.append(feed)
        self.line.append(line)
        self.rapid.append(rapid)

    def arc(self, points: FloatArray, line: int, *, feed: float, length: float) -> None:
        self.arcs.append((self.count, len(points), length))
        for x, y in points.tolist():
            self.move(x, y, line, rapid=False, feed=feed)

    def span(self, span: Span) -> None:
        self._spans.append(span)
        self._plain += span.end - span.first

    @property
    def count(self) -> int:
        """How many moves there are so far."""
        return len(self.x) + self._plain

    def jump(self, x: float, y: float) -> None:
        """The next move starts here (not a number: at an unknown place)."""
        self.jumps[self.count] = (x, y)

    def glimpse(self, x: float, y: float, line: int) -> None:
        """A place of which one coordinate is unknown (not a number), or both."""
        self.glimpses.append((line, x, y))

    def lowered(self, x: float, y: float, line: int) -> None:
        self.runs.append((self.count, line, x, y))

    def raised(self) -> None:
        self.ends.append(self.count)

    def say(self, word: str, line: int) -> None:
        self.said.setdefault(word, []).append(line)

    def toolpath(self, machine: Machine, places: Places, finish: Finish) -> Toolpath:
        spots, feed, line, rapid = self._merged()
        ends = _to_bed(spots, machine)
        first = np.array([run[0] for run in self.runs], np.int64)
        last = np.array(self.ends + [len(ends)] * (len(first) - len(self.ends)), np.int64)
        starts = self._starts(ends, machine)
        arc, length = self._lengths(starts, ends)
        moves = Moves(
            starts,
            ends,
            length,
            np.where(rapid, math.nan, feed),
            rapid,
            arc,
            _within(first, last, len(ends)),
            line,
        )
        lowered = _to_bed(
            np.array([run[2:] for run in self.runs], np.float64).reshape(-1, 2), machine
        )
        at = np.array([run[1] for run in self.runs], np.int64)
        points, offsets = _interleaved(lowered, ends, first, last)
        point_lines = _interleaved(at[:, None], line[:, None], first, last)[0][:, 0]
        place, end_place = (
            _to_bed(np.array([spot]), machine)[0].tolist()
            for spot in (finish.place, finish.end_place)
        )
        finish = Finish(tuple(place), finish.down, tuple(end_place), finish.end_down)
        tables = (self._pens(), self._stops(machine), self._dwells(), self._said())
        path = Toolpath(
            points, offsets, point_lines, moves, *tables, places, finish, self._glimpses(machine)
        )
        _freeze(path)
        return path

    def _starts(self, ends: FloatArray, machine: Machine) -> FloatArray:
        starts = np.concatenate([ends[:1], ends[:-1]])
        for index, spot in self.jumps.items():
            if index < len(ends):
                known = _to_bed(np.array([spot]), machine)[0]
                starts[index] = ends[index] if np.isnan(known).any() else known
        return starts

    def _merged(self) -> tuple[FloatArray, FloatArray, IntArray, BoolArray]:
        """End, feed, line and kind of all moves, those of plain lines among the others."""
        x, y, feed, line, rapid = self._source.moves(self._spans)
        others = (
            np.array(self.x),
            np.array(self.y),
            np.array(self.feed),
            np.array(self.line, np.int64),
            np.array(self.rapid, np.bool_),
        )
        columns = [
            np.concatenate(pair) for pair in zip((x, y, feed, line, rapid), others, strict=True)
        ]
        order = np.argsort(columns[3], kind="stable")
        x, y, feed, line, rapid = (column[order] for column in columns)
        return np.column_stack([x, y]), feed, line, rapid

    def _lengths(self, starts: FloatArray, ends: FloatArray) -> tuple[BoolArray, FloatArray]:
        """Which moves are chords of arcs, and the lengths of all, along the arc where there is
        one.
        """
        length = np.hypot(*(ends - starts).T)
        arc = np.zeros(len(ends), np.bool_)
        for first, count, whole in self.arcs:
            arc[first : first + count] = True
            chords = length[first : first + count]
            if chords.any():  # else the arc is smaller than floats can tell
                chords *= whole / chords.sum()
        return arc, length

    def _pens(self) -> PenChanges:
        line, down, whole, height, feed = zip(*self.pens, strict=True) if self.pens else ((),) * 5
        known = np.array([state is not None for state in down], np.bool_)
        states = np.array([bool(state) for state in down], np.bool_)
        return PenChanges(
            np.array(line, np.int64),
            states,
            known,
            np.array(whole, np.bool_),
            np.array(height, np.float64),
            np.array(feed, np.float64),
        )

    def _stops(self, machine: Machine) -> Stops:
        places = _to_bed(
            np.array([stop[1:3] for stop in self.stops], np.float64).reshape(-1, 2), machine
        )
        down = np.array([stop[3] for stop in self.stops], np.bool_)
        return Stops(
            np.array([stop[0] for stop in self.stops], np.int64),
            places,
            down,
            tuple(stop[4] for stop in self.stops),
        )

    def _glimpses(self, machine: Machine) -> Glimpses:
        table = np.array(self.glimpses, np.float64).reshape(-1, 3)
        return Glimpses(table[:, 0].astype(np.int64), _to_bed(table[:, 1:], machine))

    def _dwells(self) -> Dwells:
        line, seconds = zip(*self.dwells, strict=True) if self.dwells else ((), ())
        return Dwells(np.array(line, np.int64), np.array(seconds, np.float64))

    def _said(self) -> dict[str, IntArray]:
        said = {word: np.array(lines, np.int64) for word, lines in self.said.items()}
        first, end = (
            np.array([(span.first, span.end) for span in self._spans], np.int64).reshape(-1, 2).T
        )
        plain = _within(first, end, len(self._source.lines)) & ~np.isnan(self._source.feed)
        return said | {
            "F": np.sort(
                np.concatenate([np.flatnonzero(plain) + 1, said.get("F", np.zeros(0, np.int64))])
            )
        }


def _to_bed(spots: FloatArray, machine: Machine) -> FloatArray:
    """Controller millimetres (n, 2) as bed millimetres; where that is on the grid, the grid's own
    floats.
    """
    sign = np.where([machine.x.reversed, machine.y.reversed], -1.0, 1.0)
    bed: FloatArray = np.asarray(machine.zero) + sign * spots
    scale = 10.0**machine.decimals
    near = np.rint(bed * scale) / scale + 0.0
    return np.where(np.abs(near - bed) <= _SNAP, near, bed)


def _within(first: IntArray, last: IntArray, count: int) -> BoolArray:
    """Which of ``count`` moves lie in one of the runs first … last - 1."""
    steps = np.zeros(count + 1, np.int64)
    np.add.at(steps, first, 1)
    np.add.at(steps, last, -1)
    return np.asarray(np.cumsum(steps)[:-1] > 0)


def _interleaved(heads: Any, rows: Any, first: IntArray, last: IntArray) -> tuple[Any, IntArray]:
    """Ragged rows: each run is its head and then its rows first … last - 1."""
    counts = last - first + 1
    offsets = offsets_of(counts)
    step = np.arange(offsets[-1]) - np.repeat(offsets[:-1], counts)
    picked = np.repeat(first, counts) + step - 1
    out = (
        rows[np.maximum(picked, 0)]
        if len(rows)
        else np.zeros((len(picked), *heads.shape[1:]), heads.dtype)
    )
    out[offsets[:-1]] = heads
    return out, offsets


def _freeze(path: Toolpath) -> None:
    tables = (path.moves, path.pens, path.stops, path.dwells, path.glimpses)
    arrays = [
        value for table in tables for value in vars(table).values() if isinstance(value, np.ndarray)
    ]
    for value in (*arrays, path.points, path.offsets, path.point_lines, *path.said.values()):
        value.flags.writeable = False
