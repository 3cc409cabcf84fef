"""The contact sheet: every variant in its place, labelled, and what goes wrong in its place too."""

from __future__ import annotations

import multiprocessing
import os
from typing import Any

import numpy as np
import pytest

import plotlib as pl
from plotlib.preview import contact_sheet, variants

SHEET = pl.Sheet(200, 150, margin=10)
BLUE = pl.Pen("blue", width=0.4, colour="#1d4e89")


def tile(seed: int = 0, size: float = 20.0) -> pl.Drawing:
    """A square, and a mark that moves with the seed."""
    return pl.shapes.rectangle((0, 0), size, size, pen=BLUE) + pl.Drawing([[(seed, seed)]])


def of_pen(sheet: pl.Drawing, name: str) -> pl.Drawing:
    found = [part for pen, part in sheet.by_pen().items() if pen.name.startswith(name)]
    return found[0] if found else pl.Drawing()


def test_every_variant_is_there_in_order_and_on_the_sheets_area() -> None:
    sheet = contact_sheet(tile, seeds=range(6), sheet=SHEET, columns=3, workers=1)
    squares = of_pen(sheet, "blue")
    assert len(squares) == 6
    middles = np.array([stroke[:4].mean(axis=0) for stroke in squares])
    assert (np.diff(middles[:3, 0]) > 0).all()  # the first row from left to right
    assert np.ptp(middles[:3, 1]) < 1e-9
    assert (middles[3:, 1] < middles[:3, 1]).all()
    left, bottom, right, top = sheet.bounds or (0, 0, 0, 0)
    assert left >= 10
    assert bottom >= 10 - 1.5  # descenders of a label
    assert right <= 190
    assert top <= 140


def test_all_have_one_scale_and_one_frame_and_pens_as_much_thinner() -> None:
    sheet = contact_sheet(tile, seeds=None, size=[10.0, 20.0], sheet=SHEET, workers=1)
    small, large = of_pen(sheet, "blue")
    ratio = np.ptp(small[:, 0]) / np.ptp(large[:, 0])
    assert ratio == pytest.approx(0.5)
    scale = np.ptp(large[:, 0]) / 20
    (pen,) = (pen for pen in sheet.pens if pen.name.startswith("blue"))
    assert pen.width == pytest.approx(0.4 * scale)
    assert pen.name == f"blue {pen.width:.2f} mm"
    assert pen.colour == BLUE.colour


def test_values_are_combined_and_labelled() -> None:
    options = {"spacing": [1.0, 2.5], "face": "roman", "seed": [7]}
    found = variants.combined(options)
    assert found == [
        {"spacing": 1.0, "face": "roman", "seed": 7},
        {"spacing": 2.5, "face": "roman", "seed": 7},
    ]
    sheet = contact_sheet(tile, seeds=[3, 11], size=[10.0, 20.0], sheet=SHEET, workers=1)
    wanted = pl.text.lettering("size 10, seed 3", height=2.2)
    shown = of_pen(sheet, "label")
    assert len(shown) > 4 * (len(wanted) - 4)


def failing(seed: int) -> Any:
    if seed == 1:
        raise ValueError("the tide is out, and this is why: " + "x" * 200)
    if seed == 2:
        return None
    if seed == 3:
        return pl.Drawing()
    return tile(seed)


@pytest.mark.parametrize("workers", [1, 2])
def test_what_goes_wrong_is_shown_in_its_place_and_the_others_go_on(workers: int) -> None:
    made = variants.all_made(
        failing, [{"seed": k} for k in range(5)], workers=workers, progress=False
    )
    assert [isinstance(one, pl.Drawing) for one in made] == [True, False, False, False, True]
    assert str(made[1]).startswith("ValueError: the tide is out")
    assert made[2] == "the design gave no Drawing but None"
    assert made[3] == "an empty drawing"
    sheet = contact_sheet(failing, seeds=range(5), sheet=SHEET, workers=workers)
    assert len(of_pen(sheet, "blue")) == 2
    assert sheet.box().within(SHEET.paper)


def test_a_sheet_where_all_fail_is_still_a_sheet() -> None:
    def broken() -> pl.Drawing:
        raise RuntimeError("no wind")

    sheet = contact_sheet(broken, seeds=None, sheet=SHEET, workers=1)
    assert [pen.name for pen in sheet.pens] == ["label"]


def test_workers_give_what_one_process_gives_closures_too() -> None:
    base = 12.0
    alone = contact_sheet(lambda seed: tile(seed, base), seeds=range(5), workers=1)
    together = contact_sheet(lambda seed: tile(seed, base), seeds=range(5), workers=2)
    assert alone == together


def test_work_is_done_in_other_processes() -> None:
    made = variants.all_made(process, [{}, {}, {}], workers=2, progress=None)
    numbers = {int(one.points[0, 0]) for one in made if isinstance(one, pl.Drawing)}
    assert numbers
    assert os.getpid() not in numbers


def process() -> pl.Drawing:
    return pl.Drawing([[(os.getpid(), 0)]])


def dying(seed: int) -> pl.Drawing:
    if seed == 1:
        os._exit(1)
    return tile(seed)


def test_a_process_that_dies_is_shown_and_the_others_go_on() -> None:
    made = variants.all_made(dying, [{"seed": k} for k in range(3)], workers=2, progress=False)
    assert [isinstance(one, pl.Drawing) for one in made] == [True, False, True]
    assert str(made[1]).startswith("the process that worked on it ended")


def test_an_interrupt_ends_the_workers() -> None:
    def stop(share: float) -> None:
        if share > 0:
            raise KeyboardInterrupt

    before = set(multiprocessing.active_children())
    with pytest.raises(KeyboardInterrupt):
        variants.all_made(tile, [{"seed": k} for k in range(8)], workers=2, progress=stop)
    for worker in set(multiprocessing.active_children()) - before:
        worker.join(timeout=10)
        assert not worker.is_alive()


def test_the_share_done_is_told() -> None:
    told: list[float] = []
    contact_sheet(tile, seeds=range(4), workers=2, progress=told.append)
    assert told[0] == 0.0
    assert told[-1] == 1.0
    assert told == sorted(told)


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"make": "tile"}, "make must be a function"),
        ({"seeds": []}, "seed has no values"),
        ({"seeds": 3}, "seeds must be several numbers"),
        ({"seeds": [-1]}, "seed must be at least 0"),
        ({"size": []}, "size has no values"),
        ({"seeds": range(3_000)}, "3,000 variants are too many"),
        ({"seeds": range(2), "columns": 1, "sheet": pl.Sheet(30, 25)}, "do not fit on this sheet"),
        ({"sheet": "A4"}, "sheet must be a Sheet"),
        ({"workers": 0}, "workers must be from 1"),
    ],
)
def test_wrong_arguments_are_refused(wrong: dict[str, Any], words: str) -> None:
    with pytest.raises(pl.InvalidValue, match=words):
        contact_sheet(**{"make": tile, "workers": 1, **wrong})


def test_it_can_be_plotted() -> None:
    machine = pl.Machine(
        width=225,
        height=250,
        x=pl.Axis(10_000),
        y=pl.Axis(4_000),
        lift=pl.ServoLift("M5", "M3"),
        feed=3_000,
    )
    sheet = contact_sheet(tile, seeds=range(4), sheet=SHEET, workers=1)
    plot = pl.plan(sheet.inked(pl.Pen("fine", width=0.1)), machine, sheet=SHEET)
    assert plot.warnings[-1].startswith("no acceleration")
