"""Wallpapers: a motif repeated by one of the seventeen groups, over an area."""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely
from shapely import Polygon

from plotlib import checks
from plotlib.arrays.areas import as_area
from plotlib.checks import FloatArray
from plotlib.drawing import Drawing, RegionLike
from plotlib.errors import InvalidValue
from plotlib.symmetry.cell import cell_matrix
from plotlib.symmetry.groups import Operation, WallpaperGroup, wallpaper_group
from plotlib.symmetry.repeating import affordable, as_motif, together

_SPECIAL = 1e-6  # cells: a point so near one of its images lies on a centre or a mirror
_FAR = 3  # cells in which the images of a point are looked for when its domain is cut out


def wallpaper(
    drawing: Drawing,
    group: str,
    region: RegionLike,
    *,
    cell: Any,
    origin: tuple[float, float] = (0.0, 0.0),
    angle: float = 0.0,
    clipped: bool = False,
) -> Drawing:
    """A motif repeated over an area by one of the seventeen wallpaper groups.

    Parameters
    ----------
    drawing : Drawing
        The motif, in mm, where it stands in the pattern: it may lie anywhere and be larger than the
        cell.
    group : str
        The group, as :func:`wallpaper_group` knows it: ``"p4gm"``.
    region : Drawing, Sheet, shapely Polygon or MultiPolygon
        The area to cover; images are cut at its edge.
    cell : float, (a, b) or (a, b, angle)
        The sides of the cell in mm: one length for square and hexagonal lattices, two for
        rectangular ones, and for oblique ones the angle between them too, in degrees (90 when left
        out).
    origin : (float, float), default (0, 0)
        Where the corner of a cell lies, mm: a centre of rotation, where the group has one.
    angle : float, default 0
        The direction of the first side, degrees.
    clipped : bool, default False
        Cut the motif first to a fundamental domain round its middle, so that images fill the plane
        and never overlap: a kaleidoscope.

    Returns
    -------
    Drawing
        The images, one after another, in the pens of the motif. Each is computed from the motif
        itself, so that errors do not add up.

    Raises
    ------
    InvalidValue
        If an argument is invalid, the cell does not suit the lattice of the group, the cell is so
        small that the images have more than 20 million points, or ``clipped`` is wanted and the
        middle of the motif lies on a mirror or a centre of rotation.
    UnknownName
        If there is no such group.

    References
    ----------
    *International Tables for Crystallography*, volume A (from memory).

    Examples
    --------
    >>> from shapely import box
    >>> flag = Drawing([[(1, 1), (1, 4), (3, 3), (1, 3)]])
    >>> len(wallpaper(flag, "p4", box(0, 0, 20, 20), cell=10))
    16
    """
    motif = as_motif(drawing)
    known = wallpaper_group(group)
    area = as_area(region)
    corner = np.array(checks.point("origin", origin))
    sides = cell_matrix(cell, known.lattice, checks.finite("angle", angle, unit="degrees") % 360)
    if checks.flag("clipped", clipped) and drawing.bounds is not None:
        left, bottom, right, top = drawing.bounds
        middle = np.array([(left + right) / 2, (bottom + top) / 2])
        motif = drawing.clipped(_domain(known, sides, corner, middle))
    if not len(motif) or area.is_empty:
        return Drawing()
    return _repeated(motif, known, sides, corner, area.bounds).clipped(area)


def _repeated(
    motif: Drawing,
    group: WallpaperGroup,
    sides: FloatArray,
    corner: FloatArray,
    bounds: tuple[float, float, float, float],
) -> Drawing:
    """All images whose box meets the bounds."""
    cells = np.ascontiguousarray(np.linalg.solve(sides, (motif.points - corner).T).T, np.float64)
    images = [operation.applied(cells) @ sides.T + corner for operation in group.operations]
    shifts = [_shifts(image, sides, bounds) for image in images]
    count = sum(len(shift) for shift in shifts)
    affordable(
        "cell",
        float(np.linalg.norm(sides[:, 0])),
        float(count * len(motif.points)),
        "points",
        "take a larger cell, a smaller area or a simpler motif",
    )
    points = np.concatenate(
        [
            (image[None, :, :] + shift[:, None, :]).reshape(-1, 2)
            for image, shift in zip(images, shifts, strict=True)
        ]
    )
    return together(motif, points, count)


def _shifts(
    image: FloatArray, sides: FloatArray, bounds: tuple[float, float, float, float]
) -> FloatArray:
    """The translations (n, 2) in mm that bring the box of the image to meet the bounds."""
    low = np.array(bounds[:2]) - image.max(axis=0)
    high = np.array(bounds[2:]) - image.min(axis=0)
    corners = np.array([low, (high[0], low[1]), high, (low[0], high[1])])
    steps = np.linalg.solve(sides, corners.T)
    first = np.ceil(steps.min(axis=1) - 1e-9)
    last = np.floor(steps.max(axis=1) + 1e-9)
    if (last < first).any():
        return np.empty((0, 2))
    affordable(
        "cell",
        float(np.linalg.norm(sides[:, 0])),
        float(np.prod(last - first + 1)),
        "images",
        "take a larger cell or a smaller area",
    )
    i, j = np.meshgrid(
        np.arange(first[0], last[0] + 1), np.arange(first[1], last[1] + 1), indexing="xy"
    )
    shifts = np.column_stack([i.ravel(), j.ravel()]) @ sides.T
    near = ((shifts >= low - 1e-9) & (shifts <= high + 1e-9)).all(axis=1)
    found: FloatArray = shifts[near]
    return found


def _domain(
    group: WallpaperGroup, sides: FloatArray, corner: FloatArray, middle: FloatArray
) -> Polygon:
    """What is nearer to a point than to any of its images (its Dirichlet domain): its images cover
    the plane once.
    """
    home = np.asarray(np.linalg.solve(sides, middle - corner), np.float64)
    span = np.arange(-_FAR, _FAR + 1.0)
    steps: FloatArray = np.stack(np.meshgrid(span, span), axis=-1).reshape(-1, 2)
    others = np.concatenate([_around(operation, home, steps) for operation in group.operations])
    apart = others - home
    own = (np.abs(apart) < _SPECIAL).all(axis=1)
    if own.sum() > 1:
        raise InvalidValue(
            f"the middle of the motif, ({middle[0]:g}, {middle[1]:g}), lies on a mirror or a "
            f"centre of rotation of {group.name}, so that no part of the plane is its own; move "
            f"the motif off it, or leave clipped=False",
            name="clipped",
        )
    spots = others[~own] @ sides.T + corner
    reach = 4 * float(np.abs(sides).sum())
    return _nearer(middle, spots, reach)


def _around(operation: Operation, home: FloatArray, steps: FloatArray) -> FloatArray:
    """The images of a point under an operation and the translations near it."""
    image = operation.applied(home[None, :])[0]
    nearest = np.round(home - image)
    found: FloatArray = image + nearest + steps
    return found


def _nearer(middle: FloatArray, spots: FloatArray, reach: float) -> Polygon:
    """The convex area of the points that are nearer to the middle than to any of the spots."""
    area: Any = shapely.box(*(middle - reach), *(middle + reach))
    order = np.argsort(((spots - middle) ** 2).sum(axis=1), kind="stable")
    for spot in spots[order]:
        away = spot - middle
        far = float(np.hypot(*away))
        if 0.5 * far > shapely.hausdorff_distance(area, shapely.Point(middle)):
            break  # this one and all that follow are too far to cut anything off
        along = away / far
        across = np.array([-along[1], along[0]])
        half = middle + 0.5 * away
        corners = [
            half - 2 * reach * across,
            half + 2 * reach * across,
            half + 2 * reach * across - 4 * reach * along,
            half - 2 * reach * across - 4 * reach * along,
        ]
        area = area.intersection(Polygon(corners))
    found: Polygon = area
    return found
