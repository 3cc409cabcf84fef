"""How much of an area the ink covers, and how much of the ink lies upon other ink."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from plotlib.arrays import overlay
from plotlib.arrays.pieces import open_pieces
from plotlib.checks import FloatArray, flag
from plotlib.drawing import Drawing, RegionLike
from plotlib.fills.bare import PIECE
from plotlib.fills.door import drawn
from plotlib.fills.scanlines import Frame, crossings
from plotlib.regions import as_region

_FEW = 1_500  # segments; of more, lines are measured in the place of areas
_LINES = 24  # in the width of the thinnest pen
_RUNS = 4_000_000
_ASKEW = 27.3  # degrees; level lines would lie along those of many fills
_QUARTER = 16


@dataclass(frozen=True)
class Coverage:
    """What ink does to an area.

    Attributes
    ----------
    area : float
        Of the region, mm².
    covered : float
        Share of it that is inked, 0 to 1.
    double : float
        Ink that lies upon other ink, as a share of the area: what all strokes would cover side by
        side, less what they cover together. Ink that lies three times counts twice.
    outside : float
        Ink beyond the region in mm².

    Examples
    --------
    >>> from shapely import box
    >>> coverage(Drawing([[(0, 5), (10, 5)]]), box(0, 0, 10, 10)).bare
    0.96
    """

    area: float
    covered: float
    double: float
    outside: float

    @property
    def bare(self) -> float:
        """Share of the area that stays paper."""
        return 1.0 - self.covered


def coverage(drawing: Drawing, region: RegionLike, *, exact: bool | None = None) -> Coverage:
    """How much of an area the pens' widths cover.

    Parameters
    ----------
    drawing : Drawing
        The strokes; each is swept by a round pen of its width, a dot is a disc.
    region : Drawing, Sheet, shapely Polygon or MultiPolygon
        The area.
    exact : bool, optional
        True for the union of the swept strokes, whose round corners are polygons of 64 corners;
        False for the same measured along fine lines, 24 in the width of the thinnest pen, which is
        as good as 0.001 and much quicker for many strokes. Without it the union up to 1,500
        segments.

    Returns
    -------
    Coverage
        All zero for an empty area (but ``outside``).

    Raises
    ------
    InvalidValue
        If ``drawing`` is no Drawing, ``region`` is no area, or ``exact`` is not True, False or
        None.

    Examples
    --------
    >>> from shapely import box
    >>> from plotlib.pen import Pen
    >>> half = coverage(Drawing([[(0, 5), (10, 5)]], pen=Pen("broad", width=5)), box(0, 0, 10, 10))
    >>> half.covered, half.double
    (0.5, 0.0)
    """
    drawn("drawing", drawing)
    whole = None if exact is None else flag("exact", exact)
    area = as_region(region)
    if not len(drawing):
        return Coverage(float(area.area), 0.0, 0.0, 0.0)
    radii = np.array([pen.width / 2 for pen in drawing.pens])[drawing.pen_index]
    laid = float((drawing.lengths * 2 * radii + np.pi * radii**2 * ~drawing.is_closed).sum())
    closely = len(drawing.points) <= _FEW if whole is None else whole
    total, inside = _united(drawing, radii, area) if closely else _along_lines(drawing, radii, area)
    if not area.area:
        return Coverage(0.0, 0.0, 0.0, total)
    share = min(inside / area.area, 1.0)
    twice = max(laid - total, 0.0) / area.area
    return Coverage(
        float(area.area),
        share,
        twice if twice > 1e-3 * laid / area.area else 0.0,
        max(total - inside, 0.0),
    )


def _united(
    drawing: Drawing, radii: FloatArray, area: Polygon | MultiPolygon
) -> tuple[float, float]:
    """Inked area in all, and in the region."""
    pieces, stroke = open_pieces(drawing.points, drawing.offsets, longest=PIECE)
    swept = shapely.union_all(shapely.buffer(pieces, radii[stroke], quad_segs=_QUARTER))
    return float(swept.area), float(overlay.intersection(swept, area).area)


def _along_lines(
    drawing: Drawing, radii: FloatArray, area: Polygon | MultiPolygon
) -> tuple[float, float]:
    from plotlib.fills.coverage_kernel import measured, runs

    tilt = Frame(1.0, _ASKEW)
    points = tilt.into(drawing.points)
    rise = float(np.abs(np.diff(points[:, 1])).sum()) + 2 * float(radii.max()) * len(points)
    frame = Frame(max(2 * float(radii.min()) / _LINES, rise / _RUNS), _ASKEW)
    row, left, right = runs(
        points, drawing.offsets, radii, frame.spacing, int(rise / frame.spacing) + 2 * len(points)
    )
    found = crossings(area, frame)
    total, inside = measured(
        np.lexsort((left, row)),
        row,
        left,
        right,
        np.lexsort((found.along, found.row)),
        found.row,
        found.along,
    )
    return total * frame.spacing, inside * frame.spacing
