"""Wet ink: an order in which no stroke touches it, as far as an order can, and what is left.

Two strokes touch if their ink does, half the widths of their pens included. A stroke keeps clear of
wet ink if it begins ``drying`` seconds or more after each earlier stroke that it touches has ended;
that a stroke crosses itself does not count. The order is made by list scheduling (Graham, Bell
System Technical Journal 45, 1966): the next stroke of the short order that would touch nothing wet
is drawn; where there is none, the one whose ink is nearest to dry. Its clock runs ahead of the
machine's (no travel, no acceleration, no wait for the link), so what it finds dry is dry.
"""

from __future__ import annotations

from bisect import bisect_left, insort
from heapq import heapify, heappop, heappush
from typing import TYPE_CHECKING

import numpy as np
import shapely

from plotlib.arrays.fromshapely import to_lines
from plotlib.arrays.ragged import lengths
from plotlib.checks import FloatArray, IntArray
from plotlib.errors import InvalidValue
from plotlib.machine import Machine
from plotlib.pen import Pen
from plotlib.planning.lifting import mean_seconds
from plotlib.planning.moving.feeds import stroke_feeds
from plotlib.planning.placing.fault import halves
from plotlib.planning.placing.grid import GridStrokes

if TYPE_CHECKING:
    from plotlib.planning.plot import Plot

_HAIR = 1e-9  # mm, s: what sums of decimals may be off
_CHUNK = 2_000  # strokes that are looked up at once
_MOST = 5_000_000  # pairs of strokes that touch, 80 MB


def touching(strokes: GridStrokes, pens: tuple[Pen, ...], machine: Machine) -> IntArray:
    """The pairs (K, 2) of strokes, the lower number first, whose ink touches."""
    if not len(strokes):
        return np.zeros((0, 2), np.int64)
    lines = to_lines(machine.to_mm(strokes.points), strokes.offsets)
    half = halves(strokes, pens)
    tree = shapely.STRtree(lines)
    found = []
    count = 0
    for first in range(0, len(lines), _CHUNK):
        some = slice(first, first + _CHUNK)
        reach = half[some] + half.max() + _HAIR
        one, two = tree.query(lines[some], predicate="dwithin", distance=reach)
        one = one + first
        is_once = one < two
        one = one[is_once]
        two = two[is_once]
        near = shapely.dwithin(lines[one], lines[two], half[one] + half[two] + _HAIR)
        found.append(np.stack([one[near], two[near]], axis=1))
        count += len(found[-1])
        if count > _MOST:
            raise InvalidValue(
                f"drying: more than {_MOST:,} pairs of strokes touch, too many to keep apart; "
                f"plan without drying, or draw fewer strokes across each other",
                name="drying",
            )
    pairs: IntArray = np.concatenate(found)
    return pairs


def dried(
    strokes: GridStrokes,
    blocks: IntArray,
    pens: tuple[Pen, ...],
    machine: Machine,
    drying: float,
) -> IntArray:
    """The numbers (M,) of ordered strokes in an order that keeps clear of wet ink where it can;
    each block (M,) of equal labels stays where it is.
    """
    pairs = touching(strokes, pens, machine)
    both = np.concatenate([pairs, pairs[:, ::-1]])
    both = both[np.argsort(both[:, 0], kind="stable")]
    parts = np.split(both[:, 1], np.searchsorted(both[:, 0], np.arange(1, len(strokes))))
    feeds = stroke_feeds(strokes.points, strokes.offsets, strokes.pen_index, pens, machine)
    mm = lengths(machine.to_mm(strokes.points), strokes.offsets)
    lifts = [pen.lift or machine.lift for pen in pens]
    gap = min((lift.seconds_up + lift.seconds_down for lift in lifts), default=0.0)
    bench = _Bench(parts, mm / feeds * 60.0, gap, drying)
    edges = np.flatnonzero(np.diff(blocks)) + 1
    for block in np.split(np.arange(len(strokes)), edges):
        bench.draw(block.tolist())
    return np.array(bench.sequence, np.int64)


class _Bench:
    """What is drawn so far, by the clock that runs ahead.

    ``ready`` says from when on each stroke would touch nothing wet; it only ever grows, so a key in
    the heap ``waiting`` is never too late, and one that is too early is pushed again.
    """

    def __init__(
        self, touched: list[IntArray], seconds: FloatArray, gap: float, drying: float
    ) -> None:
        self.touched = touched
        self.seconds = seconds.tolist()
        self.gap = gap
        self.drying = drying
        self.ready = np.zeros(len(touched))
        self.now = 0.0
        self.sequence: list[int] = []

    def draw(self, block: list[int]) -> None:
        """All strokes of a block."""
        waiting = [(float(self.ready[stroke]), stroke) for stroke in block]
        heapify(waiting)
        free: list[int] = []  # sorted
        place = 0
        while free or waiting:
            start = self.now + self.gap
            while waiting and waiting[0][0] <= start:
                self._sort_in(heappop(waiting)[1], start, free, waiting)
            if free:
                at = bisect_left(free, place) % len(free) if free[-1] >= place else 0
                stroke = free.pop(at)
                if self.ready[stroke] > start:
                    heappush(waiting, (float(self.ready[stroke]), stroke))
                    continue
            else:
                stroke = self._nearest_to_dry(waiting)
            self._drawn(stroke, start)
            place = stroke

    def _sort_in(
        self, stroke: int, start: float, free: list[int], waiting: list[tuple[float, int]]
    ) -> None:
        if self.ready[stroke] > start:
            heappush(waiting, (float(self.ready[stroke]), stroke))
        else:
            insort(free, stroke)

    def _nearest_to_dry(self, waiting: list[tuple[float, int]]) -> int:
        while True:
            key, stroke = heappop(waiting)
            if self.ready[stroke] <= key:
                return stroke
            heappush(waiting, (float(self.ready[stroke]), stroke))

    def _drawn(self, stroke: int, start: float) -> None:
        self.now = start + self.seconds[stroke]
        self.ready[self.touched[stroke]] = self.now + self.drying
        self.sequence.append(stroke)


def wet_note(plot: Plot, drying: float) -> list[str]:
    """Which strokes of a plot touch wet ink all the same, by the times of the plot."""
    drawing = plot.drawing
    strokes = GridStrokes(plot.machine.to_units(drawing.points), drawing.offsets, drawing.pen_index)
    pairs = touching(strokes, drawing.pens, plot.machine)
    begins, ends = _spans(plot)
    age = begins[pairs[:, 1]] - ends[pairs[:, 0]]
    wet = age < drying - _HAIR
    if not wet.any():
        return []
    late = np.unique(pairs[wet, 1])
    worst = int(np.argmin(age))
    before, stroke = pairs[worst].tolist()
    first = int(late[0])
    return [
        f"{len(late):,} of {len(drawing):,} strokes touch ink that has not dried for {drying:g} s, "
        f"the wettest {age[worst]:.1f} s old (stroke {stroke} on stroke {before}); to let it dry, "
        f"draw plot.part(strokes=slice(0, {first})), wait, and go on with plot.part(since={first})"
    ]


def _spans(plot: Plot) -> tuple[FloatArray, FloatArray]:
    """When each stroke (M,) begins and ends, in s, without waits for the link or the user."""
    drawing = plot.drawing
    up, down = mean_seconds(drawing.pens, drawing.pen_index, plot.machine)
    total = np.concatenate([[0.0], np.cumsum(plot.times.moves)])
    draws = total[drawing.offsets[1:]] - total[drawing.offsets[:-1]]
    stroke = plot.legs.stroke
    leads = stroke >= 0
    spent = np.zeros(len(stroke))
    spent[leads] = down + draws[stroke[leads]] + up
    begins = np.zeros(len(draws))
    begins[stroke[leads]] = (np.cumsum(plot.times.ways + spent) - spent + down)[leads]
    return begins, begins + draws
