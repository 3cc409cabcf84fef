"""How long lettering takes: `python tests/benchmarks/lettering.py`."""

from __future__ import annotations

import time
from collections.abc import Callable

import plotlib as pl

PROSE = (
    "The quay lies in the lee of the skerries, and half-tide ferries run all summer; æther, "
    "naïve, Łódź. " * 1000
)[:100_000]


def best(work: Callable[[], object], repeats: int = 3) -> float:
    """Least time of several runs, in seconds."""
    times = []
    for _ in range(repeats):
        began = time.perf_counter()
        work()
        times.append(time.perf_counter() - began)
    return min(times)


def main() -> None:
    began = time.perf_counter()
    pl.text.lettering("first")
    print(f"first word, data read: {1000 * (time.perf_counter() - began):.1f} ms")
    cases: dict[str, dict[str, object]] = {
        "one line": {},
        "wrapped at 180 mm": {"wrap": 180},
        "justified": {"wrap": 180, "align": "justified"},
        "roman triplex": {"face": "roman triplex", "wrap": 180},
        "handwriting, joined, justified": {
            "face": "script simplex",
            "wrap": 180,
            "align": "justified",
        },
    }
    for name, options in cases.items():
        seconds = best(lambda options=options: pl.text.lettering(PROSE, height=3, **options))  # type: ignore[misc]
        print(f"100,000 characters, {name}: {seconds:.2f} s")
    print(
        f"one label: "
        f"{1000 * best(lambda: [pl.text.lettering(f'no {k}') for k in range(100)]) / 100:.2f} ms"
    )


if __name__ == "__main__":
    main()
