"""The Chart: a part of the world in a projection, fitted to an area of the paper."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import numpy as np
import shapely
from numpy.typing import ArrayLike
from shapely import MultiPolygon, Polygon

from plotlib.arrays.areas import as_area
from plotlib.checks import FloatArray, numbers, positive
from plotlib.drawing import Drawing, RegionLike
from plotlib.errors import InvalidValue
from plotlib.maps.antimeridian import cut_at, singles
from plotlib.maps.projecting import definition, middle_meridian, project
from plotlib.pen import Pen

_STEP = 1.0  # mm between the places that are projected, at most; what lies between is straight
_MOST = 5_000_000  # places that a geometry may need
_LEAST = 1e-7  # degrees, a centimetre: a narrower map has no extent


@dataclass(frozen=True)
class Chart:
    """A map on paper: it knows where each place lies, and draws what is given in degrees.

    Parameters
    ----------
    extent : (float, float, float, float)
        West, south, east and north in degrees; west greater than east means that the map reaches
        across the meridian of 180 degrees (RFC 7946, 5.2).
    region : Drawing, Sheet, shapely Polygon or MultiPolygon
        Where the map goes: as large as the bounding box allows, in proportion, centred.
    projection : str, default "lambert conformal"
        A name: "mercator", "transverse mercator", "lambert conformal", "albers equal-area",
        "lambert azimuthal equal-area", "azimuthal equidistant", "stereographic", "equirectangular",
        "sinusoidal" or "mollweide", fitted to the extent; or a definition of PROJ or a code such as
        ``"EPSG:3035"``.
    tolerance : float, default 0.05
        How far a line may be from where it belongs, in mm: points that make less of a difference
        are left out.

    Attributes
    ----------
    scale : float
        Millimetres on paper for a metre of the projection.
    frame : Polygon
        The outline of the map in mm.
    definition : str
        The projection as PROJ is told it.

    Raises
    ------
    InvalidValue
        If the extent is none or reaches where the projection shows nothing, the region has no
        extent, or another argument is invalid.
    UnknownName
        If ``projection`` is another word.
    MissingPackage
        If pyproj is not installed.

    Examples
    --------
    >>> chart = Chart((-8, 56, -7, 57), shapely.box(0, 0, 120, 300), projection="mercator")
    >>> coast = chart.strokes("LINESTRING (-8 56.5, -7.75 56.5)")
    >>> round(coast.length, 6)
    30.0
    """

    extent: tuple[float, float, float, float]
    region: RegionLike
    projection: str = field(default="lambert conformal", kw_only=True)
    tolerance: float = field(default=0.05, kw_only=True)
    scale: float = field(init=False)
    frame: Polygon = field(init=False, compare=False)
    definition: str = field(init=False, repr=False)
    _shift: FloatArray = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        extent = _extent(self.extent)
        area = as_area(self.region)
        object.__setattr__(self, "tolerance", positive("tolerance", self.tolerance, unit="mm"))
        object.__setattr__(self, "extent", extent)
        object.__setattr__(self, "definition", definition(self.projection, extent))
        border = project(_border(extent), self.definition)
        if not np.isfinite(border).all():
            raise InvalidValue(
                f"the projection {self.projection!r} does not show all of the extent {extent}; "
                f"take a smaller extent",
                name="extent",
                value=extent,
            )
        scale, shift = _fit(border, area)
        object.__setattr__(self, "scale", scale)
        object.__setattr__(self, "_shift", shift)
        frame = shapely.make_valid(shapely.Polygon(border * scale + shift))
        object.__setattr__(self, "frame", frame)

    def at(self, places: ArrayLike) -> FloatArray:
        """Where places lie on the paper.

        Parameters
        ----------
        places : array (n, 2)
            Longitude and latitude in degrees.

        Returns
        -------
        ndarray (n, 2)
            In mm; infinite where the projection shows nothing.

        Raises
        ------
        InvalidValue
            If ``places`` are no pairs of finite numbers.

        Examples
        --------
        >>> chart = Chart((-8, 56, -7, 57), shapely.box(0, 0, 120, 120), projection="mercator")
        >>> chart.at([(-7.5, 56.0)]).round(6).tolist()
        [[60.0, 0.0]]
        """
        plane = project(places, self.definition)
        return np.asarray(plane * self.scale + self._shift)

    def strokes(self, geometry: Any, *, pen: Pen | None = None) -> Drawing:
        """Lines, outlines of areas and points as strokes and dots, as far as they lie on the map.

        Parameters
        ----------
        geometry : GeoJSON, WKT or shapely geometry
            As `maps.read` takes it: a file, its text, a value.
        pen : Pen, optional
            The pen; the default pen without it.

        Returns
        -------
        Drawing
            In mm, cut at the frame; edges are straight in longitude and latitude (RFC 7946, 3.1.1)
            and so may be curves on paper.

        Raises
        ------
        InvalidValue
            If ``geometry`` cannot be read, or needs too many points.
        NotRead
            If ``geometry`` is a path to a file that is missing or cannot be read.

        Examples
        --------
        >>> chart = Chart((-8, 56, -7, 57), shapely.box(0, 0, 120, 120), projection="mercator")
        >>> len(chart.strokes("LINESTRING (-9 56.5, -6 56.5)"))
        1
        """
        lines = []
        for single in self._placed(geometry):
            rings = [single]
            if single.geom_type == "Polygon":
                rings = [single.exterior, *single.interiors]
            lines += [shapely.get_coordinates(ring) for ring in rings]
        runs = [run for line in lines for run in _finite_runs(self.at(line))]
        drawing = Drawing(runs).clipped(self.frame).simplified(self.tolerance)
        return drawing.inked(pen) if pen is not None else drawing

    def area(self, geometry: Any) -> Polygon | MultiPolygon:
        """The areas of a geometry on the paper, for fills.

        Parameters
        ----------
        geometry : GeoJSON, WKT or shapely geometry
            As `maps.read` takes it; what is no area in it counts for nothing.

        Returns
        -------
        Polygon or MultiPolygon
            In mm, inside the frame; empty where nothing is.

        Raises
        ------
        InvalidValue
            If ``geometry`` cannot be read, needs too many points, or reaches where the projection
            shows nothing.
        NotRead
            If ``geometry`` is a path to a file that is missing or cannot be read.

        Examples
        --------
        >>> chart = Chart((-8, 56, -7, 57), shapely.box(0, 0, 120, 120), projection="mercator")
        >>> chart.area("POLYGON ((-9 55, -6 55, -6 58, -9 58, -9 55))").equals(chart.frame)
        True
        """
        areas = [part for part in self._placed(geometry) if part.geom_type == "Polygon"]
        placed = shapely.transform(np.array(areas, dtype=object), self.at)
        if not np.isfinite(shapely.get_coordinates(placed)).all():
            raise InvalidValue(
                f"an area reaches where the projection {self.projection!r} shows nothing; cut it "
                f"to the extent of the map first",
                name="geometry",
            )
        whole = shapely.union_all([shapely.make_valid(part) for part in placed])
        inside = shapely.intersection(shapely.simplify(whole, self.tolerance), self.frame)
        found: Polygon | MultiPolygon = as_area(_areas_of(inside))
        return found

    def graticule(
        self,
        spacing: float | tuple[float, float],
        *,
        height: float | None = 2.5,
        pen: Pen | None = None,
    ) -> Drawing:
        """Meridians and parallels, with their degrees at the edges of the map.

        Parameters
        ----------
        spacing : float or (float, float)
            Degrees between meridians and between parallels, counted from 0.
        height : float or None, default 2.5
            Of the labels in mm; they stand below and to the left of the map, outside of its frame,
            where a line meets it. None letters nothing.
        pen : Pen, optional
            The pen; the default pen without it.

        Returns
        -------
        Drawing
            The lines, the frame and the labels.

        Raises
        ------
        InvalidValue
            If ``spacing`` or ``height`` is not positive, or there would be too many lines.

        Examples
        --------
        >>> chart = Chart((-8, 56, -7, 57), shapely.box(0, 0, 120, 120), projection="mercator")
        >>> len(chart.graticule(0.5, height=None))
        3
        """
        from plotlib.maps.graticule import graticule

        return graticule(self, spacing, height, pen)

    def scale_bar(
        self,
        at: tuple[float, float],
        *,
        step: float,
        count: int = 4,
        latitude: float | None = None,
        unit: str = "km",
        height: float = 2.5,
        pen: Pen | None = None,
    ) -> Drawing:
        """A scale bar for a latitude: on a map of any size the scale changes with it.

        Parameters
        ----------
        at : (float, float)
            Lower left corner of the bar in mm.
        step : float
            What one field stands for, in units, > 0.
        count : int, default 4
            How many fields.
        latitude : float, optional
            The parallel along which it holds, at the middle meridian, in degrees; the middle one
            without it.
        unit : {"km", "m", "nautical miles"}
            A nautical mile is 1852 m (International Hydrographic Conference, Monaco 1929).
        height : float, default 2.5
            Height of the figures in mm.
        pen : Pen, optional
            The pen; the default pen without it.

        Returns
        -------
        Drawing
            As ``text.scale_bar`` draws it.

        Raises
        ------
        InvalidValue
            If an argument is invalid, or the latitude lies off the map.
        UnknownName
            If ``unit`` is another word.

        Examples
        --------
        >>> chart = Chart((-8, 56, -7, 57), shapely.box(0, 0, 120, 220), projection="mercator")
        >>> bar = chart.scale_bar((0, 0), step=5, latitude=56.0)
        >>> round(float(np.ptp(bar[0][:, 0])), 3)
        38.466
        """
        from plotlib.maps.graticule import scale_bar

        return scale_bar(self, at, step, count, latitude, unit, height, pen)

    def _placed(self, geometry: Any) -> list[Any]:
        """The single parts of a geometry in degrees, cut opposite the middle of the map, with
        points close enough for their curves.
        """
        middle = middle_meridian(self.definition)
        west, _, east, _ = self.extent
        if not middle - 180.0 <= west <= east <= middle + 180.0:
            middle = (west + east) / 2
        cut = cut_at(geometry, middle + 180.0)
        degrees = _STEP / (self.scale * 111_320.0)  # a degree of latitude is 110.6 to 111.7 km
        needed = cut.length / degrees
        if needed > _MOST:
            raise InvalidValue(
                f"the geometry needs {needed:,.0f} points, more than {_MOST:,}; cut it to the "
                f"extent of the map first",
                name="geometry",
            )
        finer = shapely.segmentize(cut, degrees)
        return singles(finer)


def _extent(value: Any) -> tuple[float, float, float, float]:
    array = numbers("extent", value, ndim=1)
    if array.shape != (4,):
        raise InvalidValue(
            f"extent must be west, south, east and north, got {value!r:.200}",
            name="extent",
            value=value,
        )
    west, south, east, north = array.tolist()
    if west > east:
        east += 360.0
    is_map = -90.0 <= south < north - _LEAST and north <= 90.0 and abs(west) <= 360.0
    if not is_map or not _LEAST < east - west <= 360.0:
        raise InvalidValue(
            f"extent must be west, south, east and north in degrees, got {value!r:.200}",
            name="extent",
            value=value,
        )
    return west, south, east, north


def _border(extent: tuple[float, float, float, float]) -> FloatArray:
    west, south, east, north = extent
    box = shapely.box(west, south, east, north).exterior
    return np.asarray(shapely.get_coordinates(shapely.segmentize(box, (east - west) / 256)))


def _fit(border: FloatArray, area: Any) -> tuple[float, FloatArray]:
    """The scale and the shift that put a border into the bounding box of an area."""
    low = border.min(axis=0)
    high = border.max(axis=0)
    if area.is_empty:
        raise InvalidValue("a map needs an area to go to, and this one is empty", name="region")
    left, bottom, right, top = area.bounds
    scale = float((np.array([right - left, top - bottom]) / (high - low)).min())
    middle = np.array([(left + right) / 2, (bottom + top) / 2])
    return scale, np.asarray(middle - scale * (low + high) / 2)


def _finite_runs(points: FloatArray) -> list[FloatArray]:
    """The stretches of a line that the projection shows."""
    seen = np.isfinite(points).all(axis=1)
    if seen.all():
        return [points] if len(points) else []
    edges = np.flatnonzero(np.diff(seen)) + 1
    return [run for run in np.split(points, edges) if len(run) and np.isfinite(run).all()]


def _areas_of(geometry: Any) -> Any:
    return shapely.union_all([part for part in singles(geometry) if part.geom_type == "Polygon"])
