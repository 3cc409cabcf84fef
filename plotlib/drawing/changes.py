"""What a drawing becomes when it is moved, cut or redrawn."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, TypeAlias, cast

import numpy as np
from numpy.typing import ArrayLike
from shapely import MultiPolygon, Polygon

from plotlib.arrays import affine, ragged, reshape
from plotlib.arrays.areas import as_area
from plotlib.arrays.cutting import cut
from plotlib.arrays.pieces import without_crumbs
from plotlib.checks import FloatArray, IntArray, between, finite, not_negative, point, positive
from plotlib.errors import InvalidValue
from plotlib.pen import Pen, as_pen

if TYPE_CHECKING:
    from plotlib.drawing.value import Drawing
    from plotlib.sheet import Sheet

Bounds: TypeAlias = tuple[float, float, float, float]
RegionLike: TypeAlias = "Drawing | Sheet | Polygon | MultiPolygon"

_STRETCH = 1e6  # times: more turns a point of a pen into a kilometre
_NOTHING = 1e-300  # mm: an extent below it has no proportions that floats could keep


class Changes:
    """The methods of a `Drawing` that return it changed; it holds the strokes."""

    __slots__ = ()

    if TYPE_CHECKING:
        _points: FloatArray
        _offsets: IntArray
        _pen_index: IntArray
        _pens: tuple[Pen, ...]

        @classmethod
        def _make(
            cls, points: FloatArray, offsets: IntArray, index: IntArray, pens: tuple[Pen, ...]
        ) -> Drawing: ...

        @property
        def bounds(self) -> Bounds | None: ...

        def __len__(self) -> int: ...

    def inked(self, pen: Pen) -> Drawing:
        """The same strokes, all with ``pen``.

        Parameters
        ----------
        pen : Pen
            The pen; None stands for the default pen.

        Returns
        -------
        Drawing
            The same points.

        Raises
        ------
        InvalidValue
            If ``pen`` is no Pen.

        Examples
        --------
        >>> from plotlib.drawing import Drawing
        >>> Drawing([[(0, 0), (9, 0)]]).inked(Pen("blue", width=0.4)).pens[0].name
        'blue'
        """
        return self._make(
            self._points, self._offsets, np.zeros(len(self), np.int64), (as_pen(pen),)
        )

    # ---- placing

    def transformed(self, matrix: ArrayLike) -> Drawing:
        """Under an affine map.

        Parameters
        ----------
        matrix : array (2, 3) or (3, 3)
            What acts on columns (x, y, 1) in mm; the last row of a (3, 3) matrix is 0 0 1.

        Returns
        -------
        Drawing
            Each point mapped; pens keep their width.

        Raises
        ------
        InvalidValue
            If the matrix has another shape or last row or is not finite, or a point would lie
            beyond 1e9 mm.

        Examples
        --------
        >>> from plotlib.drawing import Drawing
        >>> Drawing([[(0, 0), (1, 2)]]).transformed([[2, 0, 10], [0, 1, 0]]).bounds
        (10.0, 0.0, 12.0, 2.0)
        """
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
        """Moved (translated) by (dx, dy).

        Parameters
        ----------
        dx, dy : float
            How far to the right and up, in mm.

        Returns
        -------
        Drawing
            The same strokes elsewhere.

        Raises
        ------
        InvalidValue
            If ``dx`` or ``dy`` is not finite or exceeds 1e8 mm.

        Examples
        --------
        >>> from plotlib.drawing import Drawing
        >>> Drawing([[(0, 0), (1, 2)]]).moved(10, 5).bounds
        (10.0, 5.0, 11.0, 7.0)
        """
        return self.transformed(
            [[1, 0, finite("dx", dx, unit="mm")], [0, 1, finite("dy", dy, unit="mm")]]
        )

    def turned(self, angle: float, *, about: tuple[float, float] = (0.0, 0.0)) -> Drawing:
        """Turned (rotated) counter-clockwise about a point.

        Parameters
        ----------
        angle : float
            In degrees; multiples of 90 are exact.
        about : (float, float), default (0, 0)
            The point in mm that stays where it is.

        Returns
        -------
        Drawing
            The same strokes, turned.

        Raises
        ------
        InvalidValue
            If ``angle`` or ``about`` is not finite.

        Examples
        --------
        >>> from plotlib.drawing import Drawing
        >>> Drawing([[(1, 2), (10, 2)]]).turned(90)[0].tolist()
        [[-2.0, 1.0], [-2.0, 10.0]]
        """
        return self.transformed(
            affine.about(affine.turn(finite("angle", angle)), point("about", about))
        )

    def scaled(
        self, x: float, y: float | None = None, *, about: tuple[float, float] = (0.0, 0.0)
    ) -> Drawing:
        """Scaled about a point; pens keep their width.

        Parameters
        ----------
        x : float
            Factor across, -1e6 to 1e6; below zero mirrors.
        y : float, optional
            Factor up; ``x`` without it.
        about : (float, float), default (0, 0)
            The point in mm that stays where it is.

        Returns
        -------
        Drawing
            The same strokes, larger or smaller.

        Raises
        ------
        InvalidValue
            If a factor is out of range or ``about`` is not finite.

        Examples
        --------
        >>> from plotlib.drawing import Drawing
        >>> Drawing([[(0, 0), (10, 5)]]).scaled(2, 1, about=(10, 0)).bounds
        (-10.0, 0.0, 10.0, 5.0)
        """
        factors = [
            between("x", x, -_STRETCH, _STRETCH),
            between("y", x if y is None else y, -_STRETCH, _STRETCH),
        ]
        return self.transformed(affine.about(np.diag(factors), point("about", about)))

    def mirrored(self, angle: float = 90.0, *, about: tuple[float, float] = (0.0, 0.0)) -> Drawing:
        """Mirrored (reflected) in a line; the default line stands upright, so that left and right
        change.

        Parameters
        ----------
        angle : float, default 90
            Direction of the line in degrees.
        about : (float, float), default (0, 0)
            A point of the line in mm.

        Returns
        -------
        Drawing
            The same strokes, mirrored.

        Raises
        ------
        InvalidValue
            If ``angle`` or ``about`` is not finite.

        Examples
        --------
        >>> from plotlib.drawing import Drawing
        >>> Drawing([[(1, 0), (3, 2)]]).mirrored(about=(5, 0)).bounds
        (7.0, 0.0, 9.0, 2.0)
        """
        return self.transformed(
            affine.about(affine.mirror(finite("angle", angle)), point("about", about))
        )

    def fitted(self, region: RegionLike) -> Drawing:
        """Moved and scaled to be as large as the bounding box of an area allows, in proportion, and
        centred in it.

        Parameters
        ----------
        region : Drawing, Sheet, shapely Polygon or MultiPolygon
            The area; of a sheet what lies inside its margin.

        Returns
        -------
        Drawing
            Within the bounding box to the last bit; without extent it is only centred.

        Raises
        ------
        InvalidValue
            If ``region`` is no area or an empty one.

        Examples
        --------
        >>> from shapely import box
        >>> from plotlib.drawing import Drawing
        >>> Drawing([[(0, 0), (1, 2)]]).fitted(box(0, 0, 30, 10)).bounds
        (12.5, 0.0, 17.5, 10.0)
        """
        area = as_area(region)
        if area.is_empty:
            raise InvalidValue("cannot fit a drawing into an empty area")
        if not len(self):
            return cast("Drawing", self)
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
        """Each stroke drawn backwards, the last stroke first.

        Returns
        -------
        Drawing
            The same ink in the opposite order.

        Examples
        --------
        >>> from plotlib.drawing import Drawing
        >>> Drawing([[(0, 0), (10, 0)], [(5, 5)]]).reversed()[1].tolist()
        [[10.0, 0.0], [0.0, 0.0]]
        """
        back = np.arange(len(self))[::-1]
        rows, offsets = ragged.take(self._offsets, back, np.ones(len(self), np.bool_))
        return self._make(self._points[rows], offsets, self._pen_index[back], self._pens)

    def simplified(self, tolerance: float) -> Drawing:
        """Without the points that can go: each one dropped lies within ``tolerance`` of the segment
        that replaces it.

        Parameters
        ----------
        tolerance : float
            In mm, >= 0.

        Returns
        -------
        Drawing
            Ends stay; a closed stroke no farther than the tolerance from its first point becomes a
            dot.

        Raises
        ------
        InvalidValue
            If ``tolerance`` is negative or not finite.

        Notes
        -----
        D. H. Douglas and T. K. Peucker, Algorithms for the reduction of the number of points
        required to represent a digitized line (1973).

        Examples
        --------
        >>> from plotlib.drawing import Drawing
        >>> Drawing([[(0, 0), (5, 0.01), (10, 0)]]).simplified(0.05)[0].tolist()
        [[0.0, 0.0], [10.0, 0.0]]
        """
        limit = not_negative("tolerance", tolerance, unit="mm")
        return self._make(
            *reshape.simplify(self._points, self._offsets, limit), self._pen_index, self._pens
        )

    def resampled(self, spacing: float) -> Drawing:
        """Points at equal distances along each stroke, at most ``spacing`` apart.

        Parameters
        ----------
        spacing : float
            In mm along the stroke, > 0.

        Returns
        -------
        Drawing
            Ends and dots stay; corners between points are cut.

        Raises
        ------
        InvalidValue
            If ``spacing`` is not positive and finite, or so small that too many points would be
            made.

        Examples
        --------
        >>> from plotlib.drawing import Drawing
        >>> Drawing([[(0, 0), (10, 0)]]).resampled(4)[0][:, 0].round(2).tolist()
        [0.0, 3.33, 6.67, 10.0]
        """
        step = positive("spacing", spacing, unit="mm")
        return self._make(
            *reshape.resample(self._points, self._offsets, step), self._pen_index, self._pens
        )

    def clipped(self, region: RegionLike, *, shortest: float = 0.0) -> Drawing:
        """What lies in an area; ink on its edge counts as inside.

        Parameters
        ----------
        region : Drawing, Sheet, shapely Polygon or MultiPolygon
            The area.
        shortest : float, default 0
            Pieces cut off a stroke are left out if they are shorter than this, mm.

        Returns
        -------
        Drawing
            The pieces in their order; strokes that lie inside are unchanged.

        Raises
        ------
        InvalidValue
            If ``region`` is no area.

        Examples
        --------
        >>> from shapely import box
        >>> from plotlib.drawing import Drawing
        >>> Drawing([[(-5, 1), (20, 1)]]).clipped(box(0, 0, 10, 10)).bounds
        (0.0, 1.0, 10.0, 1.0)
        """
        return self._cut(region, "inside", shortest)

    def erased(self, region: RegionLike, *, shortest: float = 0.0) -> Drawing:
        """What lies outside an area: with ``clipped`` it is the ink exactly once.

        Parameters
        ----------
        region : Drawing, Sheet, shapely Polygon or MultiPolygon
            The area.
        shortest : float, default 0
            Pieces cut off a stroke are left out if they are shorter than this, mm.

        Returns
        -------
        Drawing
            The pieces in their order; strokes that lie outside are unchanged.

        Raises
        ------
        InvalidValue
            If ``region`` is no area.

        Examples
        --------
        >>> from shapely import box
        >>> from plotlib.drawing import Drawing
        >>> Drawing([[(-5, 1), (20, 1)]]).erased(box(0, 0, 10, 10)).lengths.tolist()
        [5.0, 10.0]
        """
        return self._cut(region, "outside", shortest)

    def _cut(self, region: RegionLike, keep: Any, shortest: float) -> Drawing:
        least = not_negative("shortest", shortest, unit="mm")
        before = ragged.lengths(self._points, self._offsets)
        found = cut(self._points, self._offsets, as_area(region), keep=keep)
        points, offsets, source = without_crumbs(*found, before, least)
        return self._make(points, offsets, self._pen_index[source], self._pens)

    def _with_points(self, points: FloatArray) -> Drawing:
        return self._make(points, self._offsets, self._pen_index, self._pens)
