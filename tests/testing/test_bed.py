from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import shapely

from plotlib import gcode
from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue
from plotlib.machine import Axis, KeepOut, Machine, ServoLift
from plotlib.planning.plan import plan
from plotlib.sheet import Sheet
from plotlib.testing import assert_on_bed, drawings


def bench(**changes: Any) -> Machine:
    values: dict[str, Any] = {
        "width": 225,
        "height": 250,
        "x": Axis(10_000, 500),
        "y": Axis(4_000, 250),
        "feed": 3_000,
    }
    return Machine(**{**values, "lift": ServoLift("M5", "M3 S90"), **changes})


CROSS = Drawing([[(10, 55), (90, 55)], [(10, 100), (90, 100)]])


def test_what_stays_on_the_bed_passes(tmp_path: Path) -> None:
    plot = plan(CROSS, bench())
    gcode.write(plot, tmp_path / "a.gcode")
    for thing in (
        CROSS,
        plot,
        tmp_path / "a.gcode",
        str(tmp_path / "a.gcode"),
        (tmp_path / "a.gcode").read_text(),
    ):
        assert_on_bed(thing, bench())


def test_one_unit_over_is_told_with_its_culprit(tmp_path: Path) -> None:
    plot = plan(CROSS, bench())
    small = bench(width=89.999)
    gcode.write(plot, tmp_path / "a.gcode")
    for thing in (CROSS, plot, tmp_path / "a.gcode"):
        with pytest.raises(AssertionError, match=r"0\.001 mm on the right.*smallest culprit"):
            assert_on_bed(thing, small)


def test_ink_in_a_keep_out_is_told_whatever_the_thing_is(tmp_path: Path) -> None:
    plot = plan(CROSS, bench())
    kept = bench(keep_outs=shapely.box(50, 50, 60, 60))
    gcode.write(plot, tmp_path / "a.gcode")
    for thing in (CROSS, plot, tmp_path / "a.gcode"):
        with pytest.raises(AssertionError, match="keep-out"):
            assert_on_bed(thing, kept)


def test_travel_over_a_closed_keep_out_is_told(tmp_path: Path) -> None:
    plot = plan(Drawing([[(10, 10), (10, 90)], [(90, 90), (90, 10)]]), bench())
    gcode.write(plot, tmp_path / "a.gcode")
    for thing in (plot, tmp_path / "a.gcode"):
        assert_on_bed(thing, bench(keep_outs=KeepOut(shapely.box(40, 80, 60, 100))))
        with pytest.raises(AssertionError, match="keep-out"):
            assert_on_bed(
                thing, bench(keep_outs=KeepOut(shapely.box(40, 80, 60, 100), passable=False))
            )


def test_a_plot_is_measured_on_its_own_grid() -> None:
    plot = plan(CROSS, bench(decimals=1))
    assert_on_bed(plot, bench(decimals=3))
    assert_on_bed(plan(CROSS, bench(decimals=3)), bench(decimals=1))
    with pytest.raises(AssertionError, match="on the top"):
        assert_on_bed(plan(CROSS, bench(decimals=1, park=(0, 250))), bench(height=200, decimals=3))


def test_only_a_machine_has_a_bed() -> None:
    for thing in (CROSS, plan(CROSS, bench()), "G21\n"):
        with pytest.raises(InvalidValue, match="machine must be a Machine"):
            assert_on_bed(thing, None)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    "within",
    [
        Sheet(100, 80),
        shapely.box(0, 0, 9, 9),
        (9, 0, 0, 9),
        (0, 9, 9, 0),
        (0, 0, 9),
        None,
        "abcd",
        [[1, 2], [3, 4], 5, 6],
    ],
)
def test_drawings_lie_within_a_machine_or_bounds(within: Any) -> None:
    with pytest.raises(InvalidValue, match=r"within must be"):
        drawings(within)


def test_the_most_strokes_are_a_whole_number() -> None:
    with pytest.raises(InvalidValue, match="most must be"):
        drawings(most=1.5)  # type: ignore[arg-type]
