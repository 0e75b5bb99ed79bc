"""IGC to a raw track."""

from __future__ import annotations

import datetime as dt

from legwise.errors import TrackFormatError
from legwise.model.track import RawTrack, TrackSource
from legwise.tracks.limits import ReadLimits


def read_igc(
    data: bytes, where: str, source: TrackSource, *, utc_offset: str | None, date: dt.date | None, limits: ReadLimits
) -> RawTrack:
    """Not there yet: refuse by name."""
    del data, source, utc_offset, date, limits
    raise TrackFormatError("this is IGC, which is not read yet", where=where, remedy="Convert it to GPX or CSV.")
