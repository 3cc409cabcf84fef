"""Compile beforehand what drawing, planning and writing need: ``python -m plotlib.prepare``.

Two processes share the work, so it takes about half as long as it would one by one. What they
compile is kept on disk (:mod:`plotlib.kernel_store`) and is there for every later start.
"""

from __future__ import annotations

import argparse
import math
import queue
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np

from plotlib.compiled import Kernel
from plotlib.drawing import Drawing
from plotlib.kernel_store import kept_in
from plotlib.machine import Axis, Machine, ServoLift
from plotlib.planning.plot import Plot
from plotlib.sheet import Sheet

DONE = "done: "  # in front of what a process says when a task is finished


def _machine() -> Machine:
    return Machine(
        width=200,
        height=200,
        x=Axis(10_000, 500),
        y=Axis(4_000, 250),
        lift=ServoLift("M5", "M3 S90"),
        feed=3_000,
        baud=9_600,
    )


def _drawing(count: int = 40) -> Drawing:
    """Open strokes, strokes that meet each other or a ring, rings and dots."""
    rng = np.random.default_rng(0)
    strokes = list(rng.uniform(20, 180, (count, 2, 2)))
    strokes += [np.array([(100.0, 100.0), (x, 190.0)]) for x in range(80, 120)]
    turn = np.append(np.linspace(0, 2 * np.pi, 40)[:-1], 0.0)
    ring = 15.0 * np.stack([np.cos(turn), np.sin(turn)], axis=1)
    strokes += [ring + centre for centre in ((40, 40), (150, 40), (40, 150))]
    square = [(160.0, 160.0), (170.0, 160.0), (170.0, 170.0), (160.0, 170.0), (160.0, 160.0)]
    strokes += [np.array(square), np.array([(170.0, 170.0), (185.0, 180.0)])]
    return Drawing([*strokes, [(30.0, 30.0)], [(31.0, 30.0)]])


def _plot(count: int = 40) -> Plot:
    from plotlib.planning.plan import plan

    sheet = Sheet(200, 200)
    return plan(_drawing(count), _machine(), sheet=sheet, join=0.5, effort=0.05)


def order() -> None:
    """Joining strokes and looking for a short order, of few and of many, closed ones too."""
    from plotlib.planning.plan import plan

    _plot()
    _plot(0)
    for drawing in _many():
        plan(drawing, _machine(), join=None, effort=0.001)


def _many() -> Iterator[Drawing]:
    """Drawings that are searched in tiles: dots, and dots among rings."""
    from plotlib.planning.ordering.tiles import TILE

    side = 1 + math.isqrt(TILE)
    places = np.stack(np.meshgrid(range(side), range(side)), axis=-1).reshape(-1, 1, 2) * 4.0 + 10.0
    ring = np.array([(0.0, 0.0), (2.0, 0.0), (1.0, 2.0), (0.0, 0.0)])
    yield Drawing(places)
    yield Drawing([*places[:-200], *(places[-200:] + ring)])


def bound() -> None:
    """How short the way of the pen could be."""
    from plotlib.planning.bounding.bound import lower_bound
    from plotlib.planning.metric import metric_of

    drawing = _drawing()
    machine = _machine()
    units = machine.to_units(drawing.points)
    metric = metric_of(machine, "time")
    lower_bound(units, drawing.offsets, metric, home=(0, 0), finish=(0, 0))


def times() -> None:
    """The time of a plot, on a slow link too, and its report."""
    from plotlib.planning.plan import plan

    turns = np.linspace(0, 20, 2_000)
    thick = Drawing([np.stack([100 + 30 * np.cos(turns), 100 + 30 * np.sin(turns)], axis=1)])
    plan(thick, _machine(), join=None).report(bound=False)


def files() -> None:
    """G-code with its proof, of few strokes and of many."""
    from plotlib.gcode import write
    from plotlib.gcode.reading.automaton import LEAST
    from plotlib.planning.plan import plan

    rows = np.linspace(10, 180, LEAST // 6)  # six lines a stroke
    ends = np.array([10.0, 50.0])
    strokes = np.stack(np.broadcast_arrays(ends, rows[:, None]), axis=2)
    with tempfile.TemporaryDirectory() as folder:
        for few in (strokes[:1], strokes):
            plot = plan(Drawing(few), _machine(), join=None, keep_order=True)
            write(plot, Path(folder) / "plot.gcode")


def pictures() -> None:
    """The picture of a drawing, and how much of an area its ink covers."""
    from plotlib.arrays.raster import cover, light_lost

    drawing = _drawing()
    drawing._repr_svg_()
    drawing.simplified(0.1)
    points = np.array(drawing.points)  # pictures hand on arrays that may be written to
    offsets = np.array(drawing.offsets)
    cover(points, offsets, width=2.0, shape=(200, 200))
    light_lost(points, offsets, width=2.0, shape=(200, 200), kept=np.full(3, 0.5))


def fills() -> None:
    """Hatches."""
    from plotlib.fills import hatch

    hatch(Drawing([[(10, 10), (90, 10), (90, 90), (10, 10)]]), spacing=1.0, angle=30.0)


def streamlines() -> None:
    """Evenly spaced streamlines through a flow of noise."""
    from plotlib import fields

    fields.streamlines(fields.perlin(scale=30.0).curl(), Sheet(60, 60), spacing=6.0)


# What the two processes do: the second has the bound, which takes as long as all the others.
PARTS: tuple[tuple[Callable[[], None], ...], ...] = (
    (order, times, files),
    (bound, fills, pictures, streamlines),
)


def words(task: Callable[[], None]) -> str:
    """What a task prepares: the first sentence of its description."""
    return (task.__doc__ or task.__name__).split(".")[0]


def run(tasks: tuple[Callable[[], None], ...], tell: Callable[[str], object]) -> None:
    """Do the tasks, leaving nothing to Python itself, and tell of each one that is finished."""
    Kernel.leaves_little_to_python = False
    try:
        for task in tasks:
            task()
            tell(words(task))
    finally:
        Kernel.leaves_little_to_python = True


def prepare(tell: Callable[[str], object] = print) -> int:
    """Compile everything in two processes; 0 when all went well, as programs return it.

    Parameters
    ----------
    tell : function, default print
        Called with a line for each task that is finished.
    """
    began = time.monotonic()
    said: queue.Queue[str] = queue.Queue()
    processes = [_begun(number, said) for number in range(len(PARTS))]
    total = sum(len(tasks) for tasks in PARTS)
    tell(f"plotlib: preparing its compiled parts in {len(processes)} processes")
    count = 0
    ended = 0
    while ended < len(processes):
        line = said.get()
        if line.startswith(DONE):
            count += 1
            seconds = time.monotonic() - began
            tell(f"  {count} of {total}, {seconds:.0f} s: {line.removeprefix(DONE)}")
        elif not line:
            ended += 1
    codes = [process.wait() for process in processes]
    if any(codes):
        tell("plotlib: some parts could not be prepared; they will be compiled when first used")
        return 1
    tell(f"plotlib: ready; kept in {kept_in() or 'no folder, since none can be written to'}")
    return 0


def _begun(number: int, said: queue.Queue[str]) -> subprocess.Popen[str]:
    """A process that does one part; what it says is put into the queue, "" when it has ended."""
    command = [sys.executable, "-m", "plotlib.prepare", "--part", str(number)]
    process = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)

    def listen() -> None:
        assert process.stdout is not None
        with process.stdout as lines:
            for line in lines:
                said.put(line.strip() or " ")
        said.put("")

    threading.Thread(target=listen, daemon=True).start()
    return process


def main() -> int:
    """What the command does."""
    parser = argparse.ArgumentParser(prog="python -m plotlib.prepare", description=__doc__)
    parser.add_argument("--part", type=int, choices=range(len(PARTS)), help=argparse.SUPPRESS)
    part = parser.parse_args().part
    if part is None:
        return prepare(lambda line: print(line, flush=True))
    from plotlib import progress

    progress.listen(None)
    run(PARTS[part], lambda what: print(f"{DONE}{what}", flush=True))
    return 0


if __name__ == "__main__":
    sys.exit(main())
