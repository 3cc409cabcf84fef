"""Pictures read from files, from Pillow and from arrays, as linear light with row 0 on top."""

from __future__ import annotations

import math
import os
import warnings
from typing import Any, TypeAlias

import numpy as np

from plotlib import checks
from plotlib.arrays.areas import as_area
from plotlib.checks import FloatArray
from plotlib.drawing import RegionLike
from plotlib.errors import InvalidValue, NotRead
from plotlib.files import why_not_read
from plotlib.images.tone import Extent, Tone

PictureLike: TypeAlias = Any

FITS = ("inside", "cover", "stretch")
LUMINANCE = (0.2126, 0.7152, 0.0722)  # of linear sRGB (IEC 61966-2-1, ITU-R BT.709)
_USE = "reading a picture"


def read(
    picture: PictureLike,
    region: RegionLike,
    *,
    fit: str = "inside",
    crop: tuple[float, float, float, float] | None = None,
    linear: bool | None = None,
) -> Tone:
    """A picture as a tone over a rectangle in mm.

    Parameters
    ----------
    picture : path, Pillow image or array-like
        A file that Pillow reads; an image of Pillow's; or numbers of shape (rows, columns), (rows,
        columns, 3) or (rows, columns, 4), row 0 on top: whole numbers up to 255 or 65535, or
        floats from 0 to 1. A picture is turned as its EXIF orientation says, and what is
        transparent shows white.
    region : Drawing, Sheet, shapely Polygon or MultiPolygon
        Where it goes; of an area, its bounding box.
    fit : {"inside", "cover", "stretch"}
        Keep the picture's proportions and put all of it in the middle of the box; cover the box
        and lose what sticks out; or stretch it to the box.
    crop : (float, float, float, float), optional
        The part of the picture to take: left, bottom, right and top as shares of its width and
        height, so that (0, 0, 1, 0.5) is the lower half.
    linear : bool, optional
        Whether an array's numbers are linear light rather than encoded as sRGB. When not given:
        floats are, whole numbers are not.

    Returns
    -------
    Tone
        Relative luminance in linear light.

    Raises
    ------
    InvalidValue, UnknownName
        If an argument is invalid, the picture has several frames, is larger than Pillow lets
        pass, or cannot be understood.
    NotRead
        If the file is missing or holds no picture.
    MissingPackage
        If the picture is a file and pillow is not installed.

    References
    ----------
    IEC 61966-2-1 (sRGB); Exif 2.3 (JEITA CP-3451), tag 274.

    Examples
    --------
    >>> import numpy as np
    >>> from shapely import box
    >>> tone = read(np.array([[0, 255], [128, 255]], np.uint8), box(0, 0, 40, 20))
    >>> tone.extent, round(tone(15, 5), 6)
    ((10.0, 0.0, 30.0, 20.0), 0.215861)
    """
    light, extent = placed(picture, region, fit=fit, crop=crop, linear=linear)
    return Tone(luminance(light)[::-1], extent)


def luminance(light: FloatArray) -> FloatArray:
    """Relative luminance of linear light (rows, columns, 3), 0 … 1."""
    return np.asarray(np.clip(light @ np.array(LUMINANCE), 0.0, 1.0))


def placed(
    picture: PictureLike,
    region: RegionLike,
    *,
    fit: str,
    crop: tuple[float, float, float, float] | None,
    linear: bool | None,
) -> tuple[FloatArray, Extent]:
    """Linear light (rows, columns, 3), row 0 on top, and the rectangle that it goes to."""
    area = as_area(region)
    kind = checks.one_of("fit", fit, FITS)
    part = None if crop is None else _shares(crop)
    is_linear = None if linear is None else checks.flag("linear", linear)
    if area.is_empty:
        raise InvalidValue("region is empty; a picture needs a rectangle", name="region")
    light = _light(picture, is_linear)
    if part is not None:
        light = _cropped(light, part)
    left, bottom, right, top = area.bounds
    return _fitted(light, (left, bottom, right, top), kind)


def _shares(crop: Any) -> Extent:
    numbers = checks.numbers("crop", crop)
    if numbers.shape == (4,):
        left, bottom, right, top = (float(number) for number in numbers)
        if 0 <= left < right <= 1 and 0 <= bottom < top <= 1:
            return left, bottom, right, top
    raise InvalidValue(
        "crop must be (left, bottom, right, top) as shares of the picture, 0 … 1, with left < "
        f"right and bottom < top; got {crop!r:.200}",
        name="crop",
        value=crop,
    )


def _cropped(light: FloatArray, part: Extent) -> FloatArray:
    """The pixels of a part; at least one each way."""
    rows, columns = light.shape[:2]
    left, bottom, right, top = part
    begin = min(_whole(left * columns), columns - 1)
    end = max(_whole(right * columns), begin + 1)
    upper = min(_whole((1 - top) * rows), rows - 1)
    lower = max(_whole((1 - bottom) * rows), upper + 1)
    return light[upper:lower, begin:end]


def _whole(place: float) -> int:
    """The nearest edge between pixels; halves go up at both ends, so that the number stays."""
    return math.floor(place + 0.5)


def _fitted(light: FloatArray, box: Extent, kind: str) -> tuple[FloatArray, Extent]:
    left, bottom, right, top = box
    width = right - left
    height = top - bottom
    rows, columns = light.shape[:2]
    if kind == "inside":
        scale = min(width / columns, height / rows)
        x = left + (width - scale * columns) / 2
        y = bottom + (height - scale * rows) / 2
        return light, (x, y, x + scale * columns, y + scale * rows)
    if kind == "cover":
        scale = max(width / columns, height / rows)
        share_x = width / (scale * columns)
        share_y = height / (scale * rows)
        middle = ((1 - share_x) / 2, (1 - share_y) / 2, (1 + share_x) / 2, (1 + share_y) / 2)
        light = _cropped(light, middle)
    return light, box


def _light(picture: PictureLike, is_linear: bool | None) -> FloatArray:
    if isinstance(picture, (str, os.PathLike)):
        return _of_file(picture)
    if type(picture).__module__.split(".")[0] == "PIL":
        return _of_image(picture, "the picture")
    return _of_array(picture, is_linear)


def _of_file(path: str | os.PathLike[str]) -> FloatArray:
    image = checks.package("PIL.Image", install="pillow", use=_USE)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error", image.DecompressionBombWarning)
            with image.open(path) as opened:
                return _of_image(opened, f"{os.fspath(path)}")
    except (image.DecompressionBombWarning, image.DecompressionBombError) as error:
        raise InvalidValue(
            f"picture {os.fspath(path)!r} is too large to be read safely: {error}; make it "
            "smaller first",
            name="picture",
            value=path,
        ) from error
    except (OSError, SyntaxError, ValueError, TypeError) as error:
        if isinstance(error, InvalidValue):
            raise
        raise NotRead(
            f"cannot read picture {os.fspath(path)!r}: {_why(error, path)}",
            path=os.fspath(path),
            name="picture",
        ) from error


def _why(error: Exception, path: str | os.PathLike[str]) -> str:
    """What keeps a picture from being read, and what helps."""
    if type(error).__name__ == "UnidentifiedImageError":
        empty = not os.path.getsize(path)
        return "it is empty" if empty else "it is no picture of a kind that Pillow knows"
    if isinstance(error, OSError) and error.errno is not None:
        return why_not_read(error)
    return f"{type(error).__name__}: {error}"


def _of_image(image: Any, called: str) -> FloatArray:
    """Light of an image of Pillow's, turned as its orientation says, over white."""
    operations = checks.package("PIL.ImageOps", install="pillow", use=_USE)
    frames = getattr(image, "n_frames", 1)
    if frames > 1:
        raise InvalidValue(
            f"picture {called} has {frames} frames; save the one that you want as a picture of "
            "its own",
            name="picture",
            frames=frames,
        )
    image = operations.exif_transpose(image)
    if image.mode.startswith("I") or image.mode == "F":
        return _of_deep(np.asarray(image), image.mode)
    has_alpha = image.mode in ("LA", "La", "PA", "RGBA", "RGBa") or "transparency" in image.info
    return _of_array(np.asarray(image.convert("RGBA" if has_alpha else "RGB")), None)


def _of_deep(array: Any, mode: str) -> FloatArray:
    """Light of a grey picture of 16 bits or of floats."""
    if mode == "F":
        return _of_array(array, True)
    most = int(array.max(initial=0))
    if int(array.min(initial=0)) < 0 or most > 65535:
        raise InvalidValue(
            f"picture holds numbers up to {most}; at most 16 bits can be read", name="picture"
        )
    return _of_array(array.astype(np.uint16), None)


def _of_array(picture: Any, is_linear: bool | None) -> FloatArray:
    array = _checked(picture)
    whole = array.dtype.kind in "iub"
    values = _scaled(array)
    alpha = values[..., 3:] if values.shape[2] == 4 else None
    light = values[..., :3] if values.shape[2] > 1 else np.repeat(values, 3, axis=2)
    if not (is_linear if is_linear is not None else not whole):
        light = decoded(light)
    if alpha is not None:
        light = 1.0 + alpha * (light - 1.0)
    return light


def decoded(encoded: FloatArray) -> FloatArray:
    """Linear light of sRGB numbers from 0 to 1 (IEC 61966-2-1)."""
    high = ((np.maximum(encoded, 0.04045) + 0.055) / 1.055) ** 2.4
    return np.where(encoded <= 0.04045, encoded / 12.92, high)


def encoded(light: FloatArray) -> FloatArray:
    """The sRGB numbers from 0 to 1 of linear light (IEC 61966-2-1)."""
    high = 1.055 * np.maximum(light, 0.0031308) ** (1 / 2.4) - 0.055
    return np.where(light <= 0.0031308, 12.92 * light, high)


def _checked(picture: Any) -> Any:
    """An array of one, three or four layers."""
    try:
        array = np.asarray(picture)
    except (TypeError, ValueError, OverflowError) as error:
        raise _no_picture(picture) from error
    if array.dtype.kind not in "iufb" or array.ndim not in (2, 3) or not array.size:
        raise _no_picture(picture)
    if array.ndim == 2:
        array = array[:, :, None]
    if array.shape[2] not in (1, 3, 4):
        raise _no_picture(picture)
    return array


def _scaled(array: Any) -> FloatArray:
    """Numbers from 0 to 1, or InvalidValue."""
    full = 1.0
    if array.dtype.kind in "iu":
        is_small = int(array.max()) <= 255
        is_byte = array.dtype == np.uint8 or (is_small and array.dtype != np.uint16)
        full = 255.0 if is_byte else 65535.0
    values: FloatArray = array.astype(np.float64) / full
    bad = ~((values >= 0) & (values <= 1))
    if bad.any():
        row, column, _ = np.unravel_index(int(np.argmax(bad)), values.shape)
        raise InvalidValue(
            f"picture holds {array[bad][0]!r} in row {row}, column {column}; floats must be from "
            "0 to 1, whole numbers from 0 to 255 or 65535",
            name="picture",
            row=int(row),
            column=int(column),
        )
    return values


def _no_picture(picture: Any) -> InvalidValue:
    return InvalidValue(
        "picture must be a path, an image of Pillow's, or numbers of shape (rows, columns) or "
        f"(rows, columns, 3 or 4); got {picture!r:.200}",
        name="picture",
    )
