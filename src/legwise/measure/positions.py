"""Where every sample stands against the path it owed: the leg's, and the turn's inside a fly-by turn."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from legwise.geodesy import turn_deg
from legwise.model.alignment import Alignment
from legwise.model.arrays import FloatArray
from legwise.model.track import Track


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Positions:
    """Arrays of shape (n,), NaN where no path is owed. ``to_go_nm`` runs along the leg to its end fix, in turns too."""

    cross_track_nm: FloatArray
    to_go_nm: FloatArray
    course_deg_true: FloatArray
    track_error_deg: FloatArray


def positions_of(track: Track, alignment: Alignment) -> Positions:
    """Measure each owed path once, at the positions as recorded."""
    lat, lon = track.samples.lat_deg, track.samples.lon_deg
    cross, to_go, course = (np.full(len(track), np.nan) for _ in range(3))
    for number, leg in enumerate(alignment.legs):
        if leg.path is None:
            continue
        index = np.flatnonzero(alignment.leg == number)
        if leg.judged_from is not None:
            index = index[index >= leg.judged_from]
        if index.size:
            on_leg = leg.path.measure(lat[index], lon[index])
            cross[index], to_go[index] = on_leg.cross_track_nm, on_leg.to_go_nm
            course[index] = on_leg.course_deg_true
    for number, turn in enumerate(alignment.turns):
        if turn.path is None:
            continue
        index = np.flatnonzero(alignment.in_turn & (alignment.turn == number))
        if index.size:
            in_turn = turn.path.measure(lat[index], lon[index])
            cross[index], course[index] = in_turn.cross_track_nm, in_turn.course_deg_true
    return Positions(
        cross_track_nm=cross,
        to_go_nm=to_go,
        course_deg_true=course,
        track_error_deg=turn_deg(course, track.motion.track_deg_true),
    )
