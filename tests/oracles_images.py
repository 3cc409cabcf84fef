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


def plain_crossings(path):
    """Pairs of pieces of a path of whole places that meet, by exact areas of every pair."""
    places = [(int(x), int(y)) for x, y in path]

    def side(a, b, c):
        area = (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
        return (area > 0) - (area < 0)

    def on(a, b, c):
        return side(a, b, c) == 0 and all(
            min(a[k], b[k]) <= c[k] <= max(a[k], b[k]) for k in range(2)
        )

    found = set()
    for i in range(len(places) - 1):
        for j in range(i + 1, len(places) - 1):
            a, b, c, d = places[i], places[i + 1], places[j], places[j + 1]
            if j == i + 1:
                if on(a, b, d) or on(b, d, a):
                    found.add((i, j))
                continue
            is_proper = side(a, b, c) * side(a, b, d) < 0 and side(c, d, a) * side(c, d, b) < 0
            if is_proper or on(a, b, c) or on(a, b, d) or on(c, d, a) or on(c, d, b):
                found.add((i, j))
    return found
