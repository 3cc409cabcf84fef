"""Compiled: turtle interpretation of an L-system's string, headings first, then positions.

P. Prusinkiewicz, A. Lindenmayer, *The Algorithmic Beauty of Plants*, Springer 1990, section 1.3,
with a stack for branches (1.6.2; the numbers of the sections from memory).

Between orders the turtle's place is an exact sum of steps (whole numbers where the angle allows),
and a stroke goes on only while the turtle stands where the last one ended.

``orders`` (n,) holds the numbers below, ``steps`` (k, axes) the vector of each DRAW and MOVE.
``tests/curves/test_lsystem.py`` tests it against a slow turtle of complex numbers.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from plotlib.checks import IntArray
from plotlib.compiled import compiled

NOTHING, DRAW, MOVE, LEFT, RIGHT, AROUND, PUSH, POP = range(8)


@compiled
def headings(orders: IntArray, depth: int) -> IntArray:
    """Twice the turns to the left before each step, plus 1 while turned around, for each DRAW and
    MOVE.
    """
    stack = np.empty((depth, 2), np.int64)
    result = np.empty(len(orders), np.int64)
    turns = 0
    back = 0
    top = 0
    count = 0
    for order in orders:
        if order in (DRAW, MOVE):
            result[count] = 2 * turns + back
            count += 1
        elif order == LEFT:
            turns += 1
        elif order == RIGHT:
            turns -= 1
        elif order == AROUND:
            back = 1 - back
        elif order == PUSH:
            stack[top, 0] = turns
            stack[top, 1] = back
            top += 1
        elif order == POP:
            top -= 1
            turns = stack[top, 0]
            back = stack[top, 1]
    return result[:count]


@compiled
def trace(orders: IntArray, steps: Any, depth: int) -> Any:
    """The points (n, axes) of all strokes and where each stroke begins; ``steps`` (k, axes) has a
    row for each DRAW and MOVE.
    """
    axes = steps.shape[1]
    here = np.zeros(axes, steps.dtype)
    stack = np.empty((depth, axes), steps.dtype)
    points = np.empty((2 * len(steps), axes), steps.dtype)
    begins = np.empty(len(steps) + 1, np.int64)
    top = 0
    count = 0
    strokes = 0
    step = 0
    drawing = False  # whether the last stroke ends here
    for order in orders:
        if order == DRAW:
            if not drawing:
                begins[strokes] = count
                strokes += 1
                points[count] = here
                count += 1
                drawing = True
            here += steps[step]
            points[count] = here
            count += 1
            step += 1
        elif order == MOVE:
            here += steps[step]
            step += 1
            drawing = False
        elif order == PUSH:
            stack[top] = here
            top += 1
        elif order == POP:
            top -= 1
            for k in range(axes):
                if here[k] != stack[top, k]:
                    drawing = False
                here[k] = stack[top, k]
    begins[strokes] = count
    return points[:count], begins[: strokes + 1]
