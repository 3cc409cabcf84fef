from __future__ import annotations

import dataclasses
import re
from typing import Any

import numpy as np
import pytest
import shapely

from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue, OutsideEnvelope, UnknownName
from plotlib.machine import Axis, KeepOut, Machine, ServoLift
from plotlib.pen import Pen
from plotlib.planning.moving.legs import WAY_POINT
from plotlib.planning.placing.grid import stands
from plotlib.planning.plan import plan
from plotlib.sheet import Sheet
from tests.oracles_planning import distance_cost, exact_cost

THIN = Pen("thin", 0.2, "#d0d0ff")
BROAD = Pen("broad", 1.0, "#101010")


def bench(**changes: Any) -> Machine:
    values: dict[str, Any] = {
        "width": 225,
        "height": 250,
        "x": Axis(10_000, 500),
        "y": Axis(4_000, 250),
        "feed": 3_000,
    }
    return Machine(**{**values, "lift": ServoLift("M5", "M3 S90"), **changes})


# ---- refusals


def test_a_refusal_says_what_where_by_how_much_and_what_would_mend_it() -> None:
    drawing = Drawing([[(5, 5)], [(10, 10), (229.3, 20)], [(0, 0), (226, 3)]])
    words = (
        "stroke 1 leaves the bed by 4.300 mm on the right (x = 229.300, the right edge is at "
        "225.000); 2 strokes are outside, this one the "
        "farthest; the drawing, 229.3 x 20 mm, is larger than the room of 225 x 250 mm; mend it by "
        "drawing.fitted(machine.bed) or drawing.clipped(machine.bed)"
    )
    with pytest.raises(OutsideEnvelope, match=re.escape(words)):
        plan(drawing, bench())
    with pytest.raises(
        OutsideEnvelope, match=r"mend it by drawing\.moved\(-4\.300, 0\.000\) or"
    ) as caught:
        plan(drawing[1:2], bench())
    assert caught.value.mends == (".moved(-4.300, 0.000)", ".clipped(machine.bed)")


@pytest.mark.parametrize(
    ("dx", "dy", "side"),
    [(-0.001, 0, "left"), (0.001, 0, "right"), (0, -0.001, "bottom"), (0, 0.001, "top")],
)
def test_ink_may_not_leave_the_paper(dx: float, dy: float, side: str) -> None:
    """Half the pen's width counts: a square inset by it fits to the last unit."""
    sheet = Sheet(100, 80, at=(12.5, 20.25))
    square = Drawing([shapely.box(0.5, 0.5, 99.5, 79.5).exterior], pen=BROAD)
    plan(square, bench(), sheet=sheet)
    with pytest.raises(
        OutsideEnvelope, match=f"stroke 0 leaves the paper .* by 0.001 mm on the {side}"
    ):
        plan(square.moved(dx, dy), bench(), sheet=sheet)


def test_a_sheet_that_hangs_over_the_bed_is_no_excuse() -> None:
    with pytest.raises(OutsideEnvelope, match=r"leaves the bed by 5\.000 mm on the right"):
        plan(Drawing([[(30, 10)]]), bench(), sheet=Sheet(100, 80, at=(200, 0)))


def test_ink_in_a_keep_out_is_refused_and_along_its_edge_is_not() -> None:
    machine = bench(keep_outs=[shapely.box(50, 50, 60, 60)])
    line = Drawing([[(40, 49.5), (80, 49.5)]], pen=BROAD)
    plan(line, machine)
    with pytest.raises(
        OutsideEnvelope, match=r"stroke 0 has ink in keep-out 0 \(x 50 to 60, y 50 to 60 on"
    ) as caught:
        plan(line.moved(0, 0.002), machine)
    assert caught.value.side == "keep-out"
    with pytest.raises(OutsideEnvelope, match=r"10\.000 mm of its line"):
        plan(line.moved(0, 5), machine)
    with pytest.raises(OutsideEnvelope, match="keep-out 0"):
        plan(Drawing([[(55, 55)]]), machine)


@pytest.mark.parametrize(
    ("arguments", "error", "words"),
    [
        ({"drawing": [[(0, 0)]]}, InvalidValue, "drawing must be a Drawing, got list"),
        ({"machine": None}, InvalidValue, "machine must be a Machine"),
        ({"sheet": (10, 10)}, InvalidValue, "sheet must be a Sheet"),
        ({"metric": "miles"}, UnknownName, "metric must be one of 'time', 'distance'"),
        ({"effort": "huge"}, (InvalidValue, UnknownName), "effort"),
        ({"effort": -1}, (InvalidValue, UnknownName), "effort"),
        ({"pens": "dark first"}, UnknownName, "light first"),
        ({"pens": ["thin"]}, UnknownName, r"missing \['broad'\]"),
        ({"join": -1}, InvalidValue, "join must be at least 0"),
        ({"time_limit": 0}, InvalidValue, "time_limit must be greater than 0"),
        ({"keep_order": "yes"}, InvalidValue, "keep_order must be True or False, got 'yes'"),
        ({"keep_order": 1}, InvalidValue, "keep_order must be True or False"),
        ({"refuse": "all"}, UnknownName, "refuse must be one of 'margin', 'paper', 'feed'"),
        ({"refuse": True}, InvalidValue, "refuse must be one or several of"),
        ({"layers": [1]}, InvalidValue, "layers must be 2 whole numbers"),
        ({"layers": [1, [2, 3]]}, InvalidValue, "layers must be 2 whole numbers"),
        ({"layers": [1.5, 2]}, InvalidValue, "layers must be 2 whole numbers"),
    ],
)
@pytest.mark.parametrize("others", [{}, {"keep_order": True}, {"join": None}])
def test_wrong_arguments_are_refused_whatever_the_others_say(
    arguments: dict[str, Any], error: Any, words: str, others: dict[str, Any]
) -> None:
    drawing = Drawing([[(1, 1)]], pen=THIN) + Drawing([[(2, 2)]], pen=BROAD)
    with pytest.raises(error, match=words):
        plan(**{"drawing": drawing, "machine": bench(), **others, **arguments})


@pytest.mark.parametrize("arguments", [{"effort": "huge"}, {"time_limit": -1}, {"join": "wide"}])
def test_wrong_arguments_are_refused_for_nothing_at_all(arguments: dict[str, Any]) -> None:
    with pytest.raises((InvalidValue, UnknownName)):
        plan(Drawing(), bench(), **arguments)


# ---- what is noted, and refused when asked


def test_ink_in_the_margin_is_noted() -> None:
    sheet = Sheet(100, 80, margin=10, at=(12.5, 20))
    line = Drawing([[(7, 20), (90, 20)], [(20, 20), (30, 30)]])
    told = "stroke 0 enters the sheet's margin by 3.000 mm on the left (x = 7.000 in sheet mm, the "
    plot = plan(line, bench(), sheet=sheet)
    assert plot.warnings[0].startswith(told)
    assert told in str(plot)
    with pytest.raises(OutsideEnvelope, match=re.escape(told)) as caught:
        plan(line, bench(), sheet=sheet, refuse="margin")
    assert caught.value.mends[0] == ".fitted(sheet.area)"
    quiet = plan(line.fitted(sheet.area), bench(), sheet=sheet, refuse=["margin"])
    assert quiet.warnings == ()


def test_paper_that_hangs_off_the_bed_is_noted() -> None:
    dot = Drawing([[(20, 20)]])
    told = "the paper hangs off the bed by 75 mm on the right"
    assert plan(dot, bench(), sheet=Sheet(100, 80, at=(200, 0))).warnings == (told,)
    with pytest.raises(OutsideEnvelope, match=told + r"; lay it at=\(125\.0, 0\.0\)"):
        plan(dot, bench(), sheet=Sheet(100, 80, at=(200, 0)), refuse="paper")
    assert plan(dot, bench(), sheet=Sheet(100, 80, at=(125.0, 0.0)), refuse="paper").warnings == ()
    with pytest.raises(OutsideEnvelope, match="does not fit on a bed of 225 x 250 mm"):
        plan(dot, bench(), sheet=Sheet(300, 80), refuse="paper")


def test_a_feed_above_the_axis_rate_is_noted_with_what_it_will_be() -> None:
    quick = Pen("quick", feed=8_000)
    lines = Drawing([[(0, 0), (50, 0)], [(9, 9), (9, 50)], [(60, 60), (63, 64)]], pen=quick)
    told = (
        "pen 'quick' asks for 8,000 mm/min, more than the axes can do: 2 of 3 strokes are drawn "
        "slower, down to 4,000 mm/min"
    )
    assert plan(lines, bench()).warnings == (told,)
    with pytest.raises(InvalidValue, match=told) as caught:
        plan(lines, bench(), refuse=("feed", "margin", "paper"))
    assert caught.value.facts["feed"] == 4_000
    slower = lines.inked(Pen("quick", feed=4_000))
    assert plan(slower, bench(), refuse="feed").warnings == ()


# ---- what a plot is


def test_an_empty_drawing_makes_an_empty_plot() -> None:
    plot = plan(Drawing(), bench(park=(3, 4)))
    assert (len(plot.drawing), plot.lifts, plot.cost, plot.joining_ink) == (0, 0, 0, 0)
    assert plot.travel == 5


def test_points_that_fall_together_on_the_grid_are_dropped() -> None:
    machine = bench(decimals=1)
    plot = plan(Drawing([[(1.01, 1), (1.02, 1), (2, 1)], [(5.01, 5), (5.04, 5.04)]]), machine)
    strokes = sorted(stroke.tolist() for stroke in plot.drawing)
    assert strokes in ([[[1, 1], [2, 1]], [[5, 5]]], [[[2, 1], [1, 1]], [[5, 5]]])


def test_pens_are_kept_apart_and_ordered_as_asked() -> None:
    drawing = Drawing([[(1, 1)], [(9, 9)]], pen=BROAD) + Drawing([[(2, 2)], [(3, 3)]], pen=THIN)
    mixed = drawing[[0, 2, 1, 3]]
    assert [pen.name for pen in plan(mixed, bench()).drawing.pens] == ["broad", "thin"]
    assert [pen.name for pen in plan(mixed, bench(), pens="light first").drawing.pens] == [
        "thin",
        "broad",
    ]
    assert [pen.name for pen in plan(mixed, bench(), pens=["thin", BROAD]).drawing.pens] == [
        "thin",
        "broad",
    ]
    assert plan(mixed, bench()).drawing.pen_index.tolist() == [0, 0, 1, 1]


def test_strokes_that_meet_are_joined_unless_told_otherwise() -> None:
    drawing = Drawing([[(0, 0), (5, 0)], [(9, 9), (5, 0)], [(9, 9.5), (20, 20)]])
    assert plan(drawing, bench()).lifts == 2
    assert plan(drawing, bench(), join=None).lifts == 3
    joined = plan(drawing, bench(), join=0.6)
    assert (joined.lifts, joined.joining_ink) == (1, 0.5)
    assert plan(drawing, bench(), layers=[0, 1, 2]).lifts == 3


def test_layers_stay_layers_and_a_kept_order_is_kept() -> None:
    dots = Drawing([[(float(x), 0.0)] for x in (50, 1, 40, 2)])
    plot = plan(dots, bench(), layers=[1, 1, 0, 0])
    assert sorted(plot.drawing.points[:2, 0].tolist()) == [2, 40]
    assert plan(dots, bench(), keep_order=True).drawing.points[:, 0].tolist() == [50, 1, 40, 2]


def test_one_area_at_a_time() -> None:
    dots = Drawing([[(float(x), 1.0)] for x in (50, 1, 40, 2, 100)])
    plot = plan(
        dots,
        bench(),
        areas=[shapely.box(30, 0, 60, 5), Drawing([shapely.box(0, 0, 2, 2).exterior])],
    )
    assert [sorted(part) for part in np.split(plot.drawing.points[:, 0], [2, 4])] == [
        [40, 50],
        [1, 2],
        [100],
    ]
    with pytest.raises(InvalidValue, match=r"areas\[0\]"):
        plan(dots, bench(), areas=["left"])  # type: ignore[list-item]


def test_the_count_of_runs_is_told_beside_the_fewest_possible() -> None:
    """Euler 1736: a connected network with 2k odd nodes takes k strokes; a grid of 3 x 3 cells has
    8 odd nodes.
    """
    rows = [[(float(x), float(y)), (x + 1.0, float(y))] for y in range(4) for x in range(3)]
    grid = Drawing(rows + [[(y, x) for x, y in stroke] for stroke in rows])
    plot = plan(grid, bench())
    assert (plot.given, plot.lifts, plot.least) == (24, 4, 4)
    assert "joined from 24 (fewest possible: 4)" in str(plot)


@pytest.mark.parametrize("metric", ["time", "distance"])
def test_bound_cost_and_naive_order_stand_in_order(metric: str) -> None:
    rng = np.random.default_rng(7)
    drawing = Drawing([rng.uniform(0, 200, (2, 2)) for _ in range(80)], pen=THIN) + Drawing(
        rng.uniform(0, 200, (40, 1, 2)), pen=BROAD
    )
    plot = plan(drawing, bench(home=(20, 30), park=(200, 10)), metric=metric)
    assert 0 < plot.bound <= plot.cost <= plot.nearest_neighbour
    assert plot.gap == pytest.approx((plot.cost - plot.bound) / plot.bound)
    assert plot.gap < 0.15
    assert plan(Drawing(), bench(), metric=metric).gap == 0
    assert plan(drawing[:1], bench(), metric=metric).gap == pytest.approx(0, abs=1e-6)


def test_where_the_link_starves_is_told() -> None:
    turns = np.linspace(0, 20, 4_000)
    thick = Drawing([np.stack([100 + 30 * np.cos(turns), 100 + 30 * np.sin(turns)], axis=1)])
    warning = " ".join(plan(thick, bench(baud=9_600)).warnings)
    assert "moves come too thick for the link" in warning
    assert plan(thick.simplified(0.05), bench(baud=9_600)).warnings == ()


def test_the_order_is_never_worse_than_the_given_one() -> None:
    rng = np.random.default_rng(5)
    drawing = Drawing([rng.uniform(0, 200, (2, 2)) for _ in range(60)])
    given = plan(drawing, bench(), keep_order=True)
    assert plan(drawing, bench()).cost <= given.cost
    assert plan(drawing, bench(), metric="distance").cost == pytest.approx(
        plan(drawing, bench(), metric="distance").travel
    )


def test_print_is_a_short_readable_report() -> None:
    line = Drawing([[(0, 0), (100, 0)]], pen=THIN)
    dot = Drawing([[(0, 9)]], pen=BROAD)
    report = str(plan(line + dot, bench(y=Axis(4_000))))
    assert "2 strokes of 2 pens" in report
    assert re.search(r"ink +100\.0 mm", report)
    assert "1 pen change" in report
    assert "place   100.0 x 9.0 mm, on the bed from (0.0, 0.0) to (100.0, 9.0)\n" in report
    assert "no acceleration declared: shortest possible time" in report
    assert "noted" not in report


def test_print_tells_which_pen_to_put_in_when() -> None:
    thin = Drawing([[(10, 10), (110, 10)], [(10, 20), (110, 20)], [(0.5, 30)]], pen=THIN)
    broad = Drawing([[(5, y), (205, y)] for y in range(200, 211)], pen=BROAD)
    plot = plan(thin + broad, bench(), pens=[BROAD, THIN])
    report = str(plot).splitlines()
    first = f"{BROAD.name}, {BROAD.width:g} mm: 2.20 m in 11 strokes"
    second = f"{THIN.name}, {THIN.width:g} mm: 200.0 mm in 3 strokes"
    assert f"  pen 1   {first}; put in before the start" in report
    assert f"  pen 2   {second}; put in at stop 1" in report


def test_print_tells_the_place_of_the_sheet() -> None:
    sheet = Sheet(100, 80, at=(12.5, 20))
    plot = plan(Drawing([[(10, 10), (40, 30)]]), bench(), sheet=sheet)
    place = "30.0 x 20.0 mm, on the bed from (22.5, 30.0) to (52.5, 50.0)"
    assert f"{place}; the sheet's lower left corner at (12.5, 20.0)" in str(plot)


def test_print_says_where_the_bound_is_weak_and_what_holds_with_starts_as_chosen() -> None:
    corners = np.array([[0, 0], [8, 0], [8, 8], [0, 8], [0, 0]])
    squares = [corners + 10 * np.array([i, j]) for i in range(3) for j in range(3)]
    plot = plan(Drawing([*squares, [[40, 40], [50, 50]]]).moved(5, 5), bench())
    assert plot.closed_share == 0.9
    assert "closed" not in str(plot)
    assert plot.bound < plot.bound_as_started <= plot.cost
    again = plan(plot.drawing, bench())
    assert again.bound > 0
    weak = "90% of the strokes are closed, where this bound is weak"
    assert f"{weak}; plot.bound_as_started tells more" in str(again)
    known = f"with starts as chosen no order is below {plot.bound_as_started:,.1f} s"
    assert f"{weak}; {known}" in str(plot)
    assert plan(Drawing(), bench()).closed_share == 0


def test_starts_as_chosen_are_what_the_bound_knows() -> None:
    """Seven squares: the exact optimum with each at its start lies between the bound and the
    cost.
    """
    corners = np.array([[0, 0], [8, 0], [8, 8], [0, 8], [0, 0]])
    squares = [corners + 11 * np.array([i % 3, i // 3]) for i in range(7)]
    plot = plan(Drawing(squares).moved(5, 5), bench(), metric="distance")
    starts = [[tuple(map(int, plot.units[at]))] for at in plot.drawing.offsets[:-1]]
    home, park = stands(plot.machine)
    optimum = exact_cost(starts, distance_cost, home, park) * plot.machine.unit
    assert plot.bound_as_started <= optimum * (1 + 1e-9)
    assert optimum <= plot.cost * (1 + 1e-9)


def test_print_tells_the_bound_once_it_is_known() -> None:
    rng = np.random.default_rng(7)
    plot = plan(Drawing(list(rng.uniform(0, 200, (12, 2, 2)))), bench())
    assert "plot.bound tells what no order can be below" in str(plot)
    assert "bound" not in vars(plot)
    bound = plot.bound
    assert f"no order can be below {bound:,.1f} s (gap {plot.gap:.1%})" in str(plot)


def test_repr_is_one_short_line() -> None:
    plot = plan(Drawing([[(0, 0), (100, 0)]], pen=THIN), bench())
    assert repr(plot) == f"<Plot for {plot.machine.name}: 1 stroke, pens in order: {THIN.name}>"
    assert repr(plan(Drawing(), bench())) == f"<Plot for {plot.machine.name}: nothing to draw>"
    assert str(plan(Drawing(), bench())) == f"plot for {plot.machine.name}: nothing to draw"


def test_equal_plots_have_equal_hashes() -> None:
    """The cost is no part of equality: a plot read back may differ from it in the last bit."""
    plot = plan(Drawing([[(0, 0), (100, 0)], [(5, 5), (9, 9)]]), bench())
    other = dataclasses.replace(plot, cost=np.nextafter(plot.cost, np.inf))
    assert plot == other
    assert hash(plot) == hash(other)
    assert len({plot, other}) == 1


# ---- keep-outs that the carriage may not pass over


def test_travel_is_led_around() -> None:
    area = shapely.box(50, 50, 60, 60)
    machine = bench(keep_outs=[KeepOut(area, passable=False)])
    dots = Drawing([[(45.0, 55.0)], [(65.0, 55.0)]])
    plot = plan(dots, machine)
    assert (plot.legs.stroke == WAY_POINT).any()
    moves = shapely.linestrings(machine.to_mm(np.stack([plot.legs.begin, plot.legs.end], axis=1)))
    assert not shapely.relate_pattern(moves, area, "T********").any()
    assert plot.travel > plan(dots, bench()).travel


def test_a_place_without_a_way_is_refused() -> None:
    wall = shapely.box(-5, 100, 300, 110)
    with pytest.raises(OutsideEnvelope, match="no pen-up way"):
        plan(Drawing([[(10, 200)]]), bench(keep_outs=[KeepOut(wall, passable=False)]))
    with pytest.raises(InvalidValue, match="home lies in keep-out 0"):
        bench(keep_outs=[KeepOut(shapely.box(-1, -1, 5, 5), passable=False)])


# ---- keep-outs to the unit, and advice that mends


@pytest.mark.parametrize("decimals", [0, 1, 3])
def test_one_unit_inside_a_keep_out_is_refused_for_dots_and_lines(decimals: int) -> None:
    """The pen is finer than half a unit, so that only the rounding counts."""
    machine = bench(decimals=decimals, keep_outs=[shapely.box(50, 50, 60, 60)])
    unit = 10.0**-decimals
    pen = Pen("hair", unit / 2)
    for inside in (
        [(50 + unit, 55)],
        [(55, 60 - unit)],
        [(50 + unit, 52), (50 + unit, 58)],
        [(40, 55), (50 + unit, 55)],
        [(40, 55), (70, 55)],
    ):
        with pytest.raises(OutsideEnvelope, match="keep-out 0"):
            plan(Drawing([inside], pen=pen), machine)
    for edge in (
        [(50, 55)],
        [(50, 60)],
        [(50, 52), (50, 58)],
        [(40, 60), (70, 60)],
        [(40, 55), (50, 55)],
    ):
        assert len(plan(Drawing([edge], pen=pen), machine).drawing) == 1


def test_a_keep_out_refusal_tells_how_far_to_stay_away() -> None:
    machine = bench(keep_outs=[shapely.box(50, 50, 60, 60)])
    drawing = Drawing([[(40, 55), (80, 55)], [(30, 49.9), (90, 49.9)]], pen=BROAD).erased(
        machine.keep_outs[0].area
    )
    with pytest.raises(OutsideEnvelope) as caught:
        plan(drawing, machine)
    assert caught.value.excess == pytest.approx(0.5, abs=1e-6)
    assert "by 0.500 mm, half the pen's width included" in str(caught.value)
    erased = '.erased(machine.keep_outs[0].area.buffer(0.501, join_style="mitre"))'
    assert erased in str(caught.value)
    assert erased in caught.value.mends
    plan(drawing.erased(machine.keep_outs[0].area.buffer(0.501, join_style="mitre")), machine)


def test_no_link_is_drawn_through_a_keep_out() -> None:
    machine = bench(keep_outs=[shapely.box(50, 50, 60, 60)])
    ends = Drawing([[(40, 55), (49, 55)], [(61, 55), (80, 55)], [(49, 48), (80, 48)]])
    plot = plan(ends, machine, join=20)
    assert (plot.lifts, plot.joining_ink) == (1, 14)  # around it, and the straight way is 12 mm
    assert plan(ends[:2], machine, join=20).lifts == 2
    grazing = Drawing([[(40, 49.6), (49, 49.6)], [(61, 49.6), (80, 49.6)]], pen=BROAD)
    assert plan(grazing, bench(), join=20).lifts == 1
    assert plan(grazing.moved(0, -0.1), machine, join=20).lifts == 1
    assert plan(grazing, machine, join=20).lifts == 2


@pytest.mark.parametrize("seed", range(40))
def test_joined_ink_stays_out_of_keep_outs_for_the_whole_width_of_the_pen(seed: int) -> None:
    """Shapely measures the distance of the joined lines from the keep-outs, half a unit of the
    grid allowed.
    """
    rng = np.random.default_rng(seed)
    decimals = int(rng.integers(0, 4))
    keep_outs = [
        shapely.Point(*rng.uniform(20, 180, 2)).buffer(rng.uniform(3, 25))
        for _ in range(rng.integers(1, 5))
    ]
    machine = bench(keep_outs=keep_outs, decimals=decimals)
    pens = [Pen("a", 0.3), Pen("b", 2.0)]
    starts = rng.uniform(20, 180, (2, 40, 1, 2))
    strokes = starts + rng.uniform(-15, 15, (2, 40, 3, 2))
    closed = shapely.union_all(keep_outs).buffer(1 + 2 * machine.unit)
    drawn = sum(
        (Drawing(list(part), pen=pen) for part, pen in zip(strokes, pens, strict=True)), Drawing()
    )
    plot = plan(drawn.erased(closed), machine, join=float(rng.uniform(5, 40)))
    assert plot.joining_ink > 0
    for pen, ink in plot.drawing.by_pen().items():
        apart = min(shapely.distance(shapely.union_all(keep_outs), ink.to_shapely()))
        assert apart >= pen.width / 2 - machine.unit / 2 - 1e-6


@pytest.mark.parametrize(
    ("options", "words"),
    [
        ({"pens": 5}, "pens must be"),
        ({"pens": [5, "thin"]}, "pens must be"),
        ({"areas": 5}, "areas must be"),
        ({"areas": "all"}, "areas must be"),
    ],
)
def test_options_of_the_wrong_kind_are_told_so(options: dict[str, Any], words: str) -> None:
    with pytest.raises((InvalidValue, UnknownName), match=words):
        plan(Drawing([[(5, 5)]], pen=THIN), bench(), **options)


def test_one_area_is_a_list_of_one() -> None:
    drawing = Drawing([[(5, 5)], [(100, 100)], [(7, 5)], [(110, 100)]])
    area = shapely.box(90, 90, 120, 120)
    assert plan(drawing, bench(), areas=area) == plan(drawing, bench(), areas=[area])


def test_nobody_can_change_the_legs_of_a_plot() -> None:
    legs = plan(Drawing([[(5, 5)], [(100, 100)]]), bench()).legs
    for array in (legs.begin, legs.end, legs.stroke):
        with pytest.raises(ValueError, match="read-only"):
            array[0] = 0


def test_layers_may_be_any_whole_numbers() -> None:
    drawing = Drawing([[(10, 10)], [(20, 20)], [(11, 10)]])
    far = [2**62, -(2**62), 0]
    near = [2, 0, 1]
    areas = [shapely.box(100, 100, 110, 110)] * 5
    assert plan(drawing, bench(), layers=far, areas=areas) == plan(
        drawing, bench(), layers=near, areas=areas
    )


def test_joining_leads_the_carriage_of_an_offset_pen_through_no_keep_out() -> None:
    """The ink lies 20 mm above the keep-out, the carriage at both ends 1 mm from it."""
    post = KeepOut(shapely.box(100, 100, 101, 120), passable=False)
    pen = Pen("beside", 0.4, offset=(0, 30))
    strokes = Drawing([[(80, 140), (99, 140)], [(102, 140), (120, 140)]], pen=pen)
    plot = plan(strokes, bench(keep_outs=(post,)), join=4)
    assert (len(plot.drawing), plot.joining_ink) == (2, 0)
    assert len(plan(strokes, bench(), join=4).drawing) == 1
