"""Sheets about where the pen goes: the working area, squareness, backlash, roundness, flatness."""

from __future__ import annotations

import numpy as np

from plotlib.calibration.page import as_sheet, page, words
from plotlib.checks import not_negative, positive, whole
from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue
from plotlib.machine import Machine
from plotlib.pen import Pen, as_pen
from plotlib.shapes import circle, lines, rectangle
from plotlib.sheet import Sheet
from plotlib.text.letters import lettering

_PITCH = 4.0  # mm between the teeth of a comb
_HOOK = 1.5  # mm


def border(machine: Machine, *, inset: float = 0.0, pen: Pen | None = None) -> Drawing:
    """The edge of a machine's working area with ticks every 10 mm, in bed mm: where paper must lie.

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
    ticks = []
    for place in np.arange(10.0, max(width, height), 10.0).tolist():
        deep = 4.0 if round(place) % 50 == 0 else 2.0
        if place < width:
            ticks.append([(gap + place, gap), (gap + place, gap + deep)])
        if place < height:
            ticks.append([(gap, gap + place), (gap + deep, gap + place)])
    size = f"working area {machine.width:g} x {machine.height:g} mm, zero of this frame lower left"
    text = lettering(size, height=2.2, at=(gap + 7, gap + 7), wrap=width - 14, pen=ink)
    return rectangle((gap, gap), width, height, pen=ink) + Drawing(ticks, pen=ink) + text


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
        If ``sheet`` is no Sheet or too small, or ``pen`` no Pen.

    Examples
    --------
    >>> len(squareness_frame(Sheet.iso("A5"))) > 10
    True
    """
    paper = as_sheet(sheet, least=(90.0, 90.0))
    ink = as_pen(pen)
    steps = (
        "Measure from cross to cross: width below and above, height left and right (take the mean "
        "of each pair), then the diagonals AC (rising) and BD (falling). Give all four to "
        "calibration.from_frame, and its answer to calibration.corrected."
    )
    text, room = page(paper, "Scale and squareness", steps, ink)
    left, bottom, right, top = room.bounds
    width = np.floor((right - left - 14) / 10) * 10
    height = np.floor((top - bottom - 14) / 10) * 10
    x = (left + right - width) / 2
    y = (bottom + top - height) / 2
    corners = [(x, y), (x + width, y), (x + width, y + height), (x, y + height)]
    crosses = Drawing([_cross(corner, 4.0, ink) for corner in corners])
    middle = (x + width / 2, y + height / 2)
    asked = f"asked: {width:g} mm wide, {height:g} mm high"
    names = []
    for name, (a, b) in zip("ABCD", corners, strict=True):
        inward = (a + 7 * np.sign(middle[0] - a), b + 7 * np.sign(middle[1] - b))
        names.append(lettering(name, height=4, at=inward, anchor="middle centre", pen=ink))
    sides = rectangle((x, y), width, height, pen=ink)
    return Drawing([text, sides, crosses, *names, words(asked, middle, ink, anchor="middle")])


def backlash_comb(sheet: Sheet, *, step: float = 0.05, pen: Pen | None = None) -> Drawing:
    """Two combs for each axis, one drawn while the axis comes from one side and one from the other:
    the tooth that meets its partner tells the backlash, by the principle of the vernier.

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
        If ``sheet`` is no Sheet or too small, ``step`` is not in its range, or ``pen`` no Pen.

    Examples
    --------
    >>> len(backlash_comb(Sheet.iso("A5"))) > 40
    True
    """
    paper = as_sheet(sheet, least=(90.0, 90.0))
    fine = positive("step", step, unit="mm")
    if fine > 1:
        raise InvalidValue(f"step must be at most 1 mm, got {fine:g}", name="step", value=step)
    ink = as_pen(pen)
    steps = (
        f"On each comb find the tooth that stands exactly on its partner. Its number times "
        f"{fine:g} mm is the backlash of that axis: Corrections(backlash_x=..., backlash_y=...). "
        f"Tooth 0 meets where there is none."
    )
    text, room = page(paper, "Backlash", steps, ink)
    left, bottom, right, top = room.bounds
    count = min(12, int((min(right - left - 40, top - bottom - 30)) / _PITCH))
    comb = _comb(fine, count, ink)
    x = (left + right - count * _PITCH) / 2
    y = (bottom + top - 24 - count * _PITCH) / 2
    across = comb.moved(x, top - 20)
    # The transpose of the comb for x measures y in the same way.
    up = comb.transformed([[0, 1, x + 14], [1, 0, y]])
    names = _numbers([(x + k * _PITCH, top - 4) for k in range(count + 1)], "bottom", ink)
    beside = _numbers([(x + 33, y + k * _PITCH) for k in range(count + 1)], "middle", ink)
    titles = lettering("x axis", height=3, at=(left, top - 15), pen=ink) + lettering(
        "y axis", height=3, at=(left, y + count * _PITCH / 2), pen=ink
    )
    return Drawing([text, across, up, *names, *beside, titles])


def _comb(step: float, count: int, pen: Pen) -> Drawing:
    """Upper teeth are reached from the left and lower ones from the right, whichever end of them is
    drawn first: a hook at both ends comes from that side.
    """
    teeth = []
    for k in range(count + 1):
        x = k * _PITCH
        y = x - k * step
        teeth.append([(x - _HOOK, 14.0), (x, 14.0), (x, 7.0), (x - _HOOK, 7.0)])
        teeth.append([(y + _HOOK, 7.0), (y, 7.0), (y, 0.0), (y + _HOOK, 0.0)])
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
        If ``sheet`` is no Sheet or too small, or ``pen`` no Pen.

    Examples
    --------
    >>> len(roundness(Sheet.iso("A6"))) > 10
    True
    """
    paper = as_sheet(sheet, least=(60.0, 60.0))
    ink = as_pen(pen)
    steps = (
        "Measure the circle along the four lines: all alike is round. Longest and shortest at 45 "
        "degrees: the axes are not square. Flats at top, bottom, left and right: backlash. A gap "
        "where it closes: the pen is slow to go down, or slack."
    )
    text, room = page(paper, "Circle and square", steps, ink)
    left, bottom, right, top = room.bounds
    radius = np.floor((min(right - left, top - bottom) - 14) / 10) * 5
    middle = ((left + right) / 2, (bottom + top) / 2)
    x, y = middle
    square = rectangle((x - radius, y - radius), 2 * radius, 2 * radius, pen=ink)
    ends = np.radians([0, 45, 90, 135])
    spokes = []
    for angle in ends.tolist():
        way = np.array([np.cos(angle), np.sin(angle)])
        for sign in (1, -1):
            spokes.append([middle + sign * way * (radius - 4), middle + sign * way * (radius + 4)])
    size = words(f"asked: {2 * radius:g} mm", middle, ink, anchor="middle")
    return Drawing([text, square, circle(middle, radius, pen=ink), Drawing(spokes, pen=ink), size])


def flatness_grid(
    sheet: Sheet, *, columns: int = 5, rows: int = 5, pen: Pen | None = None
) -> Drawing:
    """Small crosses all over the sheet: where they are faint or missing, the bed is low.

    Parameters
    ----------
    sheet : Sheet
        The paper, with 80 x 80 mm of room at least.
    columns, rows : int, default 5
        How many crosses, 2 to 20 each.
    pen : Pen, optional
        The pen.

    Returns
    -------
    Drawing

    Raises
    ------
    InvalidValue
        If ``sheet`` is no Sheet or too small, a count is not in its range, or ``pen`` no Pen.

    Examples
    --------
    >>> len(flatness_grid(Sheet.iso("A5"))) > 50
    True
    """
    paper = as_sheet(sheet, least=(80.0, 80.0))
    across = whole("columns", columns, low=2, high=20)
    up = whole("rows", rows, low=2, high=20)
    ink = as_pen(pen)
    steps = (
        "Set the pen so that it just draws in the middle. Where a cross is faint or missing the "
        "bed is low there: lay paper below the corner, or lower the pen until all are drawn."
    )
    text, room = page(paper, "Flatness", steps, ink)
    left, bottom, right, top = room.bounds
    parts = [text]
    for column, x in enumerate(np.linspace(left + 6, right - 6, across).tolist()):
        for row, y in enumerate(np.linspace(bottom + 8, top - 6, up).tolist()):
            parts.append(_cross((x, y), 3.0, ink))
            name = f"{chr(ord('A') + column)}{row + 1}"
            parts.append(words(name, (x, y - 4), ink))
    return Drawing(parts)


def _cross(at: tuple[float, float], arm: float, pen: Pen) -> Drawing:
    x, y = at
    ends = [[(x - arm, y), (x + arm, y)], [(x, y - arm), (x, y + arm)]]
    return lines([end[0] for end in ends], [end[1] for end in ends], pen=pen)
