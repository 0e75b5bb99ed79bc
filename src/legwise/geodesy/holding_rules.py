"""What two authorities say of holds in numbers: timing, greatest speed, rate of turn."""

from __future__ import annotations

from typing import Literal

from legwise.geodesy.turns import STANDARD_RATE_DPS, turn_rate_dps

Authority = Literal["FAA", "ICAO"]
Category = Literal["A", "B", "C", "D", "E"]

_BANK_DEG: dict[Authority, float] = {"FAA": 30.0, "ICAO": 25.0}
_SMALL_ICAO_KT = 170.0


def holding_leg_minutes(altitude_ft: float, authority: Authority) -> float:
    """The standard time of a holding leg at an altitude above mean sea level: 1 min to 14,000 ft, 1.5 min above. [min]

    The FAA times the inbound leg (AIM 5-3-8 j4(a)), ICAO the outbound one (Doc 8168; from FL140, from memory); the
    figures are the same, so ``authority`` changes nothing but which leg they hold for.
    """
    limit_ft: dict[Authority, float] = {"FAA": 14_000.0, "ICAO": 14_000.0}
    return 1.0 if altitude_ft <= limit_ft[authority] else 1.5


def max_holding_speed_kt(
    altitude_ft: float,
    authority: Authority,
    *,
    category: Category | None = None,
    charted_kt: float | None = None,
) -> float | None:
    """The greatest indicated airspeed in a hold at an altitude above mean sea level. [kt IAS]

    FAA AIM 5-3-8 j2(a): 200 kt to 6,000 ft, 230 to 14,000, 265 above. ICAO Doc 8168: 230 kt to 14,000 ft, 240 to
    20,000, 265 to 34,000, above that Mach 0.83 (None here: no airspeed); 170 kt for categories A and B to 14,000 ft
    (from memory). A charted figure (in brackets or by icon, such as 210) rules over both (AIM 5-3-8 j2(b)).
    """
    if charted_kt is not None:
        return charted_kt
    if authority == "FAA":
        steps = ((6_000.0, 200.0), (14_000.0, 230.0), (float("inf"), 265.0))
    else:
        low_kt = _SMALL_ICAO_KT if category in ("A", "B") else 230.0
        steps = ((14_000.0, low_kt), (20_000.0, 240.0), (34_000.0, 265.0))
    return next((speed for top, speed in steps if altitude_ft <= top), None)


def holding_rate_dps(tas_kt: float, authority: Authority) -> float:
    """Rate of the turns in a hold or a reversal: 3 deg/s or that of the greatest bank, whichever is less. [deg/s]

    The bank is 30 deg by FAA AIM 5-3-8 j8(b), which binds from 210.2 kt; 25 deg by ICAO Doc 8168 (and by the AIM with
    a flight director), from 169.8 kt.
    """
    return min(STANDARD_RATE_DPS, turn_rate_dps(tas_kt, _BANK_DEG[authority]))
