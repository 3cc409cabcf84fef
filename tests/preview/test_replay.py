"""The page that replays a plot: what it holds, read back by other means."""

from __future__ import annotations

import base64
import json
import re
import tomllib
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue, NotWritten
from plotlib.machine import Axis, Machine, ServoLift
from plotlib.pen import Pen
from plotlib.planning.plan import plan
from plotlib.planning.plot import Plot
from plotlib.preview import page
from plotlib.preview.replay import Page
from plotlib.preview.timeline import timeline
from plotlib.sheet import Sheet

LIFT = ServoLift(up="M5", down="M3 S90", settle_up=0.2, settle_down=0.3)
KINDS = {
    "points": np.uint16,
    "shares": np.uint16,
    "offsets": np.uint32,
    "pens": np.uint16,
    "draws": np.float32,
    "ends": np.uint16,
    "leads": np.uint8,
    "leaves": np.float64,
    "travels": np.float32,
}


def machine(**more: Any) -> Machine:
    axis = Axis(6_000, 400)
    return Machine(width=120, height=90, x=axis, y=axis, lift=LIFT, feed=2_000, **more)


def planned(**more: Any) -> Plot:
    rng = np.random.default_rng(5)
    blue = Drawing(rng.random((20, 4, 2)) * [80, 50] + 10, pen=Pen("blue", colour="#1d4e89"))
    red = Drawing([[(20, 20)], [(30, 20), (40, 30), (30, 20)]], pen=Pen("red", colour="#c0392b"))
    return plan(blue + red, machine(**more), sheet=Sheet(100, 70, margin=5, at=(10, 10)))


class Scripts(HTMLParser):
    """The texts of the scripts with an id."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.found: dict[str, str] = {}
        self.name: str | None = None
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.name = dict(attrs).get("id") if tag == "script" else None

    def handle_data(self, data: str) -> None:
        if self.name:
            self.found[self.name] = self.found.get(self.name, "") + data


def held(shown: Page) -> tuple[dict[str, np.ndarray], dict[str, Any]]:
    """The arrays and the facts of a page."""
    found = Scripts(shown.html).found
    arrays = {
        name: np.frombuffer(base64.b64decode(found[name]), np.dtype(kind).newbyteorder("<"))
        for name, kind in KINDS.items()
    }
    return arrays, json.loads(found["facts"])


def slow_times(plot: Plot) -> tuple[list[float], list[float], float]:
    """When each move begins, when each stroke does and when all ends, one after another."""
    now = 0.0
    leaves = []
    begins = {}
    for leg, stroke in enumerate(plot.legs.stroke):
        leaves.append(now)
        now += plot.times.ways[leg]
        if stroke >= 0:
            first, last = plot.drawing.offsets[stroke : stroke + 2]
            now += LIFT.seconds_down
            begins[stroke] = now
            now += plot.times.moves[first:last].sum() + LIFT.seconds_up
    return leaves, [begins[k] for k in range(len(plot.drawing))], now


def test_times_are_those_of_the_motion_model_laid_end_to_end() -> None:
    plot = planned()
    mine = timeline(plot)
    leaves, begins, end = slow_times(plot)
    assert mine.leaves == pytest.approx(leaves)
    assert mine.begins == pytest.approx(begins)
    assert mine.duration == pytest.approx(end)
    assert mine.duration == pytest.approx(plot.duration, rel=1e-9)


def test_waits_for_the_link_are_in_the_times() -> None:
    turns = np.linspace(0, 20, 3_000)
    thick = Drawing([np.stack([50 + 30 * np.cos(turns), 40 + 30 * np.sin(turns)], axis=1)])
    plot = plan(thick, machine(baud=4_800), join=None)
    assert plot.times.waiting > 1
    mine = timeline(plot)
    assert mine.duration == pytest.approx(plot.duration, rel=1e-9)
    assert mine.draws.sum() == pytest.approx(plot.times.drawing + plot.times.waiting)


def test_the_arrays_are_the_plot() -> None:
    plot = planned()
    arrays, facts = held(page(plot))
    points = arrays["points"].reshape(-1, 2) * facts["step"]
    assert np.abs(points - plot.drawing.points).max() <= facts["step"] / 2 + 1e-9
    assert facts["step"] == 120 / 65535
    assert (arrays["offsets"] == plot.drawing.offsets).all()
    assert (arrays["pens"] == plot.drawing.pen_index).all()
    ends = arrays["ends"].reshape(-1, 2) * facts["step"]
    assert np.abs(ends - plot.machine.to_mm(plot.legs.end)).max() <= facts["step"]
    assert arrays["leads"].sum() == len(plot.drawing)
    for first, last in zip(arrays["offsets"][:-1], arrays["offsets"][1:], strict=True):
        assert arrays["shares"][first] == 0
        assert (np.diff(arrays["shares"][first:last].astype(int)) >= 0).all()
        assert last == first + 1 or arrays["shares"][last - 1] == 65535


def test_the_facts_are_those_of_the_plot() -> None:
    plot = planned()
    _, facts = held(page(plot, title="Two pens"))
    assert facts["title"] == "Two pens"
    assert facts["page"] == [10, 10, 110, 80]
    assert facts["duration"] == pytest.approx(plot.duration)
    assert facts["totals"]["ink"] == pytest.approx(plot.drawing.length)
    assert facts["totals"]["travel"] == pytest.approx(plot.travel)
    assert [pen["name"] for pen in facts["pens"]] == [pen.name for pen in plot.drawing.pens]
    assert sum(pen["ink"] for pen in facts["pens"]) == pytest.approx(plot.drawing.length)


def test_nothing_is_loaded_from_elsewhere() -> None:
    text = re.sub(r"<script type=.*?</script>", "", page(planned()).html)
    assert not re.search(
        r"https?:|//\w|\bsrc=|\bhref=|url\(|@import|import\(|fetch\(|XMLHttp", text
    )
    assert "default-src 'none'" in text
    assert "[[" not in text.replace("]]", "")


def test_what_the_page_is_made_of_is_in_the_package() -> None:
    root = Path(__file__).parents[2]
    kept = tomllib.loads((root / "pyproject.toml").read_text(encoding="utf-8"))
    patterns = kept["tool"]["setuptools"]["package-data"]["plotlib"]
    parts = [*root.glob("plotlib/preview/replay*.*")]
    assert len(parts) == 5
    for part in parts:
        assert part.suffix == ".py" or f"**/*{part.suffix}" in patterns


def test_titles_and_names_cannot_break_out_of_the_page() -> None:
    evil = '</script><script>alert("x")</script>'
    drawing = Drawing([[(10, 10), (50, 50)]], pen=Pen(evil))
    shown = page(plan(drawing, machine()), title=evil + "[[POINTS]]")
    assert "<script>alert" not in shown.html
    assert held(shown)[1]["pens"][0]["name"] == evil
    assert shown.html.count("[[POINTS]]") == 3


def test_it_is_written_whole_and_the_same_again(tmp_path: Path) -> None:
    plot = planned()
    shown = page(plot, tmp_path / "plot.html")
    assert (tmp_path / "plot.html").read_text(encoding="utf-8") == shown.html == page(plot).html


def test_wrong_input_is_named(tmp_path: Path) -> None:
    plot = planned()
    with pytest.raises(NotWritten, match="no folder"):
        page(plot, tmp_path / "missing" / "plot.html")
    with pytest.raises(InvalidValue, match=r"path must end in \.html"):
        page(plot, tmp_path / "plot.png")
    with pytest.raises(InvalidValue, match="has no times yet; plan it first"):
        page(Drawing([[(0, 0)]]))  # type: ignore[arg-type]
    with pytest.raises(InvalidValue, match="a Plot can be replayed, got str"):
        page("plot")  # type: ignore[arg-type]
    with pytest.raises(InvalidValue, match="title"):
        page(plot, title=3)  # type: ignore[arg-type]
    with pytest.raises(InvalidValue, match="paper must be a colour"):
        page(plot, paper="white")
    assert not list(tmp_path.iterdir())


def test_an_empty_plot_is_a_page_too() -> None:
    plot = plan(Drawing(), machine(park=(50, 50)))
    arrays, facts = held(page(plot))
    assert facts["pens"] == []
    assert len(arrays["points"]) == 0
    assert facts["duration"] == pytest.approx(plot.duration)


def test_a_hundred_thousand_strokes_stay_below_twelve_megabytes() -> None:
    """By the bytes that a stroke of ten points takes more, without planning so many."""
    sizes = []
    for count in (100, 200):
        rng = np.random.default_rng(1)
        strokes = rng.random((count, 1, 2)) * [80, 60] + 10 + rng.random((count, 10, 2))
        sizes.append(len(page(plan(Drawing(strokes), machine(), join=None)).html))
    assert 100_000 * (sizes[1] - sizes[0]) / 100 + sizes[0] < 12e6


def test_a_notebook_shows_it_up_to_two_megabytes() -> None:
    shown = page(planned())
    cell = shown._repr_html_()
    assert cell.startswith("<iframe")
    assert len(cell) < 2e6
    large = Page("x" * 2_000_001)
    assert "write it to a file" in large._repr_html_()
    assert repr(large) == "<Page of 2,000,001 bytes>"
