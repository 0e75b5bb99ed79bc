"""A debrief made by hand: an hour at 1 Hz in the Tarn Islands, its offsets put there on purpose. Not for navigation."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from legwise.model.arrays import readonly_floats
from legwise.model.deviations import Deviations, JudgedAltitude
from legwise.model.results import (
    DebriefResult,
)
from legwise.model.track import AltitudeKind
from report.hand_made_flight import (
    START_S,
    Walk,
    alignment_of,
    lesson_of,
    made_bump,
    made_empty_plan,
    made_fixes,
    made_heights,
    made_summary_of_track,
    plan_of,
    track_of,
)
from report.hand_made_results import made_assessment, made_empty_assessment, made_explanation, made_standard

MakeFlight = Callable[..., DebriefResult]


@pytest.fixture(scope="session")
def make_flight() -> MakeFlight:
    """``make_flight(mark="", inferred=True, bare=False)``: a result; ``mark`` is put into every text that a file
    could hold.
    """
    return build


def build(*, mark: str = "", inferred: bool = True, bare: bool = False) -> DebriefResult:
    fixes = made_fixes(mark)
    order = ["XTBN", "BRAKO", "CALDU", "HOLMA", "FERNU", "RW27"]
    walk = Walk()
    for start, end, height in zip(order, order[1:], (0.05, 0.4, -0.1, 0.05, 0.02), strict=False):
        walk.fly(fixes[start], fixes[end], made_bump(height))
    lat, lon, cross, to_go, course = (
        np.concatenate(part) for part in (walk.lat, walk.lon, walk.cross, walk.to_go, walk.course)
    )
    count = walk.count
    time_s = START_S + np.arange(count, dtype=np.float64)
    altitude, assigned, path_ft = made_heights(walk)
    scale = np.concatenate(
        [np.full(stop - start, 2.0 if number < 3 else 1.0) for number, (start, stop) in enumerate(walk.spans)]
    )
    scale[slice(*walk.spans[4])] = 0.3
    vertical = altitude - path_ft
    full_ft = np.where(np.isfinite(path_ft), np.maximum(60.0, to_go * 80), np.nan)
    nan = np.full(count, np.nan)
    known = nan if bare else altitude
    judged = JudgedAltitude(
        kind=None if bare else AltitudeKind.GNSS_MSL,
        altitude_ft=readonly_floats(known),
        vertical_speed_fpm=readonly_floats(nan if bare else np.gradient(altitude) * 60),
        accuracy_ft=49.0,
        against_assigned_ft=readonly_floats(np.full(count, 70.0)),
        against_glidepath_ft=readonly_floats(np.full(count, 49.0)),
        words="No altitude was recorded."
        if bare
        else "GNSS height above mean sea level, ± 49 ft (95 %, common practice).",
    )
    error = np.where(np.isfinite(path_ft), np.nan, altitude - assigned)
    error[np.abs(error) > 300] = np.nan
    deviations = Deviations(
        cross_track_nm=readonly_floats(nan if bare else cross),
        along_track_to_go_nm=readonly_floats(nan if bare else to_go),
        course_deg_true=readonly_floats(nan if bare else course),
        track_error_deg=readonly_floats(nan),
        lateral_full_scale_nm=readonly_floats(nan if bare else scale),
        lateral_needle=readonly_floats(nan if bare else cross / scale),
        vertical_path_ft=readonly_floats(nan if bare else path_ft),
        vertical_deviation_ft=readonly_floats(nan if bare else vertical),
        vertical_full_scale_ft=readonly_floats(nan if bare else full_ft),
        vertical_needle=readonly_floats(nan if bare else vertical / full_ft),
        assigned_altitude_ft=readonly_floats(nan if bare else assigned),
        altitude_error_ft=readonly_floats(nan if bare else error),
        heading_error_deg=readonly_floats(nan),
        judged=judged,
        horizontal_accuracy_nm=8 / 1852,
        horizontal_words="± 8 m across (95 %, common practice)." + mark,
        notes=("Full scale ramps from 1 NM to the final course." + mark,),
    )
    track = track_of(time_s, lat, lon, altitude, course, mark, bare=bare)
    plan = plan_of(fixes, mark) if not bare else made_empty_plan()
    alignment = alignment_of(walk, plan, time_s, mark, inferred=inferred, bare=bare)
    return DebriefResult(
        track=track,
        lesson=lesson_of(mark, bare=bare),
        plan=plan,
        alignment=alignment,
        deviations=deviations,
        standard=made_standard(mark),
        summary_of_track=made_summary_of_track(track, mark, bare=bare),
        assessment=made_empty_assessment() if bare else made_assessment(walk, time_s, fixes, mark, inferred=inferred),
        explanation=made_explanation(time_s, mark, bare=bare),
        version="0.1.0",
    )
