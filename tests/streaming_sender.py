"""Senders in processes of their own, to be killed: each is forked from one that has loaded all it
needs and has proven a file once, so that what is killed is sending and not starting.

``python -m streaming_sender`` reads the arguments of ``python -m plotlib.streaming`` as a line of
JSON, sends, and says the number of the process and then, when it has ended, how.
"""

from __future__ import annotations

import builtins
import contextlib
import json
import os
import select
import signal
import subprocess
import sys
from collections.abc import Iterator
from typing import IO

from streaming_bench import bench, two_pens

from plotlib.gcode.writer import text_of
from plotlib.streaming.__main__ import main
from plotlib.streaming.proven import proven_job


class Senders:
    """Starts them, one after the other."""

    def __init__(self, commands: IO[str], said: IO[str]) -> None:
        self._commands = commands
        self._said = said
        self._process = 0

    def start(self, arguments: list[str]) -> None:
        """Send, as if somebody pressed Enter whenever asked."""
        self._commands.write(json.dumps(arguments) + "\n")
        self._commands.flush()
        self._process = int(self._said.readline())

    def has_ended(self, seconds: float) -> bool:
        """Whether it has, or does within so many seconds."""
        return bool(select.select([self._said], [], [], seconds)[0])

    def kill(self) -> None:
        """It is gone after this."""
        with contextlib.suppress(ProcessLookupError):
            os.kill(self._process, signal.SIGKILL)
        self._said.readline()


@contextlib.contextmanager
def senders() -> Iterator[Senders]:
    """For as long as the block lasts."""
    places = os.pathsep.join([os.getcwd(), *filter(None, sys.path)])
    with subprocess.Popen(
        [sys.executable, "-m", "streaming_sender"],
        env={**os.environ, "PYTHONPATH": places},
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    ) as server:
        assert server.stdin is not None
        assert server.stdout is not None
        yield Senders(server.stdin, server.stdout)


def _serve() -> None:
    proven_job(text_of(two_pens(bench())), bench())
    for line in sys.stdin:
        process = os.fork()
        if process == 0:
            _send(json.loads(line))
        print(process, flush=True)
        _, status = os.waitpid(process, 0)
        print(status, flush=True)


def _send(arguments: list[str]) -> None:
    nowhere = os.open(os.devnull, os.O_RDWR)
    for stream in (0, 1, 2):
        os.dup2(nowhere, stream)
    builtins.input = lambda *_: ""
    code = 70
    try:
        code = main(arguments)
    finally:
        os._exit(code)


if __name__ == "__main__":
    _serve()
