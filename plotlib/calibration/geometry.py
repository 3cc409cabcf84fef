"""Sheets about where the pen goes: the working area, squareness, backlash, roundness."""

from __future__ import annotations

import numpy as np

from plotlib.calibration.page import TEXT, TITLE, cross, page, words
from plotlib.checks import not_negative, positive
from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue
from plotlib.machine import Machine
from plotlib.pen import Pen, as_pen
from plotlib.shapes import circle, rectangle
from plotlib.sheet import Sheet
from plotlib.text.letters import lettering

_PITCH = 4.0  # mm between the teeth of a comb
_HOOK = 1.5  # mm
_NARROW = 60.0  # mm: a column of text that is narrower becomes too long
_TOOTH = 8.5  # mm; both teeth of a pair stand side by side for the last three
_COMB = 14.0  # mm from end to end of a pair


def border(machine: Machine, *, inset: float = 0.0, pen: Pen | None = None) -> Drawing:
    """The edge of a machine's working area with ticks every 10 mm, in bed mm: whether the carriage
    reaches all of it, and where paper lies.

    Parameters
    ----------
    machine : Machine
        Whose bed it is.
    inset : float, default 0
        How far inside the edge, mm, >= 0.
    pen : Pen, optional
        The pen.

    Returns
    -------
    Drawing

    Raises
    ------
    InvalidValue
        If ``machine`` is no Machine, or the inset leaves nothing.

    Examples
    --------
    >>> from plotlib.machine import Axis, ServoLift
    >>> axis = Axis(9_000)
    >>> lift = ServoLift("M5", "M3 S90")
    >>> machine = Machine(width=200, height=90, x=axis, y=axis, feed=600, lift=lift)
    >>> border(machine).bounds
    (0.0, 0.0, 200.0, 90.0)
    """
    if not isinstance(machine, Machine):
        raise InvalidValue(f"machine must be a Machine, got {machine!r:.100}", name="machine")
    gap = not_negative("inset", inset, unit="mm")
    width = machine.width - 2 * gap
    height = machine.height - 2 * gap
    if min(width, height) < 40:
        raise InvalidValue(
            f"an inset of {gap:g} mm leaves {width:g} x {height:g} mm, and 40 x 40 are needed",
            name="inset",
            value=inset,
        )
    ink = as_pen(pen)
    frame = rectangle((gap, gap), width, height, pen=ink)
    scales = _scale(gap, width, ink) + _scale(gap, height, ink).transformed([[0, 1, 0], [1, 0, 0]])
    return Drawing([frame, scales, *_numbers_of(gap, width, height, ink), _told(machine, gap, ink)])


def _scale(gap: float, length: float, pen: Pen) -> Drawing:
    """Ticks along the lower edge, at whole centimetres of the bed, longer ones every 50 mm."""
    ticks = []
    for place in np.arange(10.0, gap + length, 10.0).tolist():
        deep = 5.0 if place % 50 == 0 else 2.5
        if gap < place < gap + length:
            ticks.append([(place, gap), (place, gap + deep)])
    return Drawing(ticks, pen=pen)


def _numbers_of(gap: float, width: float, height: float, pen: Pen) -> list[Drawing]:
    """The bed's mm at every fifth tick, along the lower and the left edge."""
    parts = []
    for place in np.arange(50.0, gap + max(width, height), 50.0).tolist():
        if gap + 10 < place < gap + width - 10:
            parts.append(words(f"{place:g}", (place, gap + 6), pen, anchor="bottom centre"))
        if gap + 10 < place < gap + height - 10:
            parts.append(words(f"{place:g}", (gap + 6, place), pen, anchor="middle left"))
    return parts


def _told(machine: Machine, gap: float, pen: Pen) -> Drawing:
    """What the frame is, in its middle; on a small bed its size alone."""
    middle = (machine.width / 2, machine.height / 2)
    size = f"{machine.width:g} x {machine.height:g} mm"
    wrap = min(machine.width - 2 * gap - 30, 130.0)
    if wrap < _NARROW:
        return words(size, middle, pen, anchor="middle centre")
    steps = (
        f"This frame is the edge of the bed, {size}, as the machine declares it"
        f"{f', less {gap:g} mm' if gap else ''}; the numbers are bed mm. If the carriage ran "
        f"against its end, or a side is missing, declare a smaller bed or another zero. x must "
        f"count to the right and y upwards: else turn round that axis with reversed. Paper lies "
        f"inside the frame, its lower left corner where the sheet says: Sheet(at=...)."
    )
    left = middle[0] - wrap / 2
    below = lettering(steps, height=TEXT, at=(left, 0), anchor="top left", wrap=wrap, pen=pen)
    head = lettering("Working area", height=TITLE, at=(left, 4), anchor="bottom left", pen=pen)
    both = head + below
    _, low, _, high = both.bounds or (0.0, 0.0, 0.0, 0.0)
    if high - low > machine.height - 2 * gap - 30:
        return words(size, middle, pen, anchor="middle centre")
    return both.moved(0, middle[1] - (low + high) / 2)


def squareness_frame(sheet: Sheet, *, pen: Pen | None = None) -> Drawing:
    """A rectangle to be measured along its sides and diagonals: scale and squareness, for
    ``from_frame``.

    Parameters
    ----------
    sheet : Sheet
        The paper, with 90 x 90 mm of room at least.
    pen : Pen, optional
        A fine pen.

    Returns
    -------
    Drawing
        The asked size stands in it.

    Raises
    ------
    InvalidValue
        If ``sheet`` is no Sheet, turned or too small, or ``pen`` no Pen.

    Examples
    --------
    >>> len(squareness_frame(Sheet.iso("A5"))) > 10
    True
    """
    steps = (
        "Measure from cross to cross: width below and above, height left and right (take the mean "
        "of each pair), then the diagonals AC (rising) and BD (falling). Give all four to "
        "calibration.from_frame, and its answer to calibration.corrected."
    )
    made = page(sheet, "Scale and squareness", steps, pen, least=(90.0, 90.0))
    ink = made.pen
    middle = made.middle
    width = np.floor((made.right - made.left - 14) / 10) * 10
    height = np.floor((made.top - made.bottom - 14) / 10) * 10
    x = middle[0] - width / 2
    y = middle[1] - height / 2
    corners = [(x, y), (x + width, y), (x + width, y + height), (x, y + height)]
    crosses = Drawing([cross(corner, 4.0, ink) for corner in corners])
    asked = f"asked: {width:g} mm wide, {height:g} mm high"
    names = []
    for name, (a, b) in zip("ABCD", corners, strict=True):
        inward = (a + 7 * np.sign(middle[0] - a), b + 7 * np.sign(middle[1] - b))
        names.append(lettering(name, height=4, at=inward, anchor="middle centre", pen=ink))
    sides = rectangle((x, y), width, height, pen=ink)
    told = words(asked, middle, ink, anchor="middle centre")
    return Drawing([made.text, sides, crosses, *names, told])


def backlash_comb(sheet: Sheet, *, step: float = 0.05, pen: Pen | None = None) -> Drawing:
    """Two combs for each axis, one drawn while the axis comes from one side and one from the other:
    the tooth that covers its partner tells the backlash, by the principle of the vernier.

    Parameters
    ----------
    sheet : Sheet
        The paper, with 90 x 90 mm of room at least.
    step : float, default 0.05
        Mm of backlash from tooth to tooth, > 0; at most 1.
    pen : Pen, optional
        A fine pen.

    Returns
    -------
    Drawing

    Raises
    ------
    InvalidValue
        If ``sheet`` is no Sheet, turned or too small, ``step`` is not in its range, or ``pen`` no
        Pen.

    Examples
    --------
    >>> len(backlash_comb(Sheet.iso("A5"))) > 40
    True
    """
    fine = positive("step", step, unit="mm")
    if fine > 1:
        raise InvalidValue(f"step must be at most 1 mm, got {fine:g}", name="step", value=step)
    steps = (
        f"In the middle of each comb two teeth stand side by side. Find the pair that looks like "
        f"one line. Its number times {fine:g} mm is the backlash of that axis: "
        f"Corrections(backlash_x=..., backlash_y=...), for calibration.corrected. If that is pair "
        f"0, there is none; if the last pair is still two lines, draw the sheet with a larger step."
    )
    made = page(sheet, "Backlash", steps, pen, least=(90.0, 90.0))
    ink = made.pen
    x = made.middle[0]
    count = min(12, int(min(made.right - made.left - 40, made.top - made.bottom - 30) / _PITCH))
    comb = _comb(fine, count, ink)
    left = x - count * _PITCH / 2
    high = made.top - _COMB - 6
    across = comb.moved(left, high)
    low = (made.bottom + high - 6 - count * _PITCH) / 2
    # The transpose of the comb for x measures y in the same way.
    up = comb.transformed([[0, 1, x - _COMB / 2], [1, 0, low]])
    places = [k * _PITCH for k in range(count + 1)]
    over = [(left + place, high + _COMB + 1) for place in places]
    beside = [(x + _COMB / 2 + 2, low + place) for place in places]
    titles = [
        words("x axis", (left - 6, high + _COMB / 2), ink, anchor="middle right"),
        words("y axis", (left - 6, low + count * _PITCH / 2), ink, anchor="middle right"),
    ]
    names = [*_numbers(over, "bottom centre", ink), *_numbers(beside, "middle left", ink)]
    return Drawing([made.text, across, up, *names, *titles])


def _comb(step: float, count: int, pen: Pen) -> Drawing:
    """Upper teeth are reached from the left and lower ones from the right, whichever end of them is
    drawn first: a hook at both ends comes from that side, off the part that is read.
    """
    teeth = []
    foot = _COMB - _TOOTH
    for k in range(count + 1):
        x = k * _PITCH
        y = x - k * step
        teeth.append([(x - _HOOK, _COMB), (x, _COMB), (x, foot), (x - _HOOK, foot)])
        teeth.append([(y + _HOOK, _TOOTH), (y, _TOOTH), (y, 0.0), (y + _HOOK, 0.0)])
    return Drawing(teeth, pen=pen)


def _numbers(places: list[tuple[float, float]], anchor: str, pen: Pen) -> list[Drawing]:
    """Every second tooth has its number beside it."""
    return [words(str(k), places[k], pen, anchor=anchor) for k in range(0, len(places), 2)]


def roundness(sheet: Sheet, *, pen: Pen | None = None) -> Drawing:
    """A circle in a square, with its diameters: what is not round or not closed shows at once.

    Parameters
    ----------
    sheet : Sheet
        The paper, with 60 x 60 mm of room at least.
    pen : Pen, optional
        The pen.

    Returns
    -------
    Drawing

    Raises
    ------
    InvalidValue
        If ``sheet`` is no Sheet, turned or too small, or ``pen`` no Pen.

    Examples
    --------
    >>> len(roundness(Sheet.iso("A6"))) > 10
    True
    """
    steps = (
        "Measure the circle from tick to tick along the four ways: all alike is round. Longest and "
        "shortest at 45 degrees: the axes are not square. Flats at top, bottom, left and right: "
        "backlash. A gap where it closes: the pen is slow to go down, or slack."
    )
    made = page(sheet, "Circle and square", steps, pen, least=(60.0, 60.0))
    ink = made.pen
    radius = np.floor((min(made.right - made.left, made.top - made.bottom) - 14) / 10) * 5
    x, y = made.middle
    square = rectangle((x - radius, y - radius), 2 * radius, 2 * radius, pen=ink)
    spokes = []
    for angle in np.radians(np.arange(0, 360, 45)).tolist():
        way = np.array([np.cos(angle), np.sin(angle)])
        spokes.append([made.middle + way * (radius - 4), made.middle + way * (radius + 4)])
    size = words(f"asked: {2 * radius:g} mm across", made.middle, ink, anchor="middle centre")
    ring = circle(made.middle, radius, pen=ink)
    return Drawing([made.text, square, ring, Drawing(spokes, pen=ink), size])
