"""Reaction and diffusion: spots, stripes and mazes that grow from a few drops."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from plotlib import checks
from plotlib import progress as showing
from plotlib.arrays.areas import as_area
from plotlib.checks import BoolArray, FloatArray, Seed
from plotlib.drawing import RegionLike
from plotlib.errors import InvalidValue
from plotlib.fields import ScalarField, from_array
from plotlib.growth.afford import Limit, affordable
from plotlib.progress import Progress

if TYPE_CHECKING:
    from plotlib.growth.gray_scott_kernel import Dish

DU = 0.16  # cells² a step; the ratio of 2 : 1 is Pearson's
DV = 0.08
_MOST = 16_000_000  # cells
_MOST_WORK = 200e9  # cells stepped: some minutes
_AT_ONCE = 20_000_000  # cells stepped between two looks at the clock
_DROP = 3  # cells from the middle of a drop to its edge
_APART = 400  # cells for each drop
_EDGE = 0.1  # of feed and kill: beyond it nothing lives


def reaction_diffusion(
    region: RegionLike,
    *,
    feed: float | ScalarField = 0.04,
    kill: float | ScalarField = 0.06,
    cell: float = 0.5,
    steps: int = 6_000,
    change: float = 0.0,
    seed: Seed = 0,
    progress: Progress = None,
) -> ScalarField:
    """The Gray–Scott system, grown within an area: how much of the second substance is where.

    Draw it with ``fields.isolines(…, levels=[0.15])`` or let a fill follow it. Known corners of the
    map of (feed, kill): (0.022, 0.051) and (0.046, 0.065) worms, (0.03, 0.057) a maze,
    (0.034, 0.063) and (0.062, 0.061) loops and spots, (0.03, 0.062) spots that divide.

    Parameters
    ----------
    region : Drawing, Sheet, shapely Polygon or MultiPolygon
        The area in which it grows; nothing flows over its edge.
    feed : float or ScalarField, default 0.04
        How fast the first substance is fed, a step: 0 … 0.1.
    kill : float or ScalarField, default 0.06
        How fast the second substance is taken away, a step: 0 … 0.1.
    cell : float, default 0.5
        The side of a cell of the grid, mm, > 0: stripes come about 8 to 12 cells apart.
    steps : int, default 6000
        How many steps, 2 or more; counted up to an even number.
    change : float, default 0
        Stop earlier, once no cell changes by more than this in a step.
    seed : int or numpy Generator, default 0
        Where the first drops lie.
    progress : bool or function, optional
        True for a bar, or a function that is given the share done, 0 … 1; None shows it as
        :mod:`plotlib.progress` does, above two seconds, and False nothing.

    Returns
    -------
    ScalarField
        0 where the area is bare, up to about 0.4 where the second substance stands thick; in the
        bounds of the area, but outside it, 0.

    Raises
    ------
    InvalidValue
        If an argument is invalid, the area is empty or has more than 16 million cells, feed or kill
        leave 0 … 0.1 in it, or 200 thousand million steps of a cell would be taken.

    References
    ----------
    P. Gray, S. K. Scott, 1984; J. E. Pearson, *Complex Patterns in a Simple System*, Science 261,
    1993.

    Examples
    --------
    >>> from shapely import Point
    >>> lichen = reaction_diffusion(Point(0, 0).buffer(12), steps=400, seed=1)
    >>> 0.0 <= float(lichen(0, 0)) < 0.5
    True
    """
    area = as_area(region)
    pitch = checks.positive("cell", cell, unit="mm")
    count = checks.whole("steps", steps, low=2)
    still = checks.not_negative("change", change)
    random = checks.generator(seed)
    if area.is_empty:
        raise InvalidValue("region is empty, so that nothing can grow in it", name="region")
    left, bottom, right, top = area.bounds
    width = max(right - left, pitch) / pitch
    height = max(top - bottom, pitch) / pitch

    def cells(side: float) -> float:
        return max((right - left) / side, 1.0) * max((top - bottom) / side, 1.0)

    remedy = "take a larger cell, {} mm or more"
    affordable("cell", pitch, Limit(cells, _MOST, "cells"), remedy=remedy)
    fewer = f"take fewer, {math.floor(_MOST_WORK / (width * height)):,} at most"
    stepped = count * width * height
    checks.affordable("steps", count, stepped, _MOST_WORK, "steps of a cell", fewer)
    columns = max(2, math.ceil(width) + 1)
    rows = max(2, math.ceil(height) + 1)
    extent = (left, bottom, left + pitch * (columns - 1), bottom + pitch * (rows - 1))
    x, y = np.meshgrid(
        np.linspace(extent[0], extent[2], columns), np.linspace(extent[1], extent[3], rows)
    )
    inside = _inside(area, x, y)
    dish = _dish(
        inside, _rates("feed", feed, x, y, inside), _rates("kill", kill, x, y, inside), random
    )
    with showing.asked("reaction and diffusion", progress) as work:
        _grow(dish, count, still, work)
    grown = np.where(inside, dish.v[1:-1, 1:-1], 0.0)
    return from_array(grown, extent)


def _inside(area: Polygon | MultiPolygon, x: FloatArray, y: FloatArray) -> BoolArray:
    shapely.prepare(area)
    return np.asarray(shapely.intersects_xy(area, x, y), np.bool_)


def _rates(
    name: str, given: float | ScalarField, x: FloatArray, y: FloatArray, inside: BoolArray
) -> FloatArray:
    """The numbers on the grid, each 0 … 0.1 inside."""
    if not isinstance(given, ScalarField):
        return np.full(x.shape, checks.between(name, given, 0, _EDGE))
    found = np.asarray(given(x, y), np.float64)
    right = (found >= 0) & (found <= _EDGE)
    wrong = inside & ~right
    if wrong.any():
        j, i = np.argwhere(wrong)[0]
        raise InvalidValue(
            f"{name} is {found[j, i]:g} at ({x[j, i]:g}, {y[j, i]:g}); keep it within 0 … "
            f"{_EDGE:g}",
            name=name,
        )
    return np.where(right, found, 0.0)


def _dish(
    inside: BoolArray, feed: FloatArray, kill: FloatArray, random: np.random.Generator
) -> Dish:
    """Full of the first substance, with drops of the second, in a rim of one cell."""
    rows, columns = inside.shape
    u = np.ones((rows + 2, columns + 2))
    v = np.zeros_like(u)
    places = np.argwhere(inside)
    drops = max(1, len(places) // _APART)
    if len(places):
        for j, i in places[random.integers(0, len(places), drops)]:
            square = np.s_[
                max(0, j - _DROP) + 1 : j + _DROP + 2, max(0, i - _DROP) + 1 : i + _DROP + 2
            ]
            u[square] = 0.5
            v[square] = 0.25
    padded = np.pad(inside, 1)
    v[~padded] = 0.0
    return dish_of(u, v, np.pad(feed, 1), np.pad(kill, 1), inside=padded)


def dish_of(
    u: FloatArray,
    v: FloatArray,
    feed: FloatArray,
    kill: FloatArray,
    *,
    inside: BoolArray,
    periodic: bool = False,
) -> Dish:
    """What the kernel takes, from arrays that have their rim."""
    from plotlib.growth.gray_scott_kernel import Dish

    is_whole = periodic or bool(inside[1:-1, 1:-1].all())
    return Dish(
        u.copy(), v.copy(), u.copy(), v.copy(), feed, kill, inside, DU, DV, periodic, is_whole
    )


def _grow(dish: Dish, steps: int, still: float, work: showing.Stage) -> None:
    from plotlib.growth.gray_scott_kernel import advance

    pairs = math.ceil(steps / 2)
    some = max(1, _AT_ONCE // (2 * dish.u.size))
    done = 0
    while done < pairs:
        now = min(some, pairs - done)
        moved = advance(dish, 2 * now)
        done += now
        work.done(done / pairs)
        if moved <= still:
            work.done(1.0)
            return
