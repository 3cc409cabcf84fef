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


def plain_poisson_disk(area, starts, spacing, random) -> np.ndarray:
    """R. Bridson's sampling with all distances measured: the same random numbers in the same order
    as the kernel draws them.
    """
    found: list[tuple[float, float]] = []
    active: list[int] = []

    def is_taken(x: float, y: float) -> bool:
        free = all((a - x) ** 2 + (b - y) ** 2 >= spacing**2 for a, b in found)
        if free and shapely.contains_xy(area, x, y):
            active.append(len(found))
            found.append((x, y))
            return True
        return False

    for start in starts:
        is_taken(*start)
        while active:
            k = min(int(random.random() * len(active)), len(active) - 1)
            x, y = found[active[k]]
            for _ in range(30):
                turn = 2 * math.pi * random.random()
                far = spacing * math.sqrt(1 + 3 * random.random())
                if is_taken(x + far * math.cos(turn), y + far * math.sin(turn)):
                    break
            else:
                active[k] = active[-1]
                active.pop()
    return np.array(found).reshape(-1, 2)


def plain_packing(spots, room, smallest, gap) -> np.ndarray:
    """Circles, the widest first up to a tenth, with the distance to every circle that stands."""
    room = np.array(room)
    circles: list[tuple[float, float, float]] = []
    waiting = list(np.argsort(-room, kind="stable"))
    while waiting and room[waiting].max() >= smallest:
        enough = 0.9 * room[waiting].max()
        left = []
        for k in waiting:
            x, y = spots[k]
            if room[k] >= enough:
                rest = [math.hypot(a - x, b - y) - r - gap for a, b, r in circles]
                room[k] = min([room[k], *rest])
            if room[k] >= enough:
                circles.append((x, y, room[k]))
            elif room[k] >= smallest:
                left.append(k)
        waiting = left
    return np.array(circles).reshape(-1, 3)
