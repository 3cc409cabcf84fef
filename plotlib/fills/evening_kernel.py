"""A closed line pushed to the middle between its neighbours, never across them.

Each vertex goes along its normal towards the middle between the next passes to both sides (the
edge of the area counts twice, as a pass is to lie half a spacing from it): Lloyd's relaxation, to
the end to which Zhao et al. (2016) smooth their spirals, as a heavy ball (B. T. Polyak, "Some
methods of speeding up the convergence of iteration methods", 1964). Where nothing faces a vertex,
as at the corner of a ring, the spacing counts as seen, so that rings keep their corners. The tip of
a finger goes on until it is nearly a spacing from what lies ahead.

Invariant: no vertex is further from ``home``, where it was when it looked, than ``KEEP`` of its
``room``: the line stays simple and on its side of the edge (see ``evening_look``).

Oracle: ``tests/oracles_fills.py::pushed_slowly``, one move written after these sentences.

Arrays: ``points`` and ``velocity`` (n, 2), ``walls`` (m, 4) the segments of the edge.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from plotlib.checks import BoolArray, FloatArray
from plotlib.compiled import compiled
from plotlib.fills.evening_cells import following, normal_of, turned
from plotlib.fills.evening_look import FRONT, REACH, Sights

KEEP = 0.45  # of the room
_SPEED = 0.2  # of the difference of both sides: 0.25 would be the whole way to the middle
_MOMENTUM = 0.7  # of the last move
_STIFF = 0.03  # of the way to the middle of both neighbours on the line
_ROUND = 0.1  # the same at the tip of a finger
_AHEAD = 0.9  # spacings that a tip keeps from what lies ahead, as its sides are further from it
_STILL = 0.01  # spacings; who has less to go sleeps
_MITRE = 1.5  # times as far as its sides a corner moves at the most


class Line(NamedTuple):
    """A closed line on its way: its points (n, 2), their last moves (n, 2), and which of them have
    still to go (n,).
    """

    points: FloatArray
    velocity: FloatArray
    awake: BoolArray


@compiled
def place_of(
    points: FloatArray, walls: FloatArray, k: int, sights: Sights, side: int
) -> tuple[float, float]:
    """Where, from a vertex, the place is that it has seen on a side."""
    count = len(points)
    j = sights.hits[k, side]
    share = sights.shares[k, side]
    if j >= count:
        ax, ay, bx, by = walls[j - count]
    else:
        ax, ay = points[j]
        bx, by = points[following(j, count)]
    return ax + share * (bx - ax) - points[k, 0], ay + share * (by - ay) - points[k, 1]


@compiled
def sight_of(
    points: FloatArray,
    walls: FloatArray,
    k: int,
    normal: tuple[float, float],
    sights: Sights,
    side: int,
    gap: float,
) -> float:
    """How far it is from a vertex along the normal to what it has seen on a side; the gap if it has
    seen nothing.
    """
    j = sights.hits[k, side]
    if j < 0:
        return gap
    x, y = place_of(points, walls, k, sights, side)
    far = abs(x * normal[0] + y * normal[1])
    return min(far if j < len(points) else 2.0 * far, REACH * gap)


@compiled
def ahead_of(points: FloatArray, walls: FloatArray, k: int, sights: Sights, gap: float) -> float:
    """How far it is from the tip of a finger to what it has seen ahead."""
    j = sights.hits[k, 0]
    if j < 0:
        return REACH * gap
    x, y = place_of(points, walls, k, sights, 0)
    far = np.sqrt(x * x + y * y)
    return float(far if j < len(points) else 2.0 * far)


@compiled
def smoothed(push: FloatArray) -> FloatArray:
    """Means of each push and those of both neighbours."""
    result = np.empty(len(push))
    for k in range(len(push)):
        result[k] = (push[k - 1] + 2.0 * push[k] + push[following(k, len(push))]) / 4.0
    return result


@compiled
def pushes(points: FloatArray, walls: FloatArray, sights: Sights, gap: float) -> FloatArray:
    """How far each vertex is pushed to its left by what it sees on both sides, in mm (n,)."""
    count = len(points)
    push = np.zeros(count)
    for k in range(count):
        is_tip = sights.axes[k, 0] != 0.0 or sights.axes[k, 1] != 0.0
        if sights.active[k] and not is_tip:
            normal = normal_of(points, k)
            left = sight_of(points, walls, k, normal, sights, 0, gap)
            right = sight_of(points, walls, k, normal, sights, 1, gap)
            push[k] = _SPEED * (left - right)
    return push


@compiled
def move_of(
    points: FloatArray, walls: FloatArray, k: int, push: float, sights: Sights, gap: float
) -> tuple[float, float]:
    """The way that a vertex would go, in mm: along its normal, at a corner so much further that the
    sides keep parallel, at the tip of a finger along its axis.
    """
    after = following(k, len(points))
    to_x = (points[k - 1, 0] + points[after, 0]) / 2.0 - points[k, 0]
    to_y = (points[k - 1, 1] + points[after, 1]) / 2.0 - points[k, 1]
    x, y = sights.axes[k]
    if x != 0.0 or y != 0.0:
        push = _SPEED * (ahead_of(points, walls, k, sights, gap) - _AHEAD * gap)
        x = push * x + _ROUND * to_x
        y = push * y + _ROUND * to_y
        return x, y
    normal = normal_of(points, k)
    cosine = turned(points, k)
    push *= min(np.sqrt(2.0 / max(1.0 + cosine, 0.1)), _MITRE)
    stiff = _STIFF if cosine >= FRONT else 0.0
    x = push * normal[0] + stiff * to_x
    y = push * normal[1] + stiff * to_y
    return x, y


@compiled
def step(points: FloatArray, home: FloatArray, velocity: FloatArray, k: int, most: float) -> None:
    """Move a vertex by its velocity, as far as ``most`` from home."""
    x = points[k, 0] + velocity[k, 0] - home[k, 0]
    y = points[k, 1] + velocity[k, 1] - home[k, 1]
    size = np.sqrt(x * x + y * y)
    share = most / size if size > most else 1.0
    points[k, 0] = home[k, 0] + share * x
    points[k, 1] = home[k, 1] + share * y


@compiled
def pushed(line: Line, home: FloatArray, walls: FloatArray, sights: Sights, gap: float) -> Line:
    """The line after one move more since it looked, from ``home`` (n, 2)."""
    points = line.points.copy()
    velocity = line.velocity.copy()
    count = len(points)
    awake = np.zeros(count, np.bool_)
    push = smoothed(smoothed(pushes(points, walls, sights, gap)))
    for k in range(count):
        if not sights.active[k]:
            velocity[k] = 0.0
            continue
        x, y = move_of(line.points, walls, k, push[k], sights, gap)
        velocity[k, 0] = _MOMENTUM * velocity[k, 0] + x
        velocity[k, 1] = _MOMENTUM * velocity[k, 1] + y
        step(points, home, velocity, k, KEEP * min(sights.room[k], gap))
        size = np.sqrt(velocity[k, 0] ** 2 + velocity[k, 1] ** 2)
        awake[k] = size > _STILL * gap
    return Line(points, velocity, awake)
