"""Whatever a refusal advises, done once, is accepted: the code in the message is run as printed."""

from __future__ import annotations

import re
from typing import Any

import hypothesis.strategies as st
import numpy as np
import pytest
import shapely
from hypothesis import HealthCheck, given, settings

from plotlib.drawing import Drawing
from plotlib.errors import OutsideEnvelope
from plotlib.machine import Axis, KeepOut, Machine, ServoLift
from plotlib.pen import Pen
from plotlib.planning.placing.advice import Task, check_envelope
from plotlib.planning.plan import plan
from plotlib.sheet import Sheet
from plotlib.testing import drawings

PENS = (Pen("fine", 0.2), Pen("blue", 0.4), Pen("broad", 0.8), Pen("brush", 5.0))
ADVICE = re.compile(r"drawing\.(?:moved|fitted|clipped|erased)\(")


@st.composite
def machines_and_sheets(draw: Any) -> tuple[Machine, Sheet | None]:
    decimals = draw(st.integers(0, 4))
    width, height = (round(draw(st.floats(40, 300)), decimals) for _ in "xy")
    areas = draw(st.lists(areas_on(width, height, 10.0**-decimals), max_size=2))
    machine = Machine(
        width=width,
        height=height,
        x=Axis(10_000, 500),
        y=Axis(4_000, 250),
        lift=ServoLift("M5", "M3 S90"),
        feed=3_000,
        decimals=decimals,
        keep_outs=areas,
    )
    at = (draw(st.floats(-20, width / 2)), draw(st.floats(-20, height / 2)))
    size = (draw(st.floats(10, width)), draw(st.floats(10, height)))
    margin = draw(st.floats(0, 4))
    sheet = Sheet(*size, margin=margin, at=at)
    turned = Sheet(*size, margin=margin, at=at, angle=draw(st.floats(-180, 180)))
    disc = Sheet.round(min(size), margin=margin, at=at)
    notched = Sheet.from_area(notch(*size), margin=margin / 4, at=at).turned(turned.angle)
    return machine, draw(st.sampled_from([None, sheet, turned, disc, notched]))


def notch(width: float, height: float) -> shapely.Polygon:
    """A card with a deep notch in its upper edge."""
    corners = [(0, 0), (1, 0), (1, 1), (0.6, 1), (0.5, 0.4), (0.4, 1), (0, 1)]
    return shapely.Polygon(np.array(corners) * (width, height))


def areas_on(width: float, height: float, unit: float) -> Any:
    middle = st.tuples(st.floats(0, width), st.floats(0, height))
    radius = st.floats(max(2 * unit, 1), 30)
    kinds = st.sampled_from([0.0, 0.3, 1.1])
    return st.builds(_area, middle, radius, kinds)


def _area(middle: tuple[float, float], radius: float, turn: float) -> shapely.Polygon:
    """A disc, or a slanting bar with sharp corners."""
    if not turn:
        return shapely.Point(middle).buffer(radius)
    corners = np.array([(-1, -1), (1, -1), (1.4, 1), (-1, 1)]) * (radius + 4, radius / 2 + 4)
    spin = np.array([(np.cos(turn), np.sin(turn)), (-np.sin(turn), np.cos(turn))])
    return shapely.Polygon(corners @ spin + middle)


@st.composite
def tasks(draw: Any) -> Task:
    machine, sheet = draw(machines_and_sheets())
    x0, y0 = draw(st.floats(-50, 100)), draw(st.floats(-50, 100))
    across, up = draw(st.floats(1, 300)), draw(st.floats(1, 300))
    drawing = draw(drawings((x0, y0, x0 + across, y0 + up)))
    if draw(st.booleans()):
        drawing = drawing.inked(draw(st.sampled_from(PENS)))
    return Task(drawing, machine, sheet, margin=sheet is not None and draw(st.booleans()))


def printed(message: str) -> list[str]:
    """The pieces of code in a message."""
    advice = message.rpartition("mend it by ")[2] if "mend it by " in message else ""
    return [piece for piece in advice.split(" or ") if ADVICE.match(piece)]


def obeyed(code: str, task: Task) -> Drawing:
    """What the code in a message makes of the drawing, run as a user would."""
    names = {
        "drawing": task.drawing,
        "machine": task.machine,
        "sheet": task.sheet,
        "shapely": shapely,
    }
    drawing = eval(code, names)
    assert isinstance(drawing, Drawing)
    return drawing


@settings(
    max_examples=300,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)
@given(tasks())
def test_what_a_refusal_advises_is_accepted_when_done_once(task: Task) -> None:
    if task.fault(task.drawing) is None:
        return
    with pytest.raises(OutsideEnvelope) as caught:
        check_envelope(task)
    message = str(caught.value)
    pieces = printed(message)
    assert pieces == [f"drawing{mend}" for mend in caught.value.mends]
    assert pieces or "no room in common" in message
    refuse = "margin" if task.margin else ()
    for piece in pieces:
        plan(obeyed(piece, task), task.machine, sheet=task.sheet, refuse=refuse, keep_order=True)


@pytest.mark.parametrize(
    ("at", "first"),
    [((0.0, 0.0), ".moved("), ((-30.0, 12.5), ".moved("), ((150.0, 0.0), ".fitted(")],
)
def test_in_sheet_millimetres_and_with_half_the_pen(at: tuple[float, float], first: str) -> None:
    """Paper that lies askew on the bed leaves a room that only the drawing's mm can name."""
    machine = Machine(
        width=200,
        height=150,
        x=Axis(10_000),
        y=Axis(4_000),
        lift=ServoLift("M5", "M3 S90"),
        feed=3_000,
    )
    sheet = Sheet(120, 100, at=at)
    drawing = Drawing([[(-3, 10), (70, 30)]], pen=PENS[2])
    task = Task(drawing, machine, sheet, margin=False)
    with pytest.raises(OutsideEnvelope) as caught:
        plan(drawing, machine, sheet=sheet)
    assert caught.value.mends[0].startswith(first)
    assert len(caught.value.mends) == 2
    for mend in caught.value.mends:
        plan(obeyed(f"drawing{mend}", task), machine, sheet=sheet)


@pytest.mark.parametrize(
    ("box", "stroke", "mend"),
    [
        ((0, 0, 30, 150), [(20, 20), (60, 20)], ".moved(10.202, 0.000)"),
        ((170, 0, 200, 150), [(140, 20), (180, 20)], ".moved(-10.202, 0.000)"),
        ((0, 0, 200, 30), [(20, 20), (20, 60)], ".moved(0.000, 10.202)"),
        ((0, 120, 200, 150), [(20, 90), (20, 130)], ".moved(0.000, -10.202)"),
    ],
)
def test_a_move_past_the_keep_out_is_found(box: Any, stroke: Any, mend: str) -> None:
    """Each of the four ways, by half the pen's width and two units more than needed."""
    machine = Machine(
        width=200,
        height=150,
        x=Axis(10_000),
        y=Axis(4_000),
        lift=ServoLift("M5", "M3 S90"),
        feed=3_000,
        keep_outs=[KeepOut(shapely.box(*box))],
    )
    with pytest.raises(OutsideEnvelope) as caught:
        plan(Drawing([stroke]), machine)
    assert caught.value.mends[0] == mend


def test_a_sheet_beside_the_bed_has_no_room() -> None:
    machine = Machine(
        width=200,
        height=150,
        x=Axis(10_000),
        y=Axis(4_000),
        lift=ServoLift("M5", "M3 S90"),
        feed=3_000,
    )
    with pytest.raises(OutsideEnvelope, match="no room in common") as caught:
        plan(Drawing([[(1, 1)]]), machine, sheet=Sheet(50, 50, at=(300, 0)))
    assert caught.value.mends == ()
