"""Modulated lines: rows, or one long spiral, that swing the wider and faster the darker it is."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from plotlib import checks
from plotlib.arrays.affine import cosine_sine
from plotlib.checks import Seed
from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue
from plotlib.images.feedback import drawn_in_rounds
from plotlib.images.hatching import chords_of
from plotlib.images.ink import InkModel, as_ink
from plotlib.images.swinging import STEP, Track, swing, swung
from plotlib.images.tone import Tone, as_tone
from plotlib.images.wanted import Wanted, affordable, wanted
from plotlib.pen import Pen, as_pen

_MOST = 20_000_000  # samples along all lines
_APART = 3.0  # pen widths between rows
_CLOSEST = 1.5  # pen widths between rows at least: there is nothing to swing in below
_ROUNDS = 2
_SPARE = 1.12  # spacings that a swing may fill: rows overlap a little where it is black


def modulated_lines(
    tone: Tone,
    *,
    spacing: float | None = None,
    angle: float = 0.0,
    ink: InkModel | None = None,
    seed: Seed = 0,
    pen: Pen | None = None,
) -> Drawing:
    """Parallel lines whose swings follow the tone: straight where it is light, wide and fast where
    it is dark, and broken where it is lighter than a straight line.

    Parameters
    ----------
    tone : Tone
        The picture; the lines stay in its rectangle.
    spacing : float, optional
        The distance in mm between rows, at least 1.5 times the pen's width. When not given: 3
        times.
    angle : float, default 0
        Direction of the rows in degrees.
    ink : InkModel, optional
        The ink model; without it the plain one.
    seed : int or numpy Generator, default 0
        Where lines break in light tones.
    pen : Pen, optional
        The pen; the default pen otherwise.

    Returns
    -------
    Drawing
        Row after row, every second one backwards. The tone of each swing is measured beforehand,
        and it is drawn three times inside, each time corrected by the print before.

    Raises
    ------
    InvalidValue
        If an argument is invalid, or the lines would be looked at in more than 20 million places.

    Examples
    --------
    >>> from plotlib.pen import Pen
    >>> pen = Pen("black", width=0.5)
    >>> light, dark = (modulated_lines(Tone([[t]], (0, 0, 30, 30)), pen=pen) for t in (0.7, 0.3))
    >>> bool(2 * light.length < dark.length)
    True
    """
    picture = as_tone("tone", tone)
    turn = checks.finite("angle", angle)

    def track(asked: Wanted, apart: float, step: float) -> Track:
        return _lines(asked, turn, apart, step)

    return _modulated(picture, spacing, ink, seed, pen, track)


def modulated_spiral(
    tone: Tone,
    *,
    spacing: float | None = None,
    centre: tuple[float, float] | None = None,
    ink: InkModel | None = None,
    seed: Seed = 0,
    pen: Pen | None = None,
) -> Drawing:
    """One spiral whose swings follow the tone, over the whole rectangle; broken where it is lighter
    than a straight line, and at the edges.

    Parameters
    ----------
    tone : Tone
        The picture; the spiral stays in its rectangle.
    spacing : float, optional
        The distance in mm between turns, at least 1.5 times the pen's width. When not given: 3
        times.
    centre : (float, float), optional
        Where the spiral begins, in mm, within the rectangle. When not given: in its middle.
    ink, seed, pen
        As for `modulated_lines`.

    Returns
    -------
    Drawing
        From the centre outwards.

    Raises
    ------
    InvalidValue
        If an argument is invalid, or the spiral would be looked at in more than 20 million places.

    Examples
    --------
    >>> from plotlib.pen import Pen
    >>> pen = Pen("black", width=0.5)
    >>> light, dark = (modulated_spiral(Tone([[t]], (0, 0, 30, 30)), pen=pen) for t in (0.7, 0.3))
    >>> bool(2 * light.length < dark.length)
    True
    """
    picture = as_tone("tone", tone)
    left, bottom, right, top = picture.extent
    middle = ((left + right) / 2, (bottom + top) / 2)
    start = middle if centre is None else checks.point("centre", centre)
    if not (left <= start[0] <= right and bottom <= start[1] <= top):
        raise InvalidValue(
            f"centre ({start[0]:g}, {start[1]:g}) lies outside the tone's rectangle, {left:g} … "
            f"{right:g} by {bottom:g} … {top:g} mm",
            name="centre",
            value=centre,
        )

    def track(asked: Wanted, apart: float, step: float) -> Track:
        return _spiral(asked, start, apart, step)

    return _modulated(picture, spacing, ink, seed, pen, track)


def _modulated(
    tone: Tone,
    spacing: float | None,
    ink: InkModel | None,
    seed: Seed,
    pen: Pen | None,
    track_of: Callable[[Wanted, float, float], Track],
) -> Drawing:
    line = as_pen(pen)
    apart = _APART * line.width
    if spacing is not None:
        apart = checks.positive("spacing", spacing, unit="mm")
        if apart < _CLOSEST * line.width:
            raise InvalidValue(
                f"spacing must be at least {_CLOSEST:g} times the pen's width of {line.width:g} "
                f"mm, got {apart:g}",
                name="spacing",
                value=spacing,
            )
    model = as_ink("ink", ink)
    random = checks.generator(seed)
    step = STEP * line.width
    asked = wanted(tone, model, min(line.width, apart / 4))
    width, height = asked.size
    # the box of a spiral's circle is twice as large
    affordable(2.0 * width * height / (apart * step), _MOST, "samples of lines", tone)
    track = track_of(asked, apart, step)
    swings = swing(line.width, apart, max(0.0, (_SPARE * apart - line.width) / 2))
    state = random.bit_generator.state

    def draw(coverage: Wanted) -> Drawing:
        random.bit_generator.state = state
        return swung(track, coverage, asked, swings, line, random).clipped(
            tone.area, shortest=line.width
        )

    return drawn_in_rounds(draw, asked, _ROUNDS, "swinging lines")


def _lines(asked: Wanted, angle: float, apart: float, step: float) -> Track:
    """Rows as far from the edges as from each other where the angle is right."""
    # an even number of rows fills the rectangle without a margin
    cosine, sine = cosine_sine(angle)
    width, height = asked.size
    reach = (width * abs(sine) + height * abs(cosine)) / 2
    apart = reach / max(1, round(reach / apart))
    number, chords = chords_of(asked, angle, apart)
    lengths = np.hypot(*(chords[:, 1] - chords[:, 0]).T)
    counts = np.maximum(2, np.ceil(lengths / step)).astype(np.int64)
    row = np.repeat(np.arange(len(counts)), counts)
    first = np.cumsum(counts) - counts
    share = (np.arange(len(row)) - first[row]) / (counts[row] - 1)
    way = chords[:, 1] - chords[:, 0]
    points = chords[row, 0] + share[:, None] * way[row]
    unit = way / np.maximum(lengths, 1e-12)[:, None]
    normals = np.stack([-unit[:, 1], unit[:, 0]], axis=1)[row]
    return Track(points, normals, number[row], step)


def _spiral(asked: Wanted, centre: tuple[float, float], apart: float, step: float) -> Track:
    """An Archimedean spiral by even steps of its length, past the farthest corner."""
    left, bottom, right, top = asked.extent
    corners = ((left, bottom), (left, top), (right, bottom), (right, top))
    far = max(math.dist(centre, corner) for corner in corners)
    growth = apart / (2 * math.pi)
    turn = (far + apart) / growth
    length = growth * turn**2 / 2
    # half the square of the angle is the length but for the first turn, where it does no harm
    along = np.arange(0.0, length, step)
    angle = np.sqrt(2 * along / growth)
    radius = growth * angle
    outward = np.stack([np.cos(angle), np.sin(angle)], axis=1)
    points = np.array(centre) + radius[:, None] * outward
    inside = (
        (points[:, 0] >= left - apart)
        & (points[:, 0] <= right + apart)
        & (points[:, 1] >= bottom - apart)
        & (points[:, 1] <= top + apart)
    )
    # a new row wherever the spiral comes back to the paper; thresholds go by turns
    row = (angle / (2 * math.pi)).astype(np.int64)
    return Track(points[inside], outward[inside], row[inside], step)
