"""Friezes and rosettes: a motif repeated along a band or round a point, and the kaleidoscope."""

from __future__ import annotations

import math

import numpy as np
from shapely import Polygon

from plotlib import checks
from plotlib.checks import FloatArray
from plotlib.drawing import Drawing
from plotlib.symmetry.groups import frieze_operations
from plotlib.symmetry.repeating import affordable, as_motif, together

_WEDGE_STEP = math.pi / 4  # radians between the corners of a wide wedge's outer edge


def frieze(
    drawing: Drawing,
    group: str,
    *,
    period: float,
    count: int,
    origin: tuple[float, float] = (0.0, 0.0),
) -> Drawing:
    """A motif repeated along a horizontal band by one of the seven frieze groups.

    Parameters
    ----------
    drawing : Drawing
        The motif, in mm, where it stands in the first period.
    group : {"p1", "p11g", "p1m1", "p2", "p11m", "p2mg", "p2mm"}
        The group; ``p11g`` walks left and right of the middle like footprints.
    period : float
        The distance after which the band repeats, mm, > 0.
    count : int
        How many periods, 1 or more.
    origin : (float, float), default (0, 0)
        A point of the band's middle line, mm: a centre or the foot of a mirror, where the group has
        one.

    Returns
    -------
    Drawing
        ``count`` periods to the right, each with as many images as the group has operations.

    Raises
    ------
    InvalidValue
        If an argument is invalid, or the images have more than 20 million points.
    UnknownName
        If there is no such group.

    References
    ----------
    The seven symbols as in *International Tables for Crystallography*, volume E (from memory).

    Examples
    --------
    >>> foot = Drawing([[(1, 1), (4, 2)]])
    >>> len(frieze(foot, "p11g", period=10, count=3))
    6
    """
    motif = as_motif(drawing)
    operations = frieze_operations(group)
    step = checks.positive("period", period, unit="mm")
    times = checks.whole("count", count, low=1)
    corner = np.array(checks.point("origin", origin))
    _few(times, len(motif.points) * len(operations))
    cells = (motif.points - corner) / step
    images = [
        (operation.applied(cells) + np.array([k, 0.0])) * step + corner
        for k in range(times)
        for operation in operations
    ]
    return together(motif, np.concatenate(images), len(images))


def rosette(
    drawing: Drawing,
    count: int,
    *,
    mirrored: bool = False,
    about: tuple[float, float] = (0.0, 0.0),
    angle: float = 90.0,
) -> Drawing:
    """A motif repeated round a point: ``count`` turns, and their mirror images on request.

    Parameters
    ----------
    drawing : Drawing
        The motif, in mm.
    count : int
        The order of the rotation, 1 or more.
    mirrored : bool, default False
        Add the mirror images: the dihedral group instead of the cyclic one.
    about : (float, float), default (0, 0)
        The centre, mm.
    angle : float, default 90
        The direction of a mirror through the centre, degrees.

    Returns
    -------
    Drawing
        ``count`` images, or twice as many.

    Raises
    ------
    InvalidValue
        If an argument is invalid, or the images have more than 20 million points.

    References
    ----------
    H. Weyl, *Symmetry*, Princeton University Press 1952 (cyclic and dihedral groups; from memory).

    Examples
    --------
    >>> petal = Drawing([[(2, 0), (9, 3), (2, 1)]])
    >>> len(rosette(petal, 5, mirrored=True))
    10
    """
    motif = as_motif(drawing)
    times = checks.whole("count", count, low=1)
    both = checks.flag("mirrored", mirrored)
    centre = np.array(checks.point("about", about))
    mirror = math.radians(checks.finite("angle", angle, unit="degrees") % 360)
    _few(times, len(motif.points) * (1 + both))
    arms = [motif.points - centre]
    if both:
        arms.append(arms[0] @ _reflection(mirror).T)
    images = [
        arm @ _rotation(2 * math.pi * k / times).T + centre for k in range(times) for arm in arms
    ]
    return together(motif, np.concatenate(images), len(images))


def kaleidoscope(
    drawing: Drawing,
    count: int,
    *,
    about: tuple[float, float] = (0.0, 0.0),
    angle: float = 90.0,
) -> Drawing:
    """What two mirrors show that meet at a point: the wedge between them, again and again.

    Parameters
    ----------
    drawing : Drawing
        What lies before the mirrors, in mm.
    count : int
        How many mirrors pass through the centre, 2 or more; the wedge is 180 / ``count`` degrees
        wide.
    about : (float, float), default (0, 0)
        Where the mirrors meet, mm.
    angle : float, default 90
        The direction of the first mirror, degrees; the wedge lies anticlockwise of it.

    Returns
    -------
    Drawing
        The part of the drawing within the wedge and its images, 2 ``count`` in all.

    Raises
    ------
    InvalidValue
        If an argument is invalid, or the images have more than 20 million points.

    References
    ----------
    H. S. M. Coxeter, *Regular Polytopes*, 1963, chapter 5: The kaleidoscope (from memory).

    Examples
    --------
    >>> from plotlib import shapes
    >>> shown = kaleidoscope(shapes.circle((6, 6), 3), 4, angle=0)
    >>> len(shown), round(shown.bounds[0], 6) == -round(shown.bounds[2], 6)
    (8, True)
    """
    motif = as_motif(drawing)
    times = checks.whole("count", count, low=2)
    centre = np.array(checks.point("about", about))
    first = checks.finite("angle", angle, unit="degrees") % 360
    _few(2 * times, 1)
    if motif.bounds is None:
        return motif
    left, bottom, right, top = motif.bounds
    corners = np.array([(left, bottom), (right, bottom), (right, top), (left, top)])
    reach = 3.0 * float(np.hypot(*(corners - centre).T).max()) + 1.0
    start = math.radians(first)
    sweep = math.pi / times
    steps = max(1, math.ceil(sweep / _WEDGE_STEP))
    angles = start + sweep * np.arange(steps + 1) / steps
    rim = centre + reach * np.column_stack([np.cos(angles), np.sin(angles)])
    wedge = motif.clipped(Polygon([centre, *rim]))
    return rosette(wedge, times, mirrored=True, about=about, angle=first)


def _few(times: int, points: int) -> None:
    affordable(
        "count", times, float(max(points, 1) * times), "points", "take fewer or a simpler motif"
    )


def _rotation(turn: float) -> FloatArray:
    return np.array([[math.cos(turn), -math.sin(turn)], [math.sin(turn), math.cos(turn)]])


def _reflection(direction: float) -> FloatArray:
    """The mirror through the origin that lies in a direction."""
    twice = 2 * direction
    return np.array([[math.cos(twice), math.sin(twice)], [math.sin(twice), -math.cos(twice)]])
