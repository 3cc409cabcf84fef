"""The Drawing: many strokes on pens, one immutable value in millimetres."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any, overload

import numpy as np
import shapely
from numpy.typing import ArrayLike
from shapely import MultiPolygon, Polygon

from plotlib.arrays import ragged
from plotlib.arrays.areas import evenodd
from plotlib.arrays.fromshapely import to_lines, unpack
from plotlib.checks import (
    BoolArray,
    FloatArray,
    IntArray,
    counted,
    finite,
)
from plotlib.drawing import inline
from plotlib.drawing.changes import Bounds, Changes
from plotlib.drawing.redrawing import Redrawing
from plotlib.errors import InvalidValue, NoSuchStroke
from plotlib.pen import DEFAULT_PEN, Pen, as_pen, check_names, in_use

_ARRAYS = ("_points", "_offsets", "_pen_index")


class Drawing(Changes, Redrawing):
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
        If something is no stroke or not finite (the message names the stroke and the point), or two
        different pens have one name.

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

        Parameters
        ----------
        points : array of shape (N, 2)
            In mm, stroke after stroke; copied.
        offsets : array of shape (M + 1,) of int
            Where each stroke begins in ``points``, and the end; copied.
        pen : Pen, optional
            The pen of all strokes; the default pen without it.

        Returns
        -------
        Drawing
            M strokes.

        Raises
        ------
        InvalidValue
            If the arrays have other shapes, a point is not finite, the offsets do not rise from 0
            to N, or ``pen`` is no Pen.

        Examples
        --------
        >>> points = np.array([(0.0, 0.0), (3.0, 4.0), (9.0, 9.0)])
        >>> Drawing.from_arrays(points, np.array([0, 2, 3])).lengths.tolist()
        [5.0, 0.0]
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
        return (
            f"<Drawing: {counted(len(self), 'stroke')}, {self.length:,.1f} mm, "
            f"x {left:g} to {right:g}, y {bottom:g} to {top:g}, pens: {pens}>"
        )

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

    def by_pen(self) -> dict[Pen, Drawing]:
        """One Drawing for each pen, in the order of the pens.

        Returns
        -------
        dict of Pen to Drawing
            Each with the strokes of that pen in their order.

        Examples
        --------
        >>> fine, broad = Pen("fine", width=0.2), Pen("broad", width=0.8)
        >>> both = Drawing([[(0, 0), (9, 0)]], pen=fine) + Drawing([[(5, 5)]], pen=broad)
        >>> {pen.name: len(strokes) for pen, strokes in both.by_pen().items()}
        {'fine': 1, 'broad': 1}
        """
        return {pen: self[np.flatnonzero(self._pen_index == k)] for k, pen in enumerate(self._pens)}

    # ---- areas and pictures

    def box(self, *, margin: float = 0.0) -> Polygon:
        """The bounding box as an area.

        Parameters
        ----------
        margin : float, default 0
            How much wider it is on every side, in mm; below zero narrower.

        Returns
        -------
        Polygon
            Empty for an empty drawing and where nothing is left.

        Raises
        ------
        InvalidValue
            If ``margin`` is not finite.

        Examples
        --------
        >>> Drawing([[(0, 0), (30, 40)]]).box(margin=5).bounds
        (-5.0, -5.0, 35.0, 45.0)
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
        """The strokes as geometries of shapely.

        Returns
        -------
        list of Point and LineString
            A Point for each dot and a LineString for each other stroke.

        Examples
        --------
        >>> [line.geom_type for line in Drawing([[(0, 0), (30, 40)], [(5, 5)]]).to_shapely()]
        ['LineString', 'Point']
        """
        return list(to_lines(self._points, self._offsets))

    def __area__(self) -> Polygon | MultiPolygon:
        return evenodd(self._points, self._offsets)

    def _repr_svg_(self) -> str | None:
        return inline.svg(self)

    def _repr_png_(self) -> inline.Shown:
        return inline.png(self)


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
            if _all_shapely(strokes):
                return _plain(*unpack(strokes))
            return _composed([_as_drawing(item) for item in strokes])
    points, offsets = ragged.pack(strokes)
    if points.base is not None or points is strokes:  # the caller's array may be written to later
        points = points.copy()
    return _plain(points, offsets)


def _may_hold_things(strokes: Any) -> bool:
    """Whether the items may be Drawings or geometries; those of an array of numbers are not."""
    if isinstance(strokes, np.ndarray):
        return strokes.dtype == object and strokes.ndim == 1
    return isinstance(strokes, Iterable) and not isinstance(strokes, (str, bytes))


def _all_shapely(items: list[Any]) -> bool:
    return all(isinstance(item, shapely.Geometry) for item in items)


def _as_drawing(item: Any) -> Drawing:
    if isinstance(item, Drawing):
        return item
    return Drawing(item if isinstance(item, shapely.Geometry) else [item])


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
