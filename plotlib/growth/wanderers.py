"""Wanderers: random walks that keep a distance from all that is drawn, their own way included."""

from __future__ import annotations

import math

import numpy as np

from plotlib import checks
from plotlib.arrays import ragged
from plotlib.arrays.areas import as_area
from plotlib.checks import FloatArray, Seed
from plotlib.drawing import Drawing, RegionLike
from plotlib.fields import poisson_disk
from plotlib.growth.afford import Limit, affordable, squares
from plotlib.growth.room import CELLS, Room, cells_of, room
from plotlib.pen import Pen
from plotlib.progress import Progress, Stage, asked

_STEP = 0.25  # spacings
_SKIP = 1.7  # spacings of its own way that a wanderer may be nearer to
_SHARPEST = 0.55  # spacings: the radius of the sharpest bend
_MOST = 400_000  # squares of the spacing in the area
_AT_ONCE = 64  # wanderers between two reports


def wanderers(
    region: RegionLike,
    *,
    spacing: float = 1.5,
    persistence_length: float | None = None,
    length: float | None = None,
    shortest: float | None = None,
    count: int | None = None,
    seed: Seed = 0,
    pen: Pen | None = None,
    progress: Progress = None,
) -> Drawing:
    """Wanderers that walk through an area one after the other, turn at random, and never come near
    a line: correlated random walks that avoid themselves and each other.

    Parameters
    ----------
    region : Drawing, Sheet, shapely Polygon or MultiPolygon
        The area to stay in.
    spacing : float, default 1.5
        No line comes nearer to another than this, mm, > 0; nor to itself, but for the last 1.7
        spacings of its way.
    persistence_length : float, optional
        The persistence length in mm, > 0: the way over which the mean cosine of the heading falls
        to 1 / e. Without it twelve spacings; less is more winding.
    length : float, optional
        The longest way of a wanderer, mm, > 0; without it each walks until it is shut in.
    shortest : float, optional
        Shorter ways are not drawn, mm, >= 0; without it three spacings.
    count : int, optional
        How many wanderers at most, >= 1; without it as many as find room.
    seed : int or numpy Generator, default 0
        Where they start and how they turn.
    pen : Pen, optional
        The pen; without it the default one.
    progress : bool or function, optional
        True for a bar, or a function that is given the share done, 0 … 1; None shows it as
        :mod:`plotlib.progress` does, above two seconds, and False nothing.

    Returns
    -------
    Drawing
        A stroke for each wanderer, in their order. Iterative: on other processors it may come out
        differently.

    Raises
    ------
    InvalidValue
        If an argument is invalid, or the area holds more than 400,000 squares of the spacing.

    References
    ----------
    C. S. Patlak, *Random Walk with Persistence and External Bias*, 1953; P. M. Kareiva,
    N. Shigesada, *Analyzing Insect Movement as a Correlated Random Walk*, Oecologia 56, 1983.

    Examples
    --------
    >>> from shapely import box
    >>> ways = wanderers(box(0, 0, 40, 30), spacing=2, seed=1)
    >>> ways.length > 200
    True
    """
    area = as_area(region)
    apart = checks.positive("spacing", spacing, unit="mm")
    memory = 12 * apart
    if persistence_length is not None:
        memory = checks.positive("persistence_length", persistence_length, unit="mm")
    way = math.inf if length is None else checks.positive("length", length, unit="mm")
    least = 3 * apart
    if shortest is not None:
        least = checks.not_negative("shortest", shortest, unit="mm")
    most = None if count is None else checks.whole("count", count, low=1)
    random = checks.generator(seed)
    limits = [Limit(squares(area.area), _MOST, "squares of it")]
    if not area.is_empty:
        limits.append(cells_of(area.bounds, _STEP / CELLS))
    affordable("spacing", apart, *limits)
    place = room(area, _STEP * apart, "spacing", apart)
    crowd = _Crowd(place, apart, memory, squares(area.area)(apart))
    if not crowd.room.is_in.any():
        return Drawing(pen=pen)
    starts = np.asarray(poisson_disk(area, spacing=apart, seed=random))
    with asked("wandering", progress) as work:
        strokes = crowd.walked(random.permutation(starts), way, least, most, random, work)
    return Drawing.from_arrays(*ragged.pack(strokes), pen=pen)


class _Crowd:
    """All wanderers of an area, with the arrays that the kernel needs."""

    def __init__(self, place: Room, apart: float, memory: float, squares: float) -> None:
        from plotlib.growth.wanderers_kernel import Gait, Paths

        self.room = place
        step = _STEP * apart
        # so far from each other no two steps between nodes come nearer than the spacing: one node
        # and the middle of a step
        between = math.hypot(apart, step / 2)
        most = 2 * math.asin(min(1.0, step / (2 * _SHARPEST * apart)))
        spread = min(math.sqrt(2 * step / memory), most)
        skip = math.ceil(_SKIP * apart / step)
        self.gait = Gait(step, spread, most, between, skip)
        rows, columns = place.is_in.shape
        shape = (
            int(rows * place.origin[3] / between) + 2,
            int(columns * place.origin[2] / between) + 2,
        )
        self.capacity = int(2 * squares / _STEP) + 10_000
        self.paths = Paths(
            np.zeros((self.capacity, 2)), np.full(shape, -1), np.full(self.capacity, -1)
        )

    def walked(
        self,
        starts: FloatArray,
        way: float,
        least: float,
        most: int | None,
        random: np.random.Generator,
        work: Stage,
    ) -> list[FloatArray]:
        """Let wanderers walk from the starts, one after the other; their ways (n, 2)."""
        from plotlib.growth.colonisation_kernel import Ground
        from plotlib.growth.random_kernel import state_of
        from plotlib.growth.wanderers_kernel import take_back, walk

        ground = Ground(*self.room)
        state = state_of(random)
        nodes = int(min(way / self.gait.step, self.capacity)) + 1
        strokes: list[FloatArray] = []
        done = 0
        for number, start in enumerate(starts):
            if len(strokes) == most:
                break
            limit = min(done + nodes, self.capacity)
            end = walk(self.paths, ground, self.gait, state, start, done, limit)
            if end - done < 2 or (end - done - 1) * self.gait.step < least:
                take_back(self.paths, ground, self.gait, done, end)
            else:
                strokes.append(self.paths.at[done:end].copy())
                done = end
            if number % _AT_ONCE == 0:
                work.done(number / len(starts))
        return strokes
