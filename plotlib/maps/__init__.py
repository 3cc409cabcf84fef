"""Maps: places in longitude and latitude, drawn on a sheet.

`read` takes GeoJSON, WKT or shapely geometry and gives one shapely geometry in degrees. A `Chart`
is a part of the world in a projection, fitted to an area of the paper; it draws geometry, a
graticule with labels and a scale bar. Begin with ``chart.py``. Projections are PROJ's, by the
package pyproj (extra ``maps``).
"""

from plotlib.maps.antimeridian import cut_at
from plotlib.maps.chart import Chart
from plotlib.maps.projecting import project
from plotlib.maps.reading import read

__all__ = ["Chart", "cut_at", "project", "read"]


def __dir__() -> list[str]:
    return sorted(__all__)
