"""Bands, scribbles and flows: what their kernels promise."""

from __future__ import annotations

import numpy as np
import pytest

from plotlib import images
from plotlib.images.eikonal_kernel import sweep
from plotlib.images.printing import printed
from plotlib.images.tangents import tangent_flow
from tests.images.pictures import PEN
from tests.outside import COMPUTED, MEMORY, published


@published(
    module="images",
    source="the eikonal equation; first order (H. Zhao, 2005)",
    kind=COMPUTED,
    abs=1.1,
)
def test_waves_from_a_point_arrive_by_distance(within):
    # the eikonal equation of slowness 1 has the distance as its solution; first order, so the
    # error is of the size of a cell times its logarithm (H. Zhao 2005)
    time = np.full((81, 81), np.inf)
    time[40, 30] = 0.0
    slowness = np.ones((81, 81))
    while sweep(time, slowness, 0.5) > 1e-9:
        pass
    y, x = np.mgrid[:81, :81] * 0.5
    assert np.abs(time - np.hypot(x - 15, y - 20)).max() < within.abs
    assert time[40] == pytest.approx(np.abs(x[40] - 15), abs=1e-9)


def test_levels_draw_the_plain_iso_lines():
    tone = images.Tone(np.linspace(0, 1, 50)[None, :].repeat(30, axis=0), (0, 0, 50, 30))
    lines = images.tone_bands(tone, levels=[0.25, 0.75], pen=PEN)
    assert len(lines) == 2
    assert sorted(stroke[:, 0].mean() for stroke in lines) == pytest.approx([12.75, 37.25], abs=0.1)


@published(module="images", source="H. Kang, S. Lee, C. K. Chui, 2007", kind=MEMORY, abs=0.1)
def test_tangents_run_along_the_edges(within):
    # rings round a middle: tangents are at right angles to the radius (Kang, Lee, Chui 2007)
    y, x = np.mgrid[:80, :80] - 39.5
    away = np.hypot(x, y)
    u, v = tangent_flow(0.5 + 0.5 * np.sin(away / 5))
    ring = (away > 15) & (away < 30)
    radial = np.abs(u * x + v * y) / away
    assert np.median(radial[ring]) < within.abs
    assert np.hypot(u, v) == pytest.approx(1.0)


def test_a_scribble_leaves_nothing_that_it_could_darken():
    tone = images.Tone([[0.6, 0.3]], (0, 0, 40, 20))
    drawing = images.scribbled(tone, pen=PEN)
    share = printed(drawing, tone.extent, 2, 4)
    assert share[:, 0] == pytest.approx(0.4, abs=0.06)
    assert share[:, 3] == pytest.approx(0.7, abs=0.06)


def test_three_cells_meet_at_a_corner():
    drawing = images.cells(images.Tone([[0.5]], (0, 0, 30, 30)), pen=PEN)
    first = drawing.points[drawing.offsets[:-1]]
    last = drawing.points[drawing.offsets[1:] - 1]
    ends = np.round(np.concatenate([first, last]), 2)
    inner = ends[(np.abs(ends - 15) < 12).all(axis=1)]
    _, counts = np.unique(inner, axis=0, return_counts=True)
    assert np.median(counts) == 3
