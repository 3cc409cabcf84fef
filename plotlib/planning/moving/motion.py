"""The time of a whole plot, as a controller with look-ahead plans it.

A stroke is drawn from rest to rest. Along a straight move the limits of both axes are resolved for
its direction: the speed is the least of the feed and rate / abs(cosine) of each axis, the
acceleration the least of acceleration / abs(cosine).

A corner is taken at v = sqrt(a R) on the circle that touches both segments and leaves the corner by
the allowed deviation d: R = d s / (1 - s), where s is the sine of half the angle between the
segments. What else the circle must do is the corner model:

``"arc"``
    The circle lies within the nearer half of each segment, as if the pen ran along it, and the axes
    can give the acceleration towards its centre anywhere on it. An arc in small pieces then comes
    to the v = sqrt(a r) of its own radius r, however fine the pieces are.
``"deviation"``
    Junction deviation pure and simple: the circle may be longer than the segments, and the
    acceleration is taken in the middle of it, the direction in which the velocity changes. The pen
    goes through the corner itself; where short segments follow each other the assumed circles
    overlap, so that an arc in small pieces is driven faster than its radius allows. At 500 mm/s²
    and 3,000 mm/min ``"arc"`` is above it by 23 % on contour lines in steps of 0.5 mm, by 10 % on
    lettering of 3 mm, by 0.2 % on hatching (``tests/benchmarks/corner_models.py``).

Take the one whose times agree with your machine; the order of the strokes does not depend on it.

Neither model asks that speeding up along a move and turning at its ends share what an axis can
give: controllers judge corners and moves apart. So curves that the acceleration limits, not the
feed, come out somewhat too fast. Around a circle, with axes alike, ``"arc"`` is 5 % (fine chords)
to 9 % (24 of them) below the even speed sqrt(a r); the best that two such axes can do is 2.6 %
below it, at sqrt(2 a r / (1 + cos t)) where the direction is t from the nearer axis
(``tests/benchmarks/corner_models.py``). To share, each limit would have to know the speed, which
controllers do not ask either.

A backward and a forward pass make every speed reachable, and the controller can always stop within
the moves it knows. Pen-up ways are straight moves from rest to rest, at the rate of the axes.

Lines come over a link of 10 bits a byte (start bit, 8 data bits, stop bit). Where moves are so
short that lines come too slowly, the pen stops and waits on the paper: such stretches are reported,
with the simplification that would mend them.

Sources (cited from memory): the circle that rounds a corner within a tolerance in M. K. Jouaneh,
Z. Wang and D. A. Dornfeld, "Trajectory planning for coordinated motion of a robot and a positioning
table: part 1, path specification", IEEE Transactions on Robotics and Automation 6 (1990), 735-745;
look-ahead with speeds at corners in S.-H. Suh, S. K. Kang, D.-H. Chung and I. Stroud, "Theory and
Design of CNC Systems", Springer 2008, chapter 4. R follows from plane geometry: the centre is R / s
from the corner, so that d = R / s - R.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from plotlib.checks import FloatArray, IntArray, not_negative, one_of, positive, whole
from plotlib.errors import InvalidValue

BITS_A_BYTE = 10
CORNER_MODELS = ("arc", "deviation")


@dataclass(frozen=True, kw_only=True)
class Controller:
    """What the motion model needs to know of a machine and its controller.

    Attributes
    ----------
    rates : (float, float)
        Top rates of x and y in mm/min.
    accelerations : (float, float), default infinite
        Accelerations of x and y in mm/s²; ``math.inf`` where none is declared.
    path_tolerance : float, default 0.05
        Allowed deviation at corners in mm; 0 stops at every corner.
    corner_model : {"arc", "deviation"}, default "arc"
        Whether the circle at a corner stays within the nearer halves of its segments, or only
        within the deviation (see the module).
    look_ahead : int, default 16
        Moves that are known ahead, the one being made counted in; with 1 the pen stops at every
        point.
    baud : float, optional
        Bits per second of the link that the lines come over; None: they are always there.

    Raises
    ------
    InvalidValue
        If a value is of the wrong sign or not finite (only accelerations may be infinite).
    UnknownName
        If there is no such corner model.
    """

    rates: tuple[float, float]
    accelerations: tuple[float, float] = (math.inf, math.inf)
    path_tolerance: float = 0.05
    corner_model: str = "arc"
    look_ahead: int = 16
    baud: float | None = None

    def __post_init__(self) -> None:
        for axis in range(2):
            positive("rates", self.rates[axis], unit="mm/min")
            if self.accelerations[axis] != math.inf:
                positive("accelerations", self.accelerations[axis], unit="mm/s²")
        not_negative("path_tolerance", self.path_tolerance, unit="mm")
        one_of("corner_model", self.corner_model, CORNER_MODELS)
        whole("look_ahead", self.look_ahead, low=1)
        if self.baud is not None:
            positive("baud", self.baud, unit="bits per second")


@dataclass(frozen=True)
class Stutter:
    """A stretch of a stroke where lines come too slowly, so that the pen stops and waits again and
    again.

    Attributes
    ----------
    run, first, last : int
        Which stroke, and its points where the stretch begins and ends.
    moves : int
        How many moves it has.
    waiting : float
        Seconds that the pen waits on the paper.
    feed, planned : float
        Mean feed that the link allows there, and the one the machine could keep, in mm/min.
    spacing : float
        Length in mm that moves would need for the planned feed.
    tolerance : float
        Least simplification (Douglas-Peucker, mm) of the stretch, timed again, with which the link
        keeps up.
    """

    run: int
    first: int
    last: int
    moves: int
    waiting: float
    feed: float
    planned: float
    spacing: float
    tolerance: float

    @property
    def remedy(self) -> str:
        """What to do. Where strokes would have to be simplified by more than moves should be long,
        as in fine lettering, little of their shape would be left.
        """
        if self.tolerance > self.spacing:
            return "raise baud, or draw it slower"
        return f"simplify by {self.tolerance:.3f} mm, or raise baud"

    def __str__(self) -> str:
        return (
            f"stroke {self.run}, points {self.first} to {self.last}: {self.moves} moves come too "
            f"thick for the link, the pen waits "
            f"{self.waiting:.2f} s on the paper ({self.feed:.0f} instead of {self.planned:.0f} "
            f"mm/min); "
            f"moves of {self.spacing:.3f} mm would do: {self.remedy}"
        )


@dataclass(frozen=True)
class MotionTimes:
    """Seconds of a plot and of its moves.

    Attributes
    ----------
    drawing, travel, lifting, waiting : float
        Seconds of pen-down moves, of pen-up ways, of lifting, lowering and settling, and of waiting
        for the link with the pen down.
    moves : ndarray (N,)
        Seconds of the pen-down move to each point, 0 for the first point of a stroke.
    speeds : ndarray (N,)
        Speed at each point in mm/min.
    ways : ndarray (K,)
        Seconds of each pen-up way.
    stutters : tuple of Stutter
        Where the link cannot keep up, in the order of the plot.
    """

    drawing: float
    travel: float
    lifting: float
    waiting: float
    moves: FloatArray
    speeds: FloatArray
    ways: FloatArray
    stutters: tuple[Stutter, ...]

    def __post_init__(self) -> None:
        for array in (self.moves, self.speeds, self.ways):
            array.flags.writeable = False

    @property
    def duration(self) -> float:
        """Seconds in all."""
        return self.drawing + self.travel + self.lifting + self.waiting


def motion_times(
    points: IntArray,
    offsets: IntArray,
    controller: Controller,
    *,
    unit: float,
    feed: ArrayLike,
    home: tuple[int, int] | None = None,
    finish: tuple[int, int] | None = None,
    ways: tuple[IntArray, IntArray] | None = None,
    travel_feed: float | None = None,
    lift: tuple[float, float] = (0.0, 0.0),
    line_bytes: ArrayLike = 0,
) -> MotionTimes:
    """Time strokes in their order, with the pen-up ways between them.

    Parameters
    ----------
    points : ndarray (N, 2) of int64
        Points in grid units.
    offsets : ndarray (M + 1,) of int64
        Stroke ``k`` is ``points[offsets[k]:offsets[k + 1]]``.
    controller : Controller
        Rates, accelerations, corners, queue and link.
    unit : float
        The grid unit in mm.
    feed : float or ndarray (M,)
        Feed of the strokes in mm/min.
    home, finish : (int, int), optional
        Where the carriage is before the first stroke and goes after the last one.
    ways : (points, offsets), optional
        The pen-up ways as polylines, instead of straight ones from home over the strokes to the
        finish.
    travel_feed : float, optional
        Feed of pen-up ways in mm/min; None: as fast as the axes go.
    lift : (float, float), default (0, 0)
        Seconds from pen down to up and settled, and from up to down and settled.
    line_bytes : int or ndarray (N,), default 0
        Bytes of the line that moves to each point, its end counted in (see :func:`bytes_of_lines`).

    Returns
    -------
    MotionTimes

    Raises
    ------
    InvalidValue
        If a feed, the unit or a time is of the wrong sign or not finite.

    Examples
    --------
    >>> machine = Controller(rates=(6000, 6000), accelerations=(1000, 1000))
    >>> line = np.array([[0, 0], [100_000, 0]])
    >>> round(motion_times(line, np.array([0, 2]), machine, unit=0.001, feed=6000).drawing, 6)
    1.1
    """
    unit = positive("unit", unit, unit="mm")
    up, down = (not_negative("lift", value, unit="s") for value in lift)
    feeds = _feeds(feed, len(offsets) - 1)
    moves, speeds = _timed(points, offsets, controller, unit, feeds)
    ways = _straight_ways(points, offsets, home, finish) if ways is None else ways
    fastest = (
        math.inf if travel_feed is None else positive("travel_feed", travel_feed, unit="mm/min")
    )
    way_moves, _ = _timed(*ways, controller, unit, np.full(len(ways[1]) - 1, fastest))
    way_seconds = np.add.reduceat(way_moves, ways[1][:-1]) if len(ways[1]) > 1 else np.zeros(0)
    waiting, stutters = _stutters(points, offsets, controller, unit, feeds, moves, line_bytes)
    return MotionTimes(
        drawing=float(moves.sum()),
        travel=float(way_seconds.sum()),
        lifting=(len(offsets) - 1) * (up + down),
        waiting=waiting,
        moves=moves,
        speeds=speeds,
        ways=way_seconds,
        stutters=stutters,
    )


def bytes_of_lines(points: IntArray, *, decimals: int, more: int = 3) -> IntArray:
    """Estimate the bytes of the line that moves to each point: an X and a Y word with all decimals,
    a line end, and ``more``.

    >>> # X-1.500Y250.000 and the line end
    >>> bytes_of_lines(np.array([[-1500, 250_000]]), decimals=3, more=0).tolist()
    [16]
    """
    decimals = whole("decimals", decimals, low=0)
    whole_part = np.abs(points) // 10**decimals
    digits = 1 + (whole_part[..., None] >= 10 ** np.arange(1, 16)).sum(axis=-1)
    words = 1 + (points < 0) + digits + (decimals + 1 if decimals else 0)
    return np.asarray(words.sum(axis=1) + 1 + more, dtype=np.int64)


def _feeds(feed: ArrayLike, count: int) -> FloatArray:
    feeds = np.asarray(feed, dtype=np.float64)
    if feeds.ndim and feeds.shape != (count,):
        raise InvalidValue(
            f"feed must be one number or one for each of the {count} strokes, got shape "
            f"{feeds.shape}",
            shape=feeds.shape,
        )
    bad = ~(np.isfinite(feeds) & (feeds > 0))
    if bad.any():
        value = float(feeds[bad].flat[0])
        raise InvalidValue(
            f"feed must be greater than 0 and finite (mm/min), got {value!r}",
            name="feed",
            value=value,
        )
    return np.ascontiguousarray(np.broadcast_to(feeds, (count,)))


def _timed(
    points: IntArray, offsets: IntArray, controller: Controller, unit: float, feeds: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Seconds of each move and speeds (mm/min) at each point."""
    from plotlib.planning.moving import motion_kernel as kernel

    points = np.array(points, dtype=np.int64)  # copies: read-only arrays would be compiled anew
    offsets = np.array(offsets, dtype=np.int64)
    seconds, speeds = kernel.run_times(points, offsets, unit, feeds / 60.0, *_limits(controller))
    return seconds, 60.0 * speeds


def _limits(controller: Controller) -> tuple[FloatArray, FloatArray, float, bool, int]:
    """What the kernels want to know of a controller, in mm and s."""
    rates = np.array(controller.rates, dtype=np.float64) / 60.0
    return (
        rates,
        np.array(controller.accelerations, dtype=np.float64),
        float(controller.path_tolerance),
        controller.corner_model == "arc",
        int(controller.look_ahead),
    )


def _straight_ways(
    points: IntArray,
    offsets: IntArray,
    home: tuple[int, int] | None,
    finish: tuple[int, int] | None,
) -> tuple[IntArray, IntArray]:
    """The ways home → first stroke → … → last stroke → finish, two points each."""
    before = np.array([] if home is None else [home], dtype=np.int64).reshape(-1, 2)
    after = np.array([] if finish is None else [finish], dtype=np.int64).reshape(-1, 2)
    starts = np.concatenate([before, points[offsets[1:] - 1]])
    stops = np.concatenate([points[offsets[:-1]], after])
    if home is None:
        stops = stops[1:]
    if finish is None:
        starts = starts[: len(stops)]
    ends = np.stack([starts[: len(stops)], stops[: len(starts)]], axis=1).reshape(-1, 2)
    return ends, np.arange(0, len(ends) + 1, 2)


def _stutters(
    points: IntArray,
    offsets: IntArray,
    controller: Controller,
    unit: float,
    feeds: FloatArray,
    moves: FloatArray,
    line_bytes: ArrayLike,
) -> tuple[float, tuple[Stutter, ...]]:
    """Seconds of waiting for the link, and the stretches where it happens."""
    from plotlib.planning.moving import motion_kernel as kernel

    if controller.baud is None:
        return 0.0, ()
    sending = np.ascontiguousarray(
        np.broadcast_to(
            np.asarray(line_bytes, dtype=np.float64) * BITS_A_BYTE / controller.baud, moves.shape
        )
    )
    wait = kernel.waits(moves, sending, offsets, int(controller.look_ahead))
    stutters = []
    for first, last in kernel.stretches(wait, offsets, int(controller.look_ahead)).tolist():
        run = int(np.searchsorted(offsets, first, side="right")) - 1
        begin = int(offsets[run])
        stretch = slice(first + 1, last + 1)
        filled = max(begin, first - int(controller.look_ahead))  # where the queue was still full
        line = np.ascontiguousarray(points[filled : last + 1])
        seconds = float(sending[stretch].mean())
        length = unit * float(np.hypot(*np.diff(points[first : last + 1], axis=0).T).sum())
        planned = float(moves[stretch].sum())
        waiting = float(wait[first:last].sum())
        speed = length / planned if planned else 0.0
        tolerance = kernel.mending(line, unit, feeds[run] / 60.0, *_limits(controller), seconds)
        feed = 60.0 * length / (planned + waiting)
        stutters.append(
            Stutter(
                run,
                first - begin,
                last - begin,
                last - first,
                waiting,
                feed,
                60.0 * speed,
                seconds * speed,
                float(tolerance),
            )
        )
    return float(wait.sum()), tuple(stutters)
