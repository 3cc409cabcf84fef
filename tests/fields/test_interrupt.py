"""Ctrl-C is heard by compiled code: long searches run in slices.

Each search here is work for minutes; before they ran in slices the signal waited for their end.
"""

import os
import signal
import subprocess
import sys

import pytest

# Seconds, well above what a slice takes on a slow and busy machine, well below the whole search: a
# guard against never, no measure of speed.
GUARD = 30

SCRIPT = """
import os, signal, threading
from shapely import box
from plotlib import fields

flow = fields.perlin(scale=20).curl()
searches = {{
    "streamlines": lambda area, fine: fields.streamlines(flow, area, spacing=0.35 * fine),
    "poisson_disk": lambda area, fine: fields.poisson_disk(area, spacing=0.21 * fine),
    "circle_packing": lambda area, fine: fields.circle_packing(
        area, smallest=0.01, largest=5, candidates=int(10_000_000 / fine)
    ),
}}
search = searches["{name}"]
fine = 10_000 if "{name}" == "circle_packing" else 10
search(box(0, 0, 20, 20), fine)  # compiled before the signal
print("ready", flush=True)
threading.Timer(2.0, lambda: os.kill(os.getpid(), signal.SIGINT)).start()
search(box(0, 0, 1000, 1000), 1)
"""


@pytest.mark.skipif(os.name != "posix", reason="sends a signal as a terminal does")
@pytest.mark.parametrize("name", ["streamlines", "poisson_disk", "circle_packing"])
def test_a_search_ends_on_ctrl_c(name):
    with subprocess.Popen(
        [sys.executable, "-c", SCRIPT.format(name=name)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    ) as ran:
        assert ran.stdout.readline() == "ready\n"
        try:
            _, said = ran.communicate(timeout=GUARD)
        except subprocess.TimeoutExpired:
            ran.kill()
            pytest.fail(f"{name} does not hear Ctrl-C")
    assert said.rstrip().endswith("KeyboardInterrupt")
    assert ran.returncode == -signal.SIGINT
