"""Sheets about the pen: how it is lifted, how fast and how wide it draws, how its tones come out,
where the next pen lies.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely

from plotlib.calibration.page import page, words
from plotlib.checks import positive, rate, several
from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue
from plotlib.fills import hatch
from plotlib.machine import Lift, Machine
from plotlib.pen import Pen, as_pen
from plotlib.planning.plan import plan
from plotlib.planning.plot import Plot
from plotlib.shapes import circle, rectangle
from plotlib.sheet import Sheet

_ROW = 9.0  # mm from row to row
_TARGET = 27.0  # mm from target to target
_RUNG = 11.0  # mm from lift to lift
_LONGEST = 40  # characters over a row
_MOST = 40


def lift_ladder(
    machine: Machine, lifts: Sequence[Lift], *, sheet: Sheet, pen: Pen | None = None
) -> tuple[Plot, ...]:
    """Rows of short strokes, each row with another lift, as one plot for each: send them one after
    another on the same paper; the first row without tails is the least lift that is clean.

    Parameters
    ----------
    machine : Machine
        The machine; its own lift is replaced.
    lifts : sequence of Lift
        From the least to the most: other heights, words or settle times; 1 to 40.
    sheet : Sheet
        The paper, with 80 mm of width, and 11 mm of height for each row and 34 besides, at least.
    pen : Pen, optional
        The pen.

    Returns
    -------
    tuple of Plot
        One for each lift, planned in its own machine; all lettering is in the last one.

    Raises
    ------
    InvalidValue
        If an argument is of another kind, or the rows do not fit.
    OutsideEnvelope
        If the sheet does not lie on the bed.

    Examples
    --------
    >>> from plotlib.machine import Axis, ServoLift
    >>> axis = Axis(9_000)
    >>> lifts = [ServoLift("M5", "M3 S90", settle_up=time) for time in (0.05, 0.1, 0.2)]
    >>> machine = Machine(width=200, height=220, x=axis, y=axis, feed=600, lift=lifts[0])
    >>> [plot.machine.lift.settle_up for plot in lift_ladder(machine, lifts, sheet=Sheet(150, 120))]
    [0.05, 0.1, 0.2]
    """
    if not isinstance(machine, Machine):
        raise InvalidValue(f"machine must be a Machine, got {machine!r:.100}", name="machine")
    rungs = several("lifts", lifts, "lifts")
    if not 1 <= len(rungs) <= _MOST or not all(isinstance(lift, Lift) for lift in rungs):
        raise InvalidValue(f"lifts must be 1 to {_MOST} lifts, got {lifts!r:.100}", name="lifts")
    ink = replace(as_pen(pen), lift=None)  # a lift of its own would win on every rung
    steps = (
        "Each row is drawn with the lift that stands over it, one file after another. Tails from "
        "stroke to stroke: the pen is not up yet when the carriage leaves. Strokes without their "
        "lower end: it is not down yet when they begin. The first row with neither is the least "
        "lift that is clean: Machine(lift=...)."
    )
    made = page(sheet, "Lifts", steps, ink, least=(80.0, 34.0 + _RUNG * len(rungs)))
    strokes = np.arange(made.left + 3, made.right - 3, 3.0).tolist()
    heights = [made.top - 6 - row * _RUNG for row in range(len(rungs))]
    names = [
        words(name, (made.left, y + 3.7), ink, anchor="bottom left")
        for name, y in zip(_told(rungs), heights, strict=True)
    ]
    plots = []
    for row, (y, lift) in enumerate(zip(heights, rungs, strict=True)):
        drawing = Drawing([[(x, y - 2), (x, y + 2)] for x in strokes], pen=ink)
        if row == len(rungs) - 1:  # all lettering by the lift that should be clean
            drawing = Drawing([drawing, made.text, *names])
        plots.append(plan(drawing, replace(machine, lift=lift), sheet=sheet, keep_order=True))
    return tuple(plots)


def _told(lifts: Sequence[Lift]) -> list[str]:
    """For each lift its number and what it has unlike the others, in the words of its profile."""
    tables = [lift.entry() for lift in lifts]
    keys = [key for table in tables for key in table]
    unlike = [
        key
        for key in dict.fromkeys(keys)
        if any(table.get(key) != tables[0].get(key) for table in tables)
    ]
    told = []
    for number, table in enumerate(tables, 1):
        facts = [f"{key}={table[key]}" for key in unlike if key in table]
        line = f"{number}: {', '.join(facts)}" if facts else str(number)
        told.append(line if len(line) <= _LONGEST else f"{line[: _LONGEST - 3]}...")
    return told


def feed_ladder(sheet: Sheet, feeds: Sequence[float], *, pen: Pen | None = None) -> Drawing:
    """Rows of the same zigzag, each at another feed: where ink starves or steps are lost.

    Parameters
    ----------
    sheet : Sheet
        The paper, with 80 mm of width, and 9 mm of height for each row and 34 besides, at least.
    feeds : sequence of float
        In mm/min, 1 to 40 of them.
    pen : Pen, optional
        The pen; each row is drawn by it at a feed of its own.

    Returns
    -------
    Drawing
        The plot stops between the rows for a "pen" of each feed: leave it in.

    Raises
    ------
    InvalidValue
        If a feed is not positive, the rows do not fit, or an argument is of another kind.

    Examples
    --------
    >>> ladder = feed_ladder(Sheet.iso("A5"), [1_000, 2_000, 4_000])
    >>> [pen.feed for pen in ladder.pens]
    [1000.0, 2000.0, 4000.0]
    """
    given = several("feeds", feeds, "feeds")
    wanted = [rate(f"feeds[{number}]", feed) for number, feed in enumerate(given)]
    if not 1 <= len(wanted) <= _MOST:
        raise InvalidValue(f"feeds must be 1 to {_MOST} feeds, got {len(wanted)}", name="feeds")
    ink = as_pen(pen)
    pens = [
        replace(ink, name=f"{ink.name} at {feed:g} mm/min, row {row}", feed=feed)
        for row, feed in enumerate(wanted, 1)
    ]
    steps = (
        "Each row is drawn at the feed beside it, in mm/min; leave the pen in at every stop. It "
        "begins with the upper half of the mark on its left, goes to the right in waves, straight "
        "back, and ends with the lower half. Take the last feed whose line is nowhere thin or "
        "broken and whose mark is one straight line: where its halves are apart, steps were lost."
    )
    least = (80.0, 34.0 + _ROW * len(wanted))
    made = page(sheet, "Feeds", steps, pens[0], least=least)
    rows = [made.text]
    for row, own in enumerate(pens):
        y = made.top - 4 - row * _ROW
        rows.append(words(f"{own.feed:g}", (made.left, y), own, anchor="middle left"))
        x = np.arange(made.left + 16, made.right - 2, 2.5)
        wave = np.column_stack([x, y + np.where(np.arange(len(x)) % 2, -2.0, 2.0)])
        back = [(x[-1], y), (x[0], y), (x[0], y - 3.5)]
        rows.append(Drawing([[(x[0], y + 3.5), (x[0], y), *wave[1:], *back]], pen=own))
    return Drawing(rows)


def width_wedge(sheet: Sheet, *, step: float = 0.05, pen: Pen | None = None) -> Drawing:
    """Pairs of lines that come nearer to each other: where the white between them closes, their
    distance is the width of the pen.

    Parameters
    ----------
    sheet : Sheet
        The paper, with 90 x 60 mm of room at least.
    step : float, default 0.05
        Mm by which the distance grows from pair to pair, > 0.
    pen : Pen, optional
        The pen to be measured.

    Returns
    -------
    Drawing

    Raises
    ------
    InvalidValue
        If ``sheet`` is no Sheet, turned or too small, ``step`` is not from 0.01 to 0.5, or ``pen``
        no Pen.

    Examples
    --------
    >>> len(width_wedge(Sheet.iso("A6", landscape=True))) > 40
    True
    """
    fine = positive("step", step, unit="mm")
    if not 0.01 <= fine <= 0.5:
        raise InvalidValue(f"step must be 0.01 to 0.5 mm, got {fine:g}", name="step", value=step)
    steps = (
        "Find the first pair with white between its lines. The pen is as wide as the number below "
        "the pair before it, in mm: Pen(width=...). If the last pair is still one line, draw the "
        "sheet with a larger step."
    )
    made = page(sheet, "Width of the pen", steps, pen, least=(90.0, 60.0))
    ink = made.pen
    top = made.top
    count = int((made.right - made.left - 4) / 9)
    high = min(top - made.bottom - 6, 30.0)
    parts = [made.text]
    for k in range(1, count + 1):
        x = made.left + 4.5 + (k - 1) * 9
        gap = k * fine
        pair = [[(x, top), (x, top - high)], [(x + gap, top - high), (x + gap, top)]]
        parts.append(Drawing(pair, pen=ink))
        parts.append(words(f"{gap:.2f}", (x + gap / 2, top - high - 2), ink))
    return Drawing(parts)


def tone_ramp(
    sheet: Sheet,
    *,
    spacings: Sequence[float] = (2.4, 1.6, 1.2, 0.9, 0.7, 0.5, 0.4, 0.3),
    pen: Pen | None = None,
) -> Drawing:
    """Fields of hatching from wide to narrow, with the spacing of each: which one is a full black,
    and which grey each gives (photograph or scan it for the ink curve of ``plotlib.images``).

    Parameters
    ----------
    sheet : Sheet
        The paper, with 90 x 60 mm of room at least.
    spacings : sequence of float
        In mm, 1 to 40 of them.
    pen : Pen, optional
        The pen.

    Returns
    -------
    Drawing

    Raises
    ------
    InvalidValue
        If ``sheet`` is no Sheet, turned or too small, a spacing is not from 0.05 to 20, or ``pen``
        no Pen.

    Examples
    --------
    >>> len(tone_ramp(Sheet.iso("A5", landscape=True))) > 100
    True
    """
    wide = [positive("spacings", item, unit="mm") for item in several("spacings", spacings, "mm")]
    if not 1 <= len(wide) <= _MOST or not all(0.05 <= item <= 20 for item in wide):
        raise InvalidValue(
            f"spacings must be 1 to {_MOST} of 0.05 to 20 mm, got {wide!r:.100}", name="spacings"
        )
    steps = (
        "The widest spacing without white between its lines is that of a solid black. Read each "
        "field's grey beside a printed scale, or photograph the sheet, for the ink curve."
    )
    made = page(sheet, "Spacing and tone", steps, pen, least=(90.0, 60.0))
    columns = min(len(wide), 4)
    rows = -(-len(wide) // columns)
    across = (made.right - made.left) / columns
    up = (made.top - made.bottom) / rows
    parts = [made.text]
    for number, spacing in enumerate(wide):
        row, column = divmod(number, columns)
        x = made.left + column * across
        y = made.top - (row + 1) * up
        field = shapely.box(x + 1.5, y + 7, x + across - 1.5, y + up - 1)
        parts.append(hatch(field, spacing=spacing, angle=45, pen=made.pen))
        parts.append(words(f"{spacing:g} mm", (x + across / 2, y + 5), made.pen))
    return Drawing(parts)


def offset_cross(sheet: Sheet, pens: Sequence[Pen]) -> Drawing:
    """A target drawn by the first pen, and a cross by each other one, with a ruler beside: how far
    each pen's line lies off that of the first.

    Parameters
    ----------
    sheet : Sheet
        The paper, with 60 mm of width, 27 mm of height for each pen but the first, and 40
        mm besides.
    pens : sequence of Pen
        Two or more, all of different names; at most 8.

    Returns
    -------
    Drawing

    Raises
    ------
    InvalidValue
        If ``sheet`` is no Sheet, turned or too small, or ``pens`` are not 2 to 8 Pens.

    Examples
    --------
    >>> len(offset_cross(Sheet.iso("A5"), [Pen("black"), Pen("red")]).pens)
    2
    """
    given = several("pens", pens, "pens")
    is_pens = all(isinstance(pen, Pen) for pen in given)
    if not 2 <= len(given) <= 8 or not is_pens or len({pen.name for pen in given}) < len(given):
        raise InvalidValue(f"pens must be 2 to 8 different Pens, got {pens!r:.100}", name="pens")
    first = given[0]
    steps = (
        "Each target is drawn by the first pen, the long cross by the pen beside it. Read on the "
        "scales how many mm the cross lies to the right (left: minus) and above (below: minus). "
        "That is the offset of the pen: Pen(offset=(right, above))."
    )
    least = (60.0, 40.0 + _TARGET * (len(given) - 1))
    made = page(sheet, "Offsets of pens", steps, first, least=least)
    parts = [made.text]
    x = made.middle[0]
    for row, pen in enumerate(given[1:]):
        y = made.top - 14 - _TARGET * row
        parts.append(_target((x, y), first))
        arms = [[(x - 10, y), (x + 10, y)], [(x, y - 10), (x, y + 10)]]
        parts.append(Drawing(arms, pen=pen))
        parts.append(words(pen.name, (x - 16, y), pen, anchor="middle right"))
    return Drawing(parts)


def _target(at: tuple[float, float], pen: Pen) -> Drawing:
    """A square of 16 mm with ticks of 0.5 mm along two of its sides, numbered outside, and a small
    ring in the middle.
    """
    x, y = at
    ticks = []
    for k in range(-8, 9):
        deep = 2.4 if k % 4 == 0 else 1.2
        place = k * 0.5
        ticks.append([(x + place, y + 8), (x + place, y + 8 - deep)])
        ticks.append([(x - 8, y + place), (x - 8 + deep, y + place)])
    numbers = []
    for place in (-4, 4):
        numbers.append(words(f"{place:+}", (x + place, y + 9), pen, anchor="bottom centre"))
        numbers.append(words(f"{place:+}", (x - 9, y + place), pen, anchor="middle right"))
    box = rectangle((x - 8, y - 8), 16, 16, pen=pen)
    return Drawing([box, Drawing(ticks, pen=pen), circle(at, 1.0, pen=pen), *numbers])
