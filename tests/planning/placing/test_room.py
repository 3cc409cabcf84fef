"""What mends a refused drawing, word for word."""

from __future__ import annotations

from typing import Any

import pytest
import shapely

from plotlib.drawing import Drawing
from plotlib.errors import OutsideEnvelope
from plotlib.machine import Axis, Machine, ServoLift
from plotlib.pen import Pen
from plotlib.planning.placing.advice import Task, check_envelope
from plotlib.planning.placing.outlined import OutlinedRoom
from plotlib.planning.placing.room import Room
from plotlib.sheet import Sheet

FINE = Pen("fine", 0.2)
BROAD = Pen("broad", 1.0)
CARD = Sheet(100, 50, margin=4, at=(20, 10))


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


def refusal(
    drawing: Drawing, sheet: Sheet | None = None, *, margin: bool = False, **changes: Any
) -> OutsideEnvelope:
    with pytest.raises(OutsideEnvelope) as caught:
        check_envelope(Task(drawing, bench(**changes), sheet, margin))
    return caught.value


@pytest.mark.parametrize(
    ("stroke", "move"),
    [
        ([(-1.5, 20), (60, 20)], ".moved(1.500, 0.000)"),
        ([(150, 20), (200.25, 20)], ".moved(-0.250, 0.000)"),
        ([(5, -3), (5, 90)], ".moved(0.000, 3.000)"),
        ([(-2, 50), (60, 104)], ".moved(2.000, -4.000)"),
    ],
)
def test_onto_the_bed_by_the_shortest_way(stroke: Any, move: str) -> None:
    assert refusal(Drawing([stroke])).mends == (move, ".clipped(machine.bed)")


@pytest.mark.parametrize(
    ("x", "move"), [(0.499, 0.001), (0.5 - 0.01, 0.01), (0.0, 0.5), (-3.0, 3.5)]
)
def test_onto_the_paper_by_no_more_than_needed(x: float, move: float) -> None:
    """Half of a broad pen is 0.5 mm."""
    error = refusal(Drawing([[(x, 20), (60, 20)]], pen=BROAD), CARD)
    assert error.mends == (
        f".moved({move:.3f}, 0.000)",
        ".clipped(shapely.box(0.5, 0.5, 99.5, 49.5))",
    )


def test_out_of_the_margin_where_it_counts() -> None:
    error = refusal(Drawing([[(3, 20), (60, 47)]], pen=BROAD), CARD, margin=True)
    assert error.mends == (".moved(1.000, -1.000)", ".clipped(shapely.box(4, 4, 96, 46))")


def test_what_is_larger_than_the_room_is_told_so_and_scaled() -> None:
    error = refusal(Drawing([[(5, 5), (110, 30)]], pen=BROAD), CARD)
    assert "; the drawing, 105 x 25 mm, is larger than the room of 99 x 49 mm; " in str(error)
    assert error.mends == (
        ".fitted(sheet.area)",
        ".clipped(shapely.box(0.5, 0.5, 99.5, 49.5))",
    )
    bare = refusal(Drawing([[(5, 5), (205.5, 30)]]))
    assert bare.mends == (".fitted(machine.bed)", ".clipped(machine.bed)")


def test_what_just_fits_is_moved() -> None:
    assert refusal(Drawing([[(1, 0), (201, 100)]])).mends[0] == ".moved(-1.000, 0.000)"
    error = refusal(Drawing([[(1, 1), (100, 50)]], pen=BROAD), CARD)
    assert error.mends[0] == ".moved(-0.500, -0.500)"


def test_the_room_where_paper_hangs_off_the_bed() -> None:
    """Of the paper x = 0 to 30 mm hangs off on the left; the broad pen stays 0.5 mm on it."""
    sheet = Sheet(100, 50, at=(-30, 60))
    error = refusal(Drawing([[(10, 20), (60, 20)]], pen=BROAD), sheet)
    assert error.mends == (".moved(20.000, 0.000)", ".clipped(shapely.box(30, 0.5, 99.5, 40))")


def test_the_widest_pen_counts() -> None:
    drawing = Drawing([[(1, 1), (50, 40)]], pen=FINE) + Drawing([[(0, 9), (5, 9)]], pen=BROAD)
    error = refusal(drawing, CARD)
    assert error.mends == (".moved(0.500, 0.000)", ".clipped(shapely.box(0.5, 0.5, 99.5, 49.5))")


def test_past_a_keep_out_on_a_sheet() -> None:
    """The clamp ends at x = 50 on the bed, 30 on the sheet; half the pen and two units more."""
    clamp = shapely.box(40, 0, 50, 100)
    error = refusal(Drawing([[(25, 20), (60, 20)]], pen=BROAD), CARD, keep_outs=clamp)
    assert error.mends == (
        ".moved(5.502, 0.000)",
        ".erased(shapely.affinity.translate(machine.keep_outs[0].area, -20, -10)"
        '.buffer(0.501, join_style="mitre"))',
    )


def test_several_keep_outs_are_cut_out_together() -> None:
    clamps = [shapely.box(40, 0, 50, 100), shapely.box(140, 0, 150, 100)]
    error = refusal(Drawing([[(5, 20), (195, 20)]], pen=BROAD), keep_outs=clamps)
    union = "shapely.union_all([item.area for item in machine.keep_outs])"
    assert error.mends == (f'.erased({union}.buffer(0.501, join_style="mitre"))',)


# ---- sheets that are round, cut or turned


ROUND = Sheet.round(80, margin=5, at=(20, 10))


def test_towards_the_middle_of_a_round_sheet() -> None:
    """Sixteenths of the way from the middle of the drawing (2, 10) to that of the sheet (40, 40):
    after four of them the left end is 38.7 mm from the middle, after three it was 41.7, and 39.5
    are left to the pen.
    """
    error = refusal(Drawing([[(-1, 10), (5, 10)]], pen=BROAD), ROUND)
    assert len(error.mends) == 2
    move = error.mends[0][len(".moved(") : -1].split(", ")
    assert [float(number) for number in move] == pytest.approx([9.5, 7.5], abs=0.002)
    assert error.mends[1] == '.clipped(sheet.paper.buffer(-0.5, join_style="mitre"))'


def test_into_the_extent_of_a_round_sheet_where_that_is_enough() -> None:
    """The outline of the sheet lies inside its circle by less than 0.001 mm."""
    assert refusal(Drawing([[(-1, 40), (19, 40)]], pen=BROAD), ROUND).mends[0] == (
        ".moved(1.501, 0.000)"
    )


def test_the_rim_is_that_of_the_widest_pen() -> None:
    drawing = Drawing([[(30, 40), (50, 40)]], pen=FINE) + Drawing([[(0, 40), (9, 40)]], pen=BROAD)
    error = refusal(drawing, ROUND)
    assert error.mends[-1] == '.clipped(sheet.paper.buffer(-0.5, join_style="mitre"))'


def test_the_margin_of_a_round_sheet_is_cut_too() -> None:
    error = refusal(Drawing([[(2, 40), (19, 40)]], pen=BROAD), ROUND, margin=True)
    rim = '.clipped(sheet.paper.buffer(-0.5, join_style="mitre"))'
    assert error.mends == (".moved(3.001, 0.000)", f"{rim}.clipped(sheet.area)")


def test_what_no_move_brings_in_is_scaled_into_the_largest_box() -> None:
    """A square of 80 mm in a circle of 75.2: the largest has sides of 75.2 / sqrt 2 = 53.2 mm, by
    the halving of areas no larger than that.
    """
    square = Drawing([[(0, 0), (80, 0), (80, 80), (0, 80), (0, 0)]], pen=BROAD)
    error = refusal(square, ROUND)
    assert error.mends[0].startswith(".fitted(shapely.box(")
    box = shapely.box(*map(float, error.mends[0][len(".fitted(shapely.box(") : -2].split(", ")))
    left, bottom, right, top = box.bounds
    assert right - left == pytest.approx(79 / 2**0.5, abs=0.01)
    assert top - bottom == pytest.approx(79 / 2**0.5, abs=0.01)
    assert (left + right, bottom + top) == pytest.approx((80, 80), abs=0.01)


def test_a_long_line_is_scaled_as_if_it_were_a_hundredth_as_high() -> None:
    error = refusal(Drawing([[(0, 40), (100, 40)]], pen=BROAD), ROUND)
    assert error.mends[0] == ".fitted(sheet.area)"
    room = OutlinedRoom(*_task_of(Drawing([[(0, 40), (100, 40)]], pen=BROAD), ROUND))
    box = list(room.fits())[1].code[len(".fitted(shapely.box(") : -2]
    left, bottom, right, top = map(float, box.split(", "))
    assert right - left == pytest.approx(79, abs=0.02)
    assert top - bottom == pytest.approx(0.79, abs=0.005)


def _task_of(drawing: Drawing, sheet: Sheet) -> Any:
    from plotlib.planning.placing.grid import to_grid

    task = Task(drawing, bench(), sheet, False)
    return task, to_grid(drawing, task.machine, sheet)


def test_a_turned_sheet_that_hangs_off_the_bed_with_pens_aside() -> None:
    """Turned by a right angle its x runs up the bed and its y to the left; 30 mm of it hang off at
    the top. The carriage of the pen stands 4 mm to the left of its ink, which so begins at x = 4.
    """
    sheet = Sheet(100, 50, at=(50, 30), angle=90)
    aside = Pen("aside", 1.0, offset=(4, -2))
    drawing = Drawing([[(20, 20), (80, 20)]], pen=aside)
    error = refusal(drawing, sheet)
    assert error.side == "top"
    assert error.excess == pytest.approx(10)
    room = OutlinedRoom(*_task_of(drawing, sheet))
    assert len(room.parts) == 2
    code, area = room.parts[1]
    assert "shapely.box(4, 0, 200, 98)" in code
    turned = shapely.affinity.translate(shapely.box(4, 0, 200, 98), -50, -30)
    wanted = shapely.affinity.rotate(turned, -90, origin=(0, 0))
    assert area.equals_exact(wanted, 1e-9)
    assert room.free.bounds == pytest.approx((0.5, 0.5, 68, 46))


def test_a_room_that_two_pens_leave_each_other() -> None:
    """Offsets to both sides: what both have in common is named where nothing mends it."""
    left = Pen("left", 1.0, offset=(-150, 0))
    right = Pen("right", 1.0, offset=(150, 0))
    drawing = Drawing([[(60, 5)]], pen=left) + Drawing([[(140, 5)]], pen=right)
    error = refusal(drawing)
    assert error.mends == ()
    assert "bed and sheet have no room in common for a pen 1 mm wide" in str(error)
    task, strokes = _task_of(drawing, None)  # type: ignore[arg-type]
    assert Room(task, strokes).is_empty


def test_a_thousandth_of_rounding_is_left_on_sheets_that_are_cut_and_no_more_on_turned_ones() -> (
    None
):
    """On a grid of millionths, a turned sheet leaves 0.0000007 mm, a round one 0.0001 mm more."""
    pen = Pen("hair", 0.2)
    turned = Sheet(60, 40, at=(100, 20), angle=90)
    bench_of = bench(decimals=6)
    for sheet, beyond, is_refused in ((turned, 5e-5, True), (ROUND, 5e-5, False)):
        middle = 20.0 if sheet is turned else 40.0
        task = Task(
            Drawing([[(0.1 - beyond, middle), (20, middle)]], pen=pen), bench_of, sheet, False
        )
        assert (task.fault(task.drawing) is not None) == is_refused
