"""Cabin pressure: a tablet in a pressurised cabin records the pressure of the cabin, not of the air outside."""

from __future__ import annotations

from typing import Final

import numpy as np

from legwise.model.arrays import FloatArray
from legwise.model.track import AltitudeKind, Fault
from legwise.tracks.altitude.pairs import LEAST_SAMPLES, compare
from legwise.tracks.headings.quantities import KIND_WORDS

_HIGHEST_CABIN_FT: Final = 8_000.0
"""The highest cabin altitude in normal operation (14 CFR 25.841 (a), from memory)."""

_BELOW_FT: Final = 1_500.0
"""So far below GNSS height no outside pressure is under ``_HIGHEST_CABIN_FT``: a setting 30 hPa off makes 820 ft, and
air 20 °C off 560 ft."""

_FOLLOWS: Final = 0.5
"""A channel that rises by more than this part of the climb follows it: it is wrong in another way. Our own choice."""


def without_cabin_pressure(
    altitudes_ft: dict[AltitudeKind, FloatArray],
) -> tuple[dict[AltitudeKind, FloatArray], list[Fault]]:
    """The altitudes without those of a cabin, and the faults that tell of them."""
    heights = (AltitudeKind.GNSS_MSL, AltitudeKind.GNSS_ELLIPSOID)
    height_ft = next((altitudes_ft[kind] for kind in heights if kind in altitudes_ft), None)
    kept = dict(altitudes_ft)
    faults: list[Fault] = []
    for kind in (AltitudeKind.PRESSURE, AltitudeKind.UNKNOWN):
        if height_ft is None or kind not in kept or not _is_cabin(kept[kind], height_ft):
            continue
        faults.append(_fault(kind, kept.pop(kind), height_ft))
    return kept, faults


def _is_cabin(altitude_ft: FloatArray, height_ft: FloatArray) -> bool:
    below = (height_ft - altitude_ft > _BELOW_FT) & (altitude_ft < _HIGHEST_CABIN_FT)
    if np.count_nonzero(below) < LEAST_SAMPLES:
        return False
    if np.percentile(altitude_ft[np.isfinite(altitude_ft)], 99.0) >= _HIGHEST_CABIN_FT:
        return False
    found = compare(altitude_ft, height_ft)
    return found is not None and not found.is_of_another_unit and abs(1.0 + found.slope) < _FOLLOWS


def _fault(kind: AltitudeKind, altitude_ft: FloatArray, height_ft: FloatArray) -> Fault:
    detail = (
        f"{KIND_WORDS[kind]} stays below {float(np.nanmax(altitude_ft)) + 1.0:,.0f} ft while GNSS height reaches "
        f"{float(np.nanmax(height_ft)):,.0f} ft: the pressure of a cabin, not of the air outside; not used"
    )
    return Fault(kind="cabin-altitude", count=int(np.count_nonzero(np.isfinite(altitude_ft))), detail=detail)
