"""Compiled: steps of the Gray–Scott system on a grid, by Euler's explicit scheme with the
five-point Laplacian.

The equations of J. E. Pearson, *Complex Patterns in a Simple System*, Science 261, 1993, in cell
units: u' = Du ∇²u − u v² + F (1 − u), v' = Dv ∇²v + u v² − (F + k) v. Both fields are stepped from
the old values; a step of 1 is stable while Du ≤ 1/4.

All arrays are (rows + 2, columns + 2): a rim one cell wide is filled before each step, from the far
side (periodic) or from the cell beside it (nothing flows out). Cells outside the mask keep their
values, and nothing flows into or out of them.

``tests/growth/test_reaction_diffusion.py`` tests it against the same steps in plain numpy, and
``tests/published/test_growth.py`` against means worked out elsewhere.
"""

from __future__ import annotations

from typing import NamedTuple

from plotlib.checks import BoolArray, FloatArray
from plotlib.compiled import compiled


class Dish(NamedTuple):
    """What reacts, and where."""

    u: FloatArray  # (rows + 2, columns + 2)
    v: FloatArray
    new_u: FloatArray  # scratch of the same shape
    new_v: FloatArray
    feed: FloatArray
    kill: FloatArray
    inside: BoolArray
    du: float  # cells² a step
    dv: float
    is_periodic: bool
    is_whole: bool  # everything is inside


@compiled
def advance(dish: Dish, steps: int) -> float:
    """Take an even number of steps; the largest change of v in the last one."""
    for _ in range(steps // 2):
        _fill_rim(dish.u, dish.is_periodic)
        _fill_rim(dish.v, dish.is_periodic)
        _step(dish, dish.u, dish.v, dish.new_u, dish.new_v)
        _fill_rim(dish.new_u, dish.is_periodic)
        _fill_rim(dish.new_v, dish.is_periodic)
        _step(dish, dish.new_u, dish.new_v, dish.u, dish.v)
    change = 0.0
    for j in range(1, dish.v.shape[0] - 1):
        for i in range(1, dish.v.shape[1] - 1):
            change = max(change, abs(dish.v[j, i] - dish.new_v[j, i]))
    return change


@compiled
def _fill_rim(field: FloatArray, is_periodic: bool) -> None:
    rows, columns = field.shape
    bottom = rows - 2 if is_periodic else 1
    top = 1 if is_periodic else rows - 2
    left = columns - 2 if is_periodic else 1
    right = 1 if is_periodic else columns - 2
    for i in range(columns):
        field[0, i] = field[bottom, i]
        field[rows - 1, i] = field[top, i]
    for j in range(rows):
        field[j, 0] = field[j, left]
        field[j, columns - 1] = field[j, right]


@compiled
def _step(dish: Dish, u: FloatArray, v: FloatArray, new_u: FloatArray, new_v: FloatArray) -> None:
    for j in range(1, u.shape[0] - 1):
        if dish.is_whole:
            _row(dish, u, v, new_u, new_v, j)
        else:
            _row_inside(dish, u, v, new_u, new_v, j)


@compiled
def _row(
    dish: Dish, u: FloatArray, v: FloatArray, new_u: FloatArray, new_v: FloatArray, j: int
) -> None:
    """A row without a condition in it, so that the compiler can take several cells at a time."""
    for i in range(1, u.shape[1] - 1):
        here_u = u[j, i]
        here_v = v[j, i]
        flow_u = u[j - 1, i] + u[j + 1, i] + u[j, i - 1] + u[j, i + 1] - 4.0 * here_u
        flow_v = v[j - 1, i] + v[j + 1, i] + v[j, i - 1] + v[j, i + 1] - 4.0 * here_v
        eaten = here_u * here_v * here_v
        feed = dish.feed[j, i]
        new_u[j, i] = here_u + dish.du * flow_u - eaten + feed * (1.0 - here_u)
        new_v[j, i] = here_v + dish.dv * flow_v + eaten - (feed + dish.kill[j, i]) * here_v


@compiled
def _row_inside(
    dish: Dish, u: FloatArray, v: FloatArray, new_u: FloatArray, new_v: FloatArray, j: int
) -> None:
    for i in range(1, u.shape[1] - 1):
        here_u = u[j, i]
        here_v = v[j, i]
        new_u[j, i] = here_u
        new_v[j, i] = here_v
        if not dish.inside[j, i]:
            continue
        flow_u = 0.0
        flow_v = 0.0
        for k in range(4):
            y = j + (k == 0) - (k == 1)
            x = i + (k == 2) - (k == 3)
            if dish.inside[y, x]:
                flow_u += u[y, x] - here_u
                flow_v += v[y, x] - here_v
        eaten = here_u * here_v * here_v
        feed = dish.feed[j, i]
        new_u[j, i] = here_u + dish.du * flow_u - eaten + feed * (1.0 - here_u)
        new_v[j, i] = here_v + dish.dv * flow_v + eaten - (feed + dish.kill[j, i]) * here_v
