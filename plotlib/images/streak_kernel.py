"""Compiled: short strokes along a flow until a picture is dark enough.

A greedy search as in ``scribble_kernel``, whose paper it shares: a stroke begins where the picture
lacks most ink, in the widest gap near by, and follows the flow both ways while there is ink to lay
and paper to lay it on.

``lines`` lays strokes that are there already; between steps ``lack`` is what was asked for minus
the ink of both. ``flow`` (rows, columns, 2) are unit vectors on nodes over the whole paper, of
which only the direction counts, not its sign. ``tests/images/test_flowing.py`` compares what is
left with a fresh print.
"""

from __future__ import annotations

import math

import numpy as np

from plotlib.checks import FloatArray, IntArray
from plotlib.compiled import compiled
from plotlib.images.scribble_kernel import COUNT, STROKES, Paper, lacking, lay, put

LONGEST = 12  # steps to each side
_SHORTEST = 2  # steps to each side that are taken although it gets a little too dark
_TRIES = 24  # places looked at in a cell
_FREE = 0.2  # share of the pen's tip that must come to lie on bare paper


@compiled
def lines(paper: Paper, points: FloatArray, offsets: IntArray, radius: float) -> None:
    """Lay strokes (n, 2), offsets (m + 1,) in fine pixels."""
    for stroke in range(len(offsets) - 1):
        for k in range(offsets[stroke], offsets[stroke + 1]):
            before = max(k - 1, offsets[stroke])
            x = points[before, 0]
            y = points[before, 1]
            lay(paper, x, y, points[k, 0], points[k, 1], radius)


@compiled
def streak(
    paper: Paper,
    flow: FloatArray,
    random: np.random.Generator,
    radius: float,
    step: float,
    enough: float,
    budget: int,
) -> bool:
    """Draw up to ``budget`` strokes; True when no cell lacks more than ``enough``."""
    lack = paper.lack
    columns = lack.shape[1]
    for _ in range(budget):
        best = int(np.argmax(lack))
        row = best // columns
        column = best % columns
        if lack[row, column] <= enough:
            return True
        before = lack[row, column]
        x, y = _gap(paper, random, row, column, radius)
        _both_ways(paper, flow, x, y, radius, step, enough)
        if paper.counts[COUNT] > len(paper.points) - 3 * LONGEST:
            return True
        if lack[row, column] >= before:
            lack[row, column] = 0.0  # nothing there can be drawn any more
    return False


@compiled
def _gap(
    paper: Paper, random: np.random.Generator, row: int, column: int, radius: float
) -> tuple[float, float]:
    """The barest of some places in a cell."""
    best_x = 0.0
    best_y = 0.0
    most = -1.0
    for _ in range(_TRIES):
        x = (column + random.random()) * paper.fine
        y = (row + random.random()) * paper.fine
        bare = _bare(paper, x, y, 1.5 * radius)
        if bare > most:
            most = bare
            best_x = x
            best_y = y
    return best_x, best_y


@compiled
def _bare(paper: Paper, x: float, y: float, radius: float) -> float:
    """The share of a disc without ink; what lies off the paper counts as inked."""
    high, wide = paper.inked.shape
    total = 0
    bare = 0
    for row in range(math.floor(y - radius), int(y + radius) + 2):
        for column in range(math.floor(x - radius), int(x + radius) + 2):
            if (column + 0.5 - x) ** 2 + (row + 0.5 - y) ** 2 > radius * radius:
                continue
            total += 1
            is_on = 0 <= row < high and 0 <= column < wide
            if is_on and not paper.inked[row, column]:
                bare += 1
    return bare / max(total, 1)


@compiled
def _both_ways(
    paper: Paper,
    flow: FloatArray,
    x: float,
    y: float,
    radius: float,
    step: float,
    enough: float,
) -> None:
    """One stroke through (x, y): one way, turned round, and the other way."""
    first = paper.counts[COUNT]
    paper.first[paper.counts[STROKES]] = first
    paper.counts[STROKES] += 1
    put(paper, x, y)
    lay(paper, x, y, x, y, radius)
    u, v = _along(paper, flow, x, y)
    _walk(paper, flow, x, y, u, v, radius, step, enough)
    last = paper.counts[COUNT]
    for k in range((last - first) // 2):
        for axis in range(2):
            kept = paper.points[first + k, axis]
            paper.points[first + k, axis] = paper.points[last - 1 - k, axis]
            paper.points[last - 1 - k, axis] = kept
    _walk(paper, flow, x, y, -u, -v, radius, step, enough)


@compiled
def _along(paper: Paper, flow: FloatArray, x: float, y: float) -> tuple[float, float]:
    high, wide = paper.inked.shape
    row = min(max(int(y / high * flow.shape[0]), 0), flow.shape[0] - 1)
    column = min(max(int(x / wide * flow.shape[1]), 0), flow.shape[1] - 1)
    return flow[row, column, 0], flow[row, column, 1]


@compiled
def _walk(
    paper: Paper,
    flow: FloatArray,
    x: float,
    y: float,
    ahead_u: float,
    ahead_v: float,
    radius: float,
    step: float,
    enough: float,
) -> None:
    """Points along the flow from (x, y), which begins on the side of ``ahead``."""
    high, wide = paper.inked.shape
    for k in range(LONGEST):
        u, v = _along(paper, flow, x, y)
        if u * ahead_u + v * ahead_v < 0.0:
            u = -u
            v = -v
        to_x = x + step * u
        to_y = y + step * v
        if to_x < 0.0 or to_y < 0.0 or to_x > wide or to_y > high:
            return
        least = enough / 3.0 if k >= _SHORTEST else -enough
        if lacking(paper, to_x, to_y) <= least:
            return
        # ahead of the ink of the step itself
        if _bare(paper, to_x, to_y, radius) < _FREE:
            return
        lay(paper, x, y, to_x, to_y, radius)
        put(paper, to_x, to_y)
        x = to_x
        y = to_y
        ahead_u = u
        ahead_v = v
