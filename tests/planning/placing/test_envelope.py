"""The first fault of a drawing: what, where and by how much, each worked out by hand."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
import shapely

from plotlib.drawing import Drawing
from plotlib.errors import OutsideEnvelope
from plotlib.machine import Axis, Machine, ServoLift
from plotlib.pen import Pen
from plotlib.planning.placing.envelope import check_keep_outs, edges_of, first_fault, keeps_out
from plotlib.planning.placing.fault import Fault
from plotlib.planning.placing.grid import to_grid
from plotlib.sheet import Sheet

FINE = Pen("fine", 0.2)
BROAD = Pen("broad", 1.0)


def bench(**changes: Any) -> Machine:
    values: dict[str, Any] = {
        "width": 200,
        "height": 100,
        "x": Axis(10_000),
        "y": Axis(4_000),
        "lift": ServoLift("M5", "M3 S90"),
        "feed": 3_000,
    }
    return Machine(**{**values, **changes})


def fault_of(
    drawing: Drawing, machine: Machine, sheet: Sheet | None = None, *, margin: bool = False
) -> Fault | None:
    strokes = to_grid(drawing, machine, sheet)
    return first_fault(strokes, machine, sheet, drawing.pens, margin=margin)


@pytest.mark.parametrize(
    ("end", "side", "by", "place"),
    [
        ((-1.5, 50), "left", 1.5, "x = -1.500, the left edge is at 0.000"),
        ((100, -0.25), "bottom", 0.25, "y = -0.250, the bottom edge is at 0.000"),
        ((200.001, 50), "right", 0.001, "x = 200.001, the right edge is at 200.000"),
        ((100, 107), "top", 7.0, "y = 107.000, the top edge is at 100.000"),
    ],
)
def test_each_side_of_the_bed(end: Any, side: str, by: float, place: str) -> None:
    fault = fault_of(Drawing([[(5, 5), (10, 5)], [(20, 20), end, (30, 30)]]), bench())
    assert fault is not None
    assert fault.told == f"stroke 1 leaves the bed by {by:.3f} mm on the {side} ({place})"
    assert (fault.stroke, fault.side, fault.count) == (1, side, 1)
    assert fault.excess == pytest.approx(by)


def test_ink_on_the_very_edge_of_the_bed_is_inside() -> None:
    assert fault_of(Drawing([[(0, 0), (200, 100)]]), bench()) is None
    assert fault_of(Drawing([]), bench()) is None


def test_of_several_strokes_the_farthest_is_told() -> None:
    drawing = Drawing([[(-1, 5), (3, 5)], [(50, 50), (50, 103)], [(199, 9), (202, 9)], [(5, 5)]])
    fault = fault_of(drawing, bench())
    assert fault is not None
    assert (fault.stroke, fault.side, fault.count) == (1, "top", 3)
    assert fault.told.endswith("; 3 strokes are outside, this one the farthest")


def test_the_carriage_of_an_offset_pen_stays_on_the_bed() -> None:
    """The ink lies 5 mm to the right of the carriage and 2 mm below it."""
    aside = Pen("aside", 0.2, offset=(5, -2))
    assert fault_of(Drawing([[(5, 50), (200, 50)]], pen=aside), bench()) is None
    fault = fault_of(Drawing([[(4.5, 50), (20, 50)]], pen=aside), bench())
    assert fault is not None
    assert fault.told == (
        "stroke 0 takes the carriage off the bed (the pen's offset included) by 0.500 mm on the "
        "left (x = 4.500, the left edge is at 5.000)"
    )
    fault = fault_of(Drawing([[(50, 99), (20, 50)]], pen=aside), bench())
    assert fault is not None
    assert (fault.side, fault.excess) == ("top", pytest.approx(1.0))
    assert "the top edge is at 98.000" in fault.told


def test_each_stroke_has_the_edges_of_its_own_pen() -> None:
    """Two pens that lie 5 mm to either side: what both have in common is less than each has."""
    machine = bench()
    left = Pen("left", 0.2, offset=(-5, 0))
    right = Pen("right", 0.2, offset=(5, 3))
    drawing = Drawing([[(0, 9)]], pen=left) + Drawing([[(200, 9)]], pen=right)
    strokes = to_grid(drawing, machine, None)
    assert fault_of(drawing, machine) is None
    edges = edges_of(strokes, machine, None, drawing.pens, margin=False)
    assert edges[0].verb == "leaves the bed"
    low, high = edges[1].room
    assert low.tolist() == [5_000, 3_000]
    assert high.tolist() == [195_000, 100_000]
    assert edges[1].excess(strokes).tolist() == [
        [-5_000, -9_000, -195_000, -91_000],
        [-195_000, -6_000, -5_000, -94_000],
    ]


@pytest.mark.parametrize(("x", "is_inside"), [(0.5, True), (0.499, False)])
def test_half_the_width_of_a_pen_stays_on_the_paper(x: float, is_inside: bool) -> None:
    sheet = Sheet(100, 50, margin=4, at=(20, 10))
    drawing = Drawing([[(50, 20), (60, 20)], [(x, 20), (40, 20)]], pen=BROAD)
    fault = fault_of(drawing, bench(), sheet)
    assert (fault is None) == is_inside
    if fault is not None:
        assert fault.told == (
            "stroke 1 leaves the paper (half the pen's width included) by 0.001 mm on the left "
            "(x = 0.499 in sheet mm, the left edge is at 0.000)"
        )


def test_the_margin_counts_where_it_is_asked_for() -> None:
    sheet = Sheet(100, 50, margin=4, at=(20, 10))
    drawing = Drawing([[(4, 4), (96, 46.5)]], pen=BROAD)
    assert fault_of(drawing, bench(), sheet) is None
    fault = fault_of(drawing, bench(), sheet, margin=True)
    assert fault is not None
    assert fault.told == (
        "stroke 0 enters the sheet's margin by 0.500 mm on the top (y = 46.500 in sheet mm, the "
        "top edge is at 46.000)"
    )
    assert fault_of(Drawing([[(4, 4), (96, 46)]]), bench(), sheet, margin=True) is None


def test_half_a_unit_is_left_for_the_rounding_of_a_sheet_between_grid_points() -> None:
    """The left edge lies at 20.04 on a grid of tenths; ink at 20.04 + 0.1 is drawn at 20.1."""
    sheet = Sheet(100, 50, at=(20.04, 10))
    machine = bench(decimals=1)
    assert fault_of(Drawing([[(0.1, 20), (40, 20)]], pen=FINE), machine, sheet) is None
    fault = fault_of(Drawing([[(0.0, 20), (40, 20)]], pen=FINE), machine, sheet)
    assert fault is not None
    assert fault.excess == pytest.approx(0.14)


def test_ink_in_a_keep_out_is_told_with_its_length_and_depth() -> None:
    machine = bench(keep_outs=[shapely.box(150, 60, 160, 70), shapely.box(50, 40, 80, 60)])
    drawing = Drawing([[(10, 10), (20, 10)], [(40, 57), (90, 57)], [(45, 50), (60, 50)]], pen=BROAD)
    fault = fault_of(drawing, machine)
    assert fault is not None
    assert fault.told == (
        "stroke 2 has ink in keep-out 1 (x 50 to 80, y 40 to 60 on the bed), 10.000 mm of its "
        "line, by 10.500 mm, half the pen's width included; 2 strokes do"
    )
    assert (fault.stroke, fault.side, fault.count) == (2, "keep-out", 2)
    assert fault.excess == pytest.approx(10.5)
    with pytest.raises(OutsideEnvelope, match="stroke 2 has ink in keep-out 1") as caught:
        check_keep_outs(to_grid(drawing, machine, None), machine, drawing.pens)
    assert (caught.value.stroke, caught.value.side, caught.value.count) == (2, "keep-out", 2)
    assert caught.value.excess == pytest.approx(10.5)
    alone = fault_of(drawing[:2], machine)
    assert alone is not None
    assert alone.told.endswith("half the pen's width included")


@pytest.mark.parametrize(("y", "is_free"), [(60.5, True), (60.499, False), (39.5, True)])
def test_ink_may_touch_a_keep_out_and_no_more(y: float, is_free: bool) -> None:
    machine = bench(keep_outs=[shapely.box(50, 40, 80, 60)])
    for stroke in ([(40, y), (90, y)], [(60, y)]):
        drawing = Drawing([stroke], pen=BROAD)
        fault = fault_of(drawing, machine)
        assert (fault is None) == is_free
        if fault is not None:
            assert fault.excess == pytest.approx(0.001)
            assert "0.000 mm of its line, by 0.001 mm" in fault.told


def test_strokes_are_measured_with_their_own_pens() -> None:
    """1 mm from the clamp: free for the fine pen, 4 mm of a brush are in it by 1 mm."""
    machine = bench(keep_outs=shapely.box(50, 40, 80, 60))
    stroke = [(40, 61), (90, 61)]
    drawing = Drawing([stroke], pen=FINE) + Drawing([stroke], pen=Pen("brush", 4.0))
    fault = fault_of(drawing, machine)
    assert fault is not None
    assert (fault.stroke, fault.count, fault.excess) == (1, 1, pytest.approx(1.0))


def test_the_carriage_stays_out_of_keep_outs_too() -> None:
    """The ink lies 20 mm to the right of the carriage, which stands in the clamp."""
    machine = bench(keep_outs=shapely.box(50, 40, 80, 60))
    aside = Pen("aside", 0.2, offset=(20, 0))
    fault = fault_of(Drawing([[(95, 50), (97, 50)]], pen=aside), machine)
    assert fault is not None
    assert fault.told.startswith(
        "by the offset of its pen the carriage is there: stroke 0 has ink in keep-out 0"
    )
    assert fault_of(Drawing([[(100.2, 50), (110, 50)]], pen=aside), machine) is None
    assert fault_of(Drawing([[(95, 50), (97, 50)]], pen=aside), bench()) is None


def test_links_that_would_enter_a_keep_out() -> None:
    """Straight pieces in units of 0.001 mm, with a pen 1 mm wide."""
    machine = bench(keep_outs=[shapely.box(50, 40, 80, 60), shapely.box(100, 40, 110, 60)])
    mm = [
        [(40, 60.5), (90, 60.5)],
        [(40, 60.49), (90, 60.49)],
        [(105, 0), (105, 90)],
        [(90, 0), (90, 90)],
    ]
    links = np.rint(np.array(mm) * 1_000).astype(np.int64)
    assert keeps_out(links, machine, 0.5).tolist() == [False, True, True, False]
    assert keeps_out(links, bench(), 0.5).tolist() == [False] * 4
    assert keeps_out(links[:0], machine, 0.5).tolist() == []


def test_a_turned_sheet_is_told_on_the_bed() -> None:
    """A sheet that lies turned has no straight edges, the bed still has."""
    sheet = Sheet(60, 40, at=(190, 10), angle=90)  # its x runs upwards from there
    fault = fault_of(Drawing([[(10, 20), (95, 20)]]), bench(), sheet)
    assert fault is not None
    assert fault.told == (
        "stroke 0 leaves the bed by 5.000 mm on the top (y = 105.000 on the bed, the top edge is "
        "at 100.000)"
    )


def test_half_a_unit_of_a_keep_out_between_grid_points_is_left_for_rounding() -> None:
    """The clamp ends at 60.0005: a line 2 mm wide at 61 is in it by half a unit of 0.001 mm."""
    machine = bench(keep_outs=shapely.box(50, 40, 80, 60.0005))
    broad = Pen("two", 2.0)
    assert fault_of(Drawing([[(60, 61), (70, 61)]], pen=broad), machine) is None
    assert fault_of(Drawing([[(60, 60.999), (70, 60.999)]], pen=broad), machine) is not None
    links = np.array([[(60_000, 61_000), (70_000, 61_000)], [(60_000, 60_999), (70_000, 60_999)]])
    assert keeps_out(links, machine, 1.0).tolist() == [False, True]
