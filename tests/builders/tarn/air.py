"""The air over the islands: pressure, temperature, wind; what an altimeter and an airspeed indicator make of it.

The atmosphere is the ICAO standard one, shifted in temperature and set by a QNH at the destination.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from builders.tarn.earth import M_PER_FT

_T0_K, _P0_HPA, _LAPSE_K_PER_M, _EXPONENT, _R_AIR = 288.15, 1013.25, 0.0065, 5.255880, 287.05287
_RHO0 = _P0_HPA * 100.0 / (_R_AIR * _T0_K)


def pressure_altitude_ft(pressure_hpa: float) -> float:
    """The height of a pressure in the standard atmosphere."""
    return _T0_K / _LAPSE_K_PER_M * (1.0 - math.pow(pressure_hpa / _P0_HPA, 1.0 / _EXPONENT)) / M_PER_FT


def standard_pressure_hpa(altitude_ft: float) -> float:
    """The pressure of a height in the standard atmosphere."""
    return _P0_HPA * math.pow(1.0 - _LAPSE_K_PER_M * altitude_ft * M_PER_FT / _T0_K, _EXPONENT)


@dataclass(frozen=True, slots=True)
class WindLayer:
    """The wind at a height; between layers the vector changes evenly, beyond them it stays."""

    altitude_ft: float
    from_deg_true: float
    speed_kt: float

    def vector(self) -> tuple[float, float]:
        """Where the air goes: north and east. [kt]"""
        to_rad = math.radians(self.from_deg_true + 180.0)
        return self.speed_kt * math.cos(to_rad), self.speed_kt * math.sin(to_rad)


@dataclass(frozen=True, slots=True)
class Air:
    """The air of one flight. QNH and temperature are the destination's, at ``station_ft``; winds from low to high."""

    qnh_hpa: float
    oat_deg_c: float
    station_ft: float
    winds: tuple[WindLayer, ...]

    def wind_kt(self, altitude_ft: float) -> tuple[float, float]:
        """Where the air goes at a height: north and east. [kt]"""
        below = self.winds[0]
        for above in self.winds[1:]:
            if altitude_ft < above.altitude_ft:
                share = (altitude_ft - below.altitude_ft) / (above.altitude_ft - below.altitude_ft)
                share = min(max(share, 0.0), 1.0)
                (north0, east0), (north1, east1) = below.vector(), above.vector()
                return north0 + share * (north1 - north0), east0 + share * (east1 - east0)
            below = above
        return below.vector()

    def _state(self, true_ft: float) -> tuple[float, float]:
        """Pressure and temperature at a true height. [hPa, K]"""
        station_k = self.oat_deg_c + 273.15
        station_hpa = standard_pressure_hpa(self.station_ft + pressure_altitude_ft(self.qnh_hpa))
        rise_k = _LAPSE_K_PER_M * (true_ft - self.station_ft) * M_PER_FT
        return station_hpa * math.pow(1.0 - rise_k / station_k, _EXPONENT), station_k - rise_k

    def indicated_ft(self, true_ft: float) -> float:
        """What an altimeter set to the QNH reads at a true height above mean sea level."""
        return pressure_altitude_ft(self._state(true_ft)[0]) - pressure_altitude_ft(self.qnh_hpa)

    def tas_kt(self, ias_kt: float, true_ft: float) -> float:
        """True airspeed of an indicated one (no instrument error; air taken as incompressible)."""
        pressure_hpa, temperature_k = self._state(true_ft)
        return ias_kt * math.sqrt(_RHO0 / (pressure_hpa * 100.0 / (_R_AIR * temperature_k)))
