"""Deviations: for every sample how far from what was owed, in distance, in altitude and on the needle's scale."""

from __future__ import annotations

from dataclasses import dataclass

from legwise.model.arrays import FloatArray
from legwise.model.track import AltitudeKind


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class JudgedAltitude:
    """The altitude that is judged, and how well the log knows it. Arrays of shape (n,), read-only.

    ``kind`` is None where the log holds no altitude; then ``altitude_ft`` is all NaN. ``altitude_ft`` is above mean
    sea level, corrected for the setting where it was a pressure altitude. ``vertical_speed_fpm`` is recorded or
    derived from it. ``accuracy_ft`` is the channel's own 95 % accuracy; ``against_assigned_ft`` the whole doubt
    when it is compared with an assigned (barometric) altitude, per sample, since the atmosphere's part grows with
    height; ``against_glidepath_ft`` the doubt against a glidepath (in :class:`Deviations`: against the one owed at
    the sample). ``words`` say all this to a person, ``reason`` in short why the altitude is taken for ``kind``.
    ``geometric_altitude_ft`` is the altitude in space that is compared with a straight glidepath, and
    ``geometric_kind`` its channel; None where it is ``altitude_ft`` itself.
    """

    kind: AltitudeKind | None
    altitude_ft: FloatArray
    vertical_speed_fpm: FloatArray
    accuracy_ft: float
    against_assigned_ft: FloatArray
    against_glidepath_ft: FloatArray
    words: str
    reason: str = ""
    geometric_altitude_ft: FloatArray | None = None
    geometric_kind: AltitudeKind | None = None


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Deviations:
    """Columns of shape (n,), read-only, NaN where not owed or not known. Signs: right of path and above path positive.

    The names are the columns of ``samples.csv``; needles are deviation over full scale with the sign of the
    deviation. Three more are no columns of it, None where nothing of their kind was flown: ``inbound_cross_track_nm``
    on the inbound legs of a hold's circuits, ``from_reversal_fix_nm`` the distance from the fix of a course reversal,
    ``radius_error_nm`` on a DME arc outside the turns onto it and off it, by the distance that was flown (horizontal
    or slant), with the sign of cross-track.
    """

    cross_track_nm: FloatArray
    along_track_to_go_nm: FloatArray
    course_deg_true: FloatArray
    track_error_deg: FloatArray
    lateral_full_scale_nm: FloatArray
    lateral_needle: FloatArray
    vertical_path_ft: FloatArray
    vertical_deviation_ft: FloatArray
    vertical_full_scale_ft: FloatArray
    vertical_needle: FloatArray
    assigned_altitude_ft: FloatArray
    altitude_error_ft: FloatArray
    heading_error_deg: FloatArray
    judged: JudgedAltitude
    horizontal_accuracy_nm: float
    horizontal_words: str
    notes: tuple[str, ...] = ()
    inbound_cross_track_nm: FloatArray | None = None
    from_reversal_fix_nm: FloatArray | None = None
    radius_error_nm: FloatArray | None = None
