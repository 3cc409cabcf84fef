"""Where parallel rows cross the outline of an area, and the chords between the crossings."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from plotlib.arrays import affine
from plotlib.arrays.ragged import Ragged
from plotlib.checks import FloatArray, IntArray
from plotlib.errors import InvalidValue

MOST_CROSSINGS = 20_000_000  # more than any pen would draw
NOTHING = 1e-9  # mm; chords no longer than this are corners that touch a row


@dataclass(frozen=True, eq=False)
class Crossings:
    """Crossings of rows and outline, in the order in which one meets them along the rings.

    Row ``k`` lies ``(k + 0.5) * spacing`` above the origin, in a frame whose u axis runs along the
    rows.

    Attributes
    ----------
    corners : float array (N, 2)
        The corners (u, v) of all rings in that frame, each ring closed.
    ring : int array (N,)
        The ring of each corner.
    edge : int array (X,)
        The corner where the edge begins that is crossed.
    row : int array (X,)
        The row.
    along : float array (X,)
        The place u of the crossing.
    """

    corners: FloatArray
    ring: IntArray
    edge: IntArray
    row: IntArray
    along: FloatArray


@dataclass(frozen=True)
class Frame:
    """Rows ``spacing`` mm apart at ``angle`` degrees, laid out from ``origin``."""

    spacing: float
    angle: float = 0.0
    origin: tuple[float, float] = (0.0, 0.0)

    def into(self, points: FloatArray) -> FloatArray:
        """Points (n, 2) in mm as (u, v): along the rows, and across."""
        moved = points if self.origin == (0.0, 0.0) else points - self.origin
        return affine.apply(np.column_stack([affine.turn(-self.angle), np.zeros(2)]), moved)

    def back(self, points: FloatArray) -> FloatArray:
        """Points (n, 2) given as (u, v) in mm."""
        return affine.apply(np.column_stack([affine.turn(self.angle), self.origin]), points)

    def height(self, row: IntArray) -> FloatArray:
        """How far across (v) the rows lie."""
        return np.asarray((row + 0.5) * self.spacing, np.float64)


def crossings(area: Polygon | MultiPolygon, frame: Frame, *, widen: str = "spacing") -> Crossings:
    """All crossings of the outline of a valid area with the rows of ``frame``; ``widen`` names the
    argument that would make them fewer.
    """
    from plotlib.fills.scanlines_kernel import crossed, scanned

    rings = shapely.get_rings(area if isinstance(area, Polygon) else shapely.get_parts(area))
    points, ring = shapely.get_coordinates(rings, return_index=True)
    corners = frame.into(points)
    total = crossed(corners, ring, frame.spacing)
    if not total <= MOST_CROSSINGS:
        raise InvalidValue(
            f"rows {frame.spacing:g} mm apart cross the outline of this area {total:,.0f} times, "
            f"more than {MOST_CROSSINGS:,}; use a wider {widen}",
            name=widen,
            spacing=frame.spacing,
            count=total,
        )
    return Crossings(corners, ring, *scanned(corners, ring, frame.spacing, int(total)))


def chords(found: Crossings) -> tuple[IntArray, IntArray]:
    """The crossings where each chord begins and ends, row after row, from left to right."""
    order = np.lexsort((found.along, found.row))
    return order[0::2], order[1::2]


def strokes(found: Crossings, frame: Frame, *, alternate: bool) -> Ragged:
    """One stroke for each chord, in mm; with ``alternate`` every second row runs backwards."""
    ends = chord_ends(found, frame, alternate=alternate)
    return frame.back(ends), np.arange(0, len(ends) + 1, 2)


def chord_ends(found: Crossings, frame: Frame, *, alternate: bool) -> FloatArray:
    """The ends (2 n, 2) of each chord as (u, v); chords that touch are one, chords of no length
    none.
    """
    from plotlib.fills.scanlines_kernel import chorded

    order = np.lexsort((found.along, found.row))
    return chorded(order, found.row, found.along, frame.spacing, alternate, NOTHING)
