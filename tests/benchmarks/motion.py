"""Time the motion model: one million moves, kernels warm. Run ``python
tests/benchmarks/motion.py``.
"""

from __future__ import annotations

import time

import numpy as np

from plotlib.planning.moving.motion import Controller, motion_times


def main(moves: int = 1_000_000) -> None:
    rng = np.random.default_rng(1)
    heading = np.cumsum(rng.normal(0, 0.2, moves))
    points = np.round(
        np.cumsum(300 * np.stack([np.cos(heading), np.sin(heading)], axis=1), axis=0)
    ).astype(np.int64)
    machine = Controller(rates=(10_000, 4_000), accelerations=(500, 250), baud=115_200)
    print(f"{'strokes':>9} {'moves':>10} {'seconds':>8} {'plot s':>9} {'stutters':>8}")
    for strokes in (1, 10_000, 100_000):
        offsets = np.linspace(0, len(points), strokes + 1).astype(np.int64)
        for attempt in range(3):
            began = time.perf_counter()
            times = motion_times(
                points,
                offsets,
                machine,
                unit=0.001,
                feed=3_000,
                home=(0, 0),
                line_bytes=18,
                lift=(0.2, 0.2),
            )
            if attempt:
                print(
                    f"{strokes:9d} {moves:10d} {time.perf_counter() - began:8.2f} "
                    f"{times.duration:9.0f} {len(times.stutters):8d}"
                )


if __name__ == "__main__":
    main()
