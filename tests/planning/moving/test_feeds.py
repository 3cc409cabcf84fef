from __future__ import annotations

import numpy as np
import pytest

from plotlib.machine import Axis, Machine, ServoLift
from plotlib.pen import Pen
from plotlib.planning.moving.feeds import stroke_feeds


@pytest.mark.parametrize("step", [(10, 0), (10, 7), (7, 10), (0, 10)])
def test_the_slowest_axis_still_has_a_feed(step: tuple[int, int]) -> None:
    machine = Machine(
        width=50,
        height=50,
        x=Axis(0.001),
        y=Axis(0.001),
        feed=3_000,
        lift=ServoLift("M5", "M3 S90"),
    )
    points = np.array([(0, 0), step])
    feeds = stroke_feeds(points, np.array([0, 2]), np.array([0]), (Pen("pen"),), machine)
    assert feeds.tolist() == [0.001]
