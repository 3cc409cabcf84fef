"""Colours: that of the paper in pictures, the named ones of CSS Color Module Level 4, section 6.1,
as #rrggbb, and how different two of them look.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

FloatArray = NDArray[np.float64]

# Linear sRGB to CIE XYZ by the chromaticities of IEC 61966-2-1; its rows add up to the white point.
_XYZ = np.array(
    [
        [0.4124564, 0.3575761, 0.1804375],
        [0.2126729, 0.7151522, 0.0721750],
        [0.0193339, 0.1191920, 0.9503041],
    ]
)

# The paper of every picture: a warm white.
PAPER = "#fcfaf5"
BED = "#d9cfba"  # where no paper lies

_TABLE = """
aliceblue f0f8ff, antiquewhite faebd7, aqua 00ffff, aquamarine 7fffd4,
azure f0ffff, beige f5f5dc, bisque ffe4c4, black 000000,
blanchedalmond ffebcd, blue 0000ff, blueviolet 8a2be2, brown a52a2a,
burlywood deb887, cadetblue 5f9ea0, chartreuse 7fff00, chocolate d2691e,
coral ff7f50, cornflowerblue 6495ed, cornsilk fff8dc, crimson dc143c,
cyan 00ffff, darkblue 00008b, darkcyan 008b8b, darkgoldenrod b8860b,
darkgray a9a9a9, darkgreen 006400, darkgrey a9a9a9, darkkhaki bdb76b,
darkmagenta 8b008b, darkolivegreen 556b2f, darkorange ff8c00, darkorchid 9932cc,
darkred 8b0000, darksalmon e9967a, darkseagreen 8fbc8f, darkslateblue 483d8b,
darkslategray 2f4f4f, darkslategrey 2f4f4f, darkturquoise 00ced1, darkviolet 9400d3,
deeppink ff1493, deepskyblue 00bfff, dimgray 696969, dimgrey 696969,
dodgerblue 1e90ff, firebrick b22222, floralwhite fffaf0, forestgreen 228b22,
fuchsia ff00ff, gainsboro dcdcdc, ghostwhite f8f8ff, gold ffd700,
goldenrod daa520, gray 808080, green 008000, greenyellow adff2f,
grey 808080, honeydew f0fff0, hotpink ff69b4, indianred cd5c5c,
indigo 4b0082, ivory fffff0, khaki f0e68c, lavender e6e6fa,
lavenderblush fff0f5, lawngreen 7cfc00, lemonchiffon fffacd, lightblue add8e6,
lightcoral f08080, lightcyan e0ffff, lightgoldenrodyellow fafad2, lightgray d3d3d3,
lightgreen 90ee90, lightgrey d3d3d3, lightpink ffb6c1, lightsalmon ffa07a,
lightseagreen 20b2aa, lightskyblue 87cefa, lightslategray 778899, lightslategrey 778899,
lightsteelblue b0c4de, lightyellow ffffe0, lime 00ff00, limegreen 32cd32,
linen faf0e6, magenta ff00ff, maroon 800000, mediumaquamarine 66cdaa,
mediumblue 0000cd, mediumorchid ba55d3, mediumpurple 9370db, mediumseagreen 3cb371,
mediumslateblue 7b68ee, mediumspringgreen 00fa9a, mediumturquoise 48d1cc, mediumvioletred c71585,
midnightblue 191970, mintcream f5fffa, mistyrose ffe4e1, moccasin ffe4b5,
navajowhite ffdead, navy 000080, oldlace fdf5e6, olive 808000,
olivedrab 6b8e23, orange ffa500, orangered ff4500, orchid da70d6,
palegoldenrod eee8aa, palegreen 98fb98, paleturquoise afeeee, palevioletred db7093,
papayawhip ffefd5, peachpuff ffdab9, peru cd853f, pink ffc0cb,
plum dda0dd, powderblue b0e0e6, purple 800080, rebeccapurple 663399,
red ff0000, rosybrown bc8f8f, royalblue 4169e1, saddlebrown 8b4513,
salmon fa8072, sandybrown f4a460, seagreen 2e8b57, seashell fff5ee,
sienna a0522d, silver c0c0c0, skyblue 87ceeb, slateblue 6a5acd,
slategray 708090, slategrey 708090, snow fffafa, springgreen 00ff7f,
steelblue 4682b4, tan d2b48c, teal 008080, thistle d8bfd8,
tomato ff6347, turquoise 40e0d0, violet ee82ee, wheat f5deb3,
white ffffff, whitesmoke f5f5f5, yellow ffff00, yellowgreen 9acd32
"""


def _table() -> dict[str, str]:
    pairs = [entry.split() for entry in _TABLE.split(",")]
    return {name: f"#{digits}" for name, digits in pairs}


NAMED = _table()


def lab_of(colour: str) -> FloatArray:
    """The CIELAB coordinates (3,) of a colour of sRGB written ``#rrggbb``.

    sRGB after IEC 61966-2-1, CIELAB for its white point D65 and the 2 degree observer.

    Examples
    --------
    >>> lab_of("#ffffff").round(2).tolist()
    [100.0, 0.0, 0.0]
    """
    coded = np.array([int(colour[k : k + 2], 16) for k in (1, 3, 5)]) / 255
    return lab_of_light(np.where(coded <= 0.04045, coded / 12.92, ((coded + 0.055) / 1.055) ** 2.4))


def lab_of_light(linear: FloatArray) -> FloatArray:
    """The CIELAB coordinates (..., 3) of linear light of sRGB's primaries (..., 3), 0 … 1.

    Examples
    --------
    >>> lab_of_light(np.array([0.18, 0.18, 0.18])).round(6).tolist()
    [49.496108, 0.0, 0.0]
    """
    share = linear @ _XYZ.T / _XYZ.sum(axis=1)
    bent = np.where(share > (6 / 29) ** 3, np.cbrt(share), share * (29 / 6) ** 2 / 3 + 4 / 29)
    x, y, z = np.moveaxis(bent, -1, 0)
    # A grey has no colour; rounding leaves some 1e-14 of it.
    lab: FloatArray = np.stack([116 * y - 16, 500 * (x - y), 200 * (y - z)], axis=-1).round(12)
    return lab + 0.0


def colour_difference(one: ArrayLike, other: ArrayLike) -> FloatArray:
    """How different colours look: CIEDE2000 with all weights 1.

    Parameters
    ----------
    one, other : array-like (..., 3)
        CIELAB coordinates L*, a*, b*; they are broadcast against each other.

    Returns
    -------
    float array (...)
        Symmetric; about 1 for what an eye can just tell apart.

    Notes
    -----
    G. Sharma, W. Wu, E. N. Dalal, The CIEDE2000 color-difference formula: implementation notes,
    supplementary test data, and mathematical observations, Color Research and Application 30
    (2005) 21-30; the names below are theirs.

    Examples
    --------
    >>> float(colour_difference([50, 2.5, 0], [73, 25, -18]).round(4))
    27.1492
    """
    light_1, chroma_1, hue_1, light_2, chroma_2, hue_2 = _primed(one, other)
    dL = light_2 - light_1
    dC = chroma_2 - chroma_1
    grey = chroma_1 * chroma_2 == 0
    turn = (hue_2 - hue_1 + 180) % 360 - 180
    # Opposite hues: the sign of dh does not matter but for the cross term, where +180 counts.
    turn = np.where(hue_2 - hue_1 == 180, 180.0, turn)
    dh = np.where(grey, 0.0, turn)
    dH = 2 * np.sqrt(chroma_1 * chroma_2) * np.sin(np.radians(dh / 2))
    light = (light_1 + light_2) / 2
    chroma = (chroma_1 + chroma_2) / 2
    hue = np.where(grey, hue_1 + hue_2, _mean_hue(hue_1, hue_2))
    S_L = 1 + 0.015 * (light - 50) ** 2 / np.sqrt(20 + (light - 50) ** 2)
    S_C = 1 + 0.045 * chroma
    S_H = 1 + 0.015 * chroma * _hue_weight(hue)
    R_C = 2 * np.sqrt(chroma**7 / (chroma**7 + 25.0**7))
    R_T = -R_C * np.sin(np.radians(60 * np.exp(-(((hue - 275) / 25) ** 2))))
    across = dC / S_C
    around = dH / S_H
    return np.asarray(np.sqrt((dL / S_L) ** 2 + across**2 + around**2 + R_T * across * around))


def _primed(one: ArrayLike, other: ArrayLike) -> tuple[FloatArray, ...]:
    """Lightness, chroma and hue (degrees) of both, their a* stretched near grey (equations 2-7)."""
    L1, a1, b1 = np.moveaxis(np.asarray(one, np.float64), -1, 0)
    L2, a2, b2 = np.moveaxis(np.asarray(other, np.float64), -1, 0)
    mean = (np.hypot(a1, b1) + np.hypot(a2, b2)) / 2
    G = 0.5 * (1 - np.sqrt(mean**7 / (mean**7 + 25.0**7)))
    first = (1 + G) * a1
    second = (1 + G) * a2
    hue_1 = np.degrees(np.arctan2(b1, first)) % 360
    hue_2 = np.degrees(np.arctan2(b2, second)) % 360
    return L1, np.hypot(first, b1), hue_1, L2, np.hypot(second, b2), hue_2


def _mean_hue(one: FloatArray, other: FloatArray) -> FloatArray:
    """The hue between two, on the shorter way around (equation 14)."""
    half = (one + other) / 2
    far = np.abs(one - other) > 180
    return np.where(far, np.where(one + other < 360, half + 180, half - 180), half)


def _hue_weight(hue: FloatArray) -> FloatArray:
    """T of equation 15."""
    return np.asarray(
        1
        - 0.17 * np.cos(np.radians(hue - 30))
        + 0.24 * np.cos(np.radians(2 * hue))
        + 0.32 * np.cos(np.radians(3 * hue + 6))
        - 0.20 * np.cos(np.radians(4 * hue - 63))
    )
