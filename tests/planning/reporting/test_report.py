"""The report of a plot: its figures, its text, table and dict."""

from __future__ import annotations

import json
from typing import Any

import pytest

from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue
from plotlib.machine import Axis, Machine, ServoLift
from plotlib.pen import Pen
from plotlib.planning.plan import plan
from plotlib.planning.plot import Plot
from plotlib.sheet import Sheet

BLUE = Pen("blue", 0.4, "#1d4e89", write_out=400)
RED = Pen("red", 0.3, "#b4431f")


def bench(**changes: Any) -> Machine:
    values: dict[str, Any] = {
        "width": 225,
        "height": 250,
        "x": Axis(6_000),
        "y": Axis(6_000),
        "feed": 3_000,
        "lift": ServoLift("M5", "M3 S90", settle_up=0.25, settle_down=0.25),
    }
    return Machine(**{**values, **changes})


def two_pens() -> Plot:
    rows = Drawing([[(10, y), (60, y)] for y in (10, 20)], pen=BLUE)
    return plan(rows + Drawing([[(10, 40), (10, 70)]], pen=RED), bench(), sheet=Sheet(100, 100))


def test_figures_worked_out_by_hand() -> None:
    report = two_pens().report(pen_change=30)
    assert report.size == (50, 60)
    assert report.bounds == (10, 10, 60, 70)
    assert report.sheet == (0, 0, 100, 100)
    assert (report.strokes, report.lifts, report.changes) == (3, 3, 1)
    assert report.ink == 130
    # Without accelerations a way takes its length over the feed: 50 mm/s down.
    assert report.drawing == pytest.approx(130 / 50)
    assert report.lifting == pytest.approx(3 * 0.5)
    assert report.waiting == 0
    assert report.changing == 30
    parts = report.drawing + report.travelling + report.lifting + report.waiting + 30
    assert report.duration == pytest.approx(parts)


def test_each_pen_says_what_it_draws_and_how_much_of_it_is_used() -> None:
    blue, red = two_pens().report().pens
    assert (blue.strokes, blue.ink, blue.share) == (2, 100, 0.25)
    assert blue.drawing == pytest.approx(2)
    assert (red.strokes, red.ink, red.share) == (1, 30, None)
    assert "25% of the 400.0 mm that it holds" in str(blue)
    assert "holds" not in str(red)


def test_pen_changes_are_counted_and_timed_on_request() -> None:
    report = two_pens().report()
    assert report.changing is None
    assert report.duration == pytest.approx(two_pens().duration)
    assert "pen changes           1, not timed" in str(report)
    assert "pen changes           1, 30 s" in str(two_pens().report(pen_change=30))


def test_the_bound_is_left_out_on_request() -> None:
    plot = two_pens()
    report = plot.report(bound=False)
    assert report.bound is None
    assert report.gap is None
    assert "bound" not in vars(plot)
    known = plot.report()
    assert (known.bound, known.gap) == (plot.bound, plot.gap)
    assert "no order is below" in str(known)


def test_the_dict_is_json_and_holds_the_figures() -> None:
    report = two_pens().report()
    figures = json.loads(json.dumps(report.as_dict()))
    assert figures["size"] == [50, 60]
    assert figures["pens"][0]["share"] == 0.25
    assert figures["duration"] == report.duration
    assert figures["warnings"] == []
    assert figures["notes"] == ["no acceleration declared: shortest possible time"]


def test_the_table_escapes_names() -> None:
    plot = plan(Drawing([[(1, 1), (9, 9)]], pen=Pen("<b>&")), bench(name="<i>"))
    table = plot.report()._repr_html_()
    assert "&lt;b&gt;&amp;" in table
    assert "<b>" not in table
    assert "<i>" not in table


def test_its_repr_is_one_line() -> None:
    report = two_pens().report()
    assert repr(report) == "<Report of a plot for machine: 3 strokes, 5.6 s, 0 warnings>"


def test_print_of_the_plot_stays_short() -> None:
    plot = two_pens()
    short = str(plot).splitlines()
    long = str(plot.report()).splitlines()
    assert len(short) <= 10  # six lines, one a pen, one a note
    assert len(long) > len(short)


def test_an_empty_drawing_has_a_report() -> None:
    report = plan(Drawing(), bench()).report()
    assert report.bounds is None
    assert report.warnings == ()
    assert json.dumps(report.as_dict())


def test_an_empty_plot_prints_one_line() -> None:
    plot = plan(Drawing(), bench())
    name = plot.machine.name
    assert str(plot) == f"plot for {name}: nothing to draw"
    assert str(plot.report()) == f"report of a plot for {name}: nothing to draw"
    assert plot.report()._repr_html_() == f"<p>report of a plot for {name}: nothing to draw</p>"


@pytest.mark.parametrize(
    "wrong",
    [{"bound": 1}, {"passes": 0}, {"passes": 1.5}, {"pen_change": -1}, {"pen_change": "long"}],
)
def test_wrong_arguments_are_refused(wrong: dict[str, Any]) -> None:
    with pytest.raises(InvalidValue):
        two_pens().report(**wrong)
