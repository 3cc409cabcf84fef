"""Ridge-line plots: profiles of a field stacked up the page, the nearer ones hiding the farther."""

from __future__ import annotations

import numpy as np

from plotlib import checks
from plotlib.arrays import reshape
from plotlib.arrays.areas import as_area
from plotlib.arrays.ragged import Ragged, empty, offsets_of
from plotlib.checks import BoolArray, FloatArray
from plotlib.drawing import Drawing, RegionLike
from plotlib.errors import InvalidValue
from plotlib.fields import grid
from plotlib.fields.scalar import ScalarField, as_scalar
from plotlib.pen import Pen

_MOST = 20_000_000  # points of all profiles
_FARTHEST = 1e8  # mm


def ridgelines(
    field: ScalarField,
    region: RegionLike,
    *,
    spacing: float,
    height: float,
    sky: float = 0.0,
    hidden: bool = True,
    step: float = 0.25,
    tolerance: float = 0.02,
    pen: Pen | None = None,
) -> Drawing:
    """Profiles of a field, one above the other.

    Parameters
    ----------
    field : ScalarField
        The ground; its number times ``height`` lifts a line above its base.
    region : Drawing, Sheet, shapely Polygon or MultiPolygon
        The area to stay in; what a profile lifts over its edge is cut off.
    spacing : float
        Distance in mm between base lines, > 0; the lowest lies half of it above the bottom of the
        area.
    height : float
        Millimetres for each unit of the field.
    sky : float, default 0
        Height in mm of the strip at the top of the area that has no base lines, for the farthest
        profiles to rise into.
    hidden : bool, default True
        Leave out what lies behind a nearer (lower) line.
    step : float, default 0.25
        Distance in mm between points along x.
    tolerance : float, default 0.02
        Points may go as long as the line moves by no more than this, mm.
    pen : Pen, optional
        The pen; the default pen otherwise.

    Returns
    -------
    Drawing
        From the nearest line to the farthest, each from left to right.

    Raises
    ------
    InvalidValue
        If an argument is invalid, the field is not finite in the area, lines are lifted by
        more than 100,000 km, or there would be more than 20 million points.

    Examples
    --------
    >>> from shapely import box
    >>> from plotlib.fields.scalar import constant
    >>> len(ridgelines(constant(0.5), box(0, 0, 50, 20), spacing=2, height=1))
    10
    """
    apart = checks.positive("spacing", spacing, unit="mm")
    unit = checks.finite("height", height, unit="mm")
    clear = checks.not_negative("sky", sky, unit="mm")
    ground = as_scalar("field", field)
    is_hidden = checks.flag("hidden", hidden)
    fine = checks.not_negative("tolerance", tolerance, unit="mm")
    area = as_area(region)
    if area.is_empty or area.bounds[3] - area.bounds[1] <= clear + apart / 2:
        return Drawing(pen=pen)
    left, bottom, right, top = area.bounds
    columns = grid.over((left, bottom, right, bottom), checks.positive("step", step, unit="mm")).x
    rows = (top - clear - bottom) / apart
    checks.affordable(
        "spacing",
        apart,
        rows * len(columns),
        _MOST,
        "points",
        f"take {checks.two_digits(apart * rows * len(columns) / _MOST)} mm or more",
    )
    bases = np.arange(bottom + apart / 2, top - clear, apart)
    rise = unit * grid.values(ground, grid.Grid(columns, bases))
    highest = float(np.abs(rise).max(initial=0.0))
    if highest > _FARTHEST:
        raise InvalidValue(
            f"height = {unit:g} mm for each unit of the field lifts lines by {highest:g} mm, more "
            f"than {_FARTHEST:g}; take a smaller height",
            name="height",
            value=unit,
        )
    profiles = bases[:, None] + rise
    points, offsets = _visible(columns, profiles) if is_hidden else _whole(columns, profiles)
    if fine:
        points, offsets = reshape.simplify(points, offsets, fine)
    return Drawing.from_arrays(points, offsets, pen=pen).clipped(area)


def _whole(columns: FloatArray, profiles: FloatArray) -> Ragged:
    rows = len(profiles)
    points = np.stack([np.tile(columns, rows), profiles.ravel()], axis=1)
    return points, np.arange(rows + 1, dtype=np.int64) * len(columns)


def _visible(columns: FloatArray, profiles: FloatArray) -> Ragged:
    """What of each profile is above all before it, ends at the crossings included."""
    horizon = np.full(len(columns), -np.inf)
    pieces: list[Ragged] = []
    for profile in profiles:
        pieces.append(_above(columns, profile, horizon))
        horizon = np.maximum(horizon, profile)
    points = np.concatenate([points for points, _ in pieces]) if pieces else np.empty((0, 2))
    counts = [np.diff(offsets) for _, offsets in pieces]
    return points, offsets_of(np.concatenate(counts) if counts else np.zeros(0, np.int64))


def _above(columns: FloatArray, profile: FloatArray, horizon: FloatArray) -> Ragged:
    seen: BoolArray = profile > horizon
    if seen.all():
        return np.stack([columns, profile], axis=1), np.array([0, len(columns)], np.int64)
    if not seen.any():
        return empty()
    clear = profile - horizon
    turns = np.flatnonzero(seen[1:] != seen[:-1])
    share = clear[turns] / (clear[turns] - clear[turns + 1])
    x = columns[turns] + share * (columns[turns + 1] - columns[turns])
    y = profile[turns] + share * (profile[turns + 1] - profile[turns])
    keys = np.concatenate([np.flatnonzero(seen).astype(np.float64), turns + 0.5])
    points = np.concatenate([np.stack([columns, profile], axis=1)[seen], np.stack([x, y], axis=1)])
    order = np.argsort(keys, kind="stable")
    # a turn from seen to hidden ends a piece, and so does the right edge
    ends = np.concatenate([seen[turns], [bool(seen[-1])]])
    places = np.searchsorted(keys[order], np.concatenate([turns + 0.5, [len(columns)]]))
    stops = places[:-1][ends[:-1]] + 1
    offsets = np.concatenate([[0], stops, [len(keys)] if seen[-1] else []]).astype(np.int64)
    return points[order], offsets
