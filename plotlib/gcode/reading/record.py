"""Taking notes while a program is interpreted, and making the Toolpath of them."""

from __future__ import annotations

import math
from array import array
from typing import TYPE_CHECKING, Any

import numpy as np

from plotlib.arrays.ragged import offsets_of
from plotlib.checks import BoolArray, FloatArray, IntArray
from plotlib.gcode.reading.arcs import Arc, Point
from plotlib.gcode.reading.levelling import levelled
from plotlib.gcode.reading.places import Places
from plotlib.gcode.reading.plain import Source, Span
from plotlib.gcode.reading.rounds import Rounds, Walked
from plotlib.gcode.reading.undoing import Bed
from plotlib.gcode.toolpath import (
    Dwells,
    Finish,
    Glimpses,
    Moves,
    PenChanges,
    Stops,
    Toolpath,
)
from plotlib.machine import Machine

if TYPE_CHECKING:
    from plotlib.gcode.reading.automaton_kernel import Notes


class Record:
    """Notes in controller millimetres; ``toolpath`` turns them into bed millimetres."""

    def __init__(self, source: Source) -> None:
        self.source = source
        self._spans: array[float] = array("d")  # one Span after another
        self._plain = 0  # moves of the spans
        self.x: array[float] = array("d")  # of each move: where it ends, its feed, line and kind
        self.y: array[float] = array("d")
        self.feed: array[float] = array("d")
        self.line: array[int] = array("q")
        self.motion: array[int] = array("b")
        self.jumps: dict[int, Point] = {}  # moves that do not start where the one before ended
        self.glimpses: list[tuple[int, float, float]] = []  # half-known places
        self._arcs: array[float] = array("d")  # line, start, centre, side of each, as in `Replay`
        self.runs: array[float] = array("d")  # first move, line, x and y where the pen went down
        self.ends: array[int] = array("q")  # of each stroke: the move before which the pen went up
        self._pens: array[float] = array("d")  # line, down, known, whole, height, feed
        self._heights: array[float] = array("d")  # line, and Z after it
        self.stops: list[tuple[int, float, float, bool, str]] = []
        self.dwells: array[float] = array("d")  # line, seconds
        self.said: dict[str, list[int]] = {}

    def move(self, x: float, y: float, line: int, *, motion: int, feed: float) -> None:
        self.x.append(x)
        self.y.append(y)
        self.feed.append(feed)
        self.line.append(line)
        self.motion.append(motion)

    def arc(self, arc: Arc, line: int, *, feed: float) -> None:
        """One move until its chords are made, with those of all others."""
        side = math.copysign(1.0, arc.sweep)
        self._arcs.extend((line, *arc.start, *arc.centre, side))
        self.move(*arc.end, line, motion=2 if side < 0 else 3, feed=feed)

    def span(self, span: Span) -> None:
        self._spans.extend(span)
        self._plain += span.end - span.first

    def repeated(self, notes: Notes) -> None:
        """Many notes at once."""
        spanned, changed, waited, begun, ended = notes.counts
        spans = notes.spans[:spanned]
        self._spans.frombytes(spans.tobytes())
        self._pens.frombytes(notes.pens[:changed].tobytes())
        self.dwells.frombytes(notes.dwells[:waited].tobytes())
        self.runs.frombytes(notes.runs[:begun].tobytes())
        self.ends.frombytes(notes.ends[:ended].tobytes())
        self._plain += int((spans[:, 1] - spans[:, 0]).sum())

    @property
    def count(self) -> int:
        """How many moves there are so far, one for each line."""
        return len(self.x) + self._plain

    def jump(self, x: float, y: float) -> None:
        """The next move starts here (not a number: at an unknown place)."""
        self.jumps[self.count] = (x, y)

    def glimpse(self, x: float, y: float, line: int) -> None:
        """A place of which one coordinate is unknown (not a number), or both."""
        self.glimpses.append((line, x, y))

    def lowered(self, x: float, y: float, line: int) -> None:
        self.runs.extend((self.count, line, x, y))

    @property
    def is_drawing(self) -> bool:
        """Whether the last stroke has no end yet."""
        return len(self.runs) > 4 * len(self.ends)

    def pen(self, line: int, down: bool | None, whole: bool, *, height: float, feed: float) -> None:
        self._pens.extend((line, bool(down), down is not None, whole, height, feed))

    def height(self, line: int, z: float) -> None:
        """Where Z stands after a line."""
        self._heights.extend((line, z))

    def dwell(self, line: int, seconds: float) -> None:
        self.dwells.extend((line, seconds))

    def raised(self) -> None:
        self.ends.append(self.count)

    def say(self, word: str, line: int) -> None:
        self.said.setdefault(word, []).append(line)

    @property
    def last_move(self) -> int:
        """The line of the last move, from 1; 0 before the first."""
        plain = int(self._spans[1 - len(Span._fields)]) if self._spans else 0
        return max(plain, self.line[-1] if self.line else 0)

    @property
    def is_change_last(self) -> bool:
        """Whether a change of the pen came after the last move."""
        return bool(self._pens) and self._pens[-6] > self.last_move

    @property
    def is_inked_last(self) -> bool:
        """Whether the last stroke has an end, and after the last stop the pen has drawn a line."""
        if not self.runs or self.is_drawing:
            return False
        has_line = self.ends[-1] > self.runs[-4]
        return not self.stops or (has_line and self.runs[-3] > self.stops[-1][0])

    def rest(self, source: Source, place: tuple[float, float]) -> Record:
        """A record that goes on from here in a source that begins after the last move: the pen and
        the dwells since then are its first notes.
        """
        done = self.last_move
        record = Record(source)
        record.jump(*place)
        for name, columns in (("_pens", 6), ("dwells", 2), ("_heights", 2)):
            table = _table(getattr(self, name), columns)
            since = table[table[:, 0] > done]
            since[:, 0] -= done
            getattr(record, name).frombytes(since.tobytes())
        return record

    def toolpath(self, machine: Machine, places: Places, finish: Finish) -> Toolpath:
        walked, rounds = self._walked()
        spots, feed, line, motion = walked
        jumps = self._jumps(rounds)
        bed = Bed(machine, spots, jumps)
        ends = bed.places(spots, np.arange(1, len(spots) + 1))
        changes = self._changes(bed, spots, jumps, line)
        del spots, walked  # as large as the rest of a program
        runs = _table(self.runs, 4)
        first = rounds.after(runs[:, 0].astype(np.int64))
        last = np.full(len(first), len(ends))
        last[: len(self.ends)] = rounds.after(np.asarray(self.ends, np.int64))
        starts = _starts(ends, bed, jumps)
        arc, length = rounds.measured(np.hypot(*(ends - starts).T))
        rapid = motion == 0
        feed[rapid] = math.nan
        down = _within(first, last, len(ends))
        moves = Moves(starts, ends, length, feed, rapid, arc, down, line, self._climb(line))
        offsets = offsets_of(last - first + 1)
        points = _interleaved(bed.places(runs[:, 2:], first), ends[down], offsets)
        point_lines = _interleaved(runs[:, 1].astype(np.int64), line[down], offsets)
        heights = levelled(self._z(point_lines), points, machine)
        before = (places.epilogue or (np.inf,))[0]
        done = np.array([int((line < before).sum()), len(line)])
        stood = np.array([finish.place, finish.end_place])
        place, end_place = bed.places(stood, done).tolist()
        finish = Finish(tuple(place), finish.down, tuple(end_place), finish.end_down)
        tables = (changes, self._stops(bed, line), self._dwells(), self._said())
        glimpses = self._glimpses(bed, line)
        path = Toolpath(
            points,
            offsets,
            point_lines,
            heights,
            moves,
            *tables,
            places,
            finish,
            glimpses,
            rounds.turns(bed),
        )
        _freeze(path)
        return path

    def _walked(self) -> tuple[Walked, Rounds]:
        """All moves in their order, arcs in chords."""
        plain = self.source.moves(_table(self._spans, len(Span._fields)))
        walked = Walked(plain.spots, plain.feed, plain.line, plain.motion)
        arcs = plain.arcs
        if len(self.line):
            walked = self._merged(walked)
            arcs = np.concatenate([arcs, _table(self._arcs, 6)])
            arcs = arcs[np.argsort(arcs[:, 0], kind="stable")]
        rounds = Rounds.of(arcs, walked)
        return rounds.chorded(walked), rounds

    def _merged(self, plain: Walked) -> Walked:
        """The moves of plain lines among the others; of each line there is one at most."""
        others = Walked(
            np.column_stack([self.x, self.y]),
            np.array(self.feed),
            np.array(self.line, np.int64),
            np.array(self.motion, np.int8),
        )
        at = np.searchsorted(plain.line, others.line)
        return Walked(
            *(
                np.insert(column, at, other, axis=0)
                for column, other in zip(plain, others, strict=True)
            )
        )

    def _z(self, lines: IntArray) -> FloatArray:
        """Z (n,) after each of the lines; not a number before anything said it, nor on machines
        that do not follow their beds.
        """
        if not self._heights:
            return np.broadcast_to(np.float64(math.nan), lines.shape)
        said, z = _table(self._heights, 2).T
        last = np.searchsorted(said, lines, side="right")
        return np.concatenate([[math.nan], z])[last]

    def _climb(self, line: IntArray) -> FloatArray:
        """Z (n, 2) before and after each of the lines."""
        if not self._heights:
            return np.broadcast_to(np.float64(math.nan), (len(line), 2))
        return np.column_stack([self._z(line - 1), self._z(line)])

    def _jumps(self, rounds: Rounds) -> dict[int, Point]:
        """The jumps among moves of which arcs are several."""
        index = rounds.after(np.array(list(self.jumps), np.int64))
        return dict(zip(index.tolist(), self.jumps.values(), strict=True))

    def _changes(
        self, bed: Bed, spots: FloatArray, jumps: dict[int, Point], line: IntArray
    ) -> PenChanges:
        """The changes of the pen; over a bed that is not flat, whether they are whole is told by
        the height over it.
        """
        at, down, known, whole, height, feed = _table(self._pens, 6).T
        lines = at.astype(np.int64)
        is_whole = whole > 0
        lift = bed.machine.lift.heights
        if bed.machine.height_map is not None and lift is not None:
            done = np.searchsorted(line, lines, side="right")
            places = bed.places(_stands(spots, jumps)[done], done)
            is_down = levelled(self._z(lines), places, bed.machine) == lift.down
            is_whole = np.where(down > 0, is_down, is_whole)
        return PenChanges(lines, down > 0, known > 0, is_whole, height.copy(), feed.copy())

    def _stops(self, bed: Bed, line: IntArray) -> Stops:
        done = np.searchsorted(line, [stop[0] for stop in self.stops])
        spots = np.array([stop[1:3] for stop in self.stops], np.float64).reshape(-1, 2)
        places = bed.places(spots, done)
        down = np.array([stop[3] for stop in self.stops], np.bool_)
        return Stops(
            np.array([stop[0] for stop in self.stops], np.int64),
            places,
            down,
            tuple(stop[4] for stop in self.stops),
        )

    def _glimpses(self, bed: Bed, line: IntArray) -> Glimpses:
        table = np.array(self.glimpses, np.float64).reshape(-1, 3)
        at = table[:, 0].astype(np.int64)
        return Glimpses(at, bed.places(table[:, 1:], np.searchsorted(line, at)))

    def _dwells(self) -> Dwells:
        line, seconds = _table(self.dwells, 2).T
        return Dwells(line.astype(np.int64), seconds.copy())

    def _said(self) -> dict[str, IntArray]:
        said = {word: np.array(lines, np.int64) for word, lines in self.said.items()}
        first, end = _table(self._spans, len(Span._fields))[:, :2].astype(np.int64).T
        plain = _within(first, end, len(self.source.lines)) & ~np.isnan(self.source.feed)
        return said | {
            "F": np.sort(
                np.concatenate([np.flatnonzero(plain) + 1, said.get("F", np.zeros(0, np.int64))])
            )
        }


def _starts(ends: FloatArray, bed: Bed, jumps: dict[int, Point]) -> FloatArray:
    """Where each move (K, 2) starts: where the one before ended, but for the jumps."""
    starts = np.concatenate([ends[:1], ends[:-1]])
    for index, spot in jumps.items():
        if index < len(ends):
            known = bed.places(np.array([spot]), np.zeros(1, np.int64))[0]
            starts[index] = ends[index] if np.isnan(known).any() else known
    return starts


def _stands(spots: FloatArray, jumps: dict[int, Point]) -> FloatArray:
    """Where the carriage stands (K + 1, 2) after so many moves, as the controller counts."""
    stands = np.vstack([[math.nan, math.nan], spots])
    for index, spot in jumps.items():
        stands[index] = spot
    return stands


def _table(flat: array[float], columns: int) -> FloatArray:
    """Notes written one after another as rows, not copied; line numbers are exact in floats."""
    return np.asarray(memoryview(flat), np.float64).reshape(-1, columns)


def _within(first: IntArray, last: IntArray, count: int) -> BoolArray:
    """Which of ``count`` moves lie in one of the runs first … last - 1."""
    steps = np.zeros(count + 1, np.int32)
    np.add.at(steps, first, 1)
    np.add.at(steps, last, -1)
    np.cumsum(steps, out=steps)
    return np.asarray(steps[:-1] > 0)


def _interleaved(heads: Any, rows: Any, offsets: IntArray) -> Any:
    """Ragged rows (N, …): each run is its head and then its own rows; run k stands in the rows
    ``offsets[k]`` … ``offsets[k + 1] - 1``.
    """
    is_head = np.zeros(offsets[-1], np.bool_)
    is_head[offsets[:-1]] = True
    out = np.empty((len(is_head), *heads.shape[1:]), heads.dtype)
    out[is_head] = heads
    out[~is_head] = rows
    return out


def _freeze(path: Toolpath) -> None:
    tables = (path.moves, path.pens, path.stops, path.dwells, path.glimpses, path.turns)
    arrays = [
        value for table in tables for value in vars(table).values() if isinstance(value, np.ndarray)
    ]
    own = (path.points, path.offsets, path.point_lines, path.heights)
    for value in (*arrays, *own, *path.said.values()):
        value.flags.writeable = False
