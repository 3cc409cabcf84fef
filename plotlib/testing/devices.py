"""Strategies for pens, sheets and machines."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from plotlib.machine import Axis, Machine, ServoLift, SolenoidLift, ZLift
from plotlib.pen import Pen
from plotlib.sheet import Sheet
from plotlib.testing.library import strategies

if TYPE_CHECKING:
    from hypothesis.strategies import SearchStrategy

PENS = (
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
    >>> import shapely
    >>> @given(machines())
    ... def test_home_is_on_the_bed(machine):
    ...     assert machine.bed.covers(shapely.Point(machine.home))
    >>> test_home_is_on_the_bed()
    """
    st = strategies()

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


def pens() -> SearchStrategy[Pen]:
    """Random pens for hypothesis: widths of 0.05 to 2 mm, colours, feeds, opacities, offsets.

    Returns
    -------
    hypothesis SearchStrategy of Pen
        For ``@given``. Two pens of one name may differ; one drawing takes only one of them.

    Raises
    ------
    MissingPackage
        If hypothesis is not installed.

    Examples
    --------
    >>> from hypothesis import given
    >>> from plotlib import Drawing
    >>> @given(pens())
    ... def test_a_dot_is_as_wide_as_its_pen(pen):
    ...     assert Drawing([[(0, 0)]], pen=pen).pens == (pen,)
    >>> test_a_dot_is_as_wide_as_its_pen()
    """
    st = strategies()
    made: SearchStrategy[Pen] = st.builds(
        Pen,
        st.text("abcdefghijklmnopqrstuvwxyz0123456789 äø-", min_size=1, max_size=12).map(
            lambda name: name.strip() or "pen"
        ),
        st.floats(0.05, 2),
        st.integers(0, 0xFFFFFF).map(lambda colour: f"#{colour:06x}"),
        st.one_of(st.none(), st.floats(60, 12_000)),
        write_out=st.one_of(st.none(), st.floats(1, 1e6)),
        opacity=st.floats(0.01, 1),
        offset=st.one_of(st.just((0.0, 0.0)), st.tuples(st.floats(-5, 5), st.floats(-5, 5))),
    )
    return made


def sheets() -> SearchStrategy[Sheet]:
    """Random sheets for hypothesis: ISO sizes and others of 20 to 1,000 mm, upright and across,
    with and without a margin, anywhere.

    Returns
    -------
    hypothesis SearchStrategy of Sheet
        For ``@given``.

    Raises
    ------
    MissingPackage
        If hypothesis is not installed.

    Examples
    --------
    >>> from hypothesis import given
    >>> import shapely
    >>> @given(sheets())
    ... def test_the_area_lies_in_the_sheet(sheet):
    ...     assert shapely.box(0, 0, sheet.width, sheet.height).covers(sheet.area)
    >>> test_the_area_lies_in_the_sheet()
    """
    st = strategies()

    @st.composite  # type: ignore[untyped-decorator]
    def one(draw: Any) -> Sheet:
        at = draw(
            st.one_of(st.just((0.0, 0.0)), st.tuples(st.floats(-50, 300), st.floats(-50, 300)))
        )
        margin = draw(st.sampled_from([0.0, 10.0, 2.5]))
        if draw(st.booleans()):
            name = f"{draw(st.sampled_from('AB'))}{draw(st.integers(3, 7))}"
            return Sheet.iso(name, landscape=draw(st.booleans()), margin=margin, at=at)
        return Sheet(draw(st.floats(21, 1_000)), draw(st.floats(21, 1_000)), margin, at)

    made: SearchStrategy[Sheet] = one()
    return made
