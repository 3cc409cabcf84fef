"""Compiled: one streamline among others, grown both ways until it comes too near one of them, or
itself, or closes.

The growing of B. Jobard and W. Lefer, *Creating Evenly-Spaced Streamlines of Arbitrary Density*,
Visualization in Scientific Computing '97. Samples stand in a hash of square cells, each cell a
stack: the newest sample is on top and names the one below.

Between steps the samples ``0 … SAMPLES - 1`` are all in the hash, those of one line are numbered in
a row (seed, forward, backward), and the newest can be taken back one by one because each is the top
of its cell.

``tests/fields/test_evenly.py`` tests it against the distances of all pairs of lines, measured by
shapely (``nearest_lines`` in ``tests/oracles_fields.py``).
"""

from __future__ import annotations

import math
from typing import NamedTuple

from plotlib.checks import FloatArray, IntArray
from plotlib.compiled import compiled
from plotlib.fields.flow_kernel import Flow, direction, step
from plotlib.fields.walls_kernel import Walls, free_share

DONE = 0
PAUSED = 1
FULL = 2
# places in State.counts
SAMPLES = 0
LINES = 1
CANDIDATES = 2
HEAP = 3

# test distances along a line within which it does not meet itself: a little more than half a circle
# of that width
_ALONE = 1.6


class Rules(NamedTuple):
    """What a line must keep to; ``spacing`` in mm stands on the nodes of the flow (rows,
    columns), or is (1, 1): the same everywhere.
    """

    spacing: FloatArray
    ratio: float  # test distance / spacing
    # mm added to the test distance for what is changed later (loops closed, points dropped)
    extra: float
    closing: float  # mm by which a loop may miss its start and still be closed
    stride: float  # share of the spacing between samples
    longest_step: float  # mm
    shortest: float  # spacings below which a line is not drawn
    in_holes: float  # the same for lines that fill a hole wider than twice the spacing
    longest_first: bool


class State(NamedTuple):
    """All samples and candidates, and the hash of square cells they stand in: room for S samples, L
    lines and C candidates.
    """

    x: FloatArray  # (S,) mm
    y: FloatArray  # (S,)
    along: FloatArray  # (S,) mm along the line from its seed, negative backwards
    owner: IntArray  # (S,) the line
    below: IntArray  # (S,) the next sample of the same cell, or -1
    cells: IntArray  # (rows, columns) the newest sample of each cell, or -1
    first: IntArray  # (L,) a line's seed sample
    forward: IntArray  # (L,) samples after the seed that run forward; the rest runs backward
    closed: IntArray  # (L,) 1 for a loop, else 0
    candidate: FloatArray  # (C, 3) x, y, promised length
    heap: IntArray  # (C,) candidates, the most promising on top
    counts: IntArray  # (4,) SAMPLES, LINES, CANDIDATES, HEAP
    left: float  # mm, the lower left corner of cell (0, 0)
    bottom: float
    cell: float  # mm, the side of a cell


@compiled
def spacing_at(rules: Rules, flow: Flow, x: float, y: float) -> float:
    """The spacing at (x, y): linear between the nodes."""
    grid = rules.spacing
    if grid.size == 1:
        return float(grid[0, 0])
    s = min(max((x - flow.x) / flow.cell_x, 0.0), grid.shape[1] - 1.001)
    t = min(max((y - flow.y) / flow.cell_y, 0.0), grid.shape[0] - 1.001)
    # clamped as whole numbers too: not a number is no index
    i = min(max(int(s), 0), grid.shape[1] - 2)
    j = min(max(int(t), 0), grid.shape[0] - 2)
    s = s - i
    t = t - j
    low = grid[j, i] + s * (grid[j, i + 1] - grid[j, i])
    high = grid[j + 1, i] + s * (grid[j + 1, i + 1] - grid[j + 1, i])
    return float(low + t * (high - low))


@compiled
def test_distance(rules: Rules, apart: float) -> float:
    """How far samples must be apart so that what runs between them keeps the test distance, mm."""
    return math.sqrt((rules.ratio * apart + rules.extra) ** 2 + 0.25 * (rules.stride * apart) ** 2)


@compiled
def nearest(
    state: State, x: float, y: float, reach: float, line: int, along: float, alone: float
) -> tuple[float, int]:
    """Squared distance and number of the nearest sample within ``reach``, or reach² and −1;
    ``line`` counts from ``alone`` mm on.
    """
    best = reach * reach
    which = -1
    rows, columns = state.cells.shape
    i0 = max(int((x - reach - state.left) / state.cell), 0)
    i1 = min(int((x + reach - state.left) / state.cell), columns - 1)
    j0 = max(int((y - reach - state.bottom) / state.cell), 0)
    j1 = min(int((y + reach - state.bottom) / state.cell), rows - 1)
    for j in range(j0, j1 + 1):
        for i in range(i0, i1 + 1):
            k = state.cells[j, i]
            while k >= 0:
                dx = state.x[k] - x
                dy = state.y[k] - y
                far = dx * dx + dy * dy
                if far < best and (state.owner[k] != line or abs(state.along[k] - along) > alone):
                    best = far
                    which = k
                k = state.below[k]
    return best, which


@compiled
def _cell_of(state: State, x: float, y: float) -> tuple[int, int]:
    """Row and column of the cell that keeps a sample at (x, y).

    Samples lie in the area, whose box the cells cover; one that rounding put outside is kept by the
    nearest cell, so that nothing is ever written beside the table.
    """
    rows, columns = state.cells.shape
    i = min(max(int((x - state.left) / state.cell), 0), columns - 1)
    j = min(max(int((y - state.bottom) / state.cell), 0), rows - 1)
    return j, i


@compiled
def put(state: State, x: float, y: float, along: float, line: int) -> None:
    """A new sample, on top of its cell."""
    k = state.counts[SAMPLES]
    j, i = _cell_of(state, x, y)
    state.x[k] = x
    state.y[k] = y
    state.along[k] = along
    state.owner[k] = line
    state.below[k] = state.cells[j, i]
    state.cells[j, i] = k
    state.counts[SAMPLES] = k + 1


@compiled
def take_back(state: State, down_to: int) -> None:
    """Remove the newest samples: each is the top of its cell."""
    for k in range(state.counts[SAMPLES] - 1, down_to - 1, -1):
        j, i = _cell_of(state, state.x[k], state.y[k])
        state.cells[j, i] = state.below[k]
    state.counts[SAMPLES] = down_to


@compiled
def _grow(state: State, flow: Flow, walls: Walls, rules: Rules, seed: int, sign: float) -> int:
    """Samples from the seed one way until something is in the way. Returns 1 for a closed loop,
    FULL without room, else 0.
    """
    line = state.owner[seed]
    x = state.x[seed]
    y = state.y[seed]
    u, v, moving = direction(flow, x, y)
    u = u * sign
    v = v * sign
    start_u = u
    start_v = v
    along = 0.0
    homeward = -1.0
    back_to = -1
    while moving:
        if state.counts[SAMPLES] + 2 >= len(state.x):
            return FULL
        apart = spacing_at(rules, flow, x, y)
        new_x, new_y, new_u, new_v, size = step(
            flow, x, y, u, v, sign, min(rules.stride * apart, rules.longest_step)
        )
        if size == 0.0:
            break
        test = test_distance(rules, apart)
        if homeward >= 0.0:
            miss = _passes(state, seed, start_u, start_v, x, y, new_x, new_y)
            if miss <= rules.closing:
                _close(state, seed, along, new_x, new_y)
                return 1
            homeward += size
            if homeward > 3.0 * test:
                break
        share = free_share(walls, x, y, new_x, new_y)
        if share < 1.0:
            new_x = x + share * (new_x - x)
            new_y = y + share * (new_y - y)
            size = share * size
        _, hit = nearest(
            state,
            new_x,
            new_y,
            test,
            line,
            along + size if sign > 0 else -(along + size),
            _ALONE * test,
        )
        if hit >= 0:
            near_start = state.owner[hit] == line and sign > 0 and state.along[hit] < 2.0 * test
            if not near_start or share < 1.0:
                break
            # its own start may hide a sample of another line that is too near as well
            if nearest(state, new_x, new_y, test, line, 0.0, math.inf)[1] >= 0:
                break
            if homeward < 0.0:
                homeward = 0.0
                back_to = state.counts[SAMPLES]
        if size > 1e-9:
            along += size
            put(state, new_x, new_y, sign * along, line)
        if share < 1.0:
            break
        x = new_x
        y = new_y
        u = new_u
        v = new_v
    if back_to >= 0:
        take_back(state, back_to)
    return 0


@compiled
def _passes(
    state: State, seed: int, u: float, v: float, x: float, y: float, new_x: float, new_y: float
) -> float:
    """How far from the seed the step passes it, going its way; inf when it does not pass."""
    before = (x - state.x[seed]) * u + (y - state.y[seed]) * v
    after = (new_x - state.x[seed]) * u + (new_y - state.y[seed]) * v
    if before > 0.0 or after <= 0.0:
        return math.inf
    share = before / (before - after)
    px = x + share * (new_x - x) - state.x[seed]
    py = y + share * (new_y - y) - state.y[seed]
    return math.sqrt(px * px + py * py)


@compiled
def _close(state: State, seed: int, along: float, x: float, y: float) -> None:
    """Spread what the loop misses its start by over its samples, and end on the seed itself;
    samples that crowd the seed go.
    """
    last = state.counts[SAMPLES] - 1
    gap_x = x - state.x[last]
    gap_y = y - state.y[last]
    gap = math.sqrt(gap_x * gap_x + gap_y * gap_y)
    ahead = (
        (state.x[seed] - state.x[last]) * gap_x + (state.y[seed] - state.y[last]) * gap_y
    ) / gap
    miss_x = state.x[last] + ahead * gap_x / gap - state.x[seed]
    miss_y = state.y[last] + ahead * gap_y / gap - state.y[seed]
    total = along + ahead
    samples = last - seed
    xs = state.x[seed + 1 : last + 1].copy()
    ys = state.y[seed + 1 : last + 1].copy()
    ls = state.along[seed + 1 : last + 1].copy()
    line = state.owner[seed]
    take_back(state, seed + 1)
    for k in range(samples):
        share = ls[k] / total
        if total - ls[k] > 0.3 * gap:
            put(state, xs[k] - share * miss_x, ys[k] - share * miss_y, ls[k], line)
    put(state, state.x[seed], state.y[seed], total, line)


@compiled
def trace(
    state: State, flow: Flow, walls: Walls, rules: Rules, x: float, y: float
) -> tuple[float, int, int]:
    """A whole line from a seed: its length, the samples that run forward, and 1 for closed or FULL
    (then nothing is left behind).
    """
    seed = state.counts[SAMPLES]
    if seed + 4 >= len(state.x):
        return 0.0, 0, FULL
    put(state, x, y, 0.0, state.counts[LINES])
    ending = _grow(state, flow, walls, rules, seed, 1.0)
    forward = state.counts[SAMPLES] - seed - 1
    length = state.along[state.counts[SAMPLES] - 1]
    if ending == 0:
        ending = _grow(state, flow, walls, rules, seed, -1.0)
        length -= min(state.along[state.counts[SAMPLES] - 1], 0.0)
    if ending == FULL:
        take_back(state, seed)
    return length, forward, ending
