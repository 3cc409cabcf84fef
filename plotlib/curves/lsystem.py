"""L-systems: strings rewritten by rules and drawn by a turtle."""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np
from numpy.typing import ArrayLike

from plotlib import checks
from plotlib.arrays import affine
from plotlib.arrays.ragged import Ragged, empty
from plotlib.checks import FloatArray, IntArray
from plotlib.curves.lattice import directions, lattice
from plotlib.curves.rewriting import numbered, rewritten
from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue
from plotlib.pen import Pen

# beside the letters that draw (1) and move (2): the numbers of turtle_kernel
_ORDERS = {"+": 3, "-": 4, "|": 5, "[": 6, "]": 7}


def lsystem(
    axiom: str,
    rules: Mapping[str, str],
    *,
    depth: int,
    angle: float,
    step: float = 1.0,
    start: ArrayLike = (0.0, 0.0),
    heading: float = 90.0,
    draw: str = "F",
    move: str = "f",
    pen: Pen | None = None,
) -> Drawing:
    """An L-system drawn by a turtle.

    Parameters
    ----------
    axiom : str
        The string to begin with.
    rules : mapping from a symbol to a string
        What replaces each symbol, in all places at once; symbols without a rule stay.
    depth : int
        How many times to rewrite, >= 0.
    angle : float
        How far ``+`` turns to the left and ``-`` to the right, in degrees.
    step : float, default 1.0
        The length of a step in mm, > 0.
    start : point, default (0, 0)
        Where the turtle begins, in mm.
    heading : float, default 90.0
        Where it looks at first, in degrees counter-clockwise from the x axis; upwards by default.
    draw, move : str, default "F" and "f"
        The symbols that step with the pen down, and with the pen up. ``|`` turns around, ``[``
        keeps place and heading, ``]`` returns to the last ones kept. All other symbols only take
        part in the rewriting.
    pen : Pen, optional
        The pen; without it the default one.

    Returns
    -------
    Drawing
        One stroke for each stretch that the turtle draws without moving or returning. With angles
        that divide the full turn well (5, 6, 8, 10, 12, … directions, up to 30) it counts its steps
        in whole numbers: places that are the same are equal bit for bit.

    Raises
    ------
    InvalidValue
        If an argument is invalid, the string would grow beyond 10 million symbols (which is
        found before it is made), it closes a bracket that it did not open, or a symbol of
        ``draw`` or ``move`` already has a meaning.

    References
    ----------
    P. Prusinkiewicz, A. Lindenmayer, *The Algorithmic Beauty of Plants*, Springer 1990, chapter 1.

    Examples
    --------
    >>> branch = lsystem("F", {"F": "F[+F]F[-F]F"}, depth=2, angle=25.7, step=4)
    >>> round(branch.length / 4), len(branch)
    (25, 13)
    """
    _readable(axiom, rules, draw, move)
    text = rewritten(axiom, rules, checks.whole("depth", depth, low=0, high=10_000))
    orders = numbered(text, {**dict.fromkeys(draw, 1), **dict.fromkeys(move, 2), **_ORDERS})
    points, offsets = walked(orders[orders > 0], checks.finite("angle", angle, unit="degrees"))
    size = checks.positive("step", step, unit="mm")
    turn = affine.turn(checks.finite("heading", heading, unit="degrees")) * size
    return Drawing.from_arrays(
        affine.apply(np.column_stack([turn, checks.point("start", start)]), points),
        offsets,
        pen=pen,
    )


def path(
    axiom: str, rules: Mapping[str, str], depth: int, *, angle: float, draw: str
) -> FloatArray:
    """The one stroke (n, 2) of an L-system without branches, in steps of length 1 from the origin
    along the x axis.
    """
    orders = numbered(rewritten(axiom, rules, depth), {**dict.fromkeys(draw, 1), **_ORDERS})
    return walked(orders[orders > 0], angle)[0]


def walked(orders: IntArray, angle: float) -> Ragged:
    """The strokes of a turtle that begins at the origin and looks along the x axis, with steps of
    length 1.
    """
    from plotlib.curves.turtle_kernel import headings, trace

    depth = _nesting(orders)
    turns, back = np.divmod(headings(orders, depth), 2)
    if not len(turns):
        return empty()
    angle = math.fmod(angle, 360.0)
    count = directions(angle)
    steps, axes = _exact_steps(turns, angle, count) if count else _steps(turns, angle)
    steps[back == 1] *= -1
    numbers, offsets = trace(orders, steps, depth)
    if len(offsets) == 1:
        return empty()
    points = np.zeros((len(numbers), 2))
    # not a matrix product: equal numbers must give equal points
    for column, axis in zip(numbers.T, axes, strict=True):
        points += column[:, None] * axis
    return points, offsets


def _exact_steps(turns: IntArray, angle: float, count: int) -> tuple[IntArray, FloatArray]:
    steps, axes = lattice(count)
    return steps[turns * round(angle / 360.0 * count) % count], axes


def _steps(turns: IntArray, angle: float) -> tuple[FloatArray, FloatArray]:
    kinds, kind = np.unique(turns, return_inverse=True)
    way = np.radians(np.fmod(kinds * math.fmod(angle, 360.0), 360.0))
    return np.column_stack([np.cos(way), np.sin(way)])[kind], np.eye(2)


def _nesting(orders: IntArray) -> int:
    """How deep the brackets go; refuses one that closes what was not opened."""
    level = np.cumsum((orders == _ORDERS["["]).astype(np.int64) - (orders == _ORDERS["]"]))
    if len(level) and level.min() < 0:
        raise InvalidValue(
            "the string closes a bracket ] that was not opened; check the axiom and the rules"
        )
    return int(level.max(initial=0)) + 1


def _readable(axiom: str, rules: Mapping[str, str], draw: str, move: str) -> None:
    if not isinstance(rules, Mapping):
        raise InvalidValue(
            f"rules must be a mapping from a symbol to a string, got {rules!r:.100}",
            name="rules",
            value=rules,
        )
    for name, text in [("axiom", axiom), ("draw", draw), ("move", move)]:
        if not isinstance(text, str):
            raise InvalidValue(f"{name} must be a string, got {text!r:.100}", name=name, value=text)
    for symbol, text in rules.items():
        if not isinstance(symbol, str) or len(symbol) != 1 or not isinstance(text, str):
            raise InvalidValue(
                f"a rule takes one symbol to a string, got {symbol!r}: {text!r:.100}", symbol=symbol
            )
    twice = sorted((set(draw) & set(move)) | ((set(draw) | set(move)) & set(_ORDERS)))
    if twice:
        raise InvalidValue(
            f"the symbols {' '.join(twice)} of draw and move already have a meaning", symbols=twice
        )
