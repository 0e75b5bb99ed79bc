"""IGC to a raw track: what the pass over the file found, with days, void fixes, altitudes and notes.

The format is that of the FAI's "Technical Specification for IGC-Approved GNSS Flight Recorders", Appendix A: the text
of 2008 (with AL11) was read in a public copy, later amendments as public code quotes them. The security record (G) is
not checked: this is a debrief, no proof of a flight.
"""

from __future__ import annotations

import codecs
import datetime as dt
from collections.abc import Mapping
from dataclasses import replace
from types import MappingProxyType

import numpy as np

from legwise.errors import TrackTimeError
from legwise.model.arrays import FloatArray, readonly_floats, readonly_ints
from legwise.model.track import Channel, RawTrack, Samples, TrackSource
from legwise.tracks.igc.altitudes import altitudes_of
from legwise.tracks.igc.days import days_of_fixes
from legwise.tracks.igc.extensions import ignored_note
from legwise.tracks.igc.faults import damage_faults, time_faults, void_faults, without_fix
from legwise.tracks.igc.fixes import Fixes, joined_fixes
from legwise.tracks.igc.headers import date_of
from legwise.tracks.igc.records import Found, IgcPass
from legwise.tracks.limits import ReadLimits
from legwise.tracks.values.numbers import normal_longitudes
from legwise.units import S_PER_DAY


def read_igc(
    data: bytes, where: str, source: TrackSource, *, utc_offset: str | None, date: dt.date | None, limits: ReadLimits
) -> RawTrack:
    """The fixes of an IGC file, in file order. ``date`` is that of the first fix, for a file without a date header.

    Raises :class:`TrackTimeError` for a file without a fix that can be read, without a time, or without a date.
    """
    if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        data = data.decode("utf-16", errors="replace").encode("utf-8", errors="replace")
    found = IgcPass(where, limits).read(data)
    if not found.fixes or not any(len(part.line) for part in found.fixes):
        raise _no_fixes(found, where)
    fixes = joined_fixes(found.fixes)
    clock_s, clock_notes = _clock(fixes)
    time_s, date_notes = _instants(clock_s, fixes, found, date, where)
    no_fix = without_fix(fixes)
    altitudes = altitudes_of(found.headers, fixes.pressure_m, np.where(fixes.is_valid, fixes.gnss_m, np.nan))
    channels, channel_notes = _channels(fixes)
    samples = Samples(
        time_s=readonly_floats(time_s),
        lat_deg=readonly_floats(np.where(no_fix, np.nan, fixes.lat_deg)),
        lon_deg=readonly_floats(normal_longitudes(np.where(no_fix, np.nan, fixes.lon_deg))),
        altitudes_ft=MappingProxyType({kind: readonly_floats(feet) for kind, feet in altitudes.feet.items()}),
        channels=channels,
        segment=readonly_ints(np.searchsorted(found.recorders, fixes.line)),
        line=readonly_ints(fixes.line),
    )
    offset_notes = ["--utc-offset was not used: times in IGC are UTC"] if utc_offset else []
    notes = (
        *date_notes,
        *clock_notes,
        *offset_notes,
        *altitudes.notes,
        *_layout_notes(found),
        *channel_notes,
        *found.headers.notes(),
        *_record_notes(found),
    )
    return RawTrack(
        samples=samples,
        source=replace(source, format="IGC", notes=(*source.notes, *notes)),
        faults=(*damage_faults(found), *time_faults(time_s, fixes.line), *void_faults(fixes, no_fix)),
    )


def _no_fixes(found: Found, where: str) -> TrackTimeError:
    if not found.fix_lines:
        return TrackTimeError(
            "the IGC file holds no fix (B record), so no flight was recorded in it",
            where=where,
            remedy="Give the log of the flight.",
        )
    some = "the only fix" if found.fix_lines == 1 else f"none of the {found.fix_lines:,} fixes (B records)"
    told = "; ".join(fault.detail.removesuffix("; left out") for fault in damage_faults(found))
    verb = "can't be read" if found.fix_lines == 1 else "can be read"
    return TrackTimeError(f"{some} {verb}: {told}", where=where, remedy="Copy the log from the recorder again.")


def _clock(fixes: Fixes) -> tuple[FloatArray, list[str]]:
    """Seconds of the day, without those whose decimals are lost; a field that was never filled is as if it were not
    there.
    """
    lost = fixes.no_decimals
    if lost.all():
        return fixes.clock_s, ["decimals of the second (TDS) are announced and never recorded"]
    return np.where(lost, np.nan, fixes.clock_s), []


def _instants(
    clock_s: FloatArray, fixes: Fixes, found: Found, date: dt.date | None, where: str
) -> tuple[FloatArray, list[str]]:
    """Epoch seconds, NaN where a fix has no time, and notes on where the date comes from."""
    timed = np.flatnonzero(np.isfinite(clock_s))
    if not timed.size:
        raise TrackTimeError(
            "no fix has a time that can be read",
            where=f"{where}, line {fixes.line[0]}",
            remedy="Copy the log from the recorder again.",
        )
    marks = [(int(np.searchsorted(fixes.line[timed], line)), day) for line, day in found.headers.dates]
    if marks:
        line = found.headers.dates[0][0]
        said = f"the date header in line {line}"
        if len({day for _line, day in found.headers.dates}) > 1:
            said = f"{len(marks)} date headers, the first in line {line}"
    elif date is not None:
        marks, said = [(0, (date - dt.date(1970, 1, 1)).days)], "the date that was given"
    else:
        raise _no_date(found, where)
    days = days_of_fixes(clock_s[timed], fixes.is_valid[timed], marks)
    time_s = np.full(len(clock_s), np.nan)
    time_s[timed] = days * S_PER_DAY + clock_s[timed]
    first, last = date_of(int(days.min())), date_of(int(days.max()))
    span = f"{first.isoformat()} to {last.isoformat()}, over midnight UTC" if first != last else first.isoformat()
    return time_s, [f"fixes are of {span}, by {said}"]


def _no_date(found: Found, where: str) -> TrackTimeError:
    bad = found.headers.bad_dates
    held = "its date header holds no date of a flight" if bad else "it has no date header (HFDTE)"
    return TrackTimeError(
        f"the fixes have times of day, and no date: {held}",
        where=f"{where}, line {bad[0][0]}" if bad else where,
        remedy="Give the date of the first fix in UTC: --date YYYY-MM-DD, or [lesson] date = YYYY-MM-DD in the lesson.",
    )


def _channels(fixes: Fixes) -> tuple[Mapping[Channel, FloatArray], list[str]]:
    """The channels that were recorded: one that is zero throughout had no sensor."""
    channels: dict[Channel, FloatArray] = {}
    notes: list[str] = []
    for channel, values in fixes.channels.items():
        known = values[np.isfinite(values)]
        if not known.any():
            zero = "zero throughout; taken as not recorded" if known.size else "announced and never recorded"
            notes.append(f"{channel.value} is {zero}")
            continue
        if channel is Channel.HORIZONTAL_ACCURACY_M and not known.all():
            # No position is exact: a recorder that writes 0 m does not know.
            notes.append(f"an accuracy of 0 m in {np.count_nonzero(known == 0.0):,} fixes is taken as not recorded")
        is_none = (values == 0.0) & (channel is Channel.HORIZONTAL_ACCURACY_M)
        channels[channel] = readonly_floats(np.where(is_none, np.nan, values))
    return MappingProxyType(channels), notes


def _layout_notes(found: Found) -> list[str]:
    notes = dict.fromkeys(note for layout in found.layouts for note in (layout.problem, *layout.notes) if note)
    ignored = ignored_note({code for layout in found.layouts for code in layout.ignored})
    return [*notes, ignored] if ignored else list(notes)


def _record_notes(found: Found) -> list[str]:
    notes: list[str] = []
    if found.task_points:
        notes.append(f"a declared task ({found.task_points:,} points in C records) is not taken as a route")
    if found.further_data:
        notes.append(f"data between the fixes ({found.further_data:,} K records) are not read")
    if found.headers_left_out:
        notes.append(f"the file has very many headers (H, I); {found.headers_left_out:,} of them are not read")
    return notes
