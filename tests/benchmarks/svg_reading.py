"""Reading a large SVG: 20 MB with 200,000 segments of lines, curves and arcs in 20,000 paths.

Prints processor seconds and the greatest memory of a process of its own. Run it by
``python tests/benchmarks/svg_reading.py``.
"""

from __future__ import annotations

import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np

PATHS = 20_000
SEGMENTS = 10
KINDS = "LCCCA"


def segment(kind: str, n: np.ndarray) -> str:
    """One relative segment in the long numbers that editors write."""
    a, b, c, d, x, y = (f"{value:.15f}" for value in n)
    return {
        "L": f"l {x},{y} ",
        "C": f"c {a},{b} {c},{d} {x},{y} ",
        "A": f"a 4.000000000000000,3.000000000000000 30 0 1 {x},{y} ",
    }[kind]


def document(styled: bool) -> str:
    """The file: half of its paths filled, in groups with transforms, some with a class."""
    rng = np.random.default_rng(1)
    steps = rng.normal(0, 3, (PATHS, SEGMENTS, 6))
    starts = rng.uniform(0, 800, (PATHS, 2))
    parts = [
        '<svg xmlns="http://www.w3.org/2000/svg" width="297mm" height="297mm" '
        'viewBox="0 0 800 800">\n'
    ]
    if styled:
        parts.append("<style>.coast{stroke:navy;fill:none} g > .hill{stroke:#850}</style>\n")
    for k in range(PATHS):
        if k % 100 == 0:
            parts.append(f'<g transform="rotate({k % 360} 400 400)" stroke="#123">\n')
        data = "".join(segment(KINDS[j % 5], steps[k, j]) for j in range(SEGMENTS))
        look = f'class="{"coast" if k % 2 else "hill"}"' if styled else 'fill="none"'
        x, y = starts[k]
        parts.append(
            f'<path id="path{k}" {look} style="stroke-width:0.5;stroke-linecap:round" '
            f'd="M {x:.9f},{y:.9f} {data}"/>\n'
        )
        if k % 100 == 99:
            parts.append("</g>\n")
    parts.append("</svg>\n")
    return "".join(parts)


def measure(path: Path) -> None:
    """Read one file and print what it took."""
    from plotlib.svg import read

    begin = time.process_time()
    art = read(path)
    seconds = time.process_time() - begin
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(
        f"{path.stem}: {path.stat().st_size / 1e6:.1f} MB, {len(art.drawing):,} strokes, "
        f"{len(art.drawing.points):,} points, {seconds:.2f} s of processor, "
        f"{memory:,.0f} MB at most"
    )


def main() -> None:
    """Make both files and read each in a process of its own."""
    if len(sys.argv) > 1:
        measure(Path(sys.argv[1]))
        return
    with tempfile.TemporaryDirectory() as folder:
        for name, styled in (("plain", False), ("with a style sheet", True)):
            path = Path(folder, f"{name}.svg")
            path.write_text(document(styled), encoding="utf-8")
            subprocess.run([sys.executable, __file__, str(path)], check=True)


if __name__ == "__main__":
    main()
