"""The proof looks for itself where ink lies: it is given plans of another sheet and of other
keep-outs than the program was made for.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
import shapely

from plotlib.drawing import Drawing
from plotlib.errors import ProofError
from plotlib.gcode.proving.proof import prove
from plotlib.gcode.writer import text_of
from plotlib.machine import Axis, Machine, ServoLift
from plotlib.pen import Pen
from plotlib.planning.plan import plan
from plotlib.sheet import Sheet

BROAD = Pen("broad", 1.0)
FINE = Pen("fine", 0.2)
ASIDE = Pen("aside", 1.0, offset=(5, -2))


def bench(**changes: Any) -> Machine:
    values: dict[str, Any] = {
        "width": 200,
        "height": 100,
        "x": Axis(9_000),
        "y": Axis(9_000),
        "lift": ServoLift("M5", "M3 S90"),
        "feed": 3_000,
        "comments": False,
    }
    return Machine(**{**values, **changes})


def refusal(drawing: Drawing, *, sheet: Sheet | None = None, keep_outs: Any = ()) -> ProofError:
    """What the proof says of a drawing that was planned without sheet and keep-outs."""
    plot = plan(drawing, bench(), keep_order=True, join=None)
    program = text_of(plot)
    prove(program, plot)
    with pytest.raises(ProofError) as caught:
        prove(program, replace(plot, sheet=sheet, machine=bench(keep_outs=keep_outs)))
    return caught.value


def passes(drawing: Drawing, *, sheet: Sheet | None = None, keep_outs: Any = ()) -> None:
    plot = plan(drawing, bench(), keep_order=True, join=None)
    prove(text_of(plot), replace(plot, sheet=sheet, machine=bench(keep_outs=keep_outs)))


TWO = Drawing([[(40, 25), (50, 25)], [(30, 30), (90, 40)]], pen=BROAD)


@pytest.mark.parametrize(
    ("sheet", "side", "by"),
    [
        (Sheet(100, 50, at=(29.6, 10)), "left", 0.1),
        (Sheet(100, 50, at=(20, 24.8)), "bottom", 0.3),
        (Sheet(70.3, 50, at=(20, 10)), "right", 0.2),
        (Sheet(100, 30.1, at=(20, 10)), "top", 0.4),
    ],
)
def test_ink_leaves_the_paper_on_each_side(sheet: Sheet, side: str, by: float) -> None:
    """Half of the pen is 0.5 mm, of which half a unit may be rounding."""
    error = refusal(TWO, sheet=sheet)
    stroke = 0 if side == "bottom" else 1
    assert f"stroke {stroke} leaves the paper by {by - 0.0005:.4g} mm on the {side}" in str(error)
    assert (error.facts["side"], error.facts["stroke"]) == (side, stroke)
    assert error.facts["line"] > 5


def test_paper_just_large_enough_is_enough() -> None:
    passes(TWO, sheet=Sheet(61, 16, margin=0, at=(29.5, 24.5)))
    refusal(TWO, sheet=Sheet(61, 15.999, margin=0, at=(29.5, 24.5)))
    refusal(TWO, sheet=Sheet(61, 16, margin=0, at=(29.501, 24.5)))


def test_ink_in_a_keep_out_by_the_width_of_its_pen() -> None:
    """The second stroke passes (60, 35); a clamp begins 0.4 mm from the first one's end."""
    clamp = shapely.box(50.4, 20, 55, 28)
    error = refusal(TWO, keep_outs=clamp)
    assert "stroke 0 has ink in a keep-out, by 0.0995 mm of its pen's width" in str(error)
    assert (error.facts["side"], error.facts["stroke"]) == ("keep-out", 0)
    passes(TWO, keep_outs=shapely.box(50.5, 20, 55, 28))
    passes(TWO.inked(FINE), keep_outs=clamp)
    mixed = Drawing([[(40, 25), (50, 25)]], pen=BROAD) + Drawing([[(40, 25), (50, 25)]], pen=FINE)
    assert refusal(mixed, keep_outs=clamp).facts["stroke"] == 0
    other = Drawing([[(40, 25), (50, 25)]], pen=FINE) + Drawing([[(40, 25), (50, 25)]], pen=BROAD)
    assert refusal(other, keep_outs=clamp).facts["stroke"] == 1


@pytest.mark.parametrize("box", [(39, 25.4, 51, 28), (39, 20, 51, 24.6), (30, 20, 39.6, 28)])
def test_a_keep_out_on_each_side_of_a_stroke(box: Any) -> None:
    line = Drawing([[(40, 25), (50, 25)]], pen=BROAD)
    assert refusal(line, keep_outs=shapely.box(*box)).facts["side"] == "keep-out"


def test_a_dot_has_the_width_of_its_pen_too() -> None:
    dot = Drawing([[(40, 25)]], pen=BROAD)
    assert "by 0.0995 mm" in str(refusal(dot, keep_outs=shapely.box(40.4, 20, 50, 30)))
    passes(dot, keep_outs=shapely.box(40.5, 20, 50, 30))


def test_the_ink_of_an_offset_pen_lies_beside_the_carriage() -> None:
    """The carriage goes along y = 27 from x = 35 to 45, the ink along y = 25 from 40 to 50."""
    line = Drawing([[(40, 25), (50, 25)]], pen=ASIDE)
    passes(line, sheet=Sheet(11, 1, margin=0, at=(39.5, 24.5)))
    error = refusal(line, sheet=Sheet(11, 1, margin=0, at=(39.7, 24.5)))
    assert "stroke 0 leaves the paper by 0.1995 mm on the left" in str(error)
    assert "stroke 0 has ink in a keep-out" in str(
        refusal(line, keep_outs=shapely.box(47, 25.3, 55, 28))
    )


# ---- sheets that are no rectangles


def test_a_round_sheet() -> None:
    """Its middle is (50, 50) and its radius 40; the stroke ends 39.6 mm from there."""
    sheet = Sheet.round(80, at=(10, 10))
    line = Drawing([[(50, 50), (89.6, 50)]], pen=BROAD)
    error = refusal(line, sheet=sheet)
    assert error.facts["side"] == "edge"
    assert float(str(error).split(" by ")[1].split(" mm")[0]) == pytest.approx(0.1, abs=0.002)
    passes(Drawing([[(50, 50), (89.5, 50)]], pen=BROAD), sheet=sheet)
    passes(line.inked(FINE), sheet=sheet)
    outside = Drawing([[(50, 50), (93, 50)]], pen=BROAD)
    far = refusal(outside, sheet=sheet)
    assert float(str(far).split(" by ")[1].split(" mm")[0]) == pytest.approx(3.5, abs=0.002)


def test_of_several_strokes_the_one_that_leaves_is_named() -> None:
    sheet = Sheet.round(80, at=(10, 10))
    lines = Drawing([[(50, 50), (60, 50)], [(50, 52), (90, 52)], [(50, 54)]], pen=BROAD)
    error = refusal(lines, sheet=sheet)
    assert error.facts["stroke"] == 1
    assert error.facts["line"] > 12


def test_a_hole_and_a_bay_of_the_paper() -> None:
    card = shapely.box(0, 0, 80, 50) - shapely.box(30, 20, 34, 24)
    sheet = Sheet.from_area(card, at=(10, 10))
    passes(Drawing([[(20, 29.5), (60, 29.5)]], pen=BROAD), sheet=sheet)
    error = refusal(Drawing([[(20, 32), (60, 32)]], pen=BROAD), sheet=sheet)
    # On its way through the hole the stroke is 2 mm from both of its edges.
    assert "by" in str(error)
    assert error.facts["side"] == "edge"


def test_a_turned_sheet() -> None:
    """Turned by a right angle about (60, 10): it lies from x = 10 to 60 and y = 10 to 110."""
    sheet = Sheet(100, 50, at=(60, 10), angle=90)
    passes(Drawing([[(10.5, 10.5), (59.5, 80)]], pen=BROAD), sheet=sheet)
    for end in ((59.6, 80), (40, 10.4), (10.4, 30)):
        error = refusal(Drawing([[(30, 30), end]], pen=BROAD), sheet=sheet)
        assert float(str(error).split(" by ")[1].split(" mm")[0]) == pytest.approx(0.1, abs=0.002)
