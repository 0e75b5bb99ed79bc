"""The drawn samples: their values, rounded as drawn, and the readout's phrases for each of them."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from legwise.geodesy import inverse
from legwise.look import words
from legwise.look.leg_words import ends_words, leg_words
from legwise.model.alignment import GUIDANCE_CODE, PHASE_CODE, FlownLeg, Guidance, Phase
from legwise.model.arrays import BoolArray, FloatArray, IntArray, readonly_floats, readonly_ints
from legwise.model.instants import epoch_s
from legwise.model.results import DebriefResult, Finding, Verdict
from legwise.model.track import Channel
from legwise.report.content import ReadoutPart, Series


def leg_name(leg: FlownLeg) -> str:
    """``"BRAKO to CALDU"``, ``"direct to CALDU"``, ``"hold at TBN"``, ``"RW05 to 900 ft"``."""
    start, end = (words.clean(ident, longest=60) for ident in (leg.from_ident, leg.to_ident))
    return leg_words(leg.kind, start, end, words.clean(ends_words(leg.planned), longest=60))


class LocalPlane:
    """East and north of a centre, along the geodesic to it (azimuthal equidistant): distances from the centre are
    true. [NM]
    """

    def __init__(self, lat_deg: FloatArray, lon_deg: FloatArray) -> None:
        east = np.radians(lon_deg)
        self._lat = float((np.min(lat_deg) + np.max(lat_deg)) / 2)
        first = float(lon_deg[0])
        offset = np.degrees(np.angle(np.exp(1j * (east - np.radians(first)))))
        self._lon = first + float((np.min(offset) + np.max(offset)) / 2)

    def place(self, lat_deg: FloatArray, lon_deg: FloatArray) -> tuple[FloatArray, FloatArray]:
        """East and north of positions, NaN where a position is NaN. [NM]"""
        lat = np.asarray(lat_deg, dtype=np.float64)
        lon = np.asarray(lon_deg, dtype=np.float64)
        known = np.isfinite(lat) & np.isfinite(lon)
        east = np.full(lat.shape, np.nan)
        north = np.full(lat.shape, np.nan)
        here_lat = np.full(int(known.sum()), self._lat)
        here_lon = np.full(int(known.sum()), self._lon)
        distance_nm, bearing_deg, _back = inverse(here_lat, here_lon, lat[known], lon[known])
        east[known] = distance_nm * np.sin(np.radians(bearing_deg))
        north[known] = distance_nm * np.cos(np.radians(bearing_deg))
        return east, north


def outside_samples(result: DebriefResult) -> BoolArray:
    """True where a finding "outside" holds: beyond its limit, within its stretch of time. Shape (n,)."""
    time_s = result.track.samples.time_s
    beyond = np.zeros(len(time_s), dtype=np.bool_)
    for finding in result.assessment.findings:
        values = _judged_values(result, finding)
        if finding.verdict is not Verdict.OUTSIDE or values is None or finding.worst is None:
            continue
        inside = (time_s >= epoch_s(finding.from_)) & (time_s <= epoch_s(finding.to))
        size = values * np.sign(finding.worst) if finding.what.startswith(("MDA", "DA")) else np.abs(values)
        beyond |= inside & (np.nan_to_num(size, nan=-np.inf) > finding.limit)
    return beyond


def _judged_values(result: DebriefResult, finding: Finding) -> FloatArray | None:
    deviations = result.deviations
    columns = {
        "lateral needle": deviations.lateral_needle,
        "vertical needle": deviations.vertical_needle,
        "vertical deviation": deviations.vertical_deviation_ft,
        "cross-track": deviations.cross_track_nm,
        "altitude": deviations.altitude_error_ft,
        "track": deviations.track_error_deg,
        "heading": deviations.heading_error_deg,
    }
    return next((column for name, column in columns.items() if finding.what.startswith(name)), None)


def series_of(result: DebriefResult, index: IntArray, plane: LocalPlane) -> Series:
    """The series at ``index`` (−1: a place in a gap)."""
    samples = result.track.samples
    deviations = result.deviations
    east, north = plane.place(_taken(samples.lat_deg, index), _taken(samples.lon_deg, index))
    ias = samples.channels.get(Channel.IAS_KT, np.full(len(samples), np.nan))
    outside = np.where(index < 0, 0, outside_samples(result)[index])
    owed = np.where(np.isfinite(deviations.altitude_error_ft), deviations.assigned_altitude_ft, np.nan)
    return Series(
        index=readonly_ints(index),
        time_ms=readonly_floats(_times_ms(samples.time_s, index)),
        east_nm=readonly_floats(np.round(east, 4)),
        north_nm=readonly_floats(np.round(north, 4)),
        altitude_ft=_rounded(deviations.judged.altitude_ft, index, 0),
        assigned_ft=_rounded(deviations.assigned_altitude_ft, index, 0),
        owed_ft=_rounded(owed, index, 0),
        path_ft=_rounded(deviations.vertical_path_ft, index, 0),
        path_full_scale_ft=_rounded(deviations.vertical_full_scale_ft, index, 0),
        lateral_needle=_rounded(deviations.lateral_needle, index, 3),
        vertical_needle=_rounded(deviations.vertical_needle, index, 3),
        groundspeed_kt=_rounded(result.track.motion.groundspeed_kt, index, 1),
        ias_kt=_rounded(ias, index, 1),
        outside=readonly_ints(outside),
    )


def _taken(values: FloatArray, index: IntArray) -> FloatArray:
    return np.where(index < 0, np.nan, values[index])


def _rounded(values: FloatArray, index: IntArray, decimals: int) -> FloatArray:
    return readonly_floats(np.round(_taken(values, index), decimals))


def _times_ms(time_s: FloatArray, index: IntArray) -> FloatArray:
    """Milliseconds of every drawn sample; a place in a gap stands in its middle."""
    times = _taken(time_s, index) * 1000
    gaps = np.flatnonzero(index < 0)
    times[gaps] = (times[gaps - 1] + times[gaps + 1]) / 2
    return np.round(times)


def readout_of(result: DebriefResult, index: IntArray) -> tuple[ReadoutPart, ...]:
    """The readout's phrases, in the order read: navigated by, lateral, vertical, altitude, speed."""
    deviations = result.deviations
    motion = result.track.motion
    gap = index < 0
    glidepath = _taken(deviations.vertical_deviation_ft, index)
    altitude_error = np.where(np.isfinite(glidepath), np.nan, _taken(deviations.altitude_error_ft, index))
    lateral = _lateral_phrases(_taken(deviations.cross_track_nm, index), _taken(deviations.lateral_needle, index))
    vertical = _joined(
        _worded(glidepath, 0, words.glidepath_offset), _worded(altitude_error, 0, words.altitude_error), ""
    )
    assigned = _worded(_taken(deviations.assigned_altitude_ft, index), 0, lambda ft: f"assigned {words.number(ft)} ft")
    altitude = _worded(_taken(deviations.judged.altitude_ft, index), -1, lambda ft: f"{words.number(ft)} ft")
    speed = _worded(_taken(motion.groundspeed_kt, index), 0, lambda kt: f"{words.number(kt)} kt")
    track = _worded(_taken(motion.track_deg_true, index), 0, lambda deg: f"track {round(deg) % 360:03d}°")
    heading = _worded(_taken(deviations.heading_error_deg, index), 0, words.heading_error)
    place = np.where(gap, "nothing recorded here", _places(result, index))
    return (
        _part("place", "Navigated by", place),
        _part("lateral", "Across", _joined(lateral, heading, " · ")),
        _part("vertical", "Up and down", vertical),
        _part("altitude", "Altitude", _joined(altitude, assigned, ", ")),
        _part("speed", "Over the ground", _joined(speed, track, ", ")),
    )


StringArray = np.ndarray[tuple[int, ...], np.dtype[np.str_]]


def _lateral_phrases(cross_track_nm: FloatArray, needle: FloatArray) -> StringArray:
    """Distance and needle; the needle alone where the distance is too small to show and the needle is not."""
    both = _joined(_worded(cross_track_nm, 2, words.cross_track), _worded(needle, 2, _needle_phrase), ": ")
    small = (np.round(np.abs(cross_track_nm), 2) == 0) & (np.round(np.abs(needle), 2) > 0)
    return np.where(small, _worded(needle, 2, words.lateral_needle), both)


def _needle_phrase(value: float) -> str:
    points = words.needle_points(value)
    return f"{points}, {words.scale(abs(value))}" if points else "needle centred"


def _worded(values: FloatArray, decimals: int, phrase: Callable[[float], str]) -> StringArray:
    """The phrase of each value, made once for each rounded value; empty where a value is NaN."""
    rounded = np.round(values, decimals) + 0.0
    known, codes = np.unique(np.nan_to_num(rounded, nan=np.inf), return_inverse=True)
    phrases = np.array(["" if np.isinf(value) else phrase(float(value)) for value in known], dtype=np.str_)
    return np.asarray(phrases[codes.reshape(-1)], dtype=np.str_)


def _joined(first: StringArray, second: StringArray, between: str) -> StringArray:
    both = np.where((first != "") & (second != ""), between, "")
    return np.char.add(np.char.add(first, both), second)


def _part(name: str, label: str, phrases: StringArray) -> ReadoutPart:
    known, codes = np.unique(phrases, return_inverse=True)
    return ReadoutPart(
        name=name, label=label, words=tuple(str(phrase) for phrase in known), codes=readonly_ints(codes.reshape(-1))
    )


def _places(result: DebriefResult, index: IntArray) -> StringArray:
    """What was navigated by, in words, at ``index``."""
    alignment = result.alignment
    keys = np.stack(
        [alignment.guidance, alignment.leg, alignment.phase, np.where(alignment.in_turn, alignment.turn, -1)], axis=1
    )[index]
    known, codes = np.unique(keys, axis=0, return_inverse=True)
    phrases = [_place(result, *(int(code) for code in key)) for key in known]
    return np.array(phrases, dtype=np.str_)[codes.reshape(-1)]


def _place(result: DebriefResult, guidance: int, leg: int, phase: int, turn: int) -> str:
    alignment = result.alignment
    if turn >= 0:
        return f"in the turn at {words.clean(alignment.turns[turn].fix, longest=60)}"
    flown = alignment.legs[leg] if leg >= 0 else None
    if guidance == GUIDANCE_CODE[Guidance.VECTORS]:
        return "on vectors"
    if guidance == GUIDANCE_CODE[Guidance.HOLD]:
        return "holding"
    if guidance == GUIDANCE_CODE[Guidance.MISSED]:
        return "on the missed approach" + (f", {leg_name(flown)}" if flown else "")
    if flown is not None:
        name = leg_name(flown)
        return name if name.startswith("direct") else f"on leg {name}"
    without_leg = {
        PHASE_CODE[Phase.GROUND]: "on the ground",
        PHASE_CODE[Phase.DEPARTURE]: "departing, no path owed",
        PHASE_CODE[Phase.APPROACH]: "on the approach, no path owed",
        PHASE_CODE[Phase.MISSED]: "on the missed approach, no path owed",
    }
    return without_leg.get(phase, "no path owed")
