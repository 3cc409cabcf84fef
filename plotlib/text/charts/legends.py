"""Legends: what a pen or a fill stands for."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TypeAlias, Unpack

import numpy as np
import shapely
from shapely import Polygon

from plotlib import checks
from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue
from plotlib.pen import Pen
from plotlib.text.letters import lettering
from plotlib.text.setting.style import Options

Sample: TypeAlias = Pen | Drawing | Callable[[Polygon], Drawing]


def legend(
    entries: Sequence[tuple[Sample, str]],
    *,
    at: tuple[float, float] = (0.0, 0.0),
    height: float = 2.5,
    sample: tuple[float, float] | None = None,
    spacing: float | None = None,
    pen: Pen | None = None,
    **options: Unpack[Options],
) -> Drawing:
    """A column of samples with their meaning.

    Parameters
    ----------
    entries : sequence of (sample, str)
        A sample is a Pen (a line is drawn with it), a Drawing (fitted into the sample's box), or a
        function that gets the box as a Polygon and returns its filling, such as ``lambda box:
        fills.hatch(box, spacing=1)``; fillings get a frame.
    at : (float, float), default (0, 0)
        Upper left corner in mm.
    height : float, default 2.5
        Height of the capitals in mm.
    sample : (float, float), optional
        Width and height of the samples in mm; 4 and 1.4 times the height where it is not given.
    spacing : float, optional
        From entry to entry in mm; 2.2 times the height where it is not given.
    pen : Pen, optional
        For the text and the frames.
    **options
        As ``lettering`` takes them.

    Returns
    -------
    Drawing
        Entry by entry, sample and text.

    Raises
    ------
    InvalidValue
        If an entry is no pair of a sample and a str, or another argument is invalid.
    UnknownName
        If an option of ``lettering`` is another word.

    Examples
    --------
    >>> drawing = legend([(Pen("blue"), "ferry"), (Pen("red"), "danger")], height=3)
    >>> [pen.name for pen in drawing.pens]
    ['blue', 'pen', 'red']
    """
    tall = checks.positive("height", height, unit="mm")
    wide, high = (4.0 * tall, 1.4 * tall) if sample is None else checks.point("sample", sample)
    checks.positive("sample width", wide, unit="mm")
    checks.positive("sample height", high, unit="mm")
    step = checks.positive("spacing", 2.2 * tall if spacing is None else spacing, unit="mm")
    left, top = checks.point("at", at)
    parts = []
    for number, (what, meaning) in enumerate(_pairs(entries)):
        y = top - high / 2 - number * step
        parts.append(
            _sample(what, shapely.box(left, y - high / 2, left + wide, y + high / 2), number, pen)
        )
        parts.append(
            lettering(
                meaning,
                height=tall,
                at=(left + wide + 1.5 * tall, y),
                anchor="middle left",
                pen=pen,
                **options,
            )
        )
    return Drawing(parts) if parts else Drawing()


def _pairs(entries: Sequence[tuple[Sample, str]]) -> list[tuple[Sample, str]]:
    pairs = []
    for number, entry in enumerate(checks.several("entries", entries, "(sample, text) pairs")):
        if not isinstance(entry, (tuple, list)) or len(entry) != 2:
            raise InvalidValue(
                f"entry {number} of entries must be a pair (sample, text), got {entry!r:.200}",
                name="entries",
            )
        pairs.append((entry[0], checks.string(f"the text of entry {number} of entries", entry[1])))
    return pairs


def _sample(what: Sample, box: Polygon, number: int, pen: Pen | None) -> Drawing:
    left, bottom, right, top = box.bounds
    if isinstance(what, Pen):
        middle = (bottom + top) / 2
        return Drawing([np.array([[left, middle], [right, middle]])], pen=what)
    if isinstance(what, Drawing):
        return what.fitted(box)
    if not callable(what):
        raise InvalidValue(
            f"entry {number} of the legend needs a Pen, a Drawing or a function of a box, got "
            f"{what!r}",
            name="entries",
        )
    return Drawing([what(box), Drawing(box, pen=pen)])
