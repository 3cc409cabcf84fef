"""Separation: a picture in colour as one tone for each pen."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from plotlib import checks
from plotlib.checks import FloatArray
from plotlib.colours import colour_difference, lab_of_light
from plotlib.drawing import RegionLike
from plotlib.errors import InvalidValue
from plotlib.images.ink import InkModel, as_ink
from plotlib.images.reading import PictureLike, decoded, encoded, placed
from plotlib.images.tone import Tone
from plotlib.pen import Pen, check_names
from plotlib.progress import stage

METHODS = ("mixed", "nearest", "posterised")
_MOST_PENS = 6
_NODES = 17  # a side of the cube of colours in which mixtures are looked up
_TRIED = {1: 41, 2: 21, 3: 11, 4: 7, 5: 5, 6: 5}  # coverages of each pen, by the number of pens
_NEAR = 24  # mixtures that are looked at more closely
_STEPS = (0.08, 0.04, 0.02, 0.01, 0.005)  # by which a mixture is bettered
_AT_ONCE = 1 << 18  # pixels
_GREY = 8.0  # chroma below which a colour has no hue


def separated(
    picture: PictureLike,
    region: RegionLike,
    pens: Sequence[Pen],
    *,
    method: str = "mixed",
    levels: int = 4,
    paper: str = "#ffffff",
    ink: InkModel | None = None,
    fit: str = "inside",
    crop: tuple[float, float, float, float] | None = None,
    linear: bool | None = None,
) -> dict[Pen, Tone]:
    """Separate a picture in colour into one tone for each pen.

    Parameters
    ----------
    picture : path, Pillow image or array-like
        As for `read`; in colour, numbers of shape (rows, columns, 3) or (rows, columns, 4).
    region : Drawing, Sheet, shapely Polygon or MultiPolygon
        Where it goes; of an area, its bounding box.
    pens : sequence of Pen
        The inks by their colours, 1 … 6 of different names.
    method : {"mixed", "nearest", "posterised"}
        Mix inks so that the print differs least from the picture (CIEDE2000); give each pixel to
        the nearest pen, or to the paper, as a whole; or give it to the pen of the nearest hue, with
        a coverage of few levels by its lightness.
    levels : int, default 4
        Of "posterised", white not counted, 1 … 64.
    paper : str, default "#ffffff"
        Colour of the paper, as pens name theirs.
    ink : InkModel, optional
        Its ``n`` says how the light of mixtures adds up; draw with the same model.
    fit, crop, linear
        As for `read`.

    Returns
    -------
    dict of Pen to Tone
        In the order of the pens. Each tone stands for its own ink: 0 wants it full, 1 none of it.

    Raises
    ------
    InvalidValue, UnknownName
        If an argument is invalid, or the picture cannot be understood.
    NotRead
        If the file is missing or holds no picture.
    MissingPackage
        If the picture is a file and pillow is not installed.

    References
    ----------
    M. E. Demichel, Procédé 26, 1924 (areas of inks that overlap by chance: products of coverages
    and bare shares); H. E. J. Neugebauer 1937; J. A. C. Yule, W. J. Nielsen 1951. They hold for
    screens that are turned against each other: see `screen_angles`.

    Examples
    --------
    >>> import numpy as np
    >>> from shapely import box
    >>> from plotlib.pen import Pen
    >>> pens = [Pen("blue", colour="#0000ff"), Pen("black", colour="#000000")]
    >>> sky = separated(np.array([[[0, 0, 255]]], np.uint8), box(0, 0, 9, 9), pens)
    >>> [round(tone(5, 5), 2) for tone in sky.values()]
    [0.0, 1.0]
    """
    inks = _pens(pens)
    kind = checks.one_of("method", method, METHODS)
    steps = checks.whole("levels", levels, low=1, high=64)
    ground = _light("paper", paper)
    model = as_ink("ink", ink)
    light, extent = placed(picture, region, fit=fit, crop=crop, linear=linear)
    colours = np.array([_light("colour", pen.colour) for pen in inks])
    flat = np.ascontiguousarray(light[::-1]).reshape(-1, 3)
    with stage("separating colours"):
        if kind == "mixed":
            shares = _mixed(flat, colours, ground, model.n)
        elif kind == "nearest":
            shares = _nearest(flat, colours, ground)
        else:
            shares = _posterised(flat, colours, ground, steps)
    tones = np.asarray(model.tone(np.clip(shares, 0.0, 1.0)))
    rows, columns = light.shape[:2]
    return {pen: Tone(tones[:, k].reshape(rows, columns), extent) for k, pen in enumerate(inks)}


def screen_angles(count: int) -> tuple[float, ...]:
    """Angles for the screens or hatches of several inks, far from each other, so that they cover
    each other by chance and give no coarse pattern.

    Parameters
    ----------
    count : int
        How many inks, 1 … 6.

    Returns
    -------
    tuple of float
        Degrees; the first, for the darkest ink, is 45, where a screen is seen least (common
        practice).

    Raises
    ------
    InvalidValue
        If ``count`` is not from 1 to 6.

    Examples
    --------
    >>> screen_angles(3)
    (45.0, 75.0, 15.0)
    """
    number = checks.whole("count", count, low=1, high=_MOST_PENS)
    return (45.0, 75.0, 15.0, 0.0, 60.0, 30.0)[:number]


def mixture(shares: FloatArray, inks: FloatArray, paper: FloatArray, n: float) -> FloatArray:
    """Linear light (m, 3) of paper that inks (k, 3) cover by shares (m, k), overlapping by chance;
    where several lie, each takes its part of the light that the others leave.

    With Demichel's areas and such overprints Neugebauer's sum over all areas is this product.
    """
    power = 1.0 / n
    passed = (inks / np.maximum(paper, 1e-6)) ** power
    left = 1.0 - shares[:, :, None] * (1.0 - passed[None, :, :])
    light: FloatArray = (paper**power * left.prod(axis=1)) ** n
    return light


def _pens(pens: Sequence[Pen]) -> tuple[Pen, ...]:
    given = checks.several("pens", pens, "pens")
    if not 1 <= len(given) <= _MOST_PENS or not all(isinstance(pen, Pen) for pen in given):
        raise InvalidValue(
            f"pens must be 1 to {_MOST_PENS} pens, got {pens!r:.200}", name="pens", value=pens
        )
    check_names(tuple(given))
    if len({pen.name for pen in given}) < len(given):
        raise InvalidValue("pens must differ from each other", name="pens", value=pens)
    return tuple(given)


def _light(name: str, colour: str) -> FloatArray:
    """Linear light (3,) of a colour as pens name it."""
    try:
        written = Pen("paper", colour=colour).colour
    except InvalidValue as error:
        raise InvalidValue(f"{name}: {error}", name=name, value=colour) from error
    return decoded(np.array([int(written[k : k + 2], 16) for k in (1, 3, 5)]) / 255.0)


def _mixed(flat: FloatArray, inks: FloatArray, paper: FloatArray, n: float) -> FloatArray:
    """Shares (pixels, k), looked up between the nodes of a cube of encoded colours."""
    from scipy.ndimage import map_coordinates

    axis = np.linspace(0.0, 1.0, _NODES)
    nodes = np.stack(np.meshgrid(axis, axis, axis, indexing="ij"), axis=-1).reshape(-1, 3)
    best = best_shares(decoded(nodes), inks, paper, n)
    cube = best.reshape(_NODES, _NODES, _NODES, len(inks))
    found = np.empty((len(flat), len(inks)))
    for first in range(0, len(flat), _AT_ONCE):
        cut = slice(first, first + _AT_ONCE)
        places = encoded(flat[cut]).T * (_NODES - 1)
        for k in range(len(inks)):
            found[cut, k] = map_coordinates(cube[..., k], places, order=1, mode="nearest")
    return found


def best_shares(light: FloatArray, inks: FloatArray, paper: FloatArray, n: float) -> FloatArray:
    """Shares (m, k) of inks whose mixture differs least from each light (m, 3): the best of a grid
    of mixtures, bettered by ever smaller steps of one ink at a time.
    """
    from scipy.spatial import cKDTree

    count = len(inks)
    axis = np.linspace(0.0, 1.0, _TRIED[count])
    tried = np.stack(np.meshgrid(*[axis] * count, indexing="ij"), axis=-1).reshape(-1, count)
    seen = lab_of_light(mixture(tried, inks, paper, n))
    wanted = lab_of_light(light)
    near = cKDTree(seen).query(wanted, k=min(_NEAR, len(seen)))[1].reshape(len(light), -1)
    differences = colour_difference(wanted[:, None, :], seen[near])
    picked = differences.argmin(axis=1)
    rows = np.arange(len(light))
    shares = tried[near[rows, picked]]
    least = differences[rows, picked]
    for step in _STEPS:
        for _ in range(3):
            for k in range(count):
                for way in (-step, step):
                    other = shares.copy()
                    other[:, k] = np.clip(other[:, k] + way, 0.0, 1.0)
                    found = colour_difference(wanted, lab_of_light(mixture(other, inks, paper, n)))
                    better = found < least
                    shares[better] = other[better]
                    least[better] = found[better]
    return np.asarray(shares)


def _nearest(flat: FloatArray, inks: FloatArray, paper: FloatArray) -> FloatArray:
    """Each pixel to one pen, or to the paper."""
    known = lab_of_light(np.vstack([inks, paper[None]]))
    shares = np.zeros((len(flat), len(inks)))
    for first in range(0, len(flat), _AT_ONCE):
        lab = lab_of_light(flat[first : first + _AT_ONCE])
        owner = colour_difference(lab[:, None, :], known[None]).argmin(axis=1)
        for k in range(len(inks)):
            shares[first : first + _AT_ONCE, k] = owner == k
    return shares


def _posterised(flat: FloatArray, inks: FloatArray, paper: FloatArray, levels: int) -> FloatArray:
    """Each pixel to the pen of the nearest hue (greys to the greyest), by its lightness."""
    known = lab_of_light(inks)
    lab = lab_of_light(flat)
    chroma = np.hypot(known[:, 1], known[:, 2])
    hue = np.arctan2(known[:, 2], known[:, 1])
    away = np.abs(np.angle(np.exp(1j * (np.arctan2(lab[:, 2], lab[:, 1])[:, None] - hue))))
    # pens without a hue are as far as can be, if there is one with a hue
    away[:, chroma < _GREY] = np.pi if (chroma >= _GREY).any() else 0.0
    owner = away.argmin(axis=1)
    owner[np.hypot(lab[:, 1], lab[:, 2]) < _GREY] = int(chroma.argmin())
    white = float(lab_of_light(paper)[0])
    dark = np.minimum(known[owner, 0], white - 1.0)
    depth = np.clip((white - lab[:, 0]) / (white - dark), 0.0, 1.0)
    shares = np.zeros((len(flat), len(inks)))
    shares[np.arange(len(flat)), owner] = np.rint(depth * levels) / levels
    return shares
