"""One drawing for many machines: files by machine and pen, and a contents page."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely

import plotlib as pl
from plotlib import gcode, sets
from plotlib.errors import InvalidValue, NotRead

RED = pl.Pen("räd", 0.3, "#aa2222")
DRAWING = pl.shapes.circle((60, 60), 30) + pl.shapes.star((60, 60), 30, pen=RED)


def bench(name: str, **changes: Any) -> pl.Machine:
    values: dict[str, Any] = {
        "width": 200,
        "height": 150,
        "x": pl.Axis(9_000),
        "y": pl.Axis(6_000),
        "feed": 3_000,
        "lift": pl.ServoLift("M5", "M3 S90"),
        "name": name,
    }
    return pl.Machine(**{**values, **changes})


def test_every_machine_of_a_folder_gets_its_files(tmp_path: Path) -> None:
    (tmp_path / "profiles").mkdir()
    bench("Ferry office").save(tmp_path / "profiles" / "a.toml")
    heights = pl.ZLift(4, 0, 600)
    bench("light house", lift=heights, prologue="G0 Z4").save(tmp_path / "profiles" / "b.toml")
    made = sets.write_set(DRAWING, tmp_path / "profiles", tmp_path / "set", title="Rose")
    assert [member.machine.name for member in made] == ["Ferry office", "light house"]
    names = sorted(path.name for path in (tmp_path / "set").iterdir())
    assert names == [
        "contents.png",
        "contents.svg",
        "ferry_office.gcode",
        "ferry_office_pen.gcode",
        "ferry_office_rad.gcode",
        "light_house.gcode",
        "light_house_pen.gcode",
        "light_house_rad.gcode",
    ]
    for member in made:
        whole, *parts = (gcode.read(path, member.machine) for path in member.files)
        assert sum(len(part) for part in parts) == len(whole) == len(DRAWING)
        assert all(len(part.stops.line) == 0 for part in parts)


def test_what_cannot_be_drawn_is_told_and_the_others_are_written(tmp_path: Path) -> None:
    machines = [bench("small", width=80, height=70), bench("large")]
    made = sets.write_set(DRAWING, machines, tmp_path)
    assert made[0].plot is None
    assert made[0].files == ()
    assert "leaves the bed" in made[0].refusal
    assert [path.name for path in made[1].files] == [
        "large.gcode",
        "large_pen.gcode",
        "large_rad.gcode",
    ]


def test_names_that_fall_together_are_numbered(tmp_path: Path) -> None:
    made = sets.write_set(DRAWING, [bench("Bench"), bench("bench!")], tmp_path, by_pen=False)
    assert [member.files[0].name for member in made] == ["bench_1.gcode", "bench_2.gcode"]


def test_what_is_no_set_is_refused(tmp_path: Path) -> None:
    with pytest.raises(NotRead, match="there are no profiles"):
        sets.write_set(DRAWING, tmp_path, tmp_path / "set")
    with pytest.raises(InvalidValue, match="machines must be"):
        sets.write_set(DRAWING, [], tmp_path)
    with pytest.raises(InvalidValue, match="folder must be"):
        sets.write_set(DRAWING, [bench("a")], "")


def test_long_names_do_not_break_the_page(tmp_path: Path) -> None:
    made = sets.write_set(DRAWING, [bench("x" * 150)], tmp_path)
    assert made[0].files[0].exists()
    assert (tmp_path / "contents.svg").exists()


def test_pens_with_lifts_of_their_own_get_files_of_their_own(tmp_path: Path) -> None:
    brush = pl.Pen("brush", lift=pl.ServoLift("M5", "M3 S60"))
    drawing = pl.shapes.circle((60, 60), 30) + pl.shapes.circle((60, 60), 20, pen=brush)
    made = sets.write_set(drawing, [bench("a")], tmp_path, by_pen=False)
    assert [path.name for path in made[0].files] == ["a_pen.gcode", "a_brush.gcode"]
    assert "M3 S60" in made[0].files[1].read_text()
    with pytest.raises(InvalidValue, match="run it dry pen by pen"):
        gcode.dry_run(pl.plan(drawing, bench("a")), tmp_path / "dry.gcode")


# ---- trays


CARDS = pl.Sheet(60, 40, margin=3, at=(5, 5)).many(3, 2, pitch=(64, 45))


def test_many_sheets_lie_row_by_row_and_not_on_each_other() -> None:
    assert [card.at for card in CARDS[:4]] == [(5, 5), (69, 5), (133, 5), (5, 50)]
    assert all(card.margin == 3 for card in CARDS)
    with pytest.raises(InvalidValue, match="on each other"):
        pl.Sheet(60, 40).many(2, 1, pitch=50)


def test_each_sheet_of_a_tray_is_finished_before_the_next() -> None:
    rows = pl.fills.hatch(shapely.box(15, 8, 45, 32), spacing=4)
    drawings = [rows.turned(3 * k, about=(30, 20)) for k in range(6)]
    drawings[4] = drawings[4].inked(RED)
    plot = sets.plan_tray(drawings, CARDS, bench("tray", width=230))
    papers = [shapely.box(*card.at, card.at[0] + 60, card.at[1] + 40) for card in CARDS]
    seen: dict[str, list[int]] = {}
    for stroke, pen in zip(plot.drawing, plot.drawing.pen_index, strict=True):
        place = next(k for k, paper in enumerate(papers) if paper.covers(shapely.points(stroke[0])))
        order = seen.setdefault(plot.drawing.pens[pen].name, [])
        if not order or order[-1] != place:
            order.append(place)
    assert seen == {"pen": [0, 1, 2, 3, 5], "räd": [4]}


def test_a_drawing_that_leaves_its_own_sheet_is_refused_though_the_bed_is_large() -> None:
    small = pl.Drawing([[(5, 5), (20, 20)]])
    wide = pl.Drawing([[(5, 5), (62, 20)]])
    with pytest.raises(pl.OutsideEnvelope, match="sheet 1: stroke 0 leaves the paper") as caught:
        sets.plan_tray([small, wide, small], CARDS[:3], bench("tray", width=230))
    assert caught.value.side == "right"
    with pytest.raises(InvalidValue, match="one Drawing for each of the 6 sheets"):
        sets.plan_tray([small, wide], CARDS, bench("tray", width=230))


def test_a_tray_of_round_turned_sheets_draws_each_with_its_own_drawing(tmp_path: Path) -> None:
    tray = pl.Sheet.round(60, margin=4, at=(30, 8)).turned(15).many(3, 2, pitch=64)
    drawings = [pl.shapes.star((30, 30), 25, tips=5 + k) for k in range(6)]
    plot = sets.plan_tray(drawings, tray, bench("tray", width=260, height=190))
    assert plot.noted == ()
    for sheet, drawing in zip(tray, drawings, strict=True):
        x, y = sheet.to_bed([(30, 30)])[0]
        inside = [s for s in plot.drawing if np.hypot(*(s - (x, y)).T).max() < 30]
        assert [len(stroke) for stroke in inside] == [len(stroke) for stroke in drawing]
        wanted = sheet.to_bed(drawing.points)
        apart = np.hypot(*(inside[0][:, None] - wanted).transpose(2, 0, 1)).min(axis=1)
        assert apart.max() < 0.001
    assert plot.sheet is not None
    assert plot.sheet.on_bed.area == pytest.approx(6 * np.pi * 30**2, rel=1e-4)
    pl.gcode.write(plot, tmp_path / "tray.gcode")


def test_a_tray_tells_of_ink_in_margins_and_of_sheets_on_each_other() -> None:
    tray = pl.Sheet.round(60, margin=5, at=(5, 5)).many(2, 1, pitch=60)
    ring = pl.shapes.circle((30, 30), 26)
    plot = sets.plan_tray([ring], tray, bench("tray"))
    assert re.match(r"sheet 0: stroke 0 enters the sheet's margin by 1\.00[01] mm", plot.noted[0])
    assert "drawings of 2 sheets enter theirs" in plot.noted[0]
    with pytest.raises(pl.OutsideEnvelope, match="sheet 1: stroke 0 leaves the paper"):
        sets.plan_tray([ring, ring.moved(5, 0)], tray, bench("tray"))
    with pytest.raises(InvalidValue, match="sheets 0 and 1 lie on each other"):
        sets.plan_tray([ring], [tray[0], tray[1].turned(5, about=(5, 5))], bench("tray"))
