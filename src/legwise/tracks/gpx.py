"""GPX 1.0 and 1.1 to a raw track: what the pass over the file found, as columns, with notes."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from types import MappingProxyType

import numpy as np

from legwise.errors import TrackTimeError
from legwise.model.arrays import FloatArray, readonly_floats, readonly_ints
from legwise.model.track import AltitudeKind, Channel, RawTrack, Samples, TrackSource
from legwise.tracks.gpx_elements import MOST_TOLD, ranked
from legwise.tracks.gpx_faults import left_unread, point_faults, twice_named
from legwise.tracks.gpx_pass import Found, GpxPass
from legwise.tracks.limits import ReadLimits
from legwise.tracks.numbers import normal_longitudes
from legwise.tracks.times import ZoneChoice, instants_of
from legwise.tracks.wording import listed, shown
from legwise.tracks.xml_pass import parsed_tolerantly
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
    altitudes, channels = _columns(found)
    samples = Samples(
        time_s=readonly_floats(instants.time_s),
        lat_deg=readonly_floats(found.lat),
        lon_deg=readonly_floats(normal_longitudes(np.array(found.lon))),
        altitudes_ft=altitudes,
        channels=channels,
        segment=readonly_ints(found.segment),
        line=readonly_ints(lines),
    )
    return RawTrack(
        samples=samples,
        source=_described(source, found, (*notes, *instants.notes), altitudes),
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


def _columns(found: Found) -> tuple[Mapping[AltitudeKind, FloatArray], Mapping[Channel, FloatArray]]:
    count = len(found.lat)
    altitudes: dict[AltitudeKind, FloatArray] = {}
    channels: dict[Channel, FloatArray] = {}
    elevation_ft = np.array(found.elevation_m) / M_PER_FT
    if np.isfinite(elevation_ft).any():
        altitudes[AltitudeKind.GNSS_MSL] = readonly_floats(elevation_ft)
    # An element of the format itself stands before an extension that says the same.
    for meaning in ranked(found.others):
        indices, values = found.others[meaning]
        column = np.full(count, np.nan)
        column[np.array(indices)] = np.array(values) * meaning.factor
        if not np.isfinite(column).any():
            continue
        if isinstance(meaning.target, AltitudeKind):
            altitudes.setdefault(meaning.target, readonly_floats(column))
        else:
            channels.setdefault(meaning.target, readonly_floats(column))
    return MappingProxyType(altitudes), MappingProxyType(channels)


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


def _described(
    source: TrackSource, found: Found, notes: tuple[str, ...], altitudes: Mapping[AltitudeKind, FloatArray]
) -> TrackSource:
    version = found.version if found.version.isprintable() else shown(found.version)
    said = [f"GPX {version}" if version else "GPX without a version", *notes]
    if AltitudeKind.GNSS_MSL in altitudes:
        said.append("<ele> is taken as GNSS height above mean sea level in metres, as the GPX schema says")
    said += [meaning.words for meaning in ranked(found.others)[:MOST_TOLD]]
    filled = [points for points in found.routes if len(points) > 1]
    if len(filled) > 1:
        said.append(f"{len(filled)} routes are in the file; the first is taken")
    said += [*twice_named(found), *_several(found), *left_unread(found)]
    if found.unnamed:
        said.append("points without a name were given one (POINT01, ...)")
    return TrackSource(
        file=source.file,
        format="GPX",
        sha256=source.sha256,
        container=source.container,
        notes=(*source.notes, *said),
    )
