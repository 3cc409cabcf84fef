"""The judge against prints whose coverage is known."""

from __future__ import annotations

import math

import numpy as np
import pytest
from PIL import Image

from plotlib import images
from plotlib.drawing import Drawing
from plotlib.images.printing import printed
from plotlib.pen import Pen

PEN = Pen("black", width=0.5)


def rows(spacing, side=40.0):
    levels = np.arange(spacing / 2, side, spacing)
    return Drawing([[(-1, y), (side + 1, y)] for y in levels], pen=PEN)


@pytest.mark.parametrize("spacing", [0.8, 1.0, 2.0])
def test_parallel_lines_cover_width_over_spacing(spacing):
    share = printed(rows(spacing), (0, 0, 40, 40), 40, 40).mean()
    assert share == pytest.approx(0.5 / spacing, abs=0.005)


def test_crossed_lines_cover_once():
    crossed = rows(2.0) + rows(2.0).turned(90, about=(20, 20))
    share = printed(crossed, (0, 0, 40, 40), 20, 20).mean()
    assert share == pytest.approx(1 - 0.75**2, abs=0.005)


def test_oblong_cells_are_printed_alike():
    share = printed(rows(2.0), (0, 0, 40, 40), 4, 60)
    assert share == pytest.approx(np.full((4, 60), 0.25), abs=0.01)


def test_a_print_that_is_too_light_is_told_where():
    tone = images.Tone([[0.75, 0.25]], (0, 0, 40, 40))
    judged = images.judge(rows(2.0), tone)
    assert judged.bias == pytest.approx(0.25, abs=0.02)
    assert judged.worst[0] > 30
    assert judged.worst_error == pytest.approx(0.5, abs=0.03)
    assert judged.lifts == 20
    assert judged.length == pytest.approx(20 * 42.0)


def test_the_error_of_bare_paper_on_a_ramp():
    # root mean square of the ramp x on [0, 1] is 1/sqrt(3); the blur takes a little at the ends
    tone = images.Tone(np.linspace(1, 0, 200)[None, :], (0, 0, 400, 100))
    judged = images.judge(Drawing(), tone)
    assert judged.rmse == pytest.approx(1 / math.sqrt(3), abs=0.005)
    assert math.isnan(judged.correlation)


def test_the_picture_shows_both_side_by_side(tmp_path):
    judged = images.judge(rows(1.0), images.Tone([[0.5]], (0, 0, 40, 40)))
    judged.png(tmp_path / "both.png", dpi=50)
    shown = np.asarray(Image.open(tmp_path / "both.png"))
    assert shown.shape == (79, 3 * 79 + 2)
    assert abs(int(shown[40, 30]) - int(shown[40, -30])) <= 2
