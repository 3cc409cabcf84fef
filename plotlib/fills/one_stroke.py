"""Any area by one stroke that crosses itself nowhere."""

from __future__ import annotations

import warnings

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from plotlib.arrays.ragged import empty, pack
from plotlib.arrays.reshape import simplify
from plotlib.checks import BoolArray, FloatArray, affordable, flag, point, positive, two_digits
from plotlib.drawing import Drawing, RegionLike
from plotlib.fills.closed import crossings, fits, is_simple
from plotlib.fills.evening import evened, without_loops
from plotlib.fills.fermat import Spirals
from plotlib.fills.reaching import reaching
from plotlib.fills.rings import nested
from plotlib.pen import Pen
from plotlib.progress import Stage, stage
from plotlib.regions import as_region

_QUARTER = 16  # chords in a quarter of a round corner
_MOST = 3_000_000  # squares of the spacing in an area
_NECK = 0.25  # spacings from either edge: a neck twice as wide is passed
_LAPPED = 0.01  # spacings by which a neck laps over what it joins
_ACROSS = 2.1  # spacings: rings of one inset on both sides of the middle are nearer than two
# Rings may touch where the area is degenerate: others, a little nearer or farther, do not there.
_TRIES = ((1.0, True), (0.97, True), (1.03, True), (0.95, False), (1.05, False))
_CORNER = 0.8  # cosine of a turn that stays a corner
_SHARP = -0.5  # cosine of a turn that is rounded in any case
_ASIDE = 0.08  # of a segment: more would be a turn that is a corner
_APART = 1.2  # spacings between two corners that both stay
_CUTS = 2
_SMOOTHINGS = 5
_BARE = 0.002  # of an area that may stay bare without a word
_FINE = 0.004  # spacings by which the drawn line may differ from the smooth one


class OneStrokeWarning(UserWarning):
    """A stroke that leaves out a part of its area, or all of it, and how large that is."""


def one_stroke(
    region: RegionLike,
    *,
    spacing: float,
    start: tuple[float, float] | None = None,
    noses: bool = True,
    pen: Pen | None = None,
) -> Drawing:
    """Fill each connected area, its holes left out, by one closed stroke that never crosses itself.

    Rings that follow the edge become double spirals, which lead inward and between their own turns
    out again; each is opened into the one that it lies beside, and all is evened out until
    neighbouring passes keep their distance. The stroke ends where it begins.

    Parameters
    ----------
    region : Drawing, Sheet, shapely Polygon or MultiPolygon
        The area.
    spacing : float
        Distance between neighbouring passes in mm, > 0; the outermost one lies half of it from the
        edge.
    start : pair of float, optional
        A point in mm, as on the edge: each stroke begins and ends at its place nearest to it.
    noses : bool, optional
        Whether the line reaches out a little where passes turn or fronts meet, into the hollows
        that would stay bare there. Without them the passes are smoother: for a pen that is much
        finer than the spacing.
    pen : Pen, optional
        The pen of the strokes.

    Returns
    -------
    Drawing
        One closed stroke for each connected area. The line has to come back from wherever it goes,
        so a neck is passed twice: closer than the spacing where it is narrower than that, and not
        at all where it is narrower than half the spacing. What lies beyond such a neck is an area
        of its own, and what is nowhere as wide as half the spacing stays empty. Dead ends that
        are narrower than the spacing are not entered. Where an area is a few passes wide their
        number is even, so they keep the spacing as nearly as whole pairs of passes can.

    Raises
    ------
    InvalidValue
        If ``spacing`` is not positive and finite or so small that the area is more than three
        million times its square, ``start`` is not a point, or ``noses`` is neither True nor False.

    References
    ----------
    H. Zhao et al., *Connected Fermat Spirals for Layered Fabrication*, ACM Transactions on Graphics
    35(4), 2016.

    Warns
    -----
    OneStrokeWarning
        If rings are left out because no way to them crosses nothing (of a thousand random areas it
        was none), or if nothing is drawn because the area is nowhere wider than half the spacing.

    Examples
    --------
    >>> from shapely import box
    >>> drawing = one_stroke(box(0, 0, 20, 20) - box(5, 5, 9, 9), spacing=1)
    >>> len(drawing), bool(drawing.is_closed[0])
    (1, True)
    """
    gap = positive("spacing", spacing, unit="mm")
    at = None if start is None else point("start", start)
    reach = flag("noses", noses)
    area = as_region(region)
    squares = area.area / gap / gap
    least = float(np.sqrt(area.area / _MOST))
    remedy = f"take {two_digits(least)} mm or more"
    affordable("spacing", gap, squares, _MOST, "squares of the spacing", remedy)
    strokes = []
    with stage("filling by one stroke") as work:
        for part in _connected(area, gap):
            line = _filled(part, area, gap, work)
            if reach:
                line = reaching(line, area, gap)
            strokes.append(line if at is None else _begun(line, at))
    if squares and not strokes:
        warnings.warn(
            f"nothing is drawn: the area, {two_digits(area.area)} mm², is nowhere wider than half "
            f"the spacing of {gap:g} mm; a smaller spacing fills it",
            OneStrokeWarning,
            stacklevel=2,
        )
    return Drawing.from_arrays(*(pack(strokes) if strokes else empty()), pen=pen)


def _connected(area: Polygon | MultiPolygon, gap: float) -> list[Polygon]:
    """The areas within the outermost passes, one for each stroke."""
    core = _parts(shapely.buffer(area, -gap / 2, quad_segs=_QUARTER))
    wide = _parts(shapely.buffer(area, -_NECK * gap, quad_segs=_QUARTER))
    tree = shapely.STRtree(core)
    found = []
    for part in wide:
        cores = [core[k] for k in np.sort(tree.query(part, predicate="intersects"))]
        found.append(_linked(cores, part, gap) if cores else part)
    return found


def _linked(cores: list[Polygon], part: Polygon, gap: float) -> Polygon:
    """Cores as one polygon, by the necks between them."""
    if len(cores) == 1:
        return cores[0]
    wider = shapely.buffer(part, _NECK * gap / 3, quad_segs=_QUARTER)
    necks = _parts(shapely.difference(wider, shapely.union_all(cores)))
    group = np.arange(len(cores))
    used: list[Polygon] = []
    for neck in sorted(necks, key=lambda neck: -neck.area):
        lapped = shapely.buffer(neck, _LAPPED * gap, quad_segs=2)
        met = np.unique(group[shapely.intersects(lapped, np.array(cores, dtype=object))])
        if len(met) > 1:
            used.append(lapped)
            group[np.isin(group, met)] = met[0]
    whole = _parts(shapely.union_all([*cores, *used]))
    return max(whole, key=lambda piece: piece.area)


def _parts(thing: BaseGeometry) -> list[Polygon]:
    return [part for part in shapely.get_parts(thing) if part.area > 0]


def _filled(part: Polygon, area: Polygon | MultiPolygon, gap: float, work: Stage) -> FloatArray:
    """The closed line (n, 2) through the area within an outermost pass."""
    line, bare = _joined(part, gap)
    if bare * gap > _BARE * part.area:
        middle = part.centroid
        warnings.warn(
            f"the stroke around ({middle.x:.1f}, {middle.y:.1f}) leaves {two_digits(bare * gap)} "
            f"of {part.area:.0f} mm² bare: its rings lie too near to each other there to be "
            f"joined without a crossing; another spacing, as {two_digits(0.98 * gap)} mm, may do",
            OneStrokeWarning,
            stacklevel=3,
        )
    return _smoothed(evened(line, area, gap, work), area, gap)


def _joined(part: Polygon, gap: float) -> tuple[FloatArray, float]:
    """The closed line (n, 2) through all rings of an area, and the length of those that it leaves
    out in the best of some tries: none, as a rule.
    """
    best: tuple[FloatArray, float] | None = None
    for wider, in_chains in _TRIES:
        spirals = Spirals(nested(part, wider * gap, None, across=_ACROSS), wider * gap)
        bare = sum(ring.length for ring in spirals.join_all(spirals=in_chains))
        line = without_loops(spirals.line())
        if line is None:
            line, more = spirals.without_crossings()
            bare += more
        if best is None or bare < best[1]:
            best = line, bare
        if bare == 0.0:
            break
    assert best is not None
    return best


def _smoothed(line: FloatArray, area: Polygon | MultiPolygon, gap: float) -> FloatArray:
    """A closed line with points between its points on a smooth curve and round tips, as far as it
    stays simple and in the area.
    """
    vertices = _rounded(line[:-1], gap)
    if not is_simple(np.concatenate([vertices, vertices[:1]])):
        vertices = line[:-1]
    straight = np.zeros(len(vertices), dtype=bool)
    for _ in range(_SMOOTHINGS):
        fine = _between(vertices, straight)
        if is_simple(fine):
            break
        straight[crossings(fine) // 2] = True
    plain = simplify(fine, np.array([0, len(fine)]), _FINE * gap)[0]
    for smooth in (plain, fine):
        if fits(smooth, area):
            return smooth
    return line


def _between(line: FloatArray, straight: BoolArray) -> FloatArray:
    """A closed line (n, 2) with a point more between two: on a smooth curve (the four-point scheme
    of Dyn, Levin and Gregory, 1987), halfway next to corners, where the next points are far away
    and on what is to stay ``straight`` (n,).
    """
    before = np.roll(line, 1, axis=0)
    after = np.roll(line, -1, axis=0)
    later = np.roll(line, -2, axis=0)
    between = (9 * (line + after) - before - later) / 16
    middle = (line + after) / 2
    aside = np.hypot(*(between - middle).T) > _ASIDE * np.hypot(*(after - line).T)
    sharp = _turns(line) < _CORNER
    halfway = straight | sharp | np.roll(sharp, -1) | aside
    between[halfway] = middle[halfway]
    fine = np.stack([line, between], axis=1).reshape(-1, 2)
    return np.concatenate([fine, fine[:1]])


def _rounded(line: FloatArray, gap: float) -> FloatArray:
    """A closed line (n, 2) with the corners cut (G. M. Chaikin, 1974) that follow each other within
    about a spacing, as around the tip of a finger, or are very sharp; those of rings stay.
    """
    for _ in range(_CUTS):
        far = np.cumsum(np.hypot(*(line - np.roll(line, 1, axis=0)).T))
        turns = _turns(line)
        sharp = np.flatnonzero(turns < _CORNER)
        if not len(sharp):
            break
        on = np.diff(far[sharp], append=far[sharp[0]] + far[-1])
        near = (on < _APART * gap) | (np.roll(on, 1) < _APART * gap)
        cut = np.zeros(len(line), dtype=bool)
        cut[sharp[near | (turns[sharp] < _SHARP)]] = True
        ahead = np.where(cut[:, None], 0.75 * line + 0.25 * np.roll(line, 1, axis=0), line)
        behind = 0.75 * line + 0.25 * np.roll(line, -1, axis=0)
        pairs = np.stack([ahead, behind], axis=1).reshape(-1, 2)
        line = pairs[np.stack([np.ones(len(cut), dtype=bool), cut], axis=1).ravel()]
    return line


def _turns(line: FloatArray) -> FloatArray:
    """The cosines (n,) of the angles by which a closed line, its first point not said again, turns
    at its vertices.
    """
    one = line - np.roll(line, 1, axis=0)
    other = np.roll(one, -1, axis=0)
    size = np.hypot(*one.T) * np.hypot(*other.T)
    return np.asarray((one * other).sum(axis=1) / np.maximum(size, 1e-300))


def _begun(line: FloatArray, at: tuple[float, float]) -> FloatArray:
    """A closed line begun at its place nearest to a point."""
    ring = shapely.linestrings(line)
    far = float(shapely.line_locate_point(ring, shapely.Point(at)))
    reached = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))])
    k = min(int(np.searchsorted(reached, far, side="right")), len(line) - 1)
    place = shapely.get_coordinates(shapely.line_interpolate_point(ring, far))
    inner = np.concatenate([line[k:-1], line[:k]])
    apart = np.hypot(*(inner - place).T) > 1e-9
    return np.concatenate([place, inner[apart], place])
