"""Which altitude is judged, what it is compared with, and how well the log knows it.

Source of the figures of doubt (95 %): common practice for loggers and altimeters in light aircraft; of the
atmosphere's part: the hydrostatics of :func:`legwise.geodesy.temperature_error_ft` for
``UNKNOWN_ISA_DEVIATION_DEG_C``.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

import numpy as np

from legwise.geodesy import pressure_altitude_ft, qnh_altitude_ft, temperature_error_ft
from legwise.measure.altitude_choice import KIND_WORDS, Chosen, choose_altitude, choose_in_space
from legwise.measure.climb import vertical_speed_fpm
from legwise.measure.ground_check import GroundCheck, check_ground
from legwise.measure.ground_ends import elevations_of, ground_ends
from legwise.measure.plain_altitude import tell_plain_altitude
from legwise.measure.settings import Air, Settings, air_of, settings_of
from legwise.model.arrays import BoolArray, FloatArray, readonly_floats
from legwise.model.deviations import JudgedAltitude
from legwise.model.lesson import Lesson
from legwise.model.track import AltitudeKind, Channel, Track
from legwise.units import FT_PER_M, STANDARD_PRESSURE_HPA

GNSS_VERTICAL_M = 15.0
GEOID_M = 107.0
"""The most that ellipsoid and mean sea level differ anywhere (EGM96: -107 to +86 m): the doubt of a height above
the ellipsoid."""

OWN_ACCURACY_FT: Mapping[AltitudeKind, float] = MappingProxyType(
    {
        AltitudeKind.INDICATED: 20.0,
        AltitudeKind.PRESSURE: 50.0,
        AltitudeKind.GNSS_MSL: GNSS_VERTICAL_M * FT_PER_M,
        AltitudeKind.GNSS_ELLIPSOID: float(np.hypot(GNSS_VERTICAL_M, GEOID_M)) * FT_PER_M,
        AltitudeKind.UNKNOWN: 150.0,
    }
)

KNOWN_AIR_FT = 50.0
KNOWN_AIR_TO_FT = 6_000.0
"""What is left of the atmosphere where setting and temperature are known, up to this altitude."""

UNKNOWN_ISA_DEVIATION_DEG_C = 20.0
"""How far the air may be from standard where nothing is known of it: 7 % of the height. An assumption, no published
source."""

UNKNOWN_SETTING_HPA = 30.0
"""How far an unknown setting may be from standard. An assumption, no published source."""

_BAROMETRIC = (AltitudeKind.INDICATED, AltitudeKind.PRESSURE)
_GNSS = (AltitudeKind.GNSS_MSL, AltitudeKind.GNSS_ELLIPSOID)


def judge_altitude(track: Track, lesson: Lesson) -> JudgedAltitude:
    """Choose the altitude to judge and say how well it is known.

    ``[altimetry] source`` chooses; "auto" prefers indicated, then pressure with a setting, then GNSS height above
    mean sea level, above the ellipsoid, an unknown kind, and last pressure without a setting. A pressure altitude
    is put on the setting; GNSS height is turned into what the altimeter would have shown where both setting and
    temperature are given (and only then), since what was assigned is barometric. A straight glidepath is compared
    with GNSS height where there is one, else with the barometric altitude turned back.

    An altitude whose kind the log does not say is taken for what the evidence shows it to be. What was chosen is held
    against the elevation on the ground at both ends of the flight, where that is known: where it is off by more than
    75 ft, no doubt is less than that.
    """
    settings = settings_of(track, lesson)
    air = air_of(lesson, settings)
    ends = ground_ends(track, elevations_of(lesson))
    held = {kind: values for kind, values in track.samples.altitudes_ft.items() if np.isfinite(values).any()}
    plain = tell_plain_altitude(track.altitude, held, ends, settings, air)
    chosen = choose_altitude(track, lesson, settings, held, plain)
    if chosen is None:
        nothing = readonly_floats(np.full(len(track), np.nan))
        return JudgedAltitude(
            kind=None,
            altitude_ft=nothing,
            vertical_speed_fpm=readonly_floats(vertical_speed_fpm(track, nothing)),
            accuracy_ft=float("nan"),
            against_assigned_ft=nothing,
            against_glidepath_ft=nothing,
            words="No altitude was recorded.",
        )
    altitude_ft, conversion = _as_altimeter(chosen, settings, air, lesson)
    geometric = choose_in_space(track, lesson, chosen)
    geometric_ft = _in_space(geometric, altitude_ft, air)
    own_ft = _own_doubt(track, lesson, chosen)
    assigned_ft, glidepath_ft, doubt = _doubts(track, lesson, chosen, geometric, altitude_ft, settings, air)
    checks = {one.kind: check_ground(one.kind, one.raw_ft, ends, settings, air) for one in (chosen, geometric)}
    if lesson.accuracy.altitude_ft is None:
        assigned_ft = np.maximum(assigned_ft, checks[chosen.kind].gap_ft)
        glidepath_ft = np.maximum(glidepath_ft, checks[geometric.kind].gap_ft)
    return JudgedAltitude(
        kind=chosen.kind,
        altitude_ft=readonly_floats(altitude_ft),
        vertical_speed_fpm=readonly_floats(vertical_speed_fpm(track, chosen.raw_ft)),
        accuracy_ft=float(np.percentile(own_ft, 95)),
        against_assigned_ft=readonly_floats(assigned_ft),
        against_glidepath_ft=readonly_floats(glidepath_ft),
        words=_words(chosen, conversion, geometric, doubt, float(np.median(glidepath_ft)))
        + _ground_words(chosen, geometric, checks, lesson),
        reason=chosen.reason,
        geometric_altitude_ft=readonly_floats(geometric_ft),
        geometric_kind=geometric.kind,
    )


def _as_altimeter(chosen: Chosen, settings: Settings, air: Air, lesson: Lesson) -> tuple[FloatArray, str]:
    """The altitude as an altimeter on the setting shows it, and what was done to get there."""
    if chosen.kind is AltitudeKind.PRESSURE and settings.known:
        on_setting = qnh_altitude_ft(chosen.raw_ft, settings.hpa)
        above = _above_transition(on_setting, lesson)
        return np.where(above, chosen.raw_ft, on_setting), f"put on the altimeter setting ({settings.words})"
    if chosen.kind in _GNSS and air.known:
        shown = air.altimeter_ft(chosen.raw_ft)
        on_standard = _above_transition(shown, lesson) | (settings.hpa == STANDARD_PRESSURE_HPA)
        shown = np.where(on_standard, shown + pressure_altitude_ft(air.qnh_hpa), shown)
        return shown, (
            f"turned into what the altimeter would show ({settings.words}, {air.oat_deg_c:g} °C at {air.source_words})"
        )
    return np.array(chosen.raw_ft), ""


def _above_transition(altitude_ft: FloatArray, lesson: Lesson) -> BoolArray | bool:
    """Where the altimeter is on standard: above the transition altitude, unless the settings in flight were said."""
    transition_ft = lesson.altimetry.transition_altitude_ft
    if transition_ft is None or lesson.altimeter:
        return False
    above: BoolArray = altitude_ft > transition_ft
    return above


def _in_space(geometric: Chosen, altitude_ft: FloatArray, air: Air) -> FloatArray:
    if geometric.kind not in _BAROMETRIC:
        return geometric.raw_ft
    return air.true_altitude_ft(altitude_ft) if air.known else altitude_ft


def _own_doubt(track: Track, lesson: Lesson, chosen: Chosen) -> FloatArray:
    """The channel's own accuracy at each sample, 95 %: said, else recorded, else the usual one of its kind. [ft]"""
    usual = np.full(len(track), OWN_ACCURACY_FT[chosen.kind])
    if lesson.accuracy.altitude_ft is not None:
        return np.full(len(track), lesson.accuracy.altitude_ft)
    recorded = track.samples.channels.get(Channel.VERTICAL_ACCURACY_M)
    if recorded is None or chosen.kind is not AltitudeKind.GNSS_MSL:
        return usual
    return np.where(np.isfinite(recorded), recorded * FT_PER_M, usual)


def _doubts(
    track: Track,
    lesson: Lesson,
    chosen: Chosen,
    geometric: Chosen,
    altitude_ft: FloatArray,
    settings: Settings,
    air: Air,
) -> tuple[FloatArray, FloatArray, str]:
    """The whole doubt against an assigned altitude and against a straight glidepath, 95 %, and both in words. [ft]"""
    own = _own_doubt(track, lesson, chosen)
    if lesson.accuracy.altitude_ft is not None:
        return own, own, f"Doubt ±{lesson.accuracy.altitude_ft:g} ft as the lesson says, nothing added"
    height_ft = np.nan_to_num(np.abs(altitude_ft - air.source_elevation_ft))
    words = f"Doubt ±{float(np.median(own)):.0f} ft (95 %)"
    extra: FloatArray = np.zeros(len(track))
    if chosen.kind in _GNSS:
        extra, added = _air_on_assigned(altitude_ft, height_ft, air)
        words += f", against an assigned altitude {added}"
    elif chosen.kind is AltitudeKind.PRESSURE and not settings.known:
        extra = np.full(len(track), float(pressure_altitude_ft(STANDARD_PRESSURE_HPA - UNKNOWN_SETTING_HPA)))
        words += f", and a setting within {UNKNOWN_SETTING_HPA:g} hPa of standard assumed"
    on_path = np.zeros(len(track))
    if geometric.kind in _BAROMETRIC:
        on_path = KNOWN_AIR_FT * height_ft / KNOWN_AIR_TO_FT if air.known else _unknown_air_ft(height_ft, air)
        on_path = np.hypot(on_path, extra)
        words += ", against a straight glidepath the air's part of the height more"
    return np.hypot(own, extra), np.hypot(_own_doubt(track, lesson, geometric), on_path), words


def _air_on_assigned(altitude_ft: FloatArray, height_ft: FloatArray, air: Air) -> tuple[FloatArray, str]:
    """What the atmosphere adds when a height in space is compared with a barometric altitude."""
    if not air.known:
        return np.maximum(_unknown_air_ft(height_ft, air), KNOWN_AIR_FT), (
            f"7 % of the height above {air.source_words} more, since setting and temperature are not both given "
            f"(air within {UNKNOWN_ISA_DEVIATION_DEG_C:g} °C of standard assumed)"
        )
    beyond = temperature_error_ft(
        np.maximum(np.nan_to_num(altitude_ft) - KNOWN_AIR_TO_FT, 0.0), UNKNOWN_ISA_DEVIATION_DEG_C
    )
    return np.hypot(KNOWN_AIR_FT, beyond), f"{KNOWN_AIR_FT:g} ft more for the air, growing above {KNOWN_AIR_TO_FT:g} ft"


def _unknown_air_ft(height_ft: FloatArray, air: Air) -> FloatArray:
    return temperature_error_ft(height_ft, UNKNOWN_ISA_DEVIATION_DEG_C, source_elevation_ft=air.source_elevation_ft)


def _words(chosen: Chosen, conversion: str, geometric: Chosen, doubt: str, glidepath_ft: float) -> str:
    judged = f"Judged: {KIND_WORDS[chosen.kind]}" + (f", {conversion}" if conversion else "")
    parts = [chosen.remark, judged + "."]
    if geometric.kind is not chosen.kind:
        parts.append(f"Against a straight glidepath: {KIND_WORDS[geometric.kind]}, ±{glidepath_ft:.0f} ft.")
    parts.append(doubt + ".")
    return " ".join(part for part in parts if part)


def _ground_words(chosen: Chosen, geometric: Chosen, checks: dict[AltitudeKind, GroundCheck], lesson: Lesson) -> str:
    """What the checks on the ground found, and what follows; begins with a blank where there is any."""
    check, in_space = checks[chosen.kind], checks[geometric.kind]
    parts = [check.words]
    if check.gap_ft and lesson.accuracy.altitude_ft is None:
        parts.append(f"So no verdict on an altitude is closer than {check.gap_ft:,.0f} ft.")
    elif check.gap_ft:
        parts.append("The doubt stays as the lesson says.")
    if geometric.kind is not chosen.kind and (in_space.gap_ft or (check.gap_ft and in_space.agrees)):
        parts.append(f"For {KIND_WORDS[geometric.kind]}: {in_space.words}")
    return "".join(f" {part}" for part in parts if part)
