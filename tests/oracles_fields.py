"""Slow, obvious versions of what the fields' kernels do."""

from __future__ import annotations

import math

import numpy as np
import shapely

from plotlib.fields.lattice import PUBLISHED


def plain_perlin(x: float, y: float, z: float) -> float:
    """The published noise, one point at a time: eight corners, directions picked by the low bits of
    the hash.
    """
    cell = [math.floor(v) for v in (x, y, z)]
    inside = [v - c for v, c in zip((x, y, z), cell, strict=True)]
    fades = [t * t * t * (t * (t * 6 - 15) + 10) for t in inside]
    total = 0.0
    for corner in np.ndindex(2, 2, 2):
        i, j, k = (c + d for c, d in zip(cell, corner, strict=True))
        code = int(PUBLISHED[(PUBLISHED[(PUBLISHED[i % 256] + j) % 256] + k) % 256]) & 15
        dx, dy, dz = (t - d for t, d in zip(inside, corner, strict=True))
        u = dx if code < 8 else dy
        v = dy if code < 4 else dx if code in (12, 14) else dz
        dot = (u if code & 1 == 0 else -u) + (v if code & 2 == 0 else -v)
        total += dot * math.prod(f if d else 1 - f for f, d in zip(fades, corner, strict=True))
    return total


def nearest_lines(drawing) -> float:
    """The least distance of two different strokes, each pair measured by shapely."""
    lines = drawing.to_shapely()
    return min(
        (shapely.distance(a, b) for k, a in enumerate(lines) for b in lines[:k]), default=math.inf
    )


def covered(drawing, spots, spacing) -> float:
    """Share of the spots within ``spacing`` mm of a stroke."""
    lines = shapely.union_all(drawing.to_shapely())
    shapely.prepare(lines)
    return float((shapely.distance(shapely.points(spots), lines) <= spacing).mean())


def hidden(columns, profiles) -> list[np.ndarray]:
    """Which columns of each profile are above all nearer ones."""
    return [
        np.array(
            [all(profiles[j][c] < profiles[k][c] for j in range(k)) for c in range(len(columns))]
        )
        for k in range(len(profiles))
    ]
