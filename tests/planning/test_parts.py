from __future__ import annotations

from pathlib import Path
from typing import Any

import hypothesis.strategies as st
import numpy as np
import pytest
from hypothesis import given, settings

from plotlib import gcode
from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue, NoSuchStroke, UnknownName
from plotlib.machine import Axis, Machine, ServoLift
from plotlib.pen import Pen
from plotlib.planning.plan import plan
from plotlib.planning.plot import Plot
from plotlib.testing import drawings

THIN = Pen("thin", 0.2, "#d0d0ff")
BROAD = Pen("broad", 1.0, "#101010")
BENCH = Machine(
    width=225,
    height=250,
    x=Axis(10_000, 500),
    y=Axis(4_000, 250),
    feed=3_000,
    lift=ServoLift("M5", "M3 S90"),
)


def two_pens() -> Plot:
    rows = [[(5, y), (60, y), (60, y + 2)] for y in (10, 20, 30)]
    return plan(Drawing(rows, pen=THIN) + Drawing(rows, pen=BROAD).moved(80, 3), BENCH)


def same(one: Drawing, other: Drawing) -> bool:
    return len(one) == len(other) and all(map(np.array_equal, one, other))


def test_the_whole_is_a_part_with_the_same_cost() -> None:
    plot = two_pens()
    whole = plot.part()
    assert whole.drawing == plot.drawing
    assert whole.cost == pytest.approx(plot.cost, rel=1e-12)
    assert whole.duration == plot.duration
    assert whole.least == plot.least


def test_the_cost_is_in_mm_where_the_plot_is() -> None:
    plot = plan(Drawing([[(5, 5), (9, 9)], [(20, 30), (7, 40)]]), BENCH, metric="distance")
    assert plot.part().cost == pytest.approx(plot.cost, rel=1e-12)


def test_pens_are_chosen_by_name_or_as_values() -> None:
    plot = two_pens()
    for pens in ("broad", BROAD, [BROAD], ["broad"]):
        part = plot.part(pens=pens)
        assert [pen.name for pen in part.drawing.pens] == ["broad"]
        assert len(part.drawing) == 3
    assert plot.part(pens=["thin", BROAD]).drawing == plot.drawing
    with pytest.raises(UnknownName, match="'thin', 'broad'"):
        plot.part(pens="blue")


@pytest.mark.parametrize(
    ("strokes", "numbers"), [(2, [2]), (slice(4, None), [4, 5]), ([5, 0], [0, 5]), ([], [])]
)
def test_strokes_are_chosen_by_number_and_keep_their_order(
    strokes: Any, numbers: list[int]
) -> None:
    plot = two_pens()
    part = plot.part(strokes=strokes)
    assert len(part.drawing) == len(numbers)
    for mine, number in zip(part.drawing, numbers, strict=True):
        assert np.array_equal(mine, plot.drawing[number])


def test_since_a_place_on_a_stroke_leaves_out_what_comes_before() -> None:
    plot = plan(Drawing([[(0, 0), (30, 40), (30, 50)], [(60, 60), (70, 60)]]), BENCH)
    assert plot.part(since=1).drawing == plot.drawing[1:]
    part = plot.part(since=(0, 25.0))
    assert part.drawing[0].tolist() == [[15.0, 20.0], [30.0, 40.0], [30.0, 50.0]]
    assert plot.part(since=(0, 50.0)).drawing[0].tolist() == [[30.0, 40.0], [30.0, 50.0]]
    assert plot.part(since=(0, 60.0)).drawing[0].tolist() == [[30.0, 50.0]]  # the last dot of it


def test_what_is_not_there_is_refused() -> None:
    plot = two_pens()
    with pytest.raises(NoSuchStroke, match="there is no stroke 6; the plot has 6"):
        plot.part(since=6)
    with pytest.raises(InvalidValue, match=r"57 mm long, and 57\.1 mm along it is beyond its end"):
        plot.part(since=(0, 57.1))
    for wrong in ("a", 0.5, (1, 2, 3), (1, -1), None):
        with pytest.raises((InvalidValue, NoSuchStroke)):
            plot.part(strokes=wrong, since="x")
    with pytest.raises(InvalidValue, match="slice of whole numbers"):
        plot.part(strokes=slice("a"))


@settings(max_examples=25, deadline=None)
@given(drawings(BENCH), st.data())
def test_a_part_and_what_comes_before_it_are_the_whole(drawing: Drawing, data: Any) -> None:
    plot = plan(drawing, BENCH)
    if not len(plot.drawing):
        assert plot.part() == plot
        return
    stroke = data.draw(st.integers(0, len(plot.drawing) - 1))
    length = plot.drawing[stroke : stroke + 1].length
    along = data.draw(st.floats(0, length))
    rest = plot.part(since=(stroke, along))
    assert same(rest.drawing[1:], plot.drawing[stroke + 1 :])
    left = rest.drawing[:1].length
    assert left == pytest.approx(length - along, abs=2 * BENCH.unit)
    text_of_rest(rest)


def text_of_rest(rest: Plot) -> None:
    """A part is written and proven as every plot."""
    from plotlib.gcode.proving.proof import prove
    from plotlib.gcode.writer import text_of

    prove(text_of(rest), rest)


def test_a_part_is_a_proven_file(tmp_path: Path) -> None:
    path = tmp_path / "rest.gcode"
    gcode.write(two_pens().part(since=(3, 12.25)), path)
    assert len(gcode.read(path, BENCH)) == 3
