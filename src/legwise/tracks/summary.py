"""What was in a log, for ``inspect`` and for the head of a debrief."""

from __future__ import annotations

from legwise.model.instants import instant
from legwise.model.results import TrackSummary
from legwise.model.track import AltitudeKind, Track
from legwise.tracks.flights.listing import flight_summary


def summarise(track: Track, altitude: AltitudeKind | None, altitude_reason: str = "") -> TrackSummary:
    """The track in figures; ``altitude`` is the kind that is judged, for that reason; None where the log holds none.

    Where the log names several aircraft, what is counted is of all of them.
    """
    tracks = (track, *track.others)
    kinds = {kind for each in tracks for kind in each.samples.altitudes_ft}
    altitudes = sorted(f"altitude_{kind.value.replace('-', '_')}_ft" for kind in kinds)
    channels = sorted({channel.value for each in tracks for channel in each.samples.channels})
    return TrackSummary(
        file=track.source.file,
        format=track.source.format,
        samples=sum(each.samples_read for each in tracks),
        kept=sum(map(len, tracks)),
        start=instant(min(each.first_time_s for each in tracks)),
        end=instant(max(each.last_time_s for each in tracks)),
        rate_hz=float(f"{track.rate_hz:.6g}"),
        channels=("time", "lat_deg", "lon_deg", *altitudes, *channels),
        altitude_source=altitude.value if altitude is not None else "none",
        faults=track.faults,
        sha256=track.source.sha256,
        notes=_notes(track),
        flights=tuple(map(flight_summary, track.flights)),
        altitude_reason=altitude_reason,
    )


def _notes(track: Track) -> tuple[str, ...]:
    container = track.source.container
    return (f"unpacked from {container}", *track.source.notes) if container else track.source.notes
