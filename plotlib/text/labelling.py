"""Labels that stand in the lines they name, as the heights of contours do."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any, Unpack

import numpy as np
import shapely

from plotlib import checks
from plotlib.arrays.areas import as_area
from plotlib.checks import FloatArray
from plotlib.drawing import Drawing, RegionLike, as_drawing
from plotlib.errors import InvalidValue
from plotlib.pen import Pen
from plotlib.text.measuring import measure
from plotlib.text.path import along
from plotlib.text.setting.style import Options

_PARTS = 16  # of a label's room; places for it are looked at so far apart
_SPARE = 1.03  # times the room: steps from place to place cut corners
_STEEP = 0.3  # how a label that stands upright compares with one that is bent by a radian
_BENT = 1.2  # radians in all; where a line turns more, its label could not be read


def labelled(
    drawing: Drawing,
    text: str | Sequence[str],
    *,
    height: float = 2.0,
    spacing: float | None = None,
    gap: float = 0.6,
    region: RegionLike | None = None,
    pen: Pen | None = None,
    **options: Unpack[Options],
) -> Drawing:
    """Set labels into lines, where each is straightest, and clear the lines around them.

    Parameters
    ----------
    drawing : Drawing
        The lines, such as iso-lines, rivers or roads.
    text : str or sequence of str
        The label of all lines, or one for each; an empty one for none.
    height : float, default 2
        Height of the capitals in mm.
    spacing : float, optional
        Length in mm of line for each label, > 0; one label on every line without it.
    gap : float, default 0.6
        Room in mm that is kept free around a label, >= 0.
    region : Drawing, Sheet, shapely Polygon or MultiPolygon, optional
        The area in which labels may stand.
    pen : Pen, optional
        The pen of the labels; the default pen otherwise.
    **options
        ``face``, ``slant``, ``width``, ``tracking``, ``word_space``, ``missing`` as ``lettering``
        takes them.

    Returns
    -------
    Drawing
        The lines, cut where labels stand, then the labels, none upside down. Lines too short or too
        crooked for theirs get none, nor do those where it would meet another label.

    Raises
    ------
    InvalidValue, UnknownName
        If there are more or fewer texts than lines, or an argument is invalid.

    Examples
    --------
    >>> from plotlib.shapes import line
    >>> marked = labelled(line((0, 0), (60, 0)), "20", height=3)
    >>> [stroke[:, 0].round(1).tolist() for stroke in marked[:2]]
    [[0.0, 26.3], [33.7, 60.0]]
    """
    lines = as_drawing("drawing", drawing)
    texts = _texts(text, len(lines))
    free = checks.not_negative("gap", gap, unit="mm")
    apart = None if spacing is None else checks.positive("spacing", spacing, unit="mm")
    within = None if region is None else as_area(region)
    if within is not None:
        shapely.prepare(within)
    rooms = {one: measure(one, height=height, **options).advance for one in dict.fromkeys(texts)}
    tall = checks.positive("height", height, unit="mm")
    taken: list[Any] = []
    labels = []
    for stroke, one in zip(lines, texts, strict=True):
        if not rooms[one]:
            continue
        for way in _ways(stroke, rooms[one] + 2 * free, apart, tall + 2 * free, within, taken):
            style = {"height": height, "offset": -tall / 2, "align": "centre"}
            labels.append(along(one, way, pen=pen, **style, **options))  # type: ignore[arg-type]
    if not labels:
        return lines
    return Drawing([lines.erased(as_area(shapely.union_all(taken))), *labels])


def _texts(text: Any, count: int) -> list[str]:
    if isinstance(text, str):
        return [text] * count
    texts = [checks.string("text", one) for one in checks.several("text", text, "labels")]
    if len(texts) != count:
        raise InvalidValue(
            f"text must hold one label for each of the {count} lines, got {len(texts)}",
            name="text",
            value=text,
        )
    return texts


def _ways(
    stroke: FloatArray, room: float, apart: float | None, tall: float, within: Any, taken: list[Any]
) -> list[FloatArray]:
    """The stretches (n, 2) of a line that its labels take; what they cover goes into ``taken``."""
    whole = Drawing([stroke])
    if whole.length < _SPARE * room:
        return []
    step = room / _PARTS
    checks.affordable("height", tall, whole.length / step, 1e7, "places", "take a greater one")
    places = whole.resampled(step)[0]
    parts = math.ceil(_SPARE * room / (whole.length / (len(places) - 1)))
    turns = np.unwrap(np.arctan2(*np.diff(places, axis=0).T[::-1]))
    windows = np.arange(len(turns) - parts + 1)
    if not len(windows):
        return []
    bent = _spread(turns, parts)
    chord = places[windows + parts] - places[windows]
    steep = np.abs(chord[:, 1]) / np.maximum(np.hypot(chord[:, 0], chord[:, 1]), 1e-12)
    off = np.abs(windows / max(len(windows) - 1, 1) - 0.5)  # the middle, where all is equal
    cost = bent + _STEEP * steep + 0.01 * off
    good = bent <= _BENT
    sections = 1 if apart is None else max(round(whole.length / apart), 1)
    found = []
    for part in np.array_split(windows, min(sections, len(windows))):
        order = part[np.argsort(cost[part], kind="stable")]
        for k in order[good[order]]:
            way = places[k : k + parts + 1]
            area = shapely.LineString(way).buffer(tall / 2, cap_style="flat")
            if _is_free(area, within, taken):
                taken.append(area)
                found.append(way[::-1] if way[-1, 0] < way[0, 0] else way)
                break
    return found


def _spread(turns: FloatArray, parts: int) -> FloatArray:
    """How far the direction turns in all within each window of so many parts."""
    change = np.abs(np.diff(turns))
    run = np.concatenate([[0.0], np.cumsum(change)])
    return np.asarray(run[parts - 1 :] - run[: len(run) - parts + 1])


def _is_free(area: Any, within: Any, taken: list[Any]) -> bool:
    if within is not None and not within.contains(area):
        return False
    return not shapely.intersects(area, taken).any() if taken else True
