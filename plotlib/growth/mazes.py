"""Uniform spanning trees of a grid, and the mazes that they are."""

from __future__ import annotations

import math

import numpy as np
import shapely

from plotlib import checks
from plotlib.arrays import ragged
from plotlib.arrays.areas import as_area
from plotlib.checks import BoolArray, FloatArray, IntArray, Seed
from plotlib.drawing import Drawing, RegionLike
from plotlib.growth.afford import Limit, affordable, cells
from plotlib.interrupt import interruptible
from plotlib.pen import Pen, as_pen
from plotlib.progress import stage

_MOST = 4_000_000  # cells
_AT_ONCE = 100_000  # cells laid on the area between two looks at the clock
_SLACK = 1e-6  # of a cell: rounding puts no cell outside


def spanning_tree(
    region: RegionLike, *, spacing: float, seed: Seed = 0, pen: Pen | None = None
) -> Drawing:
    """A spanning tree of the square grid in an area, every one equally likely.

    Parameters
    ----------
    region : Drawing, Sheet, shapely Polygon or MultiPolygon
        The area; cells that lie in it as a whole take part.
    spacing : float
        The side of a cell, mm, > 0.
    seed : int or numpy Generator, default 0
        Which tree.
    pen : Pen, optional
        The pen; without it the default one.

    Returns
    -------
    Drawing
        Straight strokes through the middles of the cells; where cells hang together in several
        parts, a tree of each.

    Raises
    ------
    InvalidValue
        If an argument is invalid, or more than 4 million cells would be made.

    References
    ----------
    D. B. Wilson, *Generating random spanning trees more quickly than the cover time*, STOC 1996.

    Examples
    --------
    >>> from shapely import box
    >>> tree = spanning_tree(box(0, 0, 40, 30), spacing=10)
    >>> round(tree.length)  # 12 cells, 11 edges
    110
    """
    held = as_pen(pen)
    with stage("growing a tree"):
        cells = _Cells(region, spacing)
        across, up = cells.links(checks.generator(seed))
        return cells.drawn(across, up, at=(0.5, 0.5), pen=held)


def maze(region: RegionLike, *, spacing: float, seed: Seed = 0, pen: Pen | None = None) -> Drawing:
    """The walls of a perfect maze in an area: one way between any two places.

    Parameters
    ----------
    region : Drawing, Sheet, shapely Polygon or MultiPolygon
        The area; cells that lie in it as a whole take part.
    spacing : float
        The width of the corridors, mm, > 0.
    seed : int or numpy Generator, default 0
        Which maze; every one is equally likely.
    pen : Pen, optional
        The pen; without it the default one.

    Returns
    -------
    Drawing
        Straight walls, each drawn once, without a gate; ``spanning_tree`` with the same seed is the
        way through its corridors.

    Raises
    ------
    InvalidValue
        If an argument is invalid, or more than 4 million cells would be made.

    References
    ----------
    D. B. Wilson, *Generating random spanning trees more quickly than the cover time*, STOC 1996.

    Examples
    --------
    >>> from shapely import box
    >>> walls = maze(box(0, 0, 40, 30), spacing=10)
    >>> round(walls.length)  # 31 grid edges of 10 mm, less the 11 that the tree opens
    200
    """
    held = as_pen(pen)
    with stage("growing a maze"):
        cells = _Cells(region, spacing)
        across, up = cells.links(checks.generator(seed))
        is_in = np.pad(cells.is_in, 1)
        beside = is_in[1:-1, 1:] | is_in[1:-1, :-1]  # walls that run up, between columns
        beside[:, 1:-1] &= ~across
        above = is_in[1:, 1:-1] | is_in[:-1, 1:-1]  # walls that run across, between rows
        above[1:-1] &= ~up
        return cells.drawn(above, beside, at=(0.0, 0.0), pen=held)


class _Cells:
    """The cells of a square grid that lie in an area."""

    def __init__(self, region: RegionLike, spacing: float) -> None:
        area = as_area(region)
        self.side = checks.positive("spacing", spacing, unit="mm")
        left, bottom, right, top = (0.0,) * 4 if area.is_empty else area.bounds
        wide = (right - left) / self.side
        high = (top - bottom) / self.side
        room_for = Limit(cells((left, bottom, right, top)), _MOST, "cells")
        affordable("spacing", self.side, room_for, remedy="take a larger one, {} mm or more")
        columns = max(1, math.floor(wide + 1e-9))
        rows = max(1, math.floor(high + 1e-9))
        # centred, so that what is left over stands on all sides
        self.x = left + 0.5 * (right - left - columns * self.side)
        self.y = bottom + 0.5 * (top - bottom - rows * self.side)
        room = shapely.buffer(area, _SLACK * self.side, join_style="mitre")
        shapely.prepare(room)
        x = (self.x + self.side * np.arange(columns))[None, :]
        y = (self.y + self.side * np.arange(rows))[:, None]
        some = max(1, _AT_ONCE // columns)
        self.is_in: BoolArray = np.zeros((rows, columns), np.bool_)
        for row in range(0, rows, some):
            low = y[row : row + some]
            squares = shapely.box(x, low, x + self.side, low + self.side)
            self.is_in[row : row + some] = shapely.covers(room, squares)

    def links(self, random: np.random.Generator) -> tuple[BoolArray, BoolArray]:
        """Which neighbours the tree links: across (rows, columns - 1), up (rows - 1, columns)."""
        from plotlib.growth.wilson_kernel import tree

        number = np.cumsum(self.is_in.ravel()).reshape(self.is_in.shape) - 1
        pairs_across = self.is_in[:, 1:] & self.is_in[:, :-1]
        pairs_up = self.is_in[1:] & self.is_in[:-1]
        one = np.concatenate([number[:, :-1][pairs_across], number[:-1][pairs_up]])
        other = np.concatenate([number[:, 1:][pairs_across], number[1:][pairs_up]])
        count = int(self.is_in.sum())
        starts, listed = _neighbours(one, other, count)
        roots = _roots(one, other, count)
        number_of_tree = int(random.integers(2**62))
        parent = interruptible(lambda _: tree(starts, listed, roots, number_of_tree))
        is_linked = (parent[one] == other) | (parent[other] == one)
        across = np.zeros(pairs_across.shape, np.bool_)
        across[pairs_across] = is_linked[: int(pairs_across.sum())]
        up = np.zeros(pairs_up.shape, np.bool_)
        up[pairs_up] = is_linked[int(pairs_across.sum()) :]
        return across, up

    def drawn(
        self, across: BoolArray, up: BoolArray, *, at: tuple[float, float], pen: Pen
    ) -> Drawing:
        """Runs of grid edges as straight strokes; ``at`` is the first grid point in cells."""
        flat = _runs(across)
        tall = _runs(up.T)[:, [1, 0, 3, 2]]
        ends = np.concatenate([flat, tall]).reshape(-1, 2)
        points = ends.astype(np.float64) + at
        points *= self.side
        points += (self.x, self.y)
        return Drawing.from_arrays(points, 2 * np.arange(len(points) // 2 + 1), pen=pen)


def _neighbours(one: IntArray, other: IntArray, count: int) -> tuple[IntArray, IntArray]:
    """The neighbours of each vertex, one list after another."""
    begin = np.concatenate([one, other])
    order = np.argsort(begin, kind="stable")
    counts = np.bincount(begin, minlength=count)
    return ragged.offsets_of(counts), np.concatenate([other, one])[order]


def _roots(one: IntArray, other: IntArray, count: int) -> IntArray:
    """The first vertex of each part of the graph."""
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components

    if not count:
        return np.empty(0, np.int64)
    graph = coo_array((np.ones(len(one), np.int8), (one, other)), shape=(count, count))
    _, part = connected_components(graph, directed=False)
    _, first = np.unique(part, return_index=True)
    return first.astype(np.int64)


def _runs(edges: BoolArray) -> FloatArray:
    """Runs of edges in rows: their ends (n, 4) as column, row, column, row."""
    padded = np.pad(edges.astype(np.int8), ((0, 0), (1, 1)))
    steps = np.diff(padded, axis=1)
    row, begin = np.nonzero(steps == 1)
    _, end = np.nonzero(steps == -1)
    return np.column_stack([begin, row, end, row]).astype(np.float64)
