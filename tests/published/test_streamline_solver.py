"""Streamlines against a general solver of differential equations."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from shapely import box

from plotlib import fields
from tests.outside import LIBRARY, Within, published


@published(
    module="fields",
    source="DOP853 at 1e-12, by length of arc",
    kind=LIBRARY,
    against="scipy.integrate.solve_ivp",
    abs=0.02,
    claim="ends of streamlines, mm",
)
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_streamlines_end_where_a_general_solver_ends(seed: int, within: Within) -> None:
    flow = fields.perlin(scale=40, seed=seed).curl()

    def along(_: float, at: np.ndarray) -> np.ndarray:
        u, v = flow(*at)
        return np.array([u, v]) / math.hypot(u, v)

    area = box(-500, -500, 500, 500)
    line = fields.streamline(flow, (12.3, 7.1), area, length=40, both_ways=False, tolerance=1e-3)
    solved = solve_ivp(along, (0, line.length), (12.3, 7.1), "DOP853", rtol=1e-12, atol=1e-12)
    assert line.length == pytest.approx(40, abs=0.1)
    assert np.hypot(*(line.points[-1] - solved.y[:, -1])) <= within.abs
