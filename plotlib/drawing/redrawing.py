"""A drawing bent by a function of the plane, cut into dashes, thinned, or drawn by hand."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import ArrayLike

from plotlib import checks
from plotlib.arrays import ragged
from plotlib.arrays.asking import PlaneFunction
from plotlib.arrays.dashing import dash
from plotlib.arrays.handwork import wobbled
from plotlib.arrays.mapping import remap
from plotlib.arrays.pieces import without_crumbs
from plotlib.arrays.thinning import thin
from plotlib.checks import (
    FloatArray,
    IntArray,
    Seed,
    finite,
    flag,
    not_negative,
    numbers,
    positive,
)
from plotlib.errors import InvalidValue
from plotlib.pen import Pen
from plotlib.progress import stage

if TYPE_CHECKING:
    from plotlib.drawing.value import Drawing


class Redrawing:
    """The methods of a `Drawing` that draw its strokes anew; it holds the strokes."""

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

    def mapped(
        self, function: PlaneFunction, *, tolerance: float = 0.02, step: float = 1.0
    ) -> Drawing:
        """Under any function of the plane: round a globe, along a curve, through a lens.

        Parameters
        ----------
        function : function or vector field
            ``function(x, y)`` of two float64 arrays (n,) in mm: the arrays (x, y) of the images. It
            must be continuous on the strokes.
        tolerance : float, default 0.02
            How far in mm the new strokes may lie from the images of the old ones, > 0.
        step : float, default 1
            The function is asked at places at most so far apart, in mm on the old strokes, > 0;
            what happens between two of them may be missed, and a jump along the stroke that is
            shorter.

        Returns
        -------
        Drawing
            Each point mapped, with points between them where the image of a straight segment is
            bent. Dots stay dots, closed strokes stay closed; pens keep their width.

        Raises
        ------
        InvalidValue
            If ``function`` does not take and return arrays, is not finite somewhere, or jumps (the
            message names the place); if ``tolerance`` or ``step`` is not positive and finite, or so
            small that more than 20 million points would be made.

        Examples
        --------
        >>> from plotlib.drawing import Drawing
        >>> row = Drawing([[(0, 10), (180, 10)]])
        >>> def bent(x, y):
        ...     return y * np.cos(np.radians(x)), y * np.sin(np.radians(x))
        >>> round(row.mapped(bent, tolerance=0.001).length, 1)  # half a circle of radius 10
        31.4
        """
        asked = checks.function("function", function)
        limit = positive("tolerance", tolerance, unit="mm")
        apart = positive("step", step, unit="mm")
        with stage("bending the drawing") as work:
            points, offsets = remap(
                self._points, self._offsets, asked, tolerance=limit, step=apart, told=work.done
            )
        return self._make(points, offsets, self._pen_index, self._pens)

    def dashed(
        self,
        pattern: ArrayLike,
        *,
        offset: float = 0.0,
        scale: float | PlaneFunction = 1.0,
        whole: bool = False,
        step: float = 0.5,
        shortest: float = 0.0,
    ) -> Drawing:
        """Cut into dashes.

        Parameters
        ----------
        pattern : array (k,)
            Lengths in mm, ink and gap in turn, none below 0; an odd number of them is taken twice.
            A dash of length 0 is a dot.
        offset : float, default 0
            How far into the pattern each stroke begins, in mm.
        scale : float, function or scalar field, default 1
            By how much the pattern is longer at each place, > 0: a number, or ``scale(x, y)`` of
            two float64 arrays (n,) in mm. With the local speed as the scale, the pattern counts
            time.
        whole : bool, default False
            Stretch or squeeze the pattern a little on each stroke so that whole periods fit: closed
            strokes get no seam, open ones end with a whole dash (from ``offset`` 0).
        step : float, default 0.5
            A function is asked at places at most so far apart, mm, > 0.
        shortest : float, default 0
            Dashes shorter than this are left out, mm; those of length 0 stay.

        Returns
        -------
        Drawing
            The dashes in their order. Dots stay. A closed stroke is cut where it begins.

        Raises
        ------
        InvalidValue
            If ``pattern`` holds something other than lengths or nothing above 0, ``scale`` is not
            above 0 and finite everywhere, another argument is invalid, or more than 5 million
            dashes would be made.

        Notes
        -----
        The pattern is read as that of ``stroke-dasharray`` in W3C, Scalable Vector Graphics (SVG)
        2, section 13.5.6.

        Examples
        --------
        >>> from plotlib.drawing import Drawing
        >>> line = Drawing([[(0, 0), (10, 0)]])
        >>> [dash[:, 0].tolist() for dash in line.dashed((4, 2))]
        [[0.0, 4.0], [6.0, 10.0]]
        >>> len(line.dashed((0, 2))), len(line.dashed((1, 1), scale=lambda x, y: 1 + x / 5))
        (6, 3)
        """
        lengths = _pattern(pattern)
        start = finite("offset", offset, unit="mm")
        is_whole = flag("whole", whole)
        apart = positive("step", step, unit="mm")
        least = not_negative("shortest", shortest, unit="mm")
        named = "pattern"
        field = None
        if callable(scale):
            field = checks.function("scale", scale)
        else:
            factor = positive("scale", scale)
            lengths = lengths * factor
            named = "pattern" if factor == 1.0 else "pattern times scale"
        points, offsets, source = dash(
            self._points,
            self._offsets,
            lengths,
            named=named,
            offset=start,
            scale=field,
            step=apart,
            whole=is_whole,
        )
        if least:
            points, offsets, source = _without_short(points, offsets, source, least)
        return self._make(points, offsets, self._pen_index[source], self._pens)

    def thinned(self, spacing: float, *, shortest: float = 0.0) -> Drawing:
        """Without what runs nearer than a distance to strokes before it, so that ink does not clot.

        Parameters
        ----------
        spacing : float
            The least distance in mm between two strokes, > 0: about the pen's width. It is felt at
            places a quarter of it apart.
        shortest : float, default 0
            Pieces cut off a stroke are left out if they are shorter than this, mm.

        Returns
        -------
        Drawing
            Strokes in their order, the first whole; of each later one the parts that keep their
            distance from what was kept of those before it. What crosses another stroke is cut
            there. A stroke may come as near to itself as it likes.

        Raises
        ------
        InvalidValue
            If an argument is invalid, or ``spacing`` so small that more than 20 million places
            would be looked at.

        Examples
        --------
        >>> from plotlib.drawing import Drawing
        >>> lines = Drawing([[(0, 0), (100, 0)], [(0, 2), (100, 0)]])
        >>> [stroke[-1, 0].round() for stroke in lines.thinned(0.5)]
        [np.float64(100.0), np.float64(75.0)]
        """
        apart = positive("spacing", spacing, unit="mm")
        least = not_negative("shortest", shortest, unit="mm")
        before = ragged.lengths(self._points, self._offsets)
        found = thin(self._points, self._offsets, apart)
        points, offsets, source = without_crumbs(*found, before, least)
        return self._make(points, offsets, self._pen_index[source], self._pens)

    def by_hand(
        self,
        *,
        amplitude: float = 0.15,
        wavelength: float = 8.0,
        overshoot: float = 0.0,
        seed: Seed = 0,
    ) -> Drawing:
        """As a steady hand would draw it: strokes waver slowly and run on a little at corners.

        Parameters
        ----------
        amplitude : float, default 0.15
            How far in mm the hand may leave a stroke, >= 0; no point is moved further.
        wavelength : float, default 8
            The shortest wave of the hand in mm along the stroke, > 0.
        overshoot : float, default 0
            How far in mm the hand runs on before it turns at a corner of more than 40 degrees, and
            beyond both ends of an open stroke, >= 0; at most half the segment before it.
        seed : int or numpy Generator, default 0
            Where the hand's unsteadiness comes from.

        Returns
        -------
        Drawing
            The strokes in their order, each with a hand of its own; dots stay, closed strokes stay
            closed and have no seam. The wobble is even in arc length, whatever the points of a
            stroke are; so dash or offset first to have each dash drawn by hand, afterwards to have
            dashes true to the length of the line that was drawn.

        Raises
        ------
        InvalidValue
            If an argument is invalid, or ``wavelength`` so small that more than 20 million points
            would be made.

        Notes
        -----
        Random values every half wavelength along the stroke are the control values of a uniform
        cubic B-spline, which lies in their hull (de Boor, A Practical Guide to Splines, 1978).

        Examples
        --------
        >>> from plotlib.drawing import Drawing
        >>> line = Drawing([[(0, 0), (60, 0)]])
        >>> drawn = line.by_hand(amplitude=0.2)
        >>> bool(abs(drawn.points[:, 1]).max() <= 0.2), drawn == line.by_hand(amplitude=0.2)
        (True, True)
        """
        points, offsets = wobbled(
            self._points,
            self._offsets,
            checks.generator(seed),
            amplitude=not_negative("amplitude", amplitude, unit="mm"),
            wavelength=positive("wavelength", wavelength, unit="mm"),
            overshoot=not_negative("overshoot", overshoot, unit="mm"),
        )
        return self._make(points, offsets, self._pen_index, self._pens)


def _pattern(pattern: ArrayLike) -> FloatArray:
    """Lengths of ink and gap in turn, an even number of them."""
    lengths = numbers("pattern", pattern, ndim=1)
    for length in lengths:
        not_negative("pattern", length, unit="mm")
    if not len(lengths) or not lengths.sum() > 0:
        raise InvalidValue(
            f"pattern must hold at least one length greater than 0 (mm), got {pattern!r:.200}",
            name="pattern",
            value=pattern,
        )
    return np.tile(lengths, 2) if len(lengths) % 2 else lengths


def _without_short(
    points: FloatArray, offsets: IntArray, source: IntArray, least: float
) -> tuple[FloatArray, IntArray, IntArray]:
    """Without dashes shorter than ``least`` mm; dots stay."""
    is_dot = np.diff(offsets) == 1
    kept = np.flatnonzero(is_dot | (ragged.lengths(points, offsets) >= least))
    rows, fresh = ragged.take(offsets, kept)
    return points[rows], fresh, source[kept]
