"""A light single as a point mass: it banks, it turns as its bank says, the wind carries it."""

from __future__ import annotations

import math
from dataclasses import dataclass

from builders.tarn.air import Air
from builders.tarn.earth import M_PER_NM, Point, moved, wrap_180

STEP_S = 0.1
STANDARD_RATE_DPS = 3.0
MAX_BANK_DEG = 25.0
ROLL_RATE_DPS = 6.0
_KT_FOR_TAN_BANK = 364.07  # V for which tan(bank) = 1 at 3 deg/s: V = g / omega
_DPS_PER_TAN_BANK = 1092.2  # turn rate = 1092.2 tan(bank) / V_kt
_VERTICAL_LAG_S = 2.0
_ACCELERATION_KT_S = 1.0


def standard_bank_deg(tas_kt: float) -> float:
    """The bank of a 3 deg/s turn, at most 25 degrees."""
    return min(math.degrees(math.atan(tas_kt / _KT_FOR_TAN_BANK)), MAX_BANK_DEG)


def turn_rate_dps(bank_deg: float, tas_kt: float) -> float:
    """The turn rate of a bank."""
    return _DPS_PER_TAN_BANK * math.tan(math.radians(bank_deg)) / tas_kt


def turn_radius_nm(speed_kt: float) -> float:
    """The radius of a standard-rate turn: V / 60 pi, wider where the bank is limited."""
    rate_dps = min(STANDARD_RATE_DPS, turn_rate_dps(MAX_BANK_DEG, speed_kt))
    return speed_kt / 3600.0 / math.radians(rate_dps)


@dataclass(slots=True)
class Controls:
    """What the pilot holds: bank, vertical speed, indicated airspeed."""

    bank_deg: float = 0.0
    vertical_speed_fpm: float = 0.0
    ias_kt: float = 0.0


@dataclass(slots=True)
class Aircraft:
    """The true state: position, true height above mean sea level, heading, speeds."""

    air: Air
    position: Point
    true_ft: float
    heading_deg_true: float
    ias_kt: float = 0.0
    bank_deg: float = 0.0
    vertical_speed_fpm: float = 0.0
    groundspeed_kt: float = 0.0
    track_deg_true: float = 0.0

    def __post_init__(self) -> None:
        self.track_deg_true = self.heading_deg_true

    @property
    def indicated_ft(self) -> float:
        """What the altimeter reads, without its error."""
        return self.air.indicated_ft(self.true_ft)

    @property
    def tas_kt(self) -> float:
        """True airspeed."""
        return self.air.tas_kt(self.ias_kt, self.true_ft)

    def fly(self, controls: Controls) -> None:
        """One step in the air."""
        roll_deg = min(max(controls.bank_deg - self.bank_deg, -ROLL_RATE_DPS * STEP_S), ROLL_RATE_DPS * STEP_S)
        self.bank_deg += roll_deg
        self.ias_kt += min(max((controls.ias_kt - self.ias_kt) / 2.0, -_ACCELERATION_KT_S), _ACCELERATION_KT_S) * STEP_S
        self.vertical_speed_fpm += (controls.vertical_speed_fpm - self.vertical_speed_fpm) * STEP_S / _VERTICAL_LAG_S
        tas_kt = self.tas_kt
        self.heading_deg_true = (self.heading_deg_true + turn_rate_dps(self.bank_deg, tas_kt) * STEP_S) % 360.0
        self.true_ft += self.vertical_speed_fpm / 60.0 * STEP_S
        wind_north_kt, wind_east_kt = self.air.wind_kt(self.true_ft)
        heading_rad = math.radians(self.heading_deg_true)
        self._move(tas_kt * math.cos(heading_rad) + wind_north_kt, tas_kt * math.sin(heading_rad) + wind_east_kt)

    def roll(self, toward_deg_true: float, speed_kt: float, acceleration_kt_s: float, turn_dps: float) -> None:
        """One step on the ground: steer toward a direction and a speed, level."""
        change_kt = acceleration_kt_s * STEP_S
        self.groundspeed_kt += min(max(speed_kt - self.groundspeed_kt, -change_kt), change_kt)
        turn_deg = wrap_180(toward_deg_true - self.heading_deg_true)
        self.heading_deg_true = (
            self.heading_deg_true + min(max(turn_deg, -turn_dps * STEP_S), turn_dps * STEP_S)
        ) % 360.0
        self.bank_deg = self.vertical_speed_fpm = 0.0
        self.ias_kt = max(self.groundspeed_kt + self.headwind_kt(), 0.0)
        heading_rad = math.radians(self.heading_deg_true)
        self._move(self.groundspeed_kt * math.cos(heading_rad), self.groundspeed_kt * math.sin(heading_rad))

    def headwind_kt(self) -> float:
        """The wind from ahead of the nose."""
        north_kt, east_kt = self.air.wind_kt(self.true_ft)
        heading_rad = math.radians(self.heading_deg_true)
        return -(north_kt * math.cos(heading_rad) + east_kt * math.sin(heading_rad))

    def _move(self, north_kt: float, east_kt: float) -> None:
        self.groundspeed_kt = math.hypot(north_kt, east_kt)
        if self.groundspeed_kt > 0.0:
            self.track_deg_true = math.degrees(math.atan2(east_kt, north_kt)) % 360.0
            metres = M_PER_NM / 3600.0 * STEP_S
            self.position = moved(self.position, north_kt * metres, east_kt * metres)
