"""Unions, intersections and differences that rounding does not defeat.

The library beneath overlays areas in floating point and, where edges all but coincide, may stop
with an error of topology (a hole that belongs to no shell). On a grid the same overlay of valid
areas always succeeds; and a union now and then comes out invalid, with a shell in a shell.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import shapely

_GRID = 1e-9  # mm: far below what a pen or a machine can tell apart


def union(one: Any, other: Any) -> Any:
    """``shapely.union`` of geometries, or of arrays of them."""
    return _overlaid(shapely.union, one, other)


def intersection(one: Any, other: Any) -> Any:
    """``shapely.intersection`` of geometries, or of arrays of them."""
    return _overlaid(shapely.intersection, one, other)


def difference(one: Any, other: Any) -> Any:
    """``shapely.difference`` of geometries, or of arrays of them.

    Examples
    --------
    >>> difference(shapely.box(0, 0, 3, 1), shapely.box(2, 0, 4, 1)).area
    2.0
    """
    return _overlaid(shapely.difference, one, other)


def _overlaid(operation: Callable[..., Any], one: Any, other: Any) -> Any:
    try:
        return operation(one, other)
    except shapely.GEOSException:
        pass
    try:
        return operation(one, other, grid_size=_GRID)
    except shapely.GEOSException:
        return operation(shapely.make_valid(one), shapely.make_valid(other), grid_size=_GRID)
