"""Figures of the makers of pictures.

``python tests/benchmarks/images.py`` prints tone, ink, lifts and plot time of each maker on three
photographs, ``… speed`` the processor time of stippling, the single line and scribbling, and
``… response`` the coverage of stipples and single lines by their density, from which the tables of
``stippling`` and ``single_line`` were taken.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from functools import partial
from typing import Any

import numpy as np
import skimage.data
from shapely import box

import plotlib as pl
from plotlib import images
from plotlib.images.single_line import short_path
from plotlib.images.stippling import stippled
from plotlib.images.wanted import Wanted
from plotlib.planning.bounding.bound import lower_bound
from plotlib.planning.metric import distance_metric

PEN = pl.Pen("black", width=0.5)
# CC0 by their photographers, and a picture without known restrictions, as scikit-image says
PHOTOGRAPHS = ("chelsea", "coffee", "coins")
MAKERS = (
    "stipple",
    "tonal_hatch",
    "modulated_lines",
    "modulated_spiral",
    "single_line",
    "dithered",
    "halftone",
    "scribbled",
    "cells",
    "tone_bands",
    "flow_strokes",
)
MACHINE = pl.Machine(
    width=225,
    height=250,
    x=pl.Axis(10_000, 500),
    y=pl.Axis(6_000, 300),
    lift=pl.ServoLift("M5", "M3 S90", settle_up=0.15, settle_down=0.15),
    feed=3_000,
)


def photograph(name: str, side: float) -> images.Tone:
    return images.read(getattr(skimage.data, name)(), box(0, 0, side, side))


def timed(work: Callable[[], Any]) -> tuple[Any, float]:
    begin = time.process_time()
    done = work()
    return done, time.process_time() - begin


def table() -> None:
    print("maker            picture   corr   RMSE    bias   ink m   lifts  plot min  cpu s")
    for maker in MAKERS:
        for name in PHOTOGRAPHS:
            tone = photograph(name, 100.0)
            drawing, cpu = timed(partial(getattr(images, maker), tone, pen=PEN))
            judged = images.judge(drawing, tone)
            plot = pl.plan(drawing, MACHINE, effort="quick")
            print(
                f"{maker:16} {name:8} {judged.correlation:6.4f} {judged.rmse:6.4f} "
                f"{judged.bias:+7.4f} {judged.length / 1000:7.2f} {judged.lifts:7,} "
                f"{plot.duration / 60:9.1f} {cpu:6.1f}",
                flush=True,
            )
        greys = [images.Tone([[1 - a]], (0, 0, 60, 60)) for a in np.arange(0.1, 0.95, 0.1)]
        off = [images.judge(getattr(images, maker)(t, pen=PEN), t).bias for t in greys]
        print(f"{maker:16} greys 10 … 90 %:", " ".join(f"{value:+.4f}" for value in off))


def speed() -> None:
    picture = np.asarray(photograph("coffee", 100.0).values)
    rows = np.linspace(0, picture.shape[0] - 1, 1_000).astype(int)
    columns = np.linspace(0, picture.shape[1] - 1, 1_000).astype(int)
    tone = images.Tone(picture[np.ix_(rows, columns)], (0, 0, 100, 100))
    images.stipple(tone, count=500)
    dots, cpu = timed(lambda: images.stipple(tone, count=20_000, pen=PEN))
    print(f"{len(dots):,} stipples of a 1,000 x 1,000 picture: {cpu:.1f} s of the processor")
    places = np.unique(np.rint(dots.points * 1000).astype(np.int64), axis=0)
    short_path(places[:500], "normal", 0)
    path, cpu = timed(lambda: short_path(places, "normal", 0))
    length = float(np.hypot(*np.diff(path, axis=0).T).sum()) / 1000
    print(f"single line through them: {cpu:.1f} s of the processor, {length:.1f} mm")
    dots_only = np.arange(len(places) + 1)
    bound = lower_bound(places, dots_only, distance_metric(0.001), home=None, finish=None)
    print(f"certified bound {bound:.1f} mm: {100 * (length / bound - 1):.2f} % above it")
    portrait = images.read(skimage.data.chelsea(), box(0, 0, 132, 194), fit="cover")
    drawing, cpu = timed(lambda: images.scribbled(portrait, pen=pl.Pen("fine", width=0.35)))
    print(f"scribble of an A5 portrait: {cpu:.1f} s of the processor, {len(drawing):,} strokes")


def response() -> None:
    random = np.random.default_rng(0)
    side = 40.0
    inner = slice(6, -6)
    from plotlib.images.printing import printed

    def spread(density: float) -> np.ndarray:
        cells = int(5 * side * np.sqrt(density)) + 1
        even = Wanted(np.full((cells, cells), density), 0.0, 0.0, side / cells, side / cells)
        return stippled(even, round(density * side * side), 30, random)

    def covered(points: np.ndarray, offsets: np.ndarray) -> float:
        drawing = pl.Drawing.from_arrays(points, offsets, pen=PEN)
        return float(printed(drawing, (0, 0, side, side), 80, 80)[inner, inner].mean())

    for summed in (0.3, 0.65, 0.7, 0.8, 0.9, 1.0, 1.2, 1.4, 1.6, 2.0):
        dots = spread(summed / (np.pi * PEN.width**2 / 4))
        print(f"stipples, summed area {summed}: {covered(dots, np.arange(len(dots) + 1)):.4f}")
    for dense in (0.2, 0.35, 0.5, 0.65, 0.8, 0.95, 1.1, 1.3):
        dots = spread((dense / PEN.width) ** 2)
        path = short_path(np.unique(np.rint(dots * 1000).astype(np.int64), axis=0), "normal", 0)
        print(f"line, {dense} points: {covered(path / 1000, np.array([0, len(path)])):.4f}")


if __name__ == "__main__":
    {"speed": speed, "response": response}.get("".join(sys.argv[1:]), table)()
