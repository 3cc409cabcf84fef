"""The Machine: everything that one particular machine needs said, nothing built in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import shapely
from shapely import Polygon

from plotlib.arrays.arcs import TOLERANCE
from plotlib.checks import (
    between,
    flag,
    not_negative,
    numbers,
    one_of,
    positive,
    rate,
    whole,
)
from plotlib.errors import InvalidValue
from plotlib.machine import entries, profile
from plotlib.machine.axis import Axis
from plotlib.machine.corrections import Corrections
from plotlib.machine.declared_lines import check_lines, check_longest
from plotlib.machine.dialogue import Dialogue
from plotlib.machine.grid import check_stands, on_grid
from plotlib.machine.height_map import HeightMap, check_height_map
from plotlib.machine.keep_out import areas_of, check_places
from plotlib.machine.lifts import KINDS, Lift
from plotlib.machine.longest import longest_move
from plotlib.machine.words import declared

_SETUP = ("G21", "G90", "G17", "G94")


@dataclass(frozen=True, kw_only=True)
class Machine:
    """The declared envelope of one machine, checked when it is made.

    Parameters
    ----------
    width, height : float
        The bed in mm; its lower left corner is (0, 0). Whole units of the last decimal.
    x, y : Axis
        What each axis can do.
    lift : Lift
        How the pen is raised and lowered, such as a ServoLift or a ZLift.
    feed : float
        Drawing feed in mm/min of pens that declare none.
    zero : (float, float), default (0, 0)
        The bed point that the controller calls 0, 0; anywhere, on the grid.
    home : (float, float), default (0, 0)
        The bed point where the carriage stands, pen up, after the prologue.
    park : (float, float), optional
        The bed point for pen changes and the end; ``home`` when not given.
    travel_word : {"G0", "G1"}, default "G0"
        The word of pen-up moves; "G1" needs ``travel_feed``.
    travel_feed : float, optional
        Feed in mm/min of pen-up moves by G1.
    dwell : {"seconds", "milliseconds"}, default "seconds"
        What the controller takes G4 P for; the standard says seconds.
    prologue, setup, epilogue : str or sequence of str
        Lines before everything, lines that set units and modes, and lines at the end. The default
        epilogue is M2 where that leaves the pen up, else nothing: by the standard a program end
        stops the spindle, which may drop a servo.
    decimals : int, default 3
        Decimals of every coordinate, 0 … 6: the grid.
    longest_line : int, default 70
        Characters that the controller takes in a line, without the line end; enough for a move to
        the far corner of the bed.
    comments : bool, default True
        Whether comments may be sent.
    baud : float, optional
        Bits per second of the serial line.
    path_tolerance : float, default 0.05
        Allowed deviation at corners in mm, for the motion model.
    corner_model : {"arc", "deviation"}, default "arc"
        How the motion model drives a corner: on a circle within the nearer halves of its segments,
        or on any circle within the deviation, which is faster on finely divided curves. It changes
        the time that is reported and nothing else; take what agrees with your machine.
    look_ahead : int, default 16
        Moves that the controller plans ahead.
    keep_outs : area, Drawing or KeepOut, or sequence of them
        Areas of the bed without ink.
    name : str, default "machine"
        What reports and file headers call the machine.
    dialogue : Dialogue, optional
        What its controller says over the serial line; ``plotlib.streaming`` needs it.
    corrections : Corrections, optional
        Scale, skew and backlash as found by ``plotlib.calibration``; coordinates are then written
        with one decimal more.
    height_map : HeightMap, optional
        Where the bed is high and low; for a ZLift, whose pen then follows the bed where the
        carriage stands.
    arcs : bool, default False
        Whether the controller understands G2 and G3 with I and J. ``plan`` then looks for runs of
        points that lie on arcs of circles, and a file draws each by one line. With ``corrections``
        or a ``height_map`` all stays lines: a circle that is scaled, skewed or bent is none.
    arc_tolerance : float, default 0.03
        How far such an arc may lie from the strokes that were planned, in mm, 0.001 to 1. The
        default is the chord error of curves, 0.02, and the rounding to two decimals.

    Raises
    ------
    InvalidValue
        If a value cannot be: a bed without size or off its grid, a rate that is not positive, a
        declared line that is not ASCII, too long, or would spoil every program. ``error.name`` is
        the parameter.
    UnknownName
        If ``travel_word``, ``dwell`` or ``corner_model`` is none of the words listed.

    Examples
    --------
    >>> from plotlib.machine import ServoLift
    >>> machine = Machine(
    ...     width=225,
    ...     height=250,
    ...     x=Axis(10_000, 500),
    ...     y=Axis(4_000, 250),
    ...     lift=ServoLift("M5", "M3 S90"),
    ...     feed=3_000,
    ... )
    >>> machine.bed.bounds
    (0.0, 0.0, 225.0, 250.0)
    """

    width: float
    height: float
    x: Axis
    y: Axis
    lift: Lift
    feed: float
    zero: tuple[float, float] = (0.0, 0.0)
    home: tuple[float, float] = (0.0, 0.0)
    park: tuple[float, float] | None = None
    travel_word: str = "G0"
    travel_feed: float | None = None
    dwell: str = "seconds"
    prologue: Any = ()
    setup: Any = _SETUP
    epilogue: Any = None
    decimals: int = 3
    longest_line: int = 70
    comments: bool = True
    baud: float | None = None
    path_tolerance: float = 0.05
    corner_model: str = "arc"
    look_ahead: int = 16
    keep_outs: Sequence[Any] = ()
    name: str = "machine"
    dialogue: Dialogue | None = None
    corrections: Corrections | None = None
    height_map: HeightMap | None = None
    arcs: bool = False
    arc_tolerance: float = TOLERANCE

    def __post_init__(self) -> None:
        put = object.__setattr__
        put(self, "decimals", whole("decimals", self.decimals, low=0, high=6))
        for key in ("width", "height"):
            put(self, key, positive(key, getattr(self, key), unit="mm"))
        put(self, "feed", rate("feed", self.feed))
        self._check_parts()
        put(self, "park", self.home if self.park is None else self.park)
        for key in ("zero", "home", "park"):
            put(self, key, on_grid(key, getattr(self, key), self.decimals))
        check_stands(self)
        put(self, "dwell", one_of("dwell", self.dwell, ("seconds", "milliseconds")))
        put(self, "longest_line", whole("longest_line", self.longest_line, low=20, high=256))
        if self.baud is not None:
            baud = positive("baud", self.baud)
            put(self, "baud", between("baud", baud, 1.0, 1e12, unit="bits per second"))
        put(self, "path_tolerance", not_negative("path_tolerance", self.path_tolerance, unit="mm"))
        put(self, "corner_model", one_of("corner_model", self.corner_model, ("arc", "deviation")))
        moves = whole("look_ahead", self.look_ahead, low=1)
        put(self, "look_ahead", whole("look_ahead", moves, low=1, high=1_000_000))
        put(self, "arcs", flag("arcs", self.arcs))
        far = between("arc_tolerance", self.arc_tolerance, 0.001, 1.0, unit="mm")
        put(self, "arc_tolerance", far)
        put(self, "keep_outs", areas_of(self.keep_outs))
        check_places(self)
        self._check_lines()

    @property
    def writes_arcs(self) -> bool:
        """Whether files have arcs: where the controller draws them, and nothing bends them."""
        return self.arcs and self.corrections is None and self.height_map is None

    def _check_parts(self) -> None:
        lifts = " or ".join(f"a {kind.__name__}" for kind in KINDS.values())
        for key, kind, wanted in (
            ("x", Axis, "an Axis"),
            ("y", Axis, "an Axis"),
            ("lift", Lift, lifts),
        ):
            part = getattr(self, key)
            if not isinstance(part, kind):
                raise InvalidValue(f"{key} must be {wanted}, got {part!r}", name=key, value=part)
        entries.check_part("dialogue", self.dialogue, Dialogue)
        entries.check_part("corrections", self.corrections, Corrections)
        entries.check_part("height_map", self.height_map, HeightMap)
        if self.height_map is not None:
            check_height_map(self.height_map, self.lift, unit=self.unit)
        self._check_travel()
        if not isinstance(self.comments, bool):
            raise InvalidValue(
                f"comments must be True or False, got {self.comments!r}",
                name="comments",
                value=self.comments,
            )
        if not isinstance(self.name, str) or not self.name.strip() or not self.name.isprintable():
            raise InvalidValue(
                f"name must be some text, got {self.name!r}", name="name", value=self.name
            )

    def _check_travel(self) -> None:
        one_of("travel_word", self.travel_word, ("G0", "G1"))
        if (self.travel_word == "G1") != (self.travel_feed is not None):
            raise InvalidValue(
                "travel by G1 needs a travel_feed, and travel by G0 has none: it goes at the "
                "axes' rates",
                name="travel_feed",
                value=self.travel_feed,
            )
        if self.travel_feed is not None:
            object.__setattr__(self, "travel_feed", rate("travel_feed", self.travel_feed))

    def _check_lines(self) -> None:
        if self.epilogue is None:
            object.__setattr__(self, "epilogue", ("M2",) if self.lift.holds_after_end else ())
        for key in ("prologue", "setup", "epilogue"):
            object.__setattr__(self, key, declared(key, getattr(self, key)))
        check_lines(self)
        check_longest(self)

    def line_needed(self, feed: float) -> int:
        """Characters of the longest line that a move can need.

        Parameters
        ----------
        feed : float
            The highest feed in mm/min that a move is driven at.

        Returns
        -------
        int
            Without the line end.

        Raises
        ------
        InvalidValue
            If ``feed`` is not from 0.001 to 1e9.

        Examples
        --------
        >>> from plotlib.machine import ServoLift
        >>> axis = Axis(9_000)
        >>> lift = ServoLift("M5", "M3 S90")
        >>> machine = Machine(width=200, height=90, x=axis, y=axis, feed=600, lift=lift)
        >>> machine.line_needed(600), len("G1 X200.000 Y90.000 F600.000")
        (28, 28)
        """
        lines = [longest_move(self, rate("feed", feed))]
        heights = self.lift.heights
        if heights is not None:
            for height in (heights.up, heights.down):
                lines.append(f"G1 Z{height:.{self.decimals}f} F{heights.feed:.3f}")
        return max(map(len, lines))

    # ---- facts

    @property
    def bed(self) -> Polygon:
        """The bed as an area in bed mm."""
        return shapely.box(0.0, 0.0, self.width, self.height)

    @property
    def unit(self) -> float:
        """One unit of the last decimal in mm."""
        return float(10.0**-self.decimals)

    def to_units(self, value: Any) -> Any:
        """Millimetres as whole units of the last decimal.

        Parameters
        ----------
        value : float or array of floats
            In mm, of any shape.

        Returns
        -------
        int64 or array of int64
            Of the same shape, rounded once (halves to even).

        Raises
        ------
        InvalidValue
            If ``value`` holds anything but finite numbers.

        Examples
        --------
        >>> from plotlib.machine import ServoLift
        >>> axis = Axis(9_000)
        >>> lift = ServoLift("M5", "M3 S90")
        >>> machine = Machine(width=200, height=90, x=axis, y=axis, feed=600, lift=lift)
        >>> machine.to_units([1.2345, 200]).tolist()
        [1234, 200000]
        """
        return np.rint(numbers("value", value) * 10.0**self.decimals).astype(np.int64)

    def to_mm(self, units: Any) -> Any:
        """Whole units of the last decimal as millimetres.

        Parameters
        ----------
        units : int or array of ints
            Of any shape.

        Returns
        -------
        float64 or array of float64
            Of the same shape, in mm: the floats nearest to the printed decimals.

        Raises
        ------
        InvalidValue
            If ``units`` holds anything but finite numbers.

        Examples
        --------
        >>> from plotlib.machine import ServoLift
        >>> axis = Axis(9_000)
        >>> lift = ServoLift("M5", "M3 S90")
        >>> machine = Machine(width=200, height=90, x=axis, y=axis, feed=600, lift=lift)
        >>> machine.to_mm([1234, 200_000]).tolist()
        [1.234, 200.0]
        """
        return numbers("units", units) / 10.0**self.decimals

    # ---- profiles

    @classmethod
    def load(cls, path: str | Path) -> Machine:
        """A machine from a TOML profile whose keys are the names of the parameters.

        Parameters
        ----------
        path : str or Path
            The file.

        Returns
        -------
        Machine

        Raises
        ------
        InvalidValue
            If ``path`` is no path.
        NotRead
            If there is no such file, or it cannot be read.
        ProfileError
            If it is not TOML, a key is unknown or missing, or holds what cannot be; ``error.key``
            names the key, and the message says what it should hold.

        Examples
        --------
        >>> Machine.load("no-such.toml")  # doctest: +ELLIPSIS
        Traceback (most recent call last):
            ...
        plotlib.errors.NotRead: cannot read the machine profile 'no-such.toml': there is no such...
        """
        table = entries.parts_of(profile.read(path), where=str(path))
        return profile.build(cls, table, where=str(path))

    def save(self, path: str | Path) -> None:
        """Write the machine as a TOML profile that ``load`` reads back to an equal machine.

        Parameters
        ----------
        path : str or Path
            The file; its folder must exist.

        Raises
        ------
        NotWritten
            If the file cannot be written; what stood there before is untouched.
        InvalidValue
            If ``path`` is no path.

        Examples
        --------
        >>> from plotlib.machine import ServoLift
        >>> axis = Axis(9_000)
        >>> lift = ServoLift("M5", "M3 S90")
        >>> machine = Machine(width=200, height=100, x=axis, y=axis, feed=600, lift=lift)
        >>> import os, tempfile
        >>> path = os.path.join(tempfile.mkdtemp(), "bench.toml")
        >>> machine.save(path)
        >>> Machine.load(path) == machine
        True
        """
        profile.write(path, entries.table_of(self))
