"""The medial axis: the middle of areas too thin to go around."""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely
from shapely import Polygon

from plotlib.arrays.ragged import empty, pack
from plotlib.checks import FloatArray, IntArray, affordable, positive, two_digits
from plotlib.drawing import Drawing, RegionLike
from plotlib.pen import Pen
from plotlib.regions.door import as_region

# The two points of the edge nearest to the middle are at least 97 degrees apart: lines into square
# corners are no middle.
_OPPOSITE = 1.5
_MOST = 50_000  # points on the edge: some ten seconds
# Thousands of points on one circle are one facet to qhull, which takes time that grows with their
# square (7 s for 12,000, over a minute for 50,000) and hears no Ctrl-C. A shake far below the
# accuracy of half a step makes them points like others (3 s for 50,000).
_MANY = 2_000  # points
_SHAKE = 1e-4  # of a step


def medial_axis(
    region: RegionLike, *, step: float, branch: float | None = None, pen: Pen | None = None
) -> Drawing:
    """The medial axis of an area: lines along its middle, as far from one side as from the other.

    Parameters
    ----------
    region : Drawing, Sheet, shapely Polygon or MultiPolygon
        The area, thought of as thin.
    step : float
        Distance in mm of the points on the edge that the middle is found from; about a quarter of
        the thickness does.
    branch : float, optional
        Side branches (into corners) no longer than this are left out, mm; four steps without it.
    pen : Pen, optional
        The pen of the lines.

    Returns
    -------
    Drawing
        For each part of the area its longest line first, then branches from it. A part no longer
        than ``branch`` gives a dot.

    Raises
    ------
    InvalidValue
        If ``region`` is no area, ``step`` or ``branch`` is not positive and finite, or the step
        would make more than 50,000 points on the edge.

    Notes
    -----
    The edges of the Voronoi diagram of points on the outline that lie inside. Its points are
    accurate to about half a step.

    References
    ----------
    H. Blum, *A Transformation for Extracting New Descriptors of Shape*, 1967; J. W. Brandt, V. R.
    Algazi, *Continuous Skeleton Computation by Voronoi Diagram*, CVGIP: Image Understanding 55,
    1992 (both from memory).

    Examples
    --------
    >>> from shapely import box
    >>> line = medial_axis(box(0, 0, 10, 1), step=0.25, branch=1)
    >>> len(line), line.bounds[1], line.bounds[3]
    (1, 0.375, 0.5)
    """
    fine = positive("step", step, unit="mm")
    least = 4 * fine if branch is None else positive("branch", branch, unit="mm")
    area = as_region(region)
    wanted = two_digits(area.length / _MOST)
    count = area.length / fine
    affordable("step", fine, count, _MOST, "points on the edge", f"take {wanted} mm or more")
    lines = [line for part in shapely.get_parts(area) for line in _of_part(part, fine, least)]
    return Drawing.from_arrays(*(pack(lines) if lines else empty()), pen=pen)


def _of_part(part: Polygon, step: float, branch: float) -> list[FloatArray]:
    """The lines (n, 2) of one polygon."""
    if not part.area:
        return []
    nodes, edges = _middle(part, step)
    if not len(edges):
        return [shapely.get_coordinates(shapely.point_on_surface(part))]
    lines = _longest_first(nodes, edges, branch)
    return lines or [shapely.get_coordinates(shapely.point_on_surface(part))]


def _middle(part: Polygon, step: float) -> tuple[FloatArray, IntArray]:
    """Nodes (n, 2) and edges (m, 2) of the Voronoi diagram of points on the outline, as far as they
    lie inside.
    """
    from scipy.spatial import QhullError, Voronoi

    corners = np.unique(shapely.get_coordinates(shapely.segmentize(part, step)), axis=0)
    low = corners.min(axis=0)
    local = corners - low
    if len(local) > _MANY:
        local += np.random.default_rng(0).uniform(-_SHAKE * step, _SHAKE * step, local.shape)
    try:
        diagram = Voronoi(local)
    except QhullError:  # all on one line
        return np.empty((0, 2)), np.empty((0, 2), np.int64)
    nodes = diagram.vertices + low
    shapely.prepare(part)
    inside = shapely.contains_xy(part, nodes[:, 0], nodes[:, 1])
    edges = np.asarray(diagram.ridge_vertices, np.int64)
    finite = (edges >= 0).all(axis=1)
    edges = edges[finite]
    kept = inside[edges].all(axis=1)
    pairs = local[diagram.ridge_points[finite][kept]]
    middle = diagram.vertices[edges[kept]].mean(axis=1)
    apart = np.hypot(*(pairs[:, 0] - pairs[:, 1]).T)
    return nodes, edges[kept][apart > _OPPOSITE * np.hypot(*(pairs[:, 0] - middle).T)]


def _longest_first(nodes: FloatArray, edges: IntArray, branch: float) -> list[FloatArray]:
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components, dijkstra

    used, flat = np.unique(edges, return_inverse=True)
    ends = flat.reshape(-1, 2)
    place = nodes[used]
    length = np.maximum(np.hypot(*(place[ends[:, 0]] - place[ends[:, 1]]).T), 1e-12)
    graph: Any = coo_array((length, (ends[:, 0], ends[:, 1])), shape=(len(used), len(used))).tocsr()
    count, label = connected_components(graph, directed=False)
    lines = []
    for k in range(count):
        mine = np.flatnonzero(label == k)
        one = _farthest(dijkstra(graph, directed=False, indices=np.array(mine[0])), mine)
        out: Any = dijkstra(graph, directed=False, indices=np.array(one), return_predecessors=True)
        far = out[0]
        back = out[1]
        path = _path(back, _farthest(far, mine))
        if far[path[0]] > branch:
            lines.append(place[path])
        drawn = path
        while True:
            out = dijkstra(
                graph, directed=False, indices=drawn, min_only=True, return_predecessors=True
            )
            far = out[0]
            back = out[1]
            end = _farthest(far, mine)
            if far[end] <= branch:
                break
            path = _path(back, end)
            lines.append(place[path])
            drawn = np.union1d(drawn, path)
    return lines


def _farthest(far: FloatArray, mine: IntArray) -> int:
    return int(mine[np.argmax(far[mine])])


def _path(back: Any, end: int) -> IntArray:
    path = [end]
    while back[path[-1]] >= 0:
        path.append(int(back[path[-1]]))
    return np.array(path, np.int64)
