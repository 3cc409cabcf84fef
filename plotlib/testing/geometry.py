"""Strategies for points, strokes, drawings and regions."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from plotlib.checks import FloatArray, point, whole
from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue
from plotlib.machine import Machine
from plotlib.pen import Pen
from plotlib.testing.devices import PENS
from plotlib.testing.library import strategies

if TYPE_CHECKING:
    from hypothesis.strategies import SearchStrategy


Bounds = tuple[float, float, float, float]
_BOX: Bounds = (0.0, 0.0, 100.0, 100.0)


def points(within: Machine | Bounds = _BOX) -> SearchStrategy[tuple[float, float]]:
    """Random points for hypothesis, corners and edges often among them.

    Parameters
    ----------
    within : Machine or (left, bottom, right, top), default (0, 0, 100, 100)
        Where they lie, in mm, the edges included; the bed of a machine.

    Returns
    -------
    hypothesis SearchStrategy of (float, float)
        For ``@given``.

    Raises
    ------
    InvalidValue
        If ``within`` is neither.
    MissingPackage
        If hypothesis is not installed.

    Examples
    --------
    >>> from hypothesis import given
    >>> @given(points(within=(-10, 0, 10, 5)))
    ... def test_a_point_lies_within(point):
    ...     assert abs(point[0]) <= 10 and 0 <= point[1] <= 5
    >>> test_a_point_lies_within()
    """
    st = strategies()
    left, bottom, right, top = _bounds(within)
    placed: SearchStrategy[tuple[float, float]] = st.tuples(
        _coordinates(st, left, right), _coordinates(st, bottom, top)
    )
    return placed


def strokes(within: Machine | Bounds = _BOX, *, most: int = 6) -> SearchStrategy[FloatArray]:
    """Random strokes for hypothesis: dots, open and closed ones, some that cross or retrace
    themselves.

    Parameters
    ----------
    within : Machine or (left, bottom, right, top), default (0, 0, 100, 100)
        Where the points lie, in mm, the edges included; the bed of a machine.
    most : int, default 6
        Points at the most, at least 1; a closed stroke has one more.

    Returns
    -------
    hypothesis SearchStrategy of (n, 2) float arrays
        For ``@given``; the simplest is a dot.

    Raises
    ------
    InvalidValue
        If ``within`` is neither, or ``most`` is no whole number of at least 1.
    MissingPackage
        If hypothesis is not installed.

    Examples
    --------
    >>> from hypothesis import given
    >>> @given(strokes(most=4))
    ... def test_ink_is_as_long_as_its_line(stroke):
    ...     length = np.hypot(*np.diff(stroke, axis=0).T).sum()
    ...     assert abs(Drawing([stroke]).length - length) < 1e-6
    >>> test_ink_is_as_long_as_its_line()
    """
    st = strategies()
    bounds = _bounds(within)
    count = whole("most", most, low=1)
    drawn: SearchStrategy[FloatArray] = _rows(st, bounds, count).map(_as_array)
    return drawn


def regions(within: Machine | Bounds = _BOX) -> SearchStrategy[Polygon | MultiPolygon]:
    """Random regions for hypothesis: boxes, stars, holes, slivers, islands in lakes, parts and
    holes that touch in a point.

    Parameters
    ----------
    within : Machine or (left, bottom, right, top), default (0, 0, 100, 100)
        Where they lie, in mm; the bed of a machine.

    Returns
    -------
    hypothesis SearchStrategy of shapely Polygon and MultiPolygon
        For ``@given``; valid, with an area, the simplest a box.

    Raises
    ------
    InvalidValue
        If ``within`` is neither, or has no area.
    MissingPackage
        If hypothesis is not installed.

    Examples
    --------
    >>> from hypothesis import given
    >>> @given(regions())
    ... def test_a_region_has_an_area(region):
    ...     assert region.is_valid and region.area > 0
    >>> test_a_region_has_an_area()
    """
    st = strategies()
    left, bottom, right, top = bounds = _bounds(within)
    if not (left < right and bottom < top):
        raise InvalidValue(
            f"within must have an area for regions to lie in; got {within!r:.200}",
            name="within",
            value=within,
        )
    unit: SearchStrategy[Polygon | MultiPolygon] = st.one_of(
        _boxes(st), _stars(st), _holed(st), _slivers(st), _touching(st), _nested(st)
    )
    return unit.map(lambda region: _fitted(region, bounds))


def drawings(
    within: Machine | Bounds = _BOX,
    *,
    most: int = 12,
) -> SearchStrategy[Drawing]:
    """Random drawings for hypothesis: dots, closed, retraced and crossing strokes, shared ends,
    points on the edge, up to three pens.

    Parameters
    ----------
    within : Machine or (left, bottom, right, top), default (0, 0, 100, 100)
        Where the points lie, in mm, the edges included; the bed of a machine.
    most : int, default 12
        Strokes at the most.

    Returns
    -------
    hypothesis SearchStrategy of Drawing
        For ``@given``.

    Raises
    ------
    InvalidValue
        If ``within`` is neither, or ``most`` is no whole number of at least 0.
    MissingPackage
        If hypothesis is not installed.

    Examples
    --------
    >>> from hypothesis import given
    >>> @given(drawings(within=(0, 0, 50, 50)))
    ... def test_turning_keeps_the_length(drawing):
    ...     assert abs(drawing.turned(90).length - drawing.length) < 1e-6
    >>> test_turning_keeps_the_length()
    """
    st = strategies()
    bounds = _bounds(within)
    count = whole("most", most, low=0)
    stroke = st.one_of(_rows(st, bounds, 6), _coarse(st, *bounds))
    drawn: SearchStrategy[Drawing] = st.lists(
        st.tuples(stroke, st.sampled_from(PENS)), max_size=count
    ).map(_composed)
    return drawn


def _bounds(within: Machine | Bounds) -> Bounds:
    if isinstance(within, Machine):
        return within.bed.bounds
    is_four = isinstance(within, (tuple, list, np.ndarray)) and len(within) == 4
    if is_four:
        left, bottom = point("within", within[:2])
        right, top = point("within", within[2:])
        if left <= right and bottom <= top:
            return left, bottom, right, top
    raise InvalidValue(
        "within must be a Machine or (left, bottom, right, top) in mm with left <= right and "
        f"bottom <= top, such as the bounds of an area or a sheet; got {within!r:.200}",
        name="within",
        value=within,
    )


def _coordinates(st: Any, low: float, high: float) -> Any:
    return st.one_of(
        st.floats(low, high, allow_nan=False), st.sampled_from([low, high, (low + high) / 2])
    )


def _rows(st: Any, bounds: Bounds, most: int) -> Any:
    """Lists of points: dots and open strokes, and ones that end where they began."""
    left, bottom, right, top = bounds
    place = st.tuples(_coordinates(st, left, right), _coordinates(st, bottom, top))
    opened = st.lists(place, min_size=1, max_size=most)
    if most < 2:
        return opened
    closed = st.lists(place, min_size=2, max_size=most).map(lambda rows: [*rows, rows[0]])
    return st.one_of(opened, closed)


def _coarse(st: Any, left: float, bottom: float, right: float, top: float) -> Any:
    """Strokes on a 3 x 3 lattice, so that ends meet, strokes cross and ink lies twice."""
    node = st.tuples(st.integers(0, 2), st.integers(0, 2))
    place = node.map(
        lambda n: (left + n[0] * (right - left) / 2, bottom + n[1] * (top - bottom) / 2)
    )
    return st.lists(place, min_size=1, max_size=7)


def _composed(strokes: list[tuple[Any, Pen]]) -> Drawing:
    return Drawing([Drawing([np.array(points, np.float64)], pen=pen) for points, pen in strokes])


def _as_array(rows: list[tuple[float, float]]) -> FloatArray:
    return np.array(rows, np.float64)


def _boxes(st: Any) -> Any:
    """Boxes in the unit square, 0.01 to 1 wide and high."""
    size = st.floats(0.01, 1)
    place = st.floats(0, 1)
    return st.builds(_box, place, place, size, size)


def _box(x: float, y: float, width: float, height: float) -> Polygon:
    left = x * (1 - width)
    bottom = y * (1 - height)
    return shapely.box(left, bottom, left + width, bottom + height)


def _stars(st: Any) -> Any:
    """Polygons whose corners stand round a centre, so that no edges cross."""
    reach = st.floats(0.05, 0.5)
    return st.lists(reach, min_size=3, max_size=9).map(_star)


def _star(reaches: list[float]) -> Polygon:
    angles = np.arange(len(reaches)) * (2 * np.pi / len(reaches))
    corners = np.column_stack([np.cos(angles), np.sin(angles)]) * np.array(reaches)[:, None]
    return Polygon(corners + 0.5)


def _holed(st: Any) -> Any:
    """Stars with one to four holes."""
    hole = st.tuples(st.floats(0.1, 0.9), st.floats(0.1, 0.9), st.floats(0.01, 0.3))
    return st.tuples(_stars(st), st.lists(hole, min_size=1, max_size=4)).map(_bored)


def _bored(parts: tuple[Polygon, list[tuple[float, float, float]]]) -> Polygon | MultiPolygon:
    star, holes = parts
    discs = [shapely.Point(x, y).buffer(radius, quad_segs=2) for x, y, radius in holes]
    left: Any = shapely.difference(star, shapely.union_all(discs))
    has_area = left.geom_type in ("Polygon", "MultiPolygon") and left.area > 0
    bored: Polygon | MultiPolygon = left if has_area else star
    return bored


def _slivers(st: Any) -> Any:
    """Strips a millionth to a hundredth as wide as long."""
    return st.tuples(st.floats(0, 1), st.sampled_from([1e-2, 1e-4, 1e-6]), st.booleans()).map(
        lambda part: _strip(*part)
    )


def _strip(place: float, width: float, is_upright: bool) -> Polygon:
    low = place * (1 - width)
    return (
        shapely.box(low, 0, low + width, 1) if is_upright else shapely.box(0, low, 1, low + width)
    )


def _touching(st: Any) -> Any:
    """Two boxes that meet in a corner, or a hole that meets the edge in a point."""
    at = st.floats(0.2, 0.8)
    return st.tuples(at, at, st.booleans()).map(lambda part: _pair(*part))


def _pair(x: float, y: float, is_hole: bool) -> Polygon | MultiPolygon:
    if not is_hole:
        return MultiPolygon([shapely.box(0, 0, x, y), shapely.box(x, y, 1, 1)])
    corner = (0.0, y)
    edge = [(0, 0), (1, 0), (1, 1), (0, 1), corner]
    return Polygon(edge, [[corner, (x, y - 0.1), (x, y + 0.1)]])


def _nested(st: Any) -> Any:
    """An island in a lake, up to three deep."""
    return st.lists(st.floats(0.4, 0.9), min_size=2, max_size=6).map(_rings)


def _rings(shares: list[float]) -> Polygon | MultiPolygon:
    region: Any = Polygon()
    half = 0.5
    for share in shares:
        square = shapely.box(0.5 - half, 0.5 - half, 0.5 + half, 0.5 + half)
        region = shapely.symmetric_difference(region, square)
        half *= share
    nested: Polygon | MultiPolygon = region
    return nested


def _fitted(region: Polygon | MultiPolygon, bounds: Bounds) -> Polygon | MultiPolygon:
    """The unit square's region, stretched over the bounds and kept in them to the last bit."""
    left, bottom, right, top = bounds

    def stretched(corners: FloatArray) -> FloatArray:
        placed = corners * (right - left, top - bottom) + (left, bottom)
        return np.clip(placed, (left, bottom), (right, top))

    return shapely.transform(region, stretched)
