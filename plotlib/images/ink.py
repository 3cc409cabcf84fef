"""The ink model: which share of the paper a pen must cover so that it looks as light as a tone."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from plotlib import checks
from plotlib.checks import FloatArray
from plotlib.errors import InvalidValue

TOUR = 0.7124  # length of a shortest tour through random points: this times the root of n · area


@dataclass(frozen=True, kw_only=True)
class InkModel:
    """How ink on paper reflects light (Yule and Nielsen), or as it was measured.

    Black and white of a picture become the ink's and the paper's own reflectance, so a model of
    another paper changes nothing by itself; what counts is ``n``, or the measured curve.

    Parameters
    ----------
    white : float, default 1
        Reflectance of the bare paper, 0 … 1.
    black : float, default 0
        Reflectance where ink covers everything; below that of the paper.
    n : float, default 1
        Yule and Nielsen's number: 1 (Murray and Davies) where light comes out where it went in, 2
        and more where it wanders under the edges of the ink, so that prints look darker. 1 … 100.
    measurements : tuple of (float, float), default ()
        Instead of ``n``: what was measured, as pairs of covered share and reflectance; see
        `InkModel.measured`.

    Raises
    ------
    InvalidValue
        If a number is beyond its limits, or the measurements do not fall from coverage 0 to 1.

    References
    ----------
    A. Murray, *Monochrome Reproduction in Photoengraving*, J. Franklin Institute 221, 1936. J. A.
    C. Yule, W. J. Nielsen, *The Penetration of Light into Paper and its Effect on Halftone
    Reproduction*, TAGA Proceedings 3, 1951.

    Examples
    --------
    >>> round(InkModel().coverage(0.3), 9)
    0.7
    >>> round(InkModel(white=0.85, black=0.05, n=2).coverage(0.4375), 6)
    0.414548
    """

    white: float = 1.0
    black: float = 0.0
    n: float = 1.0
    measurements: tuple[tuple[float, float], ...] = ()

    def __post_init__(self) -> None:
        white = checks.between("white", self.white, 0.0, 1.0)
        black = checks.between("black", self.black, 0.0, 1.0)
        if not black < white:
            raise InvalidValue(
                f"black must reflect less than white ({white:g}), got {black:g}", name="black"
            )
        object.__setattr__(self, "white", white)
        object.__setattr__(self, "black", black)
        object.__setattr__(self, "n", checks.between("n", self.n, 1.0, 100.0))
        object.__setattr__(self, "measurements", _curve(self.measurements))

    @classmethod
    def measured(cls, coverage: ArrayLike, reflectance: ArrayLike) -> InkModel:
        """The model of a printed ramp: patches whose covered share is known, and how light each
        looks.

        Parameters
        ----------
        coverage : array-like, shape (n,)
            Covered shares as they were drawn, rising from 0 (bare paper) to 1 (full ink).
        reflectance : array-like, shape (n,)
            What a scanner or a light meter says of each patch, in linear light, 0 … 1; falling.

        Returns
        -------
        InkModel
            Straight between what was measured.

        Raises
        ------
        InvalidValue
            If the lists differ in length, do not begin with bare paper and end with full ink, or
            do not rise and fall.

        Examples
        --------
        >>> ink = InkModel.measured([0, 0.5, 1], [0.9, 0.4, 0.1])
        >>> round(ink.coverage(0.375), 9)
        0.5
        """
        asked = checks.numbers("coverage", coverage, ndim=1)
        seen = checks.numbers("reflectance", reflectance, ndim=1)
        if asked.shape != seen.shape:
            raise InvalidValue(
                f"coverage and reflectance need one number for each patch, got {len(asked)} and "
                f"{len(seen)}",
                name="reflectance",
            )
        pairs = _curve([(float(a), float(r)) for a, r in zip(asked, seen, strict=True)])
        if not pairs:
            raise InvalidValue("coverage needs at least bare paper and full ink", name="coverage")
        return cls(white=pairs[0][1], black=pairs[-1][1], measurements=pairs)

    def coverage(self, tone: Any) -> Any:
        """The share of the paper to be covered for a tone.

        Parameters
        ----------
        tone : float or array-like of any shape
            Relative luminance: 1 as light as the paper, 0 as dark as full ink.

        Returns
        -------
        float or ndarray
            From 0 to 1.

        Raises
        ------
        InvalidValue
            If ``tone`` is not numeric, not finite, or beyond 0 … 1.

        Examples
        --------
        >>> round(InkModel(n=2).coverage(0.25), 9)
        0.5
        """
        light = self.black + _shares("tone", tone) * (self.white - self.black)
        if self.measurements:
            asked, seen = np.array(self.measurements).T
            share = np.interp(-light, -seen, asked)
        else:
            power = 1.0 / self.n
            top = self.white**power
            share = (top - light**power) / (top - self.black**power)
        return _like(tone, np.clip(share, 0.0, 1.0))

    def tone(self, coverage: Any) -> Any:
        """The tone of paper of which a share is covered: the inverse of `coverage`.

        Parameters
        ----------
        coverage : float or array-like of any shape
            Covered shares, 0 … 1.

        Returns
        -------
        float or ndarray
            Relative luminance: 1 as light as the paper, 0 as dark as full ink.

        Raises
        ------
        InvalidValue
            If ``coverage`` is not numeric, not finite, or beyond 0 … 1.

        Examples
        --------
        >>> round(InkModel(n=2).tone(0.5), 9)
        0.25
        """
        share = _shares("coverage", coverage)
        if self.measurements:
            asked, seen = np.array(self.measurements).T
            light = np.interp(share, asked, seen)
        else:
            power = 1.0 / self.n
            light = (share * self.black**power + (1.0 - share) * self.white**power) ** self.n
        relative = (light - self.black) / (self.white - self.black)
        return _like(coverage, np.clip(relative, 0.0, 1.0))

    def line_spacing(self, tone: float, width: float, *, directions: int = 1) -> float:
        """The distance between the lines of a hatch that has a tone.

        Parameters
        ----------
        tone : float
            Relative luminance, 0 … 1.
        width : float
            Of the line in mm, > 0.
        directions : int, default 1
            How many hatches lie across each other, each with this spacing, 1 … 20. Where they
            cross they cover once: k of them cover 1 - (1 - width / spacing)^k.

        Returns
        -------
        float
            Distance in mm from line to line; infinite for a white tone.

        Raises
        ------
        InvalidValue
            If an argument is invalid.

        Examples
        --------
        >>> round(InkModel().line_spacing(0.75, 0.5), 9)
        2.0
        >>> round(InkModel().line_spacing(1 - 0.4375, 0.5, directions=2), 9)
        2.0
        """
        share = self._share(tone)
        line = _line("width", width)
        crossed = checks.whole("directions", directions, low=1, high=20)
        each = 1.0 - (1.0 - share) ** (1.0 / crossed)
        return line / each if each > 0 else math.inf

    def dot_density(self, tone: float, radius: float) -> float:
        """How many dots on a mm² have a tone, if they lie at random and overlap as it happens.

        Parameters
        ----------
        tone : float
            Relative luminance, 0 … 1.
        radius : float
            Of a dot in mm, > 0: half the width of the pen.

        Returns
        -------
        float
            Dots on a mm²: -ln(1 - coverage) / (π radius²); infinite for black.

        Raises
        ------
        InvalidValue
            If an argument is invalid.

        Examples
        --------
        >>> round(InkModel().dot_density(1 - 0.632120559, 1 / math.pi**0.5), 6)
        1.0
        """
        share = self._share(tone)
        size = math.pi * _line("radius", radius) ** 2
        return -math.log1p(-share) / size if share < 1 else math.inf

    def tour_density(self, tone: float, width: float) -> float:
        """How many random points on a mm² give a shortest tour through them a tone; it grows with
        the square of the coverage.

        Parameters
        ----------
        tone : float
            Relative luminance, 0 … 1.
        width : float
            Of the line in mm, > 0.

        Returns
        -------
        float
            Points on a mm²: the length of a shortest tour is 0.7124 times the root of the number
            and the area (Beardwood, Halton and Hammersley, 1959). Overlap is not counted.

        Raises
        ------
        InvalidValue
            If an argument is invalid.

        Examples
        --------
        >>> round(InkModel().tour_density(0.7, 0.5), 5)
        0.70934
        """
        share = self._share(tone)
        return (share / (TOUR * _line("width", width))) ** 2

    def _share(self, tone: float) -> float:
        return float(self.coverage(checks.between("tone", tone, 0.0, 1.0)))


def as_ink(name: str, value: object) -> InkModel:
    """``value`` if it is an InkModel (None: the plain model), or InvalidValue."""
    if value is None:
        return InkModel()
    if not isinstance(value, InkModel):
        raise InvalidValue(
            f"{name} must be an InkModel, such as images.InkModel(n=1.7), got {value!r:.200}",
            name=name,
            value=value,
        )
    return value


def _curve(curve: Any) -> tuple[tuple[float, float], ...]:
    """Pairs of coverage and reflectance that rise and fall, or InvalidValue."""
    if isinstance(curve, tuple) and not curve:
        return ()
    pairs = checks.numbers("measurements", curve, ndim=2, columns=2)
    is_pairs = pairs.shape[1:] == (2,) and len(pairs) >= 2
    if is_pairs and not (pairs[0, 0] == 0 and pairs[-1, 0] == 1):
        raise InvalidValue(
            "measurements (coverage) must begin with bare paper, 0, and end with full ink, 1, got "
            f"{pairs[0, 0]:g} and {pairs[-1, 0]:g}",
            name="coverage",
        )
    rises = is_pairs and bool((np.diff(pairs[:, 0]) > 0).all())
    falls = is_pairs and bool((np.diff(pairs[:, 1]) < 0).all())
    if not rises or not falls or pairs[:, 1].min() < 0 or pairs[:, 1].max() > 1:
        raise InvalidValue(
            "measurements must be pairs of coverage, rising, and reflectance, falling within "
            f"0 … 1; a ramp that does not fall was measured wrongly: {curve!r:.200}",
            name="reflectance",
            value=curve,
        )
    return tuple((float(a), float(r)) for a, r in pairs)


def _shares(name: str, value: Any) -> FloatArray:
    array = checks.numbers(name, value)
    if array.size and not (array.min() >= 0 and array.max() <= 1):
        raise InvalidValue(
            f"{name} must be from 0 to 1, got {array.min():g} to {array.max():g}",
            name=name,
            value=value,
        )
    return array


def _line(name: str, value: object) -> float:
    """A width or radius that pens may have."""
    return checks.between(name, checks.positive(name, value, unit="mm"), 1e-6, 1e6, unit="mm")


def _like(given: Any, result: FloatArray) -> Any:
    """A float for a number, an array for an array."""
    return float(result) if np.ndim(given) == 0 else np.asarray(result)
