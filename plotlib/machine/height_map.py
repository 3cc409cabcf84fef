"""HeightMap: the shape of a bed that is not flat, for machines that lift the pen along Z.

Between the places of its grid a height is interpolated bilinearly (common mathematics; Press and
others, Numerical Recipes, section 3.6, from memory), beyond the outermost places it stays as it is
there. The writer lets the pen follow it, and the reader takes it out again by a library's
interpolation, so that the proof compares with a flat bed.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from plotlib.checks import FloatArray, between, numbers, points
from plotlib.errors import InvalidValue
from plotlib.machine.lifts import Heights, Lift

_MOST = 100  # places along an axis; a sheet of crosses has 20 at the most
_NEAREST = 0.001  # mm between places: what is nearer is one place
_HIGHEST = 20.0  # mm; what is higher was meant in another unit
_STEEPEST = 0.1  # mm of height for each mm of way; no bed is so bent, and no pen follows it
_LEFT_CLEAR = 0.5  # the share of a lift that must be left over the highest place


@dataclass(frozen=True, kw_only=True)
class HeightMap:
    """Where a bed is high and where it is low.

    Parameters
    ----------
    x, y : sequence of float
        Where heights were measured, in bed mm: columns from left to right and rows from bottom to
        top, 2 to 100 of each.
    heights : sequence of sequence of float
        A row of heights for each of ``y``, from the bottom to the top: by how many mm the bed is
        higher there than where the lift's ``down`` just draws, towards the raised pen; negative
        where it is lower. -20 to 20.
    tolerance : float, default 0.02
        How far, in mm, the pen may be above or below the map between two points of a stroke, 0.001
        to 1: strokes are given more points where the bed bends by more.

    Raises
    ------
    InvalidValue
        If the places do not ascend, the heights are not as many as the places, a number is not in
        its range, or the bed is steeper than 1 in 10.

    Notes
    -----
    The height is that where the carriage stands: a pen with an offset of 5 mm on a bed that falls 1
    in 200 is 0.025 mm off. Times that a plot reports are those of a flat bed.

    Examples
    --------
    >>> bed = HeightMap(x=(0, 200), y=(0, 100), heights=[(0, 0.4), (0, 0)])
    >>> bed.at([(100, 0), (100, 50)]).tolist()
    [0.2, 0.1]
    """

    x: Sequence[float]
    y: Sequence[float]
    heights: Sequence[Sequence[float]]
    tolerance: float = 0.02

    def __post_init__(self) -> None:
        put = object.__setattr__
        for name in ("x", "y"):
            put(self, name, tuple(_places(name, getattr(self, name)).tolist()))
        table = numbers("heights", self.heights, ndim=2)
        if table.shape != (len(self.y), len(self.x)):
            raise InvalidValue(
                f"heights must be {len(self.y)} rows, one for each y, of {len(self.x)} numbers, "
                f"one for each x, got {' x '.join(map(str, table.shape))}",
                name="heights",
                value=self.heights,
            )
        if np.abs(table).max() > _HIGHEST:
            raise InvalidValue(
                f"heights must be within {_HIGHEST:g} mm, got {np.abs(table).max():g}",
                name="heights",
                value=self.heights,
            )
        put(self, "heights", tuple(map(tuple, table.tolist())))
        put(self, "tolerance", between("tolerance", self.tolerance, 0.001, 1.0, unit="mm"))
        if self.steepest > _STEEPEST:
            raise InvalidValue(
                f"the bed would rise {self.steepest:.3g} mm for each mm of x or y, and a pen "
                f"follows {_STEEPEST:g}; read the heights again",
                name="heights",
                value=self.heights,
            )

    @property
    def steepest(self) -> float:
        """How many mm the bed rises or falls at most for each mm along an axis."""
        table = np.asarray(self.heights)
        across = np.abs(np.diff(table, axis=1) / np.diff(self.x)).max()
        up = np.abs(np.diff(table, axis=0) / np.diff(self.y)[:, None]).max()
        return float(max(across, up))

    @property
    def lowest(self) -> float:
        """The height of the lowest place in mm."""
        return float(min(map(min, self.heights)))

    @property
    def highest(self) -> float:
        """The height of the highest place in mm."""
        return float(max(map(max, self.heights)))

    def at(self, places: ArrayLike) -> FloatArray:
        """How high the bed is.

        Parameters
        ----------
        places : array-like (n, 2)
            In bed mm.

        Returns
        -------
        ndarray (n,)
            Mm towards the raised pen.

        Raises
        ------
        InvalidValue
            If ``places`` is no such table.

        Examples
        --------
        >>> bed = HeightMap(x=(0, 200), y=(0, 100), heights=[(0, 0.4), (0, 0)])
        >>> bed.at([(-10, -10), (200, 0)]).tolist()
        [0.0, 0.4]
        """
        spots = points("places", places, least=0)
        table = np.asarray(self.heights)
        column, across = _cells(np.asarray(self.x), spots[:, 0])
        row, up = _cells(np.asarray(self.y), spots[:, 1])
        below = table[row, column] * (1 - across) + table[row, column + 1] * across
        above = table[row + 1, column] * (1 - across) + table[row + 1, column + 1] * across
        return np.asarray(below * (1 - up) + above * up)

    def plus(self, other: HeightMap) -> HeightMap:
        """Both shapes one upon the other, such as what a second sheet found above a first one.

        Parameters
        ----------
        other : HeightMap
            Whose heights are added; the finer ``tolerance`` of both is kept. Places of both that
            are nearer to each other than 0.001 mm become one.

        Raises
        ------
        InvalidValue
            If ``other`` is no HeightMap, or both together have too many places, or heights that
            are not in their range.

        Examples
        --------
        >>> bed = HeightMap(x=(0, 200), y=(0, 100), heights=[(0, 0.4), (0, 0)])
        >>> bed.plus(bed).highest
        0.8
        """
        if not isinstance(other, HeightMap):
            raise InvalidValue(f"other must be a HeightMap, got {other!r:.100}", name="other")
        x = _united(self.x, other.x)
        y = _united(self.y, other.y)
        places = np.stack(np.meshgrid(x, y), axis=-1).reshape(-1, 2)
        heights = (self.at(places) + other.at(places)).reshape(len(y), len(x))
        fine = min(self.tolerance, other.tolerance)
        return HeightMap(x=x.tolist(), y=y.tolist(), heights=heights.tolist(), tolerance=fine)

    def entry(self) -> dict[str, Any]:
        """The table of this map in a machine's profile.

        Examples
        --------
        >>> HeightMap(x=(0, 200), y=(0, 100), heights=[(0, 0.4), (0, 0)]).entry()["x"]
        (0.0, 200.0)
        """
        return dataclasses.asdict(self)


def check_height_map(bed: HeightMap, lift: Lift, *, unit: float) -> None:
    """Refuse a map that the lift of its machine cannot follow."""
    heights = lift.heights
    if heights is None:
        raise InvalidValue(
            f"a height map needs a lift along Z (ZLift), which can be told a height; this machine "
            f"lifts its pen with a {lift.kind}, whose pen follows the paper by its own weight or "
            f"spring: leave height_map out",
            name="height_map",
        )
    if bed.tolerance < unit:
        raise InvalidValue(
            f"the height map's tolerance is {bed.tolerance:g} mm, and the machine's last decimal "
            f"{unit:g} mm; take more decimals, or a larger tolerance",
            name="height_map",
        )
    way = abs(heights.up - heights.down)
    left = way - bed.highest
    if left < way * _LEFT_CLEAR:
        short = bed.highest / (1 - _LEFT_CLEAR) - way
        raise InvalidValue(
            f"over the highest place of the height map the raised pen is {left:.3g} mm above the "
            f"bed, and at least half of the lift's {way:g} mm is needed; raise the pen by "
            f"{short:.3g} mm more",
            name="height_map",
            clearance=left,
        )
    low, high = heights.limits
    least, most = pressed_between(bed, heights)
    if least < low or most > high:
        raise InvalidValue(
            f"with the height map Z goes from {least:g} to {most:g} mm, and the lift's limits are "
            f"{low:g} to {high:g}; set the pen in its holder higher or lower, or mend limits",
            name="height_map",
            low=least,
            high=most,
        )


def pressed_between(bed: HeightMap, heights: Heights) -> tuple[float, float]:
    """The lowest and the highest Z of a pen that draws, in mm."""
    sign = 1.0 if heights.up > heights.down else -1.0
    ends = [heights.down + sign * place for place in (bed.lowest, bed.highest)]
    return min(ends), max(ends)


def _places(name: str, value: Any) -> FloatArray:
    places = numbers(name, value, ndim=1)
    if not 2 <= len(places) <= _MOST or (np.diff(places) < _NEAREST).any():
        raise InvalidValue(
            f"{name} must be 2 to {_MOST} ascending places at least {_NEAREST:g} mm apart, got "
            f"{value!r:.100}",
            name=name,
            value=value,
        )
    for end in (places[0], places[-1]):
        between(name, end, -1e6, 1e6, unit="mm")
    return places


def _united(one: Sequence[float], other: Sequence[float]) -> FloatArray:
    """The places of both, those that are one only once."""
    places = np.union1d(one, other)
    return np.asarray(places[np.diff(places, prepend=-np.inf) >= _NEAREST])


def _cells(knots: FloatArray, values: FloatArray) -> tuple[Any, FloatArray]:
    """The cell (n,) of each value, and how far through it (n,), 0 to 1."""
    inside = np.clip(values, knots[0], knots[-1])
    cell = np.clip(np.searchsorted(knots, inside, side="right") - 1, 0, len(knots) - 2)
    return cell, (inside - knots[cell]) / (knots[cell + 1] - knots[cell])
