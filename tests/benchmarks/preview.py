"""Print figures of previews: ``python tests/benchmarks/preview.py [strokes]``.

Beside our own raster stands a well-kept library's (aggdraw, Anti-Grain Geometry with exact areas):
why it does not draw our previews is in the last lines.
"""

from __future__ import annotations

import sys
import time
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import numpy as np
import shapely

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from plotlib.drawing import Drawing  # noqa: E402
from plotlib.machine import Axis, Machine, ServoLift  # noqa: E402
from plotlib.pen import Pen  # noqa: E402
from plotlib.planning.plan import plan  # noqa: E402
from plotlib.preview import page, png  # noqa: E402
from plotlib.preview.picture import pixels  # noqa: E402
from plotlib.sheet import Sheet  # noqa: E402
from tests.browser import running  # noqa: E402

A3 = Sheet.iso("A3", landscape=True)
FINE = Pen("fine", width=0.3, colour="#000000", opacity=1)
PLAY = """
document.getElementById("travel").click();
window.frames_ = [];
const note = (now) => { window.frames_.push(now); requestAnimationFrame(note); };
replay.seek(0);
replay.start();
requestAnimationFrame(note);
"""
READY = "return window.replay ? replay.firstDrawing : 0"


def wavy(strokes: int, points: int = 10) -> Drawing:
    """Short gently bent strokes all over an A3 sheet."""
    rng = np.random.default_rng(0)
    bends = np.cumsum(rng.normal(0, 0.3, (strokes, points)), axis=1)
    angle = rng.uniform(0, 2 * np.pi, (strokes, 1)) + bends
    steps = 0.5 * np.stack([np.cos(angle), np.sin(angle)], axis=2)
    start = rng.random((strokes, 1, 2)) * [400, 277] + 10
    places = np.clip(start + np.cumsum(steps, axis=1), 1, [419, 296])
    offsets = np.arange(0, strokes * points + 1, points)
    return Drawing.from_arrays(places.reshape(-1, 2), offsets)


def picture(drawing: Drawing, folder: Path) -> None:
    png(Drawing([[(0, 0), (1, 1)]]), folder / "warm.png")  # compiles
    wall = time.perf_counter()
    cpu = time.process_time()
    png(drawing, folder / "a3.png", sheet=A3, dpi=200)
    wall = time.perf_counter() - wall
    cpu = time.process_time() - cpu
    size = (folder / "a3.png").stat().st_size / 1e6
    told = f"{wall:.2f} s, {cpu:.2f} s of processor, {size:.1f} MB"
    print(f"PNG of {len(drawing):,} strokes, A3 at 200 dpi: {told}")


def replay(drawing: Drawing, folder: Path) -> None:
    axes = {"x": Axis(10_000, 500), "y": Axis(4_000, 250)}
    lift = ServoLift(up="M5", down="M3 S90")
    machine = Machine(width=420, height=297, **axes, lift=lift, feed=3_000)
    plot = plan(drawing, machine, sheet=A3, join=None)
    file = folder / "a3.html"
    page(plot, file)
    size = file.stat().st_size / 1e6
    with running(folder / "profile") as browser:
        browser.set_window_size(1280, 800)
        browser.get(file.as_uri())
        while not browser.execute_script(READY):
            time.sleep(0.02)
        first = browser.execute_script(READY) / 1000
        browser.execute_script(PLAY)
        time.sleep(4)
        frames = np.diff(browser.execute_script("replay.stop(); return window.frames_"))
    print(f"page of {len(drawing):,} strokes: {size:.1f} MB, first drawing after {first:.2f} s")
    longest = np.percentile(frames, [50, 95, 100])
    print(
        "milliseconds a frame while it plays: {:.0f}, 95 % below {:.0f}, all {:.0f}".format(
            *longest
        )
    )


def light(array: np.ndarray) -> np.ndarray:
    value = array / 255
    return np.where(value <= 0.04045, value / 12.92, ((value + 0.055) / 1.055) ** 2.4)


def ours(x: float, dpi: float) -> np.ndarray:
    line = Drawing([[(x, -9), (x + 0.4, 9)]], pen=FINE)
    return pixels(line, dpi=dpi, paper="#fff", page=shapely.box(-2, -2, 2, 2))[8, :, 1].astype(
        float
    )


def theirs(x: float, dpi: float) -> np.ndarray:
    import aggdraw

    scale = dpi / 25.4
    side = round(4 * scale)
    canvas = aggdraw.Draw("L", (side, side), 255)
    ends = [(x + 2) * scale, 11 * scale, (x + 2.4) * scale, -7 * scale]
    canvas.line(ends, aggdraw.Pen(0, FINE.width * scale))
    return np.frombuffer(canvas.tobytes(), np.uint8).reshape(side, side)[8].astype(float)


def steadiness() -> None:
    for dpi in (96, 150):
        for name, row in (("ours", ours), ("aggdraw", theirs)):
            rows = [row(x, dpi) for x in np.linspace(0, 25.4 / dpi, 33)[:-1]]
            bright = [(1 - light(r)).sum() for r in rows]
            bytes_ = [(255 - r).sum() for r in rows]
            darkest = [r.min() for r in rows]
            print(
                f"0.3 mm line at {dpi} dpi, {name:<7}: darkness varies by {spread(bright):.1%} in "
                f"light, {spread(bytes_):.1%} in bytes; darkest pixel {min(darkest):.0f} to "
                f"{max(darkest):.0f}"
            )


def spread(values: list[Any]) -> float:
    return float(np.ptp(values) / np.mean(values))


def passes() -> None:
    """A stroke that crosses itself, and two halves that share the pixels of an edge."""
    import aggdraw

    loop = [(0, 10), (20, 10), (20, 20), (10, 20), (10, 0)]
    pen = Pen("grey", width=2, colour="#000", opacity=0.5)
    box = shapely.box(0, 0, 20, 20)
    array = light(pixels(Drawing([loop], pen=pen), dpi=254, paper="#fff", page=box)[..., 1])
    canvas = aggdraw.Draw("L", (200, 200), 255)
    ends = [part for x, y in loop for part in (10 * x, 200 - 10 * y)]
    canvas.line(ends, aggdraw.Pen(0, 20, 127))
    other = np.frombuffer(canvas.tobytes(), np.uint8).reshape(200, 200) / 255
    told = "light left by one pass {:.2f}, where the same stroke crosses itself {:.2f}"
    print("ours:   ", told.format(array[100, 50], array[100, 100]))
    print("aggdraw:", told.format(other[100, 50], other[100, 100]))
    black = Pen("black", width=2, colour="#000", opacity=1)
    halves = Drawing([[(-9, 4.5), (29, 4.5)], [(-9, 6.5), (29, 6.5)]], pen=black)
    array = light(pixels(halves, dpi=25.4, paper="#fff", page=box)[..., 1])
    canvas = aggdraw.Draw("L", (20, 20), 255)
    for y in (4.5, 6.5):
        canvas.line([-9, 20 - y, 29, 20 - y], aggdraw.Pen(0, 2))
    other = np.frombuffer(canvas.tobytes(), np.uint8).reshape(20, 20) / 255
    told = f"ours {array[14, 10]:.2f}, aggdraw {other[14, 10]:.2f}"
    print(f"light between two strokes that touch: {told}")


def main() -> None:
    strokes = int(sys.argv[1]) if len(sys.argv) > 1 else 100_000
    steadiness()
    passes()
    drawing = wavy(strokes)
    with TemporaryDirectory() as folder:
        picture(drawing, Path(folder))
        replay(drawing, Path(folder))


if __name__ == "__main__":
    main()
