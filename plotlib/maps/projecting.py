"""From longitude and latitude to metres on a plane, by PROJ."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from plotlib.checks import FloatArray, numbers, package
from plotlib.errors import InvalidValue, UnknownName

_USE = "plotlib.maps"
# The projections by their names, with what they take from the middle and the edges of a map: true
# to scale in its middle, or along parallels a sixth inside (common practice for conics).
NAMED = {
    "mercator": "+proj=merc +lon_0={lon} +lat_ts={lat}",
    "transverse mercator": "+proj=tmerc +lon_0={lon} +lat_0={lat}",
    "lambert conformal": "+proj=lcc +lon_0={lon} +lat_0={lat} +lat_1={low} +lat_2={high}",
    "albers equal-area": "+proj=aea +lon_0={lon} +lat_0={lat} +lat_1={low} +lat_2={high}",
    "lambert azimuthal equal-area": "+proj=laea +lon_0={lon} +lat_0={lat}",
    "azimuthal equidistant": "+proj=aeqd +lon_0={lon} +lat_0={lat}",
    "stereographic": "+proj=stere +lon_0={lon} +lat_0={lat}",
    "equirectangular": "+proj=eqc +lon_0={lon} +lat_ts={lat}",
    "sinusoidal": "+proj=sinu +lon_0={lon}",
    "mollweide": "+proj=moll +lon_0={lon}",
}
_LEVEL = 1e-6  # degrees: parallels this near to opposite ones make a cylinder, which PROJ refuses


def definition(projection: str, extent: tuple[float, float, float, float]) -> str:
    """What PROJ is told: of a name, fitted to the extent; anything else as it is."""
    if not isinstance(projection, str):
        raise InvalidValue(
            f"projection must be a string, got {projection!r:.200}",
            name="projection",
            value=projection,
        )
    if projection.startswith("+") or ":" in projection:
        return projection
    if projection not in NAMED:
        raise UnknownName(
            f"projection must be one of {', '.join(map(repr, NAMED))}, a definition of PROJ such "
            f"as '+proj=robin', or a code such as 'EPSG:3035'; got {projection!r:.200}",
            name="projection",
            value=projection,
        )
    west, south, east, north = extent
    if abs(south + north) < _LEVEL and "{low}" in NAMED[projection]:
        raise InvalidValue(
            f"{projection!r} is drawn on a cone, and there is none for a map whose middle is the "
            f"equator ({south:g} to {north:g} degrees north); take projection='mercator', or "
            f"'lambert azimuthal equal-area' where poles are shown",
            name="projection",
            value=projection,
        )
    sixth = (north - south) / 6
    middle = {"lon": (west + east) / 2, "lat": (south + north) / 2}
    return NAMED[projection].format(**middle, low=south + sixth, high=north - sixth)


def project(places: ArrayLike, projection: str) -> FloatArray:
    """Places on the plane of a projection.

    Parameters
    ----------
    places : array (n, 2)
        Longitude and latitude in degrees.
    projection : str
        A definition of PROJ, such as ``"+proj=laea +lat_0=57 +lon_0=-7"``, on WGS 84 unless it says
        otherwise; or a code such as ``"EPSG:3035"``.

    Returns
    -------
    ndarray (n, 2)
        East and north in the projection's unit, metres as a rule; infinite where it shows nothing,
        as the far side of the earth.

    Raises
    ------
    InvalidValue
        If ``places`` are no pairs of finite numbers, or PROJ does not know the projection.
    MissingPackage
        If pyproj is not installed.

    References
    ----------
    J. P. Snyder, *Map Projections: A Working Manual*, U.S. Geological Survey Professional Paper
    1395, 1987.

    Examples
    --------
    >>> project([(-75, 35)], "+proj=merc +lon_0=-180 +R=1").round(7).tolist()
    [[1.8325957, 0.6528366]]
    """
    given = numbers("places", places, ndim=2, columns=2)
    if given.shape[1] != 2:
        raise InvalidValue(
            f"places must be of shape (n, 2), longitude and latitude; got {given.shape}",
            name="places",
        )
    if not isinstance(projection, str):
        raise InvalidValue(
            f"projection must be a string, got {projection!r:.200}",
            name="projection",
            value=projection,
        )
    if projection in NAMED:
        raise InvalidValue(
            f"{projection!r} is a name that a Chart fits to its extent; project takes a whole "
            f"definition, such as '+proj=laea +lat_0=57 +lon_0=-7', or a code",
            name="projection",
            value=projection,
        )
    # As lists: pyproj up to 3.7.0 takes an array of one for a number, which NumPy will refuse.
    east, north = _transformer(projection).transform(*given.T.tolist())
    return np.column_stack([east, north])


@lru_cache(maxsize=32)
def _transformer(projection: str) -> Any:
    pyproj = package("pyproj", install="pyproj", use=_USE)
    try:
        target = pyproj.CRS.from_user_input(projection)
        if not target.is_projected:
            raise InvalidValue(
                f"{projection!r:.200} is no projection onto a plane", name="projection"
            )
        return pyproj.Transformer.from_crs(target.geodetic_crs, target, always_xy=True)
    except pyproj.exceptions.ProjError as error:
        raise InvalidValue(
            f"PROJ does not know the projection {projection!r:.200}: {str(error)[:200]}",
            name="projection",
            value=projection,
        ) from error


def middle_meridian(projection: str) -> float:
    """The longitude in the middle of a projection; 0 where it names none."""
    found = package("pyproj", install="pyproj", use=_USE).CRS.from_user_input(projection)
    for parameter in found.coordinate_operation.params:
        if "ongitude of" in parameter.name:
            return float(parameter.value)
    return 0.0
