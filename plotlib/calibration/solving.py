"""From readings to corrections: two sides and two diagonals, or marks by least squares.

In a parallelogram with the sides w and h and the diagonals d1 and d2 (d1 from the lower left), the
cosine law gives cos(angle between the sides) = (d1² - d2²) / (4 w h), and d1² + d2² = 2 (w² + h²),
which tells a misreading. The affine map of marks is split into a turn, which is how the paper lies,
and a triangular matrix (QR decomposition): two scales and a skew.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from plotlib.checks import FloatArray, points, positive
from plotlib.errors import InvalidValue
from plotlib.machine import Corrections, HeightMap, Machine

_MISREAD = 1.0  # mm: a diagonal that disagrees with the sides by more was read wrongly


@dataclass(frozen=True)
class Fit:
    """What marks say.

    Attributes
    ----------
    corrections : Corrections
        Scales and skew.
    turn : float
        Degrees by which the paper lay turned, counter-clockwise; of no matter to the machine.
    shift : (float, float)
        Mm by which it lay displaced.
    residual : float
        Root of the mean square of what is left at the marks, in mm: the reading error.
    """

    corrections: Corrections
    turn: float
    shift: tuple[float, float]
    residual: float


def from_frame(
    width: float,
    height: float,
    *,
    measured_width: float,
    measured_height: float,
    rising: float,
    falling: float,
) -> Corrections:
    """Scales and skew from a rectangle that was drawn, by a ruler alone.

    Parameters
    ----------
    width, height : float
        What was asked for, mm.
    measured_width, measured_height : float
        What the ruler says in mm, each the mean of both sides.
    rising, falling : float
        The diagonals from the lower left and from the upper left corner, mm.

    Returns
    -------
    Corrections
        To put into the machine by ``corrected``.

    Raises
    ------
    InvalidValue
        If a length is not positive, or the diagonals do not belong to the sides: then something was
        misread.

    Examples
    --------
    >>> made = from_frame(
    ...     100, 100, measured_width=100, measured_height=100, rising=142.0, falling=140.8
    ... )
    >>> round(made.skew, 3)
    0.486
    """
    asked = [positive(n, v, unit="mm") for n, v in (("width", width), ("height", height))]
    w = positive("measured_width", measured_width, unit="mm")
    h = positive("measured_height", measured_height, unit="mm")
    d1 = positive("rising", rising, unit="mm")
    d2 = positive("falling", falling, unit="mm")
    mean = math.sqrt((d1 * d1 + d2 * d2) / 2)
    off = mean - math.hypot(w, h)
    if abs(off) > _MISREAD:
        raise InvalidValue(
            f"the diagonals are {off:+.2f} mm from what the sides make them "
            f"({math.hypot(w, h):.2f} mm in the mean); read rising, falling, measured_width and "
            f"measured_height again",
            name="rising",
            excess=off,
        )
    lean = (d1 * d1 - d2 * d2) / (4 * w * h)
    skew = math.degrees(math.asin(max(-1.0, min(1.0, lean))))
    return _corrections(
        w / asked[0], h / asked[1], skew, "measured_width or measured_height, width or height"
    )


def from_marks(wanted: ArrayLike, measured: ArrayLike) -> Fit:
    """Scales and skew from three or more marks, by least squares.

    Parameters
    ----------
    wanted : array-like (n, 2)
        Where the marks should be, mm; not all on one line.
    measured : array-like (n, 2)
        Where they are, from any corner of the paper, however it lies.

    Returns
    -------
    Fit

    Raises
    ------
    InvalidValue
        If there are fewer than three marks, not as many of one as of the other, or they lie on one
        line.

    Examples
    --------
    >>> marks = [(10, 10), (190, 10), (190, 140), (10, 140)]
    >>> fit = from_marks(marks, [(10.4, 9.8), (192.2, 9.4), (192.9, 138.7), (11.0, 139.2)])
    >>> round(fit.corrections.scale_x, 3)
    1.01
    """
    before = points("wanted", wanted, least=3)
    after = points("measured", measured, least=3)
    if len(before) != len(after):
        raise InvalidValue(
            f"measured must have a place for each of the {len(before)} wanted ones, got "
            f"{len(after)}",
            name="measured",
        )
    table = np.column_stack([before, np.ones(len(before))])
    if np.linalg.matrix_rank(table - table.mean(axis=0) * [1, 1, 0]) < 3:
        raise InvalidValue(
            "the wanted marks lie on one line; take them all over the bed", name="wanted"
        )
    solution = np.linalg.lstsq(table, after, rcond=None)[0]
    linear = solution[:2].T
    left = after - table @ solution
    scale_x, scale_y, skew, turn = _split(linear)
    x, y = solution[2].tolist()
    made = _corrections(scale_x, scale_y, skew, "measured")
    return Fit(made, turn, (x, y), float(np.sqrt((left**2).sum() / len(left))))


def corrected(machine: Machine, corrections: Corrections | HeightMap) -> Machine:
    """A machine with what was found on a sheet that it has drawn as it was before.

    Parameters
    ----------
    machine : Machine
        As it drew the sheet; corrections and a height map that it had already are kept and
        improved.
    corrections : Corrections or HeightMap
        From ``from_frame`` or ``from_marks``, or with a backlash read from a comb; or from
        ``from_heights``.

    Returns
    -------
    Machine

    Raises
    ------
    InvalidValue
        If an argument is of another kind, the corrections are too large together, or the lift
        cannot follow the map.

    Examples
    --------
    >>> from plotlib.machine import Axis, ServoLift
    >>> axis = Axis(9_000)
    >>> lift = ServoLift("M5", "M3 S90")
    >>> machine = Machine(width=200, height=90, x=axis, y=axis, feed=600, lift=lift)
    >>> better = corrected(machine, Corrections(scale_x=1.01))
    >>> corrected(better, Corrections(scale_x=0.99)).corrections.scale_x
    0.9999
    """
    if not isinstance(machine, Machine):
        raise InvalidValue(f"machine must be a Machine, got {machine!r:.100}", name="machine")
    if isinstance(corrections, HeightMap):
        old_map = machine.height_map
        bed = corrections if old_map is None else old_map.plus(corrections)
        return replace(machine, height_map=bed)
    if not isinstance(corrections, Corrections):
        raise InvalidValue(
            f"corrections must be Corrections or a HeightMap, got {corrections!r:.100}",
            name="corrections",
        )
    old = machine.corrections or Corrections()
    scale_x, scale_y, skew, _ = _split(np.array(corrections.matrix) @ np.array(old.matrix))
    both = _corrections(scale_x, scale_y, skew, "corrections")
    with_play = replace(
        both,
        backlash_x=old.backlash_x + corrections.backlash_x,
        backlash_y=old.backlash_y + corrections.backlash_y,
    )
    return replace(machine, corrections=with_play)


def _corrections(scale_x: float, scale_y: float, skew: float, name: str) -> Corrections:
    try:
        return Corrections(scale_x=scale_x, scale_y=scale_y, skew=skew)
    except InvalidValue as error:
        raise InvalidValue(
            f"{name}: {error}; this is no fault of a machine, read again", name=name
        ) from error


def _split(linear: Any) -> tuple[float, float, float, float]:
    """Scale along x, along y, skew and turn (degrees) of a linear map."""
    first: FloatArray = np.asarray(linear)[:, 0]
    second: FloatArray = np.asarray(linear)[:, 1]
    scale_x = math.hypot(*first)
    scale_y = math.hypot(*second)
    area = float(first[0] * second[1] - first[1] * second[0])
    lean = math.degrees(math.atan2(float(first @ second), area))
    return scale_x, scale_y, lean, math.degrees(math.atan2(first[1], first[0]))
