"""Bare places in a solid fill, measured by the widest disc that has no ink."""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely

from plotlib.arrays import overlay
from plotlib.arrays.pieces import Shapes, open_pieces
from plotlib.checks import IntArray
from plotlib.drawing import Drawing

# A bare disc wider than this share of the pen's width is mended. Promised is 0.1, but a disc of
# 0.08 is a white speck in a picture of 600 dpi (0.042 mm a pixel); shapely's buffers of 64 corners
# are within 0.001 of the width.
SOUGHT = 0.02
_HAIR = 0.005  # of the pen's width; slivers thinner than twice this are rounding
_FINE = 0.002  # of the pen's width, for the widest disc
PIECE = 200  # segments that are swept at a time
_QUARTER = 16  # chords in a quarter of a round corner


def inked_parts(drawing: Drawing, owner: IntArray, count: int, radius: float) -> Shapes:
    """For each of ``count`` parts what its strokes cover: ``owner`` (M,) says whose a stroke is.

    The strokes are swept in pieces, and neighbouring pieces are united two by two. What has been
    united has little edge, so that the time grows with the strokes; sweeping one long stroke whose
    turns touch, or uniting all pieces in any order, takes much longer.
    """
    pieces, stroke = open_pieces(drawing.points, drawing.offsets, longest=PIECE)
    home = owner[stroke]
    order = np.argsort(home, kind="stable")
    home = home[order]
    swept: Shapes = shapely.buffer(pieces[order], radius, quad_segs=_QUARTER)
    while len(home) and (home[1:] == home[:-1]).any():
        rank = np.arange(len(home)) - np.searchsorted(home, home)
        even = np.flatnonzero(rank % 2 == 0)
        mate = even[np.append(rank, 0)[even + 1] % 2 == 1]
        swept[mate] = overlay.union(swept[mate], swept[mate + 1])
        swept = swept[even]
        home = home[even]
    whole = np.array([shapely.Polygon()] * count, dtype=object)
    whole[home] = swept
    return whole


def middles_in(reach: Shapes, width: float) -> Shapes:
    """For each part of an area where the middles of such discs can lie as it is worth to ink;
    ``reach`` is what a pen of ``width`` mm can ink of it.
    """
    inner: Shapes = shapely.buffer(reach, -SOUGHT * width / 2, quad_segs=_QUARTER)
    return inner


def bare_middles(
    drawing: Drawing, owner: IntArray, inner: Shapes, width: float
) -> tuple[Shapes, IntArray]:
    """Where in ``inner``, the `middles_in` all parts, the middles of bare discs can lie: polygons,
    and the part that each belongs to.

    A disc is bare if its middle is farther from all strokes than half the pen's width and its own
    radius.
    """
    swept = inked_parts(drawing, owner, len(inner), (1.0 + SOUGHT) * width / 2)
    rest, part = shapely.get_parts(overlay.difference(inner, swept), return_index=True)
    flat = (shapely.get_type_id(rest) == shapely.GeometryType.POLYGON) & ~shapely.is_empty(rest)
    return rest[flat], part[flat]


def widest_bare(drawing: Drawing, owner: IntArray, reach: Shapes, width: float) -> float:
    """Diameter in mm of the widest disc in ``reach`` without ink, to a hundredth of the pen's
    width; 0 if there is none of that size.
    """
    swept = inked_parts(drawing, owner, len(reach), width / 2)
    bare = shapely.get_parts(overlay.difference(reach, swept))
    rest: Any = shapely.get_parts(shapely.buffer(bare, -_HAIR * width, quad_segs=4))
    rest = rest[~shapely.is_empty(rest)]
    # No disc in a part is larger than the part: most need no closer look.
    limit = np.sqrt(shapely.area(rest) / np.pi)
    widest = 0.0
    for k in np.argsort(-limit):
        if limit[k] + _HAIR * width <= widest:
            break
        disc = shapely.maximum_inscribed_circle(rest[k], tolerance=_FINE * width)
        widest = max(widest, float(shapely.length(disc)) + _HAIR * width)
    return 2 * widest
