"""For property tests of scripts that draw: random drawings and machines, and one assertion. Needs
the extra "testing" (hypothesis).
"""

from __future__ import annotations

import os
from collections.abc import Collection
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from plotlib.checks import FloatArray, package, point, whole
from plotlib.drawing import Drawing
from plotlib.errors import GcodeError, InvalidValue, OutsideEnvelope
from plotlib.machine import Axis, Machine, ServoLift, SolenoidLift, ZLift
from plotlib.pen import Pen
from plotlib.planning.moving.legs import Legs
from plotlib.planning.placing.detour import around
from plotlib.planning.placing.envelope import check_keep_outs
from plotlib.planning.placing.grid import to_grid
from plotlib.planning.plot import Plot

if TYPE_CHECKING:
    from hypothesis.strategies import SearchStrategy

__all__ = ["assert_on_bed", "drawings", "machines"]

_PENS = (
    Pen("fine", 0.2, "#202020"),
    Pen("blue", 0.4, "#1d4e89", 2_500),
    Pen("broad", 0.8, "#b4431f", 900.5),
)
_LIFTS = (
    ServoLift("M5", "M3 S90"),
    ServoLift("M3 S30", ("M3 S50", "M3 S70", "M3 S90"), 0.15, 0.05),
    ServoLift("M3 S90", "M5", 0, 0.3),
    ServoLift("Q30", "Q120", 0.2, 0),
    ZLift(4, 0, 600),
    ZLift(-3, 2, 450.5, 0.1, 0.1),
    SolenoidLift(pull="M3 S255", hold="M3 S70", release="M5", pull_time=0.05, holds="down"),
    SolenoidLift(
        pull="M42 P4 S255",
        hold="M42 P4 S70",
        release="M42 P4 S0",
        pull_time=0.12,
        holds="up",
        settle_up=0,
    ),
    SolenoidLift(pull="Q255", hold="Q70", release="Q0", pull_time=0.08, holds="up", settle_down=0),
)
_WIDTHS = (30, 120, 215.9, 225, 279.4, 297, 420)


def _strategies() -> Any:
    return package("hypothesis.strategies", install="hypothesis", use="plotlib.testing")


def drawings(
    within: Machine | tuple[float, float, float, float] = (0.0, 0.0, 100.0, 100.0),
    *,
    most: int = 12,
) -> SearchStrategy[Drawing]:
    """Random drawings for hypothesis: dots, closed, retraced and crossing strokes, shared ends,
    points on the edge, up to three pens.

    Parameters
    ----------
    within : Machine or (left, bottom, right, top), default (0, 0, 100, 100)
        Where the points lie, in mm, the edges included; the bed of a machine.
    most : int, default 12
        Strokes at the most.

    Returns
    -------
    hypothesis SearchStrategy of Drawing
        For ``@given``.

    Raises
    ------
    InvalidValue
        If ``within`` is neither, or ``most`` is no whole number of at least 0.
    MissingPackage
        If hypothesis is not installed.

    Examples
    --------
    >>> from hypothesis import given
    >>> @given(drawings(within=(0, 0, 50, 50)))
    ... def test_turning_keeps_the_length(drawing):
    ...     assert abs(drawing.turned(90).length - drawing.length) < 1e-6
    >>> test_turning_keeps_the_length()
    """
    st = _strategies()
    left, bottom, right, top = _bounds(within)
    count = whole("most", most, low=0)
    x, y = (_coordinates(st, low, high) for low, high in ((left, right), (bottom, top)))
    stroke = st.one_of(
        st.lists(st.tuples(x, y), min_size=1, max_size=6),
        _closed(st, x, y),
        _coarse(st, left, bottom, right, top),
    )
    drawn: SearchStrategy[Drawing] = st.lists(
        st.tuples(stroke, st.sampled_from(_PENS)), max_size=count
    ).map(_composed)
    return drawn


def _bounds(within: Machine | tuple[float, float, float, float]) -> tuple[float, ...]:
    if isinstance(within, Machine):
        return within.bed.bounds
    is_four = isinstance(within, (tuple, list, np.ndarray)) and len(within) == 4
    if is_four:
        left, bottom = point("within", within[:2])
        right, top = point("within", within[2:])
        if left <= right and bottom <= top:
            return left, bottom, right, top
    raise InvalidValue(
        "within must be a Machine or (left, bottom, right, top) in mm with left <= right and "
        f"bottom <= top, such as the bounds of an area or a sheet; got {within!r:.200}",
        name="within",
        value=within,
    )


def _coordinates(st: Any, low: float, high: float) -> Any:
    return st.one_of(
        st.floats(low, high, allow_nan=False), st.sampled_from([low, high, (low + high) / 2])
    )


def _closed(st: Any, x: Any, y: Any) -> Any:
    return st.lists(st.tuples(x, y), min_size=2, max_size=6).map(
        lambda points: [*points, points[0]]
    )


def _coarse(st: Any, left: float, bottom: float, right: float, top: float) -> Any:
    """Strokes on a 3 x 3 lattice, so that ends meet, strokes cross and ink lies twice."""
    node = st.tuples(st.integers(0, 2), st.integers(0, 2))
    place = node.map(
        lambda n: (left + n[0] * (right - left) / 2, bottom + n[1] * (top - bottom) / 2)
    )
    return st.lists(place, min_size=1, max_size=7)


def _composed(strokes: list[tuple[Any, Pen]]) -> Drawing:
    return Drawing([Drawing([np.array(points, np.float64)], pen=pen) for points, pen in strokes])


def machines() -> SearchStrategy[Machine]:
    """Random machines for hypothesis: beds of 0 to 4 decimals, reversed axes, zero anywhere, servo,
    Z and solenoid lifts, all kinds of words.

    Returns
    -------
    hypothesis SearchStrategy of Machine
        For ``@given``.

    Raises
    ------
    MissingPackage
        If hypothesis is not installed.

    Examples
    --------
    >>> from hypothesis import given
    >>> @given(machines())
    ... def test_home_is_on_the_bed(machine):
    ...     assert machine.bed.covers(shapely.Point(machine.home))
    >>> import shapely
    >>> test_home_is_on_the_bed()
    """
    st = _strategies()

    @st.composite  # type: ignore[untyped-decorator]
    def one(draw: Any) -> Machine:
        decimals = draw(st.integers(0, 4))
        width, height = (
            round(draw(st.one_of(st.sampled_from(_WIDTHS), st.floats(5, 900))), decimals)
            for _ in "xy"
        )
        comments = draw(st.booleans())
        travel = draw(st.sampled_from([None, 6_000.0, 1_234.5]))
        options = {
            "zero": _place(draw, st, (-width, 2 * width), (-height, 2 * height), decimals),
            "home": _place(draw, st, (0, width), (0, height), decimals),
            "park": _place(draw, st, (0, width), (0, height), decimals),
            "travel_word": "G0" if travel is None else "G1",
            "travel_feed": travel,
            "dwell": draw(st.sampled_from(["seconds", "milliseconds"])),
            "prologue": draw(
                st.sampled_from(
                    [(), ("HOME",), ("Q1", "(made ready)") if comments else ("Q1", "Q2")]
                )
            ),
            "decimals": decimals,
            "longest_line": draw(st.sampled_from([60, 70, 120])),
            "comments": comments,
        }
        axes = [
            Axis(
                draw(st.floats(100, 20_000)),
                draw(st.sampled_from([None, 250, 1_000.5])),
                draw(st.booleans()),
            )
            for _ in "xy"
        ]
        feed = draw(st.floats(100, 12_000))
        lift = draw(st.sampled_from(_LIFTS))
        return Machine(
            width=width, height=height, x=axes[0], y=axes[1], lift=lift, feed=feed, **options
        )

    made: SearchStrategy[Machine] = one()
    return made


def _place(
    draw: Any, st: Any, across: tuple[float, float], up: tuple[float, float], decimals: int
) -> tuple[float, float]:
    def along(low: float, high: float) -> float:
        exact = [low, high, round((low + high) / 2, decimals)]
        value: float = draw(st.one_of(st.sampled_from(exact), st.floats(low, high)))
        return min(max(round(value, decimals), low), high)

    return along(*across), along(*up)


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
    InvalidValue
        If ``thing`` is none of these, or ``machine`` no Machine.

    Examples
    --------
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


def __dir__() -> list[str]:
    return sorted(__all__)
