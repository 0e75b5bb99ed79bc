"""The deviations of a flight: every column, for every sample."""

from __future__ import annotations

import dataclasses

import numpy as np

from legwise.geodesy import declination_deg, wrap_180
from legwise.measure.glidepath import glidepath_of
from legwise.measure.lateral import lateral_full_scale_nm
from legwise.measure.manoeuvres import manoeuvre_columns
from legwise.measure.positions import positions_of
from legwise.measure.runway_heading import heading_bias
from legwise.measure.stretches import approach_stretches
from legwise.measure.unflown import without_unflown
from legwise.model.alignment import Alignment
from legwise.model.arrays import FloatArray, IntArray, readonly_floats
from legwise.model.deviations import Deviations, JudgedAltitude
from legwise.model.instants import instant
from legwise.model.lesson import Lesson
from legwise.model.plan import Plan
from legwise.model.track import Channel, Track
from legwise.units import M_PER_NM

GNSS_HORIZONTAL_M = 8.0
"""95 %: the GPS standard positioning service's global average (performance standard, 5th edition, from memory)."""

_KNOTS = 60


def measure(track: Track, plan: Plan, lesson: Lesson, alignment: Alignment, judged: JudgedAltitude) -> Deviations:
    """How far every sample was from what was owed, in distance, in altitude and on the needle's scale.

    Positions are taken as recorded, never smoothed; cross-track is within 0.1 m (see
    :class:`legwise.model.plan.Path`). Inside a fly-by turn cross-track and course are those of the turn, distance
    to go that of the leg. Where nothing was flown (a pause, a position that is held) nothing is measured.
    """
    positions = positions_of(track, alignment)
    stretches = approach_stretches(track, plan, alignment, positions)
    full_nm, lateral_notes = lateral_full_scale_nm(plan, lesson, alignment, positions, stretches, judged.altitude_ft)
    glidepath, vertical_notes = glidepath_of(lesson, stretches, judged)
    accuracy_nm, words = _horizontal(track, lesson)
    bias = heading_bias(track, plan)
    manoeuvres = manoeuvre_columns(track, plan, lesson, alignment, judged.altitude_ft)
    altitude_error = np.where(alignment.altitude_owed, judged.altitude_ft - alignment.assigned_altitude_ft, np.nan)
    # A barometric glidepath is flown and known by the altimeter, as an assigned altitude is.
    on_path_ft = np.where(glidepath.barometric, judged.against_assigned_ft, judged.against_glidepath_ft)
    deviations = Deviations(
        cross_track_nm=readonly_floats(positions.cross_track_nm),
        along_track_to_go_nm=readonly_floats(positions.to_go_nm),
        course_deg_true=readonly_floats(positions.course_deg_true),
        track_error_deg=readonly_floats(positions.track_error_deg),
        lateral_full_scale_nm=readonly_floats(full_nm),
        lateral_needle=readonly_floats(positions.cross_track_nm / full_nm),
        vertical_path_ft=readonly_floats(glidepath.path_ft),
        vertical_deviation_ft=readonly_floats(glidepath.deviation_ft),
        vertical_full_scale_ft=readonly_floats(glidepath.full_scale_ft),
        vertical_needle=readonly_floats(glidepath.needle),
        assigned_altitude_ft=readonly_floats(alignment.assigned_altitude_ft),
        altitude_error_ft=readonly_floats(altitude_error),
        heading_error_deg=readonly_floats(_heading_error_deg(track, alignment, bias.correction_deg)),
        judged=dataclasses.replace(judged, against_glidepath_ft=readonly_floats(on_path_ft)),
        horizontal_accuracy_nm=accuracy_nm,
        horizontal_words=words,
        notes=(*lateral_notes, *vertical_notes, *manoeuvres.notes, *((bias.note,) if bias.note else ())),
        inbound_cross_track_nm=manoeuvres.inbound_cross_track_nm,
        from_reversal_fix_nm=manoeuvres.from_reversal_fix_nm,
        radius_error_nm=manoeuvres.radius_error_nm,
    )
    return without_unflown(track, deviations)


def _horizontal(track: Track, lesson: Lesson) -> tuple[float, str]:
    """The log's own accuracy across, 95 % [NM], and in words where it comes from."""
    if lesson.accuracy.horizontal_m is not None:
        metres = lesson.accuracy.horizontal_m
        return metres / M_PER_NM, f"Position ±{metres:g} m (95 %), as the lesson says."
    recorded = track.samples.channels.get(Channel.HORIZONTAL_ACCURACY_M)
    if recorded is not None and np.isfinite(recorded).any():
        metres = float(np.nanpercentile(recorded, 95))
        return metres / M_PER_NM, f"Position ±{metres:.1f} m: the log's own figure, the worst twentieth left out."
    return (
        GNSS_HORIZONTAL_M / M_PER_NM,
        f"Position ±{GNSS_HORIZONTAL_M:g} m (95 %), the usual figure of satellite navigation; the log says none.",
    )


def _heading_error_deg(track: Track, alignment: Alignment, correction_deg: float) -> FloatArray:
    """Heading flown less heading assigned, wrapped; NaN where none was assigned or recorded. [deg]

    ``correction_deg`` is taken off recorded magnetic headings.
    """
    owed = np.flatnonzero(np.isfinite(alignment.heading_owed_deg_mag))
    error = np.full(len(track), np.nan)
    flown = _heading_deg_mag(track, owed, correction_deg)
    if flown is not None and owed.size:
        error[owed] = wrap_180(flown - alignment.heading_owed_deg_mag[owed])
    return error


def _heading_deg_mag(track: Track, index: IntArray, correction_deg: float) -> FloatArray | None:
    """Magnetic heading at some samples: recorded, else the true one less the variation there; None where neither is."""
    magnetic = track.samples.channels.get(Channel.HEADING_DEG_MAG)
    true = track.samples.channels.get(Channel.HEADING_DEG_TRUE)
    if magnetic is not None:
        recorded = magnetic[index] - correction_deg
        if true is None or np.isfinite(recorded).all():
            return recorded
        return np.where(np.isfinite(recorded), recorded, true[index] - _variation_deg(track, index))
    if true is None or index.size == 0:
        return None
    return true[index] - _variation_deg(track, index)


def _variation_deg(track: Track, index: IntArray) -> FloatArray:
    """Variation at samples: the model at up to 60 of them, straight between."""
    knots = np.unique(np.linspace(0, index.size - 1, min(_KNOTS, index.size)).round().astype(np.int64))
    date = instant(track.first_time_s).date()
    at_knots = [
        declination_deg(float(track.samples.lat_deg[place]), float(track.samples.lon_deg[place]), date)
        for place in index[knots]
    ]
    return np.interp(np.arange(index.size), knots, np.unwrap(at_knots, period=360.0))
