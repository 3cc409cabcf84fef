"""Ink that planning adds, between joined strokes and along arcs, in a margin that is not refused:
it is told as that of plain strokes is.
"""

from __future__ import annotations

import numpy as np
import pytest
from shapely import box

from plotlib.drawing import Drawing
from plotlib.machine import Axis, Machine, ServoLift
from plotlib.pen import Pen
from plotlib.planning.plan import plan
from plotlib.sets import plan_tray
from plotlib.sheet import Sheet

AXIS = Axis(9_000, 600)
LIFT = ServoLift("M5", "M3 S90")
MACHINE = Machine(width=200, height=150, x=AXIS, y=AXIS, lift=LIFT, feed=2_000)
ARCS = Machine(
    width=200, height=150, x=AXIS, y=AXIS, lift=LIFT, feed=2_000, arcs=True, arc_tolerance=0.1
)

# A sheet with a notch from above that ends at y = 50.5; strokes end at both sides of its margin.
NOTCHED = box(0, 0, 80, 60).difference(box(39.95, 50.5, 40.05, 60))
BESIDE = Drawing([[(20, 50), (38.9, 50)], [(41.1, 50), (60, 50)]], pen=Pen("fine", 0.3))


def ring(right: float) -> Drawing:
    """A ring of 24 corners whose rightmost ones have this x; its circle goes 0.043 mm farther."""
    angles = np.radians(np.arange(7.5, 367.5, 15))
    corners = 40 + 5 * np.column_stack([np.cos(angles), np.sin(angles)])
    corners[:, 0] += right - corners[:, 0].max()
    return Drawing([np.vstack([corners, corners[:1]])])


SHEETS = {
    "plain": Sheet(80, 80, margin=10),
    "shaped": Sheet.from_area(box(0, 0, 80, 80), margin=10),
    "turned": Sheet(80, 80, margin=10, at=(80, 0), angle=90),
}


@pytest.mark.parametrize("sheet", SHEETS.values(), ids=SHEETS)
def test_an_arc_that_bulges_into_the_margin_is_told(sheet: Sheet) -> None:
    plot = plan(ring(70), ARCS, sheet=sheet)
    (told,) = plot.warnings
    assert "stroke 0 enters the sheet's margin by 0.043 mm" in told
    assert "as it is drawn" in told
    assert 'refuse="margin"' in told
    assert plan(ring(70), MACHINE, sheet=sheet).warnings == ()
    assert plan(ring(70), ARCS, sheet=sheet, refuse="margin").warnings == ()
    assert plan(ring(69.95), ARCS, sheet=sheet).warnings == ()


def test_an_arc_into_the_margin_of_a_sheet_on_a_tray_is_told() -> None:
    cards = Sheet(80, 80, margin=10).many(2, 1, pitch=90)
    (told,) = plan_tray([ring(70), ring(69.9)], cards, ARCS).warnings
    assert "enters the sheet's margin by 0.043 mm" in told
    assert "(70.043, " in told
    assert plan_tray([ring(70), ring(69.9)], cards, MACHINE).warnings == ()
    assert plan_tray([ring(69.9)], cards, ARCS).warnings == ()


def test_a_link_through_a_margin_is_told() -> None:
    sheet = Sheet.from_area(NOTCHED, margin=1)
    joined = plan(BESIDE, MACHINE, sheet=sheet, join=2.5)
    assert len(joined.drawing) == 1
    (told,) = joined.warnings
    assert "stroke 0 enters the sheet's margin by 0.5" in told
    assert "as it is drawn" in told
    apart = plan(BESIDE, MACHINE, sheet=sheet, join=2.5, refuse="margin")
    assert len(apart.drawing) == 2
    assert apart.warnings == ()
    assert plan(BESIDE, MACHINE, sheet=sheet).warnings == ()


def test_what_was_given_is_told_once() -> None:
    """Corners in the margin are told by the numbers of the drawing; their arc, as it goes farther,
    too.
    """
    sheet = SHEETS["plain"]
    given = ring(70.5)
    assert len(plan(given, MACHINE, sheet=sheet).warnings) == 1
    first, second = plan(given, ARCS, sheet=sheet).warnings
    assert "by 0.500 mm" in first
    assert "by 0.543 mm" in second
    both = given + ring(71)
    assert len(plan(both, ARCS, sheet=sheet).warnings) == 2
