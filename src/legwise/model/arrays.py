"""Array types that every room speaks, and the one way to make them read-only."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

FloatArray = npt.NDArray[np.float64]
IntArray = npt.NDArray[np.int64]
BoolArray = npt.NDArray[np.bool_]


def readonly_floats(values: npt.ArrayLike) -> FloatArray:
    """A read-only float64 copy of ``values``. NaN stands for what was not recorded."""
    array = np.array(values, dtype=np.float64)
    array.setflags(write=False)
    return array


def readonly_ints(values: npt.ArrayLike) -> IntArray:
    """A read-only int64 copy of ``values``."""
    array = np.array(values, dtype=np.int64)
    array.setflags(write=False)
    return array


def readonly_bools(values: npt.ArrayLike) -> BoolArray:
    """A read-only boolean copy of ``values``."""
    array = np.array(values, dtype=np.bool_)
    array.setflags(write=False)
    return array
