"""Send a proven file to a machine: ``python -m plotlib.streaming moon.gcode --machine bench.toml
--port …``.

The exit code is 0 when everything is drawn, 1 when something went wrong on the way, 2 when nothing
was begun, and 130 after Ctrl-C.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from pathlib import Path

from plotlib.errors import PlotlibError
from plotlib.gcode.cautions import CAUTIONS
from plotlib.machine import Machine
from plotlib.planning.clock import clock
from plotlib.streaming.events import Event, StreamFault
from plotlib.streaming.resuming import resume
from plotlib.streaming.sending import UNPROVEN, send

DONE = 0
FAULT = 1
NOT_BEGUN = 2
INTERRUPTED = 130


def main(arguments: Sequence[str] | None = None) -> int:
    """Send a file, or write what is left of one, as the command line says.

    Parameters
    ----------
    arguments : sequence of str, optional
        What stands on the command line; without it, what was typed.

    Returns
    -------
    int
        The exit code.
    """
    told = _parser().parse_args(arguments)
    try:
        return _resume(told) if told.resume else _send(told)
    except StreamFault as fault:
        print(f"\nstopped: {fault}", file=sys.stderr)
        _say_how_to_go_on(told.log)
        return FAULT
    except KeyboardInterrupt:
        print("\nstopped by Ctrl-C", file=sys.stderr)
        _say_how_to_go_on(told.log)
        return INTERRUPTED
    except PlotlibError as error:
        print(f"not begun: {error}", file=sys.stderr)
        return NOT_BEGUN


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="python -m plotlib.streaming",
        description="Send a proven G-code file to a machine, or write what is left of one.",
    )
    parser.add_argument("file", help="the file; with --resume, where the new file goes")
    parser.add_argument("--machine", metavar="TOML", help="the machine's profile")
    parser.add_argument("--port", help="the serial port, or a URL such as socket://localhost:7777")
    parser.add_argument("--log", metavar="FILE", help="a new file for the log; else FILE.1.jsonl")
    parser.add_argument("--keep-full", action="store_true", help="keep the receive buffer full")
    parser.add_argument("--resume", metavar="LOG", help="write what is left after this log")
    parser.add_argument(
        "--overlap", type=float, metavar="MM", help="with --resume: begin so many mm earlier"
    )
    parser.add_argument(
        "--unproven",
        default="",
        metavar="SENTENCE",
        help=f'send a file that is not proven; the sentence is "{UNPROVEN}"',
    )
    return parser


def _resume(told: argparse.Namespace) -> int:
    rest = resume(told.resume, told.file, overlap=told.overlap)
    count = len(rest.plot.drawing)
    strokes = "1 stroke" if count == 1 else f"{count:,} strokes"
    print(
        f"{told.file}: {strokes} left, from stroke {rest.stroke:,} on; up "
        f"to {rest.twice:.1f} mm are drawn twice, {clock(rest.plot.duration)}"
    )
    print("Home and zero the machine, put the same pen in, and send this file.")
    return DONE


def _send(told: argparse.Namespace) -> int:
    for line in CAUTIONS:
        print(line)
    if not told.machine or not told.port:
        print("not begun: --machine and --port are needed", file=sys.stderr)
        return NOT_BEGUN
    if told.overlap is not None:
        print("not begun: --overlap goes with --resume", file=sys.stderr)
        return NOT_BEGUN
    told.log = told.log or _new_log(told.file)
    print(f"The log is {told.log}. Ctrl-C stops the motion and raises the pen.")
    outcome = send(
        told.file,
        Machine.load(told.machine),
        port=told.port,
        log=told.log,
        ask=_ask,
        listener=_show,
        keep_full=told.keep_full,
        unproven=told.unproven,
    )
    print(f"\n{outcome.text}")
    if outcome.is_finished:
        return DONE
    _say_how_to_go_on(told.log)
    return FAULT


def _new_log(file: str) -> str:
    """A name beside the file that no log has yet."""
    for number in range(1, 10_000):
        name = f"{file}.{number}.jsonl"
        if not Path(name).exists():
            return name
    return f"{file}.jsonl"


def _ask(text: str) -> bool:
    try:
        answer = input(f"\n{text}; Enter goes on, s stops: ")
    except EOFError:  # nobody is there to put the pen in
        return False
    return answer.strip().lower() != "s"


def _show(event: Event) -> None:
    if event.kind == "said":
        print(f"\nthe controller says {event.text!r}")
    elif event.kind in ("begin", "progress", "end"):
        stroke = f"stroke {event.stroke:,} of {event.strokes:,}"
        line = f"{event.share:6.1%}  {stroke}, {clock(event.left)} left"
        print(f"\r{line:60}", end="", flush=True)


def _say_how_to_go_on(log: str | None) -> None:
    if log:
        print(
            f"What is left: python -m plotlib.streaming rest.gcode --resume {log}",
            file=sys.stderr,
        )


if __name__ == "__main__":
    sys.exit(main())
