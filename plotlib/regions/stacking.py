"""Hidden lines: drawings with opaque silhouettes, laid one upon another."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, TypeAlias

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon, Polygon

from plotlib.arrays.areas import as_area
from plotlib.arrays.ragged import closed, sealed
from plotlib.checks import FloatArray, not_negative
from plotlib.drawing import Drawing, RegionLike, as_drawing
from plotlib.errors import InvalidValue
from plotlib.regions.offsets import only_areas, united

_MANY = 12  # masks at a time: fewer cut more often, more unite what a part of them hides already
_FEW = 3  # masks; more are cut down to the drawing's box before they are united

Item: TypeAlias = "Drawing | tuple[Drawing, RegionLike]"


def stack(items: Iterable[Item], *, gap: float = 0.0, shortest: float = 0.0) -> Drawing:
    """Lay drawings one upon another, the first at the bottom: what lies under a silhouette is cut
    away.

    Parameters
    ----------
    items : iterable of Drawing or (Drawing, region)
        Each drawing with its opaque silhouette. Without a region the silhouette is all that the
        drawing's closed strokes surround (`silhouette`); a drawing without closed strokes hides
        nothing.
    gap : float, default 0
        How far from a silhouette the lines below it end, in mm, >= 0. About a pen's width keeps
        edges clear.
    shortest : float, default 0
        What is seen of a stroke that is cut is left out if it is shorter than this, in mm.

    Returns
    -------
    Drawing
        The visible strokes, from the bottom up, with their pens. Strokes that nothing covers are
        unchanged, closed ones stay closed. An edge that lies on the edge of something above it is
        hidden.

    Raises
    ------
    InvalidValue
        If an item is neither, or the gap is negative.

    References
    ----------
    M. E. Newell, R. G. Newell, T. L. Sancha, *A Solution to the Hidden Surface Problem*, ACM
    National Conference 1972 (painting from back to front; from memory).

    Examples
    --------
    >>> from plotlib.shapes import circle
    >>> below, above = circle((0, 0), 10), circle((10, 0), 10)
    >>> seen = stack([below, above])
    >>> len(seen), bool(seen.length < below.length + above.length)
    (2, True)
    """
    clear = not_negative("gap", gap, unit="mm")
    least = not_negative("shortest", shortest, unit="mm")
    drawings = []
    areas = []
    for number, item in enumerate(_several(items)):
        drawing, area = _parts(item, number)
        drawings.append(drawing)
        areas.append(area)
    if not drawings:
        return Drawing()
    masks = np.array(areas, dtype=object)
    if clear:
        masks = shapely.buffer(masks, clear, quad_segs=8)
    return Drawing(
        [
            _seen(drawing, above, least)
            for drawing, above in zip(drawings, _above(drawings, masks), strict=True)
        ]
    )


def silhouette(drawing: Drawing) -> Polygon | MultiPolygon:
    """All that the closed strokes of a drawing surround, whatever lies inside them; open strokes
    surround nothing.

    Parameters
    ----------
    drawing : Drawing
        The strokes.

    Returns
    -------
    Polygon or MultiPolygon
        Without holes; empty for a drawing without closed strokes.

    Raises
    ------
    InvalidValue
        If ``drawing`` is no Drawing.

    Examples
    --------
    >>> from plotlib.shapes import rectangle
    >>> silhouette(rectangle((0, 0), 10, 10) + rectangle((2, 2), 5, 5)).area
    100.0
    """
    drawing = as_drawing("drawing", drawing)
    rings = np.flatnonzero(
        closed(drawing.points, drawing.offsets) & (np.diff(drawing.offsets) >= 4)
    )
    if not len(rings):
        return Polygon()
    points = sealed(drawing.points, drawing.offsets)
    polygons = [
        Polygon(points[drawing.offsets[k] : drawing.offsets[k + 1]]) for k in rings.tolist()
    ]
    if len(polygons) == 1 and polygons[0].is_valid:
        return polygons[0]
    whole = united(_parts_of(shapely.make_valid(polygons, method="structure")))
    return united(shapely.polygons(shapely.get_exterior_ring(shapely.get_parts(whole))))


def _parts_of(things: NDArray[np.object_]) -> NDArray[np.object_]:
    """The polygons of whatever shapely mended."""
    parts = shapely.get_parts(shapely.get_parts(things))
    polygons: NDArray[np.object_] = parts[
        shapely.get_type_id(parts) == shapely.GeometryType.POLYGON
    ]
    return polygons


def _several(items: Any) -> list[Any]:
    """The items, or InvalidValue for what holds none."""
    what = "items must be several Drawings or pairs (Drawing, region), the lowest first"
    if isinstance(items, Drawing):
        raise InvalidValue(f"{what}; got one Drawing", name="items", value=items)
    try:
        return list(items)
    except TypeError as error:
        raise InvalidValue(f"{what}; got {items!r:.80}", name="items", value=items) from error


def _parts(item: Any, number: int) -> tuple[Drawing, Polygon | MultiPolygon]:
    if isinstance(item, Drawing):
        return item, silhouette(item)
    if isinstance(item, tuple) and len(item) == 2 and isinstance(item[0], Drawing):
        return item[0], as_area(item[1], f"items: the region of item {number}")
    raise InvalidValue(
        f"items: item {number} must be a Drawing or a pair (Drawing, region), got "
        f"{type(item).__name__}",
        name="items",
        item=number,
    )


def _above(drawings: list[Drawing], masks: NDArray[np.object_]) -> list[NDArray[np.object_]]:
    """For each drawing the masks above it that its box meets."""
    boxes = np.array([drawing.box() for drawing in drawings], dtype=object)
    lower, upper = shapely.STRtree(masks).query(boxes)
    higher = upper > lower
    lower = lower[higher]
    upper = upper[higher]
    order = np.lexsort((upper, lower))
    return [
        masks[part]
        for part in np.split(
            upper[order], np.searchsorted(lower[order], np.arange(1, len(drawings)))
        )
    ]


def _seen(drawing: Drawing, above: NDArray[np.object_], least: float) -> Drawing:
    """What masks leave of a drawing: a few at a time, those that share most of its box first, so
    that a drawing deep in a pile is gone before most of them are looked at.
    """
    if len(above) > _MANY:
        above = above[np.argsort(-_shared(drawing, above), kind="stable")]
    for low in range(0, len(above), _MANY):
        drawing = _without(drawing, above[low : low + _MANY], least)
        if not len(drawing):
            break
    return drawing


def _shared(drawing: Drawing, masks: NDArray[np.object_]) -> FloatArray:
    """The area (n,) that the box of each mask shares with that of a drawing."""
    left, bottom, right, top = drawing.bounds or (0.0, 0.0, 0.0, 0.0)
    a, b, c, d = shapely.bounds(masks).T
    across = np.minimum(right, c) - np.maximum(left, a)
    up = np.minimum(top, d) - np.maximum(bottom, b)
    return np.asarray(across * up)


def _without(drawing: Drawing, above: NDArray[np.object_], least: float) -> Drawing:
    """What a few masks leave of a drawing."""
    whole = shapely.GeometryCollection(drawing.to_shapely())
    above = above[shapely.intersects(above, whole)]
    if not len(above):
        return drawing
    if shapely.covers(above, whole).any():
        return drawing[:0]
    mask = _united(above, drawing)
    shapely.prepare(mask)
    if shapely.contains_properly(mask, whole):
        return drawing[:0]
    return drawing.erased(mask, shortest=least)


def _united(above: NDArray[np.object_], drawing: Drawing) -> Polygon | MultiPolygon:
    """One area of several masks, as far as it matters for a drawing."""
    if len(above) > _FEW:
        left, bottom, right, top = drawing.box(margin=1.0).bounds
        near = shapely.clip_by_rect(above, left, bottom, right, top)
        above = near if shapely.is_valid(near).all() else above
    return only_areas(shapely.union_all(above))
