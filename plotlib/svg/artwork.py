"""What a file from elsewhere holds: strokes, filled areas, and what was not taken over."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from plotlib.arrays.areas import evenodd, nonzero
from plotlib.arrays.overlay import intersection
from plotlib.arrays.ragged import offsets_of
from plotlib.checks import FloatArray, IntArray
from plotlib.drawing import Drawing

SHEET = "sheet"  # title of the paper in files of our own: it is no ink


class SvgWarning(UserWarning):
    """Something in a file was not taken over."""


@dataclass(frozen=True, kw_only=True)
class LeftOut:
    """Something that was not taken over.

    Attributes
    ----------
    element : str
        Its kind, such as ``"text"``.
    id : str or None
        Its id in the file.
    line : int
        Where it begins in the file, from 1.
    reason : str
        Why.
    """

    element: str
    id: str | None
    line: int
    reason: str

    def __str__(self) -> str:
        name = "" if self.id is None else f" {self.id!r:.60}"
        return f"line {self.line}: {self.element}{name}: {self.reason}"


@dataclass(frozen=True, kw_only=True)
class Ink:
    """What is to be drawn, as a pen is chosen for it.

    Attributes
    ----------
    kind : str
        ``"stroke"`` or ``"fill"``.
    colour : str
        ``#rrggbb``.
    width : float or None
        Of the line in mm; None for fills.
    group : str
        Title or id of the outermost group around it, else ``""``.
    title : str
        The title of the nearest group around it that says a stroke and its width, as a group of
        one pen does; else ``""``.
    element : str
        The kind of the element.
    id : str or None
        Its id.
    line : int
        Its line in the file.
    """

    kind: str
    colour: str
    width: float | None
    group: str
    title: str
    element: str
    id: str | None
    line: int


@dataclass(frozen=True, kw_only=True, eq=False)
class Area:
    """A filled area.

    Attributes
    ----------
    colour : str
        ``#rrggbb``.
    group, element, id, line
        As of `Ink`.
    """

    colour: str
    group: str
    element: str
    id: str | None
    line: int
    _points: FloatArray = field(repr=False)
    _offsets: IntArray = field(repr=False)
    _rule: str = field(repr=False)
    _clip: Polygon | MultiPolygon | None = field(repr=False)

    @cached_property
    def region(self) -> Polygon | MultiPolygon:
        """The area in mm, as its fill rule and clips leave it."""
        whole = ring_area(*with_ends(self._points, self._offsets), self._rule)
        return whole if self._clip is None else common_area(whole, self._clip)


@dataclass(frozen=True, kw_only=True, eq=False)
class Artwork:
    """A drawing from elsewhere, in mm, x right, y up, from the lower left corner of its page.

    Attributes
    ----------
    drawing : Drawing
        The strokes in the order of the file.
    left_out : tuple of LeftOut
        What was not taken over, in the order it was met.
    size : (float, float)
        Width and height of the page in mm.
    """

    drawing: Drawing
    left_out: tuple[LeftOut, ...]
    size: tuple[float, float]
    _fills: tuple[Area, ...] = field(repr=False)

    @cached_property
    def areas(self) -> tuple[Area, ...]:
        """The filled areas in the order of the file, without empty ones."""
        return tuple(area for area in self._fills if not area.region.is_empty)


def ring_area(points: FloatArray, offsets: IntArray, rule: str) -> Polygon | MultiPolygon:
    """The area of closed rings (float array (N, 2), offsets (M + 1,)) by a fill rule."""
    return evenodd(points, offsets) if rule == "evenodd" else nonzero(points, offsets)


def with_ends(points: FloatArray, offsets: IntArray) -> tuple[FloatArray, IntArray]:
    """The strokes, each with its first point once more at its end."""
    rows = np.insert(np.arange(len(points)), offsets[1:], offsets[:-1])
    return points[rows], offsets_of(np.diff(offsets) + 1)


def common_area(
    one: Polygon | MultiPolygon, other: Polygon | MultiPolygon
) -> Polygon | MultiPolygon:
    """What two areas share, without the lines and points where they only touch."""
    return polygons_of(intersection(one, other))


def joined_area(parts: list[Any]) -> Polygon | MultiPolygon:
    """The union of areas; on a grid far below what a pen can tell apart where rounding stops it."""
    try:
        return polygons_of(shapely.union_all(parts))
    except shapely.GEOSException:
        return polygons_of(shapely.union_all(shapely.make_valid(parts), grid_size=1e-9))


def polygons_of(thing: shapely.Geometry) -> Polygon | MultiPolygon:
    """The polygons of a geometry, as one area."""
    if isinstance(thing, (Polygon, MultiPolygon)):
        return thing
    parts = [part for part in shapely.get_parts(thing) if isinstance(part, Polygon)]
    if len(parts) == 1:
        return parts[0]
    return MultiPolygon(parts) if parts else Polygon()
