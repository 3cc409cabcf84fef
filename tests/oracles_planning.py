"""Slow, obvious versions that the planner's kernels must match."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from itertools import pairwise

import numpy as np

from plotlib.planning.metric import Metric, distance_metric

Point = tuple[int, int]
Stroke = Sequence[Point]


METRIC = distance_metric(1.0)
TIMED = Metric(1.0, 0.02, 0.05, 0.003, 0.001)


def move(metric: Metric, dx: float, dy: float) -> float:
    """The textbook's trapezoid, or the distance."""
    if not metric.timed:
        return float(metric.pace_x * np.hypot(dx, dy))
    a = max(abs(dx) * metric.pace_x, abs(dy) * metric.pace_y)
    b = max(abs(dx) * metric.ramp_x, abs(dy) * metric.ramp_y)
    if a == 0:
        return 0.0
    return a + b / a if a * a >= b else 2 * b**0.5


def ragged(strokes: Iterable[Stroke]) -> tuple[np.ndarray, np.ndarray]:
    """Strokes as the arrays that the planner takes: points (N, 2) and offsets (M + 1,)."""
    listed = [list(stroke) for stroke in strokes]
    points = np.array([point for stroke in listed for point in stroke], dtype=np.int64).reshape(
        -1, 2
    )
    return points, np.cumsum([0] + [len(stroke) for stroke in listed]).astype(np.int64)


def strokes_of(points: np.ndarray, offsets: np.ndarray) -> list[list[Point]]:
    """And back again."""
    return [[(int(x), int(y)) for x, y in points[a:b]] for a, b in pairwise(offsets)]


def segments(strokes: Iterable[Stroke]) -> Counter[tuple[Point, Point]]:
    """The ink: how often each undirected segment is drawn (a dot is a segment from a point to
    itself).
    """
    ink: Counter[tuple[Point, Point]] = Counter()
    for stroke in strokes:
        pieces = list(pairwise(stroke)) or [(stroke[0], stroke[0])]
        ink.update((min(a, b), max(a, b)) for a, b in pieces)
    return ink


def euler_count(strokes: Iterable[Stroke]) -> int:
    """Fewest runs that draw the segments: max(1, odd points / 2) for each connected part, and one
    for each dot.
    """
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
        part = set()
        heap = [min(unseen)]
        while heap:
            point = heap.pop()
            if point not in part:
                part.add(point)
                heap.extend(near[point])
        unseen -= part
        count += max(1, sum(degree[point] % 2 for point in part) // 2)
    return count


def polyline_seconds(
    points: np.ndarray,
    *,
    feed: float,
    rates: Sequence[float],
    accelerations: Sequence[float],
    path_tolerance: float,
    look_ahead: int,
) -> float:
    """Seconds of one polyline in mm (mm/s, mm/s²), each speed found by looking at every later and
    earlier point in turn.
    """
    steps = np.diff(np.asarray(points, dtype=float), axis=0)
    steps = steps[np.hypot(*steps.T) > 0]
    length = np.hypot(*steps.T)
    count = len(steps)
    along = [steps[i] / length[i] for i in range(count)]
    limit = [
        min([feed] + [rates[k] / abs(along[i][k]) for k in (0, 1) if along[i][k]])
        for i in range(count)
    ]
    power = [
        min(accelerations[k] / abs(along[i][k]) for k in (0, 1) if along[i][k])
        for i in range(count)
    ]
    allowed = [0.0]
    for i in range(1, count):
        u = along[i - 1]
        w = along[i]
        half = np.arccos(np.clip(-(u @ w), -1, 1)) / 2  # half the angle between the segments
        if half > np.pi / 2 - 1e-9:
            allowed.append(min(limit[i - 1], limit[i]))
            continue
        turned = np.arctan2(u[0] * w[1] - u[1] * w[0], u @ w)
        normals = (
            np.arctan2(u[1], u[0])
            + np.sign(turned) * np.pi / 2
            + turned * np.linspace(0, 1, 20_001)
        )
        with np.errstate(divide="ignore"):
            give = min(
                (accelerations[0] / np.abs(np.cos(normals))).min(),
                (accelerations[1] / np.abs(np.sin(normals))).min(),
            )
        radius = min(
            path_tolerance * np.sin(half) / (1 - np.sin(half)),
            min(length[i - 1], length[i]) / 2 * np.tan(half),
        )
        allowed.append(min(limit[i - 1], limit[i], np.sqrt(give * radius)))
    allowed.append(0.0)
    speeds = []
    for i in range(count + 1):
        squares = [allowed[i] ** 2]
        for j in range(
            i + 1, min(i + look_ahead - 1, count) + 1
        ):  # slow down in time for each later corner, stop at the last known point
            gained = sum(2 * power[m] * length[m] for m in range(i, j))
            squares.append((allowed[j] ** 2 if j < i + look_ahead - 1 else 0.0) + gained)
        if look_ahead == 1:
            squares.append(0.0)
        speeds.append(np.sqrt(min(squares)))
    for i in range(count):
        speeds[i + 1] = min(speeds[i + 1], np.sqrt(speeds[i] ** 2 + 2 * power[i] * length[i]))
    total = 0.0
    for i in range(count):
        v0 = speeds[i]
        v1 = speeds[i + 1]
        a = power[i]
        top = min(limit[i], np.sqrt(a * length[i] + (v0**2 + v1**2) / 2))
        cruise = length[i] - (top**2 - v0**2) / (2 * a) - (top**2 - v1**2) / (2 * a)
        total += (top - v0) / a + (top - v1) / a + cruise / top
    return total


def distance_cost(a: Point, b: Point) -> float:
    return float(np.hypot(a[0] - b[0], a[1] - b[1]))


class TimeCost:
    """Seconds from rest to rest along the straight line, by the speed and acceleration that the
    axes allow in its direction.
    """

    def __init__(self, rates: Sequence[float], accelerations: Sequence[float]) -> None:
        self.rates = rates
        self.accelerations = accelerations

    def __call__(self, a: Point, b: Point) -> float:
        d = abs(a[0] - b[0]), abs(a[1] - b[1])
        length = float(np.hypot(*d))
        if length == 0.0:
            return 0.0
        top = min(rate * length / d[k] for k, rate in enumerate(self.rates) if d[k])
        power = min(
            acceleration * length / d[k]
            for k, acceleration in enumerate(self.accelerations)
            if d[k]
        )
        if power * length <= top**2:
            return float(2 * np.sqrt(length / power))
        return float(length / top + top / power)


def passages(stroke: Stroke) -> list[tuple[Point, Point]]:
    """The ways to draw a run, as (entry, exit): both directions, or from any vertex where it is
    closed.
    """
    if len(stroke) >= 3 and stroke[0] == stroke[-1]:
        return [(vertex, vertex) for vertex in stroke[:-1]]
    return [(stroke[0], stroke[-1]), (stroke[-1], stroke[0])]


def exact_cost(strokes: Sequence[Stroke], cost, home: Point | None, finish: Point | None) -> float:
    """Least cost of all pen-up moves, by dynamic programming over the subsets of the runs."""
    ways = [passages(stroke) for stroke in strokes]
    if not ways:
        return cost(home, finish) if home is not None and finish is not None else 0.0
    best: dict[tuple[int, Point], float] = {}
    for k, passage in enumerate(ways):
        for entry, leave in passage:
            reached = 0.0 if home is None else cost(home, entry)
            best[1 << k, leave] = min(reached, best.get((1 << k, leave), np.inf))
    for _ in range(len(ways) - 1):
        longer: dict[tuple[int, Point], float] = {}
        for (done, at), spent in best.items():
            for k, passage in enumerate(ways):
                if not done >> k & 1:
                    for entry, leave in passage:
                        state = done | 1 << k, leave
                        longer[state] = min(spent + cost(at, entry), longer.get(state, np.inf))
        best = longer
    return min(
        spent + (0.0 if finish is None else cost(at, finish)) for (_, at), spent in best.items()
    )
