"""What the report warns of: each kind where it is, and not where it is not."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from plotlib import fills, shapes, text
from plotlib.drawing import Drawing
from plotlib.machine import Axis, Machine, ServoLift
from plotlib.pen import Pen
from plotlib.planning.moving.motion import Stutter
from plotlib.planning.plan import plan
from plotlib.planning.plot import Plot
from plotlib.planning.reporting.findings import ink_passes
from plotlib.planning.reporting.report import Finding
from plotlib.sheet import Sheet
from tests.oracles_report import passes as oracle_passes

PEN = Pen("blue", width=0.4)


def planned(drawing: Drawing, *, sheet: Sheet | None = None, **changes: Any) -> Plot:
    machine = Machine(
        width=200,
        height=200,
        x=Axis(6_000, 500),
        y=Axis(6_000, 500),
        feed=3_000,
        lift=ServoLift("M5", "M3"),
        **changes,
    )
    return plan(drawing, machine, sheet=sheet, join=None)


def found(plot: Plot, kind: str, **options: Any) -> list[Finding]:
    report = plot.report(bound=False, **options)
    return [warning for warning in report.warnings if warning.kind == kind]


# ---- detail finer than the pen


def zigzag(amplitude: float) -> Drawing:
    x = np.linspace(50, 90, 401)
    y = 50 + amplitude * (-1.0) ** np.arange(401)
    return Drawing([np.column_stack([x, y])], pen=PEN)


def test_a_zigzag_within_half_the_pens_width_is_told_and_one_beyond_it_is_not() -> None:
    (finding,) = found(planned(zigzag(0.09)), "detail")
    assert finding.stroke == 0
    assert finding.place == pytest.approx((70, 50), abs=0.1)
    assert "finer than its 0.4 mm" in finding.text
    assert found(planned(zigzag(0.3)), "detail") == []


def test_rings_that_fill_with_ink_are_told() -> None:
    rings = Drawing([shapes.circle((50, 50), 0.15, pen=PEN), shapes.circle((80, 50), 3, pen=PEN)])
    (finding,) = found(planned(rings), "detail")
    assert finding.text.startswith("1 stroke of pen 'blue'")
    assert finding.place == pytest.approx((50, 50), abs=0.2)


def test_plain_drawings_have_no_warnings() -> None:
    card = (
        text.lettering("Skerrow", height=8, at=(20, 20), pen=PEN)
        + fills.solid(shapes.circle((90, 90), 12), pen=PEN)
        + fills.cross_hatch(shapes.rectangle((20, 50), 30, 30), spacing=1, pen=PEN)
        + Drawing([[(150, 150)]], pen=PEN)
    )
    plot = planned(card, sheet=Sheet(200, 200))
    assert plot.report(bound=False).warnings == ()


# ---- the link


def test_segments_too_short_for_the_link_are_told_with_their_place() -> None:
    t = np.linspace(0, 2 * math.pi, 4_000)
    ring = Drawing([np.column_stack([100 + 30 * np.cos(t), 100 + 30 * np.sin(t)])], pen=PEN)
    warnings = found(planned(ring, baud=9_600), "link")
    assert warnings
    x, y = warnings[0].place or (0, 0)
    assert math.hypot(x - 100, y - 100) == pytest.approx(30, abs=0.01)
    assert "simplify by" in warnings[0].remedy
    assert found(planned(ring), "link") == []


def test_a_simplification_that_spoils_the_stroke_is_no_remedy() -> None:
    """12.6 mm off a stroke whose moves should be 0.4 mm long leaves nothing of it."""
    spoiling = Stutter(0, 1, 28, 27, 0.53, 875.0, 1176.0, 0.388, 12.626)
    assert spoiling.remedy == "raise baud, or draw it slower"
    assert str(spoiling).endswith("moves of 0.388 mm would do: raise baud, or draw it slower")
    usual = Stutter(79, 13, 936, 923, 17.62, 349.0, 2735.0, 0.997, 0.163)
    assert usual.remedy == "simplify by 0.163 mm, or raise baud"


# ---- passes


def star(count: int) -> Drawing:
    angle = np.arange(count) * math.pi / count
    away = 20 * np.column_stack([np.cos(angle), np.sin(angle)])
    return Drawing([[100 - end, 100 + end] for end in away], pen=PEN)


def test_ink_that_lies_too_often_in_one_spot_is_told_with_the_spot() -> None:
    (finding,) = found(planned(star(8)), "passes")
    assert "up to 8 times" in finding.text
    assert finding.place == pytest.approx((100, 100), abs=0.4)
    assert found(planned(star(6)), "passes") == []
    assert found(planned(star(6)), "passes", passes=5)
    assert found(planned(star(8)), "passes", passes=8) == []


def test_one_long_stroke_that_goes_over_itself_counts_each_time() -> None:
    there_and_back = Drawing([[(50, 50), (90, 50)] * 5], pen=PEN)
    (finding,) = found(planned(there_and_back), "passes")
    assert "up to 9 times" in finding.text or "up to 10 times" in finding.text


@settings(deadline=None, max_examples=15)
@given(st.integers(0, 2**20), st.sampled_from([0.3, 0.8]), st.integers(1, 12))
@example(seed=3753, width=0.8, corners=11)  # a disc that a hair less makes the pen leave
def test_passes_match_a_walk_in_small_steps(seed: int, width: float, corners: int) -> None:
    rng = np.random.default_rng(seed)
    pens = (Pen("fine", width=width), Pen("broad", width=1.1))
    strokes = [
        Drawing([20 + np.round(rng.uniform(0, 4, (corners, 2)), 3)], pen=pens[k % 2])
        for k in range(3)
    ]
    plot = planned(Drawing(strokes))
    spots = ink_passes(plot)
    rows, columns = spots.passes.shape
    chosen = [(int(rng.integers(rows)), int(rng.integers(columns))) for _ in range(20)]
    least, most = oracle_passes(plot.drawing, np.array([spots.place(*cell) for cell in chosen]))
    counted = np.array([spots.passes[cell] for cell in chosen])
    assert (least <= counted).all()
    assert (counted <= most).all()


# ---- the sheet's edge


def test_ink_at_the_sheets_edge_is_told() -> None:
    sheet = Sheet(100, 80, margin=0, at=(10, 20))
    near = Drawing([[(0.3, 10), (0.3, 40)], [(50, 10), (50, 40)]], pen=PEN)
    (finding,) = found(planned(near, sheet=sheet), "edge")
    assert finding.text.startswith("1 stroke with ink nearer")
    assert "down to 0.10 mm" in finding.text
    assert finding.place == pytest.approx((10.3, 30), abs=10.1)
    clear = Drawing([[(0.4, 10), (0.4, 40)]], pen=PEN)
    assert found(planned(clear, sheet=sheet), "edge") == []
    assert found(planned(clear), "edge") == []


# ---- the pen's ink


def test_a_pen_that_runs_dry_is_told_with_the_stroke_where_it_does() -> None:
    full = Pen("full", width=0.4, write_out=120)
    rows = Drawing([[(10, y), (60, y)] for y in range(10, 50, 10)], pen=full)
    (finding,) = found(planned(rows), "ink")
    assert "200.0 mm, more than the 120.0 mm" in finding.text
    assert finding.stroke == 2
    assert "among 2 pens" in finding.remedy
    assert found(planned(rows[:2]), "ink") == []
