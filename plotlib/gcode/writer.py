"""The writer: a plot as G-code in the words of RS274NGC (NISTIR 6556, 2000) and of the machine's
own declared lines.
"""

from __future__ import annotations

from importlib.metadata import PackageNotFoundError, version

from plotlib.errors import InvalidValue
from plotlib.files import PathLike, write_whole
from plotlib.gcode.cautions import CAUTIONS
from plotlib.gcode.comments import comment_lines, pen_labels
from plotlib.gcode.program import Program
from plotlib.gcode.proving.proof import check
from plotlib.planning.clock import clock
from plotlib.planning.lifting import with_lift_of
from plotlib.planning.plot import Plot
from plotlib.progress import Progress, asked


def write(
    plot: Plot,
    path: PathLike,
    *,
    title: str = "",
    date: str = "",
    progress: Progress = None,
) -> None:
    r"""Write a plot as a G-code file that has been proven before it is kept.

    The text is read back by an independent interpreter and must replay to the plot, point for point
    on the grid, inside the envelope. The file appears whole or not at all; an existing one stays as
    it was when the proof fails.

    Parameters
    ----------
    plot : Plot
        From ``plan``.
    path : path
        Where to write; plain ASCII, ``\n`` line ends on every system.
    title, date : str, optional
        For the comment header; no date is written unless given, so that the same plot gives the
        same bytes.
    progress : bool or function, optional
        True shows it at once, a function is given the share done, 0 … 1; None shows it as
        :mod:`plotlib.progress` does, above two seconds, and False nothing.

    Raises
    ------
    ProofError
        If the text does not replay to the plot; nothing is written.
    InvalidValue
        If ``plot`` is no Plot, ``title`` or ``date`` is no text, or the pens have different lifts.
    NotWritten
        If the file cannot be written.

    Examples
    --------
    >>> import tempfile
    >>> from pathlib import Path
    >>> import plotlib as pl
    >>> from plotlib.gcode import read
    >>> lift = pl.ServoLift("M5", "M3 S90")
    >>> axis = pl.Axis(9_000)
    >>> machine = pl.Machine(width=200, height=100, x=axis, y=axis, feed=600, lift=lift)
    >>> path = Path(tempfile.mkdtemp()) / "moon.gcode"
    >>> write(pl.plan(pl.shapes.circle((60, 50), 20), machine), path)
    >>> len(read(path, machine))
    1
    """
    if not isinstance(plot, Plot):
        raise InvalidValue(
            f"gcode.write takes a Plot, made by plan(drawing, machine); got {type(plot).__name__}"
        )
    for name, value in (("title", title), ("date", date)):
        if not isinstance(value, str):
            raise InvalidValue(f"{name} must be text, got {value!r:.100}", name=name, value=value)
    if with_lift_of(plot.drawing.pens, plot.machine) is None:
        raise InvalidValue(
            "the pens of this plot have different lifts, and one file has one lift; write a file "
            "for each pen with gcode.write_each(plot, path)",
            name="plot",
        )
    with asked("proving the G-code", progress) as work:
        text = text_of(plot, title=title, date=date)
        check(text, plot, tell=work.done)
    write_whole(path, text.encode("ascii"))


def text_of(plot: Plot, *, title: str = "", date: str = "") -> str:
    """The G-code of a plot, not yet proven."""
    return "\n".join([*header(plot, title, date), *Program(plot).pieces(), ""])


def header(plot: Plot, title: str, date: str) -> list[str]:
    """The comments before the first words: facts and cautions; none for a machine without them."""
    machine = plot.machine
    if not machine.comments:
        return []
    facts = [
        title,
        date,
        f"made by plotlib {_version()} for {machine.name}",
        *_facts(plot),
        *CAUTIONS,
    ]
    return [
        line for fact in facts if fact for line in comment_lines(fact, longest=machine.longest_line)
    ]


def _facts(plot: Plot) -> list[str]:
    bounds = plot.drawing.bounds
    places = plot.machine.decimals
    if bounds is None:
        return ["empty drawing"]
    left, bottom, right, top = (f"{value:.{places}f}" for value in bounds)
    size = f"{bounds[2] - bounds[0]:.{places}f} x {bounds[3] - bounds[1]:.{places}f} mm"
    labels = pen_labels(plot.drawing.pens, longest=plot.machine.longest_line)
    pens = ", ".join(
        f"{label} {pen.width:g} mm" for label, pen in zip(labels, plot.drawing.pens, strict=True)
    )
    return [
        f"size {size}, on the bed x {left} to {right}, y {bottom} to {top}",
        f"pens: {pens}. Begin with {labels[0]}.",
        f"{len(plot.drawing)} strokes, expected time {clock(plot.duration)}.",
    ]


def _version() -> str:
    try:
        return version("plotlib")
    except PackageNotFoundError:  # run from a folder, not installed
        return "from source"
