"""Missed approaches: where and how high the climb began, how steep it was, and whether a turn came before its point."""

from __future__ import annotations

import numpy as np

from legwise.assess.finals import Final
from legwise.assess.flight import Flight, on_glidepath, planned_approach, runs
from legwise.geodesy import turn_deg
from legwise.model.arrays import FloatArray
from legwise.model.instants import instant
from legwise.model.plan import Path, PlannedApproach
from legwise.model.results import MissedResult
from legwise.units import S_PER_H

LEVEL_FPM = 100.0
LEVEL_S = 10.0
"""A climb has ended where it is slower than this for this long. Common practice, no published source. [ft/min], [s]"""

TURN_DEG = 15.0
BEFORE_POINT_NM = 0.1
"""A turn of this much, this far before the missed approach point, is one before it. Common practice, no published
source."""


def missed_results(flight: Flight, finals: tuple[Final, ...]) -> tuple[MissedResult, ...]:
    """The missed approaches in the order flown; ``approach`` is the position among the approaches flown."""
    inside = {final.position for final in finals}
    return tuple(
        _missed(flight, position, flown.missed_start, reached_final=position in inside)
        for position, flown in enumerate(flight.alignment.approaches)
        if flown.missed_start is not None
    )


def _missed(flight: Flight, position: int, start: int, *, reached_final: bool) -> MissedResult:
    flown = flight.alignment.approaches[position]
    approach = planned_approach(flight.plan, flown)
    altitude_ft = float(flight.altitude_ft[start])
    to_go_nm = _to_map_nm(flight, approach, slice(start, flight.part_stop(start)))
    before_map = _before_map(flight, approach, start, to_go_nm, lowest=flown.lowest, reached_final=reached_final)
    return MissedResult(
        approach=position,
        started_at=instant(flight.time_s[start]),
        started_ft=altitude_ft if np.isfinite(altitude_ft) else None,
        before_map=before_map,
        climb_ft_per_nm=_climb_ft_per_nm(flight, start),
        turn_before_map=before_map and _turned_before(flight, approach, start, to_go_nm),
    )


def _map_path(approach: PlannedApproach) -> Path | None:
    """The path that ends at the missed approach point."""
    by_role = [leg.path for leg in approach.legs if leg.role == "MAP"]
    if by_role and by_role[0] is not None:
        return by_role[0]
    return approach.final_path


def _to_map_nm(flight: Flight, approach: PlannedApproach, rows: slice) -> FloatArray:
    """Distance to go to the missed approach point, NaN where it is not known. [nm]"""
    path = _map_path(approach)
    samples = flight.track.samples
    if path is None:
        return np.full(samples.lat_deg[rows].shape, np.nan)
    return path.measure(samples.lat_deg[rows], samples.lon_deg[rows]).to_go_nm


def _before_map(
    flight: Flight,
    approach: PlannedApproach,
    start: int,
    to_go_nm: FloatArray,
    *,
    lowest: int | None,
    reached_final: bool,
) -> bool:
    """On a decision-altitude approach the point is the decision altitude itself, within the log's doubt of it."""
    if not reached_final:
        return True
    minima_ft = approach.minima_ft
    if on_glidepath(approach) and minima_ft is not None:
        doubt_ft = float(np.nan_to_num(flight.deviations.judged.against_assigned_ft[start]))
        return bool(flight.altitude_ft[start if lowest is None else lowest] > minima_ft + doubt_ft)
    return bool(to_go_nm[0] > max(BEFORE_POINT_NM, flight.deviations.horizontal_accuracy_nm))


def _turned_before(flight: Flight, approach: PlannedApproach, start: int, to_go_nm: FloatArray) -> bool:
    path = _map_path(approach)
    if path is None:
        return False
    passed = np.flatnonzero(to_go_nm <= BEFORE_POINT_NM)
    stop = start + (int(passed[0]) if passed.size else to_go_nm.size)
    track_deg = flight.track.motion.track_deg_true[start:stop]
    turned = np.abs(turn_deg(path.end_course_deg_true, track_deg)) >= TURN_DEG
    return bool(turned.any())


def _climb_ft_per_nm(flight: Flight, start: int) -> float | None:
    """Height gained over distance flown, from the start of the climb to the level-off (else to the highest sample).
    [ft/NM]"""
    part = flight.part
    stop = start + int(np.searchsorted(part[start:], part[start], side="right"))
    time_s, altitude_ft = flight.flown_s[start:stop], flight.altitude_ft[start:stop]
    known = np.flatnonzero(np.isfinite(altitude_ft))
    if known.size < 2 or known[0] != 0:
        return None
    end = _level_off(flight, start, stop)
    if end is None:
        end = int(known[np.argmax(altitude_ft[known])])
    speed_kt = flight.track.motion.groundspeed_kt[start : start + end + 1]
    hours = time_s[: end + 1] / S_PER_H
    if flight.track.held is not None:
        flown = ~flight.track.held[start : start + end + 1]
        speed_kt, hours = speed_kt[flown], hours[flown]
    if end < 1 or not np.isfinite(altitude_ft[end]) or not np.isfinite(speed_kt).all():
        return None
    distance_nm = float(np.sum(np.diff(hours) * (speed_kt[1:] + speed_kt[:-1]) / 2))
    return float(altitude_ft[end] - altitude_ft[0]) / distance_nm if distance_nm > 0 else None


def _level_off(flight: Flight, start: int, stop: int) -> int | None:
    """The first sample, counted from ``start``, of a level stretch after the climb got going."""
    speed_fpm = flight.deviations.judged.vertical_speed_fpm[start:stop]
    climbing = np.flatnonzero(speed_fpm >= LEVEL_FPM)
    if climbing.size == 0:
        return None
    level = speed_fpm < LEVEL_FPM
    level[: climbing[0]] = False
    time_s = flight.flown_s[start:stop]
    return next((first for first, last in runs(level) if time_s[last - 1] - time_s[first] >= LEVEL_S), None)
