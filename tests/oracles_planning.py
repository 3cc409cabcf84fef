"""Slow, obvious versions that the planner's kernels must match."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from itertools import pairwise

import numpy as np

Point = tuple[int, int]
Stroke = Sequence[Point]


def ragged(strokes: Iterable[Stroke]) -> tuple[np.ndarray, np.ndarray]:
    """Strokes as the arrays that the planner takes: points (N, 2) and offsets (M + 1,)."""
    listed = [list(stroke) for stroke in strokes]
    points = np.array([point for stroke in listed for point in stroke], dtype=np.int64).reshape(-1, 2)
    return points, np.cumsum([0] + [len(stroke) for stroke in listed]).astype(np.int64)


def strokes_of(points: np.ndarray, offsets: np.ndarray) -> list[list[Point]]:
    """And back again."""
    return [[(int(x), int(y)) for x, y in points[a:b]] for a, b in pairwise(offsets)]


def segments(strokes: Iterable[Stroke]) -> Counter[tuple[Point, Point]]:
    """The ink: how often each undirected segment is drawn (a dot is a segment from a point to itself)."""
    ink: Counter[tuple[Point, Point]] = Counter()
    for stroke in strokes:
        pieces = list(pairwise(stroke)) or [(stroke[0], stroke[0])]
        ink.update((min(a, b), max(a, b)) for a, b in pieces)
    return ink


def euler_count(strokes: Iterable[Stroke]) -> int:
    """Fewest runs that draw the segments: max(1, odd points / 2) for each connected part, and one for each dot."""
    strokes = list(strokes)
    degree: Counter[Point] = Counter()
    near: dict[Point, set[Point]] = defaultdict(set)
    for stroke in strokes:
        for a, b in pairwise(stroke):
            degree[a] += 1
            degree[b] += 1
            near[a].add(b)
            near[b].add(a)
    count = sum(len(stroke) == 1 for stroke in strokes)
    unseen = set(near)
    while unseen:
        part, heap = set(), [min(unseen)]
        while heap:
            point = heap.pop()
            if point not in part:
                part.add(point)
                heap.extend(near[point])
        unseen -= part
        count += max(1, sum(degree[point] % 2 for point in part) // 2)
    return count
