"""What is measured of holds, course reversals and DME arcs: columns of their own, at the positions as recorded."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from legwise.geodesy import ArcPath, inverse, slant_cross_track_nm
from legwise.model.alignment import Alignment
from legwise.model.arrays import FloatArray, readonly_floats
from legwise.model.lesson import Lesson
from legwise.model.manoeuvres import FlownArc
from legwise.model.plan import Plan
from legwise.model.track import Track


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class ManoeuvreColumns:
    """The three columns of :class:`legwise.model.deviations.Deviations`, shape (n,), None where nothing of their kind
    was flown; and notes on what was taken for granted."""

    inbound_cross_track_nm: FloatArray | None
    from_reversal_fix_nm: FloatArray | None
    radius_error_nm: FloatArray | None
    notes: tuple[str, ...]


def manoeuvre_columns(
    track: Track, plan: Plan, lesson: Lesson, alignment: Alignment, altitude_ft: FloatArray
) -> ManoeuvreColumns:
    """Cross-track on the inbound legs of holds, distance from the fixes of reversals, radius error on arcs.

    With ``dme = "slant"`` an arc's radius is held against the slant distance, by ``altitude_ft`` above its station; NaN
    where no altitude is known.
    """
    radius_error, notes = _radius_error_nm(track, plan, lesson, alignment, altitude_ft)
    return ManoeuvreColumns(
        inbound_cross_track_nm=_inbound_nm(track, alignment),
        from_reversal_fix_nm=_from_fix_nm(track, alignment),
        radius_error_nm=radius_error,
        notes=notes,
    )


def _inbound_nm(track: Track, alignment: Alignment) -> FloatArray | None:
    legs = [
        (hold.inbound_path, circuit.inbound)
        for hold in alignment.holds
        for circuit in hold.circuits
        if circuit.inbound is not None
    ]
    if not legs:
        return None
    column = np.full(len(track), np.nan)
    for path, (start, stop) in legs:
        here = slice(start, stop)
        column[here] = path.measure(track.samples.lat_deg[here], track.samples.lon_deg[here]).cross_track_nm
    return readonly_floats(column)


def _from_fix_nm(track: Track, alignment: Alignment) -> FloatArray | None:
    if not alignment.reversals:
        return None
    column = np.full(len(track), np.nan)
    for reversal in alignment.reversals:
        here, fix = slice(reversal.start, reversal.stop), reversal.fix
        column[here], _, _ = inverse(track.samples.lat_deg[here], track.samples.lon_deg[here], fix.lat_deg, fix.lon_deg)
    return readonly_floats(column)


def _radius_error_nm(
    track: Track, plan: Plan, lesson: Lesson, alignment: Alignment, altitude_ft: FloatArray
) -> tuple[FloatArray | None, tuple[str, ...]]:
    if not alignment.arcs:
        return None, ()
    column = np.full(len(track), np.nan)
    notes: list[str] = []
    for arc in alignment.arcs:
        # In the turns onto it and off it the path owed is the turn.
        index = arc.start + np.flatnonzero(~alignment.in_turn[arc.start : arc.stop])
        lat, lon = track.samples.lat_deg[index], track.samples.lon_deg[index]
        if lesson.navigation.dme == "slant" and isinstance(arc.path, ArcPath):
            station_ft, words = _station_ft(plan, alignment, arc)
            column[index] = slant_cross_track_nm(arc.path, lat, lon, altitude_ft[index] - station_ft)
            notes.append(words)
        else:
            column[index] = arc.path.measure(lat, lon).cross_track_nm
    return readonly_floats(column), tuple(dict.fromkeys(filter(None, notes)))


def _station_ft(plan: Plan, alignment: Alignment, arc: FlownArc) -> tuple[float, str]:
    """The station's elevation [ft], and what was taken in its place in words: the runway's, else sea level."""
    if arc.centre.elevation_ft is not None:
        return arc.centre.elevation_ft, ""
    number = alignment.legs[arc.leg].approach
    planned = next((item for item in plan.approaches if item.index == number), None)
    said = f"The elevation of {arc.centre.ident} is not given: its slant distance was worked out from"
    if planned is not None and planned.runway is not None:
        return planned.runway.elevation_ft, f"{said} the runway's elevation."
    return 0.0, f"{said} sea level."
