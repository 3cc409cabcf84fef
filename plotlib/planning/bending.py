"""Arcs in a plot: runs of points that a machine with ``arcs`` draws by one line each.

Between the ends of an arc the plot holds points of the arc itself, rounded to the grid, so that its
drawing is what the machine draws. An arc is whole numbers all through: its ends are points of the
strokes as they were, its centre lies on the grid.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely

from plotlib.arrays import ragged
from plotlib.arrays.arcs import Runs, inner_points, runs_on_arcs, sweeps
from plotlib.checks import BoolArray, FloatArray, IntArray
from plotlib.machine import Machine
from plotlib.machine.longest import LARGEST_RADIUS
from plotlib.pen import Pen
from plotlib.planning.placing.envelope import ROUNDING
from plotlib.planning.placing.fault import halves
from plotlib.planning.placing.grid import GridStrokes, seats
from plotlib.sheet import Sheet

# mm that the distances of both ends from the centre may differ: less than the 0.002 of RS274NGC
# (NISTIR 6556, section 3.5.3.2), so that no rounding on the way makes more of it.
UNEVEN = 0.0019
CHORD = 0.01  # mm: how far the chords of a plot may lie from its arcs
_QUARTERS = 3  # an arc turns by three quarters at most, or is a full circle
_HAIR = 1e-6  # units: what sums of floats may be off
_NEAR = 0.005  # mm that an arc keeps from what its lines may touch: chords of arcs lie inside them


@dataclass(frozen=True, eq=False)
class Arcs:
    """The arcs (A) of a plot.

    Attributes
    ----------
    first, last : ndarray (A,) of int64
        The rows of the plot's points where each begins and ends; equal places are a full circle.
    centre : ndarray (A, 2) of int64
        In grid units, where the carriage stands.
    side : ndarray (A,) of int64
        1 for a turn to the left (counter-clockwise), -1 to the right.
    """

    first: IntArray
    last: IntArray
    centre: IntArray
    side: IntArray

    def __len__(self) -> int:
        return len(self.first)

    def inner(self, count: int) -> BoolArray:
        """Which of so many points lie inside arcs: no line of a program ends there."""
        steps = np.zeros(count + 1, np.int64)
        np.add.at(steps, self.first + 1, 1)
        np.add.at(steps, self.last, -1)
        return np.asarray(np.cumsum(steps)[:-1] > 0)

    def strokes(self, offsets: IntArray) -> BoolArray:
        """Which strokes (M,) have arcs."""
        result = np.zeros(len(offsets) - 1, np.bool_)
        result[np.searchsorted(offsets, self.first, side="right") - 1] = True
        return result

    def chosen(self, kept: BoolArray) -> Arcs:
        """Only some of them (A,)."""
        return Arcs(self.first[kept], self.last[kept], self.centre[kept], self.side[kept])


def none() -> Arcs:
    """No arcs."""
    empty = np.zeros(0, np.int64)
    return Arcs(empty, empty, np.zeros((0, 2), np.int64), empty)


def bent(
    strokes: GridStrokes,
    pens: tuple[Pen, ...],
    machine: Machine,
    sheet: Sheet | None,
    *,
    margin: bool = False,
) -> tuple[GridStrokes, Arcs]:
    """Strokes of the carriage with their arcs, where the machine draws such and they stay inside
    the envelope as they are drawn, with ``margin`` out of the sheet's margin too; the others are as
    they were.
    """
    from plotlib.arrays.arcs_kernel import Rules

    if not machine.writes_arcs or not len(strokes):
        return strokes, none()
    scale = 10.0**machine.decimals
    tolerance = machine.arc_tolerance * scale
    rules = Rules(tolerance, tolerance, 1.0, UNEVEN * scale, LARGEST_RADIUS * scale, _QUARTERS)
    found = runs_on_arcs(strokes.points.astype(np.float64), strokes.offsets, rules)
    stays = _stays(found, strokes, pens, machine, sheet)
    if margin and sheet is not None:
        stays &= _keeps_margin(found, strokes, pens, machine, sheet)
    arcs = Arcs(
        found.first[stays],
        found.last[stays],
        np.rint(found.centre[stays]).astype(np.int64),
        np.sign(found.sweep[stays]).astype(np.int64),
    )
    said = ~arcs.inner(len(strokes.points))
    row = np.cumsum(said) - 1
    counts = np.add.reduceat(said.astype(np.int64), strokes.offsets[:-1])
    short = ragged.offsets_of(counts)
    points, offsets, laid = expanded(
        strokes.points[said], short, row[arcs.last], arcs.centre, arcs.side, machine.unit
    )
    return GridStrokes(points, offsets, strokes.pen_index), laid


def expanded(
    said: IntArray,
    offsets: IntArray,
    ends: IntArray,
    centre: IntArray,
    side: IntArray,
    unit: float,
) -> tuple[IntArray, IntArray, Arcs]:
    """Strokes with the points inside their arcs.

    Parameters
    ----------
    said : ndarray (K, 2)
        The points that lines of a program lead to, in units.
    offsets : ndarray (M + 1,)
        Where strokes begin and end in ``said``.
    ends : ndarray (A,)
        The rows of ``said`` that arcs lead to, each from the row before it; ascending.
    centre, side : ndarray
        As of `Arcs`.
    unit : float
        In mm.

    Returns
    -------
    points, offsets, arcs
        Of the strokes with all their points.
    """
    if not len(ends):
        return said, offsets, none()
    inner, owner = _inner(said[ends - 1], said[ends], centre, side, unit)
    more = np.bincount(owner, minlength=len(ends))
    points = np.insert(said, ends[owner], inner, axis=0)
    shift = np.zeros(len(said) + 1, np.int64)
    shift[ends] = more
    before = np.cumsum(shift)  # how many points were put in up to each row, its own arc's too
    last = ends + before[ends]
    first = last - more - 1
    counts = np.diff(offsets) + np.add.reduceat(shift[:-1], offsets[:-1])
    return points, ragged.offsets_of(counts), Arcs(first, last, centre, side)


def _inner(
    start: IntArray, end: IntArray, centre: IntArray, side: IntArray, unit: float
) -> tuple[IntArray, IntArray]:
    """Points (K, 2) of arcs (A) between their ends on the grid, none twice in a row, and the arc
    (K,) of each.
    """
    near = (start - centre).astype(np.float64)
    far = (end - centre).astype(np.float64)
    turn = sweeps(near, far, side.astype(np.float64))
    none = np.zeros_like(near)
    away, owner = inner_points(near, none, far, turn, tolerance=CHORD / unit)
    points = np.rint(away + centre[owner]).astype(np.int64)
    before = np.empty_like(points)
    before[1:] = points[:-1]
    is_first = np.diff(owner, prepend=-1) > 0
    before[is_first] = start[owner[is_first]]
    row = np.arange(len(owner))
    others = (points != end[owner]).any(axis=1)
    last = np.full(len(start), -1)
    np.maximum.at(last, owner[others], row[others])
    is_new = (points != before).any(axis=1) & (row <= last[owner])
    return points[is_new], owner[is_new]


# ---- arcs bulge beyond the points that they were found in


def _stays(
    found: Runs, strokes: GridStrokes, pens: tuple[Pen, ...], machine: Machine, sheet: Sheet | None
) -> BoolArray:
    """Which arcs (A,) stay inside the envelope as they are drawn."""
    owner = np.searchsorted(strokes.offsets, found.first, side="right") - 1
    low, high = _boxes(found, strokes.points)
    size = machine.to_units([machine.width, machine.height])
    stays: BoolArray = (low >= -_HAIR).all(axis=1) & (high <= size + _HAIR).all(axis=1)
    seat = seats(pens, strokes.pen_index, machine)[owner]
    half = halves(strokes, pens)[owner]
    stays &= ((low + seat) >= -_HAIR).all(axis=1) & ((high + seat) <= size + _HAIR).all(axis=1)
    if sheet is not None and not sheet.is_plain:
        edge = shapely.boundary(sheet.on_bed)
        stays &= ~_meets(found, strokes.points, seat, edge, half + _NEAR, machine.unit)
    elif sheet is not None:
        scale = 10.0**machine.decimals
        corner = np.asarray(sheet.at) * scale
        far = corner + np.array([sheet.width, sheet.height]) * scale
        room = half[:, None] * scale - ROUNDING + _HAIR
        stays &= ((low + seat - room) >= corner).all(axis=1)
        stays &= ((high + seat + room) <= far).all(axis=1)
    for keep_out in machine.keep_outs:
        reach = half + _NEAR
        for shift in (seat, np.zeros_like(seat)):
            stays &= ~_meets(found, strokes.points, shift, keep_out.area, reach, machine.unit)
    return stays


def _keeps_margin(
    found: Runs, strokes: GridStrokes, pens: tuple[Pen, ...], machine: Machine, sheet: Sheet
) -> BoolArray:
    """Which arcs (A,) stay out of the sheet's margin, as the strokes they were found in do."""
    owner = np.searchsorted(strokes.offsets, found.first, side="right") - 1
    seat = seats(pens, strokes.pen_index, machine)[owner]
    if not sheet.is_plain:
        edge = shapely.boundary(sheet.area_on_bed)
        reach = np.full(len(owner), _NEAR)
        return ~_meets(found, strokes.points, seat, edge, reach, machine.unit)
    scale = 10.0**machine.decimals
    left, bottom, right, top = (scale * value for value in sheet.area_on_bed.bounds)
    low, high = _boxes(found, strokes.points)
    is_right = (low + seat >= np.array([left, bottom]) - ROUNDING).all(axis=1)
    return np.asarray(is_right & (high + seat <= np.array([right, top]) + ROUNDING).all(axis=1))


def _boxes(found: Runs, points: IntArray) -> tuple[FloatArray, FloatArray]:
    """The boxes (A, 2), (A, 2) of arcs, by the larger distance of their ends from the centre."""
    start = points[found.first] - found.centre
    end = points[found.last] - found.centre
    radius = np.maximum(np.hypot(*start.T), np.hypot(*end.T))
    low = np.minimum(start, end).astype(np.float64)
    high = np.maximum(start, end).astype(np.float64)
    first = np.arctan2(start[:, 1], start[:, 0])
    for quarter in range(4):
        angle = quarter * math.pi / 2
        # how far to turn from the start, the way the arc turns, until it runs along an axis
        turn = ((angle - first) * np.sign(found.sweep)) % math.tau
        passes = turn <= np.abs(found.sweep) + 1e-9
        axis = quarter % 2
        if quarter < 2:
            high[passes, axis] = np.maximum(high[passes, axis], radius[passes])
        else:
            low[passes, axis] = np.minimum(low[passes, axis], -radius[passes])
    return low + found.centre, high + found.centre


def _meets(
    found: Runs,
    points: IntArray,
    shift: IntArray,
    area: Any,
    reach: FloatArray,
    unit: float,
) -> BoolArray:
    """Which arcs (A,) come within ``reach`` (A,) mm of an area, their ink moved by ``shift``."""
    low, high = _boxes(found, points)
    bounds = np.array(area.bounds)
    below = (low + shift) * unit - reach[:, None] <= bounds[2:]
    above = (high + shift) * unit + reach[:, None] >= bounds[:2]
    near = np.flatnonzero((below & above).all(axis=1))
    result = np.zeros(len(low), np.bool_)
    if not len(near):
        return result
    start = points[found.first[near]].astype(np.float64)
    end = points[found.last[near]].astype(np.float64)
    between, owner = inner_points(
        start, found.centre[near], end, found.sweep[near], tolerance=0.001 / unit
    )
    ranks = np.arange(len(near))
    places = np.concatenate([start, between, end])
    which = np.concatenate([ranks, owner, ranks])
    order = np.argsort(which, kind="stable")
    which = which[order]
    lines = shapely.linestrings((places[order] + shift[near][which]) * unit, indices=which)
    far: Any = reach[near]  # what shapely's own types do not say: one for each line
    shapely.prepare(area)
    result[near] = shapely.dwithin(area, lines, far)
    return result
