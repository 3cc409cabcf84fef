"""Path data against a slow writer in decimal arithmetic and a slow reader."""

from __future__ import annotations

import re
from decimal import Decimal
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from plotlib.arrays import pathtext
from plotlib.arrays.pathtext import path_text
from plotlib.arrays.ragged import offsets_of

UNITS = st.one_of(
    st.integers(-30, 30),
    st.integers(-(10**12), 10**12),
    st.sampled_from([0, 1000, -1000, 99, -10, 10**9]),
)
STROKES = st.lists(st.lists(st.tuples(UNITS, UNITS), min_size=1, max_size=5), max_size=8)


def slow(strokes: list[list[tuple[int, int]]], decimals: int, relative: bool = False) -> str:
    lines = []
    for stroke in strokes:
        shut = len(stroke) >= 3 and stroke[0] == stroke[-1]
        points = stroke[:-1] if shut else stroke * 2 if len(stroke) == 1 else stroke
        steps = [(x - a, y - b) for (a, b), (x, y) in pairwise(points)]
        shown = points[:1] + steps if relative else points
        text = ""
        for k, (x, y) in enumerate(shown):
            command = "M" if k == 0 else ("l" if relative else "L") if k == 1 else " "
            text += command + number(x, decimals) + " " + number(y, decimals)
        lines.append(re.sub(" -", "-", text) + ("Z" if shut else "") + "\n")
    return "".join(lines)


def number(units: int, decimals: int) -> str:
    text = format(Decimal(units).scaleb(-decimals), "f")
    return text.rstrip("0").rstrip(".") if "." in text else text


def ragged(strokes: list[list[tuple[int, int]]]) -> tuple[np.ndarray, np.ndarray]:
    points = np.array([point for stroke in strokes for point in stroke], np.int64).reshape(-1, 2)
    return points, offsets_of(np.array([len(stroke) for stroke in strokes], np.int64))


@given(STROKES, st.integers(0, 6), st.booleans())
def test_equals_the_slow_writer(
    strokes: list[list[tuple[int, int]]], decimals: int, relative: bool
) -> None:
    text = path_text(*ragged(strokes), decimals=decimals, relative=relative).decode()
    assert text == slow(strokes, decimals, relative)
    assert "-0 " not in text + " "
    assert not re.search(r"-0(?![.\d])|\.\d*0(?!\d)|\.(?!\d)", text)


def test_chunks_do_not_show(monkeypatch: pytest.MonkeyPatch) -> None:
    rng = np.random.default_rng(1)
    points = rng.integers(-5000, 5000, (100, 2))
    offsets = np.array([0, 1, 40, 43, 100])
    points[99] = points[43]
    whole = path_text(points, offsets, decimals=3)
    monkeypatch.setattr(pathtext, "_POINTS", 7)
    assert path_text(points, offsets, decimals=3) == whole
    assert whole.count(b"\n") == 4
    assert whole.endswith(b"Z\n")


def test_no_strokes_no_text() -> None:
    assert path_text(np.empty((0, 2), np.int64), np.zeros(1, np.int64), decimals=3) == b""


def test_leaves_its_input_as_it_is() -> None:
    points = np.array([[1, 2], [3, 4], [5, 6]])
    before = points.copy()
    path_text(points, np.array([0, 3]), decimals=1, relative=True)
    assert (points == before).all()
