"""The Drawing: many strokes on pens, one immutable value in millimetres."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING, Any, TypeAlias, overload

import numpy as np
import shapely
from numpy.typing import ArrayLike
from shapely import MultiPolygon, Polygon

from plotlib.arrays import affine, ragged, reshape
from plotlib.arrays.areas import as_area, evenodd
from plotlib.arrays.cutting import cut
from plotlib.arrays.fromshapely import to_lines, unpack
from plotlib.checks import (
    BoolArray,
    FloatArray,
    IntArray,
    between,
    finite,
    not_negative,
    point,
    positive,
)
from plotlib.errors import InvalidValue, NoSuchStroke
from plotlib.pen import DEFAULT_PEN, Pen, as_pen, check_names, in_use

if TYPE_CHECKING:
    from plotlib.sheet import Sheet

Bounds: TypeAlias = tuple[float, float, float, float]
RegionLike: TypeAlias = "Drawing | Sheet | Polygon | MultiPolygon"

_ARRAYS = ("_points", "_offsets", "_pen_index")
_STRETCH = 1e6  # times: more turns a point of a pen into a kilometre
_NOTHING = 1e-300  # mm: an extent below it has no proportions that floats could keep


class Drawing:
    """Strokes in millimetres, x right, y up, each with its pen. Immutable: every method returns a
    new Drawing.

    Parameters
    ----------
    strokes : iterable of array-likes (n, 2), shapely geometries or Drawings; or one shapely
    geometry or Drawing
        A stroke of one point is a dot; one of three or more whose last point lies within 1e-6 mm
        of the first is closed. Polygons give their rings.
    pen : Pen, optional
        The pen of all strokes. Without it strokes of Drawings keep theirs, all others get the
        default pen.

    Raises
    ------
    InvalidValue
        For what is no stroke or not finite, naming the stroke and the point; for two different pens
        of one name.

    Examples
    --------
    >>> drawing = Drawing([[(0, 0), (30, 40)], [(5, 5)]])
    >>> len(drawing), drawing.length, drawing.bounds
    (2, 50.0, (0.0, 0.0, 30.0, 40.0))
    """

    __slots__ = ("_addends", "_offsets", "_pen_index", "_pens", "_points")

    def __init__(self, strokes: Any = (), *, pen: Pen | None = None) -> None:
        points, offsets, index, pens = _read(strokes)
        if pen is not None:
            index = np.zeros(len(offsets) - 1, np.int64)
            pens = (as_pen(pen),)
        self._set(points, offsets, index, pens)

    @classmethod
    def from_arrays(
        cls, points: FloatArray, offsets: IntArray, *, pen: Pen | None = None
    ) -> Drawing:
        """Strokes of one pen from ragged arrays: ``points`` (N, 2) and ``offsets`` (M + 1,), rising
        from 0 to N without empty strokes.

        The arrays are copied.
        """
        points = ragged.copied("points", points, np.float64, "iuf")
        offsets = ragged.copied("offsets", offsets, np.int64, "iu")
        if points.ndim != 2 or points.shape[1] != 2 or offsets.ndim != 1 or not len(offsets):
            raise InvalidValue(
                f"points must be (N, 2) and offsets (M + 1,), got {points.shape} and "
                f"{offsets.shape}"
            )
        if offsets[0] != 0 or offsets[-1] != len(points) or (np.diff(offsets) < 1).any():
            raise InvalidValue(
                f"offsets must rise from 0 to {len(points)}, each stroke with at least one point"
            )
        return cls._make(points, offsets, np.zeros(len(offsets) - 1, np.int64), (as_pen(pen),))

    @classmethod
    def _make(
        cls, points: FloatArray, offsets: IntArray, index: IntArray, pens: tuple[Pen, ...]
    ) -> Drawing:
        drawing = cls.__new__(cls)
        drawing._set(points, offsets, index, pens)
        return drawing

    def _set(
        self, points: FloatArray, offsets: IntArray, index: IntArray, pens: tuple[Pen, ...]
    ) -> None:
        ragged.check(points, offsets)
        index, pens = in_use(index, pens)
        for array in (points, offsets, index):
            array.flags.writeable = False
        self._points = points
        self._offsets = offsets
        self._pen_index = index
        self._pens = pens
        self._addends: tuple[Drawing, ...] = ()

    def __getattr__(self, name: str) -> Any:
        """The arrays of a sum, which are put together when they are first asked for."""
        if name not in _ARRAYS:
            raise AttributeError(f"{type(self).__name__!r} object has no attribute {name!r}")
        points, offsets, index, _ = _composed(_leaves(self))
        for array in (points, offsets, index):
            array.flags.writeable = False
        self._points = points
        self._offsets = offsets
        self._pen_index = index
        self._addends = ()  # last, so that another thread finds either the addends or the arrays
        return object.__getattribute__(self, name)

    def __reduce__(self) -> tuple[Any, ...]:
        return Drawing._make, (
            self._points,
            self._offsets,
            self._pen_index,
            self._pens,
        )  # copies are locked like the original

    # ---- facts

    @property
    def points(self) -> FloatArray:
        """All points (N, 2) in mm, stroke after stroke; read-only."""
        return self._points

    @property
    def offsets(self) -> IntArray:
        """Where each stroke begins in ``points``, and the end (M + 1,); read-only."""
        return self._offsets

    @property
    def pen_index(self) -> IntArray:
        """The index (M,) of each stroke's pen in ``pens``; read-only."""
        return self._pen_index

    @property
    def pens(self) -> tuple[Pen, ...]:
        """The pens in use, in the order of their first stroke."""
        return self._pens

    @property
    def bounds(self) -> Bounds | None:
        """(left, bottom, right, top) of the points in mm; None when the drawing is empty."""
        return ragged.bounds(self._points)

    @property
    def length(self) -> float:
        """Length of all strokes together in mm."""
        return float(self.lengths.sum())

    @property
    def lengths(self) -> FloatArray:
        """Length (M,) of each stroke in mm."""
        return ragged.lengths(self._points, self._offsets)

    @property
    def is_closed(self) -> BoolArray:
        """Which strokes (M,) are closed: three points or more, the last within 1e-6 mm of the
        first.
        """
        return ragged.closed(self._points, self._offsets)

    def __len__(self) -> int:
        return len(self._offsets) - 1

    def __iter__(self) -> Iterator[FloatArray]:
        return iter(np.split(self._points, self._offsets[1:-1]) if len(self) else [])

    @overload
    def __getitem__(self, key: int) -> FloatArray: ...
    @overload
    def __getitem__(self, key: slice | ArrayLike) -> Drawing: ...
    def __getitem__(self, key: Any) -> Any:
        """One stroke (n, 2) by its number; a Drawing by a slice, a list of numbers or a mask
        (M,).
        """
        if isinstance(key, (int, np.integer)) and not isinstance(key, bool):
            if not -len(self) <= key < len(self):
                raise NoSuchStroke(
                    f"there is no stroke {key!r:.40} in a drawing of {len(self)}", stroke=key
                )
            at = key % len(self)
            return self._points[self._offsets[at] : self._offsets[at + 1]]
        chosen = ragged.chosen(key, len(self))
        rows, offsets = ragged.take(self._offsets, chosen)
        return self._make(self._points[rows], offsets, self._pen_index[chosen], self._pens)

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, Drawing):
            return NotImplemented
        mine = (self._points, self._offsets, self._pen_index)
        theirs = (other._points, other._offsets, other._pen_index)
        return self._pens == other._pens and all(map(np.array_equal, mine, theirs))

    def __hash__(self) -> int:
        return hash(
            (self._points.tobytes(), self._offsets.tobytes(), self._pen_index.tobytes(), self._pens)
        )

    def __repr__(self) -> str:
        if not len(self):
            return "<Drawing: empty>"
        left, bottom, right, top = self.bounds or (0, 0, 0, 0)
        pens = ", ".join(pen.name for pen in self._pens)
        return f"<Drawing: {len(self):,} strokes, {self.length:,.1f} mm, x {left:g} to {right:g}, y {bottom:g} to {top:g}, pens: {pens}>"

    # ---- composition

    def __add__(self, other: Drawing) -> Drawing:
        """The strokes of both, these first."""
        if not isinstance(other, Drawing):
            return NotImplemented
        both = Drawing.__new__(Drawing)
        both._pens = tuple(dict.fromkeys(self._pens + other._pens))
        both._addends = (self, other)
        check_names(both._pens)
        return both

    def __radd__(self, other: object) -> Drawing:
        """So that ``sum(drawings)`` works: its strokes are put together once, at the end."""
        return self if other == 0 else NotImplemented

    def inked(self, pen: Pen) -> Drawing:
        """The same strokes, all with ``pen``."""
        return self._make(
            self._points, self._offsets, np.zeros(len(self), np.int64), (as_pen(pen),)
        )

    def by_pen(self) -> dict[Pen, Drawing]:
        """One Drawing for each pen, in the order of the pens."""
        return {pen: self[np.flatnonzero(self._pen_index == k)] for k, pen in enumerate(self._pens)}

    # ---- placing

    def transformed(self, matrix: ArrayLike) -> Drawing:
        """Under an affine map: ``matrix`` (2, 3) or (3, 3), acting on columns (x, y, 1) in mm."""
        try:
            array = np.asarray(matrix, np.float64)
        except (TypeError, ValueError, OverflowError) as error:
            raise InvalidValue(
                f"an affine matrix is finite, (2, 3) or (3, 3) with the last row 0 0 1; got "
                f"{matrix!r:.100}"
            ) from error
        if (
            array.shape not in {(2, 3), (3, 3)}
            or (len(array) == 3 and array[2].tolist() != [0, 0, 1])
            or not np.isfinite(array).all()
        ):
            raise InvalidValue(
                f"an affine matrix is finite, (2, 3) or (3, 3) with the last row 0 0 1; got "
                f"{array.tolist()}"
            )
        with np.errstate(over="ignore", invalid="ignore"):
            return self._with_points(affine.apply(array[:2], self._points))

    def moved(self, dx: float, dy: float) -> Drawing:
        """Moved by (dx, dy) mm."""
        return self.transformed(
            [[1, 0, finite("dx", dx, unit="mm")], [0, 1, finite("dy", dy, unit="mm")]]
        )

    def turned(self, angle: float, *, about: tuple[float, float] = (0.0, 0.0)) -> Drawing:
        """Turned by ``angle`` degrees counter-clockwise; multiples of 90 are exact."""
        return self.transformed(
            affine.about(affine.turn(finite("angle", angle)), point("about", about))
        )

    def scaled(
        self, x: float, y: float | None = None, *, about: tuple[float, float] = (0.0, 0.0)
    ) -> Drawing:
        """Scaled by ``x`` across and ``y`` up (the same when not given); pens keep their width."""
        factors = [
            between("x", x, -_STRETCH, _STRETCH),
            between("y", x if y is None else y, -_STRETCH, _STRETCH),
        ]
        return self.transformed(affine.about(np.diag(factors), point("about", about)))

    def mirrored(self, angle: float = 90.0, *, about: tuple[float, float] = (0.0, 0.0)) -> Drawing:
        """Mirrored in the line through ``about`` at ``angle`` degrees; the default line stands
        upright, so left and right change.
        """
        return self.transformed(
            affine.about(affine.mirror(finite("angle", angle)), point("about", about))
        )

    def fitted(self, region: RegionLike) -> Drawing:
        """As large as ``region``'s bounding box allows, in proportion, centred in it; a drawing
        without extent is only centred.
        """
        area = as_area(region)
        if area.is_empty:
            raise InvalidValue("cannot fit a drawing into an empty area")
        if not len(self):
            return self
        a, b, c, d = self.bounds or (0.0, 0.0, 0.0, 0.0)
        left, bottom, right, top = area.bounds
        ratios = [
            new / old
            for new, old in ((right - left, c - a), (top - bottom, d - b))
            if old > _NOTHING
        ]
        return self._fitted_by(
            min(ratios, default=1.0), np.array([(a + c) / 2, (b + d) / 2]), area.bounds
        )

    def _fitted_by(self, factor: float, centre: FloatArray, bounds: Bounds) -> Drawing:
        middle = np.array([(bounds[0] + bounds[2]) / 2, (bounds[1] + bounds[3]) / 2])
        placed = (self._points - centre) * factor + middle
        return self._with_points(
            np.clip(placed, bounds[:2], bounds[2:])
        )  # rounding may not put a point over the edge

    # ---- changed strokes

    def reversed(self) -> Drawing:
        """Each stroke drawn backwards, the last stroke first."""
        back = np.arange(len(self))[::-1]
        rows, offsets = ragged.take(self._offsets, back, np.ones(len(self), np.bool_))
        return self._make(self._points[rows], offsets, self._pen_index[back], self._pens)

    def simplified(self, tolerance: float) -> Drawing:
        """Without the points that can go: each one dropped lies within ``tolerance`` mm of the
        segment that replaces it.

        Ends stay; a closed stroke no farther than the tolerance from its first point becomes a dot
        (Douglas and Peucker, 1973).
        """
        limit = not_negative("tolerance", tolerance, unit="mm")
        return self._make(
            *reshape.simplify(self._points, self._offsets, limit), self._pen_index, self._pens
        )

    def resampled(self, spacing: float) -> Drawing:
        """Points at equal distances along each stroke, at most ``spacing`` mm apart; ends and dots
        stay, corners between points are cut.
        """
        step = positive("spacing", spacing, unit="mm")
        return self._make(
            *reshape.resample(self._points, self._offsets, step), self._pen_index, self._pens
        )

    def clipped(self, region: RegionLike) -> Drawing:
        """What lies in the closed ``region``: ink on its edge counts as inside."""
        return self._cut(region, "inside")

    def erased(self, region: RegionLike) -> Drawing:
        """What lies outside ``region``: with ``clipped`` it is the ink exactly once."""
        return self._cut(region, "outside")

    def _cut(self, region: RegionLike, keep: Any) -> Drawing:
        points, offsets, source = cut(self._points, self._offsets, as_area(region), keep=keep)
        return self._make(points, offsets, self._pen_index[source], self._pens)

    # ---- areas and pictures

    def box(self, *, margin: float = 0.0) -> Polygon:
        """The bounding box, ``margin`` mm wider on every side, as an area; empty for an empty
        drawing and where nothing is left.
        """
        wider = finite("margin", margin, unit="mm")
        if not len(self):
            return Polygon()
        a, b, c, d = self.bounds or (0.0, 0.0, 0.0, 0.0)
        if min(c - a, d - b) + 2 * wider < 0:
            return Polygon()
        box: Polygon = shapely.box(a - wider, b - wider, c + wider, d + wider)
        return box

    def to_shapely(self) -> list[Any]:
        """A shapely Point for each dot and a LineString for each other stroke."""
        return list(to_lines(self._points, self._offsets))

    def __area__(self) -> Polygon | MultiPolygon:
        return evenodd(self._points, self._offsets)

    def _repr_svg_(self) -> str:
        from plotlib.arrays.picture import svg_picture

        widths = [pen.width for pen in self._pens]
        return svg_picture(
            self._points, self._offsets, self._pen_index, widths, [pen.colour for pen in self._pens]
        )

    def _with_points(self, points: FloatArray) -> Drawing:
        return self._make(points, self._offsets, self._pen_index, self._pens)


def as_drawing(name: str, thing: object) -> Drawing:
    """``thing`` if it is a Drawing, or InvalidValue."""
    if not isinstance(thing, Drawing):
        raise InvalidValue(
            f"{name} must be a Drawing, got {type(thing).__name__}; Drawing(…) makes one of "
            f"strokes and of shapely geometries",
            name=name,
            value=thing,
        )
    return thing


def _read(strokes: Any) -> tuple[FloatArray, IntArray, IntArray, tuple[Pen, ...]]:
    """Points, offsets, pen index and pens of whatever a Drawing is made from."""
    if isinstance(strokes, Drawing):
        return strokes._points, strokes._offsets, strokes._pen_index, strokes._pens
    if isinstance(strokes, shapely.Geometry):
        strokes = [strokes]
    if _may_hold_things(strokes):
        strokes = list(strokes)
        if strokes and all(isinstance(item, Drawing) for item in strokes):
            return _composed(strokes)
        if strokes and any(isinstance(item, (shapely.Geometry, Drawing)) for item in strokes):
            return (
                _composed([_as_drawing(item) for item in strokes])
                if not _all_shapely(strokes)
                else _plain(*unpack(strokes))
            )
    points, offsets = ragged.pack(strokes)
    return _plain(
        points.copy() if points.base is not None or points is strokes else points, offsets
    )


def _may_hold_things(strokes: Any) -> bool:
    """Whether the items may be Drawings or geometries; those of an array of numbers are not."""
    if isinstance(strokes, np.ndarray):
        return strokes.dtype == object and strokes.ndim == 1
    return isinstance(strokes, Iterable) and not isinstance(strokes, (str, bytes))


def _all_shapely(items: list[Any]) -> bool:
    return all(isinstance(item, shapely.Geometry) for item in items)


def _as_drawing(item: Any) -> Drawing:
    return (
        item
        if isinstance(item, Drawing)
        else Drawing(item if isinstance(item, shapely.Geometry) else [item])
    )


def _plain(
    points: FloatArray, offsets: IntArray
) -> tuple[FloatArray, IntArray, IntArray, tuple[Pen, ...]]:
    return points, offsets, np.zeros(len(offsets) - 1, np.int64), (DEFAULT_PEN,)


def _composed(drawings: list[Drawing]) -> tuple[FloatArray, IntArray, IntArray, tuple[Pen, ...]]:
    pens = tuple(dict.fromkeys(pen for drawing in drawings for pen in drawing._pens))
    place = {pen: k for k, pen in enumerate(pens)}
    index = [
        np.array([place[pen] for pen in drawing._pens], np.int64)[drawing._pen_index]
        for drawing in drawings
        if len(drawing)
    ]
    counts = [np.diff(drawing._offsets) for drawing in drawings]
    joined = np.concatenate(index) if index else np.zeros(0, np.int64)
    return (
        np.concatenate([drawing._points for drawing in drawings]),
        ragged.offsets_of(np.concatenate(counts)),
        joined,
        pens,
    )


def _leaves(drawing: Drawing) -> list[Drawing]:
    """The drawings that a sum of sums was made from, in their order."""
    leaves = []
    waiting = [drawing]
    while waiting:
        one = waiting.pop()
        addends = one._addends
        if addends:
            waiting.extend(reversed(addends))
        else:
            leaves.append(one)
    return leaves
