"""GPX 1.0 and 1.1 to a raw track: what the pass over the file found, as columns, with notes."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from legwise.errors import TrackTimeError
from legwise.model.arrays import FloatArray
from legwise.model.track import AltitudeKind, RawTrack, TrackSource
from legwise.tracks.limits import ReadLimits
from legwise.tracks.times.instants import ZoneChoice, instants_of
from legwise.tracks.wording import listed, shown
from legwise.tracks.xml.assembly import Measured
from legwise.tracks.xml.elements import MOST_TOLD, ranked
from legwise.tracks.xml.gpx_faults import left_unread, point_faults, twice_named
from legwise.tracks.xml.gpx_pass import Found, GpxPass
from legwise.tracks.xml.guard import parsed_tolerantly
from legwise.units import M_PER_FT


def read_gpx(
    data: bytes, where: str, source: TrackSource, *, utc_offset: str | None, date: dt.date | None, limits: ReadLimits
) -> RawTrack:
    """The points, route and waypoints of a GPX file, in file order.

    Raises :class:`TrackFormatError` for damaged or unsafe XML (naming the line) and :class:`TrackTimeError` for a file
    without a track, or with times that need a zone.
    """
    reader, notes, faults = parsed_tolerantly(lambda: GpxPass(where, limits), data)
    found = reader.found
    if not found.lat:
        raise _no_points(found, where)
    lines = np.array(found.line, dtype=np.int64)
    instants = instants_of(
        found.time, lines, where=where, zone=ZoneChoice(utc_offset=utc_offset), date=date, what="<time>"
    )
    faults += point_faults(found, instants.unreadable)
    measured = _measured(found)
    return RawTrack(
        samples=measured.samples(found, instants.time_s),
        source=_described(source, found, (*notes, *instants.notes), AltitudeKind.GNSS_MSL in measured.altitudes),
        route=next((tuple(points) for points in found.routes if len(points) > 1), ()),
        waypoints=tuple(found.waypoints),
        faults=tuple(faults),
    )


def _no_points(found: Found, where: str) -> TrackTimeError:
    if any(found.routes):
        held = "a route but no track, so no flight was recorded in it"
    elif found.waypoints:
        held = "waypoints but no track, so no flight was recorded in it"
    else:
        held = "a track without points" if found.tracks else "no track"
    return TrackTimeError(
        f"the GPX file holds {held}", where=where, remedy="Give the recorded track (<trk> with <trkpt> and <time>)."
    )


def _measured(found: Found) -> Measured:
    measured, count = Measured({}), len(found.lat)
    measured.put(AltitudeKind.GNSS_MSL, np.array(found.elevation_m) / M_PER_FT)
    measured.put_all({meaning: _column(count, *found.others[meaning]) for meaning in found.others})
    return measured


def _column(count: int, indices: Sequence[int], values: Sequence[float]) -> FloatArray:
    column = np.full(count, np.nan)
    column[np.array(indices)] = np.array(values)
    return column


def _several(found: Found) -> list[str]:
    """Notes on what is more than one track with its segments."""
    said: list[str] = []
    if found.tracks > 1:
        named = f" ({listed(found.track_names, 4)})" if found.track_names else ""
        said.append(f"{found.tracks} tracks are in the file{named}; they are read as one")
    empty = found.segments - len(np.unique(np.array(found.segment)))
    if empty > 0:
        said.append(f"{empty} of {found.segments} segments {'hold' if empty > 1 else 'holds'} no points")
    return said


def _described(source: TrackSource, found: Found, notes: tuple[str, ...], has_elevations: bool) -> TrackSource:
    version = found.version if found.version.isprintable() else shown(found.version)
    said = [f"GPX {version}" if version else "GPX without a version", *notes]
    if has_elevations:
        said.append("<ele> is taken as GNSS height above mean sea level in metres, as the GPX schema says")
    said += [meaning.words for meaning in ranked(found.others)[:MOST_TOLD]]
    filled = [points for points in found.routes if len(points) > 1]
    if len(filled) > 1:
        said.append(f"{len(filled)} routes are in the file; the first is taken")
    said += [*twice_named(found), *_several(found), *left_unread(found)]
    if found.unnamed:
        said.append("points without a name were given one (POINT01, ...)")
    return replace(source, format="GPX", notes=(*source.notes, *said))
