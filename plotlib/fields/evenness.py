"""How even streamlines are: measured on the drawing, whoever made it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely

from plotlib import checks
from plotlib.arrays import ragged
from plotlib.arrays.areas import as_area
from plotlib.checks import FloatArray, IntArray, Seed, generator
from plotlib.drawing import Drawing, RegionLike, as_drawing
from plotlib.errors import InvalidValue
from plotlib.fields.scalar import ScalarField, as_scalar

_MOST = 20_000_000  # samples along the lines
_NEIGHBOURS = 16  # samples looked at around each: some of its own line on either side, then others


@dataclass(frozen=True)
class Evenness:
    """What ``evenness`` found. Distances are in spacings, so that they compare where the
    spacing changes.

    Attributes
    ----------
    lines : int
        How many lines.
    mean, shortest : float
        Mean and least length of a line.
    nearest : float
        Least distance between two different lines; inf if no two are nearer than about two
        spacings.
    covered : float
        Share of the area that is within one spacing of a line.
    widest : float
        Distance from the middle of the widest hole to the nearest line.

    Examples
    --------
    >>> from shapely import box
    >>> rows = Drawing([[(0, y), (40, y)] for y in range(0, 21, 2)])
    >>> evenness(rows, box(0, 0, 40, 20), spacing=2).covered
    1.0
    """

    lines: int
    mean: float
    shortest: float
    nearest: float
    covered: float
    widest: float

    def __str__(self) -> str:
        return (
            f"{self.lines:,} lines, {self.mean:.1f} spacings long in the mean, "
            f"{self.shortest:.1f} at least; "
            f"nearest two lines {self.nearest:.3f}, {100 * self.covered:.2f} % of the area within "
            f"1, widest hole {self.widest:.2f}"
        )


def evenness(
    drawing: Drawing,
    region: RegionLike,
    *,
    spacing: float | ScalarField,
    probes: int = 100_000,
    seed: Seed = 0,
) -> Evenness:
    """Measure how evenly the lines of a drawing cover an area.

    Parameters
    ----------
    drawing : Drawing
        The lines, at least one.
    region : Drawing, Sheet, shapely Polygon or MultiPolygon
        The area they should cover.
    spacing : float or ScalarField
        The distance in mm that was asked for.
    probes : int, default 100,000
        Random points of the area's box that are measured.
    seed : int or numpy Generator, default 0
        Where they fall.

    Returns
    -------
    Evenness
        What was found, in spacings.

    Raises
    ------
    InvalidValue
        If an argument is invalid, the drawing or the region is empty, the spacing is not
        above 0 in the whole area, or the lines need more than 20 million samples.

    Examples
    --------
    >>> from shapely import box
    >>> rows = Drawing([[(0, y), (40, y)] for y in range(0, 21, 2)])
    >>> print(evenness(rows, box(0, 0, 40, 20), spacing=2))
    11 lines, 20.0 spacings long in the mean, 20.0 at least; nearest two lines 1.000,
    100.00 % of the area within 1, widest hole 0.50
    """
    area = as_area(region)
    apart = as_scalar("spacing", spacing)
    count = checks.whole("probes", probes, low=1, high=10_000_000)
    if not len(as_drawing("drawing", drawing)) or area.is_empty:
        raise InvalidValue("evenness needs a drawing with at least one line and a region with area")
    from scipy.spatial import cKDTree

    spots = generator(seed).uniform(area.bounds[:2], area.bounds[2:], (count, 2))
    shapely.prepare(area)
    spots = spots[shapely.contains_xy(area, spots[:, 0], spots[:, 1])]
    least = _least(apart, spots)
    samples = 8 * drawing.length / least + len(drawing.points)
    checks.affordable("spacing", least, samples, _MOST, "samples", "measure a part of the lines")
    far = cKDTree(_densified(drawing, least / 8)[0]).query(spots)[0] / apart(
        spots[:, 0], spots[:, 1]
    )
    points, offsets = _densified(drawing, least / 2)
    units = _lengths(drawing, apart)
    nearest = _nearest(cKDTree(points), points, offsets, apart(points[:, 0], points[:, 1]))
    return Evenness(
        len(drawing),
        float(units.mean()),
        float(units.min()),
        nearest,
        float((far <= 1.0).mean()),
        float(far.max()),
    )


def _least(apart: ScalarField, spots: FloatArray) -> float:
    if not len(spots):
        raise InvalidValue("no probe fell into the area; take more probes")
    least = float(np.min(apart(spots[:, 0], spots[:, 1])))
    if not least > 0:
        raise InvalidValue(
            f"spacing must be greater than 0 (mm) in the whole area, it is {least:g} somewhere",
            name="spacing",
            value=least,
        )
    return least


def _densified(drawing: Drawing, step: float) -> tuple[FloatArray, IntArray]:
    """All points and more between them, none farther apart than ``step``."""
    steps = ragged.segment_lengths(drawing.points, drawing.offsets)
    pieces = np.maximum(1, np.ceil(steps / step)).astype(np.int64)
    starts = ragged.offsets_of(pieces)
    rows = np.repeat(np.arange(len(steps)), pieces)
    share = (np.arange(starts[-1]) - starts[rows]) / pieces[rows]
    following = np.minimum(rows + 1, len(steps) - 1)
    points = drawing.points[rows] + share[:, None] * (
        drawing.points[following] - drawing.points[rows]
    )
    return points, starts[drawing.offsets]


def _lengths(drawing: Drawing, apart: ScalarField) -> FloatArray:
    """Lengths (M,) in spacings."""
    steps = ragged.segment_lengths(drawing.points, drawing.offsets) / apart(
        drawing.points[:, 0], drawing.points[:, 1]
    )
    return np.asarray(np.add.reduceat(steps, drawing.offsets[:-1]))


def _nearest(tree: Any, points: FloatArray, offsets: IntArray, apart: FloatArray) -> float:
    """The least distance of a point from the segments of another line, in spacings."""
    owner = ragged.stroke_of(offsets)
    count = min(_NEIGHBOURS, len(points))
    reach = 3 * float(apart.max())
    _, found = tree.query(points, k=count, distance_upper_bound=reach)
    rows, columns = np.nonzero(
        (found < len(points)) & (owner[np.minimum(found, len(points) - 1)] != owner[:, None])
    )
    others = found[rows, columns]
    best = np.inf
    for ends in (
        np.minimum(others + 1, offsets[owner[others] + 1] - 1),
        np.maximum(others - 1, offsets[owner[others]]),
    ):
        far = _to_segments(points[rows], points[others], points[ends]) / apart[rows]
        best = min(best, float(far.min(initial=np.inf)))
    return best


def _to_segments(p: FloatArray, a: FloatArray, b: FloatArray) -> FloatArray:
    along = b - a
    squared = (along**2).sum(axis=1)
    share = np.clip(((p - a) * along).sum(axis=1) / np.where(squared > 0, squared, 1.0), 0.0, 1.0)
    return np.asarray(np.hypot(*(p - a - share[:, None] * along).T))
