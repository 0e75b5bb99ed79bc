"""Published tables that the tests of this room are held to."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from legwise.model.arrays import FloatArray

_TABLES = Path(__file__).parent.parent / "data" / "geodesy"


@pytest.fixture(scope="session")
def geodtest_lines() -> FloatArray:
    """C. F. F. Karney's WGS 84 test lines, 100 of them: lat1 lon1 azi1 lat2 lon2 azi2 s12 ..."""
    return np.loadtxt(_TABLES / "GeodTest-100.dat")


@pytest.fixture(scope="session")
def geographiclib_lines() -> FloatArray:
    """GeographicLib's own 20 test cases, the same first seven columns."""
    return np.loadtxt(_TABLES / "geodesic_20_testcases.txt")


@pytest.fixture(scope="session")
def crosstrack_lines() -> FloatArray:
    """Computed with GeographicLib: lat1 lon1 lat2 lon2 lat lon length along cross [m, right +]."""
    return np.loadtxt(_TABLES / "generated_crosstrack_200.txt")


@pytest.fixture(scope="session")
def wmm2025_values() -> FloatArray:
    """The official test values of the World Magnetic Model 2025: year, km, lat, lon, declination, ..."""
    return np.loadtxt(_TABLES / "WMM2025_TEST_VALUES.txt")
