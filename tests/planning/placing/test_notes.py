"""What is worth knowing of a drawing that may be drawn."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue, OutsideEnvelope
from plotlib.machine import Axis, Machine, ServoLift
from plotlib.pen import Pen
from plotlib.planning.placing.grid import GridStrokes, seats, stands, to_grid
from plotlib.planning.placing.notes import feed_notes, margin_note, paper_note
from plotlib.sheet import Sheet


def bench(**changes: Any) -> Machine:
    values: dict[str, Any] = {
        "width": 200,
        "height": 100,
        "x": Axis(6_000),
        "y": Axis(2_000),
        "lift": ServoLift("M5", "M3 S90"),
        "feed": 3_000,
    }
    return Machine(**{**values, **changes})


@pytest.mark.parametrize(
    ("at", "told", "mended"),
    [
        ((-1.5, 20), "1.5 mm on the left", (0.0, 20.0)),
        ((0, -3), "3 mm on the bottom", (0.0, 0.0)),
        ((120.25, 20), "0.25 mm on the right", (120.0, 20.0)),
        ((5, 50.5), "0.5 mm on the top", (5.0, 50.0)),
        ((-1, 54), "4 mm on the top", (0.0, 50.0)),
    ],
)
def test_paper_off_the_bed(at: Any, told: str, mended: Any) -> None:
    sheet = Sheet(80, 50, at=at)
    machine = bench()
    assert paper_note(machine, sheet, refuse=False) == [f"the paper hangs off the bed by {told}"]
    with pytest.raises(OutsideEnvelope) as caught:
        paper_note(machine, sheet, refuse=True)
    x, y = mended
    assert str(caught.value) == f"the paper hangs off the bed by {told}; lay it at=({x}, {y})"
    assert caught.value.side == told.rpartition(" ")[2]
    assert caught.value.excess == float(told.partition(" ")[0])
    assert (caught.value.stroke, caught.value.count) == (-1, 0)


def test_paper_that_fills_the_bed_lies_on_it() -> None:
    assert paper_note(bench(), Sheet(200, 100), refuse=True) == []
    assert paper_note(bench(), None, refuse=True) == []
    assert paper_note(bench(), Sheet(80, 50, at=(120, 50)), refuse=True) == []


@pytest.mark.parametrize(("width", "height"), [(201, 50), (80, 101)])
def test_paper_that_is_larger_than_the_bed(width: float, height: float) -> None:
    with pytest.raises(OutsideEnvelope, match=rf"; a sheet of {width} x {height} mm, as it lies"):
        paper_note(bench(), Sheet(width, height, at=(0, 0)), refuse=True)
    assert "does not fit on a bed of 200 x 100 mm"


def test_ink_in_the_margin() -> None:
    """The middle of the line counts, whatever the width of the pen."""
    sheet = Sheet(80, 50, margin=5, at=(10, 10))
    machine = bench()
    inside = Drawing([[(5, 5), (75, 45)]], pen=Pen("brush", 8))
    assert margin_note(to_grid(inside, machine, sheet), machine, sheet) == []
    assert margin_note(to_grid(inside, machine, None), machine, None) == []
    beyond = Drawing([[(5, 5), (75, 45)], [(20, 20), (75.5, 20)]])
    assert margin_note(to_grid(beyond, machine, sheet), machine, sheet) == [
        "stroke 1 enters the sheet's margin by 0.500 mm on the right (x = 75.500 in sheet mm, the "
        "right edge is at 75.000)"
    ]
    assert margin_note(to_grid(Drawing([]), machine, sheet), machine, sheet) == []


def notes(drawing: Drawing, *, refuse: bool = False, arcs: Any = None) -> list[str]:
    machine = bench()
    return feed_notes(to_grid(drawing, machine, None), drawing.pens, machine, arcs, refuse=refuse)


def test_feeds_above_what_an_axis_can_do() -> None:
    """Along y the axis does 2,000; along a slope of 3 in 4 it does 2,000 / 0.6."""
    quick = Pen("quick", 0.4, feed=3_500)
    drawing = Drawing([[(0, 0), (40, 30)], [(0, 0), (0, 50)], [(0, 0), (50, 0)]], pen=quick)
    drawing += Drawing([[(9, 0), (9, 50)]], pen=Pen("slow", 0.4, feed=2_000))
    assert notes(drawing) == [
        "pen 'quick' asks for 3,500 mm/min, more than the axes can do: 2 of 3 strokes are drawn "
        "slower, down to 2,000 mm/min"
    ]
    with pytest.raises(InvalidValue, match=r"; give it feed=2000\.0 or less") as caught:
        notes(drawing, refuse=True)
    assert caught.value.facts["pen"] == "quick"
    assert caught.value.facts["feed"] == 2_000
    assert notes(drawing[:1])[0].endswith("down to 3,333.333 mm/min")
    assert notes(drawing[2:]) == []


def test_the_feed_of_the_machine_is_that_of_pens_without_one() -> None:
    drawing = Drawing([[(0, 0), (0, 50)]], pen=Pen("blue", 0.4))
    assert notes(drawing)[0].startswith("pen 'blue' asks for 3,000 mm/min")


def test_an_arc_may_run_along_either_axis() -> None:
    level = Drawing([[(0, 0), (50, 0)]], pen=Pen("blue", 0.4))
    assert notes(level) == []
    told = notes(level, arcs=np.array([True]))
    assert told[0].endswith("1 of 1 strokes are drawn slower, down to 2,000 mm/min")


def test_points_are_rounded_once_and_those_that_fall_together_dropped() -> None:
    machine = bench(decimals=1)
    sheet = Sheet(80, 50, at=(10.04, 20))
    strokes = to_grid(Drawing([[(1, 2), (1.01, 2), (3, 4)], [(5, 5)]]), machine, sheet)
    assert strokes.points.tolist() == [[110, 220], [130, 240], [150, 250]]
    assert strokes.offsets.tolist() == [0, 2, 3]
    assert len(strokes) == 2
    swapped = strokes.chosen(np.array([1, 0]))
    assert swapped.points.tolist() == [[150, 250], [110, 220], [130, 240]]
    assert swapped.offsets.tolist() == [0, 1, 3]


def test_home_park_and_the_seats_of_pens_are_in_units() -> None:
    machine = bench(home=(1.5, 2), park=(3, 4.25), decimals=2)
    assert stands(machine) == ((150, 200), (300, 425))
    pens = (Pen("a", 0.3), Pen("b", 0.3, offset=(1.5, -2)))
    assert seats(pens, np.array([1, 0, 1]), machine).tolist() == [[150, -200], [0, 0], [150, -200]]
    assert seats((), np.array([], np.int64), machine).shape == (0, 2)


def test_choosing_keeps_the_pens() -> None:
    strokes = GridStrokes(np.arange(8).reshape(4, 2), np.array([0, 1, 4]), np.array([7, 9]))
    assert strokes.chosen(np.array([1])).pen_index.tolist() == [9]
    assert strokes.chosen(np.array([1])).points.tolist() == [[2, 3], [4, 5], [6, 7]]
