"""The edge tangent flow of a picture: directions along its edges, evened out."""

from __future__ import annotations

import numpy as np

from plotlib.checks import FloatArray
from plotlib.images.tone import blurred

_REACH = 6  # nodes of the kernel to each side
_TIMES = 4


def tangent_flow(values: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Unit tangents (rows, columns) along the edges of a picture, by an edge tangent flow.

    H. Kang, S. Lee, C. K. Chui, *Coherent Line Drawing*, NPAR 2007: each tangent becomes the mean
    of those about it, more of strong edges and of like directions, turned to its own side. Where a
    picture has no edges at all, tangents lie along x.
    """
    up, across = np.gradient(blurred(values, (1.0, 1.0), 3.0))
    size = np.hypot(across, up)
    top = max(float(size.max()), 1e-12)
    strength = size / top
    u = np.where(size > 1e-9 * top, -up, 1e-9)
    v = np.where(size > 1e-9 * top, across, 0.0)
    u, v = _unit(u, v)
    for _ in range(_TIMES):
        u, v = _evened(u, v, strength)
    return u, v


def _evened(u: FloatArray, v: FloatArray, strength: FloatArray) -> tuple[FloatArray, FloatArray]:
    """One round over all neighbours within the reach."""
    wide_u, wide_v, wide = (np.pad(part, _REACH, mode="edge") for part in (u, v, strength))
    rows, columns = u.shape
    sum_u = np.zeros_like(u)
    sum_v = np.zeros_like(v)
    for i in range(-_REACH, _REACH + 1):
        for j in range(-_REACH, _REACH + 1):
            if i * i + j * j > _REACH * _REACH:
                continue
            part = np.s_[_REACH + i : _REACH + i + rows, _REACH + j : _REACH + j + columns]
            dot = u * wide_u[part] + v * wide_v[part]
            # the sign of the dot turns the neighbour to this side, its size weighs likeness
            weight = dot * (1.0 + np.tanh(wide[part] - strength)) / 2.0
            sum_u += weight * wide_u[part]
            sum_v += weight * wide_v[part]
    return _unit(sum_u, sum_v)


def _unit(u: FloatArray, v: FloatArray) -> tuple[FloatArray, FloatArray]:
    size = np.maximum(np.hypot(u, v), 1e-300)
    return u / size, v / size
