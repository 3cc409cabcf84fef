"""Compiled: the weighted Voronoi cells of points on a grid of pixels.

A. Secord, *Weighted Voronoi Stippling*, NPAR 2002: each pixel belongs to the nearest point, and a
point's next place is the centroid of its pixels by their weights. Pixels are mass points, so a
round can only lower the energy, the sum over pixels of weight times squared distance: first by the
new places with the old cells, then by the new cells.

Points are sorted by the buckets of a square grid, row by row, so that those of neighbouring buckets
in a row are one range. The search for the nearest of a pixel starts with the point of the pixel
before it, and looks at those rows and ranges only that are nearer than the nearest so far; it is
exact. ``plain_cells`` in ``tests/oracles_images.py``, which measures every pair, tests it.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from plotlib.checks import FloatArray, IntArray
from plotlib.compiled import compiled


class Sites(NamedTuple):
    """Points sorted by bucket."""

    points: FloatArray  # (n, 2) in mm from the lower left corner of the pixels
    first: IntArray  # (rows * columns + 1,) where the points of each bucket begin
    rows: int
    columns: int
    bucket: float  # side of a bucket in mm


@compiled
def tally(
    weights: FloatArray,
    first_row: int,
    last_row: int,
    pixel_x: float,
    pixel_y: float,
    sites: Sites,
    sums: FloatArray,
) -> float:
    """Add each pixel of some rows of ``weights`` (rows, columns; row 0 lowest) to its nearest
    point: to ``sums`` (n, 3) weight, weight times x, weight times y. Returns the energy.
    """
    energy = 0.0
    for row in range(first_row, last_row):
        y = (row + 0.5) * pixel_y
        nearest = -1
        for column in range(weights.shape[1]):
            weight = weights[row, column]
            if weight <= 0.0:
                continue
            x = (column + 0.5) * pixel_x
            nearest = find(sites, x, y, nearest)
            dx = sites.points[nearest, 0] - x
            dy = sites.points[nearest, 1] - y
            energy += weight * (dx * dx + dy * dy)
            sums[nearest, 0] += weight
            sums[nearest, 1] += weight * x
            sums[nearest, 2] += weight * y
    return energy


@compiled
def find(sites: Sites, x: float, y: float, guess: int) -> int:
    """The point nearest to (x, y), starting from a guess (-1: none)."""
    points = sites.points
    bucket = sites.bucket
    nearest = max(guess, 0)
    dx = points[nearest, 0] - x
    dy = points[nearest, 1] - y
    square = dx * dx + dy * dy
    middle = min(max(int(y / bucket), 0), sites.rows - 1)
    for way in (1, -1):
        row = middle if way == 1 else middle - 1
        while 0 <= row < sites.rows:
            apart = 0.0
            if row > middle:
                apart = row * bucket - y
            elif row < middle:
                apart = y - (row + 1) * bucket
            if apart > 0.0 and apart * apart >= square:
                break
            half = math.sqrt(max(square - apart * apart, 0.0)) if apart > 0.0 else math.sqrt(square)
            left = min(max(int((x - half) / bucket), 0), sites.columns - 1)
            right = min(max(int((x + half) / bucket), 0), sites.columns - 1)
            begin = sites.first[row * sites.columns + left]
            end = sites.first[row * sites.columns + right + 1]
            for k in range(begin, end):
                dx = points[k, 0] - x
                dy = points[k, 1] - y
                other = dx * dx + dy * dy
                if other < square:
                    square = other
                    nearest = k
            row += way
    return nearest


def sorted_sites(points: FloatArray, width: float, height: float) -> tuple[Sites, IntArray]:
    """The points in buckets of about two each, and the order that sorted them."""
    bucket = math.sqrt(2.0 * width * height / max(len(points), 1))
    columns = int(width / bucket) + 1
    rows = int(height / bucket) + 1
    column = np.clip((points[:, 0] / bucket).astype(np.int64), 0, columns - 1)
    row = np.clip((points[:, 1] / bucket).astype(np.int64), 0, rows - 1)
    place = row * columns + column
    order = np.argsort(place, kind="stable")
    first = np.zeros(rows * columns + 1, np.int64)
    np.cumsum(np.bincount(place, minlength=rows * columns), out=first[1:])
    return Sites(np.ascontiguousarray(points[order]), first, rows, columns, bucket), order
