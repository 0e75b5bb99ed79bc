"""What was not flown is not measured: samples whose position is that of another time, or of time that stood."""

from __future__ import annotations

import dataclasses

import numpy as np

from legwise.model.arrays import FloatArray, readonly_floats
from legwise.model.deviations import Deviations
from legwise.model.track import Track


def without_unflown(track: Track, deviations: Deviations) -> Deviations:
    """``deviations`` with nothing claimed at the samples that are held; what was assigned there stays."""
    held = track.held
    if held is None:
        return deviations

    def flown(values: FloatArray) -> FloatArray:
        return readonly_floats(np.where(held, np.nan, values))

    def flown_or_none(values: FloatArray | None) -> FloatArray | None:
        return None if values is None else flown(values)

    return dataclasses.replace(
        deviations,
        cross_track_nm=flown(deviations.cross_track_nm),
        along_track_to_go_nm=flown(deviations.along_track_to_go_nm),
        course_deg_true=flown(deviations.course_deg_true),
        track_error_deg=flown(deviations.track_error_deg),
        lateral_full_scale_nm=flown(deviations.lateral_full_scale_nm),
        lateral_needle=flown(deviations.lateral_needle),
        vertical_path_ft=flown(deviations.vertical_path_ft),
        vertical_deviation_ft=flown(deviations.vertical_deviation_ft),
        vertical_full_scale_ft=flown(deviations.vertical_full_scale_ft),
        vertical_needle=flown(deviations.vertical_needle),
        altitude_error_ft=flown(deviations.altitude_error_ft),
        heading_error_deg=flown(deviations.heading_error_deg),
        inbound_cross_track_nm=flown_or_none(deviations.inbound_cross_track_nm),
        from_reversal_fix_nm=flown_or_none(deviations.from_reversal_fix_nm),
        radius_error_nm=flown_or_none(deviations.radius_error_nm),
    )
