"""GPX 1.0 and 1.1 to a raw track: what the pass over the file found, as columns, with notes."""

from __future__ import annotations

import codecs
import datetime as dt
from collections.abc import Mapping
from types import MappingProxyType
from xml.parsers import expat

import numpy as np

from legwise.errors import TrackFormatError, TrackTimeError
from legwise.model.arrays import FloatArray, readonly_floats, readonly_ints
from legwise.model.track import AltitudeKind, Channel, Fault, RawTrack, Samples, TrackSource
from legwise.tracks.gpx_faults import point_faults, twice_named
from legwise.tracks.gpx_pass import Found, GpxPass
from legwise.tracks.limits import ReadLimits
from legwise.tracks.numbers import normal_longitudes
from legwise.tracks.times import ZoneChoice, instants_of
from legwise.units import M_PER_FT


def read_gpx(
    data: bytes, where: str, source: TrackSource, *, utc_offset: str | None, date: dt.date | None, limits: ReadLimits
) -> RawTrack:
    """The points, route and waypoints of a GPX file, in file order.

    Raises :class:`TrackFormatError` for damaged or unsafe XML (naming the line) and :class:`TrackTimeError` for a file
    without a track, or with times that need a zone.
    """
    found, notes, faults = _parse_tolerantly(data, where, limits)
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


def _parse_tolerantly(data: bytes, where: str, limits: ReadLimits) -> tuple[Found, list[str], list[Fault]]:
    """Parse; bytes that are no UTF-8 although the file says so (or says nothing) are taken as Windows-1252."""
    reader = GpxPass(where, limits)
    # A byte order mark stands before a declaration that says something else.
    is_wide = data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE))
    try:
        cut = reader.parse(data, "utf-16" if is_wide else None)
    except TrackFormatError:
        if reader.error_code != expat.errors.codes[expat.errors.XML_ERROR_INVALID_TOKEN] or _is_utf8(data):
            raise
        reader = GpxPass(where, limits)
        cut = reader.parse(data, "windows-1252")
        return reader.found, ["the text is no UTF-8; read as Windows-1252"], [cut] if cut else []
    return reader.found, [], [cut] if cut else []


def _is_utf8(data: bytes) -> bool:
    try:
        data.decode("utf-8")
    except UnicodeDecodeError:
        return False
    return True


def _columns(found: Found) -> tuple[Mapping[AltitudeKind, FloatArray], Mapping[Channel, FloatArray]]:
    count = len(found.lat)
    altitudes: dict[AltitudeKind, FloatArray] = {}
    channels: dict[Channel, FloatArray] = {}
    elevation_ft = np.array(found.elevation_m) / M_PER_FT
    if np.isfinite(elevation_ft).any():
        altitudes[AltitudeKind.GNSS_MSL] = readonly_floats(elevation_ft)
    # An element of the format itself stands before an extension that says the same.
    for meaning, (indices, values) in sorted(found.others.items(), key=lambda item: (item[0].rank, item[0].name)):
        column = np.full(count, np.nan)
        column[np.array(indices)] = np.array(values) * meaning.factor
        if not np.isfinite(column).any():
            continue
        if isinstance(meaning.target, AltitudeKind):
            altitudes.setdefault(meaning.target, readonly_floats(column))
        else:
            channels.setdefault(meaning.target, readonly_floats(column))
    return MappingProxyType(altitudes), MappingProxyType(channels)


def _described(
    source: TrackSource, found: Found, notes: tuple[str, ...], altitudes: Mapping[AltitudeKind, FloatArray]
) -> TrackSource:
    said = [f"GPX {found.version}" if found.version else "GPX without a version", *notes]
    if AltitudeKind.GNSS_MSL in altitudes:
        said.append("<ele> is taken as GNSS height above mean sea level in metres, as the GPX schema says")
    said += [meaning.words for meaning in sorted(found.others, key=lambda meaning: (meaning.rank, meaning.name))]
    filled = [points for points in found.routes if len(points) > 1]
    if len(filled) > 1:
        said.append(f"{len(filled)} routes are in the file; the first is taken")
    said += twice_named(found)
    if found.unnamed:
        said.append("points without a name were given one (POINT01, ...)")
    return TrackSource(
        file=source.file,
        format="GPX",
        sha256=source.sha256,
        container=source.container,
        notes=(*source.notes, *said),
    )
