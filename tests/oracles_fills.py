"""Slow and obvious versions of what the kernels of fills do, and shapes that are hard on them."""

from __future__ import annotations

import math

import numpy as np
import shapely
from shapely import affinity

from plotlib.drawing import Drawing


def hatch_by_shapely(area, spacing, angle):
    """Chords of an area by shapely's intersection: (n, 2, 2), in no order; rows on odd multiples of
    half the spacing.
    """
    turned = affinity.rotate(area, -angle, origin=(0, 0))
    x0, y0, x1, y1 = turned.bounds
    found = []
    for k in range(math.floor(y0 / spacing) - 1, math.ceil(y1 / spacing) + 1):
        row = shapely.LineString([(x0 - 1, (k + 0.5) * spacing), (x1 + 1, (k + 0.5) * spacing)])
        parts = shapely.get_parts(shapely.line_merge(shapely.intersection(turned, row)))
        found += [part for part in parts if part.geom_type == "LineString" and part.length > 1e-9]
    return [shapely.get_coordinates(affinity.rotate(part, angle, origin=(0, 0))) for part in found]


def plain_darts(darts, distance):
    """The darts (n, 2) that are at least the distance from all kept before them, one by one."""
    kept = np.empty((0, 2))
    for dart in darts:
        if (((kept - dart) ** 2).sum(axis=1) >= distance * distance).all():
            kept = np.concatenate([kept, dart[None]])
    return kept


def covered_by_samples(drawing, area, *, across=500):
    """Covered share of an area by the distance of sample points from the strokes.

    The points are those of a Kronecker sequence by the plastic number (as many as a grid ``across``
    would have): a grid beats against parallel strokes and is wrong by up to a whole row in each.
    """
    x0, y0, x1, y1 = area.bounds
    plastic = 1.324717957244746  # x³ = x + 1
    number = np.arange(across * across)
    x = x0 + (x1 - x0) * ((0.5 + number / plastic) % 1.0)
    y = y0 + (y1 - y0) * ((0.5 + number / plastic**2) % 1.0)
    inside = shapely.contains_xy(area, x, y)
    lines = shapely.GeometryCollection(drawing.to_shapely())
    return float(
        (
            shapely.distance(shapely.points(x[inside], y[inside]), lines)
            <= drawing.pens[0].width / 2
        ).mean()
    )


def hostile(seed):
    """One of many kinds of difficult areas; the same for the same seed."""
    random = np.random.default_rng(seed)
    kind = seed % 12
    corners = random.uniform(0, 20, (int(random.integers(3, 12)), 2))
    if kind == 0:  # crosses itself
        return Drawing([np.concatenate([corners, corners[:1]])])
    if kind == 1:  # on a coarse grid: doubled points, lines to and fro, corners on rows
        grid = random.integers(0, 6, (int(random.integers(4, 14)), 2)) * 2.0
        return Drawing([np.concatenate([grid, grid[:1]])])
    if kind == 2:  # slivers
        return shapely.Polygon(
            [(0, 0), (20, 1e-9 * random.random()), (20, 1e-7), (0, 1e-3 * random.random())]
        )
    if kind == 3:  # doubled points
        twice = np.repeat(corners, 3, axis=0)
        return shapely.Polygon(np.concatenate([twice, twice[:1]]))
    if kind == 4:  # a hole that touches the edge, and holes that touch each other
        hole = [[(0, 10), (5, 5), (10, 10), (5, 15)], [(10, 10), (15, 5), (20, 10), (15, 15)]]
        return shapely.Polygon([(0, 0), (20, 0), (20, 20), (0, 20)], hole)
    if kind == 5:  # holes everywhere
        holes = shapely.union_all(
            shapely.buffer(
                shapely.points(random.uniform(0, 20, (12, 2))), random.uniform(0.1, 3, 12)
            )
        )
        return shapely.box(0, 0, 20, 20).difference(holes)
    if kind == 6:  # thin as the pen, more or less
        return shapely.LineString(corners).buffer(
            float(random.uniform(0.05, 0.6)), cap_style="flat"
        )
    if kind == 7:  # rings in rings, even-odd
        return Drawing(
            [shapely.Point(10, 10).buffer(r).exterior.coords for r in random.uniform(0.1, 10, 5)]
        )
    if kind == 8:  # far away
        return affinity.translate(shapely.Polygon(corners).buffer(0), 1e5, -3e5)
    if kind == 9:  # edges on rows, comb
        teeth = [
            (x, y)
            for k in range(8)
            for x, y in ((2 * k, 0.5), (2 * k, 8.5), (2 * k + 1, 8.5), (2 * k + 1, 0.5))
        ]
        return shapely.Polygon([*teeth, (15, -0.5), (0, -0.5)])
    if kind == 10:  # tiny or nothing
        return affinity.scale(
            shapely.Polygon(corners).buffer(0),
            10.0 ** -random.integers(1, 9),
            10.0 ** -random.integers(1, 9),
        )
    return shapely.MultiPolygon(
        [shapely.box(2 * k, 2 * k, 2 * k + 2, 2 * k + 2) for k in range(8)]
    )  # parts that touch in corners


def share_within(
    drawing: Drawing, area: shapely.Geometry, spacing: float, tolerance: float = 0.15
) -> float:
    """The share of an area where neighbouring strokes are ``spacing`` apart within a tolerance.

    The local thickness of T. Hildebrand and P. Rüegsegger ("A new method for the model-independent
    assessment of thickness in three-dimensional images", Journal of Microscopy 185, 1997): at a
    point, the width of the largest disc around it that no stroke enters. Its middle is to lie in
    the area, edge included, so that the outermost stroke is to be half a spacing from the edge.
    """
    lines = shapely.multilinestrings([shapely.linestrings(stroke) for stroke in drawing])
    reached = []
    for far in ((1 - tolerance) * spacing / 2, (1 + tolerance) * spacing / 2):
        middles = shapely.difference(area, shapely.buffer(lines, far, quad_segs=16))
        discs = shapely.buffer(middles, 1.0005 * far, quad_segs=32)
        reached.append(shapely.intersection(discs, area).area / area.area)
    return reached[0] - reached[1]


def looked_slowly(points: np.ndarray, walls: np.ndarray, gap: float) -> tuple[np.ndarray, ...]:
    """How far each vertex of a closed line sees to the left and to the right (inf where nothing
    faces it within 2.1 gaps), and its room: the least distance of it, or of a segment that it ends,
    from any other one.
    """
    count = len(points)
    ends = np.concatenate([np.column_stack([points, np.roll(points, -1, axis=0)]), walls])
    sights = np.full((count, 2), np.inf)
    room = np.full(count, gap)
    for k in range(count):
        normal = _normals(points)[k]
        nearest = np.full(2, 2.1 * gap)
        for j, (ax, ay, bx, by) in enumerate(ends):
            apart = (j - k) % count if j < count else None
            if apart in (0, count - 1):
                continue
            far = shapely.LineString([(ax, ay), (bx, by)]).distance(shapely.Point(points[k]))
            if j >= count:
                corner = shapely.LineString(ends[k].reshape(2, 2)).distance(shapely.Point(ax, ay))
                room[[k, (k + 1) % count]] = np.minimum(room[[k, (k + 1) % count]], corner)
            touched = [k] if j >= count else [k, j, (j + 1) % count]
            room[touched] = np.minimum(room[touched], far)
            way = np.array([bx - ax, by - ay])
            sides = np.column_stack([normal, -way])
            if (apart is not None and (apart <= 3 or apart >= count - 4)) or np.isclose(
                np.linalg.det(sides), 0, atol=1e-15
            ):
                continue
            along, share = np.linalg.solve(sides, np.array([ax, ay]) - points[k])
            seen = abs(along) * (1 if j < count else 2)
            side = 0 if along > 0 else 1
            if 0 <= share <= 1 and seen < nearest[side]:
                nearest[side] = seen
                slant = abs(normal[0] * way[1] - normal[1] * way[0]) / np.hypot(*way)
                sights[k, side] = seen if slant >= 0.8 else np.inf
    return sights, room


def pushed_slowly(
    points: np.ndarray, velocity: np.ndarray, sights: np.ndarray, room: np.ndarray, gap: float
) -> np.ndarray:
    """A closed line without tips of fingers after its first move since it looked."""
    sights = np.where(np.isinf(sights), gap, sights)
    push = 0.2 * (sights[:, 0] - sights[:, 1])
    for _ in range(2):
        push = (np.roll(push, 1) + 2 * push + np.roll(push, -1)) / 4
    before, after = np.roll(points, 1, axis=0), np.roll(points, -1, axis=0)
    one, other = points - before, after - points
    cosine = (one * other).sum(axis=1) / np.hypot(*one.T) / np.hypot(*other.T)
    push *= np.minimum(1 / np.cos(np.arccos(cosine) / 2), 1.5)
    stiff = np.where(cosine >= 0.8, 0.03, 0.0)[:, None]
    move = push[:, None] * _normals(points) + stiff * ((before + after) / 2 - points)
    move += 0.7 * velocity
    size = np.hypot(*move.T)
    most = 0.45 * np.minimum(room, gap)
    return points + move * np.minimum(most / np.maximum(size, 1e-300), 1.0)[:, None]


def _normals(points: np.ndarray) -> np.ndarray:
    way = np.roll(points, -1, axis=0) - np.roll(points, 1, axis=0)
    return np.column_stack([-way[:, 1], way[:, 0]]) / np.hypot(*way.T)[:, None]
