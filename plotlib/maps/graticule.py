"""Meridians, parallels, their labels, and a scale bar for a latitude."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely

from plotlib.checks import FloatArray, affordable, between, one_of, positive
from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue
from plotlib.pen import Pen

if TYPE_CHECKING:
    from plotlib.maps.chart import Chart

_MOST = 2_000  # lines of a graticule
_METRES = {"km": 1000.0, "m": 1.0, "nautical miles": 1852.0}
_GAP = 0.6  # heights of the letters between the frame and a label
_SMALL = 1e-9  # degrees: what multiples of a spacing may be off


def graticule(chart: Chart, spacing: Any, height: float | None, pen: Pen | None) -> Drawing:
    """What ``Chart.graticule`` returns."""
    across, up = _spacings(spacing)
    west, south, east, north = chart.extent
    tall = None if height is None else positive("height", height, unit="mm")
    meridians = _multiples("spacing", across, west, east)
    parallels = _multiples("spacing", up, south, north)
    lines = [[(lon, south), (lon, north)] for lon in meridians]
    lines += [[(west, lat), (east, lat)] for lat in parallels]
    inner = chart.strokes(shapely.MultiLineString(lines)) if lines else Drawing()
    outline = shapely.get_coordinates(chart.frame.exterior)
    drawn = inner + Drawing([outline]).simplified(chart.tolerance)
    # the lines at the edges of the extent are the frame already
    parts = [_without_edges(drawn, chart)]
    if tall is not None:
        parts += _labels(chart, meridians, parallels, tall)
    return Drawing(parts).inked(pen) if pen is not None else Drawing(parts)


def _without_edges(drawn: Drawing, chart: Chart) -> Drawing:
    """Leave out lines that lie on the frame from end to end."""
    border = chart.frame.exterior
    near = 2 * chart.tolerance
    lines = np.array(drawn.to_shapely(), dtype=object)
    inside = shapely.length(shapely.difference(lines, shapely.buffer(border, near)))
    stays = inside > near
    stays[-1] = True  # the frame itself
    return drawn[np.flatnonzero(stays)]


def _spacings(spacing: Any) -> tuple[float, float]:
    if isinstance(spacing, (tuple, list)) and len(spacing) == 2:
        return positive("spacing", spacing[0]), positive("spacing", spacing[1])
    both = positive("spacing", spacing)
    return both, both


def _multiples(name: str, step: float, low: float, high: float) -> list[float]:
    """The multiples of a step from ``low`` to ``high``."""
    affordable(name, step, (high - low) / step, _MOST, "lines", "take a wider spacing")
    first = math.ceil(low / step - _SMALL)
    last = math.floor(high / step + _SMALL)
    return [step * k for k in range(first, last + 1)]


def _labels(
    chart: Chart, meridians: list[float], parallels: list[float], height: float
) -> list[Drawing]:
    from plotlib.text import lettering

    west, south, _, _ = chart.extent
    gap = _GAP * height
    found = []
    for lon in meridians:
        x, y = chart.at([(lon, south)])[0].tolist()
        word = _spelled(_around(lon), "E", "W")
        found.append(lettering(word, height=height, at=(x, y - gap), anchor="top centre"))
    for lat in parallels:
        x, y = chart.at([(west, lat)])[0].tolist()
        word = _spelled(lat, "N", "S")
        found.append(lettering(word, height=height, at=(x - gap, y), anchor="middle right"))
    return found


def _around(lon: float) -> float:
    """A longitude from -180 to 180."""
    turned = (lon + 180.0) % 360.0 - 180.0
    return 180.0 if turned == -180.0 else turned


def _spelled(degrees: float, plus: str, minus: str) -> str:
    """Degrees, and minutes and seconds where they are not whole: 56°30′N."""
    seconds = round(abs(degrees) * 3600, 3)
    whole, rest = divmod(seconds, 3600)
    minutes, rest = divmod(rest, 60)
    word = f"{whole:g}°"
    if minutes or rest:
        word += f"{minutes:02.0f}′"
    if rest:
        word += f"{rest:g}″"
    side = plus if degrees > 0 else minus
    return word if seconds == 0 or abs(degrees) == 180.0 else word + side


def scale_bar(
    chart: Chart,
    at: tuple[float, float],
    step: float,
    count: int,
    latitude: float | None,
    unit: str,
    height: float,
    pen: Pen | None,
) -> Drawing:
    """What ``Chart.scale_bar`` returns."""
    from plotlib import text

    metres = _METRES[one_of("unit", unit, _METRES)]
    per_metre = scale_at(chart, latitude)
    return text.scale_bar(
        at, step=step, count=count, scale=per_metre * metres, unit=unit, height=height, pen=pen
    )


def scale_at(chart: Chart, latitude: float | None) -> float:
    """Millimetres on paper for a metre along a parallel, at the middle meridian of the map."""
    from plotlib.checks import package

    west, south, east, north = chart.extent
    middle = (west + east) / 2
    lat = (south + north) / 2
    if latitude is not None:
        lat = between("latitude", latitude, south, north)
    if abs(lat) > 89.9:
        raise InvalidValue("a pole has no parallel to measure along", name="latitude", value=lat)
    short = min(0.01, (east - west) / 4)
    places = np.array([(middle - short, lat), (middle + short, lat)])
    ends: FloatArray = chart.at(places)
    ellipsoid = package("pyproj", install="pyproj", use="plotlib.maps").Geod(ellps="WGS84")
    _, _, metres = ellipsoid.inv(*places[0], *places[1])
    return float(np.hypot(*(ends[1] - ends[0])) / metres)
