"""The standard atmosphere, altimeter settings, and what warm and cold air do to an altimeter.

The ICAO standard atmosphere (Doc 7488): 288.15 K and 1013.25 hPa at sea level, 6.5 K/km to 11 km, isothermal above.
It gives every row of 14 CFR Part 43 Appendix E, Tables I and IV, within a foot and a half
(tests/geodesy/test_atmosphere.py).
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from legwise.model.arrays import FloatArray
from legwise.units import M_PER_FT, STANDARD_GRAVITY_MPS2, STANDARD_PRESSURE_HPA

_SEA_LEVEL_K = 288.15
_LAPSE_K_PER_M = 0.0065
_GAS_CONSTANT = 287.05287
_TROPOPAUSE_M = 11_000.0
_TROPOPAUSE_K = _SEA_LEVEL_K - _LAPSE_K_PER_M * _TROPOPAUSE_M
_EXPONENT = STANDARD_GRAVITY_MPS2 / (_GAS_CONSTANT * _LAPSE_K_PER_M)
_TROPOPAUSE_HPA = STANDARD_PRESSURE_HPA * (_TROPOPAUSE_K / _SEA_LEVEL_K) ** _EXPONENT
_SCALE_HEIGHT_M = _GAS_CONSTANT * _TROPOPAUSE_K / STANDARD_GRAVITY_MPS2
_ZERO_DEG_C_K = 273.15
_ROUNDS = 12


def isa_temperature_deg_c(altitude_ft: npt.ArrayLike) -> FloatArray:
    """Temperature of the standard atmosphere at a pressure altitude. [deg C]"""
    altitude_m = np.asarray(altitude_ft, dtype=np.float64) * M_PER_FT
    kelvin: FloatArray = np.maximum(_SEA_LEVEL_K - _LAPSE_K_PER_M * altitude_m, _TROPOPAUSE_K)
    return kelvin - _ZERO_DEG_C_K


def isa_pressure_hpa(altitude_ft: npt.ArrayLike) -> FloatArray:
    """Pressure of the standard atmosphere at a pressure altitude. [hPa]"""
    altitude_m = np.asarray(altitude_ft, dtype=np.float64) * M_PER_FT
    below_m = np.minimum(altitude_m, _TROPOPAUSE_M)
    below_hpa = STANDARD_PRESSURE_HPA * (1.0 - _LAPSE_K_PER_M * below_m / _SEA_LEVEL_K) ** _EXPONENT
    pressure: FloatArray = below_hpa * np.exp(-(altitude_m - below_m) / _SCALE_HEIGHT_M)
    return pressure


def pressure_altitude_ft(pressure_hpa: npt.ArrayLike) -> FloatArray:
    """Altitude in the standard atmosphere at which a pressure is found. [ft]"""
    pressure = np.asarray(pressure_hpa, dtype=np.float64)
    below_hpa = np.maximum(pressure, _TROPOPAUSE_HPA)
    below_m = _SEA_LEVEL_K / _LAPSE_K_PER_M * (1.0 - (below_hpa / STANDARD_PRESSURE_HPA) ** (1.0 / _EXPONENT))
    altitude: FloatArray = (below_m + _SCALE_HEIGHT_M * np.log(below_hpa / pressure)) / M_PER_FT
    return altitude


def qnh_altitude_ft(pressure_altitude: npt.ArrayLike, qnh_hpa: npt.ArrayLike) -> FloatArray:
    """What an altimeter set to ``qnh_hpa`` shows at a pressure altitude. [ft]

    An altimeter's setting shifts its scale by the pressure altitude of the setting, the same at every height (14
    CFR Part 43 Appendix E, Table IV).
    """
    return np.asarray(pressure_altitude, dtype=np.float64) - pressure_altitude_ft(qnh_hpa)


def temperature_error_ft(
    thickness_ft: npt.ArrayLike, isa_deviation_deg_c: npt.ArrayLike, *, source_elevation_ft: float = 0.0
) -> FloatArray:
    """How much higher than the altimeter says an aircraft is in air that much warmer than standard. [ft]

    ``thickness_ft`` is the indicated height above the source of the setting, at ``source_elevation_ft``; the
    deviation is the same at every height. Negative in cold air: the aircraft is lower. Exact hydrostatics: dT / L
    ln(T0 / (T0 - L h)).
    """
    source_k = _SEA_LEVEL_K - _LAPSE_K_PER_M * source_elevation_ft * M_PER_FT
    thickness_m = np.asarray(thickness_ft, dtype=np.float64) * M_PER_FT
    top_k = np.maximum(source_k - _LAPSE_K_PER_M * thickness_m, _TROPOPAUSE_K)
    error_m = np.asarray(isa_deviation_deg_c, dtype=np.float64) / _LAPSE_K_PER_M * np.log(source_k / top_k)
    error: FloatArray = error_m / M_PER_FT
    return error


def true_altitude_ft(
    altimeter_ft: npt.ArrayLike,
    *,
    oat_deg_c: float,
    source_elevation_ft: float = 0.0,
    qnh_hpa: float = STANDARD_PRESSURE_HPA,
) -> FloatArray:
    """Altitude in space where an altimeter on the QNH shows ``altimeter_ft``, by the temperature at its source. [ft]"""
    altimeter = np.asarray(altimeter_ft, dtype=np.float64)
    # The standard temperature goes by pressure, so the source counts by its pressure altitude.
    source_ft = source_elevation_ft + float(pressure_altitude_ft(qnh_hpa))
    deviation = oat_deg_c - float(isa_temperature_deg_c(source_ft))
    return altimeter + temperature_error_ft(altimeter - source_elevation_ft, deviation, source_elevation_ft=source_ft)


def altimeter_ft(
    altitude_ft: npt.ArrayLike,
    *,
    oat_deg_c: float,
    source_elevation_ft: float = 0.0,
    qnh_hpa: float = STANDARD_PRESSURE_HPA,
) -> FloatArray:
    """What an altimeter on the QNH shows at an altitude in space: the inverse of :func:`true_altitude_ft`. [ft]"""
    altitude = np.asarray(altitude_ft, dtype=np.float64)
    shown = altitude
    # The error changes by a few tenths of a foot a foot at most, so every round gains most of a digit.
    for _ in range(_ROUNDS):
        there = true_altitude_ft(shown, oat_deg_c=oat_deg_c, source_elevation_ft=source_elevation_ft, qnh_hpa=qnh_hpa)
        shown = shown + (altitude - there)
    return shown
