"""KML to a raw track: the tracks of the file, else its placemarks that are points with a time. Nothing is fetched."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from legwise.errors import TrackTimeError
from legwise.model.arrays import FloatArray
from legwise.model.track import Channel, Fault, RawTrack, TrackSource
from legwise.tracks.limits import ReadLimits
from legwise.tracks.times.instants import ZoneChoice, instants_of
from legwise.tracks.wording import listed, places, shown
from legwise.tracks.xml.assembly import Measured
from legwise.tracks.xml.elements import MOST_TOLD
from legwise.tracks.xml.guard import parsed_tolerantly
from legwise.tracks.xml.kml_altitudes import altitudes_of
from legwise.tracks.xml.kml_found import Found, Rows, Stretch
from legwise.tracks.xml.kml_pass import KmlPass

_DATE_ALONE = re.compile(r"\d{4}(-\d{2}){0,2}")


def read_kml(
    data: bytes, where: str, source: TrackSource, *, utc_offset: str | None, date: dt.date | None, limits: ReadLimits
) -> RawTrack:
    """The records of a KML file, in file order; each track is a segment.

    Raises :class:`TrackFormatError` for damaged or unsafe XML and for a track whose times and positions can't be
    paired (naming its line), :class:`TrackTimeError` for a file without a timed track, or with times that need a zone.
    """
    reader, notes, faults = parsed_tolerantly(lambda: KmlPass(where, limits), data)
    found = reader.finished()
    rows = found.track_rows if found.tracks else found.point_rows
    if not rows.lon:
        raise _nothing_timed(found, where)
    _refuse_dates_alone(rows, where)
    instants = instants_of(
        rows.when,
        np.array(rows.when_line, dtype=np.int64),
        where=where,
        zone=ZoneChoice(utc_offset=utc_offset),
        date=date,
        what="<when>",
    )
    altitudes, altitude_notes = altitudes_of(rows)
    measured = Measured(altitudes)
    channel_notes = _put_arrays(measured, found, len(rows.lon))
    version = f"KML {found.version}" if found.version else "KML without a version"
    said = (version, *notes, *instants.notes, *altitude_notes, *channel_notes, *_notes(found))
    return RawTrack(
        samples=measured.samples(rows, instants.time_s),
        source=replace(source, format="KML", notes=(*source.notes, *said)),
        faults=(*faults, *_faults(found, instants.unreadable)),
    )


def _refuse_dates_alone(rows: Rows, where: str) -> None:
    """KML lets a ``when`` be a day, a month or a year; a track of them alone has no times."""
    first = next((index for index, text in enumerate(rows.when) if text), None)
    if first is not None and all(not text or _DATE_ALONE.fullmatch(text) for text in rows.when):
        raise TrackTimeError(
            f"<when> holds dates without a time of day: {shown(rows.when[first])}",
            where=f"{where}, line {rows.when_line[first]}",
            remedy="Give a log with the time of each position.",
        )


def _nothing_timed(found: Found, where: str) -> TrackTimeError:
    remedy = "Give the recorded track (gx:Track with <when> and <gx:coord>), or the log in another format."
    if found.tracks:
        held = "a track without positions"
    elif found.paths:
        held = "a path (LineString) without times, so when it was flown is not recorded in it"
    elif found.untimed:
        held = "points without times, so when they were flown is not recorded in it"
    elif found.links:
        held = "only a link to another file (NetworkLink), which is never fetched"
        remedy = "Open the link yourself, and give the file that it leads to."
    else:
        held = "no track"
    return TrackTimeError(f"the KML file holds {held}", where=where, remedy=remedy)


def _put_arrays(measured: Measured, found: Found, count: int) -> list[str]:
    """Add what stands in angles and arrays beside the rows to what was measured. Returns notes on these."""
    notes: list[str] = []
    headings = _column(found.headings_deg, count)
    # Writers that know no attitude fill in zeros.
    if np.nan_to_num(headings).any() or found.has_tilt or found.has_roll:
        if measured.put(Channel.HEADING_DEG_TRUE, headings):
            notes.append("the first of the <angles> is taken as heading (true) in degrees, as the KML reference says")
    elif np.isfinite(headings).any():
        notes.append("the <angles> are 0 throughout; they are taken as not recorded")
    taken = measured.put_all({meaning: _column(stretches, count) for meaning, stretches in found.arrays.items()})
    return [*notes, *(meaning.words for meaning in taken[:MOST_TOLD])]


def _column(stretches: Sequence[Stretch], count: int) -> FloatArray:
    column = np.full(count, np.nan)
    for stretch in stretches:
        column[stretch.start : stretch.start + len(stretch.values)] = stretch.values
    return column


def _notes(found: Found) -> list[str]:
    notes: list[str] = []
    filled = found.tracks - found.empty_tracks
    if filled > 1:
        several = f"{filled} tracks" if found.placemarks < 2 else f"{filled} tracks in {found.placemarks} placemarks"
        named = f" ({listed(found.track_names, 4)})" if found.track_names else ""
        notes.append(f"{several} are in the file{named}; they are read as one, in the order of the file")
    if found.empty_tracks:
        notes.append(
            f"{found.empty_tracks} of {found.tracks} tracks {'is' if found.empty_tracks == 1 else 'are'} empty"
        )
    if found.tracks:
        points = len(found.point_rows.lon) + len(found.untimed)
        if points:
            notes.append(f"placemarks that are points are not read beside the track: {points}")
    else:
        notes.append("each placemark that is a point with a time is read as one record")
        if found.from_span:
            notes.append(f"{found.from_span} times are the beginning of a <TimeSpan>")
    if found.unknown_arrays:
        notes.append(f"arrays of other things are not read: {listed(found.unknown_arrays, 6)}")
    return notes


def _faults(found: Found, unreadable_times: Sequence[int]) -> list[Fault]:
    faults: list[Fault] = []
    for kind, lines, words in (
        ("unreadable-time", unreadable_times, "no time that can be read: {}; taken as none"),
        ("unreadable-value", found.unreadable, "no numbers where they are due: {}; taken as not recorded"),
        (
            "no-time",
            () if found.tracks else found.untimed,
            "points without a time of their own in {}; left out",
        ),
    ):
        if len(lines):
            faults.append(Fault(kind=kind, count=len(lines), detail=words.format(places(lines))))
    why = dict(found.passed_over)
    if found.has_tilt or found.has_roll:
        why[
            "tilt and roll of the <angles>, of which the KML reference does not say which way is positive, are not read"
        ] = 1
    if why:
        detail = "; ".join(f"{words} ({count} times)" if count > 1 else words for words, count in list(why.items())[:6])
        more = f"; and {len(why) - 6} more" if len(why) > 6 else ""
        faults.append(Fault(kind="ignored-column", count=sum(why.values()), detail=detail + more))
    return faults
