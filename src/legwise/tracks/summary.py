"""What was in a log, for ``inspect`` and for the head of a debrief."""

from __future__ import annotations

from legwise.model.instants import instant
from legwise.model.results import TrackSummary
from legwise.model.track import AltitudeKind, Track


def summarise(track: Track, altitude: AltitudeKind | None) -> TrackSummary:
    """The track in figures; ``altitude`` is the kind that is judged, None where the log holds none."""
    samples = track.samples
    altitudes = sorted(f"altitude_{kind.value.replace('-', '_')}_ft" for kind in samples.altitudes_ft)
    channels = sorted(channel.value for channel in samples.channels)
    return TrackSummary(
        file=track.source.file,
        format=track.source.format,
        samples=track.samples_read,
        kept=len(track),
        start=instant(track.first_time_s),
        end=instant(track.last_time_s),
        rate_hz=round(track.rate_hz, 6),
        channels=("time", "lat_deg", "lon_deg", *altitudes, *channels),
        altitude_source=altitude.value if altitude is not None else "none",
        faults=track.faults,
        sha256=track.source.sha256,
        notes=_notes(track),
    )


def _notes(track: Track) -> tuple[str, ...]:
    container = track.source.container
    return (f"unpacked from {container}", *track.source.notes) if container else track.source.notes
