"""Any curve that a function gives."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np

from plotlib import checks
from plotlib.arrays.flatten import TOLERANCE, adaptive
from plotlib.checks import FloatArray
from plotlib.curves.making import single
from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue
from plotlib.pen import Pen

PIECES = 256  # with the probes of each: waves longer than about a thousandth of the range are seen


def parametric(
    function: Callable[[FloatArray], Any],
    t0: float,
    t1: float,
    *,
    closed: bool = False,
    tolerance: float = TOLERANCE,
    pen: Pen | None = None,
) -> Drawing:
    """A curve given by a function of one parameter.

    Parameters
    ----------
    function : callable
        Takes an array of parameters (n,) and returns x and y in mm, each an array (n,) or one
        number.
    t0, t1 : float
        Where the parameter begins and ends, in the unit that the function counts in; ``t1`` may be
        the smaller one.
    closed : bool, default False
        Whether the end is the beginning: the last point then equals the first bit for bit.
    tolerance : float, default 0.02
        Greatest distance in mm between the curve and its chords.
    pen : Pen, optional
        The pen; without it the default one.

    Returns
    -------
    Drawing
        One stroke of points on the curve. Where the curve bends more the points are denser; corners
        and cusps need no mention.

    Raises
    ------
    InvalidValue
        If an argument is invalid; if ``function`` does not take arrays; or if the curve is
        not finite, jumps, does not close though ``closed`` says so, or needs more than 5
        million points.

    Notes
    -----
    The range is looked at in 256 intervals of 57 places each, and wherever it is not flat in ever
    finer ones. A wave much shorter than a thousandth of the range may go unnoticed: draw such a
    curve in several parts.

    Examples
    --------
    >>> import numpy as np
    >>> wave = parametric(lambda t: (t, np.sin(t)), 0, 2 * np.pi, tolerance=1e-4)
    >>> round(wave.length, 3)
    7.64
    """
    checks.function("function", function)
    is_closed = checks.flag("closed", closed)
    begin = checks.finite("t0", t0)
    end = checks.finite("t1", t1)
    limit = checks.positive("tolerance", tolerance, unit="mm")
    if begin == end:
        raise InvalidValue(f"t0 and t1 must differ, both are {t0!r}", name="t1", value=t1)
    breaks = min(begin, end) + abs(end - begin) * (np.arange(PIECES + 1) / PIECES)
    breaks[-1] = max(begin, end)
    try:
        points = adaptive(lambda t: _evaluated(function, t), breaks, limit, known=False)
    except InvalidValue as error:
        message = f"from t0 = {begin:g} to t1 = {end:g}: {error}"
        raise InvalidValue(message, **error.facts) from error
    if end < begin:
        points = points[::-1].copy()
    if is_closed:
        points[-1] = _met(points, limit)
    return single(points, pen)


def _evaluated(function: Callable[[FloatArray], Any], t: FloatArray) -> FloatArray:
    try:
        x, y = function(t)
        points = np.empty((len(t), 2))
        points[:, 0] = x
        points[:, 1] = y
    except (TypeError, ValueError) as error:
        raise InvalidValue(
            "the function must take an array of parameters (n,) and return x and y as arrays (n,), "
            f"so it is written with numpy's functions; {type(error).__name__}: {error}"
        ) from error
    return points


def _met(points: FloatArray, tolerance: float) -> FloatArray:
    gap = float(np.hypot(*(points[-1] - points[0])))
    if gap > tolerance:
        raise InvalidValue(
            f"the curve does not close: its end is {gap:g} mm from its beginning; change t0 and "
            f"t1, or leave closed out",
            gap=gap,
        )
    return np.asarray(points[0])
