"""What may be shown beside the ink."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
import shapely

from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue
from plotlib.machine import Axis, Machine, ServoLift
from plotlib.pen import Pen
from plotlib.planning.plan import plan
from plotlib.planning.plot import Plot
from plotlib.preview import image, png
from plotlib.preview.marks import RULER, Marks, scene
from plotlib.preview.picture import pixels
from plotlib.sheet import Sheet

PAPER = (0xFC, 0xFA, 0xF5)
BED = (0xD9, 0xCF, 0xBA)
STRIP = (0xEC, 0xE5, 0xD6)
SHEET = Sheet(50, 30, margin=5, at=(10, 5))
DPI = 127  # five pixels a mm


def planned() -> Plot:
    machine = Machine(
        width=80,
        height=60,
        x=Axis(6_000, 500),
        y=Axis(6_000, 500),
        lift=ServoLift(up="M5", down="M3 S90"),
        feed=2_000,
        keep_outs=[shapely.box(65, 40, 75, 55)],
    )
    strokes = [[(8, 8), (42, 8)], [(8, 22), (42, 22)]]
    return plan(Drawing(strokes, pen=Pen("ink", width=1)), machine, sheet=SHEET)


def shown(**marks: Any) -> np.ndarray:
    return pixels(planned(), dpi=DPI, **marks).astype(int)


def is_near(pixel: np.ndarray, colour: tuple[int, int, int]) -> bool:
    return bool(np.abs(pixel - colour).max() <= 2)


def test_nothing_is_shown_unless_asked_for() -> None:
    page = shapely.box(0, 0, 70, 50)
    plain = shown(page=page)
    assert plain.shape == (250, 350, 3)
    for name in vars(Marks()):
        assert (shown(page=page, **{name: False}) == plain).all()
        assert not np.array_equal(shown(page=page, **{name: True}), plain), name


def test_the_bed_is_shown_with_the_sheet_in_its_place() -> None:
    array = shown(bed=True)
    assert abs(array.shape[0] - 60 * 5) <= 1
    assert abs(array.shape[1] - 80 * 5) <= 1
    at = {(5, 30): BED, (12, 20): PAPER, (57, 30): PAPER, (63, 30): BED, (30, 40): BED}
    for (x, y), colour in at.items():
        assert is_near(array[round((60.1 - y) * 5), round((x + 0.1) * 5)], colour), (x, y)


def test_beyond_the_sheet_lies_no_paper() -> None:
    array = shown(page=shapely.box(0, 0, 80, 60))
    assert is_near(array[10, 10], BED)
    assert is_near(array[-40, 100], PAPER)


def test_keep_outs_are_outlined_and_hatched_and_the_margin_outlined() -> None:
    page = shapely.box(0, 0, 80, 60)
    plain = shown(page=page)
    changed = (shown(page=page, keep_outs=True) != plain).any(axis=2)
    rows, columns = np.nonzero(changed)
    assert columns.min() == pytest.approx(65 * 5, abs=3)
    assert columns.max() == pytest.approx(75 * 5, abs=3)
    assert rows.min() == pytest.approx((60 - 55) * 5, abs=3)
    assert rows.max() == pytest.approx((60 - 40) * 5, abs=3)
    assert changed[25:100, 325:375].mean() > 0.2
    rows, columns = np.nonzero((shown(margin=True) != shown()).any(axis=2))
    edges = [columns.min(), columns.max(), rows.min(), rows.max()]
    assert edges == pytest.approx([25, 225, 25, 125], abs=3)


def test_a_ruler_adds_a_strip_with_a_tick_for_each_millimetre() -> None:
    plain = shown()
    array = pixels(planned(), dpi=508, ruler=True).astype(int)  # twenty pixels a mm
    assert array.shape == ((30 + RULER) * 20, (50 + RULER) * 20, 3)
    assert is_near(array[-3, 3], STRIP) or array[-3, 3].min() < 200
    inside = shown(ruler=True)[:150, 40:]
    assert np.abs(inside[:-2, 2:] - plain[:-2, 2:]).max() <= 1
    row = array[600 + 16, 160:, 1]  # 0.8 mm below the paper: every tick is longer
    dark = np.flatnonzero(row < 160)
    ticks = dark[np.append(True, np.diff(dark) > 1)]
    assert len(ticks) == 51
    assert np.diff(ticks) == pytest.approx(np.full(50, 20), abs=1)
    long = np.flatnonzero(array[600 + 50, 160:, 1] < 160)
    assert len(long[np.append(True, np.diff(long) > 1)]) == 6  # 0, 10 … 50


def test_the_ruler_counts_from_the_sheet_or_the_bed_or_in_the_drawing() -> None:
    line = Drawing([[(3, 4), (33, 4)]])
    for thing, options, first in (
        (planned(), {}, 10.0),
        (planned(), {"bed": True}, 0.0),
        (line, {}, 10.0),
    ):
        above = scene(thing, marks=Marks(ruler=True, **options)).layers[-1][0]
        long = [s for s in above if len(s) == 2 and np.ptp(s[:, 1]) == 3 and np.ptp(s[:, 0]) == 0]
        assert min(stroke[0, 0] for stroke in long) == pytest.approx(first)


def test_lifts_are_dots_where_the_pen_goes_down_and_rings_where_it_goes_up() -> None:
    plot = planned()
    array = shown(lifts=True)
    first, last = plot.drawing[0][[0, -1]]
    for (x, y), is_green in ((first, True), (last, False)):
        column = round((x - SHEET.at[0]) * 5)
        row = round((30 - (y - SHEET.at[1])) * 5)
        reach = 0 if is_green else round(0.7 * 5)
        red, green, _ = array[row - reach, column]
        assert (green > red) == is_green


def test_order_goes_from_blue_to_orange() -> None:
    strokes = [[(0, y), (20, y)] for y in range(0, 100, 2)]
    array = pixels(Drawing(strokes, pen=Pen("ink", width=1)), dpi=DPI, by_order=True).astype(int)
    first = array[-3, 50]
    last = array[2, 50]
    assert first[2] > first[0] + 60
    assert last[0] > last[2] + 100
    assert np.unique(array[:, 50], axis=0).shape[0] > 24


def test_an_empty_drawing_has_all_marks_that_it_can_have() -> None:
    plot = plan(Drawing(), planned().machine, sheet=SHEET)
    everything = dict.fromkeys(vars(Marks()), True)
    assert pixels(plot, dpi=50, **everything).ndim == 3
    assert pixels(Drawing(), dpi=50, travel=True, lifts=True, by_order=True, ruler=True).ndim == 3


def test_what_is_not_known_is_not_shown(tmp_path: Any) -> None:
    drawing = Drawing([[(0, 0), (9, 9)]])
    for name in ("bed", "keep_outs"):
        with pytest.raises(InvalidValue, match=f"{name}=True needs a Plot"):
            image(drawing, **{name: True})
    with pytest.raises(InvalidValue, match="margin=True needs a sheet"):
        image(drawing, margin=True)
    assert image(drawing, margin=True, sheet=SHEET, dpi=20).size == (39, 24)
    for name in vars(Marks()):
        with pytest.raises(InvalidValue, match=name):
            png(drawing, tmp_path / "a.png", **{name: "yes"})
    assert not list(tmp_path.iterdir())


def test_progress_is_told() -> None:
    told: list[float] = []
    image(planned(), dpi=DPI, progress=told.append)
    assert told[0] == 0
    assert told[-1] == 1


def test_round_and_turned_sheets_are_shown_as_they_are() -> None:
    """Counted in pixels: pi r² of paper, the bed in the corners, a turned sheet by its sides."""
    machine = planned().machine
    line = Drawing([[(18, 20), (22, 20)]], pen=Pen("ink", width=1))
    disc = Sheet.round(40, margin=5, at=(5, 5))
    for thing, sheet in ((plan(line, machine, sheet=disc), None), (line, disc)):
        array = pixels(thing, sheet=sheet, dpi=DPI)
        assert array.shape == (200, 200, 3)
        assert [tuple(array[row, column]) for row in (0, -1) for column in (0, -1)] == [BED] * 4
        paper = (array == PAPER).all(axis=2).sum() + (array.sum(axis=2) < 600).sum()
        assert paper == pytest.approx(np.pi * 100**2, rel=0.02)
    turned = Sheet(40, 20, margin=2, at=(30, 5), angle=30)
    array = pixels(plan(line.moved(0, -10), machine, sheet=turned), dpi=DPI)
    high, wide = array.shape[:2]
    assert wide / 5 == pytest.approx(40 * np.cos(np.pi / 6) + 20 * np.sin(np.pi / 6), abs=0.2)
    assert high / 5 == pytest.approx(40 * np.sin(np.pi / 6) + 20 * np.cos(np.pi / 6), abs=0.2)
    for x, y, colour in ((1, 1, PAPER), (39, 19, PAPER), (-1, 10, BED), (20, 21, BED)):
        (left, top), (at_x, at_y) = turned.on_bed.bounds[::3], turned.to_bed([(x, y)])[0]
        row, column = int((top - at_y) * 5), int((at_x - left) * 5)
        if 0 <= row < high and 0 <= column < wide:
            assert tuple(array[row, column]) == colour


def test_the_margin_of_a_round_sheet_is_a_ring() -> None:
    disc = Sheet.round(40, margin=5, at=(5, 5))
    plot = plan(Drawing([[(18, 20), (22, 20)]]), planned().machine, sheet=disc)
    marked = scene(plot, marks=Marks(margin=True)).layers[-1][0]
    from_middle = np.hypot(*(marked.points - 25).T)
    assert from_middle == pytest.approx(15, abs=0.001)
