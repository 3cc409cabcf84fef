"""Compiled: diffusion-limited aggregation off the lattice.

T. A. Witten, L. M. Sander, *Diffusion-Limited Aggregation, a Kinetic Critical Phenomenon*, Physical
Review Letters 47, 1981. A walker comes from far away and sticks where it touches.

Between touches it does not walk but jumps: onto a circle round it that holds no particle, where it
would come out at any angle alike. How large that circle may be is told by grids of cells, each of
twice the side of the one below: with no particle in a cell and the eight around it, none is within
its side. From beyond the outer circle it comes back onto the launching circle by the Poisson kernel
of the outside of a circle, as if it had walked on forever: nothing is killed, so nothing is biased.

Lengths are in diameters of a particle. ``heads`` and ``following`` list the particles of each cell
of side 1; ``levels`` are bytes, level after level of 2, 4, 8 … a side, 1 where there is a particle.

``tests/growth/test_aggregate.py`` tests contacts, grids and the return; ``tests/published`` the
fractal dimension.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from plotlib.checks import AnyInts, BoolArray, FloatArray
from plotlib.compiled import compiled
from plotlib.growth.random_kernel import uniform

TOUCH = 0.01  # diameters: a walker that is nearer to contact touches
LOST = 0.1  # walkers without room for each particle: then the area is full
_FAR = 1.5  # launching radii: from there a walker is brought back


class Cluster(NamedTuple):
    """Particles and where to find them; the middle of all is (0, 0)."""

    at: FloatArray  # (capacity, 2)
    parent: AnyInts  # (capacity,), -1 for those of the start
    following: AnyInts  # (capacity,)
    heads: AnyInts  # (rows, columns)
    levels: NDArray[Any]  # (all,) uint8
    starts: AnyInts  # (depth + 1,) where a level begins in `levels`
    sizes: AnyInts  # (depth, 2) rows and columns of a level
    corner: FloatArray  # (2,) the lower left corner of the cells
    radius: FloatArray  # (1,) of the outermost particle
    counts: AnyInts  # (2,) particles, walkers that found no room
    state: Any  # (1,) of random_kernel


class Ground(NamedTuple):
    """Where particles may be, ``room.py`` in diameters from the middle."""

    is_in: BoolArray  # (rows, columns)
    origin: FloatArray  # (4,)


@compiled
def add(cluster: Cluster, x: float, y: float, parent: int) -> None:
    k = cluster.counts[0]
    cluster.at[k, 0] = x
    cluster.at[k, 1] = y
    cluster.parent[k] = parent
    column = int(np.floor(x - cluster.corner[0]))
    row = int(np.floor(y - cluster.corner[1]))
    cluster.following[k] = cluster.heads[row, column]
    cluster.heads[row, column] = k
    for level in range(len(cluster.sizes)):
        row //= 2
        column //= 2
        at = cluster.starts[level] + row * cluster.sizes[level, 1] + column
        cluster.levels[at] = 1
    cluster.radius[0] = max(cluster.radius[0], np.sqrt(x * x + y * y))
    cluster.counts[0] = k + 1


@compiled
def is_empty(cluster: Cluster, level: int, row: int, column: int) -> bool:
    """Whether a cell of a level and all around it hold nothing."""
    rows = cluster.sizes[level, 0]
    columns = cluster.sizes[level, 1]
    for j in range(max(row - 1, 0), min(row + 2, rows)):
        for i in range(max(column - 1, 0), min(column + 2, columns)):
            if cluster.levels[cluster.starts[level] + j * columns + i]:
                return False
    return True


@compiled
def free_jump(cluster: Cluster, x: float, y: float) -> float:
    """How far a walker may jump by the coarse grids, 0 where it is too near for them."""
    column = int(np.floor(x - cluster.corner[0]))
    row = int(np.floor(y - cluster.corner[1]))
    jump = 0.0
    side = 1.0
    for level in range(len(cluster.sizes)):
        row //= 2
        column //= 2
        side *= 2.0
        if not is_empty(cluster, level, row, column):
            break
        jump = side - 1.0
    return jump


@compiled
def nearest(cluster: Cluster, x: float, y: float) -> int:
    """The nearest particle within 2 diameters, or -1."""
    column = int(np.floor(x - cluster.corner[0]))
    row = int(np.floor(y - cluster.corner[1]))
    best = -1
    least = 4.0
    for j in range(max(row - 2, 0), min(row + 3, cluster.heads.shape[0])):
        for i in range(max(column - 2, 0), min(column + 3, cluster.heads.shape[1])):
            k = cluster.heads[j, i]
            while k >= 0:
                dx = cluster.at[k, 0] - x
                dy = cluster.at[k, 1] - y
                if dx * dx + dy * dy < least:
                    least = dx * dx + dy * dy
                    best = k
                k = cluster.following[k]
    return best


@compiled
def returned(state: Any, x: float, y: float, radius: float) -> tuple[float, float]:
    """Where a walk from outside a circle first comes onto it."""
    far = np.sqrt(x * x + y * y)
    turn = np.pi * (uniform(state) - 0.5)
    angle = np.arctan2(y, x) + 2.0 * np.arctan((far - radius) / (far + radius) * np.tan(turn))
    return radius * np.cos(angle), radius * np.sin(angle)


@compiled
def is_lost_in_rounding(x: float, y: float, jump: float) -> bool:
    """Whether no jump of this length leads anywhere: so close to the outermost circle may a walker
    come, since each of its jumps there about halves the way.
    """
    return x + jump == x == x - jump and y + jump == y == y - jump


@compiled
def walk(cluster: Cluster, ground: Ground, most: int, budget: int, patience: int) -> int:
    """Send walkers until there are ``most`` particles, jumps exceed the budget, or ``patience``
    walkers and a tenth of all found no room; how many jumps.
    """
    jumps = 0
    while cluster.counts[0] < most and jumps < budget and not is_full(cluster, patience):
        launch = cluster.radius[0] + 3.0
        angle = 2.0 * np.pi * uniform(cluster.state)
        x = launch * np.cos(angle)
        y = launch * np.sin(angle)
        touched = -1
        while touched < 0:
            jumps += 1
            far = np.sqrt(x * x + y * y)
            if far > _FAR * launch:
                x, y = returned(cluster.state, x, y, launch)
                continue
            jump = far - cluster.radius[0] - 1.0
            if jump < 1.0:
                jump = max(jump, free_jump(cluster, x, y))
            if jump <= 0.0 or is_lost_in_rounding(x, y, jump):
                k = nearest(cluster, x, y)
                jump = 1.0
                if k >= 0:
                    jump = np.hypot(x - cluster.at[k, 0], y - cluster.at[k, 1]) - 1.0
                    if jump < TOUCH:
                        touched = k
            if touched < 0:
                angle = 2.0 * np.pi * uniform(cluster.state)
                x += jump * np.cos(angle)
                y += jump * np.sin(angle)
        stick(cluster, ground, x, y, touched)
    return jumps


@compiled
def is_full(cluster: Cluster, patience: int) -> bool:
    """Whether so many found no room that what came would run along the edge only."""
    return bool(cluster.counts[1] >= patience + LOST * cluster.counts[0])


@compiled
def stick(cluster: Cluster, ground: Ground, x: float, y: float, k: int) -> None:
    """Put a walker beside the particle that it touches, if there is room."""
    dx = x - cluster.at[k, 0]
    dy = y - cluster.at[k, 1]
    far = np.hypot(dx, dy)
    x = cluster.at[k, 0] + dx / far
    y = cluster.at[k, 1] + dy / far
    column = int(np.floor((x - ground.origin[0]) / ground.origin[2]))
    row = int(np.floor((y - ground.origin[1]) / ground.origin[3]))
    inside = 0 <= row < ground.is_in.shape[0] and 0 <= column < ground.is_in.shape[1]
    if inside and ground.is_in[row, column]:
        add(cluster, x, y, k)
    else:
        cluster.counts[1] += 1
