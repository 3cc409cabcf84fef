"""A machine whose declared lines would spoil every program is found out by an empty one."""

from __future__ import annotations

from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue, ProofError
from plotlib.gcode.proving.proof import prove
from plotlib.gcode.writer import text_of
from plotlib.machine import Machine
from plotlib.planning.plot import Plot
from plotlib.planning.writable import ask_before_planning


@ask_before_planning
def check_machine(machine: Machine) -> None:
    """Prove the program of an empty drawing: whether a machine's declared lines can be written.

    Parameters
    ----------
    machine : Machine
        Whose prologue, setup, epilogue and lift are tried.

    Raises
    ------
    InvalidValue
        If the program does not pass its proof, as then no program of this machine does; or if
        ``machine`` is no Machine.

    Examples
    --------
    >>> from plotlib.machine import Axis, ServoLift
    >>> axis = Axis(9_000)
    >>> lift = ServoLift("M5", "M3 S90")
    >>> check_machine(Machine(width=200, height=100, x=axis, y=axis, feed=600, lift=lift))
    """
    if not isinstance(machine, Machine):
        raise InvalidValue(
            f"machine must be a Machine, got {type(machine).__name__}", name="machine"
        )
    plot = Plot(Drawing(), machine, None, "time", joining_ink=0.0, cost=0.0, given=0, least=0)
    text = text_of(plot)
    try:
        prove(text, plot)
    except ProofError as error:
        reason = str(error).partition("not kept: ")[2] or str(error)
        line = error.facts.get("line", 0)
        said = f" ({text.splitlines()[line - 1]!r})" if line else ""
        raise InvalidValue(
            f"no program of the machine {machine.name!r} could be written: {reason}{said}; mend "
            f"its prologue, setup, epilogue or lift",
            name="machine",
            reason=reason,
        ) from error
