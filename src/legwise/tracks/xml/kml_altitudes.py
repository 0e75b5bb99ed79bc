"""The altitudes of a KML file by what their altitude mode says they are measured from, with notes.

``absolute`` is above mean sea level (the geoid of EGM96: OGC KML 2.3, Annex B, reference system LonLat84_5773). What is
relative to the ground or the sea floor is no altitude, and ``clampToGround`` says that it is to be ignored. Where no
mode is said, that is also the standard's default; but a logger that wrote altitudes recorded them, so they are kept, as
of unknown kind.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

import numpy as np

from legwise.model.arrays import BoolArray, FloatArray, readonly_floats
from legwise.model.track import AltitudeKind
from legwise.tracks.wording import listed
from legwise.tracks.xml.kml_found import Rows
from legwise.units import M_PER_FT

_READ = MappingProxyType({"absolute": AltitudeKind.GNSS_MSL, "": AltitudeKind.UNKNOWN})
_WORDS = MappingProxyType(
    {
        AltitudeKind.GNSS_MSL: "altitudes are metres above mean sea level, as altitudeMode absolute says (OGC KML 2.3)",
        AltitudeKind.UNKNOWN: (
            "no altitudeMode says what the altitudes are measured from: they are taken in metres, of unknown kind"
        ),
    }
)


def altitudes_of(rows: Rows) -> tuple[Mapping[AltitudeKind, FloatArray], list[str]]:
    """The altitudes [ft] by kind, NaN where there is none of that kind, and notes on how they were read."""
    altitude_m = np.array(rows.altitude_m)
    recorded = np.isfinite(altitude_m)
    modes = list(dict.fromkeys(rows.run_mode))
    lengths = np.diff([*rows.run_start, len(altitude_m)])
    number = {mode: index for index, mode in enumerate(modes)}
    mode_of_row = np.repeat([number[mode] for mode in rows.run_mode], lengths)
    notes: list[str] = []
    altitudes: dict[AltitudeKind, FloatArray] = {}
    for mode, kind in _READ.items():
        here: BoolArray = recorded & (mode_of_row == number.get(mode, -1))
        if not here.any():
            continue
        if not altitude_m[here].any():
            notes.append("the altitude is 0 throughout; it is taken as not recorded")
            continue
        altitudes[kind] = readonly_floats(np.where(here, altitude_m / M_PER_FT, np.nan))
        notes.append(_WORDS[kind])
    others = [mode for mode in modes if mode not in _READ]
    passed = recorded & np.isin(mode_of_row, [number[mode] for mode in others])
    if altitude_m[passed].any():
        count = np.count_nonzero(passed)
        why = f"altitudeMode {listed(others, 4)} does not measure from mean sea level, as absolute does"
        notes.append(f"{count} altitudes are not read: {why}")
    return MappingProxyType(altitudes), notes
