"""What a plain altitude is, with what the lesson tells: the setting, and the elevation at both ends of the flight.

Where the setting is far enough from standard, pressure altitude and an altitude above mean sea level part: what agrees
with both elevations, or with the other altitudes of the log, shows which of the two it is. Nothing is decided that
evidence doesn't decide, and evidence that contradicts itself leaves the kind unknown.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum
from typing import Final

import numpy as np

from legwise.measure.ground_check import CHECK_FT, GroundCheck, check_ground, setting_shift_ft
from legwise.measure.ground_ends import GroundEnd
from legwise.measure.settings import Air, Settings
from legwise.model.arrays import FloatArray
from legwise.model.track import AltitudeFinding, AltitudeKind
from legwise.units import FT_PER_M, STANDARD_PRESSURE_HPA

_GNSS_FT: Final = 15.0 * FT_PER_M
_AIR_FT: Final = 50.0
_NEAR_FT: Final = 1_500.0
"""Where the temperature is not known GNSS height is compared with an altimeter only so near the source of the setting:
20 °C make 105 ft there."""
_NEAR_AIR_FT: Final = 105.0
_KNOWN_AIR_TO_FT: Final = 6_000.0
_LEAST_SAMPLES: Final = 30
_ON_SETTING_FT: Final = 30.0
"""An altitude that stays so near to the log's pressure altitude on the setting is that of an altimeter. Our choice."""


class _Says(Enum):
    PRESSURE = "pressure"
    NOT_PRESSURE = "not pressure"
    INDICATED = "indicated"


@dataclass(frozen=True, slots=True, kw_only=True)
class _Evidence:
    says: _Says
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PlainAltitude:
    """The plain altitude of a log: what it is found to be, and why."""

    kind: AltitudeKind
    reason: str


def tell_plain_altitude(
    finding: AltitudeFinding,
    held: Mapping[AltitudeKind, FloatArray],
    ends: tuple[GroundEnd, ...],
    settings: Settings,
    air: Air,
) -> PlainAltitude | None:
    """What the plain altitude among ``held`` is; None where the log has none.

    ``finding`` is what the log alone told. Only an altitude left unknown, or found by its steps, is looked at again:
    figures that are those of another altitude are that altitude.
    """
    stands_as = finding.plain or (AltitudeKind.UNKNOWN if AltitudeKind.UNKNOWN in held else None)
    if stands_as is None or stands_as not in held:
        return None
    reason = finding.reason or "the log does not say"
    if finding.is_a_copy:
        return PlainAltitude(kind=stands_as, reason=reason)
    plain_ft = held[stands_as]
    others = {kind: values for kind, values in held.items() if kind is not stands_as}
    every = [
        _by_ground(plain_ft, ends, settings, air),
        _by_gnss(plain_ft, others.get(AltitudeKind.GNSS_MSL), settings, air),
        _by_pressure(plain_ft, others.get(AltitudeKind.PRESSURE), settings, air),
    ]
    evidence = [item for item in every if item is not None]
    if not evidence:
        return PlainAltitude(kind=stands_as, reason=reason)
    kind = _kind(stands_as, finding, {item.says for item in evidence}, others)
    return PlainAltitude(kind=kind, reason="; ".join([reason, *(item.words for item in evidence)]))


def _kind(
    stands_as: AltitudeKind,
    finding: AltitudeFinding,
    says: set[_Says],
    others: Mapping[AltitudeKind, FloatArray],
) -> AltitudeKind:
    if _Says.PRESSURE in says:
        contradicted = len(says) > 1 or (stands_as is AltitudeKind.UNKNOWN and AltitudeKind.PRESSURE in others)
        return AltitudeKind.UNKNOWN if contradicted else AltitudeKind.PRESSURE
    if stands_as is AltitudeKind.PRESSURE or AltitudeKind.INDICATED in others:
        return AltitudeKind.UNKNOWN
    # By pressure, and on the setting: what the altimeter showed. What isn't known to be by pressure may be GNSS height.
    return AltitudeKind.INDICATED if _Says.INDICATED in says or finding.is_barometric else AltitudeKind.UNKNOWN


def _by_ground(plain_ft: FloatArray, ends: tuple[GroundEnd, ...], settings: Settings, air: Air) -> _Evidence | None:
    """Both ends agree with the one reading, and neither with the other."""
    if not settings.known:
        return None
    above_sea = check_ground(AltitudeKind.UNKNOWN, plain_ft, ends, settings, air)
    pressure = check_ground(AltitudeKind.PRESSURE, plain_ft, ends, settings, air)
    if len(above_sea.off_ft) < 2 or len(pressure.off_ft) < 2:
        return None
    places = " and ".join(dict.fromkeys(above_sea.names))
    if pressure.agrees and _is_off(above_sea):
        return _Evidence(
            says=_Says.PRESSURE,
            words=f"put on the setting it agrees with the elevation of {places}, as it stands it doesn't",
        )
    if above_sea.agrees and _is_off(pressure):
        return _Evidence(
            says=_Says.NOT_PRESSURE,
            words=f"it agrees with the elevation of {places}, as pressure altitude it wouldn't",
        )
    return None


def _is_off(check: GroundCheck) -> bool:
    return all(abs(off) > CHECK_FT for off in check.off_ft)


def _by_gnss(plain_ft: FloatArray, gnss_ft: FloatArray | None, settings: Settings, air: Air) -> _Evidence | None:
    """What an altimeter showed at GNSS height, near the source of the setting, against both readings."""
    if gnss_ft is None or not settings.known:
        return None
    reach_ft = _KNOWN_AIR_TO_FT if air.known else _NEAR_FT
    use = np.isfinite(plain_ft) & np.isfinite(settings.hpa) & (settings.hpa != STANDARD_PRESSURE_HPA)
    use &= np.abs(gnss_ft - air.source_elevation_ft) <= reach_ft
    if np.count_nonzero(use) < _LEAST_SAMPLES:
        return None
    shown_ft = air.altimeter_ft(gnss_ft[use])
    off_ft = plain_ft[use] - shown_ft
    above_sea = abs(float(np.median(off_ft)))
    pressure = abs(float(np.median(off_ft - setting_shift_ft(settings, air)[use])))
    tolerance_ft = float(np.hypot(np.hypot(CHECK_FT, _GNSS_FT), _AIR_FT if air.known else _NEAR_AIR_FT))
    if pressure <= tolerance_ft < above_sea:
        return _Evidence(
            says=_Says.PRESSURE,
            words=f"put on the setting it is {pressure:,.0f} ft from GNSS height, as it stands {above_sea:,.0f} ft",
        )
    if above_sea <= tolerance_ft < pressure:
        return _Evidence(
            says=_Says.NOT_PRESSURE,
            words=f"it is {above_sea:,.0f} ft from GNSS height, put on the setting it would be {pressure:,.0f} ft",
        )
    return None


def _by_pressure(
    plain_ft: FloatArray, pressure_ft: FloatArray | None, settings: Settings, air: Air
) -> _Evidence | None:
    """The log's own pressure altitude, put on the setting, is the plain altitude."""
    if pressure_ft is None or not settings.known:
        return None
    off_ft = plain_ft - (pressure_ft - setting_shift_ft(settings, air))
    use = np.isfinite(off_ft) & (settings.hpa != STANDARD_PRESSURE_HPA)
    if np.count_nonzero(use) < _LEAST_SAMPLES:
        return None
    stays = float(np.percentile(np.abs(off_ft[use]), 95)) <= _ON_SETTING_FT
    if not stays or float(np.median(np.abs(plain_ft[use] - pressure_ft[use]))) <= 2.0 * _ON_SETTING_FT:
        return None
    return _Evidence(says=_Says.INDICATED, words="it is the log's pressure altitude put on the setting")
