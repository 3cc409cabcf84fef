"""Single streamlines from given points, on the field itself."""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely
from numpy.typing import ArrayLike
from shapely import MultiPolygon, Polygon

from plotlib import checks
from plotlib.arrays import ragged
from plotlib.arrays.areas import as_area
from plotlib.checks import BoolArray, FloatArray, IntArray
from plotlib.drawing import Drawing, RegionLike
from plotlib.errors import InvalidValue
from plotlib.fields.steps import classical, embedded
from plotlib.fields.vector import VectorField, as_vector
from plotlib.pen import Pen

_LEAST_STEP = 1e-6  # mm: where the error wants shorter steps the point is as good as critical
_MOST_STEPS = 100_000  # of one line: about half a minute
_MOST_CHORDS = 50_000  # of one line, by the estimate of ``_affordable``
_MOST_PLACES = 20_000_000  # of all lines: half a gigabyte
_DWELL = 6.0  # tolerances of way between two looks at whether a line gets anywhere
_LAPS = 25  # half perimeters of the area's box that a line may run when no length is given


def streamline(
    field: VectorField,
    start: ArrayLike,
    region: RegionLike,
    *,
    length: float | None = None,
    step: float | None = None,
    tolerance: float = 0.02,
    both_ways: bool = True,
    pen: Pen | None = None,
) -> Drawing:
    """Streamlines through given points, asking the field itself at every step.

    Parameters
    ----------
    field : VectorField
        The directions; the lengths of its vectors do not matter.
    start : array-like, shape (2,) or (n, 2)
        One point or many, in mm; those outside the region give no line.
    region : Drawing, Sheet, shapely Polygon or MultiPolygon
        The area to stay in.
    length : float, optional
        How far to go each way, mm. Without it: to the edge, to a critical point, or round a loop;
        25 times the width and height of the area together at most.
    step : float, optional
        Fixed steps in mm, by the classical Runge-Kutta formula (its error falls with the fourth
        power of the step). Without it, steps by Dormand and Prince as long as ``tolerance`` allows.
    tolerance : float, default 0.02
        Without ``step``: the error of a step stays below a hundredth of this, and chords within it,
        mm. Loops that miss their start by less than this are closed.
    both_ways : bool, default True
        Also against the flow.
    pen : Pen, optional
        The pen; the default pen otherwise.

    Returns
    -------
    Drawing
        A stroke for each start that has a line, along the flow; where the edge cuts it, what the
        edge leaves. Loops are closed exactly.

    Raises
    ------
    InvalidValue
        If an argument is invalid, the field is not finite in the area, or a line would take
        more than 100,000 steps.

    References
    ----------
    J. R. Dormand, P. J. Prince, *A Family of Embedded Runge-Kutta Formulae*, Journal of
    Computational and Applied Mathematics 6, 1980.

    Examples
    --------
    >>> import math
    >>> from shapely import box
    >>> from plotlib.fields.flows import vortex
    >>> ring = streamline(vortex((0, 0)), (30, 0), box(-50, -50, 50, 50))
    >>> ring.is_closed.tolist(), round(ring.length / (60 * math.pi), 4)
    ([True], 0.9998)
    """
    field = as_vector("field", field)
    area = as_area(region)
    fine = checks.positive("tolerance", tolerance, unit="mm")
    fixed = None if step is None else checks.positive("step", step, unit="mm")
    points = checks.points("start", _rows(start), least=0)
    is_both = checks.flag("both_ways", both_ways)
    far = None if length is None else checks.positive("length", length, unit="mm")
    shapely.prepare(area)
    points = (
        points[shapely.contains_xy(area, points[:, 0], points[:, 1])] if len(points) else points
    )
    if not len(points):
        return Drawing(pen=pen)
    left, bottom, right, top = area.bounds
    extent = right - left + top - bottom
    farthest = _LAPS * extent if far is None else far
    _affordable(min(extent, farthest), fixed, fine)
    ways = [
        _Walk(field, sign, points, area, farthest=farthest, fixed=fixed, fine=fine)
        for sign in ((1.0, -1.0) if is_both else (1.0,))
    ]
    walked = [way.done() for way in ways]
    strokes = [_joined(k, walked, ways[0].closed[k]) for k in range(len(points))]
    return Drawing([stroke for stroke in strokes if len(stroke) > 1], pen=pen).clipped(area)


def _rows(start: Any) -> Any:
    """One point as a row of points."""
    is_row = isinstance(start, (list, tuple)) or (isinstance(start, np.ndarray) and start.ndim == 1)
    return [start] if is_row and len(start) == 2 and not np.iterable(start[0]) else start


def _affordable(way: float, fixed: float | None, fine: float) -> None:
    """Refuse what would be without end: lines of ``way`` mm in so many steps. Without fixed steps
    a bend of radius r takes chords of sqrt(8 r fine), and bends are taken to be as wide as the way.
    """
    if fixed is not None:
        least = checks.two_digits(way / _MOST_STEPS)
        remedy = f"take {least} mm or more, or a shorter length"
        checks.affordable("step", fixed, way / fixed, _MOST_STEPS, f"steps for {way:g} mm", remedy)
        return
    least = checks.two_digits(way / _MOST_CHORDS**2)
    what = f"chords for {way:g} mm"
    count = (way / fine) ** 0.5
    checks.affordable("tolerance", fine, count, _MOST_CHORDS, what, f"take {least} mm or more")


def _joined(k: int, walked: list[list[FloatArray]], closed: bool) -> FloatArray:
    """Line ``k`` from its end against the flow to its end along it."""
    forward = walked[0][k]
    if closed or len(walked) == 1:
        return forward
    return np.concatenate([walked[1][k][:0:-1], forward])


class _Walk:
    """All lines one way at once; each stops by itself."""

    def __init__(
        self,
        field: VectorField,
        sign: float,
        starts: FloatArray,
        area: Polygon | MultiPolygon,
        farthest: float,
        fixed: float | None,
        fine: float,
    ) -> None:
        self.field = field
        self.sign = sign
        self.area = area
        self.fixed = fixed
        self.fine = fine
        self.farthest = farthest
        speeds = np.hypot(*field(starts[:, 0], starts[:, 1]))
        self.slowest = 1e-9 * float(speeds.max(initial=0.0))
        self.starts = starts
        self.at = starts.copy()
        self.gone = np.zeros(len(starts))
        self.heading = self.unit(starts)
        self.first_heading = self.heading
        self.step = np.full(len(starts), fixed if fixed is not None else min(0.5, farthest))
        self.moving: BoolArray = np.asarray(self.heading.any(axis=1))
        self.closed = np.zeros(len(starts), np.bool_)
        self.places = 0
        self.mark = starts.copy()
        self.mark_gone = np.zeros(len(starts))
        self.trail: list[tuple[IntArray, FloatArray]] = [(np.arange(len(starts)), starts)]

    def unit(self, points: FloatArray) -> FloatArray:
        """Directions (n, 2); nought at critical points."""
        u, v = self.field(points[:, 0], points[:, 1])
        if not (np.isfinite(u).all() and np.isfinite(v).all()):
            bad = points[int(np.argmin(np.isfinite(u) & np.isfinite(v)))]
            raise InvalidValue(f"the vector field is not finite at ({bad[0]:g}, {bad[1]:g})")
        speed = np.hypot(u, v)
        fast = speed > self.slowest
        factor = np.where(fast, self.sign / np.where(fast, speed, 1.0), 0.0)
        return np.stack([u * factor, v * factor], axis=1)

    def done(self) -> list[FloatArray]:
        """Walk until all lines have stopped; the points of each."""
        steps = 0
        while self.moving.any():
            which = np.flatnonzero(self.moving)
            steps += 1
            self.places += len(which)
            if steps > _MOST_STEPS or self.places > _MOST_PLACES:
                self.refuse(steps)
            self.once(which)
        rows = np.concatenate([which for which, _ in self.trail])
        points = np.concatenate([points for _, points in self.trail])[
            np.argsort(rows, kind="stable")
        ]
        return np.split(
            points, ragged.offsets_of(np.bincount(rows, minlength=len(self.starts)))[1:-1]
        )

    def refuse(self, steps: int) -> None:
        x, y = self.starts[int(np.argmax(self.moving))]
        name = "tolerance" if self.fixed is None else "step"
        raise InvalidValue(
            f"the line from ({x:g}, {y:g}) has no end after {steps:,} steps and "
            f"{float(self.gone.max()):g} mm; give a length, a larger {name}, or fewer starts",
            name="length",
            steps=steps,
        )

    def once(self, which: IntArray) -> None:
        """One step, or one refused step, of the lines that still move."""
        old = self.at[which]
        size = np.minimum(self.step[which], self.farthest - self.gone[which])[:, None]
        new, taken = self.stepped(which, old, size)
        heading = self.unit(new)
        turning = (heading * self.heading[which]).sum(axis=1) <= 0
        stuck = turning & ((self.fixed is not None) | (size[:, 0] < 2 * _LEAST_STEP))
        if self.fixed is None:
            self.step[which[turning]] = np.maximum(size[turning, 0] / 4, _LEAST_STEP)
        self.moving[which[stuck]] = False
        taken &= ~turning
        which = which[taken]
        old = old[taken]
        new = new[taken]
        heading = heading[taken]
        gone = size[taken, 0]
        closing = self.passes_start(which, old, new, heading)
        new[closing] = self.starts[which[closing]]
        self.at[which] = new
        self.heading[which] = heading
        self.gone[which] += gone
        self.trail.append((which, new))
        self.closed[which[closing]] = True
        out = ~np.asarray(shapely.contains_xy(self.area, new[:, 0], new[:, 1]))
        self.moving[
            which[closing | out | self.dwells(which) | (self.gone[which] >= self.farthest)]
        ] = False

    def dwells(self, which: IntArray) -> BoolArray:
        """Lines that went round and round within the tolerance, at the middle of a whirl: a pen
        would only make a blot.
        """
        due = self.gone[which] - self.mark_gone[which] >= _DWELL * self.fine
        off = self.at[which] - self.mark[which]
        stays = due & (np.hypot(off[:, 0], off[:, 1]) < self.fine)
        self.mark[which[due]] = self.at[which[due]]
        self.mark_gone[which[due]] = self.gone[which[due]]
        return np.asarray(stays)

    def stepped(
        self, which: IntArray, old: FloatArray, size: FloatArray
    ) -> tuple[FloatArray, BoolArray]:
        """Where the step leads, and whether it is good enough; the next step's length is set from
        its error.
        """
        if self.fixed is not None:
            return classical(self.unit, old, size), np.ones(len(which), np.bool_)
        new, error = embedded(self.unit, old, size)
        then = self.heading[which]
        now = self.unit(new)
        turn = np.abs(then[:, 0] * now[:, 1] - then[:, 1] * now[:, 0])
        sag = size[:, 0] * turn / 8  # of a chord whose ends turn so much
        factor = np.minimum(
            (0.01 * self.fine / np.maximum(error, 1e-300)) ** 0.2,
            np.sqrt(self.fine / np.maximum(sag, 1e-300)),
        )
        good = (factor >= 1.0) | (size[:, 0] <= _LEAST_STEP)
        self.step[which] = np.clip(size[:, 0] * np.clip(0.9 * factor, 0.2, 3.0), _LEAST_STEP, None)
        return new, good

    def passes_start(
        self, which: IntArray, old: FloatArray, new: FloatArray, heading: FloatArray
    ) -> BoolArray:
        """Whether the step passes the line's start, going its way and missing it by less than the
        tolerance.
        """
        start = self.starts[which]
        way = self.first_heading[which]
        before = ((old - start) * way).sum(axis=1)
        after = ((new - start) * way).sum(axis=1)
        passing = (
            (before < -1e-12)
            & (after >= -1e-9)
            & (self.gone[which] > 0)
            & ((heading * way).sum(axis=1) > 0.5)
        )
        share = np.where(passing, before / np.where(passing, before - after, 1.0), 0.0)[:, None]
        miss = old + share * (new - old) - start
        # two tolerances, for the chord's own sag may be one of them
        return np.asarray(passing & (np.hypot(miss[:, 0], miss[:, 1]) <= 2 * self.fine))
