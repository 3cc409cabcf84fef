"""Tables, axes, scale bars, north arrows, legends."""

import numpy as np
import pytest
import shapely

import plotlib as pl
from plotlib import text
from plotlib.text.charts.axes import ticks

ROWS = [["Quay", "Depth", "Leaves"], ["Inner Holm", "2.5", "06:40"], ["Ørsay", "12.25", "7:05"]]


def test_rules_are_drawn_once_each_and_span_the_table():
    rules = text.table(ROWS, rules="grid", rule_pen=pl.Pen("rule"), row_height=8).by_pen()[
        pl.Pen("rule")
    ]
    assert len(rules) == 4 + 4
    left, bottom, right, top = rules.bounds
    assert (left, bottom, top) == (0.0, -24.0, 0.0)
    assert {round(length, 6) for length in rules.lengths} == {round(right, 6), 24.0}
    assert (
        len(text.table(ROWS, rules="rows", rule_pen=pl.Pen("rule")).by_pen()[pl.Pen("rule")]) == 4
    )
    assert (
        len(text.table(ROWS, rules="head", rule_pen=pl.Pen("rule")).by_pen()[pl.Pen("rule")]) == 3
    )


def cell(drawing, box):
    return drawing.clipped(shapely.box(*box))


def test_columns_stand_as_asked():
    drawing = text.table(
        ROWS,
        rules="none",
        columns=["left", "centre", "right"],
        widths=[40, 30, 30],
        row_height=10,
        padding=2,
        height=3,
    )
    body = [cell(drawing, (x, -30, x + w, -20)).bounds for x, w in ((0, 40), (40, 30), (70, 30))]
    lone = [text.lettering(word, height=3).bounds for word in ROWS[2]]
    assert body[0][0] == pytest.approx(2 + lone[0][0])
    advance = text.measure(ROWS[2][1], height=3).advance
    assert body[1][0] == pytest.approx(55 - advance / 2 + lone[1][0])
    assert body[2][2] == pytest.approx(
        98 - (text.measure(ROWS[2][2], height=3).advance - lone[2][2])
    )
    assert sum(body[0][1::2]) / 2 == pytest.approx(-25, abs=0.4)


def test_decimal_points_stand_under_each_other():
    rows = [["Depth"], ["2.5"], ["12.25"], ["3"], ["104.5"]]
    drawing = text.table(rows, rules="none", columns=["point"], row_height=10, height=3)
    places = []
    for r, row in enumerate(rows[1:], start=1):
        left = cell(drawing, (-50, -10 * r - 10, 100, -10 * r)).bounds[0]
        whole = row[0].split(".")[0]
        places.append(
            left - text.lettering(whole, height=3).bounds[0] + text.measure(whole, height=3).advance
        )
    assert places == pytest.approx([places[0]] * 4, abs=1e-9)


def test_tables_refuse_what_does_not_fit():
    with pytest.raises(pl.InvalidValue, match="row 1"):
        text.table([["a", "b"], ["c"]])
    with pytest.raises(pl.InvalidValue, match="several lines"):
        text.table([["a\nb"]])
    with pytest.raises(pl.InvalidValue, match="column 0") as caught:
        text.table(ROWS, widths=[10, None, None])
    assert caught.value.excess > 0
    for options in ({"columns": ["left"]}, {"widths": [1]}, {"head": 9}, {"padding": -1}):
        with pytest.raises(pl.InvalidValue):
            text.table(ROWS, **options)
    with pytest.raises(pl.InvalidValue, match="at least one"):
        text.table([])
    with pytest.raises(pl.UnknownName):
        text.table(ROWS, rules="all")


def test_empty_cells_and_a_table_of_headings_only():
    assert len(text.table([["", ""], ["", ""]], rules="none")) == 0
    assert len(text.table([["Quay"]], head=1)) > 4


@pytest.mark.parametrize(
    ("low", "high", "step", "wanted"),
    [
        (0, 10, None, [0, 2, 4, 6, 8, 10]),
        (0, 1, 0.25, [0, 0.25, 0.5, 0.75, 1]),
        (-3, 3, 2, [-2, 0, 2]),
        (5, 1, 2, [4, 2]),
        (0.1, 0.45, 0.1, [0.1, 0.2, 0.3, 0.4]),
    ],
)
def test_ticks_are_multiples_of_a_round_step(low, high, step, wanted):
    assert ticks(low, high, step) == pytest.approx(wanted)


@pytest.mark.parametrize("wide", [0.0034, 0.7, 1, 3.9, 5, 19, 230, 8.8e5])
def test_a_chosen_step_gives_four_to_ten_ticks(wide):
    steps = np.diff(ticks(0, wide))
    assert 4 <= wide / steps[0] <= 10.000001
    assert f"{steps[0]:.0e}"[0] in "125"


def test_ticks_refuse_nonsense():
    for low, high, step in ((1, 1, None), (0, float("nan"), None), (0, 1, 0), (0, 1, 1e-6)):
        with pytest.raises(pl.InvalidValue):
            ticks(low, high, step)


def test_axis_ticks_stand_at_their_values_and_on_the_side_asked_for():
    drawing = text.axis((10, 5), (110, 5), low=0, high=50, step=25, tick=3)
    assert [stroke.tolist() for stroke in drawing[1:4]] == [
        [[x, 5.0], [x, 2.0]] for x in (10.0, 60.0, 110.0)
    ]
    upward = text.axis((0, 0), (0, 40), low=0, high=4, step=2, side="left", tick=3)
    assert upward.bounds[0] < -3
    assert upward.bounds[2] == 0


def test_axis_labels_and_title():
    plain = text.axis((0, 0), (60, 0), low=0, high=3, step=1, label=["a", "b", "c", "d"])
    assert plain == text.axis(
        (0, 0), (60, 0), low=0, high=3, step=1, label=lambda value: "abcd"[round(value)]
    )
    titled = text.axis((0, 0), (60, 0), low=0, high=3, step=1, title="hours")
    assert titled.bounds[1] < text.axis((0, 0), (60, 0), low=0, high=3, step=1).bounds[1] - 3
    with pytest.raises(pl.InvalidValue, match="4 ticks"):
        text.axis((0, 0), (60, 0), low=0, high=3, step=1, label=["a"])
    with pytest.raises(pl.InvalidValue):
        text.axis((0, 0), (0, 0), low=0, high=3)


def test_axis_figures_share_their_decimals():
    fine = text.axis((0, 0), (60, 0), low=0, high=1, step=0.25)
    assert fine == text.axis(
        (0, 0), (60, 0), low=0, high=1, step=0.25, label=["0.00", "0.25", "0.50", "0.75", "1.00"]
    )
    below = text.axis((0, 0), (60, 0), low=-1, high=1, step=1)
    assert below == text.axis((0, 0), (60, 0), low=-1, high=1, step=1, label=["−1", "0", "1"])


def test_scale_bar_is_true_to_scale_and_its_ink_stays_in_its_fields():
    bar = text.scale_bar(
        (10, 20), step=0.5, count=4, scale=30, thickness=2, pen=pl.Pen("p", width=0.3)
    )
    assert bar[0][:, 0].max() - bar[0][:, 0].min() == pytest.approx(60)
    zigzags = list(bar[4:6])
    for stroke, (left, right) in zip(zigzags, ((10, 25), (40, 55)), strict=True):
        assert (stroke[:, 0].min(), stroke[:, 0].max()) == (left, right)
        assert 20 < stroke[:, 1].min() <= stroke[:, 1].max() < 22
        rows = np.unique(stroke[:, 1])
        assert np.diff([20, *rows, 22]).max() <= 0.3
    for bad in ({"step": 0}, {"count": 0}, {"scale": -1}, {"thickness": 0}):
        with pytest.raises(pl.InvalidValue):
            text.scale_bar((0, 0), **{"step": 1, "count": 2, "scale": 5, **bad})


def test_north_arrow_points_where_north_is():
    for angle in (0, 30, -90):
        arrow = text.north_arrow((5, 5), size=20, angle=angle, letter="")
        tip = arrow[0][0] - 5
        assert np.degrees(np.arctan2(tip[1], tip[0])) == pytest.approx(90 + angle)
        assert np.hypot(*tip) == pytest.approx(16)
    assert text.north_arrow((0, 0)).bounds[3] > 17
    with pytest.raises(pl.InvalidValue):
        text.north_arrow((0, 0), size=0)
    with pytest.raises(pl.InvalidValue):
        text.north_arrow((0, 0), letter=3)


def test_north_arrow_of_a_thick_pen_has_no_inked_half():
    assert len(text.north_arrow((0, 0), size=2, pen=pl.Pen("brush", width=3), letter="")) == 2


def test_legend_draws_each_kind_of_sample():
    def rows(box):
        left, bottom, right, top = box.bounds
        return pl.Drawing([[(left, y), (right, y)] for y in np.linspace(bottom, top, 4)[1:-1]])

    blue = pl.Pen("blue")
    star = pl.Drawing([[(0, 0), (1, 2), (2, 0)]])
    drawing = text.legend(
        [(blue, "ferry"), (star, "light"), (rows, "shoal")],
        at=(10, 50),
        height=3,
        sample=(12, 4),
        spacing=7,
    )
    assert drawing.by_pen()[blue].bounds == (10, 48, 22, 48)
    assert drawing.bounds[3] <= 50
    assert cell(drawing, (10, 39, 22, 43)).bounds[1] == pytest.approx(39)
    assert cell(drawing, (10, 32, 22, 36)).bounds == pytest.approx((10, 32, 22, 36))
    assert len(text.legend([])) == 0
    with pytest.raises(pl.InvalidValue, match="entry 0"):
        text.legend([(5, "what")])


def test_practice_refuses_what_the_series_does_not_have():
    with pytest.raises(pl.InvalidValue, match="20"):
        text.practice(21)
    with pytest.raises(pl.UnknownName):
        text.practice(5, kind="C")
    with pytest.warns(text.LetteringWarning, match="3.5 mm"):
        text.practice(10, pen=pl.Pen("fine", width=0.35))
