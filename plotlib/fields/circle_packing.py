"""Circle packing: circles that fill an area without touching."""

from __future__ import annotations

import math

import numpy as np
import shapely
from numpy.typing import ArrayLike

from plotlib import checks
from plotlib.arrays import ragged
from plotlib.arrays.areas import as_area
from plotlib.arrays.flatten import chords
from plotlib.checks import FloatArray, IntArray, Seed
from plotlib.drawing import Drawing, RegionLike
from plotlib.errors import InvalidValue
from plotlib.fields.particles import within
from plotlib.fields.scalar import ScalarField, as_scalar
from plotlib.pen import Pen
from plotlib.progress import Progress, Stage, asked

_BUDGET = 200_000  # candidates looked at in one go, some tenths of a second


def circle_packing(
    region: RegionLike,
    *,
    smallest: float,
    largest: float | ScalarField,
    gap: float = 0.0,
    candidates: int = 20_000,
    seed: Seed = 0,
    progress: Progress = None,
) -> FloatArray:
    """Circles that fill an area without touching: their centres and radii, the largest first.

    Parameters
    ----------
    region : Drawing, Sheet, shapely Polygon or MultiPolygon
        The area; circles stay inside.
    smallest : float
        Least radius in mm, > 0.
    largest : float or ScalarField
        Greatest radius in mm; as a field it may change from place to place.
    gap : float, default 0
        Least distance in mm between circles, and from the edge.
    candidates : int, default 20,000
        How many random centres are tried; more leave less room.
    seed : int or numpy Generator, default 0
        Where they are.
    progress : bool or function, optional
        True shows it at once, a function is given the share done, 0 … 1; None shows it as
        :mod:`plotlib.progress` does, above two seconds, and False nothing.

    Returns
    -------
    ndarray, shape (n, 3)
        x, y and radius in mm.

    Raises
    ------
    InvalidValue
        If an argument is invalid, ``largest`` is less than ``smallest``, or the region fills
        so little of its box that random points hardly ever hit it.

    Examples
    --------
    >>> from shapely import box
    >>> circles = circle_packing(box(0, 0, 100, 100), smallest=1, largest=8, gap=0.5)
    >>> bool(circles[:, 2].max() <= 8), bool(circles[:, 2].min() >= 1)
    (True, True)
    """
    area = as_area(region)
    least = checks.positive("smallest", smallest, unit="mm")
    most = as_scalar("largest", largest)
    apart = checks.not_negative("gap", gap, unit="mm")
    number = checks.whole("candidates", candidates, low=1, high=10_000_000)
    if not isinstance(largest, ScalarField) and most(0, 0) < least:
        raise InvalidValue(
            f"largest must be at least smallest ({least:g} mm), got {most(0, 0):g}",
            name="largest",
            value=largest,
        )
    if area.is_empty:
        return np.empty((0, 3))
    shapely.prepare(area)
    spots = within(area, number, checks.generator(seed))
    edge = area.boundary
    shapely.prepare(edge)
    room = np.empty(len(spots))
    for start in range(0, len(spots), _BUDGET):
        part = spots[start : start + _BUDGET]
        clear = shapely.distance(shapely.points(part), edge) - apart
        room[start : start + _BUDGET] = np.minimum(clear, most(part[:, 0], part[:, 1]))
    enough = np.isfinite(room) & (room >= least)
    if not enough.any():
        return np.empty((0, 3))
    with asked("packing circles", progress) as work:
        return _packed(spots[enough], room[enough], least, apart, work)


def _packed(
    spots: FloatArray, room: FloatArray, least: float, gap: float, work: Stage
) -> FloatArray:
    """The compiled packing in slices, between which Ctrl-C is heard; each pass takes circles down
    to nine tenths of the widest, so shares are counted in powers of it.
    """
    from plotlib.fields.circle_packing_kernel import COUNT, pack, packing

    state = packing(spots, room, gap)
    while not pack(state, spots, least, gap, _BUDGET):
        passed = math.log(room.max() / state.limits[0])
        work.done(passed / math.log(room.max() / least) if passed else 0.0)
    return state.circles[: state.counts[COUNT]].copy()


def circles(circles: ArrayLike, *, tolerance: float = 0.02, pen: Pen | None = None) -> Drawing:
    """Circles drawn as closed strokes.

    Parameters
    ----------
    circles : array-like, shape (n, 3)
        x, y and radius in mm, as ``circle_packing`` gives them; radii > 0.
    tolerance : float, default 0.02
        Greatest distance in mm between a circle and its chords.
    pen : Pen, optional
        The pen; the default pen otherwise.

    Returns
    -------
    Drawing
        n closed strokes.

    Raises
    ------
    InvalidValue
        If an argument is invalid, or the circles need more than 5 million chords.

    Examples
    --------
    >>> import numpy as np
    >>> drawing = circles(np.array([[10, 10, 5], [30, 10, 2]]))
    >>> len(drawing), drawing.is_closed.tolist()
    (2, [True, True])
    """
    given = checks.numbers("circles", circles, ndim=2, columns=3)
    fine = checks.positive("tolerance", tolerance, unit="mm")
    if given.shape[1] != 3 or (given[:, 2:] <= 0).any() or (np.abs(given) > ragged.LIMIT).any():
        raise InvalidValue(
            f"circles must be (n, 3): x, y and a radius above 0, within {ragged.LIMIT:g} mm; got "
            f"{circles!r:.200}",
            name="circles",
        )
    sides = np.maximum(6, chords(given[:, 2], 2 * math.pi, fine))
    points, offsets = _rings(given, sides)
    return Drawing.from_arrays(points, offsets, pen=pen)


def _rings(given: FloatArray, sides: IntArray) -> ragged.Ragged:
    offsets = ragged.offsets_of(sides + 1)
    owner = ragged.stroke_of(offsets)
    # modulo the sides, so that the last point is the first again, bit for bit
    step = (np.arange(offsets[-1]) - offsets[:-1][owner]) % sides[owner]
    turn = 2 * np.pi * step / sides[owner]
    unit = np.stack([np.cos(turn), np.sin(turn)], axis=1)
    return given[owner, :2] + given[owner, 2:] * unit, offsets
