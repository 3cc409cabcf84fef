"""Where the bed is high and where it is low: two sheets, and the height map of their readings.

Both sheets have the same places, named like the squares of a chessboard: columns A, B, C … from the
left and rows 1, 2, 3 … from below.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from plotlib.calibration.page import Page, as_sheet, cross, page, words
from plotlib.checks import FloatArray, between, several, whole
from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue
from plotlib.machine import HeightMap, Lift, Machine
from plotlib.machine.lifts import Heights
from plotlib.pen import Pen, as_pen
from plotlib.planning.plan import plan
from plotlib.planning.plot import Plot
from plotlib.sheet import Sheet

_SIDE = 12.0  # mm from the margin to the outermost places
_HEAD = 14.0  # mm of the title
_FOOT = 32.0  # mm of the lettering below and of the lowest names
_LEAST = (80.0, 80.0)
_MOST = 20  # places along a side
_TICK = 2.5  # mm from tick to tick of a ladder
_HIGH = 4.0  # mm
_STEPS = (0.4, 0.3, 0.2, 0.1, 0.0, -0.1, -0.2, -0.3, -0.4)


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
        If ``sheet`` is no Sheet, turned or too small, a count is not in its range, or ``pen`` no
        Pen.

    Examples
    --------
    >>> len(flatness_grid(Sheet.iso("A5"))) > 50
    True
    """
    steps = (
        "Set the pen so that it just draws in the middle. Where a cross is faint or missing the "
        "bed is low there: lay paper below the corner, or lower the pen until all are drawn. With "
        "a lift along Z the pen can follow the bed instead: draw calibration.height_ladder."
    )
    made = page(sheet, "Flatness", steps, pen, least=_LEAST)
    parts = [made.text]
    for name, (x, y) in _places(sheet, columns, rows).items():
        parts.append(cross((x, y), 3.0, made.pen))
        parts.append(words(name, (x, y - 4), made.pen))
    return Drawing(parts)


def height_ladder(
    machine: Machine,
    offsets: Sequence[float] = _STEPS,
    *,
    sheet: Sheet,
    columns: int = 4,
    rows: int = 4,
    pen: Pen | None = None,
) -> tuple[Plot, ...]:
    """Rows of ticks all over the sheet, each tick with the pen a step lower than the one before it,
    as one plot for each step: send them one after another on the same paper. The first tick that
    is drawn tells how high the bed is there, for ``from_heights``.

    Parameters
    ----------
    machine : Machine
        The machine, with a ZLift; a height map that it has already is kept and improved.
    offsets : sequence of float
        Where the pen is held instead of at ``down``, in mm towards the raised pen: 2 to 9
        different ones, drawn from the highest to the lowest, -5 to 5.
    sheet : Sheet
        The paper, with 80 x 80 mm of room at least, and room for the ticks of each column.
    columns, rows : int, default 4
        How many places, 2 to 20 each; fewer where the ticks need the room.
    pen : Pen, optional
        The pen.

    Returns
    -------
    tuple of Plot
        One for each offset, planned in a machine with that ``down``; all lettering is in the last
        one.

    Raises
    ------
    InvalidValue
        If an argument is of another kind, the machine has no ZLift, an offset is not in its range,
        or the ticks do not fit.
    OutsideEnvelope
        If the sheet does not lie on the bed.

    Examples
    --------
    >>> from plotlib.machine import Axis, ZLift
    >>> axis = Axis(9_000)
    >>> lift = ZLift(up=4, down=0, feed=600)
    >>> machine = Machine(width=220, height=220, x=axis, y=axis, feed=600, lift=lift)
    >>> plots = height_ladder(machine, (0.2, 0, -0.2), sheet=Sheet.iso("A5"))
    >>> [plot.machine.lift.heights.down for plot in plots]
    [0.2, 0.0, -0.2]
    """
    heights = _heights(machine)
    held = _offsets(offsets, heights)
    told = ", ".join(f"{number}={offset:+.3g}" for number, offset in enumerate(held, 1))
    steps = (
        f"At each place find the first tick, from the left, that is drawn. The height of the bed "
        f"there is that of its number, in mm: {told}. Write down all of them and give them to "
        f"calibration.from_heights."
    )
    made = page(sheet, "Heights of the bed", steps, pen, least=_LEAST)
    places = _places(sheet, columns, rows)
    _check_room(places, len(held), columns)
    plots = []
    for number, offset in enumerate(held):
        lower = _held(machine, heights, offset)
        drawing = _ticks(places, number, len(held), made.pen)
        if number == len(held) - 1:
            drawing = drawing + _names(places, len(held), made)
        plots.append(plan(drawing, replace(machine, lift=lower), sheet=sheet, keep_order=True))
    return tuple(plots)


def from_heights(
    sheet: Sheet,
    readings: Mapping[str, float],
    *,
    columns: int = 4,
    rows: int = 4,
    tolerance: float = 0.02,
) -> HeightMap:
    """The height map of a bed, from what was read on a ladder of heights.

    Parameters
    ----------
    sheet : Sheet
        The paper of the ladder, where it lay on the bed.
    readings : mapping of str to float
        For each place, by its name, how high the bed is there: the offset in mm of the first tick
        that was drawn.
    columns, rows : int, default 4
        As the ladder had them.
    tolerance : float, default 0.02
        The map's: how far, in mm, the pen may be off between two points of a stroke.

    Returns
    -------
    HeightMap
        To put into the machine by ``corrected``. It is as coarse as the steps of the ladder: the
        bed lies at its height or less than a step above it, so that the pen draws everywhere.

    Raises
    ------
    InvalidValue
        If an argument is of another kind, a place has no reading, a reading belongs to no place,
        or the heights cannot be those of a bed.

    Examples
    --------
    >>> names = ("A1", "B1", "A2", "B2")
    >>> readings = dict(zip(names, (0, 0.1, 0, 0.3)))
    >>> bed = from_heights(Sheet.iso("A5", at=(5, 5)), readings, columns=2, rows=2)
    >>> bed.x, bed.highest
    ((27.0, 131.0), 0.3)
    """
    places = _places(as_sheet(sheet, least=_LEAST), columns, rows)
    if not isinstance(readings, Mapping):
        raise InvalidValue(
            f"readings must be a mapping of names of places to mm, such as {{'A1': 0.1}}, got "
            f"{readings!r:.100}",
            name="readings",
        )
    missing = [name for name in places if name not in readings]
    strange = [str(name) for name in readings if name not in places]
    if missing or strange:
        what = "there is no reading of" if missing else "the sheet has no place"
        raise InvalidValue(
            f"readings: {what} {', '.join((missing or strange)[:5])}; the places are "
            f"{next(iter(places))} to {next(reversed(places))}, columns by letters and rows by "
            f"numbers",
            name="readings",
            missing=missing,
            strange=strange,
        )
    heights = [between(f"readings {name}", readings[name], -20, 20, unit="mm") for name in places]
    spots = np.array(list(places.values())) + np.asarray(sheet.at)
    return HeightMap(
        x=np.unique(spots[:, 0]).tolist(),
        y=np.unique(spots[:, 1]).tolist(),
        heights=np.reshape(heights, (rows, columns)).tolist(),
        tolerance=tolerance,
    )


def _places(sheet: Any, columns: int, rows: int) -> dict[str, tuple[float, float]]:
    """The places of a sheet by their names, row by row from below, in sheet mm."""
    across = whole("columns", columns, low=2, high=_MOST)
    up = whole("rows", rows, low=2, high=_MOST)
    left, bottom, right, top = sheet.area.bounds
    x = np.linspace(left + _SIDE, right - _SIDE, across).tolist()
    y = np.linspace(bottom + _FOOT, top - _HEAD, up).tolist()
    return {
        f"{chr(ord('A') + column)}{row + 1}": (x[column], y[row])
        for row in range(up)
        for column in range(across)
    }


def _heights(machine: object) -> Heights:
    if not isinstance(machine, Machine):
        raise InvalidValue(f"machine must be a Machine, got {machine!r:.100}", name="machine")
    if machine.lift.heights is None:
        raise InvalidValue(
            f"machine: a ladder of heights needs a ZLift, and this one lifts its pen with a "
            f"{machine.lift.kind}; draw a flatness_grid to see where its bed is low",
            name="machine",
        )
    return machine.lift.heights


def _offsets(offsets: object, lift: Heights) -> list[float]:
    """From the highest to the lowest."""
    given = several("offsets", offsets, "offsets in mm")
    held = sorted((between("offsets", item, -5, 5, unit="mm") for item in given), reverse=True)
    if not 2 <= len(set(held)) == len(held) <= len(_STEPS):
        raise InvalidValue(
            f"offsets must be 2 to {len(_STEPS)} different heights, got {offsets!r:.100}",
            name="offsets",
        )
    way = abs(lift.up - lift.down)
    if held[0] > way / 2:
        raise InvalidValue(
            f"offsets: a pen held {held[0]:g} mm above down is more than half raised, as the lift "
            f"is {way:g} mm high",
            name="offsets",
        )
    return held


def _held(machine: Machine, heights: Heights, offset: float) -> Lift:
    sign = 1.0 if heights.up > heights.down else -1.0
    return machine.lift.with_down(round(heights.down + sign * offset, machine.decimals))


def _check_room(places: dict[str, tuple[float, float]], count: int, columns: int) -> None:
    x: FloatArray = np.unique([place[0] for place in places.values()])
    pitch = float(np.diff(x).min())
    needed = count * _TICK + 2
    if pitch < needed or needed > 2 * _SIDE + 2:
        raise InvalidValue(
            f"columns: {count} ticks need {needed:g} mm, and {columns} columns leave {pitch:.1f}; "
            f"take fewer columns or offsets, or a larger sheet",
            name="columns",
        )


def _ticks(places: dict[str, tuple[float, float]], number: int, count: int, pen: Pen) -> Drawing:
    """One tick at each place."""
    shift = (number - (count - 1) / 2) * _TICK
    half = _HIGH / 2
    return Drawing(
        [[(x + shift, y - half), (x + shift, y + half)] for x, y in places.values()],
        pen=as_pen(pen),
    )


def _names(places: dict[str, tuple[float, float]], count: int, made: Page) -> Drawing:
    """What is lettered: the page, the name of each place, and the number of each tick."""
    parts = [made.text]
    for name, (x, y) in places.items():
        parts.append(words(name, (x, y - 7), made.pen))
        for number in range(count):
            at = (x + (number - (count - 1) / 2) * _TICK, y - 3)
            parts.append(words(str(number + 1), at, made.pen))
    return Drawing(parts)
