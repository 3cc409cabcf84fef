"""Compiled: evenly spaced streamlines, the longest first.

B. Jobard and W. Lefer, *Creating Evenly-Spaced Streamlines of Arbitrary Density*, Visualization in
Scientific Computing '97: seeds at the separating distance (``spacing``) beside lines that stand; a
line grows both ways until it comes within the test distance of another. Holes that are left are
seeded at their middles, widest first (A. Mebarki, P. Alliez, O. Devillers, *Farthest Point
Seeding*, IEEE Visualization 2005). Candidates wait in a binary heap (J. W. J. Williams, 1964).

Between steps no sample of a line that was taken is nearer than the test distance to one of another,
every candidate is either in the heap or done with, and the heap's top is the one to take next.

The arrays are those of ``lines_kernel.State``. ``tests/fields/test_evenly.py`` tests it against the
distances of all pairs of lines, measured by shapely (``nearest_lines`` and ``covered`` in
``tests/oracles_fields.py``).
"""

from __future__ import annotations

import math

import numpy as np

from plotlib.checks import FloatArray
from plotlib.compiled import compiled
from plotlib.fields.flow_kernel import Flow, direction
from plotlib.fields.lines_kernel import (
    CANDIDATES,
    DONE,
    FULL,
    HEAP,
    LINES,
    PAUSED,
    SAMPLES,
    Rules,
    State,
    nearest,
    spacing_at,
    take_back,
    test_distance,
    trace,
)
from plotlib.fields.walls_kernel import Walls, is_inside

_SEEDS_EVERY = 4.0  # spacings between the seeds beside a line
# Longest first is worth much at the start and little later: a line is taken that keeps so much of
# what the next candidate promises, or that is so many spacings long. Asking for all of it traces
# five times as much for 2 % longer lines.
_GOOD_ENOUGH = 0.7
_LONG_ENOUGH = 100.0
# a candidate in the middle of a hole promises the hole's width, less this: after all others
HOLE = 1e9
_WIDE = 2.0  # spacings


@compiled
def _seed_distance(rules: Rules, apart: float) -> float:
    """How far a seed must be from every line: the spacing, or the test distance where that is
    more.
    """
    return max(apart, test_distance(rules, apart))


@compiled
def push(state: State, x: float, y: float, promise: float) -> None:
    """A new candidate."""
    c = state.counts[CANDIDATES]
    state.candidate[c, 0] = x
    state.candidate[c, 1] = y
    state.candidate[c, 2] = promise
    state.counts[CANDIDATES] = c + 1
    _raise(state, c)


@compiled
def _before(state: State, a: int, b: int) -> bool:
    """Whether candidate a goes before b: the longer promise, then the older."""
    return state.candidate[a, 2] > state.candidate[b, 2] or (
        state.candidate[a, 2] == state.candidate[b, 2] and a < b
    )


@compiled
def _raise(state: State, c: int) -> None:
    k = state.counts[HEAP]
    state.counts[HEAP] = k + 1
    while k > 0 and _before(state, c, state.heap[(k - 1) // 2]):
        state.heap[k] = state.heap[(k - 1) // 2]
        k = (k - 1) // 2
    state.heap[k] = c


@compiled
def _pop(state: State) -> int:
    top = int(state.heap[0])
    n = state.counts[HEAP] - 1
    state.counts[HEAP] = n
    moved = state.heap[n]
    k = 0
    while 2 * k + 1 < n:
        child = 2 * k + 1
        if child + 1 < n and _before(state, state.heap[child + 1], state.heap[child]):
            child += 1
        if not _before(state, state.heap[child], moved):
            break
        state.heap[k] = state.heap[child]
        k = child
    state.heap[k] = moved
    return top


@compiled
def _promised(state: State, apart: float) -> float:
    """The length that a line must have to be kept before the best candidate left is tried."""
    if state.counts[HEAP] == 0:
        return 0.0
    return min(_GOOD_ENOUGH * float(state.candidate[state.heap[0], 2]), _LONG_ENOUGH * apart)


@compiled
def fill(state: State, flow: Flow, walls: Walls, rules: Rules, budget: int) -> int:
    """Work off candidates until none is left (DONE), room runs out (FULL: make more), or ``budget``
    samples are traced (PAUSED).
    """
    while state.counts[HEAP] > 0:
        if budget < 0:
            return PAUSED
        if state.counts[LINES] + 1 >= len(state.first):
            return FULL
        c = _pop(state)
        x = state.candidate[c, 0]
        y = state.candidate[c, 1]
        apart = spacing_at(rules, flow, x, y)
        alone = _seed_distance(rules, apart)
        if not is_inside(walls, x, y) or nearest(state, x, y, alone, -1, 0.0, 0.0)[1] >= 0:
            budget -= 1
            continue
        seed = state.counts[SAMPLES]
        length, forward, ending = trace(state, flow, walls, rules, x, y)
        traced = state.counts[SAMPLES] - seed
        if ending == FULL or state.counts[CANDIDATES] + 2 * traced + 8 >= len(state.heap):
            take_back(state, seed)
            _raise(state, c)
            return FULL
        budget -= traced + 1
        wide = _WIDE - HOLE < state.candidate[c, 2] < -0.5 * HOLE
        if length < (rules.in_holes if wide else rules.shortest) * apart:
            take_back(state, seed)
            continue
        if rules.longest_first and length < _promised(state, apart):
            take_back(state, seed)
            state.candidate[c, 2] = length
            _raise(state, c)
            continue
        line = state.counts[LINES]
        state.first[line] = seed
        state.forward[line] = forward
        state.closed[line] = ending
        state.counts[LINES] = line + 1
        _seed_beside(state, flow, rules, seed, length)
    return DONE


@compiled
def _seed_beside(state: State, flow: Flow, rules: Rules, seed: int, length: float) -> None:
    """Candidates at the spacing on both sides of the newest line; each promises the length of
    the line beside it.
    """
    last = -math.inf
    for k in range(seed, state.counts[SAMPLES]):
        apart = spacing_at(rules, flow, state.x[k], state.y[k])
        if abs(state.along[k] - last) < _SEEDS_EVERY * apart and k + 1 < state.counts[SAMPLES]:
            continue
        last = state.along[k]
        u, v, moving = direction(flow, state.x[k], state.y[k])
        promise = length if rules.longest_first else -float(state.counts[CANDIDATES])
        if moving:
            for side in (-1.0, 1.0):
                reach = apart
                for _ in range(
                    4 if rules.spacing.size > 1 else 0
                ):  # the spacing that counts is the one at the seed itself
                    reach = spacing_at(
                        rules, flow, state.x[k] + side * v * reach, state.y[k] - side * u * reach
                    )
                # a hair farther than the spacing, so that rounding does not refuse it
                reach = 1.0002 * _seed_distance(rules, reach)
                push(state, state.x[k] + side * v * reach, state.y[k] - side * u * reach, promise)


@compiled
def holes(
    state: State, flow: Flow, walls: Walls, rules: Rules, xs: FloatArray, ys: FloatArray
) -> FloatArray:
    """Of the points xs × ys those inside and farther than the spacing from every line: (n, 3) x,
    y, spacings (3 at most).
    """
    found = np.empty((len(xs) * len(ys), 3))
    n = 0
    for y in ys:
        for x in xs:
            apart = spacing_at(rules, flow, x, y)
            alone = _seed_distance(rules, apart)
            if nearest(state, x, y, alone, -1, 0.0, 0.0)[1] >= 0 or not is_inside(walls, x, y):
                continue
            far = math.sqrt(nearest(state, x, y, 3.0 * apart, -1, 0.0, 0.0)[0]) / apart
            found[n, 0] = x
            found[n, 1] = y
            found[n, 2] = far
            n += 1
    return found[:n].copy()
