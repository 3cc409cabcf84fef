"""Veins of leaves and branches of trees, by space colonisation."""

from __future__ import annotations

import math
from collections.abc import Iterator

from numpy.typing import ArrayLike

from plotlib import checks
from plotlib.arrays.areas import as_area
from plotlib.checks import Seed
from plotlib.drawing import Drawing, RegionLike
from plotlib.errors import InvalidValue
from plotlib.growth.colonisation import Bed, away, beds, scattered
from plotlib.growth.limbs import DRAWN, drawn_limbs
from plotlib.interrupt import interruptible
from plotlib.pen import Pen, as_pen
from plotlib.progress import Progress, asked

_FINER = 0.6  # the spacing of a generation, of the one before
_FREE = 0.55  # spacings: so far from all veins new sources come up
_FIRST = 10.0  # sources of the first generation across the area, at least
_WIDEST = 0.5  # spacings: wider outlines leave nothing free between them
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
        Where veins begin, one or more in each part of the area; without it the lowest place of
        each part.
    closed : bool, default False
        Whether veins meet in loops, as in most broad leaves; else they end freely.
    drawn : {"centre lines", "passes", "outlines"}, default "centre lines"
        How widths are drawn: not at all, by several passes of the pen side by side, or as outlines
        (closed strokes, for a fill).
    width : float, optional
        The width of the finest veins, mm, > 0; without it that of the pen. Outlines take half the
        spacing at most.
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
        If an argument is invalid, a root is not in the area, a part of the area has none, outlines
        are wider than half the spacing, or the area holds more than 400,000 squares of the spacing.
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
    how, tip, power = _limbs(drawn, width, exponent, pen, apart)
    random = checks.generator(seed)
    with asked("growing veins", progress) as work:
        parts = beds(area, apart, roots, closed=loops)
        for bed, begin, end in _shares(parts):
            steps = _generations(bed.area.bounds, apart) if len(bed.roots) else []
            each = (end - begin) / max(len(steps), 1)
            for number, now in enumerate(steps):
                sources = scattered(bed.area, bed.room, now, random)
                sources = away(sources, bed.grown.at[number > 0 :], _FREE * now)
                first = begin + number * each
                bed.colonise(sources, now, work, (first, first + each))
        return interruptible(lambda _: _drawn(parts, how, tip, power, pen))


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
        Where trunks begin, one or more in each part of the area; without it the lowest place of
        each part.
    crown : Drawing, Sheet, shapely Polygon or MultiPolygon, optional
        Where twigs are; without it everywhere in the area.
    drawn : {"centre lines", "passes", "outlines"}, default "centre lines"
        How widths are drawn: not at all, by several passes of the pen side by side, or as outlines
        (closed strokes, for a fill).
    width : float, optional
        The width of twigs, mm, > 0; without it that of the pen. Outlines take half the spacing at
        most.
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
        If an argument is invalid, a root is not in the area, a part of the area has none, outlines
        are wider than half the spacing, or the area holds more than 400,000 squares of the spacing.
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
    how, tip, power = _limbs(drawn, width, exponent, pen, apart)
    random = checks.generator(seed)
    top = area if crown is None else as_area(crown, "crown")
    with asked("growing branches", progress) as work:
        parts = beds(area, apart, roots, closed=False)
        for bed, begin, end in _shares(parts):
            if len(bed.roots) and not top.is_empty:
                crowned = as_area(top.intersection(bed.area))
                sources = scattered(crowned, bed.room, apart, random)
                bed.colonise(sources, apart, work, (begin, end))
        return interruptible(lambda _: _drawn(parts, how, tip, power, pen))


def _shares(parts: list[Bed]) -> Iterator[tuple[Bed, float, float]]:
    """Each part, and from which share of the whole area to which it comes."""
    whole = sum(bed.area.area for bed in parts) or 1.0
    begin = 0.0
    for bed in parts:
        end = begin + bed.area.area / whole
        yield bed, begin, min(end, 1.0)
        begin = end


def _drawn(parts: list[Bed], how: str, tip: float, exponent: float, pen: Pen) -> Drawing:
    limbs = [
        drawn_limbs(bed.grown, bed.area, how, tip=tip, exponent=exponent, pen=pen) for bed in parts
    ]
    return limbs[0] if len(limbs) == 1 else Drawing([Drawing(pen=pen), *limbs])


def _limbs(
    drawn: str, width: float | None, exponent: float, pen: Pen, spacing: float
) -> tuple[str, float, float]:
    """How to draw, the width of tips, and the exponent, checked."""
    how = checks.one_of("drawn", drawn, DRAWN)
    tip = pen.width if width is None else checks.positive("width", width, unit="mm")
    if how == "outlines" and tip > _WIDEST * spacing:
        raise InvalidValue(
            f"outlines {tip:g} mm wide run together where the finest limbs are about {spacing:g} "
            f"mm apart; take a width of {_WIDEST * spacing:.2g} mm or less, or a wider spacing",
            name="width",
            value=tip,
        )
    return how, tip, checks.between("exponent", exponent, 1, 10)


def _generations(bounds: tuple[float, float, float, float], last: float) -> list[float]:
    """The spacings of all generations, the widest first."""
    widest = max(bounds[2] - bounds[0], bounds[3] - bounds[1]) / _FIRST
    count = math.ceil(math.log(widest / last) / -math.log(_FINER))
    return [last / _FINER**k for k in range(min(max(count, 0), _MOST), -1, -1)]
