"""Controls for the numbers and choices of a design, with the drawing beside them, in a notebook."""

from __future__ import annotations

import asyncio
import base64
import inspect
from collections.abc import Callable
from contextlib import suppress
from html import escape
from types import ModuleType
from typing import Any

from plotlib.checks import counted, finite, function, package
from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue, PlotlibError
from plotlib.machine import Machine
from plotlib.planning.clock import clock
from plotlib.planning.plan import plan
from plotlib.planning.plot import Plot
from plotlib.planning.reporting.summary import way
from plotlib.preview import inline
from plotlib.preview.variants import Design, made_by
from plotlib.sheet import Sheet

REST = 0.4  # seconds after the last move of a control until the drawing is made in full
_STEPS = 200  # of a slider
_COARSE = 480.0  # px of the picture while a control moves
_FINE = 1280.0
_FEW = 5_000  # points that an SVG shows at once


class Explorer:
    """Controls and a picture; made by ``explore``, shown by a notebook.

    Attributes
    ----------
    controls : dict of str to widget
        The controls by the names of the design's arguments; setting a ``value`` moves one.
    drawing : Drawing or None
        What the design gave last; None where it failed.
    plot : Plot or None
        Its plan, where a machine was given and no control has moved since.
    error : str or None
        What went wrong.
    """

    def __init__(
        self, make: Design, machine: Machine | None, sheet: Sheet | None, choices: dict[str, Any]
    ) -> None:
        widgets = package("ipywidgets", install="ipywidgets", use="preview.explore")
        self.drawing: Drawing | None = None
        self.plot: Plot | None = None
        self.error: str | None = None
        self._make = make
        self._machine = machine
        self._sheet = sheet
        self._fixed = dict(choices)
        self._waiting: asyncio.TimerHandle | None = None
        defaults = _defaults(make)
        self.controls: dict[str, Any] = {}
        for name, choice in choices.items():
            control = _control(widgets, name, choice, defaults.get(name))
            if control is not None:
                self.controls[name] = control
                self._fixed.pop(name)
                control.observe(self._moved, names="value")
        self._picture = widgets.HTML()
        self._facts = widgets.HTML()
        self._written = widgets.HTML()
        panel = widgets.VBox([*self.controls.values(), self._facts, self._written])
        self._box = widgets.HBox([panel, self._picture])
        self._show_in_full()

    @property
    def values(self) -> dict[str, Any]:
        """The values that the controls stand at, and those that are fixed."""
        moved = {name: _rounded(item.value) for name, item in self.controls.items()}
        return {**moved, **self._fixed}

    @property
    def call(self) -> str:
        """A call of the design with these values, to paste into a script."""
        name = getattr(self._make, "__name__", "make")
        if not name.isidentifier():
            name = "make"
        given = ", ".join(f"{key}={_written(value)}" for key, value in self.values.items())
        return f"{name}({given})"

    def __repr__(self) -> str:
        return f"<Explorer: {self.call}>"

    def _repr_mimebundle_(self, **options: Any) -> dict[str, Any]:
        data: dict[str, Any] = self._box._repr_mimebundle_(**options)
        return {**data, "text/plain": repr(self)}  # where no widgets are shown

    def _moved(self, _: object) -> None:
        """Show the drawing coarsely now, and in full when the control comes to rest."""
        if self._waiting is not None:
            self._waiting.cancel()
        try:
            loop = asyncio.get_running_loop()
        except RuntimeError:  # no loop that could wait
            self._show_in_full()
            return
        self._show(coarse=True)
        self._waiting = loop.call_later(REST, self._show_in_full)

    def _show_in_full(self) -> None:
        self._waiting = None
        self._show(coarse=False)

    def _show(self, *, coarse: bool) -> None:
        values = self.values
        if _knows(self._make, "coarse"):
            values.setdefault("coarse", coarse)
        made = made_by(self._make, values)
        self.plot = None
        self.error = None if isinstance(made, Drawing) else made
        self.drawing = made if isinstance(made, Drawing) else None
        if self.drawing is not None and not coarse:
            self._plan(self.drawing)
        self._picture.value = self._shown(coarse)
        self._facts.value = _paragraph(self._told(coarse))
        self._written.value = _paragraph(self.call, font="monospace")

    def _plan(self, drawing: Drawing) -> None:
        if self._machine is None:
            return
        try:
            self.plot = plan(
                drawing, self._machine, sheet=self._sheet, effort="quick", progress=False
            )
        except PlotlibError as error:
            self.error = str(error)

    def _shown(self, coarse: bool) -> str:
        """The picture, or what went wrong in its place."""
        if self.drawing is None:
            return _paragraph(self.error or "")
        thing: Drawing | Plot = self.drawing
        if self.plot is not None and self._sheet is not None:
            thing = self.plot
        return picture(thing, self._sheet, coarse=coarse)

    def _told(self, coarse: bool) -> str:
        """Ink, lifts and time, and what keeps it from being planned."""
        if self.drawing is None:
            return "no drawing"
        ink = f"{way(self.drawing.length)} of ink"
        if self.plot is not None:
            lifts = counted(self.plot.lifts, "lift")
            return f"{ink} · {lifts} · {clock(self.plot.duration)}"
        facts = f"{ink} · {counted(len(self.drawing), 'lift')}"
        if coarse:
            return f"{facts} · …"
        return f"{facts} · {self.error}" if self.error else facts


def explore(
    make: Design,
    *,
    machine: Machine | None = None,
    sheet: Sheet | None = None,
    **choices: Any,
) -> Explorer:
    """Controls for the numbers and choices of a design, with its drawing, in a notebook.

    While a control moves the drawing is shown coarsely; when it rests, in full, with its ink and
    lifts, and with a machine its time. A design that has an argument ``coarse`` is given True while
    a control moves, and may take less trouble then. The call below the controls is one to paste
    into a script. Needs the package ipywidgets.

    Parameters
    ----------
    make : function
        The design: called with the values by their names, it returns a Drawing.
    machine : Machine, optional
        What the time is worked out for; without it lifts are those of the drawing as it is.
    sheet : Sheet, optional
        The paper that the drawing is shown on.
    **choices
        What each argument may be: a tuple ``(low, high)`` or ``(low, high, step)`` or a range is a
        slider, a list a choice of its items, True or False a box to tick; anything else is handed
        over as it is. A control begins at the design's own default if that is among the choices.

    Returns
    -------
    Explorer
        Shown by the notebook; ``controls``, ``values``, ``call``, ``drawing`` and ``plot`` tell
        where it stands.

    Raises
    ------
    InvalidValue
        If an argument is invalid, or a choice is empty.
    MissingPackage
        If ipywidgets is not installed.

    Examples
    --------
    >>> from plotlib.shapes import star
    >>> def design(tips=5, inner=8.0):
    ...     return star((0, 0), 20, tips=tips, inner=inner)
    >>> explorer = explore(design, tips=(3, 12), inner=(2.0, 18.0))
    >>> explorer.controls["tips"].value = 7
    >>> explorer.call
    'design(tips=7, inner=8.0)'
    """
    design = function("make", make)
    if machine is not None and not isinstance(machine, Machine):
        raise InvalidValue(f"machine must be a Machine, got {machine!r:.100}", name="machine")
    if sheet is not None and not isinstance(sheet, Sheet):
        raise InvalidValue(f"sheet must be a Sheet, got {sheet!r:.100}", name="sheet")
    return Explorer(design, machine, sheet, choices)


def picture(thing: Drawing | Plot, sheet: Sheet | None, *, coarse: bool) -> str:
    """An element for a page: SVG of few points, PNG of more."""
    what = inline.shown(thing, sheet)
    few = _FEW if coarse else inline.POINTS
    if len(what.drawing.points) <= few or not inline.is_possible():
        return inline.svg_of(what)
    data, size = inline.png_of(thing, sheet, _COARSE if coarse else _FINE)
    text = base64.b64encode(data).decode("ascii")
    width = 640 * size["width"] // max(size["width"], size["height"])
    return f'<img width="{width}" alt="the drawing" src="data:image/png;base64,{text}"/>'


def _control(widgets: ModuleType, name: str, choice: Any, default: Any) -> Any:
    """A control for what an argument may be; None for a value that is fixed."""
    label = {"description": name, "style": {"description_width": "initial"}}
    if isinstance(choice, bool):
        return widgets.Checkbox(value=choice, **label)
    if isinstance(choice, range) and len(choice):
        span = {"min": min(choice), "max": max(choice), "step": abs(choice.step)}
        return widgets.IntSlider(**span, value=_start(default, choice, choice[0]), **label)
    if isinstance(choice, tuple) and _is_span(choice):
        return _slider(widgets, name, choice, default, label)
    if isinstance(choice, (list, range)):
        if not len(choice):
            raise InvalidValue(f"{name} has no values to choose from", name=name, value=choice)
        options = [(_written(item), item) for item in choice]
        return widgets.Dropdown(options=options, value=_start(default, choice, choice[0]), **label)
    return None


def _is_span(choice: tuple[Any, ...]) -> bool:
    are_numbers = all(isinstance(item, (int, float)) for item in choice)
    return len(choice) in (2, 3) and are_numbers


def _slider(
    widgets: ModuleType, name: str, choice: tuple[Any, ...], default: Any, label: dict[str, Any]
) -> Any:
    """A slider from the first number to the second."""
    low = finite(name, choice[0])
    high = finite(name, choice[1])
    if not low < high:
        raise InvalidValue(f"{name} must go from less to more, got {choice}", name=name)
    is_whole = all(isinstance(item, int) for item in choice)
    kind: Callable[..., Any] = widgets.IntSlider if is_whole else widgets.FloatSlider
    step = choice[2] if len(choice) == 3 else _step(low, high, is_whole)
    middle = low + round((high - low) / 2 / step) * step
    start = middle
    if isinstance(default, (int, float)) and low <= default <= high:
        start = default
    numbers = {"min": low, "max": high, "step": step, "value": start}
    if is_whole:
        numbers = {key: int(value) for key, value in numbers.items()}
    else:
        label = {**label, "readout_format": ".4g"}
    return kind(**numbers, **label)


def _step(low: float, high: float, is_whole: bool) -> float:
    """One for whole numbers, else a round number, so that the values read well."""
    if is_whole:
        return 1
    step = 1.0
    while step > (high - low) / _STEPS:
        step = step / 10
    return step


def _start(default: Any, choice: list[Any] | range, first: Any) -> Any:
    with suppress(Exception):  # values that do not compare
        if default in choice:
            return default
    return first


def _defaults(make: Design) -> dict[str, Any]:
    return {name: one.default for name, one in _parameters(make).items()}


def _knows(make: Design, name: str) -> bool:
    return name in _parameters(make)


def _parameters(make: Design) -> dict[str, inspect.Parameter]:
    try:
        return dict(inspect.signature(make).parameters)
    except (TypeError, ValueError):  # of some built-in functions nobody knows
        return {}


def _rounded(value: Any) -> Any:
    """A float without the last bits of a slider's sums, so that what is written is what is
    drawn.
    """
    return float(f"{value:.10g}") if isinstance(value, float) else value


def _written(value: Any) -> str:
    """A value as code, what numpy's numbers call themselves left out."""
    return repr(value.item() if hasattr(value, "item") else value)


def _paragraph(text: str, *, font: str = "inherit") -> str:
    style = f"font-family: {font}; white-space: pre-wrap; max-width: 30em"
    return f'<p style="{style}">{escape(text)}</p>'
