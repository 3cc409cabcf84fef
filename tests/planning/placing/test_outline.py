"""Ink on sheets that are round, cut to shape or turned, against rulers of our own: complex numbers
and circles, no areas.
"""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path
from typing import Any

import hypothesis.strategies as st
import numpy as np
import pytest
import shapely
from hypothesis import given, settings

from plotlib import gcode, shapes
from plotlib.drawing import Drawing
from plotlib.errors import OutsideEnvelope, PlotlibError
from plotlib.machine import Axis, Machine, ServoLift
from plotlib.pen import Pen
from plotlib.planning.plan import plan
from plotlib.sheet import Sheet
from plotlib.testing import drawings

BENCH = Machine(
    width=300,
    height=300,
    x=Axis(10_000),
    y=Axis(4_000),
    lift=ServoLift("M5", "M3 S90"),
    feed=3_000,
)
SLACK = 0.0009  # mm: half the diagonal of a cell of 0.001 mm, and the round outline's 0.0001


def is_refused(drawing: Drawing, sheet: Sheet, **options: Any) -> bool:
    try:
        plan(drawing, BENCH, sheet=sheet, effort="quick", join=None, keep_order=True, **options)
    except OutsideEnvelope:
        return True
    return False


@settings(max_examples=25, deadline=None)
@given(
    drawings((5, 5, 75, 75)),
    st.floats(40, 95),
    st.floats(-180, 180),
    st.sampled_from([0.3, 2.0]),
    st.booleans(),
)
def test_a_round_sheet_takes_what_lies_in_its_circle(
    drawing: Drawing, diameter: float, angle: float, width: float, in_margin: bool
) -> None:
    """A straight stroke is farthest from the middle at one of its ends."""
    sheet = Sheet.round(diameter, margin=3, at=(100, 100)).turned(angle)
    inked = drawing.inked(Pen("of that width", width))
    radius = diameter / 2
    far = max((math.hypot(x - radius, y - radius) for x, y in inked.points), default=0.0)
    room = min(radius - width / 2, radius - 3 if in_margin else math.inf)
    if abs(far - room) > 2 * SLACK:
        refuse = ("margin",) if in_margin else ()
        assert is_refused(inked, sheet, refuse=refuse) == (far > room)


@settings(max_examples=25, deadline=None)
@given(drawings((5, 5, 75, 75)), st.floats(30, 90), st.floats(30, 90), st.floats(-180, 180))
def test_a_turned_sheet_takes_what_it_takes_straight(
    drawing: Drawing, width: float, height: float, angle: float
) -> None:
    straight = Sheet(width, height, margin=2, at=(150, 150))  # on the bed however it turns
    is_clear = [
        abs(gap) > 2 * SLACK
        for x, y in drawing.points
        for half in [pen.width / 2 for pen in drawing.pens]
        for gap in (x - half, y - half, width - half - x, height - half - y)
    ]
    if all(is_clear):
        assert is_refused(drawing, replace(straight, angle=angle)) == is_refused(drawing, straight)


def test_a_drawing_lies_where_the_turned_sheet_lies() -> None:
    sheet = Sheet(100, 60, margin=5, at=(120, 40), angle=25)
    stroke = np.array([(10, 10), (90, 50), (50, 12.5)])
    plot = plan(Drawing([stroke]), BENCH, sheet=sheet)
    spin = np.exp(1j * np.radians(25))
    wanted = (stroke[:, 0] + 1j * stroke[:, 1]) * spin + (120 + 40j)
    drawn = plot.drawing.points
    along = drawn if np.hypot(*(drawn[0] - (wanted[0].real, wanted[0].imag))) < 1 else drawn[::-1]
    assert along == pytest.approx(np.stack([wanted.real, wanted.imag], axis=1), abs=0.0006)
    assert "turned by 25 degrees" in str(plot)


def test_edge_exact_on_a_round_sheet_and_a_hair_beyond() -> None:
    sheet = Sheet.round(90, margin=5, at=(20, 30))
    pen = Pen("fine", 0.4)
    assert plan(shapes.circle((45, 45), 44.8, pen=pen), BENCH, sheet=sheet).drawing.length > 270
    assert plan(shapes.circle((45, 45), 40, pen=pen), BENCH, sheet=sheet, refuse="margin")
    with pytest.raises(OutsideEnvelope, match=r"leaves the paper .* by 0\.00[34]") as caught:
        plan(shapes.circle((45, 45), 44.803, pen=pen), BENCH, sheet=sheet)
    assert (caught.value.side, caught.value.count) == ("edge", 1)
    noted = plan(shapes.circle((45, 45), 40.5, pen=pen), BENCH, sheet=sheet).warnings
    assert "enters the sheet's margin by 0.500 mm" in noted[0]


def test_a_stroke_across_a_notch_leaves_the_paper_though_both_its_ends_lie_on_it() -> None:
    card = shapely.Polygon([(0, 0), (80, 0), (80, 60), (48, 60), (40, 20), (32, 60), (0, 60)])
    sheet = Sheet.from_area(card, margin=2, at=(10, 10))
    with pytest.raises(OutsideEnvelope, match="leaves the paper") as caught:
        plan(Drawing([[(20, 40), (60, 40)], [(5, 5), (75, 5)]]), BENCH, sheet=sheet)
    # The middle of the notch at that height, 4 mm from each of its flanks across.
    slant = 4 * 40 / math.hypot(40, 8)
    assert caught.value.excess == pytest.approx(slant + 0.2, abs=0.05)
    assert (caught.value.stroke, caught.value.count) == (0, 1)


@pytest.mark.parametrize(
    ("hole", "margin", "refuse"),
    [(shapely.box(39.5, 10, 40.5, 40), 0, ()), (shapely.box(39.9, 10, 40.1, 40), 1, "margin")],
)
def test_joining_adds_no_ink_across_a_hole_of_the_paper(
    hole: Any, margin: float, refuse: Any, tmp_path: Path
) -> None:
    sheet = Sheet.from_area(shapely.box(0, 0, 80, 50) - hole, margin=margin, at=(10, 10))
    apart = Drawing([[(10, 25), (38.8, 25)], [(41.2, 25), (70, 25)]])
    near = Drawing([[(10, 5), (38.8, 5)], [(41.2, 5), (70, 5)]])
    plot = plan(apart + near, BENCH, sheet=sheet, join=3, refuse=refuse)
    assert (len(plot.drawing), plot.joining_ink) == (3, pytest.approx(2.4))
    gcode.write(plot, tmp_path / "tag.gcode")


def test_a_turned_sheet_that_hangs_off_the_bed_is_told_by_its_corner() -> None:
    sheet = Sheet(100, 60, at=(20, 10), angle=30)  # its upper left corner is 30 mm to the left
    plot = plan(Drawing([[(60, 20), (70, 30)]]), BENCH, sheet=sheet)
    assert plot.warnings[0] == "the paper hangs off the bed by 10 mm on the left"
    with pytest.raises(OutsideEnvelope, match="lay it at=") as caught:
        plan(Drawing([[(60, 20), (70, 30)]]), BENCH, sheet=sheet, refuse="paper")
    told = str(caught.value).rpartition("at=(")[2].rstrip(")").split(", ")
    moved = replace(sheet, at=(float(told[0]), float(told[1])))
    assert plan(Drawing([[(60, 20), (70, 30)]]), BENCH, sheet=moved, refuse="paper")


@pytest.mark.parametrize(
    "smaller",
    [
        Sheet.round(70, margin=2, at=(60, 60)),
        Sheet(70, 70, margin=2, at=(60, 60), angle=20),
        Sheet.from_area(
            shapely.box(0, 0, 90, 90) - shapely.box(44, 40, 46, 50), margin=1, at=(50, 50)
        ),
    ],
)
def test_no_file_is_kept_whose_ink_leaves_such_a_sheet(smaller: Sheet, tmp_path: Path) -> None:
    """The proof looks for itself: here the plan is told of another sheet after it was made."""
    sheet = Sheet.round(90, margin=2, at=(50, 50))
    drawing = Drawing([[(20, 45), (70, 45)]]) + shapes.circle((45, 45), 42)
    plot = plan(drawing, BENCH, sheet=sheet)
    gcode.write(plot, tmp_path / "round.gcode")
    with pytest.raises(PlotlibError, match="leaves the paper"):
        gcode.write(replace(plot, sheet=smaller), tmp_path / "smaller.gcode")
    assert not (tmp_path / "smaller.gcode").exists()


def test_several_strokes_beyond_a_round_edge_are_counted_in_plain_english() -> None:
    coaster = Sheet.round(90, at=(20, 20))
    out = Drawing([[(40, 45), (89.9, 45)], [(45, 40), (45, 95)], [(40, 40), (50, 50)]])
    with pytest.raises(OutsideEnvelope, match=r"; 2 strokes do, this one the farthest; ") as caught:
        plan(out, BENCH, sheet=coaster)
    assert (caught.value.stroke, caught.value.facts["count"]) == (1, 2)
