"""The altimeter setting over the flight, and what is known of the air, out of a lesson."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

import numpy as np

from legwise.geodesy import altimeter_ft, true_altitude_ft
from legwise.model.arrays import FloatArray
from legwise.model.instants import epoch_s, instant
from legwise.model.lesson import AltimeterSetting, Altimetry, Lesson, Time
from legwise.model.track import Track
from legwise.units import HPA_PER_INHG, S_PER_DAY, STANDARD_PRESSURE_HPA


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Settings:
    """The setting at each sample: ``hpa`` of shape (n,), NaN where none is known. ``words`` say where it came from."""

    hpa: FloatArray
    words: str

    @property
    def known(self) -> bool:
        """True where any setting was given."""
        return bool(np.isfinite(self.hpa).any())


@dataclass(frozen=True, slots=True, kw_only=True)
class Air:
    """What is known of the air: the temperature at the source of the setting, and the elevation of that source.

    ``known`` is true where both a setting and a temperature were given; only then are barometric and geometric
    altitudes converted.
    """

    known: bool
    qnh_hpa: float
    oat_deg_c: float | None
    source_elevation_ft: float
    source_words: str

    def altimeter_ft(self, altitude_ft: FloatArray) -> FloatArray:
        """What the altimeter would show at an altitude in space; unchanged where no temperature is known. [ft]"""
        if self.oat_deg_c is None:
            return altitude_ft
        return altimeter_ft(
            altitude_ft,
            oat_deg_c=self.oat_deg_c,
            source_elevation_ft=self.source_elevation_ft,
            qnh_hpa=self.qnh_hpa,
        )

    def true_altitude_ft(self, shown_ft: FloatArray) -> FloatArray:
        """The altitude in space where the altimeter shows so much; unchanged where no temperature is known. [ft]"""
        if self.oat_deg_c is None:
            return shown_ft
        return true_altitude_ft(
            shown_ft,
            oat_deg_c=self.oat_deg_c,
            source_elevation_ft=self.source_elevation_ft,
            qnh_hpa=self.qnh_hpa,
        )


def settings_of(track: Track, lesson: Lesson) -> Settings:
    """The setting at each sample: that of ``[altimetry]``, replaced by each ``[[altimeter]]`` from its time on.

    A setting without a time follows the one before it. Before the first timed setting, where ``[altimetry]`` gives
    none, that first one is carried back.
    """
    time_s = track.samples.time_s
    base = _hpa(lesson.altimetry)
    changes = _changes(track, lesson)
    if base is None and changes:
        base = changes[0][1]
    hpa = np.full(len(time_s), np.nan if base is None else base)
    for from_s, value in changes:
        hpa[time_s >= from_s] = value
    if base is None:
        return Settings(hpa=hpa, words="no altimeter setting is given")
    values = list(dict.fromkeys([base, *(value for _from, value in changes)]))
    words = ", then ".join("standard" if value == STANDARD_PRESSURE_HPA else f"{value:g} hPa" for value in values)
    return Settings(hpa=hpa, words=f"setting {words}")


def air_of(lesson: Lesson, settings: Settings) -> Air:
    """The air of the lesson. The temperature is taken at the destination's elevation, else at sea level."""
    elevation, words = _destination(lesson)
    oat = lesson.altimetry.oat_deg_c
    return Air(
        known=settings.known and oat is not None,
        qnh_hpa=_qnh_hpa(settings),
        oat_deg_c=oat,
        source_elevation_ft=elevation,
        source_words=words,
    )


def _qnh_hpa(settings: Settings) -> float:
    """The setting of the day: the last one that is not standard, which is the destination's."""
    local = settings.hpa[np.isfinite(settings.hpa) & (settings.hpa != STANDARD_PRESSURE_HPA)]
    return float(local[-1]) if local.size else STANDARD_PRESSURE_HPA


def _destination(lesson: Lesson) -> tuple[float, str]:
    """Elevation of the destination as the lesson file itself tells it, and its name; sea level where it does not."""
    for approach in reversed(lesson.approach):
        if approach.runway is not None:
            return approach.runway.elevation_ft, approach.airport
    points = lesson.route.points or tuple((lesson.route.text or "").split())
    elevations = {fix.ident: fix.elevation_ft for fix in lesson.fix if fix.kind == "airport"}
    for ident in (*(approach.airport for approach in reversed(lesson.approach)), *points[-1:]):
        elevation = elevations.get(ident)
        if elevation is not None:
            return elevation, ident
    return 0.0, "sea level"


def _changes(track: Track, lesson: Lesson) -> list[tuple[float, float]]:
    """Times and values of the settings made in flight, in time order. [epoch s, hPa]"""
    changes: list[tuple[float, float]] = []
    latest_s = float(track.samples.time_s[0])
    for setting in lesson.altimeter:
        value = STANDARD_PRESSURE_HPA if setting.standard else _hpa(setting)
        if value is None:
            continue
        if setting.time is not None:
            latest_s = _epoch_s(setting.time, track, lesson.lesson.date)
        changes.append((latest_s, value))
    return sorted(changes, key=lambda change: change[0])


def _hpa(source: Altimetry | AltimeterSetting) -> float | None:
    if source.qnh_hpa is not None:
        return source.qnh_hpa
    return None if source.altimeter_inhg is None else source.altimeter_inhg * HPA_PER_INHG


def _epoch_s(time: Time, track: Track, date: dt.date | None) -> float:
    """A time of the lesson file in epoch seconds; a time of day falls on the day nearest the track's span."""
    if isinstance(time, dt.datetime):
        return epoch_s(time if time.tzinfo is not None else time.replace(tzinfo=dt.UTC))
    clock = dt.time.fromisoformat(time) if isinstance(time, str) else time
    day = date if date is not None else instant(track.first_time_s).date()
    first_s = epoch_s(dt.datetime.combine(day, clock.replace(tzinfo=None), tzinfo=dt.UTC))
    candidates = (first_s, first_s - S_PER_DAY, first_s + S_PER_DAY)
    return min(candidates, key=lambda when: max(track.first_time_s - when, when - track.last_time_s, 0.0))
