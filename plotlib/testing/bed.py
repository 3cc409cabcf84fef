"""The assertion that a drawing, a plot or a file never leaves the bed."""

from __future__ import annotations

import os
from collections.abc import Collection
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np

from plotlib.checks import FloatArray
from plotlib.drawing import Drawing
from plotlib.errors import GcodeError, InvalidValue, OutsideEnvelope
from plotlib.machine import Machine
from plotlib.planning.moving.legs import Legs
from plotlib.planning.placing.detour import around
from plotlib.planning.placing.envelope import check_keep_outs
from plotlib.planning.placing.grid import to_grid
from plotlib.planning.plot import Plot


def assert_on_bed(
    thing: Drawing | Plot | str | os.PathLike[str],
    machine: Machine,
    *,
    ignore: Collection[str] = (),
) -> None:
    """Assert that a drawing (bed mm), a plot or a G-code file (path or text) never leaves the
    machine's bed, pen-up moves included.

    Parameters
    ----------
    thing : Drawing, Plot, or G-code file
        A str with a line end is the text of a file, any other names one. A file does not say how
        wide its pens are, so its keep-outs count from the pen's centre line.
    machine : Machine
        Whose bed, keep-outs and words count.
    ignore : collection of str, optional
        What to overlook in files from elsewhere, such as "semicolon comments"; see ``gcode.read``.

    Raises
    ------
    AssertionError
        Saying by how many mm on which side, and showing the smallest culprit: the point, or the
        line of the file.
    NotRead
        If there is no such file, or it cannot be read.
    InvalidValue, UnknownName
        If ``thing`` is none of these, ``machine`` no Machine, or ``ignore`` names what cannot be
        overlooked.

    Examples
    --------
    >>> from plotlib import Axis, ZLift
    >>> axis = Axis(9_000)
    >>> bench = Machine(
    ...     width=200, height=100, x=axis, y=axis, lift=ZLift(4, 0, 600), feed=3_000
    ... )
    >>> assert_on_bed(Drawing([[(0, 0), (200, 100)]]), bench)
    >>> assert_on_bed(Drawing([[(0, 0), (200, 101.5)]]), bench)
    Traceback (most recent call last):
    AssertionError: the drawing leaves the bed by 1.500 mm on the top: stroke 0, point 1; smallest
    culprit: Drawing([[(200.0, 101.5)]]) on a bed of 200 x 100 mm
    """
    if not isinstance(machine, Machine):
        raise InvalidValue(
            f"machine must be a Machine, got {type(machine).__name__}", name="machine"
        )
    from plotlib.gcode.reading.tolerances import tolerances

    tolerances(ignore)
    if isinstance(thing, Plot):
        _assert_drawing(thing.drawing, machine)
        _assert_travel(thing, machine)
    elif isinstance(thing, Drawing):
        _assert_drawing(thing, machine)
    elif isinstance(thing, (str, Path, os.PathLike)):
        _assert_file(thing, machine, ignore)
    else:
        raise InvalidValue(
            f"thing must be a Drawing, a Plot or a G-code file, got {type(thing).__name__}",
            name="thing",
        )


def _assert_drawing(drawing: Drawing, machine: Machine) -> None:
    units = machine.to_units(drawing.points)
    excess = _excess(units, machine.to_units([machine.width, machine.height]))
    if (excess > 0).any():
        at, side = (int(k) for k in np.unravel_index(int(np.argmax(excess)), excess.shape))
        stroke = int(np.searchsorted(drawing.offsets, at, side="right")) - 1
        x, y = drawing.points[at].tolist()
        raise AssertionError(
            f"the drawing leaves the bed by "
            f"{machine.to_mm(excess[at, side]):.{machine.decimals}f} mm on the "
            f"{('left', 'bottom', 'right', 'top')[side]}: stroke {stroke}, point "
            f"{at - drawing.offsets[stroke]}; "
            f"smallest culprit: Drawing([[({x!r}, {y!r})]]) on a bed of {machine.width:g} x "
            f"{machine.height:g} mm"
        )

    try:
        check_keep_outs(to_grid(drawing, machine, None), machine, drawing.pens)
    except OutsideEnvelope as error:
        raise AssertionError(f"the drawing enters a keep-out: {error}") from error


def _assert_travel(plot: Plot, machine: Machine) -> None:
    """The pen-up moves of a plot, which may have been planned for another machine."""
    begin, end = (plot.machine.to_mm(places) for places in (plot.legs.begin, plot.legs.end))
    places = np.vstack([begin, end])
    _assert_drawing(
        Drawing.from_arrays(places, np.arange(len(places) + 1)), replace(machine, keep_outs=())
    )
    legs = Legs(machine.to_units(begin), machine.to_units(end), plot.legs.stroke)
    try:
        is_clear = len(around(legs, machine).stroke) == len(legs.stroke)
    except OutsideEnvelope:  # not even a detour is left
        is_clear = False
    if not is_clear:
        raise AssertionError(
            "the pen-up way passes over a keep-out with passable=False; plan the drawing for this "
            "machine"
        )


def _excess(units: Any, high: Any) -> FloatArray:
    return np.hstack([-units, units - high]).astype(np.float64)


def _assert_file(path_or_text: Any, machine: Machine, ignore: Collection[str]) -> None:
    from plotlib.gcode.envelope import excess, trespass
    from plotlib.gcode.reader import read

    try:
        toolpath = read(path_or_text, machine, ignore=ignore)
    except GcodeError as error:
        raise AssertionError(
            f"the file cannot be followed, so nothing says that it stays on the bed: {error}"
        ) from error
    over = excess(toolpath, machine) or trespass(toolpath, machine)
    if over is not None:
        where = "in a keep-out" if over.side == "keep-out" else f"on the {over.side}"
        by = f"{over.excess:.{machine.decimals}f} mm {where}"
        bed = f"{machine.width:g} x {machine.height:g} mm"
        raise AssertionError(
            f"the file leaves what the machine allows by {by}; smallest culprit: line "
            f"{over.line}, at {over.where} on a bed of {bed}"
        )
