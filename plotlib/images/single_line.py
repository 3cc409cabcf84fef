"""One stroke through all the dots of a picture, that does not meet itself."""

from __future__ import annotations

import math

import numpy as np

from plotlib import checks
from plotlib.checks import FloatArray, IntArray, Seed
from plotlib.drawing import Drawing
from plotlib.images.ink import InkModel, as_ink
from plotlib.images.stippling import stippled
from plotlib.images.tone import Tone, as_tone
from plotlib.images.wanted import Wanted, affordable, wanted
from plotlib.pen import Pen, as_pen
from plotlib.planning.metric import distance_metric
from plotlib.planning.ordering.order import EFFORTS, order
from plotlib.planning.ordering.runs import Runs
from plotlib.progress import stage

_MOST = 300_000  # points: some minutes
_ROUNDS = 30
_PIXELS = 24  # in the smallest cell at least
_WHITE = 1e-3  # coverage below which no point lies
_UNIT = 1e-3  # mm: places are whole units of a machine's last decimal
_LARGEST = 1e6  # mm of a rectangle, so that areas of places are exact in whole numbers

# Coverage of a short path through evenly spread points, by the pen's width times the root of the
# points on a unit of paper. Measured: `python tests/benchmarks/images.py response`.
_DENSE = (0.0, 0.2, 0.35, 0.5, 0.65, 0.8, 0.95, 1.1, 1.3)
_COVERED = (0.0, 0.1924, 0.3365, 0.4784, 0.619, 0.7604, 0.8938, 0.9787, 0.9996)


def single_line(
    tone: Tone,
    *,
    count: int | None = None,
    rounds: int = _ROUNDS,
    effort: str | float = "normal",
    ink: InkModel | None = None,
    seed: Seed = 0,
    pen: Pen | None = None,
) -> Drawing:
    """One single stroke whose windings follow the tone: a short path through evenly spread points,
    which lie the closer the darker it is. It does not cross or touch itself.

    Parameters
    ----------
    tone : Tone
        The picture; the stroke stays in its rectangle.
    count : int, optional
        How many points it goes through, 1 … 300,000. When not given: as many as the tone needs with
        this pen; with another number it is met in proportion only.
    rounds : int, default 30
        Rounds of the relaxation that spreads the points, 0 … 1,000.
    effort : {"quick", "normal", "best"} or float, default "normal"
        How long a short path is looked for, as in `plotlib.plan`.
    ink : InkModel, optional
        The ink model; without it the plain one.
    seed : int or numpy Generator, default 0
        Where the points lie, and the search.
    pen : Pen, optional
        The pen; the default pen otherwise.

    Returns
    -------
    Drawing
        One stroke of whole micrometres; none for a white picture.

    Raises
    ------
    InvalidValue, UnknownName
        If an argument is invalid, the tone needs more than 300,000 points, or the rectangle is
        larger than a kilometre.

    References
    ----------
    C. S. Kaplan, R. Bosch, *TSP Art*, Bridges 2005, 301-308. The path is the planner's search for
    a short order; crossings that it leaves are taken out by 2-opt, which ends because each step
    shortens the path.

    Examples
    --------
    >>> from plotlib.pen import Pen
    >>> dark, light = (single_line(Tone([[t]], (0, 0, 20, 20)), pen=Pen("black", width=0.5))
    ...                for t in (0.4, 0.8))
    >>> len(dark), len(light), bool(dark.length > 2.5 * light.length)
    (1, 1, True)
    """
    picture = as_tone("tone", tone)
    number = None if count is None else checks.whole("count", count, low=1, high=_MOST)
    turns = checks.whole("rounds", rounds, low=0, high=1_000)
    amount = _effort(effort)
    model = as_ink("ink", ink)
    random = checks.generator(seed)
    line = as_pen(pen)
    left, bottom, right, top = picture.extent
    farthest = max(abs(left), abs(bottom), abs(right), abs(top))
    checks.affordable("tone", farthest, farthest, _LARGEST, "mm from the origin", "move it there")
    density = _density(picture, model, line.width)
    if number is None:
        total = float(density.values.sum()) * density.cell_x * density.cell_y
        affordable(total, _MOST, "points", picture)
        number = round(total)
    places = _whole_places(stippled(density, number, turns, random), picture)
    if not len(places):
        return Drawing(pen=line)
    path = short_path(places, amount, int(random.integers(2**31)))
    points: FloatArray = path.astype(np.float64) * _UNIT
    return Drawing.from_arrays(points, np.array([0, len(points)]), pen=line)


def _effort(effort: str | float) -> str | float:
    if isinstance(effort, str):
        return checks.one_of("effort", effort, EFFORTS)
    return checks.between("effort", checks.positive("effort", effort), 1e-3, 1e3)


def _density(tone: Tone, ink: InkModel, width: float) -> Wanted:
    """Points on a mm² for a tone."""
    closest = width / _DENSE[-1]
    asked = wanted(tone, ink, closest / math.sqrt(_PIXELS))
    dense = np.interp(asked.values, _COVERED, _DENSE)
    return asked.replaced(np.where(asked.values < _WHITE, 0.0, (dense / width) ** 2))


def _whole_places(points: FloatArray, tone: Tone) -> IntArray:
    """Distinct whole micrometres within the rectangle."""
    left, bottom, right, top = tone.extent
    low = np.ceil(np.array([left, bottom]) / _UNIT - 1e-9)
    high = np.floor(np.array([right, top]) / _UNIT + 1e-9)
    if not len(points) or (low > high).any():
        return np.empty((0, 2), np.int64)
    units = np.clip(np.rint(points / _UNIT), low, high).astype(np.int64)
    return np.unique(units, axis=0)


def short_path(places: IntArray, effort: str | float, seed: int) -> IntArray:
    """A short path through whole places (n, 2), without a crossing."""
    from plotlib.images.uncrossing import uncrossed

    with stage("looking for a single line"):
        dots = Runs(places, np.arange(len(places) + 1))
        found = order(
            dots, distance_metric(_UNIT), home=None, finish=None, effort=effort, seed=seed
        )
        return uncrossed(places[found.sequence])
