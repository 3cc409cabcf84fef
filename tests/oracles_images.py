"""Slow and obvious versions of what the kernels of pictures do."""

from __future__ import annotations

from fractions import Fraction

import numpy as np


def plain_cells(weights, cell_x, cell_y, points):
    """Energy and sums (n, 3) of weighted Voronoi cells, by measuring every pair."""
    rows, columns = weights.shape
    y, x = np.mgrid[:rows, :columns]
    places = np.stack([(x.ravel() + 0.5) * cell_x, (y.ravel() + 0.5) * cell_y], axis=1)
    square = ((places[:, None] - points[None]) ** 2).sum(axis=2)
    nearest = square.argmin(axis=1)
    mass = weights.ravel()
    sums = np.stack(
        [
            np.bincount(nearest, value, minlength=len(points))
            for value in (mass, mass * places[:, 0], mass * places[:, 1])
        ],
        axis=1,
    )
    return float((mass * square.min(axis=1)).sum()), sums


def plain_diffusion(values, weights, serpentine):
    """Error diffusion in exact fractions: full pixels, and every number before its threshold."""
    rest = [[Fraction(value) for value in row] for row in values]
    rows = len(rest)
    columns = len(rest[0])
    full = np.zeros((rows, columns), bool)
    for row in range(rows):
        order = range(columns)
        sign = 1
        if serpentine and row % 2:
            order = reversed(order)
            sign = -1
        for column in order:
            full[row, column] = rest[row][column] >= Fraction(1, 2)
            error = rest[row][column] - int(full[row, column])
            for (down, across), weight in weights.items():
                place = column + sign * across
                if row + down < rows and 0 <= place < columns:
                    rest[row + down][place] += error * weight
    return full, rest
