"""Who is told of long work, and when the line on stderr appears."""

from __future__ import annotations

import io
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely

import plotlib as pl
from plotlib import progress


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def watched(monkeypatch: pytest.MonkeyPatch) -> Terminal:
    """A terminal in the place of stderr (set in the test itself: pytest sets stderr before it)."""
    screen = Terminal()
    monkeypatch.setattr(sys, "stderr", screen)
    monkeypatch.setattr(progress, "SILENT", 0.01)
    monkeypatch.setattr(progress, "AGAIN", 0.01)
    return screen


@pytest.fixture
def seen() -> Iterator[list[tuple[str, float | None]]]:
    told: list[tuple[str, float | None]] = []
    progress.listen(lambda what, share: told.append((what, share)))
    yield told
    progress.listen_on_stderr()


def until(screen: Terminal, text: str, looks: int = 1_000) -> None:
    """Wait until the line was shown; a thread of its own shows it."""
    for _ in range(looks):
        if text in screen.getvalue():
            return
        time.sleep(0.01)
    raise AssertionError(f"{text!r} is not in {screen.getvalue()!r}")


def test_long_work_shows_a_line_and_takes_it_away(monkeypatch: pytest.MonkeyPatch) -> None:
    terminal = watched(monkeypatch)
    with progress.stage("counting sheep") as work:
        until(terminal, "\rplotlib: counting sheep (0 s)")
        work.done(0.25)
        until(terminal, "\rplotlib: counting sheep: 25% |#####               | 00:00, 00:00 left")
        with progress.stage("counting lambs"):
            until(terminal, "\rplotlib: counting lambs")
        shown = terminal.getvalue()
    last = terminal.getvalue()[len(shown) :]
    assert last.endswith("\r")
    assert not last.rpartition("\r")[0].rpartition("\r")[2].strip()


def test_short_work_shows_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    terminal = watched(monkeypatch)
    monkeypatch.setattr(progress, "SILENT", 60.0)
    with progress.stage("counting sheep"):
        pass
    assert terminal.getvalue() == ""


def test_nothing_is_shown_where_nobody_looks_on(monkeypatch: pytest.MonkeyPatch) -> None:
    watched(monkeypatch)
    log = io.StringIO()
    monkeypatch.setattr(sys, "stderr", log)
    with progress.stage("counting sheep"):
        time.sleep(0.1)
    assert log.getvalue() == ""


def test_the_line_goes_when_work_fails(monkeypatch: pytest.MonkeyPatch) -> None:
    terminal = watched(monkeypatch)
    with pytest.raises(AssertionError, match="never shown"), progress.stage("dividing"):
        until(terminal, "never shown", looks=5)
    assert progress._told.works == []
    assert terminal.getvalue().endswith("\r")


def test_planning_and_the_bound_say_what_they_do(seen: list[tuple[str, float | None]]) -> None:
    rng = np.random.default_rng(1)
    machine = pl.Machine(
        width=100,
        height=100,
        x=pl.Axis(10_000),
        y=pl.Axis(10_000),
        lift=pl.ServoLift("M5", "M3"),
        feed=3_000,
    )
    blue = pl.Pen("blue")
    plot = pl.plan(pl.Drawing(list(rng.uniform(0, 90, (12, 2, 2))), pen=blue), machine)
    begun = [what for what, share in seen if share == 0.0]
    assert begun[:2] == ["planning", "joining the strokes of pen blue"]
    assert "looking for a short order of 12 strokes of pen blue" in begun
    seen.clear()
    assert plot.bound > 0
    assert seen[0] == ("proving how short the way of the pen could be", 0.0)
    assert seen[-1] == ("proving how short the way of the pen could be", 1.0)


def test_fills_fields_and_the_proof_say_what_they_do(
    seen: list[tuple[str, float | None]], tmp_path: Path
) -> None:
    area = shapely.box(0, 0, 20, 20)
    lift = pl.ServoLift("M5", "M3")
    axes = {"x": pl.Axis(10_000), "y": pl.Axis(10_000)}
    machine = pl.Machine(width=100, height=100, **axes, lift=lift, feed=3_000)
    plot = pl.plan(pl.fills.solid(area), machine)
    pl.fields.circle_packing(area, smallest=2, largest=4)
    pl.fields.streamlines(pl.fields.perlin(scale=9).curl(), area, spacing=4)
    pl.gcode.write(plot, tmp_path / "plot.gcode")
    ended = dict.fromkeys(what for what, share in seen if share == 1.0)
    wanted = ["filling an area", "packing circles", "drawing streamlines", "proving the G-code"]
    assert [what for what in ended if what in wanted] == wanted


def test_a_listener_hears_no_announcement_on_stderr(
    seen: list[tuple[str, float | None]], capsys: pytest.CaptureFixture[str]
) -> None:
    progress.announce("something")
    assert capsys.readouterr().err == ""
    progress.listen_on_stderr()
    progress.announce("something")
    assert capsys.readouterr().err == "something\n"


def test_the_argument_shows_it_at_once_wherever_stderr_leads(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    log = io.StringIO()
    monkeypatch.setattr(sys, "stderr", log)
    with progress.asked("counting sheep", True):
        pass
    assert "counting sheep" in log.getvalue()


def test_the_argument_silences_all_that_is_done_inside(
    seen: list[tuple[str, float | None]],
) -> None:
    with progress.asked("counting sheep", False) as work:
        work.done(0.5)
        with progress.stage("counting lambs"):
            pass
    assert seen == []
    with progress.asked("counting sheep", None):
        pass
    assert seen == [("counting sheep", 0.0), ("counting sheep", 1.0)]


def test_a_function_is_told_the_share_of_the_whole_work_and_nobody_else_is(
    seen: list[tuple[str, float | None]],
) -> None:
    told: list[float] = []
    with progress.asked("counting sheep", told.append) as work:
        work.done(0.5)
        with progress.stage("counting lambs"):
            pass
    assert told == [0.0, 0.5, 1.0]
    assert seen == []


@pytest.mark.parametrize("wrong", ["yes", 3, [], lambda: None])
def test_what_cannot_be_told_is_refused_before_the_work(wrong: Any) -> None:
    words = "progress of counting sheep must be True, False"
    with pytest.raises(pl.InvalidValue, match=words), progress.asked("counting sheep", wrong):
        raise AssertionError("the work has begun")


def test_planning_packing_and_the_proof_take_the_argument(tmp_path: Path) -> None:
    told: dict[str, list[float]] = {"plan": [], "pack": [], "write": []}
    axes = {"x": pl.Axis(10_000), "y": pl.Axis(10_000)}
    lift = pl.ServoLift("M5", "M3")
    machine = pl.Machine(width=100, height=100, **axes, lift=lift, feed=3_000)
    rng = np.random.default_rng(1)
    rows = pl.Drawing(list(rng.uniform(0, 90, (200, 2, 2))))
    plot = pl.plan(rows, machine, progress=told["plan"].append)
    area = shapely.box(0, 0, 20, 20)
    pl.fields.circle_packing(area, smallest=0.5, largest=4, progress=told["pack"].append)
    pl.gcode.write(plot, tmp_path / "plot.gcode", progress=told["write"].append)
    assert all(shares[0] == 0.0 and shares[-1] == 1.0 for shares in told.values())
    assert len(told["plan"]) > 3
    assert told["plan"] == sorted(told["plan"])


def test_without_tqdm_the_line_says_it_in_words(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(progress, "_meter", lambda: None)
    work = progress.Stage("counting sheep", 0.25)
    assert progress._words(work, time.monotonic()) == "plotlib: counting sheep (25%, 0 s)"
