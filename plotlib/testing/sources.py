"""Strategies for what a design is fed with: seeds, fields and texts."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from plotlib.checks import string, whole
from plotlib.errors import InvalidValue
from plotlib.fields import (
    ScalarField,
    VectorField,
    constant,
    distance_to_point,
    perlin,
    ramp,
    ridge,
    saddle,
    simplex,
    source,
    uniform,
    vortex,
)
from plotlib.testing.library import strategies

if TYPE_CHECKING:
    from hypothesis.strategies import SearchStrategy

_LAST_SEED = 2**32 - 1
_PAGE = 2**16  # seeds
_PRINTABLE = "".join(map(chr, range(32, 127)))


def seeds() -> SearchStrategy[int]:
    """Random seeds for hypothesis, 0 to 4,294,967,295.

    Returns
    -------
    hypothesis SearchStrategy of int
        For ``@given``. A fault that only one seed in thousands shows wants `seed_runs`.

    Raises
    ------
    MissingPackage
        If hypothesis is not installed.

    Examples
    --------
    >>> from hypothesis import given
    >>> @given(seeds())
    ... def test_a_seed_is_taken(seed):
    ...     assert perlin(scale=10, seed=seed)(3.0, 4.0) == perlin(scale=10, seed=seed)(3.0, 4.0)
    >>> test_a_seed_is_taken()
    """
    st = strategies()
    drawn: SearchStrategy[int] = st.integers(0, _LAST_SEED)
    return drawn


def seed_runs(count: int = 1000) -> SearchStrategy[range]:
    """Runs of neighbouring seeds for hypothesis, so that each example tries many.

    One test of 100 examples then tries some 50,000 seeds, and hardly ever misses a fault that one
    seed in 5,000 shows. A failing run shrinks to the one seed that fails.

    Parameters
    ----------
    count : int, default 1000
        Seeds in a run at the most, 1 to 65,536. The time of a test grows with it.

    Returns
    -------
    hypothesis SearchStrategy of range
        For ``@given``; loop over it in the test.

    Raises
    ------
    InvalidValue
        If ``count`` is no whole number from 1 to 65,536.
    MissingPackage
        If hypothesis is not installed.

    Examples
    --------
    >>> from hypothesis import given, settings
    >>> from hypothesis import strategies as st
    >>> import numpy as np, shapely
    >>> from plotlib import Drawing
    >>> from plotlib.testing import assert_inside
    >>> def blot(seed, size):  # a design of yours
    ...     return Drawing([np.random.default_rng(seed).uniform(0, size, (5, 2))])
    >>> @settings(deadline=None)
    ... @given(seed_runs(20), st.floats(1, 90))
    ... def test_every_blot_lies_on_the_card(seeds, size):
    ...     for seed in seeds:
    ...         assert_inside(blot(seed, size), shapely.box(0, 0, 90, 90))
    >>> test_every_blot_lies_on_the_card()
    """
    st = strategies()
    most = whole("count", count, low=1, high=_PAGE)
    two_bytes = st.binary(min_size=2, max_size=2)

    @st.composite  # type: ignore[untyped-decorator]
    def one(draw: Any) -> range:
        # Drawn in this order a run shrinks to its last seed alone, and that to the one that fails.
        # Hypothesis draws small numbers mostly, and runs would lie on each other and be short: so
        # each lies in a page of its own, and this and the length are drawn as bytes. Most runs
        # have the full length.
        page = int.from_bytes(draw(two_bytes), "big") * _PAGE
        length = min(1 + int.from_bytes(draw(two_bytes), "big") * 16 * most // _PAGE, most)
        last = page + draw(st.integers(length - 1, _PAGE - 1))
        return range(last - length + 1, last + 1)

    made: SearchStrategy[range] = one()
    return made


def scalar_fields() -> SearchStrategy[ScalarField]:
    """Random scalar fields for hypothesis: constants, ramps, distances, ridges, two kinds of noise,
    and sums, products and extremes of two.

    Returns
    -------
    hypothesis SearchStrategy of ScalarField
        For ``@given``; of places in mm, finite at every one.

    Raises
    ------
    MissingPackage
        If hypothesis is not installed.

    Examples
    --------
    >>> from hypothesis import given, settings
    >>> @settings(max_examples=20)
    ... @given(scalar_fields())
    ... def test_a_field_has_a_value_everywhere(field):
    ...     assert abs(field(12.0, 34.0)) < 1e9
    >>> test_a_field_has_a_value_everywhere()
    """
    st = strategies()
    at = st.tuples(st.floats(-100, 300), st.floats(-100, 300))
    scale = st.floats(1, 200)
    seed = st.integers(0, 2**32 - 1)
    octaves = st.integers(1, 4)
    simple = st.one_of(
        st.floats(-10, 10).map(constant),
        st.builds(ramp, st.floats(-180, 180), centre=at),
        at.map(distance_to_point),
        st.builds(perlin, scale=scale, seed=seed, octaves=octaves),
        st.builds(simplex, scale=scale, seed=seed, octaves=octaves),
        st.builds(
            lambda start, width: ridge(start, (start[0] + 50, start[1] + 20), width=width),
            at,
            st.floats(1, 50),
        ),
    )
    made: SearchStrategy[ScalarField] = st.one_of(
        simple,
        st.tuples(simple, simple).map(lambda pair: pair[0] + pair[1]),
        st.tuples(simple, simple).map(lambda pair: pair[0] * pair[1]),
        st.tuples(simple, simple).map(lambda pair: pair[0].maximum(pair[1])),
    )
    return made


def vector_fields() -> SearchStrategy[VectorField]:
    """Random vector fields for hypothesis: uniform flow, sources, vortices and saddles, the slopes
    and contours of scalar fields, and sums of two.

    Returns
    -------
    hypothesis SearchStrategy of VectorField
        For ``@given``.

    Raises
    ------
    MissingPackage
        If hypothesis is not installed.

    Examples
    --------
    >>> from hypothesis import given, settings
    >>> import numpy as np
    >>> @settings(max_examples=20)
    ... @given(vector_fields())
    ... def test_a_flow_has_two_parts(flow):
    ...     assert np.shape(flow(12.0, 34.0)) == (2,)
    >>> test_a_flow_has_two_parts()
    """
    st = strategies()
    at = st.tuples(st.floats(-100, 300), st.floats(-100, 300))
    speed = st.floats(0.1, 10)
    simple = st.one_of(
        st.builds(uniform, st.floats(-180, 180), speed=speed),
        st.builds(source, at, speed=speed),
        st.builds(vortex, at, speed=speed, core=st.floats(0.5, 20)),
        at.map(saddle),
        st.builds(perlin, scale=st.floats(5, 100), seed=st.integers(0, 2**32 - 1)).map(
            lambda field: field.curl()
        ),
    )
    made: SearchStrategy[VectorField] = st.one_of(
        simple, st.tuples(simple, simple).map(lambda pair: pair[0] + pair[1])
    )
    return made


def texts(alphabet: str = _PRINTABLE, *, most: int = 40) -> SearchStrategy[str]:
    """Random texts for hypothesis: words, spaces and line ends, the empty text too.

    Parameters
    ----------
    alphabet : str, default the 95 printable characters of ASCII
        The characters that occur, beside the line end. Every face of ``text.lettering`` but the
        symbols has the default ones.
    most : int, default 40
        Characters at the most, at least 0.

    Returns
    -------
    hypothesis SearchStrategy of str
        For ``@given``.

    Raises
    ------
    InvalidValue
        If ``alphabet`` is no text or empty, or ``most`` is no whole number of at least 0.
    MissingPackage
        If hypothesis is not installed.

    Examples
    --------
    >>> from hypothesis import given, settings
    >>> import plotlib as pl
    >>> @settings(max_examples=20, deadline=None)
    ... @given(texts("SKEROW isl", most=9))
    ... def test_a_label_can_be_lettered(words):
    ...     assert pl.text.lettering(words, height=3).length >= 0
    >>> test_a_label_can_be_lettered()
    """
    st = strategies()
    known = string("alphabet", alphabet)
    if not known:
        raise InvalidValue("alphabet must have at least one character", name="alphabet", value="")
    count = whole("most", most, low=0)
    drawn: SearchStrategy[str] = st.text(st.sampled_from(sorted({*known, "\n"})), max_size=count)
    return drawn
