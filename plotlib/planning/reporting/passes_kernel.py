"""How often the pens come to each spot of the paper.

Method: point-in-capsule tests on a lattice, our own. A pen that draws a segment covers the points
of the lattice that lie within half its width of it.

Invariant: after segment k, ``passes[row, column]`` is how often the pens have come to that point
until now. A pen that stays on a point has come once, and once more for each further two pen widths
that it draws there; it has left where it has drawn half a width without covering the point.

Arrays: ``points`` (N, 2) in mm, ``offsets`` (M + 1,) where each stroke begins, ``radii`` (M,) half
the pen's width of each stroke in mm; ``seen`` and ``counted`` (rows, columns) are the way drawn
until the point was last covered and last counted, in mm, at the start far below zero.

Oracle: ``tests/oracles_report.py``, which walks along the strokes in small steps.
"""

from __future__ import annotations

from math import ceil, floor, sqrt
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from plotlib.checks import FloatArray, IntArray
from plotlib.compiled import compiled

_LEFT = 1.0  # radii of way off a spot, after which the pen comes anew
_STAYS = 4.0  # radii of way on a spot that count as one coming


class Lattice(NamedTuple):
    """Points at ``((column + 0.5) * step, (row + 0.5) * step)`` from the lower left corner."""

    left: float
    bottom: float
    step: float


@compiled
def _in_row(y: float, ax: float, dx: float, dy: float, radius: float) -> tuple[float, float]:
    """How far west and east the pen reaches on a row ``y`` above the start of a segment."""
    begin = 0.0
    stop = 1.0
    if dy != 0.0:
        lower = (y - radius) / dy
        upper = (y + radius) / dy
        begin = max(begin, min(lower, upper))
        stop = min(stop, max(lower, upper))
    west = min(ax + dx * begin, ax + dx * stop) - radius
    east = max(ax + dx * begin, ax + dx * stop) + radius
    return west, east


@compiled
def _within(
    x: float, y: float, dx: float, dy: float, length: float, radius: float
) -> tuple[float, float]:
    """Where along a segment the pen comes to a point, and leaves it; the first beyond the second
    where it never does.
    """
    foot = 0.0  # way along the segment's line to where it is nearest
    apart = x * x + y * y  # squared distance of the line
    if length > 0.0:
        foot = (x * dx + y * dy) / length
        aside = (x * dy - y * dx) / length
        apart = aside * aside
    if apart > radius * radius:
        return 1.0, 0.0
    chord = sqrt(radius * radius - apart)
    return max(0.0, foot - chord), min(length, foot + chord)


@compiled
def count_passes(
    points: FloatArray,
    offsets: IntArray,
    radii: FloatArray,
    lattice: Lattice,
    seen: FloatArray,
    counted: FloatArray,
    passes: NDArray[np.int32],
) -> None:
    """Count in ``passes`` how often the pens come to each point of the lattice."""
    rows, columns = passes.shape
    step = lattice.step
    drawn = 0.0
    for stroke in range(len(offsets) - 1):
        first = offsets[stroke]
        last = offsets[stroke + 1] - 1
        radius = radii[stroke]
        drawn += 100.0 * radius  # a new stroke comes anew
        for k in range(first, max(last, first + 1)):
            ax = points[k, 0] - lattice.left
            ay = points[k, 1] - lattice.bottom
            end = min(k + 1, last)
            dx = points[end, 0] - lattice.left - ax
            dy = points[end, 1] - lattice.bottom - ay
            length = sqrt(dx * dx + dy * dy)
            low = max(0, ceil((min(ay, ay + dy) - radius) / step - 0.5))
            high = min(rows - 1, floor((max(ay, ay + dy) + radius) / step - 0.5))
            for row in range(low, high + 1):
                west, east = _in_row((row + 0.5) * step - ay, ax, dx, dy, radius)
                from_column = max(0, ceil(west / step - 0.5))
                to_column = min(columns - 1, floor(east / step - 0.5))
                for column in range(from_column, to_column + 1):
                    x = (column + 0.5) * step - ax
                    y = (row + 0.5) * step - ay
                    enter, leave = _within(x, y, dx, dy, length, radius)
                    if enter > leave:
                        continue
                    if drawn + enter - seen[row, column] > _LEFT * radius:
                        passes[row, column] += 1
                        counted[row, column] = drawn + enter
                    if drawn + leave - counted[row, column] > _STAYS * radius:
                        passes[row, column] += 1
                        counted[row, column] += _STAYS * radius
                    seen[row, column] = drawn + leave
            drawn += length
