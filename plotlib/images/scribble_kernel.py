"""Compiled: scribbling until a picture is dark enough.

A greedy search: a stroke begins where the picture lacks most ink, and goes on step by step to where
it lacks most among some directions ahead. Every step is laid down on fine pixels; only pixels that
had no ink before are taken off what their cell lacks, so overlap does not count.

Between steps ``lack`` (rows, columns), the coverage that a cell still lacks, is what was asked for
minus the share of the pixels in ``inked`` in it and about it, by binomial weights over five cells
each way; the points of all strokes so far are the first COUNT of
``points``. ``tests/images/test_scribbling.py`` compares what is left with a fresh print.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from plotlib.checks import FloatArray, IntArray
from plotlib.compiled import compiled

COUNT = 0
STROKES = 1
_FULL = 1  # bare pixels of a cell that count as none
_WAYS = 24  # directions tried
_WEIGHTS = (0.0625, 0.25, 0.375, 0.25, 0.0625)


class Paper(NamedTuple):
    """What is drawn and what lacks; lengths in fine pixels."""

    lack: FloatArray  # (rows, columns) coverage that cells still lack
    inked: NDArray[np.bool_]  # (rows * fine, columns * fine)
    bare: IntArray  # (rows, columns) pixels of each cell without ink
    points: FloatArray  # (most, 2)
    first: IntArray  # (most,) where each stroke begins
    counts: IntArray  # (2,) points, strokes
    fine: int  # pixels along a cell


@compiled
def scribble(
    paper: Paper,
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
        x = (column + 0.2 + 0.6 * random.random()) * paper.fine
        y = (row + 0.2 + 0.6 * random.random()) * paper.fine
        _walk(paper, random, x, y, radius, step, enough)
        if paper.counts[COUNT] > len(paper.points) - 600:
            return True
        if lack[row, column] >= before:
            lack[row, column] = 0.0  # nothing there can be drawn any more
    return False


@compiled
def _walk(
    paper: Paper,
    random: np.random.Generator,
    x: float,
    y: float,
    radius: float,
    step: float,
    enough: float,
) -> None:
    """One stroke from (x, y)."""
    high, wide = paper.inked.shape
    paper.first[paper.counts[STROKES]] = paper.counts[COUNT]
    paper.counts[STROKES] += 1
    put(paper, x, y)
    lay(paper, x, y, x, y, radius)
    heading = 2.0 * math.pi * random.random()
    for _ in range(500):
        most = enough / 3.0
        turn = -1.0
        for k in range(_WAYS):
            angle = 2.0 * math.pi * (k + random.random()) / _WAYS
            value = 0.0
            for reach in (0.6, 1.0, 1.5):
                u = x + reach * step * math.cos(angle)
                v = y + reach * step * math.sin(angle)
                value += lacking(paper, u, v)
            u = x + step * math.cos(angle)
            v = y + step * math.sin(angle)
            half = lacking(paper, (x + u) / 2.0, (y + v) / 2.0)
            is_off = u < 0.0 or v < 0.0 or u > wide or v > high
            if is_off or lacking(paper, u, v) <= 0.0 or half < -0.5:
                continue
            value = value / 3.0 + 0.02 * math.cos(angle - heading)
            if value > most:
                most = value
                turn = angle
        if turn < 0.0:
            return
        heading = turn
        u = x + step * math.cos(turn)
        v = y + step * math.sin(turn)
        lay(paper, x, y, u, v, radius)
        put(paper, u, v)
        x = u
        y = v


@compiled
def put(paper: Paper, x: float, y: float) -> None:
    paper.points[paper.counts[COUNT], 0] = x
    paper.points[paper.counts[COUNT], 1] = y
    paper.counts[COUNT] += 1


@compiled
def lacking(paper: Paper, x: float, y: float) -> float:
    row = int(y) // paper.fine
    column = int(x) // paper.fine
    if row < 0 or column < 0 or row >= paper.lack.shape[0] or column >= paper.lack.shape[1]:
        return -1.0
    return float(paper.lack[row, column])


@compiled
def lay(paper: Paper, x: float, y: float, u: float, v: float, radius: float) -> None:
    """Ink the pixels whose middles lie within ``radius`` of a segment."""
    high, wide = paper.inked.shape
    share = 1.0 / (paper.fine * paper.fine)
    length = (u - x) ** 2 + (v - y) ** 2
    for row in range(max(0, int(min(y, v) - radius)), min(high, int(max(y, v) + radius) + 2)):
        for column in range(
            max(0, int(min(x, u) - radius)), min(wide, int(max(x, u) + radius) + 2)
        ):
            if paper.inked[row, column]:
                continue
            dx = column + 0.5 - x
            dy = row + 0.5 - y
            along = 0.0
            if length > 0.0:
                along = min(max((dx * (u - x) + dy * (v - y)) / length, 0.0), 1.0)
            away = (dx - along * (u - x)) ** 2 + (dy - along * (v - y)) ** 2
            if away <= radius * radius:
                paper.inked[row, column] = True
                i = row // paper.fine
                j = column // paper.fine
                _take(paper.lack, i, j, share)
                paper.bare[i, j] -= 1
                if paper.bare[i, j] <= _FULL:
                    paper.lack[i, j] = min(paper.lack[i, j], 0.0)  # no stroke can darken it


@compiled
def _take(lack: FloatArray, row: int, column: int, share: float) -> None:
    """Take ink off what a cell and those about it lack, by binomial weights."""
    rows, columns = lack.shape
    for i in range(-2, 3):
        for j in range(-2, 3):
            # beyond the edge it counts for the cell that mirrors it
            down = min(max(row + i, -1 - (row + i)), 2 * rows - 1 - (row + i))
            across = min(max(column + j, -1 - (column + j)), 2 * columns - 1 - (column + j))
            if 0 <= down < rows and 0 <= across < columns:
                lack[down, across] -= share * _WEIGHTS[i + 2] * _WEIGHTS[j + 2]
