"""Lettering practice: heights, stroke widths and distances of ISO 3098."""

from __future__ import annotations

import warnings
from dataclasses import dataclass

from plotlib import checks
from plotlib.errors import InvalidValue
from plotlib.pen import Pen, as_pen

HEIGHTS = (1.8, 2.5, 3.5, 5.0, 7.0, 10.0, 14.0, 20.0)
"""Heights of capitals in mm, ISO 3098-0:1997 (read in a secondary text)."""

_PARTS = {"A": 14, "B": 10}  # the stroke is this part of the height
# In parts of the height: small letters, letters apart, words apart, base lines with accents,
# without, capitals only.
# Type B as read in a secondary text; type A from memory.
_DISTANCES = {"A": (10, 2, 6, 25, 21, 17), "B": (7, 2, 6, 19, 15, 13)}
_STEP = 2**0.25  # half a step of the series of line widths, whose ratio is the root of 2


class LetteringWarning(UserWarning):
    """A pen that does not suit the height of the lettering."""


@dataclass(frozen=True)
class Practice:
    """What ISO 3098 asks of lettering of one height; mm.

    Attributes
    ----------
    height : float
        Of capitals; one of ``HEIGHTS``.
    stroke : float
        Width of the line.
    small_letters : float
        Height of small letters without stem.
    letter_gap, word_gap : float
        Free distance between letters and between words.
    leading_accented, leading, leading_capitals : float
        Least distance of base lines: with accents, without, with capitals only.
    slant : float
        Degrees from the upright of the inclined kind.

    Examples
    --------
    >>> practice(7, kind="A").stroke
    0.5
    """

    height: float
    stroke: float
    small_letters: float
    letter_gap: float
    word_gap: float
    leading_accented: float
    leading: float
    leading_capitals: float
    slant: float = 15.0


def practice(least: float, *, kind: str = "B", pen: Pen | None = None) -> Practice:
    """The standard's figures for the smallest standard height that is not below ``least`` mm.

    Parameters
    ----------
    least : float
        The height wanted in mm, at most 20.
    kind : {"A", "B"}
        Type A has strokes of a fourteenth of the height, type B of a tenth.
    pen : Pen, optional
        When given, a pen that suits the height neither as type A nor as type B is warned of.

    Returns
    -------
    Practice
        Height, stroke and distances in mm.

    Raises
    ------
    InvalidValue
        If ``least`` is not positive or exceeds 20, or ``pen`` is no Pen.
    UnknownName
        If ``kind`` is another word.

    Warns
    -----
    LetteringWarning
        For a pen that does not fit: what it is, what would fit.

    Examples
    --------
    >>> figures = practice(3.0)
    >>> figures.height, figures.stroke, figures.leading
    (3.5, 0.35, 5.25)
    """
    checks.one_of("kind", kind, _PARTS)
    wanted = checks.positive("least", least, unit="mm")
    if wanted > HEIGHTS[-1]:
        raise InvalidValue(
            f"the standard's heights end at {HEIGHTS[-1]:g} mm, got {wanted:g}",
            name="least",
            value=wanted,
        )
    height = next(tall for tall in HEIGHTS if tall >= wanted * (1 - 1e-9))
    if pen is not None:
        check_pen(height, pen)
    part = height / _PARTS[kind]
    small, gap, word, *leadings = (round(part * times, 6) for times in _DISTANCES[kind])
    return Practice(height, round(part, 6), small, gap, word, *leadings)


def height_for(pen: Pen, *, kind: str = "B") -> float:
    """The standard height that suits the pen's width best (ISO 3098).

    Parameters
    ----------
    pen : Pen
        Its width decides.
    kind : {"A", "B"}
        Type A has strokes of a fourteenth of the height, type B of a tenth.

    Returns
    -------
    float
        One of ``HEIGHTS``, in mm.

    Raises
    ------
    InvalidValue
        If ``pen`` is no Pen.
    UnknownName
        If ``kind`` is another word.

    Examples
    --------
    >>> height_for(Pen("fine", width=0.35)), height_for(Pen("marker", width=0.8))
    (3.5, 7.0)
    """
    parts = _PARTS[checks.one_of("kind", kind, _PARTS)]
    _given(pen)
    return min(
        HEIGHTS, key=lambda height: max(pen.width * parts / height, height / (pen.width * parts))
    )


def _given(pen: Pen | None) -> None:
    """The default pen is no answer here."""
    if pen is None:
        raise InvalidValue("pen must be a Pen, got None", name="pen")
    as_pen(pen)


def check_pen(height: float, pen: Pen) -> bool:
    """Whether the pen's width suits lettering of this height, as type A or B of ISO 3098; a
    LetteringWarning where it does not.

    Half a step of the series of line widths (a factor of 1.19) is allowed on both sides.

    Parameters
    ----------
    height : float
        Of the capitals in mm, > 0.
    pen : Pen
        The pen for the lettering.

    Returns
    -------
    bool
        True if the pen suits.

    Raises
    ------
    InvalidValue
        If ``height`` is not positive and finite, or ``pen`` is no Pen.

    Examples
    --------
    >>> check_pen(5, Pen("fine", width=0.5))
    True
    """
    tall = checks.positive("height", height, unit="mm")
    _given(pen)
    thin = tall / _PARTS["A"]
    thick = tall / _PARTS["B"]
    if thin / _STEP <= pen.width <= thick * _STEP:
        return True
    problem = "too wide" if pen.width > thick else "too fine"
    warnings.warn(
        f"pen {pen.name!r} of {pen.width:g} mm is {problem} for letters of {tall:g} mm: "
        f"{thin:.2f} (h/14) to {thick:.2f} mm (h/10) suits; "
        f"letter at {height_for(pen):g} mm, or change the pen",
        LetteringWarning,
        stacklevel=2,
    )
    return False
