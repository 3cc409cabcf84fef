"""Values are passed on: pickled, copied, used by threads and processes at once, made of arrays that
nobody may write to or of small integers.
"""

from __future__ import annotations

import copy
import os
import pickle
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from dataclasses import fields, is_dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely

import plotlib as pl
from plotlib.gcode.writer import text_of

AXIS = pl.Axis(6_000, 500)
BENCH = pl.Machine(
    width=210,
    height=297,
    x=AXIS,
    y=AXIS,
    lift=pl.ZLift(4, 0, 600),
    feed=3_000,
    prologue="G0 Z4",
    keep_outs=pl.KeepOut(shapely.box(190, 280, 210, 297), passable=False),
    dialogue=pl.Dialogue(accepted="taken", refused="cannot"),
    corrections=pl.Corrections(skew=0.1),
)
INK = pl.fields.poisson_disk(shapely.box(10, 10, 100, 80), spacing=6, seed=3)
DOTS = pl.Drawing(INK[:, None, :]) + pl.shapes.rectangle((50, 40), 60, 30)
PLOT = pl.plan(DOTS, BENCH)
VALUES: dict[str, Any] = {
    "Drawing": DOTS,
    "Plot": PLOT,
    "Machine": BENCH,
    "Sheet": pl.Sheet.iso("A5", margin=5),
    "Pen": pl.Pen("broad", 0.8, "navy", 900),
    "ServoLift": pl.ServoLift("M5", ("M3 S50", "M3 S90")),
    "SolenoidLift": pl.SolenoidLift(
        pull="M3 S255", hold="M3 S70", release="M5", pull_time=0.05, holds="down"
    ),
    "InkModel": pl.images.InkModel(),
    "Toolpath": pl.gcode.read(text_of(PLOT), BENCH),
    "report": PLOT.report(),
    "Artwork": pl.svg.read('<svg width="9mm" height="9mm"><path stroke="red" d="M1 1h5"/></svg>'),
}


def parts(value: Any) -> Any:
    """What a value holds, down to plain things; arrays as their bytes."""
    if isinstance(value, np.ndarray):
        return value.dtype.str, value.shape, value.tobytes()
    if is_dataclass(value):
        return [parts(getattr(value, field.name)) for field in fields(value)]
    if isinstance(value, dict):
        return [(key, parts(held)) for key, held in value.items()]
    if isinstance(value, (list, tuple)):
        return [parts(held) for held in value]
    slots = [name for kind in type(value).__mro__ for name in getattr(kind, "__slots__", ())]
    held = getattr(value, "__dict__", None) or {name: getattr(value, name) for name in slots}
    is_ours = type(value).__module__.startswith("plotlib.")
    return [(name, parts(held[name])) for name in sorted(held)] if is_ours else value


@pytest.mark.parametrize("name", VALUES)
def test_values_survive_pickling_and_copying(name: str) -> None:
    value = VALUES[name]
    for again in (
        *(pickle.loads(pickle.dumps(value, protocol)) for protocol in (2, 5)),
        copy.copy(value),
        copy.deepcopy(value),
    ):
        assert type(again) is type(value)
        assert repr(again) == repr(value)
        assert parts(again) == parts(value)


def test_a_tone_survives_pickling() -> None:
    tone = pl.images.Tone([[0.2, 0.8], [0.5, 1.0]], (0.0, 0.0, 10.0, 10.0))
    x = np.linspace(0, 10, 7)
    assert pickle.loads(pickle.dumps(tone))(x, x).tolist() == tone(x, x).tolist()


def test_errors_survive_pickling() -> None:
    """A process pool passes them on, with their facts."""
    with pytest.raises(pl.OutsideEnvelope) as caught:
        pl.plan(DOTS.moved(150, 0), BENCH)
    again = pickle.loads(pickle.dumps(caught.value))
    assert type(again) is pl.OutsideEnvelope
    assert str(again) == str(caught.value)
    assert again.facts.keys() == caught.value.facts.keys()


def test_threads_at_once_give_the_same_bytes() -> None:
    def work(number: int) -> tuple[str, bytes]:
        seeds = pl.fields.poisson_disk(shapely.box(5, 5, 60, 60), spacing=4, seed=7)
        lines = pl.fills.hatch(shapely.box(5, 5, 60, 60), spacing=1.5, angle=30)
        drawing = pl.Drawing(seeds[:, None, :]) + lines
        return text_of(pl.plan(drawing, BENCH)), seeds.tobytes()

    alone = work(0)
    with ThreadPoolExecutor(6) as pool:
        assert set(pool.map(work, range(18))) == {alone}


_FIRST = """
import plotlib as pl
print(pl.Drawing([[(x, x * x % 7) for x in range(100)]]).simplified(0.5).length)
"""


def test_processes_that_compile_at_once_give_the_same(tmp_path: Path) -> None:
    """Two at once into one empty cache: each finds or makes a whole kernel."""
    surroundings = {**os.environ, "NUMBA_CACHE_DIR": str(tmp_path / "cache")}
    started = [
        subprocess.Popen(
            [sys.executable, "-c", _FIRST],
            env=surroundings,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        for _ in range(2)
    ]
    told = [process.communicate(timeout=300) for process in started]
    assert [process.returncode for process in started] == [0, 0], told
    here = pl.Drawing([[(x, x * x % 7) for x in range(100)]]).simplified(0.5).length
    assert {out for out, _ in told} == {f"{here}\n"}


def read_only(values: Any, kind: Any = np.float64) -> Any:
    array = np.array(values, kind)
    array.setflags(write=False)
    return array


SQUARE = read_only([(10, 10), (50, 10), (50, 40), (10, 40), (10, 10)])
PLACES = read_only(np.random.default_rng(1).uniform(10, 60, (40, 2)))


@pytest.mark.parametrize(
    "make",
    [
        lambda: pl.Drawing([SQUARE]),
        lambda: pl.Drawing.from_arrays(SQUARE, read_only([0, 3, 5], np.int32)),
        lambda: pl.Drawing([SQUARE]).transformed(read_only([[1, 0, 5], [0, 1, 5]])),
        lambda: pl.Drawing([SQUARE]).simplified(0.1),
        lambda: pl.fields.voronoi(PLACES, pl.Sheet(80, 80)),
        lambda: pl.fields.lloyd(PLACES, pl.Sheet(80, 80)),
        lambda: pl.fields.delaunay(PLACES, pl.Sheet(80, 80)),
        lambda: pl.fields.streamlines(pl.fields.uniform(20), pl.Sheet(80, 80), spacing=5),
        lambda: pl.fields.isolines(
            pl.fields.from_array(read_only(np.arange(30).reshape(5, 6)), (0, 0, 60, 60)),
            pl.Sheet(80, 80),
            spacing=4,
        ),
        lambda: pl.fields.from_array(read_only(np.eye(4)), (0, 0, 9, 9))(
            PLACES[:, 0], PLACES[:, 1]
        ),
        lambda: pl.images.Tone(read_only(np.eye(5)), (0, 0, 50, 50)).blurred(2),
        lambda: pl.fields.circles(read_only([(10, 10, 3), (20, 20, 4)])),
    ],
)
def test_arrays_that_nobody_may_write_to_are_enough(make: Any) -> None:
    make()


@pytest.mark.parametrize("kind", [np.int8, np.int32, np.uint16, np.float32, np.float16])
def test_points_and_offsets_may_be_of_any_kind_of_number(kind: Any) -> None:
    """Nothing is computed in the small kind: 100 + 100 would overflow 8 bits."""
    drawing = pl.Drawing([np.array([(100, 0), (100, 100), (0, 100)], kind)])
    assert drawing == pl.Drawing([[(100, 0), (100, 100), (0, 100)]])
    assert drawing.scaled(100).bounds == (0.0, 0.0, 10_000.0, 10_000.0)


@pytest.mark.parametrize("kind", [np.int8, np.int32, np.uint32, np.uint64])
def test_offsets_of_any_width_are_taken(kind: Any) -> None:
    points = np.zeros((100, 2))
    points[:, 0] = np.arange(100)
    drawing = pl.Drawing.from_arrays(points, np.arange(0, 101, 2).astype(kind))
    assert len(drawing) == 50
    assert drawing.offsets.dtype == np.int64
    assert pl.plan(drawing, BENCH).lifts == pl.plan(pl.Drawing(drawing), BENCH).lifts
