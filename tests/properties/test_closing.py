"""Laws of rings whose ends meet only but for the last bits."""

from __future__ import annotations

import hypothesis.strategies as st
import numpy as np
import pytest
import shapely
from hypothesis import given, settings

import plotlib as pl
from plotlib.arrays.ragged import MEET
from plotlib.checks import FloatArray
from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue, OutsideEnvelope


def turn(centre: tuple[float, float], radius: float, phase: float, corners: int) -> FloatArray:
    """A circle as everyone writes it: its last point is its first but for rounding."""
    angle = np.linspace(0, 2 * np.pi, corners) + phase
    return np.column_stack((np.cos(angle), np.sin(angle))) * radius + centre


coordinate = st.floats(-900, 900)
circles = st.builds(
    turn,
    st.tuples(coordinate, coordinate),
    st.floats(0.5, 300),
    st.floats(-50, 50),
    st.integers(5, 200),
)


@settings(deadline=None)
@given(circles)
def test_a_circle_by_sine_and_cosine_is_closed_filled_and_cut(ring: FloatArray) -> None:
    drawing = Drawing([ring])
    area = shapely.Polygon(ring[:-1]).area
    assert drawing.is_closed.all()
    assert pl.regions.as_region(drawing).area == pytest.approx(area)
    assert pl.regions.silhouette(drawing).area == pytest.approx(area)
    left, bottom, right, top = drawing.bounds or (0, 0, 0, 0)
    chord = pl.shapes.line((left - 9, (bottom + top) / 2), (right + 9, (bottom + top) / 2))
    inner = chord.clipped(drawing).length
    assert inner == pytest.approx(
        shapely.Polygon(ring[:-1]).intersection(chord.to_shapely()[0]).length
    )
    assert chord.erased(drawing).length == pytest.approx(chord.length - inner)
    assert pl.regions.stack([chord, drawing])[:-1].length == pytest.approx(chord.length - inner)
    assert len(pl.fills.hatch(drawing, spacing=(right - left) / 8)) > 4


@settings(deadline=None)
@given(circles, st.floats(0, 1))
def test_a_cut_ring_is_one_piece_where_it_begins(ring: FloatArray, share: float) -> None:
    """The part of a circle on one side of a line across it is one arc, wherever the circle
    begins.
    """
    left, bottom, right, top = Drawing([ring]).bounds or (0, 0, 0, 0)
    level = bottom + (top - bottom) * (0.1 + 0.8 * share)
    above = shapely.box(left - 1, level, right + 1, top + 1)
    assert len(Drawing([ring]).clipped(above)) == 1
    assert len(Drawing([ring]).erased(above)) == 1


@settings(deadline=None, max_examples=25)
@given(st.floats(8, 20), st.floats(-50, 50), st.integers(12, 200))
def test_a_keep_out_of_such_rings_is_obeyed(radius: float, phase: float, corners: int) -> None:
    clamp = Drawing([turn((50, 50), radius, phase, corners)])
    machine = pl.Machine(
        width=100,
        height=100,
        x=pl.Axis(6_000, 500),
        y=pl.Axis(6_000, 500),
        lift=pl.ServoLift("M5", "M3 S90"),
        feed=3_000,
        keep_outs=[clamp],
    )
    through = pl.shapes.line((50 - radius / 4, 50), (50 + radius / 4, 50))
    with pytest.raises(OutsideEnvelope) as caught:
        pl.plan(through, machine)
    assert caught.value.side == "keep-out"
    assert len(pl.plan(pl.shapes.line((1, 1), (9, 1)), machine).drawing) == 1


@given(circles, st.floats(2, 5_000))
def test_ends_farther_apart_are_open_and_the_message_tells_by_how_much(
    ring: FloatArray, times: float
) -> None:
    ring[-1] = ring[0] + (times * MEET, 0)
    drawing = Drawing([ring])
    assert not drawing.is_closed.any()
    with pytest.raises(
        InvalidValue, match=r"region .* stroke 0 is open.*mm away.*closed=True"
    ) as error:
        pl.regions.as_region(drawing)
    assert error.value.facts["gap"] == pytest.approx(times * MEET, rel=1e-3)
