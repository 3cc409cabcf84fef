"""Wires to a simulated controller: one in the same thread with a time of its own, and one that any
program can open, over a pseudo-terminal or a local socket.
"""

from __future__ import annotations

import contextlib
import math
import os
import select
import socket
import threading
import time
from collections import deque
from collections.abc import Iterator
from dataclasses import dataclass

from plotlib.checks import positive
from plotlib.machine import Machine
from plotlib.streaming.ports import PortGone
from plotlib.streaming.simulated.controller import Controller

_BITS_A_BYTE = 10  # start bit, 8 data bits, stop bit
_LOOK = 0.02  # s between two looks at the wire


class VirtualPort:
    """A port to a controller in the same thread: time passes only while the sender reads, and by
    leaps, so that a plot of an hour is over in a moment.

    Parameters
    ----------
    controller : Controller
        The other end.
    baud : float, optional
        Bits per second in each direction; without it bytes take no time.
    """

    def __init__(self, controller: Controller, *, baud: float | None = None) -> None:
        self.controller = controller
        self.time = 0.0
        self.is_gone = False
        self._byte = 0.0 if baud is None else _BITS_A_BYTE / baud
        self._coming: deque[tuple[float, bytes]] = deque()  # to the controller, and when begun
        self._free = 0.0  # when the wire to the controller is free again
        self._back = 0.0  # when the wire from it is
        self._heard: deque[tuple[float, bytes]] = deque()

    def now(self) -> float:
        return self.time

    def write(self, data: bytes, seconds: float) -> None:
        del seconds
        self._check()
        for line in data.splitlines(keepends=True):
            begun = max(self._free, self.time)
            self._coming.append((begun, line))
            self._free = begun + len(line) * self._byte

    def read(self, seconds: float) -> bytes:
        self._check()
        end = self.time + seconds
        while True:
            self._collect()
            if self._heard and self._heard[0][0] <= self.time:
                return self._heard.popleft()[1]
            coming = self._coming[0] if self._coming else None
            done = math.inf if coming is None else coming[0] + len(coming[1]) * self._byte
            due = self._heard[0][0] if self._heard else math.inf
            event = self.controller.next_event
            soonest = min(done, due, event, end)
            self.controller.advance(soonest)
            self.time = soonest
            if soonest == done and coming is not None:
                self._coming.popleft()
                self.controller.receive(coming[1])
            elif soonest >= end:
                self._collect()
                if not (self._heard and self._heard[0][0] <= self.time):
                    return b""

    def _collect(self) -> None:
        """Put on the wire what the controller has said."""
        out = self.controller.out
        while out:
            said, data = out.popleft()
            begun = max(said, self._back)
            self._back = begun + len(data) * self._byte
            self._heard.append((self._back, data))

    def _check(self) -> None:
        if self.is_gone:
            raise PortGone("the cable was pulled")

    def close(self) -> None:
        self.is_gone = True


@dataclass(frozen=True)
class Served:
    """A simulated controller that waits at a port.

    Attributes
    ----------
    port : str
        The name to open.
    controller : Controller
        What it has drawn, and more.
    pull : threading.Event
        Set it, and the cable is pulled.
    """

    port: str
    controller: Controller
    pull: threading.Event


@contextlib.contextmanager
def serve(
    machine: Machine, *, speed: float = 100.0, receive_bytes: int | None = None
) -> Iterator[Served]:
    """A simulated controller that any program can send to, for as long as the block lasts.

    Parameters
    ----------
    machine : Machine
        Which controller; its dialogue says how it speaks.
    speed : float, default 100
        How many times faster than the real machine it moves.
    receive_bytes : int, optional
        Bytes that it can hold; as the dialogue declares without it.

    Yields
    ------
    Served
        Its port, a pseudo-terminal where the system has them and a local socket where not.

    Raises
    ------
    InvalidValue
        If ``speed`` is not positive, or the machine declares no dialogue.

    Examples
    --------
    >>> from plotlib.machine import Axis, Dialogue, ServoLift
    >>> words = Dialogue(accepted="taken", refused="cannot")
    >>> lift = ServoLift("M5", "M3 S90")
    >>> axis = Axis(9_000)
    >>> machine = Machine(
    ...     width=200, height=90, x=axis, y=axis, feed=600, lift=lift, dialogue=words
    ... )
    >>> with serve(machine) as bench:
    ...     len(bench.controller.drawn)
    0
    """
    faster = positive("speed", speed)
    controller = Controller(machine, receive_bytes=receive_bytes)
    wire = _Terminal() if hasattr(os, "openpty") else _Socket()
    pull = threading.Event()
    stopped = threading.Event()
    served = Served(wire.name, controller, pull)
    worker = threading.Thread(target=_serve, args=(wire, served, faster, stopped))
    worker.start()
    try:
        yield served
    finally:
        stopped.set()
        worker.join()


def _serve(wire: _Wire, served: Served, speed: float, stopped: threading.Event) -> None:
    """Carry bytes until told to stop."""
    controller = served.controller
    begin = time.monotonic()
    controller.greet()
    try:
        while not stopped.is_set() and not served.pull.is_set():
            controller.advance((time.monotonic() - begin) * speed)
            while controller.out:
                wire.send(controller.out.popleft()[1])
            wait = (controller.next_event - controller.time) / speed
            data = wire.take(min(max(wait, 0.0), _LOOK))
            if data:
                controller.advance((time.monotonic() - begin) * speed)
                controller.receive(data)
    finally:
        wire.close()
    while not stopped.is_set() and controller.next_event < math.inf:
        controller.advance(controller.next_event)  # the cable is gone, the moves go on


class _Wire:
    """One end of a real wire."""

    name: str

    def take(self, seconds: float) -> bytes:
        """What has come, after so many seconds at the most."""
        raise NotImplementedError

    def send(self, data: bytes) -> None:
        """Send it if anybody listens."""
        raise NotImplementedError

    def close(self) -> None:
        """Pull the cable."""
        raise NotImplementedError


class _Terminal(_Wire):
    """A pseudo-terminal, raw; the inner end is kept open, so that senders may come and go."""

    def __init__(self) -> None:
        import tty

        self._ours, self._theirs = os.openpty()
        tty.setraw(self._theirs)
        os.set_blocking(self._ours, False)
        self.name = os.ttyname(self._theirs)

    def take(self, seconds: float) -> bytes:
        ready, _, _ = select.select([self._ours], [], [], seconds)
        return os.read(self._ours, 4096) if ready else b""

    def send(self, data: bytes) -> None:
        with contextlib.suppress(BlockingIOError):  # nobody reads: a real wire loses it too
            os.write(self._ours, data)

    def close(self) -> None:
        os.close(self._theirs)
        os.close(self._ours)


class _Socket(_Wire):
    """A socket of this computer, for one sender at a time."""

    def __init__(self) -> None:
        self._door = socket.create_server(("127.0.0.1", 0))
        self._door.setblocking(False)
        self._guest: socket.socket | None = None
        self.name = f"socket://127.0.0.1:{self._door.getsockname()[1]}"

    def take(self, seconds: float) -> bytes:
        guest = self._door if self._guest is None else self._guest
        ready, _, _ = select.select([guest], [], [], seconds)
        if not ready:
            return b""
        if self._guest is None:
            self._guest = self._door.accept()[0]
            return b""
        try:
            data = self._guest.recv(4096)
        except ConnectionError:  # the sender was killed with answers still unread
            data = b""
        if not data:
            self._guest.close()
            self._guest = None
        return data

    def send(self, data: bytes) -> None:
        if self._guest is not None:
            with contextlib.suppress(OSError):
                self._guest.sendall(data)

    def close(self) -> None:
        if self._guest is not None:
            self._guest.close()
        self._door.close()
