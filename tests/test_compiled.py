"""Kernels: Python and the compiler give the same bytes, and little work needs no compiler."""

from __future__ import annotations

import subprocess
import sys

import numpy as np
import pytest

import plotlib as pl
from plotlib import kernel_store
from plotlib.compiled import COMPILING_ANYWAY, NEVER_COMPILED, Kernel, compiled, compiled_above
from plotlib.gcode.writer import text_of

MACHINE = pl.Machine(
    width=200,
    height=200,
    x=pl.Axis(10_000, 500),
    y=pl.Axis(4_000, 250),
    lift=pl.ServoLift("M5", "M3 S90"),
    feed=3_000,
    baud=9_600,
)


@compiled
def _square(value: float) -> float:
    return value * value


@compiled_above(10)
def _sum_of_squares(values: np.ndarray) -> float:
    total = 0.0
    for value in values:
        total += _square(value)
    return total


def mixed(seed: int) -> pl.Drawing:
    """Strokes, dots, rings, doubled strokes and stars of strokes that meet, on a coarse lattice, so
    that many moves cost the same.
    """
    rng = np.random.default_rng(seed)
    strokes = [rng.integers(1, 40, (int(rng.integers(1, 5)), 2)) * 5.0 for _ in range(30)]
    strokes += [strokes[0], strokes[1][::-1]]
    strokes += [[(100, 100), (100 + 5 * k, 150)] for k in range(20)]
    for _ in range(4):
        corner = rng.integers(1, 30, 2) * 5.0
        strokes.append(corner + 5.0 * np.array([(0, 0), (1, 0), (1, 1), (0, 2), (0, 0)]))
    return pl.Drawing(strokes)


@pytest.mark.parametrize("metric", ["time", "distance"])
@pytest.mark.parametrize("seed", range(3))
def test_python_and_the_compiler_give_the_same_bytes(
    seed: int, metric: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    told = []
    for by_python in (True, False):
        monkeypatch.setattr(Kernel, "_is_little", lambda kernel, given, way=by_python: way)
        monkeypatch.setattr(Kernel, "__call__", _called)
        plot = pl.plan(mixed(seed), MACHINE, metric=metric, join=2.0, effort="quick")
        times = plot.times
        told.append((text_of(plot), plot.cost, times.duration, times.moves.tobytes()))
    assert told[0] == told[1]


def _called(kernel: Kernel, *arguments: object) -> object:
    """As Kernel does, also where it was compiled before."""
    if kernel.little and kernel._is_little(arguments):
        return kernel.run_by_python(*arguments)
    return kernel.entry(*arguments)


@pytest.mark.parametrize("seed", range(5))
def test_hatches_of_python_and_of_the_compiler_are_the_same(
    seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    rng = np.random.default_rng(seed)
    ring = rng.uniform(0, 50, (12, 2))
    area = pl.Drawing([np.concatenate([ring, ring[:1]])])
    told = []
    for by_python in (True, False):
        monkeypatch.setattr(Kernel, "_is_little", lambda kernel, given, way=by_python: way)
        monkeypatch.setattr(Kernel, "__call__", _called)
        told.append(pl.fills.hatch(area, spacing=0.7, angle=31.0).points.tobytes())
    assert told[0] == told[1]


def test_work_is_little_until_it_is_used_up(monkeypatch: pytest.MonkeyPatch) -> None:
    kernel = Kernel(_sum_of_squares.function, 10)
    kernel.__dict__["is_kept"] = True
    assert kernel(np.ones(6)) == 6.0
    assert kernel._entry is None
    assert kernel(np.ones(6)) == 6.0
    assert kernel._entry is not None


@pytest.mark.parametrize(("waits", "most"), [(False, NEVER_COMPILED), (True, COMPILING_ANYWAY)])
def test_what_was_never_compiled_is_left_to_python_longer(
    waits: bool, most: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Less so where the user waits for the compiler anyway."""
    monkeypatch.setattr(kernel_store, "is_compiling", lambda: waits)
    never = Kernel(_sum_of_squares.function, 10)
    never.__dict__["is_kept"] = False
    assert never(np.ones(10 * most)) == 10.0 * most
    assert never._entry is None
    never(np.ones(1))
    assert never._entry is not None


def test_whole_numbers_count_as_work() -> None:
    kernel = Kernel(_sum_of_squares.function, 10)
    kernel.__dict__["is_kept"] = True
    assert kernel._is_little((np.ones(4), 6))
    assert not kernel._is_little((np.ones(0), 1))


def test_a_small_drawing_needs_no_compiler() -> None:
    code = (
        "import sys, plotlib as pl\n"
        "moon = pl.shapes.circle((105, 74), 40)\n"
        "(moon + pl.fills.hatch(moon, spacing=0.8, angle=30))._repr_svg_()\n"
        "print('numba' in sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"
