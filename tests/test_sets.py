"""One drawing for many machines: files by machine and pen, and a contents page."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

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
