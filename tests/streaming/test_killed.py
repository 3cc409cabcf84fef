"""A sender that is killed at a random moment, over a pseudo-terminal and over a local socket: what
was drawn and what is left are the whole, nothing missing and nothing twice beyond the overlap.

How many moments are tried stands in the environment variable PLOTLIB_KILLS (a longer run is 200,
some minutes).
"""

from __future__ import annotations

import contextlib
import itertools
import os
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import hypothesis.strategies as st
import pytest
from hypothesis import HealthCheck, Phase, given, settings
from streaming_bench import (
    BENT,
    HEIGHTS,
    SERVO,
    SIGNS,
    WORDS,
    bench,
    check_drawn,
    check_resumed,
    run_out,
    two_pens,
)
from streaming_sender import Senders, senders

import plotlib as pl
from plotlib import gcode, streaming
from plotlib.streaming.__main__ import main
from plotlib.streaming.proven import plot_of
from plotlib.streaming.simulated import serve
from plotlib.streaming.simulated.wires import Served

KILLS = int(os.environ.get("PLOTLIB_KILLS", "10"))
DEADLINE = 60.0  # s: a hang fails then
COUNTER = itertools.count()
BEDS = {"flat": {"lift": SERVO}, "bent": {"lift": HEIGHTS, "height_map": BENT}}
# Nobody says hello here, as the machine is switched on before: that is not waited for.
QUICK = pl.Dialogue(**{**WORDS, **SIGNS, "opening": 0.05})

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="SIGKILL is of Unix")


@contextlib.contextmanager
def at_the_end_of(wire: str, machine: pl.Machine, *, speed: float) -> Iterator[Served]:
    """A simulated controller; "socket" as on a system that has no pseudo-terminals."""
    with pytest.MonkeyPatch.context() as patch:
        if wire == "socket":
            patch.delattr(os, "openpty")
        with serve(machine, speed=speed) as served:
            assert served.port.startswith("socket://127.0.0.1:") == (wire == "socket")
            yield served


def bytes_of(plot: pl.Plot) -> int:
    from plotlib.gcode.writer import text_of

    lines = text_of(plot).splitlines()
    return sum(len(line) + 1 for line in lines if line != "M0" and not line.startswith("("))


def killed(
    served: Served, sender: Senders, arguments: list[str], *, after: int, pause: float
) -> None:
    """Send until the controller has so many bytes, let a little time pass, and kill the sender."""
    sender.start([*arguments, "--port", served.port])
    end = time.monotonic() + DEADLINE
    while served.controller.counts.received < after and not sender.has_ended(0.0005):
        assert time.monotonic() < end
    time.sleep(pause)
    sender.kill()


@pytest.fixture(scope="module")
def sender() -> Iterator[Senders]:
    with senders() as found:
        yield found


@settings(
    max_examples=KILLS,
    deadline=None,
    phases=[Phase.generate],  # a moment does not come twice, so there is nothing to shrink
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(st.data())
def test_a_sender_killed_at_any_moment_is_resumed(
    sender: Senders, tmp_path: Path, data: st.DataObject
) -> None:
    bed = BEDS[data.draw(st.sampled_from(sorted(BEDS)), "bed")]
    machine = bench(look_ahead=8, dialogue=QUICK, **bed)
    plot = two_pens(machine)
    after = data.draw(st.integers(0, bytes_of(plot) - 1), "bytes")
    pause = data.draw(st.floats(0, 0.02), "s")
    wire = data.draw(st.sampled_from(["terminal", "socket"]), "wire")
    overlap = data.draw(st.sampled_from([None, 0.0, 1.0]), "overlap")
    folder = tmp_path / str(next(COUNTER))
    folder.mkdir()
    path = folder / "plot.gcode"
    log = folder / "log.jsonl"
    gcode.write(plot, path)
    machine.save(folder / "bench.toml")
    arguments = [str(path), "--log", str(log), "--machine", str(folder / "bench.toml")]
    with at_the_end_of(wire, machine, speed=100) as served:
        killed(served, sender, arguments, after=after, pause=pause)
        served.pull.set()
    run_out(served.controller)
    if not log.exists() or not log.read_text():
        assert not served.controller.strokes  # it was killed before it began
        return
    if streaming.read_log(log).is_complete:
        check_drawn(served.controller, plot)
        return
    rest = streaming.resume(log, folder / "rest.gcode", overlap=overlap)
    check_resumed(served.controller, plot_of(path.read_text(), machine), rest)


def test_a_file_is_sent_over_a_local_socket(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where a system has no pseudo-terminals; senders may come and go."""
    machine = bench(dialogue=QUICK)
    machine.save(tmp_path / "bench.toml")
    gcode.write(two_pens(machine), tmp_path / "plot.gcode")
    monkeypatch.setattr("builtins.input", lambda _: "")
    command = [str(tmp_path / "plot.gcode"), "--machine", str(tmp_path / "bench.toml")]
    with at_the_end_of("socket", machine, speed=400) as served:
        assert main([*command, "--port", served.port]) == 0, capsys.readouterr().err
        check_drawn(served.controller, two_pens(machine))
        typed = [sys.executable, "-m", "plotlib.streaming", *command, "--port", served.port]
        assert subprocess.run(typed, input=b"\n", capture_output=True).returncode == 0
        assert len(served.controller.strokes) == 2 * len(two_pens(machine).drawing)


def test_a_socket_that_closes_is_a_cable_that_was_pulled(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    machine = bench(dialogue=QUICK)
    machine.save(tmp_path / "bench.toml")
    path = tmp_path / "plot.gcode"
    log = tmp_path / "log.jsonl"
    gcode.write(two_pens(machine), path)
    monkeypatch.setattr("builtins.input", lambda _: "")
    with at_the_end_of("socket", machine, speed=20) as served:

        def shown(event: streaming.Event) -> None:
            if event.kind == "progress" and event.share > 0.3:
                served.pull.set()

        monkeypatch.setattr("plotlib.streaming.__main__._show", shown)
        options = ["--machine", str(tmp_path / "bench.toml"), "--log", str(log)]
        assert main([str(path), *options, "--port", served.port]) == 1
    assert "the port is gone" in capsys.readouterr().err
    run_out(served.controller)
    rest = streaming.resume(log, tmp_path / "rest.gcode", overlap=1.0)
    check_resumed(served.controller, plot_of(path.read_text(), machine), rest)
