"""Labels that stand in the lines they name, as the heights of contours do."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any, NamedTuple, Unpack

import numpy as np
import shapely
from numpy.lib.stride_tricks import sliding_window_view

from plotlib import checks
from plotlib.arrays.areas import as_area
from plotlib.checks import BoolArray, FloatArray
from plotlib.drawing import Drawing, RegionLike, as_drawing
from plotlib.errors import InvalidValue
from plotlib.pen import Pen
from plotlib.text.measuring import measure
from plotlib.text.path import along
from plotlib.text.setting.style import Options

_PARTS = 16  # of a label's room; places for it are looked at so far apart
_SPARE = 1.03  # times the room: steps from place to place cut corners
# How a label that stands upright compares with one that is bent by a radian; the fourth power of
# the sine, so that slanting ones do not mind. In gallery/chart_of_soundings.py nine labels stood
# steeper than 60 degrees with 0.3 times the sine, three do with this.
_STEEP = 0.8
_BENT = 1.2  # radians in all; where a line turns more, its label could not be read
_LEAN = math.sin(math.radians(5))  # a character that leans farther over is read upside down
_NARROW = 0.35  # times the height: the way along the line under a narrow character
_UPRIGHT = 1e-9  # of a line's direction: what counts as upright


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
        The lines, cut where labels stand, then the labels. They read from the bottom, upright ones
        from the right (ISO 129-1), and no character leans over by more than some 5
        degrees. Lines too short or too crooked for theirs get none, nor do those where it would
        meet another label.

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
        for way in _ways(stroke, _Room(rooms[one], tall, free), apart, within, taken):
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


class _Room(NamedTuple):
    """What one label takes, in mm."""

    text: float  # along the line
    height: float
    free: float  # around it

    @property
    def length(self) -> float:
        return self.text + 2 * self.free

    @property
    def tall(self) -> float:
        return self.height + 2 * self.free


def _ways(
    stroke: FloatArray, room: _Room, apart: float | None, within: Any, taken: list[Any]
) -> list[FloatArray]:
    """The stretches (n, 2) of a line that its labels take, as they read; what they cover goes into
    ``taken``.
    """
    whole = Drawing([stroke])
    if whole.length < _SPARE * room.length:
        return []
    step = room.length / _PARTS
    checks.affordable("height", room.tall, whole.length / step, 1e7, "places", "take a greater one")
    places = whole.resampled(step)[0]
    step = whole.length / (len(places) - 1)
    parts = math.ceil(_SPARE * room.length / step)
    turns = np.unwrap(np.arctan2(*np.diff(places, axis=0).T[::-1]))
    windows = np.arange(len(turns) - parts + 1)
    if not len(windows):
        return []
    bent = _spread(turns, parts)
    chord = places[windows + parts] - places[windows]
    steep = np.abs(chord[:, 1]) / np.maximum(np.hypot(chord[:, 0], chord[:, 1]), 1e-12)
    off = np.abs(windows / max(len(windows) - 1, 1) - 0.5)  # the middle, where all is equal
    cost = bent + _STEEP * steep**4 + 0.01 * off
    is_back, lean = _reading(places, parts, room, step)
    good = (bent <= _BENT) & (lean <= _LEAN)
    sections = 1 if apart is None else max(round(whole.length / apart), 1)
    found = []
    for part in np.array_split(windows, min(sections, len(windows))):
        order = part[np.argsort(cost[part], kind="stable")]
        for k in order[good[order]]:
            way = places[k : k + parts + 1]
            area = shapely.LineString(way).buffer(room.tall / 2, cap_style="flat")
            if _is_free(area, within, taken):
                taken.append(area)
                found.append(way[::-1] if is_back[k] else way)
                break
    return found


def _reading(
    places: FloatArray, parts: int, room: _Room, step: float
) -> tuple[BoolArray, FloatArray]:
    """Whether a label reads against the line in each window of so many parts, and how far the
    character that does so most leans over then, as a sine.
    """
    spare = min(math.floor((parts * step - room.text) / 2 / step), (parts - 1) // 2)
    span = parts - 2 * spare  # under the text, in the middle of its room
    letter = min(max(round(_NARROW * room.height / step), 1), span)
    right, up = _directions(places[spare : len(places) - spare], span).T
    is_back = (right < -_UPRIGHT) | ((right <= _UPRIGHT) & (up < 0))
    each = _directions(places[spare : len(places) - spare], letter)[:, 0]
    under = sliding_window_view(each, span - letter + 1)
    lean = np.where(is_back, under.max(axis=1), -under.min(axis=1))
    return is_back, lean


def _directions(places: FloatArray, parts: int) -> FloatArray:
    """The unit vectors (n, 2) from each place to the one so many parts on."""
    chord = places[parts:] - places[:-parts]
    return np.asarray(chord / np.maximum(np.hypot(*chord.T), 1e-12)[:, None])


def _spread(turns: FloatArray, parts: int) -> FloatArray:
    """How far the direction turns in all within each window of so many parts."""
    change = np.abs(np.diff(turns))
    run = np.concatenate([[0.0], np.cumsum(change)])
    return np.asarray(run[parts - 1 :] - run[: len(run) - parts + 1])


def _is_free(area: Any, within: Any, taken: list[Any]) -> bool:
    if within is not None and not within.contains(area):
        return False
    return not shapely.intersects(area, taken).any() if taken else True
