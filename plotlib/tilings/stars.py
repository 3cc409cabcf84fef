"""Star patterns in a tiling: from the middle of every edge two rays, until they meet."""

from __future__ import annotations

import math

import numpy as np
import shapely

from plotlib import checks
from plotlib.arrays import ragged
from plotlib.checks import FloatArray
from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue
from plotlib.pen import Pen, as_pen
from plotlib.tilings.tiling import Tiling


def stars(tiling: Tiling, contact: float, *, pen: Pen | None = None) -> Drawing:
    """Star patterns by E. H. Hankin's method: polygons in contact.

    Parameters
    ----------
    tiling : Tiling
        The tiles; the pattern runs through the middles of their edges.
    contact : float
        The angle between a ray and the edge it starts from, degrees, 1 … 89: 72 gives the star
        {10/4} in a decagon, 60 gives {6/2} in a hexagon.
    pen : Pen, optional
        The pen; without it the default one.

    Returns
    -------
    Drawing
        One stroke from edge to edge for each corner of a tile, bent where the rays meet, or
        straight where they do not meet in the tile. Strokes of neighbouring tiles meet on their
        edges, and rays go straight on there.

    Raises
    ------
    InvalidValue
        If an argument is invalid.

    References
    ----------
    E. H. Hankin, *The Drawing of Geometric Patterns in Saracenic Art*, 1925; C. S. Kaplan,
    *Islamic Star Patterns from Polygons in Contact*, Graphics Interface 2005 (both from memory).

    Examples
    --------
    >>> from shapely import box
    >>> from plotlib.tilings import archimedean
    >>> floor = archimedean(box(0, 0, 60, 40), "4.8.8", side=8)
    >>> len(stars(floor, 60)) == len(floor.points)
    True
    """
    if not isinstance(tiling, Tiling):
        raise InvalidValue(f"tiling must be a Tiling; got {type(tiling).__name__}", name="tiling")
    angle = math.radians(checks.between("contact", contact, 1, 89, unit="degrees"))
    held = as_pen(pen)
    points = []
    for k in range(len(tiling)):
        corners = tiling.points[tiling.offsets[k] : tiling.offsets[k + 1]]
        points.append(_star(corners, angle))
    if not points:
        return Drawing(pen=held)
    bent = np.concatenate(points)
    counts = np.where(np.isnan(bent[:, 1, 0]), 2, 3)
    flat = bent.reshape(-1, 2)
    return Drawing.from_arrays(flat[~np.isnan(flat[:, 0])], ragged.offsets_of(counts), pen=held)


def _star(corners: FloatArray, angle: float) -> FloatArray:
    """For each corner of a tile the stroke (n, 3, 2) round it: the middle of the edge before it,
    where the rays meet, the middle of the edge after it.

    Where rays do not meet in the tile, the stroke runs straight from middle to middle: its bend is
    not a number.
    """
    before = np.roll(corners, 1, axis=0)
    after = np.roll(corners, -1, axis=0)
    start = 0.5 * (before + corners)
    end = 0.5 * (corners + after)
    along = corners - before
    back = corners - after
    leave = _turned(along / np.hypot(*along.T)[:, None], angle)
    arrive = _turned(back / np.hypot(*back.T)[:, None], -angle)
    gap = end - start
    across = leave[:, 0] * arrive[:, 1] - leave[:, 1] * arrive[:, 0]
    with np.errstate(all="ignore"):
        far = (gap[:, 0] * arrive[:, 1] - gap[:, 1] * arrive[:, 0]) / across
        rest = (gap[:, 0] * leave[:, 1] - gap[:, 1] * leave[:, 0]) / across
    meets = (np.abs(across) > 1e-12) & (far > 0) & (rest > 0)
    bend = start + np.where(meets, far, 0.0)[:, None] * leave
    meets &= shapely.contains_xy(shapely.Polygon(corners), bend[:, 0], bend[:, 1])
    bend[~meets] = np.nan
    return np.stack([start, bend, end], axis=1)


def _turned(directions: FloatArray, angle: float) -> FloatArray:
    cosine, sine = math.cos(angle), math.sin(angle)
    turned: FloatArray = directions @ np.array([[cosine, sine], [-sine, cosine]])
    return turned
