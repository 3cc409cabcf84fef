"""The walk of a scribble against a fresh print of its strokes, pixel by pixel."""

from __future__ import annotations

import numpy as np
import pytest

from plotlib.images.scribble_kernel import COUNT, STROKES, Paper, scribble

FINE = 8  # pixels along a cell
RADIUS = 2.0
ROWS = 6
COLUMNS = 7


def walked(wanted: np.ndarray, seed: int) -> Paper:
    paper = Paper(
        lack=wanted.copy(),
        inked=np.zeros((ROWS * FINE, COLUMNS * FINE), np.bool_),
        bare=np.full((ROWS, COLUMNS), FINE * FINE),
        points=np.zeros((4_000, 2)),
        first=np.zeros(4_000, np.int64),
        counts=np.zeros(2, np.int64),
        fine=FINE,
    )
    scribble(paper, np.random.default_rng(seed), RADIUS, 5.0, 0.1, 2)
    return paper


def printed(paper: Paper) -> np.ndarray:
    """The pixels whose middles lie within the radius of a stroke."""
    ends = [*paper.first[1 : paper.counts[STROKES]], paper.counts[COUNT]]
    row, column = np.indices(paper.inked.shape) + 0.5
    inked = np.zeros(paper.inked.shape, np.bool_)
    for first, end in zip(paper.first, ends, strict=False):
        stroke = paper.points[first:end]
        after = np.concatenate([stroke[1:], stroke[-1:]])
        for (x, y), (u, v) in zip(stroke, after, strict=True):
            length = (u - x) ** 2 + (v - y) ** 2
            along = ((column - x) * (u - x) + (row - y) * (v - y)) / (length or 1.0)
            along = np.clip(along, 0, 1)
            away = np.hypot(column - x - along * (u - x), row - y - along * (v - y))
            inked |= away <= RADIUS
    return inked


@pytest.mark.parametrize("seed", range(4))
def test_what_lacks_is_what_was_asked_for_less_a_fresh_print(seed: int) -> None:
    wanted = np.random.default_rng(seed + 10).uniform(0.3, 0.5, (ROWS, COLUMNS))
    paper = walked(wanted, seed)
    assert paper.counts[COUNT] > 5
    inked = printed(paper)
    assert (inked == paper.inked).all()
    cells = inked.reshape(ROWS, FINE, COLUMNS, FINE)
    assert (paper.bare == FINE * FINE - cells.sum(axis=(1, 3))).all()
    # Each inked pixel counts by binomial weights for its cell and those about it, mirrored at the
    # edges: a plain convolution.
    weights = np.outer([1, 4, 6, 4, 1], [1, 4, 6, 4, 1]) / 256
    padded = np.pad(cells.mean(axis=(1, 3)), 2, mode="symmetric")
    seen = np.lib.stride_tricks.sliding_window_view(padded, (5, 5))
    left = wanted - (seen * weights).sum(axis=(2, 3))
    # A cell that is full, or that a stroke could not darken, is set to lack nothing.
    is_open = (paper.bare > 1) & (paper.lack != 0.0)
    assert is_open.sum() > ROWS * COLUMNS / 2
    assert paper.lack[is_open] == pytest.approx(left[is_open], abs=1e-12)
