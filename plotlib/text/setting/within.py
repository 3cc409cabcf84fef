"""Lettering that would leave its area is told as such."""

from __future__ import annotations

import numpy as np
import shapely

from plotlib.arrays.areas import as_area
from plotlib.arrays.ragged import stroke_of
from plotlib.checks import FloatArray
from plotlib.drawing import Drawing, RegionLike
from plotlib.errors import OutsideEnvelope

_SIDES = ("left", "bottom", "right", "top")


def refuse_outside(drawing: Drawing, region: RegionLike, text: str) -> None:
    """Raise OutsideEnvelope when the middle of the ink leaves ``region``."""
    area = as_area(region, "within")
    if not len(drawing) or (
        area.covers(shapely.MultiPoint(drawing.points)) and not len(drawing.erased(area))
    ):
        return
    away = (
        np.full(len(drawing.points), np.inf)
        if area.is_empty
        else np.asarray(shapely.distance(area, shapely.points(drawing.points)))
    )
    worst = int(np.argmax(away))
    side, excess = _over(drawing.points, area.bounds)
    if not excess > 0.0:
        side = "edge"
        excess = float(away[worst])
    count = len(np.unique(stroke_of(drawing.offsets)[away > 0.0]))
    raise OutsideEnvelope(
        f"the text {text[:40]!r} leaves its area by {excess:.2f} mm ({side}); letter it smaller, "
        f"wrap it, or move it",
        stroke=int(stroke_of(drawing.offsets)[worst]),
        side=side,
        excess=excess,
        count=max(count, 1),
        name="within",
    )


def _over(points: FloatArray, bounds: tuple[float, float, float, float]) -> tuple[str, float]:
    """The side on which the points go farthest over the bounds, and by how much."""
    low = points.min(axis=0)
    high = points.max(axis=0)
    over = [bounds[0] - low[0], bounds[1] - low[1], high[0] - bounds[2], high[1] - bounds[3]]
    worst = int(np.nanargmax(over)) if not np.isnan(over).all() else 0
    return _SIDES[worst], float(over[worst])
