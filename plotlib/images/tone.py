"""The tone of a picture: how light the paper is to look, at every point of a rectangle in mm."""

from __future__ import annotations

from typing import Any

import numpy as np
from shapely import Polygon, box

from plotlib import checks
from plotlib.checks import FloatArray
from plotlib.errors import InvalidValue
from plotlib.fields.scalar import ScalarField

Extent = tuple[float, float, float, float]

_MOST = 100_000_000  # pixels: 800 MB of float64
_SMALLEST = 1e-3  # mm of a rectangle's side: a machine's last decimal


class Tone(ScalarField):
    """A picture's tone over a rectangle: relative luminance in linear light, 1 where the paper is
    to stay white and 0 where it is to be full of ink.

    It is a scalar field, so whatever takes a field takes it; between the middles of pixels it is
    bilinear, and beyond the rectangle it keeps the number of the edge.

    Parameters
    ----------
    values : array-like, shape (rows, columns)
        Numbers from 0 to 1, one for each pixel. Row 0 is the lowest; pictures, whose row 0 is the
        top, want ``values[::-1]``, or :func:`plotlib.images.read`.
    extent : (float, float, float, float)
        Left, bottom, right and top of the rectangle in mm: the outer edges of the pixels.

    Raises
    ------
    InvalidValue
        If the values are not two-dimensional, not finite, beyond 0 … 1, none, or more than 100
        million, or the extent is no rectangle.

    Examples
    --------
    >>> dusk = Tone([[0.2, 0.2], [0.8, 0.8]], (0, 0, 10, 10))
    >>> round(dusk(5, 5), 9), round(dusk(5, 99), 9)
    (0.5, 0.8)
    """

    __slots__ = ("extent", "values")

    def __init__(self, values: Any, extent: Extent) -> None:
        self.values: FloatArray = _numbers(values)
        self.extent: Extent = _rectangle(extent)
        super().__init__(self._bilinear, self._with_slopes)

    @property
    def area(self) -> Polygon:
        """The rectangle, as an area in mm."""
        return box(*self.extent)

    @property
    def pixel(self) -> tuple[float, float]:
        """Width and height of a pixel in mm."""
        left, bottom, right, top = self.extent
        rows, columns = self.values.shape
        return (right - left) / columns, (top - bottom) / rows

    def inverted(self) -> Tone:
        """The negative: light for dark, in linear light.

        Returns
        -------
        Tone
            One minus each number.

        Examples
        --------
        >>> round(Tone([[0.2]], (0, 0, 10, 10)).inverted()(5, 5), 9)
        0.8
        """
        return self._with(1.0 - self.values)

    def gamma_corrected(self, gamma: float) -> Tone:
        """Middle tones made lighter or darker; black and white stay.

        Parameters
        ----------
        gamma : float
            Numbers are raised to the power 1 / gamma: above 1 they get lighter, below 1 darker.
            0.05 … 20.

        Returns
        -------
        Tone
            The corrected tone.

        Raises
        ------
        InvalidValue
            If ``gamma`` is not a number from 0.05 to 20.

        Examples
        --------
        >>> round(Tone([[0.25]], (0, 0, 10, 10)).gamma_corrected(2)(5, 5), 9)
        0.5
        """
        power = 1.0 / checks.between("gamma", gamma, 0.05, 20.0)
        return self._with(self.values**power)

    def stretched(self, low: float = 0.5, high: float = 99.5) -> Tone:
        """Contrast stretched: the darkest pixels become black and the lightest white.

        Parameters
        ----------
        low, high : float, default 0.5 and 99.5
            Percentiles of the pixels that become 0 and 1; what lies beyond them is cut off.

        Returns
        -------
        Tone
            The stretched tone; a picture of one grey stays as it is.

        Raises
        ------
        InvalidValue
            If the percentiles are not 0 <= low < high <= 100.

        Examples
        --------
        >>> flat = Tone([[0.4, 0.5, 0.6]], (0, 0, 30, 10))
        >>> [round(number, 9) for number in flat.stretched(0, 100).values[0].tolist()]
        [0.0, 0.5, 1.0]
        """
        least = checks.between("low", low, 0.0, 100.0)
        most = checks.between("high", high, 0.0, 100.0)
        if not least < most:
            raise InvalidValue(
                f"low must be below high, got {least:g} and {most:g}", name="low", value=low
            )
        dark, light = np.percentile(self.values, [least, most])
        if not light > dark:
            return self
        return self._with(np.clip((self.values - dark) / (light - dark), 0.0, 1.0))

    def blurred(self, radius: float) -> Tone:
        """A Gaussian blur; at the edge the picture goes on as in a mirror.

        Parameters
        ----------
        radius : float
            Standard deviation of the Gaussian in mm, >= 0.

        Returns
        -------
        Tone
            The blurred tone.

        Raises
        ------
        InvalidValue
            If ``radius`` is negative or not finite.

        Examples
        --------
        >>> step = Tone([[0, 0, 0, 1, 1, 1]], (0, 0, 6, 1)).blurred(1)
        >>> bool(0.5 < step(3.5, 0.5) < 0.8)
        True
        """
        return self._with(blurred(self.values, self.pixel, _radius(radius)))

    def sharpened(self, radius: float, *, amount: float = 1.0) -> Tone:
        """Local contrast (unsharp masking): what differs from its surroundings differs more.

        Parameters
        ----------
        radius : float
            How far the surroundings reach: standard deviation of a Gaussian in mm, >= 0. Several
            mm raise the contrast of parts of the picture, a few tenths sharpen edges.
        amount : float, default 1
            How much of the difference is added, 0 … 10.

        Returns
        -------
        Tone
            Worked on in lightness (the cube root of luminance), so that light and dark parts gain
            alike; cut off at black and white.

        Raises
        ------
        InvalidValue
            If an argument is invalid.

        Examples
        --------
        >>> step = Tone([[0.4] * 5 + [0.6] * 5], (0, 0, 10, 1))
        >>> sharp = step.sharpened(1)
        >>> bool(sharp(4.5, 0.5) < 0.4), bool(sharp(5.5, 0.5) > 0.6)
        (True, True)
        """
        factor = checks.between("amount", amount, 0.0, 10.0)
        lightness = np.cbrt(self.values)
        around = blurred(lightness, self.pixel, _radius(radius))
        return self._with(np.clip(lightness + factor * (lightness - around), 0.0, 1.0) ** 3)

    def _with(self, values: FloatArray) -> Tone:
        return Tone(np.clip(values, 0.0, 1.0), self.extent)

    def _place(self, x: FloatArray, y: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Where points lie, in pixels from the middle of the lowest and leftmost one."""
        left, bottom = self.extent[:2]
        width, height = self.pixel
        return (x - left) / width - 0.5, (y - bottom) / height - 0.5

    def _bilinear(self, x: FloatArray, y: FloatArray) -> FloatArray:
        return self._with_slopes(x, y)[0]

    def _with_slopes(
        self, x: FloatArray, y: FloatArray
    ) -> tuple[FloatArray, FloatArray, FloatArray]:
        across, up = self._place(x, y)
        column, right, along, is_across = _between(across, self.values.shape[1])
        row, above, rise, is_up = _between(up, self.values.shape[0])
        v = self.values
        low = v[row, column] + along * (v[row, right] - v[row, column])
        high = v[above, column] + along * (v[above, right] - v[above, column])
        left_rise = v[above, column] - v[row, column]
        right_rise = v[above, right] - v[row, right]
        low_run = v[row, right] - v[row, column]
        high_run = v[above, right] - v[above, column]
        width, height = self.pixel
        slope_x = is_across * (low_run + rise * (high_run - low_run)) / width
        slope_y = is_up * (left_rise + along * (right_rise - left_rise)) / height
        return low + rise * (high - low), slope_x, slope_y


def blurred(values: FloatArray, pixel: tuple[float, float], radius: float) -> FloatArray:
    """``values`` blurred by a Gaussian of so many mm, mirrored at the edges."""
    from scipy.ndimage import gaussian_filter

    if not radius:
        return values
    rows, columns = values.shape
    # beyond a few pictures' sizes nothing changes any more
    sigma = (min(radius / pixel[1], 4.0 * rows), min(radius / pixel[0], 4.0 * columns))
    return np.asarray(gaussian_filter(values, sigma, mode="reflect"), np.float64)


def as_tone(name: str, value: object) -> Tone:
    """``value`` if it is a Tone, or InvalidValue."""
    if not isinstance(value, Tone):
        raise InvalidValue(
            f"{name} must be a Tone, got {type(value).__name__}; make one with images.read(…), or "
            "with images.Tone(values, extent)",
            name=name,
            value=value,
        )
    return value


def _radius(radius: float) -> float:
    return checks.not_negative("radius", radius, unit="mm")


def _between(place: FloatArray, count: int) -> tuple[Any, Any, Any, Any]:
    """The pixel below each place and the one above, how far between them it lies, and whether it
    lies between two at all.
    """
    held = np.clip(place, 0.0, count - 1.0)
    # a place that is not a number has no tone: it stays what it is
    below = np.minimum(np.nan_to_num(held).astype(np.int64), max(count - 2, 0))
    above = np.minimum(below + 1, count - 1)
    return below, above, held - below, (place > 0) & (place < count - 1)


def _numbers(values: Any) -> FloatArray:
    is_flag = isinstance(values, np.ndarray) and values.dtype == np.bool_
    array = np.array(checks.numbers("values", values + 0 if is_flag else values, ndim=2))
    if not 1 <= array.size <= _MOST:
        raise InvalidValue(
            f"values must be at least one pixel and at most {_MOST:,}, got shape {array.shape}",
            name="values",
        )
    least = float(array.min())
    most = float(array.max())
    if least < 0 or most > 1:
        raise InvalidValue(
            f"values must be from 0 (black) to 1 (white), got {least:g} to {most:g}; scale them, "
            "or cut them off with numpy.clip",
            name="values",
            least=least,
            most=most,
        )
    array.flags.writeable = False
    return array


def _rectangle(extent: Any) -> Extent:
    numbers = checks.numbers("extent", extent)
    if numbers.shape == (4,):
        left, bottom = checks.point("extent", numbers[:2])
        right, top = checks.point("extent", numbers[2:])
        if right - left >= _SMALLEST and top - bottom >= _SMALLEST:
            return left, bottom, right, top
    raise InvalidValue(
        "extent must be (left, bottom, right, top) in mm with left < right and bottom < top, such "
        f"as the bounds of an area; got {extent!r:.200}",
        name="extent",
        value=extent,
    )
