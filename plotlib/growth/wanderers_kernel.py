"""Compiled: walks that turn at random and keep a distance from all lines.

Correlated random walks: C. S. Patlak, *Random Walk with Persistence and External Bias*, Bulletin of
Mathematical Biophysics 15, 1953; P. M. Kareiva, N. Shigesada, *Analyzing Insect Movement as a
Correlated Random Walk*, Oecologia 56, 1983. Each step turns by a normal deviate (G. E. P. Box,
M. E. Muller, 1958).

Invariant: no node is nearer than ``apart`` to a node of another walk, or to one of its own that is
more than ``skip`` steps back; a step that would be nearer is tried again with turns more and more
to both sides, and a walk that finds none ends. Nodes stand in lists by square cells of side
``apart``, the latest first, so that a walk can be taken back.

``tests/growth/test_wanderers.py`` tests distances by shapely, and the mean square way against the
published formula.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from plotlib.checks import AnyInts, FloatArray
from plotlib.compiled import compiled
from plotlib.growth.colonisation_kernel import Ground, has_room
from plotlib.growth.random_kernel import State, uniform

_TRIES = 12  # turns to each side


class Paths(NamedTuple):
    """All nodes so far."""

    at: FloatArray  # (capacity, 2)
    heads: AnyInts  # (rows, columns) the latest node in a cell, -1 for none
    following: AnyInts  # (capacity,) the one before it in the same cell, -1 for none


class Gait(NamedTuple):
    """How a wanderer walks."""

    step: float  # mm
    spread: float  # radians, the standard deviation of a turn
    most: float  # radians, the greatest turn
    apart: float  # mm, between nodes; 0 for no distance
    skip: int  # own nodes that may be nearer


@compiled
def is_clear(paths: Paths, ground: Ground, gait: Gait, x: float, y: float, limit: int) -> bool:
    """Whether (x, y) is in the room and no node before ``limit`` is too near."""
    if not has_room(ground, x, y):
        return False
    if gait.apart <= 0.0:
        return True
    row = int((y - ground.origin[1]) / gait.apart)
    column = int((x - ground.origin[0]) / gait.apart)
    rows, columns = paths.heads.shape
    for j in range(max(row - 1, 0), min(row + 2, rows)):
        for i in range(max(column - 1, 0), min(column + 2, columns)):
            k = paths.heads[j, i]
            while k >= 0:
                dx = paths.at[k, 0] - x
                dy = paths.at[k, 1] - y
                if k < limit and dx * dx + dy * dy < gait.apart * gait.apart:
                    return False
                k = paths.following[k]
    return True


@compiled
def enter(paths: Paths, ground: Ground, gait: Gait, k: int, x: float, y: float) -> None:
    """Set node k."""
    paths.at[k, 0] = x
    paths.at[k, 1] = y
    if gait.apart > 0.0:
        row = int((y - ground.origin[1]) / gait.apart)
        column = int((x - ground.origin[0]) / gait.apart)
        paths.following[k] = paths.heads[row, column]
        paths.heads[row, column] = k


@compiled
def take_back(paths: Paths, ground: Ground, gait: Gait, first: int, end: int) -> None:
    """Take nodes ``first`` … ``end`` - 1, the latest ones, out of their lists."""
    if gait.apart <= 0.0:
        return
    for k in range(end - 1, first - 1, -1):
        row = int((paths.at[k, 1] - ground.origin[1]) / gait.apart)
        column = int((paths.at[k, 0] - ground.origin[0]) / gait.apart)
        paths.heads[row, column] = paths.following[k]


@compiled
def walk(
    paths: Paths, ground: Ground, gait: Gait, state: State, start: FloatArray, first: int, end: int
) -> int:
    """Walk from ``start`` (2,), as nodes ``first`` … ``end`` - 1 at most; one past the last node,
    or ``first`` if there is no room to start.
    """
    x = start[0]
    y = start[1]
    if not is_clear(paths, ground, gait, x, y, first):
        return first
    enter(paths, ground, gait, first, x, y)
    heading = 2.0 * math.pi * uniform(state)
    for k in range(first + 1, end):
        deviate = math.sqrt(-2.0 * math.log(1.0 - uniform(state)))
        wish = gait.spread * deviate * math.cos(2.0 * math.pi * uniform(state))
        limit = max(first, k - gait.skip)
        found = False
        for n in range(2 * _TRIES + 1):
            side = (n + 1) // 2 if n % 2 else -(n // 2)
            turn = wish + side * gait.most / _TRIES
            if n > 0 and abs(turn) > gait.most:
                continue
            u = x + gait.step * math.cos(heading + turn)
            v = y + gait.step * math.sin(heading + turn)
            if is_clear(paths, ground, gait, u, v, limit):
                found = True
                break
        if not found:
            return k
        heading += turn
        x = u
        y = v
        enter(paths, ground, gait, k, x, y)
    return end
