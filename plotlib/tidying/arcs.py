"""Finding the arcs of circles in strokes."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from plotlib.arrays import ragged
from plotlib.arrays.arcs import TOLERANCE, runs_on_arcs
from plotlib.checks import between
from plotlib.drawing import Drawing, as_drawing

_COARSEST = 100.0  # mm; a tolerance beyond it is a slip


@dataclass(frozen=True)
class Arc:
    """A run of points that lies on an arc of a circle.

    Attributes
    ----------
    stroke : int
        Which stroke of the drawing.
    first, last : int
        The points of that stroke where the arc begins and ends, from 0.
    centre : (float, float)
        In mm.
    radius : float
        In mm; the mean of the distances of both ends from the centre.
    start, end : float
        The angles of both ends as seen from the centre, in degrees counter-clockwise from the x
        axis. ``start`` is in [0, 360); ``end`` is greater where the arc runs counter-clockwise and
        less where it runs clockwise, by 360 for a full circle.
    """

    stroke: int
    first: int
    last: int
    centre: tuple[float, float]
    radius: float
    start: float
    end: float

    @property
    def length(self) -> float:
        """The way along the arc in mm."""
        return math.radians(abs(self.end - self.start)) * self.radius


def arcs(drawing: Drawing, *, tolerance: float = TOLERANCE) -> tuple[Arc, ...]:
    """Find the runs of points that lie on arcs of circles.

    Parameters
    ----------
    drawing : Drawing
        The strokes.
    tolerance : float, default 0.03
        How far an arc and the polyline of its points may be apart, in mm, > 0 to 100. The default
        is the chord error of curves, 0.02, and the rounding to two decimals.

    Returns
    -------
    tuple of Arc
        In the order of the strokes and along them; an arc may begin where the one before ends.
        Each is as long as possible from its start on, but ends sooner where it is much closer to
        its points then; a closed stroke that is a circle is one arc.

    Raises
    ------
    InvalidValue
        If ``drawing`` is no Drawing, or ``tolerance`` is out of its range.

    Notes
    -----
    An arc begins and ends at points of the stroke, which stay exactly where they are; its centre is
    the least-squares fit of the points between (Kåsa's, with the ends held), and the curve is split
    by longest fits (Rosin and West's). Every point of the arc lies within the tolerance of the
    polyline, and every point of the polyline, chords included, within the tolerance of the arc.

    An arc has four points or more, a radius of ten tolerances or more, and a point that lies at
    least two tolerances above its chord: what is flatter is as well drawn as a line.

    References
    ----------
    I. Kåsa, *A Circle Fitting Procedure and Its Error Analysis*, IEEE Transactions on
    Instrumentation and Measurement 25, 1976; P. L. Rosin, G. A. W. West, *Segmentation of Edges
    into Lines and Arcs*, Image and Vision Computing 7, 1989 (both from memory).

    Examples
    --------
    >>> from plotlib.shapes import circle
    >>> ring = circle((60, 50), 20)
    >>> found = arcs(ring)[0]
    >>> len(ring[0]), found.last, round(found.radius, 6), found.end - found.start
    (73, 72, 20.0, 360.0)
    """
    from plotlib.arrays.arcs_kernel import Rules

    strokes = as_drawing("drawing", drawing)
    limit = between("tolerance", tolerance, 1e-6, _COARSEST, unit="mm")
    points = strokes.points
    offsets = strokes.offsets
    runs = runs_on_arcs(points, offsets, Rules(limit, limit, 0.0, math.inf, math.inf, 4))
    stroke = ragged.stroke_of(offsets)[runs.first]
    away = points[runs.first] - runs.centre
    far = points[runs.last] - runs.centre
    radius = (np.hypot(*away.T) + np.hypot(*far.T)) / 2
    start = np.degrees(np.arctan2(away[:, 1], away[:, 0])) % 360.0
    start[start == 360.0] = 0.0  # what is a hair below 0 is rounded up to it
    columns = zip(
        stroke.tolist(),
        (runs.first - offsets[stroke]).tolist(),
        (runs.last - offsets[stroke]).tolist(),
        map(tuple, runs.centre.tolist()),
        radius.tolist(),
        start.tolist(),
        (start + np.degrees(runs.sweep)).tolist(),
        strict=True,
    )
    return tuple(Arc(*column) for column in columns)
