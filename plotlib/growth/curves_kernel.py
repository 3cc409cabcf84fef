"""Compiled: steps of differential growth, by which curves lengthen and never cross.

Forces as in H. Pedersen, K. Singh, *Organic Labyrinths and Mazes*, NPAR 2006: a spring along each
edge, fairing towards the middle of both neighbours, repulsion from what is near; new nodes come in
the middle of edges by chance.

Invariants, after every step and at every moment within it:

1. No edge is longer than ``rules.longest``. A node goes at most 0.45 of what its edges lack.
2. No node is nearer than ``rules.gap`` to an edge that it does not belong to. The distance of two
   edges is that of an end of one from the other, so this keeps all edges apart that share no node,
   and the corners between the others open. A node goes at most 0.45 of what the distances of both
   of its edges exceed the gap by; a point of an edge goes no farther than one of its ends does, and
   twice 0.45 of the excess is less than the excess.

So curves that do not cross at the start never do, whatever the forces are. The edge of the area is
made of nodes too, which stay where they are: what begins within the area stays within.

Neighbours are found in square cells whose side is the largest reach: nodes in the order of cells,
so that three cells in a row are one run. Distances beyond ``cell - longest`` may be missed, and
count as that.

``tests/growth/test_differential_growth.py`` tests all crossings and distances exactly, and forces
and distances against the same in plain numpy over all pairs.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from plotlib.checks import AnyInts, FloatArray
from plotlib.compiled import compiled
from plotlib.growth.random_kernel import uniform

REST = 0.36  # length of an edge at rest, of the reach
LONGEST = 0.6  # an edge may have, of the reach
GAP = 0.13  # between nodes and edges, of the reach
SPLIT = 2.3  # gaps: a shorter edge is not split, so that its halves keep the gap
LONG = 0.45  # of the reach: such an edge is split at once
SHORT = 0.27  # of the reach: a shorter edge is not split
CROWD = 2.2  # the sum of (1 - distance / reach) of what is near from which on nothing is split
SPRING = 0.3  # of the difference to the rest that each end goes in a step
FAIRING = 0.25  # of the way to the middle of both neighbours
REPULSION = 0.06  # of the reach, for each node that is as near as can be
RATE = 0.05  # chance of an edge to be split in a step
SHARE = 0.45  # of an excess, see above


class Rules(NamedTuple):
    """What holds for a whole run; lengths in mm."""

    left: float  # of the cells
    bottom: float
    cell: float  # the largest reach
    rows: int
    columns: int
    longest: float  # edge
    gap: float


class Curves(NamedTuple):
    """Nodes and how they hang together; those of the area's edge come first."""

    at: FloatArray  # (capacity, 2)
    before: AnyInts  # (capacity,) the node before, -1 at an open end
    after: AnyInts  # (capacity,)
    counts: AnyInts  # (2,): how many nodes there are, and how many of them are the area's edge
    reach: FloatArray  # (rows, columns): how far a node in that cell of the map repels others
    origin: FloatArray  # (4,): left, bottom, width and height of a cell of that map
    state: Any  # (1,) of random_kernel


class Found(NamedTuple):
    """Scratch: what a step finds before anything moves."""

    starts: AnyInts  # (rows * columns + 1,): where the nodes of a cell begin in `order`
    order: AnyInts  # (capacity,)
    ways: FloatArray  # (capacity, 2): where a node is drawn to
    gaps: FloatArray  # (capacity,): the least distance of the edge after a node
    reaches: FloatArray  # (capacity,): how far a node repels others
    crowds: FloatArray  # (capacity,): how crowded it was round a node at the last look


@compiled
def grow(curves: Curves, rules: Rules, found: Found, steps: int) -> None:
    """Take steps; as long as there is room in the arrays, nodes come in."""
    for _ in range(steps):
        split(curves, rules, found)
        sort(curves, rules, found)
        look(curves, rules, found)
        move(curves, rules, found)


@compiled
def reach_at(curves: Curves, i: int) -> float:
    """How far a node repels others."""
    column = int((curves.at[i, 0] - curves.origin[0]) / curves.origin[2])
    row = int((curves.at[i, 1] - curves.origin[1]) / curves.origin[3])
    column = min(max(column, 0), curves.reach.shape[1] - 1)
    row = min(max(row, 0), curves.reach.shape[0] - 1)
    return float(curves.reach[row, column])


@compiled
def cell_of(curves: Curves, rules: Rules, i: int) -> int:
    column = int((curves.at[i, 0] - rules.left) / rules.cell)
    row = int((curves.at[i, 1] - rules.bottom) / rules.cell)
    return row * rules.columns + column


@compiled
def sort(curves: Curves, rules: Rules, found: Found) -> None:
    """Nodes in the order of their cells, by counting."""
    cells = len(found.starts) - 1
    count = curves.counts[0]
    starts = found.starts
    starts[:] = 0
    for i in range(count):
        starts[cell_of(curves, rules, i) + 1] += 1
    for k in range(cells):
        starts[k + 1] += starts[k]
    for i in range(count - 1, -1, -1):
        k = cell_of(curves, rules, i)
        starts[k + 1] -= 1
        found.order[starts[k + 1]] = i
    # every entry now tells where the cell before it begins: shift them back
    for k in range(cells):
        starts[k] = starts[k + 1]
    starts[cells] = count


@compiled
def from_edge(px: float, py: float, ax: float, ay: float, bx: float, by: float) -> float:
    """The distance of a point from a straight edge."""
    ex = bx - ax
    ey = by - ay
    along = (px - ax) * ex + (py - ay) * ey
    square = ex * ex + ey * ey
    share = 0.0
    if square > 0.0:
        share = min(max(along / square, 0.0), 1.0)
    dx = ax + share * ex - px
    dy = ay + share * ey - py
    return float(np.sqrt(dx * dx + dy * dy))


@compiled
def look(curves: Curves, rules: Rules, found: Found) -> None:
    """Find where each node is drawn to, and the distances of all edges."""
    far = rules.cell - rules.longest
    rows = rules.rows
    columns = rules.columns
    for i in range(curves.counts[0]):
        found.reaches[i] = reach_at(curves, i)
        found.gaps[i] = far
        found.crowds[i] = 0.0
        found.ways[i, 0] = 0.0
        found.ways[i, 1] = 0.0
    for row in range(rows):
        for column in range(columns):
            k = row * columns + column
            for index in range(found.starts[k], found.starts[k + 1]):
                i = found.order[index]
                for other in range(max(row - 1, 0), min(row + 2, rows)):
                    begin = found.starts[other * columns + max(column - 1, 0)]
                    end = found.starts[other * columns + min(column + 2, columns)]
                    look_at(curves, rules, found, i, begin, end)


@compiled
def look_at(curves: Curves, rules: Rules, found: Found, i: int, begin: int, end: int) -> None:
    """What the nodes ``order[begin:end]`` and the edges after them mean to node i."""
    far = rules.cell - rules.longest
    x = curves.at[i, 0]
    y = curves.at[i, 1]
    is_fixed = i < curves.counts[1]
    before = curves.before[i]
    after = curves.after[i]
    reach = found.reaches[i]
    least = far
    crowd = 0.0
    for index in range(begin, end):
        k = found.order[index]
        if k == i or (is_fixed and k < curves.counts[1]):
            continue
        dx = x - curves.at[k, 0]
        dy = y - curves.at[k, 1]
        square = dx * dx + dy * dy
        if square >= rules.cell * rules.cell:
            continue
        if square < reach * reach and k != before and k != after and not is_fixed:
            distance = np.sqrt(square)
            # a node counts by the square that it stands for, so that dense places do not push
            # more than loose ones
            near = (1.0 - distance / reach) * (found.reaches[k] / reach) ** 2
            push = REPULSION * reach * near / max(distance, 1e-9)
            found.ways[i, 0] += push * dx
            found.ways[i, 1] += push * dy
            crowd += near
        end_k = curves.after[k]
        if end_k >= 0 and end_k != i:
            b = curves.at[end_k]
            apart = from_edge(x, y, curves.at[k, 0], curves.at[k, 1], b[0], b[1])
            found.gaps[k] = min(found.gaps[k], apart)
            least = min(least, apart)
    found.crowds[i] += crowd
    found.gaps[i] = min(found.gaps[i], least)
    if before >= 0:
        found.gaps[before] = min(found.gaps[before], least)


@compiled
def move(curves: Curves, rules: Rules, found: Found) -> None:
    """Let all nodes go where they are drawn to, as far as they may."""
    at = curves.at
    for i in range(curves.counts[1], curves.counts[0]):
        pull(curves, found, i)
    for i in range(curves.counts[1], curves.counts[0]):
        dx = found.ways[i, 0]
        dy = found.ways[i, 1]
        far = np.sqrt(dx * dx + dy * dy)
        most = allowed(curves, rules, found, i)
        if far > most:
            dx *= most / far
            dy *= most / far
        found.ways[i, 0] = dx
        found.ways[i, 1] = dy
    for i in range(curves.counts[1], curves.counts[0]):
        at[i, 0] += found.ways[i, 0]
        at[i, 1] += found.ways[i, 1]


@compiled
def pull(curves: Curves, found: Found, i: int) -> None:
    """Add to the way of a node what its neighbours on the curve do."""
    at = curves.at
    before = curves.before[i]
    after = curves.after[i]
    rest = REST * found.reaches[i]
    for k in (before, after):
        if k >= 0:
            dx = at[k, 0] - at[i, 0]
            dy = at[k, 1] - at[i, 1]
            length = np.sqrt(dx * dx + dy * dy)
            share = SPRING * (length - rest) / max(length, 1e-9)
            found.ways[i, 0] += share * dx
            found.ways[i, 1] += share * dy
    if before >= 0 and after >= 0:
        found.ways[i, 0] += FAIRING * (0.5 * (at[before, 0] + at[after, 0]) - at[i, 0])
        found.ways[i, 1] += FAIRING * (0.5 * (at[before, 1] + at[after, 1]) - at[i, 1])


@compiled
def allowed(curves: Curves, rules: Rules, found: Found, i: int) -> float:
    """How far a node may go: see the invariants."""
    at = curves.at
    most = rules.cell
    if curves.after[i] >= 0:
        most = min(most, found.gaps[i] - rules.gap)
    if curves.before[i] >= 0:
        most = min(most, found.gaps[curves.before[i]] - rules.gap)
    for k in (curves.before[i], curves.after[i]):
        if k >= 0:
            length = np.sqrt((at[k, 0] - at[i, 0]) ** 2 + (at[k, 1] - at[i, 1]) ** 2)
            most = min(most, rules.longest - length)
    return SHARE * max(most, 0.0)


@compiled
def split(curves: Curves, rules: Rules, found: Found) -> None:
    """Put new nodes into the middle of edges, by chance, where their halves keep the gap."""
    at = curves.at
    for i in range(curves.counts[1], curves.counts[0]):
        after = curves.after[i]
        if after < 0 or curves.counts[0] >= len(at):
            continue
        dx = at[after, 0] - at[i, 0]
        dy = at[after, 1] - at[i, 1]
        length = np.sqrt(dx * dx + dy * dy)
        if length < SPLIT * rules.gap:
            continue
        reach = reach_at(curves, i)
        is_long = length > LONG * reach
        is_free = length > SHORT * reach and found.crowds[i] < CROWD
        if not is_long and not (is_free and uniform(curves.state) < RATE):
            continue
        x = at[i, 0] + 0.5 * dx
        y = at[i, 1] + 0.5 * dy
        if is_clear(curves, rules, x, y, i, after):
            insert(curves, x, y, i, after)


@compiled
def is_clear(curves: Curves, rules: Rules, x: float, y: float, i: int, after: int) -> bool:
    """Whether a node in the middle of an edge keeps the gap to the edges beside that one; all
    others are no nearer to it than to the edge.
    """
    at = curves.at
    before = curves.before[i]
    end = curves.after[after]
    clear = True
    if before >= 0 and before != after:
        b = at[before]
        clear = from_edge(x, y, b[0], b[1], at[i, 0], at[i, 1]) > rules.gap
    if clear and end >= 0 and end != i:
        b = at[end]
        clear = from_edge(x, y, at[after, 0], at[after, 1], b[0], b[1]) > rules.gap
    return clear


@compiled
def insert(curves: Curves, x: float, y: float, i: int, after: int) -> None:
    new = curves.counts[0]
    curves.at[new, 0] = x
    curves.at[new, 1] = y
    curves.before[new] = i
    curves.after[new] = after
    curves.after[i] = new
    curves.before[after] = new
    curves.counts[0] = new + 1


@compiled
def length_of(curves: Curves) -> float:
    """The length of all curves, mm."""
    total = 0.0
    for i in range(curves.counts[1], curves.counts[0]):
        after = curves.after[i]
        if after >= 0:
            dx = curves.at[after, 0] - curves.at[i, 0]
            dy = curves.at[after, 1] - curves.at[i, 1]
            total += np.sqrt(dx * dx + dy * dy)
    return total


def scratch(curves: Curves, rules: Rules) -> Found:
    """Arrays that a step writes before it reads them."""
    capacity = len(curves.at)
    return Found(
        np.zeros(rules.rows * rules.columns + 1, np.int64),
        np.zeros(capacity, np.int64),
        np.zeros((capacity, 2)),
        np.zeros(capacity),
        np.zeros(capacity),
        np.zeros(capacity),
    )
