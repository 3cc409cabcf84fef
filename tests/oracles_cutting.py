"""Slow, obvious versions of cutting and of the even-odd rule, in exact rational arithmetic."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction
from itertools import pairwise

import numpy as np
import shapely

Point = tuple[Fraction, Fraction]
Edge = tuple[Point, Point]


def exact(points: Iterable[Sequence[float]]) -> list[Point]:
    """Points as exact fractions (each float is one)."""
    return [(Fraction(float(x)), Fraction(float(y))) for x, y in points]


def edges_of(area: shapely.Polygon | shapely.MultiPolygon) -> list[Edge]:
    """All edges of all rings."""
    return [
        edge
        for ring in shapely.get_rings(shapely.get_parts(area))
        for edge in pairwise(exact(shapely.get_coordinates(ring)))
        if edge[0] != edge[1]
    ]


def turn(a: Point, b: Point, c: Point) -> Fraction:
    """Twice the signed area of a triangle."""
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def on_edge(point: Point, edge: Edge) -> bool:
    """Whether a point lies on a closed edge."""
    (a, b) = edge
    (x, y) = point
    return (
        turn(a, b, point) == 0
        and min(a[0], b[0]) <= x <= max(a[0], b[0])
        and min(a[1], b[1]) <= y <= max(a[1], b[1])
    )


def odd(point: Point, edges: Iterable[Edge]) -> bool:
    """Whether a ray to the left crosses an odd number of edges."""
    count = 0
    for one, two in edges:
        low, high = sorted((one, two), key=lambda end: end[1])
        if low[1] <= point[1] < high[1] and turn(low, high, point) < 0:
            count += 1
    return count % 2 == 1


def holds(edges: list[Edge], point: Point) -> bool:
    """Whether a valid area holds a point, its edges included."""
    return any(on_edge(point, edge) for edge in edges) or odd(point, edges)


def shares(p: Point, q: Point, edges: Iterable[Edge]) -> list[Fraction]:
    """Where along a segment it meets edges, from 0 to 1, both included."""
    way = (q[0] - p[0], q[1] - p[1])
    square = way[0] ** 2 + way[1] ** 2
    found = {Fraction(0), Fraction(1)}
    for a, b in edges:
        p_off = turn(a, b, p)
        q_off = turn(a, b, q)
        if p_off != q_off:
            share = p_off / (p_off - q_off)
            if on_edge((p[0] + share * way[0], p[1] + share * way[1]), (a, b)):
                found.add(share)
        else:
            found.update(
                ((end[0] - p[0]) * way[0] + (end[1] - p[1]) * way[1]) / square for end in (a, b)
            )
    return sorted(share for share in found if 0 <= share <= 1)


def cut_exactly(
    stroke: Sequence[Sequence[float]], area: shapely.Polygon | shapely.MultiPolygon, keep: str
) -> list[list[Point]]:
    """Pieces of one stroke: each bit of ink belongs to the side on which its middle lies."""
    points = exact(stroke)
    edges = edges_of(area)
    nodes: list[tuple[Point, bool]] = [(points[0], True)]
    sides: list[bool | None] = []
    for p, q in pairwise(points):
        for one, two in pairwise(shares(p, q, edges) if p != q else [Fraction(0), Fraction(1)]):
            middle, end = (
                (p[0] + share * (q[0] - p[0]), p[1] + share * (q[1] - p[1]))
                for share in ((one + two) / 2, two)
            )
            nodes.append((end, two == 1))
            sides.append(holds(edges, middle) if p != q else None)
    known = [side for side in sides if side is not None]
    if not known:
        return [points] if holds(edges, points[0]) == (keep == "inside") else []
    runs: list[tuple[bool, list[tuple[Point, bool]]]] = []
    side = known[0]
    for own, start, end in zip(sides, nodes, nodes[1:], strict=False):
        changed = own is not None and own != side
        side = side if own is None else own
        if changed or not runs:
            runs.append((side, [start]))
        runs[-1][1].append(end)
    if points[0] == points[-1] and len(runs) > 1 and runs[0][0] == runs[-1][0]:
        runs[-1][1].extend(runs.pop(0)[1][1:])
    return [_plain(run) for side, run in runs if side == (keep == "inside")]


def _plain(run: list[tuple[Point, bool]]) -> list[Point]:
    """A run without the meetings along it at which nothing was cut."""
    return [
        point for index, (point, given) in enumerate(run) if given or index in (0, len(run) - 1)
    ]


def ragged(strokes: Iterable[Sequence[Sequence[float]]]) -> tuple[np.ndarray, np.ndarray]:
    """Strokes as points and offsets."""
    arrays = [np.asarray(stroke, dtype=np.float64).reshape(-1, 2) for stroke in strokes]
    offsets = np.append(0, np.cumsum([len(array) for array in arrays], dtype=np.int64)).astype(
        np.int64
    )
    return np.concatenate([np.empty((0, 2)), *arrays]), offsets


def strokes_of(points: np.ndarray, offsets: np.ndarray) -> list[np.ndarray]:
    """The arrays of ragged strokes."""
    return [points[low:high] for low, high in pairwise(offsets)]


def length_of(points: np.ndarray, offsets: np.ndarray) -> float:
    """Length of all strokes."""
    return float(
        sum(np.hypot(*np.diff(stroke, axis=0).T).sum() for stroke in strokes_of(points, offsets))
    )
