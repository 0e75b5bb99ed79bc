"""The fly-by turn as a band: receivers differ in bank and wind, so no one lead is the right one."""

from __future__ import annotations

from dataclasses import dataclass

from legwise.geodesy.turns import DESIGN_BANK_DEG, STANDARD_RATE_DPS, anticipation_nm, turn_radius_nm

LEAST_BANK_DEG, MOST_BANK_DEG = 15.0, 30.0
"""Banks that turns are anticipated with: FAA AIM 1-1-17 b5(e)(4) says that receivers differ and gives no number.
30 deg is the most that AIM 5-3-8 j8(b) allows in a hold; 15 deg is common practice, no published source."""

LEAST_RATE_DPS = 2.0
"""Below 97 kt even 15 deg of bank turns faster than 3 deg/s and the band would shrink to one turn; two thirds of
standard rate keeps it open for slow aircraft. Our choice, no published source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FlyByBand:
    """The turns at a fly-by fix that are all good: from the tightest to the widest, with the nominal one between.

    ``..._radius_nm`` of the turn, ``..._lead_nm`` along the leg from where it begins to the fix. [NM] ``turn_deg`` is
    the change of course, right positive. Make one with :func:`fly_by_band`.
    """

    groundspeed_kt: float
    turn_deg: float
    least_radius_nm: float
    nominal_radius_nm: float
    largest_radius_nm: float
    least_lead_nm: float
    nominal_lead_nm: float
    largest_lead_nm: float


def fly_by_band(
    groundspeed_kt: float,
    turn_deg: float,
    *,
    least_bank_deg: float = LEAST_BANK_DEG,
    most_bank_deg: float = MOST_BANK_DEG,
    least_rate_dps: float = LEAST_RATE_DPS,
    most_rate_dps: float = STANDARD_RATE_DPS,
) -> FlyByBand:
    """The band of fly-by turns at a groundspeed, for a change of course of less than 180 deg.

    Tightest: the most bank, its rate capped at ``most_rate_dps``. Widest: the wider of the least bank and of
    ``least_rate_dps``. Nominal: 3 deg/s or 25 deg of bank, whichever is wider (ICAO Doc 8168). With wind it is the
    groundspeed that governs the ground path.
    """
    least = turn_radius_nm(groundspeed_kt, rate_dps=most_rate_dps, bank_deg=most_bank_deg)
    largest = turn_radius_nm(groundspeed_kt, rate_dps=least_rate_dps, bank_deg=least_bank_deg)
    nominal = turn_radius_nm(groundspeed_kt, rate_dps=STANDARD_RATE_DPS, bank_deg=DESIGN_BANK_DEG)
    # Whoever narrows the band past the nominal turn means the band.
    nominal = min(max(nominal, least), largest)
    return FlyByBand(
        groundspeed_kt=groundspeed_kt,
        turn_deg=turn_deg,
        least_radius_nm=least,
        nominal_radius_nm=nominal,
        largest_radius_nm=largest,
        least_lead_nm=anticipation_nm(least, turn_deg),
        nominal_lead_nm=anticipation_nm(nominal, turn_deg),
        largest_lead_nm=anticipation_nm(largest, turn_deg),
    )
