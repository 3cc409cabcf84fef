"""A path without crossings: those that a search has left are taken out one by one, exactly."""

from __future__ import annotations

import math

import numpy as np

from plotlib.checks import IntArray
from plotlib.errors import InvalidValue

_MOST_CELLS = 4_000_000
_NUDGES = (np.array([0, 1]), np.array([1, 0]), np.array([0, -1]), np.array([-1, 0]))


def uncrossed(xy: IntArray) -> IntArray:
    """A path (n, 2) of distinct whole places through the same places, or ones a unit beside them
    where three lie on a line, that does not meet itself.

    Raises
    ------
    InvalidValue
        If places lie so closely on a line that no path was found; more of them than units allow.
    """
    path = np.array(xy, np.int64)
    rounds = 0
    while True:
        first, second = _next_crossing(path)
        if first < 0:
            return path
        before = _length(path)
        turned = path.copy()
        turned[first + 1 : second + 1] = path[first + 1 : second + 1][::-1]
        if _length(turned) < before:
            path = turned
            continue
        # pieces on one line: reversing gains nothing, so a place steps aside by a unit
        path[second] += _NUDGES[rounds % 4]
        rounds += 1
        if rounds > 100 + len(path):
            raise InvalidValue(
                f"{len(path)} places lie too closely on lines for a stroke that does not meet "
                "itself; take fewer",
                name="count",
            )


def has_crossing(xy: IntArray) -> bool:
    """Whether a path (n, 2) of whole places meets itself anywhere."""
    return _next_crossing(np.asarray(xy, np.int64))[0] >= 0


def _next_crossing(path: IntArray) -> tuple[int, int]:
    from plotlib.images.crossing_kernel import crossing, listed

    if len(path) < 3:
        return -1, -1
    local = path - path.min(axis=0)
    extent = local.max(axis=0) + 1
    most = min(_MOST_CELLS, 2 * len(path) + 16)
    cell = max(1, math.ceil(math.sqrt(float(extent[0]) * float(extent[1]) / most)))
    cell = max(cell, math.ceil(float(extent.max()) / most))
    columns = int(extent[0]) // cell + 1
    rows = int(extent[1]) // cell + 1
    first, pieces = listed(local, cell, columns, rows)
    return crossing(local, first, pieces, cell, columns, 0)


def _length(path: IntArray) -> float:
    return float(np.hypot(*np.diff(path, axis=0).T.astype(np.float64)).sum())
