"""The controls of a design, driven by their values."""

from __future__ import annotations

import asyncio
import sys
from typing import Any

import pytest

import plotlib as pl
from plotlib.preview import explore, explorer

MACHINE = pl.Machine(
    width=100,
    height=80,
    x=pl.Axis(10_000, 500),
    y=pl.Axis(4_000, 250),
    lift=pl.ServoLift("M5", "M3"),
    feed=3_000,
)
asked: list[dict[str, Any]] = []


def design(
    spacing: float = 2.0, tips: int = 6, face: str = "plain", seed: int = 3, framed: bool = True
) -> pl.Drawing:
    asked.append(dict(locals()))
    star = pl.shapes.star((40, 40), 30, tips=tips, inner=12)
    drawing = pl.fills.hatch(star, spacing=spacing)
    return star + drawing if framed else drawing


def explored(**changes: Any) -> explorer.Explorer:
    choices = {
        "spacing": (0.4, 3.0),
        "tips": (3, 12),
        "face": ["plain", "fancy"],
        "seed": range(100),
        "framed": True,
    }
    return explore(design, **{**choices, **changes})


def test_each_kind_of_choice_has_its_control_that_begins_at_the_default() -> None:
    import ipywidgets

    kinds = {name: type(control) for name, control in explored().controls.items()}
    assert kinds == {
        "spacing": ipywidgets.FloatSlider,
        "tips": ipywidgets.IntSlider,
        "face": ipywidgets.Dropdown,
        "seed": ipywidgets.IntSlider,
        "framed": ipywidgets.Checkbox,
    }
    assert explored().values == {
        "spacing": 2.0,
        "tips": 6,
        "face": "plain",
        "seed": 3,
        "framed": True,
    }
    assert explored(tips=(7, 9)).values["tips"] == 8
    assert explored(spacing=1.5).values["spacing"] == 1.5


def test_moving_a_control_draws_anew_and_writes_the_call() -> None:
    shown = explored()
    before = shown.drawing
    shown.controls["spacing"].value = 0.9000000000000001
    shown.controls["face"].value = "fancy"
    assert shown.drawing != before
    assert asked[-1] == shown.values
    words = "design(spacing=0.9, tips=6, face='fancy', seed=3, framed=True)"
    assert shown.call == words
    assert words.replace("'", "&#x27;") in shown._written.value
    assert eval(shown.call) == shown.drawing


def test_ink_lifts_and_time_are_live() -> None:
    shown = explored(machine=MACHINE, sheet=pl.Sheet(100, 80))
    plot = shown.plot
    assert plot is not None
    assert f"{plot.lifts} lifts" in shown._facts.value
    shown.controls["spacing"].value = 0.5
    assert shown.plot is not None
    assert shown.plot.duration > plot.duration
    assert shown._picture.value.startswith("<svg")
    assert "lifts" in explored()._facts.value


def test_while_a_control_moves_the_drawing_is_coarse_and_in_full_at_rest(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(explorer, "REST", 0.05)
    given: list[bool] = []

    def slow(tips: int, coarse: bool = False) -> pl.Drawing:
        given.append(coarse)
        return pl.shapes.star((40, 40), 30, tips=tips)

    async def moves() -> None:
        shown = explore(slow, tips=(3, 12), machine=MACHINE)
        shown.controls["tips"].value = 4
        shown.controls["tips"].value = 5
        assert shown.plot is None
        assert "…" in shown._facts.value
        await asyncio.sleep(0.5)
        assert shown.plot is not None
        assert shown.call == "slow(tips=5)"

    asyncio.run(moves())
    assert given == [False, True, True, False]


def test_many_points_are_a_png(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(explorer.inline, "POINTS", 20)
    assert explored()._picture.value.startswith("<img")


def test_what_goes_wrong_stands_in_the_place_of_the_picture() -> None:
    def failing(number: int) -> Any:
        if number == 1:
            raise ValueError("no <b>wind</b>")
        return None if number == 2 else pl.Drawing()

    shown = explore(failing, number=[1, 2, 3])
    assert shown.error == "ValueError: no <b>wind</b>"
    assert "no &lt;b&gt;wind" in shown._picture.value
    shown.controls["number"].value = 2
    assert "gave no Drawing but None" in shown._picture.value
    shown.controls["number"].value = 3
    assert "an empty drawing" in shown._picture.value


def test_a_drawing_off_the_bed_is_shown_with_the_refusal() -> None:
    shown = explore(lambda x: pl.Drawing([[(x, 10), (20, 20)]]), x=[10, -30], machine=MACHINE)
    assert shown.plot is not None
    shown.controls["x"].value = -30
    assert shown.plot is None
    assert "leaves the bed by 30.000 mm on the left" in shown._facts.value
    assert shown._picture.value.startswith("<svg")
    shown.controls["x"].value = 10
    assert shown.error is None


def test_a_notebook_gets_the_widget() -> None:
    data = explored()._repr_mimebundle_()
    assert data["text/plain"].startswith("<Explorer: design(")
    assert "application/vnd.jupyter.widget-view+json" in data


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"make": 3}, "make must be a function"),
        ({"tips": (9, 3)}, "tips must go from less to more"),
        ({"tips": []}, "tips has no values"),
        ({"tips": range(0)}, "tips has no values"),
        ({"machine": "bench"}, "machine must be a Machine"),
        ({"sheet": "A4"}, "sheet must be a Sheet"),
    ],
)
def test_wrong_arguments_are_refused(wrong: dict[str, Any], words: str) -> None:
    with pytest.raises(pl.InvalidValue, match=words):
        explore(**{"make": design, **wrong})


def test_without_ipywidgets_the_error_names_it(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "ipywidgets", None)
    with pytest.raises(pl.MissingPackage, match="pip install ipywidgets"):
        explored()
