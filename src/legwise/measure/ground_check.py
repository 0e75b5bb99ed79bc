"""The altimeter check on the ground: what a log's altitude shows at an aerodrome against the elevation there.

More than 75 ft off, an altimeter is in doubt (AIM 7-2-3); then no altitude is judged more closely than it is off.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from legwise.geodesy import isa_pressure_hpa, pressure_altitude_ft, qnh_altitude_ft
from legwise.measure.ground_ends import GroundEnd
from legwise.measure.settings import Air, Settings
from legwise.model.arrays import FloatArray
from legwise.model.track import AltitudeKind
from legwise.units import FT_PER_M, STANDARD_PRESSURE_HPA

CHECK_FT: Final = 75.0
"""AIM 7-2-3 a 3."""

_ALIKE_FT: Final = 50.0
"""Two ends that are off by the same, within this, may be off for one reason. Our own choice."""

_NOT_THERE_FT: Final = 1_500.0
"""No setting makes so much: where the other end agrees, the aircraft stood in the air (a simulator's pause)."""

_MOST_SETTING_FT: Final = 1_000.0
_GEOID_FT: Final = 107.0 * FT_PER_M
"""No ellipsoid is farther from mean sea level (EGM96)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class GroundCheck:
    """What an altitude shows over the elevation at the ends of the log [ft], with the names of the places.

    A pressure altitude is put on the setting first, where there is one (``is_on_setting``). Ends where it was not
    measured on the ground are left out; ``aside`` says why, where that must be said.
    """

    kind: AltitudeKind
    off_ft: tuple[float, ...] = ()
    names: tuple[str, ...] = ()
    is_on_setting: bool = False
    aside: str = ""

    @property
    def gap_ft(self) -> float:
        """The most that it is off where that is more than 75 ft, else 0."""
        most = max((abs(off) for off in self.off_ft), default=0.0)
        return most if most > CHECK_FT else 0.0

    @property
    def agrees(self) -> bool:
        """Whether it was checked and agrees at every end."""
        return bool(self.off_ft) and not self.gap_ft

    @property
    def words(self) -> str:
        """What was found, in a sentence or two; a likely reason is asked after, never stated."""
        if not self.off_ft:
            return self.aside
        if self.agrees:
            places = " and ".join(f"{name} ({off:+.0f} ft)" for name, off in zip(self.names, self.off_ft, strict=True))
            found = f"On the ground it agrees with the elevation of {places}."
        else:
            places = " and ".join(
                f"{_side(off)} the elevation of {name}" for name, off in zip(self.names, self.off_ft, strict=True)
            )
            found = f"On the ground it is {places}, by more than the {CHECK_FT:g} ft of the altimeter check."
            found += self._question()
        return f"{found} {self.aside}".strip()

    def _question(self) -> str:
        """What would explain a gap that is the same at both ends."""
        if len(self.off_ft) < 2 or max(self.off_ft) - min(self.off_ft) > _ALIKE_FT:
            return ""
        off = sum(self.off_ft) / len(self.off_ft)
        if self.kind is AltitudeKind.GNSS_MSL and abs(off) <= _GEOID_FT:
            return " Is it height above the ellipsoid?"
        if self.kind in (AltitudeKind.GNSS_MSL, AltitudeKind.GNSS_ELLIPSOID) or abs(off) > _MOST_SETTING_FT:
            return ""
        hpa = float(isa_pressure_hpa(off))
        set_off = f"{abs(STANDARD_PRESSURE_HPA - hpa):.0f} hPa too {'high' if off > 0 else 'low'}"
        if self.kind is AltitudeKind.UNKNOWN:
            return f" Is it pressure altitude, or was the altimeter set {set_off}?"
        if self.kind is AltitudeKind.INDICATED:
            return f" Was the altimeter set {set_off}?"
        return f" Is the setting {set_off}?" if self.is_on_setting else f" Was the setting near {hpa:.0f} hPa?"


def check_ground(
    kind: AltitudeKind, raw_ft: FloatArray, ends: tuple[GroundEnd, ...], settings: Settings, air: Air
) -> GroundCheck:
    """Hold an altitude, read as ``kind``, against the elevation at the ends of the log."""
    on_setting = kind is AltitudeKind.PRESSURE and settings.known
    shown_ft = qnh_altitude_ft(raw_ft, local_hpa(settings, air)) if on_setting else raw_ft
    found = [(end.name, end.over_elevation_ft(shown_ft)) for end in ends]
    found = [(name, off) for name, off in found if np.isfinite(off)]
    aside = ""
    if any(abs(off) <= CHECK_FT for _name, off in found):
        far = [(name, off) for name, off in found if abs(off) > _NOT_THERE_FT]
        found = [(name, off) for name, off in found if abs(off) <= _NOT_THERE_FT]
        aside = " ".join(
            f"At {name} the log stands still {abs(off):,.0f} ft {'above' if off > 0 else 'below'} the elevation: taken "
            "as not on the ground."
            for name, off in far
        )
    return GroundCheck(
        kind=kind,
        off_ft=tuple(off for _name, off in found),
        names=tuple(name for name, _off in found),
        is_on_setting=on_setting,
        aside=aside,
    )


def local_hpa(settings: Settings, air: Air) -> FloatArray:
    """The setting of the place at each sample, also where the altimeter stood on standard."""
    return np.where(settings.hpa == STANDARD_PRESSURE_HPA, air.qnh_hpa, settings.hpa)


def setting_shift_ft(settings: Settings, air: Air) -> FloatArray:
    """Pressure altitude less altitude on the setting, at each sample; NaN where no setting is known. [ft]"""
    return pressure_altitude_ft(local_hpa(settings, air))


def _side(off_ft: float) -> str:
    return f"{abs(off_ft):,.0f} ft {'above' if off_ft > 0 else 'below'}"
