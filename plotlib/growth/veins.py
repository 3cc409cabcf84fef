"""Veins of leaves and branches of trees, by space colonisation."""

from __future__ import annotations

import math

from numpy.typing import ArrayLike

from plotlib import checks
from plotlib.arrays.areas import as_area
from plotlib.checks import Seed
from plotlib.drawing import Drawing, RegionLike
from plotlib.growth.colonisation import Bed, away, scattered
from plotlib.growth.limbs import DRAWN, drawn_limbs
from plotlib.pen import Pen, as_pen
from plotlib.progress import Progress, asked

_FINER = 0.6  # the spacing of a generation, of the one before
_FREE = 0.55  # spacings: so far from all veins new sources come up
_FIRST = 10.0  # sources of the first generation across the area, at least
_MOST = 3  # generations after the first


def veins(
    region: RegionLike,
    *,
    spacing: float,
    roots: ArrayLike | None = None,
    closed: bool = False,
    drawn: str = "centre lines",
    width: float | None = None,
    exponent: float = 3.0,
    seed: Seed = 0,
    pen: Pen | None = None,
    progress: Progress = None,
) -> Drawing:
    """The veins of a leaf: thick ones first, then finer and finer ones in what they leave free.

    Sources of growth hormone come up where no vein is near, far from each other at first and nearer
    with each generation, as they do in a leaf that grows; veins grow towards them.

    Parameters
    ----------
    region : Drawing, Sheet, shapely Polygon or MultiPolygon
        The leaf; veins stay in it.
    spacing : float
        The distance of the last sources in mm, > 0; the finest veins are about so far apart.
    roots : array (n, 2), optional
        Where veins begin, in the area; without it its lowest point.
    closed : bool, default False
        Whether veins meet in loops, as in most broad leaves; else they end freely.
    drawn : {"centre lines", "passes", "outlines"}, default "centre lines"
        How widths are drawn: not at all, by several passes of the pen side by side, or as outlines
        (closed strokes, for a fill).
    width : float, optional
        The width of the finest veins, mm, > 0; without it that of the pen.
    exponent : float, default 3
        Which power of the widths is kept where veins meet, 1 … 10: 3 is Murray's law.
    seed : int or numpy Generator, default 0
        Where sources come up.
    pen : Pen, optional
        The pen; without it the default one.
    progress : bool or function, optional
        True for a bar, or a function that is given the share done, 0 … 1; None shows it as
        :mod:`plotlib.progress` does, above two seconds, and False nothing.

    Returns
    -------
    Drawing
        As few strokes as the tree can be drawn with (centre lines), or a stroke for each pass or
        outline. Iterative: on other processors it may come out differently.

    Raises
    ------
    InvalidValue
        If an argument is invalid, a root is not in the area, or the area holds more than 400,000
        squares of the spacing.
    UnknownName
        If ``drawn`` is none of the three.

    References
    ----------
    A. Runions et al., *Modeling and Visualization of Leaf Venation Patterns*, SIGGRAPH 2005.
    C. D. Murray, *The Physiological Principle of Minimum Work*, PNAS 1926.

    Examples
    --------
    >>> from shapely import Point
    >>> leaf = Point(0, 0).buffer(20)
    >>> net = veins(leaf, spacing=2)
    >>> bool(net.length > 250)
    True
    """
    area = as_area(region)
    apart = checks.positive("spacing", spacing, unit="mm")
    loops = checks.flag("closed", closed)
    pen = as_pen(pen)
    how, tip, power = _limbs(drawn, width, exponent, pen)
    random = checks.generator(seed)
    bed = Bed(area, apart, roots, closed=loops)
    steps = _generations(area.bounds, apart) if len(bed.roots) else []
    with asked("growing veins", progress) as work:
        for number, now in enumerate(steps):
            sources = scattered(area, bed.room, now, random)
            sources = away(sources, bed.grown.at[number > 0 :], _FREE * now)
            bed.colonise(sources, now, work, (number / len(steps), (number + 1) / len(steps)))
    return drawn_limbs(bed.grown, area, how, tip=tip, exponent=power, pen=pen)


def branches(
    region: RegionLike,
    *,
    spacing: float,
    roots: ArrayLike | None = None,
    crown: RegionLike | None = None,
    drawn: str = "centre lines",
    width: float | None = None,
    exponent: float = 2.0,
    seed: Seed = 0,
    pen: Pen | None = None,
    progress: Progress = None,
) -> Drawing:
    """The branches of a tree that grow into the free places of a crown.

    Parameters
    ----------
    region : Drawing, Sheet, shapely Polygon or MultiPolygon
        The area to stay in, trunk included.
    spacing : float
        The distance of the places that twigs grow to, mm, > 0.
    roots : array (n, 2), optional
        Where trunks begin, in the area; without it its lowest point.
    crown : Drawing, Sheet, shapely Polygon or MultiPolygon, optional
        Where twigs are; without it everywhere in the area.
    drawn : {"centre lines", "passes", "outlines"}, default "centre lines"
        How widths are drawn: not at all, by several passes of the pen side by side, or as outlines
        (closed strokes, for a fill).
    width : float, optional
        The width of twigs, mm, > 0; without it that of the pen.
    exponent : float, default 2
        Which power of the widths is kept at a fork, 1 … 10: 2 is Leonardo's rule.
    seed : int or numpy Generator, default 0
        Where twigs grow to.
    pen : Pen, optional
        The pen; without it the default one.
    progress : bool or function, optional
        True for a bar, or a function that is given the share done, 0 … 1; None shows it as
        :mod:`plotlib.progress` does, above two seconds, and False nothing.

    Returns
    -------
    Drawing
        As few strokes as the tree can be drawn with (centre lines), or a stroke for each pass or
        outline. Iterative: on other processors it may come out differently.

    Raises
    ------
    InvalidValue
        If an argument is invalid, a root is not in the area, or the area holds more than 400,000
        squares of the spacing.
    UnknownName
        If ``drawn`` is none of the three.

    References
    ----------
    A. Runions, B. Lane, P. Prusinkiewicz, *Modeling Trees with a Space Colonization Algorithm*,
    Eurographics Workshop on Natural Phenomena 2007.

    Examples
    --------
    >>> from shapely import Point, box
    >>> top = Point(20, 40).buffer(15)
    >>> tree = branches(box(0, 0, 40, 60), spacing=3, crown=top, roots=[(20, 2)])
    >>> bool(tree.length > 150)
    True
    """
    area = as_area(region)
    apart = checks.positive("spacing", spacing, unit="mm")
    pen = as_pen(pen)
    how, tip, power = _limbs(drawn, width, exponent, pen)
    random = checks.generator(seed)
    top = area if crown is None else as_area(crown, "crown")
    bed = Bed(area, apart, roots, closed=False)
    with asked("growing branches", progress) as work:
        if len(bed.roots) and not top.is_empty:
            sources = scattered(as_area(top.intersection(area)), bed.room, apart, random)
            bed.colonise(sources, apart, work, (0.0, 1.0))
    return drawn_limbs(bed.grown, area, how, tip=tip, exponent=power, pen=pen)


def _limbs(drawn: str, width: float | None, exponent: float, pen: Pen) -> tuple[str, float, float]:
    """How to draw, the width of tips, and the exponent, checked."""
    how = checks.one_of("drawn", drawn, DRAWN)
    tip = pen.width if width is None else checks.positive("width", width, unit="mm")
    return how, tip, checks.between("exponent", exponent, 1, 10)


def _generations(bounds: tuple[float, float, float, float], last: float) -> list[float]:
    """The spacings of all generations, the widest first."""
    widest = max(bounds[2] - bounds[0], bounds[3] - bounds[1]) / _FIRST
    count = math.ceil(math.log(widest / last) / -math.log(_FINER))
    return [last / _FINER**k for k in range(min(max(count, 0), _MOST), -1, -1)]
