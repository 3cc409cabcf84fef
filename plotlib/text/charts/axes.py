"""A labelled linear axis."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import Unpack

import numpy as np

from plotlib import checks
from plotlib.checks import FloatArray
from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue
from plotlib.pen import Pen
from plotlib.text.letters import lettering
from plotlib.text.measuring import measure
from plotlib.text.setting.style import Options


def axis(
    start: tuple[float, float],
    end: tuple[float, float],
    *,
    low: float,
    high: float,
    step: float | None = None,
    side: str = "right",
    tick: float = 2.0,
    height: float = 2.5,
    title: str = "",
    label: Callable[[float], str] | Sequence[str] | None = None,
    pen: Pen | None = None,
    **options: Unpack[Options],
) -> Drawing:
    """A straight axis with ticks, numbers and a title.

    Parameters
    ----------
    start, end : (float, float)
        The ends in mm; ``low`` stands at the start, ``high`` at the end.
    low, high : float
        Values at the ends, in the unit of the axis, different from each other.
    step : float, optional
        Between neighbouring ticks, > 0; a round number (1, 2 or 5 times a power of ten) with 4 to
        10 ticks where it is not given.
    side : {"left", "right"}
        Where ticks and numbers stand, seen from the start; the right of an axis that runs to the
        right is below it.
    tick : float, default 2
        Length of the ticks in mm.
    height : float, default 2.5
        Height of the figures in mm.
    title : str
        Set along the axis beyond the numbers, so that it reads from below or from the left.
    label : callable or sequence of str, optional
        Text for a tick's value, or the texts for all ticks; the figures alone where it is not
        given.
    pen, **options
        As ``lettering`` takes them.

    Returns
    -------
    Drawing
        The line and its ticks, then figures, then the title.

    Raises
    ------
    InvalidValue
        If the ends or the values at them are equal, the step gives more than 1,000 ticks, the
        labels are not as many as the ticks, or another argument is invalid.
    UnknownName
        If ``side`` or an option of ``lettering`` is another word.

    Examples
    --------
    >>> drawing = axis((0, 0), (60, 0), low=0, high=6, step=2, title="hours")
    >>> drawing.bounds[0] < 0 < drawing.bounds[2], drawing.bounds[3]
    (True, 0.0)
    """
    a = np.array(checks.point("start", start))
    b = np.array(checks.point("end", end))
    checks.one_of("side", side, ("left", "right"))
    values = ticks(low, high, step)
    tall = checks.positive("height", height, unit="mm")
    heading = checks.string("title", title)
    length = float(np.hypot(*(b - a)))
    if length == 0.0:
        raise InvalidValue("an axis needs two different ends", name="end")
    along = (b - a) / length
    out = np.array([along[1], -along[0]]) * (1.0 if side == "right" else -1.0)
    feet = a + np.outer((values - low) / (high - low), b - a)
    long = checks.not_negative("tick", tick, unit="mm")
    marks = [np.array([foot, foot + out * long]) for foot in feet] if long > 0 else []
    texts = _texts(values, label)
    gap = long + 0.6 * tall
    parts = [Drawing([np.array([a, b]), *marks], pen=pen)]
    for foot, text in zip(feet, texts, strict=True):
        parts.append(
            lettering(
                text,
                height=tall,
                at=_point(foot + out * gap),
                anchor=_anchor(out),
                pen=pen,
                **options,
            )
        )
    if heading:
        parts.append(
            _title(
                heading,
                (a + b) / 2,
                along,
                out,
                gap + _reach(texts, out, tall, options),
                tall,
                pen,
                options,
            )
        )
    return Drawing(parts)


def ticks(low: float, high: float, step: float | None = None) -> FloatArray:
    """Multiples of ``step`` from ``low`` to ``high``, both included where they are multiples.

    Examples
    --------
    >>> ticks(0, 6.5).tolist(), ticks(1, 0, 0.5).tolist()
    ([0.0, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0], [1.0, 0.5, 0.0])
    """
    first = checks.finite("low", low)
    last = checks.finite("high", high)
    if first == last:
        raise InvalidValue(f"low and high must differ, both are {first:g}", name="high", value=high)
    wide = abs(last - first)
    apart = _round_step(wide) if step is None else checks.positive("step", step)
    if wide / apart > 1000:
        raise InvalidValue(
            f"a step of {apart:g} gives {wide / apart:.0f} ticks; 1000 at most",
            name="step",
            value=step,
        )
    bottom, top = sorted((first, last))
    whole = np.arange(math.ceil(bottom / apart - 1e-9), math.floor(top / apart + 1e-9) + 1)
    values = np.clip(whole * apart, bottom, top) + 0.0
    return np.asarray(values if first < last else values[::-1], np.float64)


def _round_step(wide: float) -> float:
    power = 10.0 ** math.floor(math.log10(wide / 4.0))
    return next((k * power for k in (5.0, 2.0) if wide / (k * power) >= 4.0), power)


def _texts(values: FloatArray, label: Callable[[float], str] | Sequence[str] | None) -> list[str]:
    if label is None:
        places = next(
            (
                k
                for k in range(10)
                if np.allclose(
                    values, np.round(values, k), rtol=0, atol=1e-9 * np.abs(values).max()
                )
            ),
            10,
        )
        return [f"{value:.{places}f}".replace("-", "−") for value in values]
    texts = _labelled(values, label)
    if len(texts) != len(values):
        raise InvalidValue(
            f"the axis has {len(values)} ticks, {len(texts)} labels were given", name="label"
        )
    return texts


def _labelled(values: FloatArray, label: Callable[[float], str] | Sequence[str]) -> list[str]:
    if not callable(label):
        return [checks.string("label", text) for text in checks.several("label", label, "texts")]
    try:
        texts = [label(float(value)) for value in values]
    except TypeError as error:
        raise InvalidValue(
            f"label must be a function of one number; TypeError: {error}", name="label"
        ) from error
    return [checks.string("label", text) for text in texts]


def _anchor(out: FloatArray) -> str:
    """The point of a label that faces the axis."""
    level = _third(out[1], "top", "middle", "bottom")
    side = _third(out[0], "right", "centre", "left")
    return f"{level} {side}"


def _third(share: float, low: str, middle: str, high: str) -> str:
    """Which of three words fits a direction's share, -1 … 1."""
    if share < -0.4:
        return low
    return high if share > 0.4 else middle


def _reach(texts: list[str], out: FloatArray, height: float, options: Options) -> float:
    """How far the labels reach away from where they are anchored."""
    widest = max((measure(text, height=height, **options).advance for text in texts), default=0.0)
    return abs(float(out[0])) * widest + abs(float(out[1])) * height


def _title(
    title: str,
    middle: FloatArray,
    along: FloatArray,
    out: FloatArray,
    away: float,
    height: float,
    pen: Pen | None,
    options: Options,
) -> Drawing:
    angle = math.degrees(math.atan2(along[1], along[0]))
    if not -89.9 < angle <= 90.1:
        angle += 180.0
    up = np.array([-math.sin(math.radians(angle)), math.cos(math.radians(angle))])
    level = "bottom" if float(up @ out) > 0 else "top"
    at = _point(middle + out * (away + height))
    return lettering(
        title, height=height, at=at, angle=angle, anchor=f"{level} centre", pen=pen, **options
    )


def _point(array: FloatArray) -> tuple[float, float]:
    return float(array[0]), float(array[1])
