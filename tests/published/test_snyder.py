"""Projections against printed examples.

J. P. Snyder, *Map Projections: A Working Manual*, USGS Professional Paper 1395 (1987), Appendix A:
numerical examples. Printed to seven decimals of the radius or tenths of a metre; most as carried
over into test suites of other libraries, not from the paper itself.
"""

from __future__ import annotations

from functools import partial

import numpy as np
import pytest

from plotlib.maps import project
from tests.outside import SECONDARY, Within, published

known = partial(
    published,
    module="maps",
    source="J. P. Snyder, Map Projections, USGS Professional Paper 1395 (1987), Appendix A",
    kind=SECONDARY,
    column="printed",
)


CLARKE = "+a=6378206.4 +es=0.00676866"
SPHERE = "+R=1"
CONIC = "+lat_1=33 +lat_2=45 +lat_0=23 +lon_0=-96"
ALBERS = "+lat_1=29.5 +lat_2=45.5 +lat_0=23 +lon_0=-96"

ON_THE_SPHERE = [
    (f"+proj=merc +lon_0=-180 {SPHERE}", (-75, 35), (1.8325957, 0.6528366)),
    (f"+proj=tmerc +lon_0=-75 {SPHERE}", (-73.5, 40.5), (0.0199077, 0.7070276)),
    (f"+proj=lcc {CONIC} {SPHERE}", (-75, 35), (0.2966785, 0.2462112)),
    (f"+proj=aea {ALBERS} {SPHERE}", (-75, 35), (0.2952720, 0.2416774)),
    (f"+proj=eqdc {ALBERS} {SPHERE}", (-75, 35), (0.2952057, 0.2424021)),
    (f"+proj=stere +lat_0=40 +lon_0=-100 {SPHERE}", (-75, 30), (0.3807224, -0.1263802)),
    (f"+proj=ortho +lat_0=40 +lon_0=-100 {SPHERE}", (-110, 30), (-0.1503837, -0.1651911)),
    (f"+proj=gnom +lat_0=40 +lon_0=-100 {SPHERE}", (-110, 30), (-0.1542826, -0.1694739)),
    ("+proj=laea +lat_0=40 +lon_0=-100 +R=3", (100, -20), (-4.2339303, 4.0257775)),
    ("+proj=aeqd +lat_0=40 +lon_0=-100 +R=3", (100, -20), (-5.8311398, 5.5444634)),
    (f"+proj=cea +lat_ts=30 +lon_0=-75 {SPHERE}", (80, 35), (2.3428242, 0.6623090)),
    (f"+proj=mill +lon_0=0 {SPHERE}", (-75, 50), (-1.3089969, 0.9536371)),
    (f"+proj=sinu +lon_0=-90 {SPHERE}", (-75, -50), (0.1682814, -0.8726646)),
    (f"+proj=moll +lon_0=-90 {SPHERE}", (-75, -50), (0.1788845, -0.9208758)),
    (f"+proj=eck4 +lon_0=-90 {SPHERE}", (-75, -50), (0.1875270, -0.9519210)),
]
ON_THE_ELLIPSOID = [
    (f"+proj=merc +lon_0=-180 {CLARKE}", (-75, 35), (11688673.7, 4139145.6)),
    (f"+proj=tmerc +lon_0=-75 +k=0.9996 {CLARKE}", (-73.5, 40.5), (127106.5, 4484124.4)),
    (f"+proj=lcc {CONIC} {CLARKE}", (-75, 35), (1894410.9, 1564649.5)),
    (f"+proj=aea {ALBERS} {CLARKE}", (-75, 35), (1885472.7, 1535925.0)),
    (
        f"+proj=stere +lat_0=40 +lon_0=-100 +k=0.9999 {CLARKE}",
        (-90, 30),
        (971630.8, -1063049.3),
    ),
]


@known(claim="projections of the sphere, radii", abs=0.51e-7)
@pytest.mark.parametrize(("projection", "place", "printed"), ON_THE_SPHERE)
def test_on_the_sphere(
    projection: str, place: tuple[float, float], printed: tuple[float, float], within: Within
) -> None:
    # half a unit of the last printed decimal, times 3 where the radius is 3
    radius = 3.0 if "+R=3" in projection else 1.0
    assert np.abs(project([place], projection)[0] - printed).max() <= within.abs * radius


@known(claim="projections of the Clarke ellipsoid, m", abs=0.06)
@pytest.mark.parametrize(("projection", "place", "printed"), ON_THE_ELLIPSOID)
def test_on_the_ellipsoid(
    projection: str, place: tuple[float, float], printed: tuple[float, float], within: Within
) -> None:
    assert np.abs(project([place], projection)[0] - printed).max() <= within.abs
