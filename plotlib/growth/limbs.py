"""How a tree with widths is drawn: centre lines, outlines, or as many passes as its width takes."""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from plotlib.arrays import ragged
from plotlib.checks import FloatArray
from plotlib.drawing import Drawing
from plotlib.growth.colonisation import Grown, loop_strokes
from plotlib.growth.trees import branch_paths, drawn_paths, fewest_paths, pipe_widths
from plotlib.pen import Pen

DRAWN = ("centre lines", "passes", "outlines")
_BESIDE = 0.8  # pen widths between two passes, so that no white shows between them


def drawn_limbs(
    grown: Grown,
    area: Polygon | MultiPolygon,
    how: str,
    *,
    tip: float,
    exponent: float,
    pen: Pen,
) -> Drawing:
    """Strokes of a forest whose tips are ``tip`` mm wide."""
    widths = tip * pipe_widths(grown.parent, exponent)
    if how == "outlines":
        return _outlines(grown, area, widths, tip, pen)
    if how == "passes":
        ways = _passes(grown, widths, pen.width * _BESIDE)
        limbs = Drawing.from_arrays(*ways, pen=pen).clipped(area)
    else:
        ways = drawn_paths(grown.at, fewest_paths(grown.parent, widths))
        limbs = Drawing.from_arrays(*ways, pen=pen)
    return limbs + Drawing.from_arrays(*loop_strokes(grown), pen=pen)


def _passes(grown: Grown, widths: FloatArray, apart: float) -> ragged.Ragged:
    """Each branch several times side by side, each pass as far out as the branch is that wide."""
    strokes = []
    for path in branch_paths(grown.parent, widths):
        at = grown.at[path]
        wide = widths[path].copy()
        wide[0] = wide[1]  # a fork is as wide as all its branches
        way = np.gradient(at, axis=0)
        side = np.column_stack([-way[:, 1], way[:, 0]])
        side /= np.maximum(np.hypot(*way.T), 1e-12)[:, None]
        lanes = np.floor(np.maximum(wide / apart - 1, 0) / 2 + 1e-9)
        most = int(lanes.max())
        strokes.append(at)
        for lane in range(1, most + 1):
            length = int((lanes >= lane).sum())  # widths never grow outwards
            if length > 1:
                shift = lane * apart * side[:length]
                strokes.append(at[:length] + shift)
                strokes.append((at[:length] - shift)[::-1])
    return ragged.pack(strokes)


def _outlines(
    grown: Grown, area: Polygon | MultiPolygon, widths: FloatArray, tip: float, pen: Pen
) -> Drawing:
    """The edge of the area that all limbs cover, within the area."""
    child = np.flatnonzero(grown.parent >= 0)
    if not len(child):
        return Drawing(pen=pen)
    ends = np.stack([grown.at[child], grown.at[grown.parent[child]]], axis=1)
    loops = grown.at[grown.loops]
    lines: Any = shapely.linestrings(np.concatenate([ends, loops]))
    wide = np.concatenate([widths[child], np.full(len(loops), tip)])
    limbs = shapely.union_all(shapely.buffer(lines, wide / 2, quad_segs=6))
    inside = shapely.intersection(limbs, area)
    parts = [part for part in shapely.get_parts(inside) if part.geom_type == "Polygon"]
    rings = [shapely.get_coordinates(ring) for ring in shapely.get_rings(parts)]
    return Drawing(rings, pen=pen)
