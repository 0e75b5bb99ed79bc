"""A raw track to one that can be debriefed. As little as can be is left out, and nothing without being counted."""

from __future__ import annotations

from types import MappingProxyType

import numpy as np

from legwise.errors import TrackTimeError
from legwise.model.arrays import BoolArray, IntArray, readonly_floats, readonly_ints
from legwise.model.track import Fault, RawTrack, Samples, Track, with_notes
from legwise.tracks import defects
from legwise.tracks.impossible import without_impossible_values
from legwise.tracks.jumps import FASTEST_KT, reachable
from legwise.tracks.motion import motion_of
from legwise.tracks.record_order import in_time_order
from legwise.tracks.wording import clock, places, several, shown_path

_NO_GNSS_YET_S = 631_152_000.0
_TOO_LATE_S = 4_102_444_800.0
"""Times before 1990 or after 2099 are what a clock says that was never set."""

_FAR_FROM_ZERO_DEG = 1.0


def mend(raw: RawTrack) -> Track:
    """Leave out what can't be used, put the rest in the order of time, flag what is odd, derive the motion.

    Left out are records without a usable time or position, the later ones of equal times, and positions that no
    aircraft could reach; values that no aircraft could have become missing. Everything else is kept and, where it is
    odd, told in ``faults``. Raises :class:`TrackTimeError` where fewer than two samples are left.
    """
    faults = list(raw.faults)
    samples = raw.samples
    usable, blank_faults = _usable(samples)
    faults += blank_faults
    read = int(np.count_nonzero(usable))
    if read < 2:
        raise _too_few(raw, usable)
    first_s, last_s = float(samples.time_s[usable].min()), float(samples.time_s[usable].max())
    keep = np.flatnonzero(usable)
    zero = _at_zero(samples, keep)
    if _is_nowhere(samples, keep):
        raise TrackTimeError(
            f"no usable position: latitude 0, longitude 0 in all {len(keep)} records that have one",
            where=shown_path(raw.source.file),
            remedy="The receiver had no fix. Give a log in which it had one.",
        )
    if zero.any():
        faults.append(_zero_fault(samples, keep[zero]))
        keep = keep[~zero]
    keep, more, breaks = _in_order_and_reach(samples, keep)
    faults += more
    if len(keep) < 2:
        raise _too_few(raw, usable)
    kept, impossible = without_impossible_values(_taken(samples, keep))
    faults += impossible
    # Rounded, so that ten a second are ten; never zero.
    interval_s = max(round(float(np.median(np.diff(kept.time_s))), 6), 1e-6)
    gaps = defects.gaps_in(kept.time_s, interval_s)
    every_gap = sorted({*gaps, *((index - 1, index) for index in breaks)})
    found = motion_of(kept, tuple(every_gap))
    faults += _segment_faults(kept)
    faults += defects.gap_faults(kept, gaps, interval_s)
    faults += defects.frozen_faults(kept)
    faults += defects.standing_faults(kept, found.motion, every_gap)
    faults += defects.sudden_faults(kept, every_gap, interval_s)
    faults += defects.several_flights_faults(kept, found.motion)
    faults += [Fault(kind="contradicted-channel", count=1, detail=words) for words in found.contradicted]
    return Track(
        samples=kept,
        source=with_notes(raw.source, *found.notes),
        motion=found.motion,
        route=raw.route,
        waypoints=raw.waypoints,
        faults=_merged(faults),
        samples_read=read,
        first_time_s=first_s,
        last_time_s=last_s,
        interval_s=interval_s,
        gaps=tuple(every_gap),
    )


def _usable(samples: Samples) -> tuple[BoolArray, list[Fault]]:
    """Records with a time and a position, and the faults of the others."""
    has_time = np.isfinite(samples.time_s)
    set_clock = _clock_was_set(samples)
    given = np.isfinite(samples.lat_deg) & np.isfinite(samples.lon_deg)
    on_earth = given & (np.abs(samples.lat_deg) <= 90.0) & (samples.lon_deg >= -180.0) & (samples.lon_deg < 180.0)
    faults: list[Fault] = []
    for bad, kind, words in (
        (~has_time, "no-time", "no time"),
        (has_time & ~set_clock, "unset-clock", "a time before 1990 or after 2099"),
        (~given, "blank-position", "no position"),
        (given & ~on_earth, "blank-position", "a latitude beyond 90° or a longitude beyond 360°"),
    ):
        if bad.any():
            detail = f"{words} in {places(samples.line[bad].tolist())}; left out"
            faults.append(Fault(kind=kind, count=int(bad.sum()), detail=detail))
    return has_time & set_clock & on_earth, faults


def _clock_was_set(samples: Samples) -> BoolArray:
    was_set: BoolArray = (samples.time_s >= _NO_GNSS_YET_S) & (samples.time_s < _TOO_LATE_S)
    return was_set


def _too_few(raw: RawTrack, usable: BoolArray) -> TrackTimeError:
    samples = raw.samples
    timed = int(np.count_nonzero(np.isfinite(samples.time_s)))
    unset = timed - int(np.count_nonzero(_clock_was_set(samples)))
    placed = int(np.count_nonzero(np.isfinite(samples.lat_deg) & np.isfinite(samples.lon_deg)))
    beyond = int(np.count_nonzero(np.abs(samples.lat_deg) > 90.0))
    if len(samples) and beyond == placed > 0:
        message = "no usable position: the latitude is beyond 90° in every record"
        remedy = "Are latitude and longitude exchanged, or in another form than degrees?"
    elif unset and unset > timed - unset:
        message = (
            f"the recorder's clock was not set: {unset} of {len(samples)} records have a time before 1990 or after 2099"
        )
        remedy = "Give a log whose times are those of the flight."
    else:
        message = (
            f"{int(np.count_nonzero(usable))} of {len(samples)} records have both a time and a position to use, "
            f"two different times are needed ({timed - unset} with a time, {placed} with a position)"
        )
        lacks = "times" if timed - unset < 2 else "positions" if placed < 2 else "times and positions"
        remedy = f"Give the log of the whole flight, with {lacks}."
    return TrackTimeError(message, where=shown_path(raw.source.file), remedy=remedy)


def _at_zero(samples: Samples, keep: IntArray) -> BoolArray:
    """Positions at latitude 0, longitude 0 of a flight that is elsewhere: what some loggers write without a fix."""
    lat, lon = samples.lat_deg[keep], samples.lon_deg[keep]
    zero: BoolArray = (lat == 0.0) & (lon == 0.0)
    if not zero.any() or zero.all():
        return zero & False
    elsewhere = max(abs(float(np.median(lat[~zero]))), abs(float(np.median(lon[~zero])))) > _FAR_FROM_ZERO_DEG
    return zero & elsewhere


def _is_nowhere(samples: Samples, keep: IntArray) -> bool:
    return bool(np.all(samples.lat_deg[keep] == 0.0) and np.all(samples.lon_deg[keep] == 0.0))


def _zero_fault(samples: Samples, at: IntArray) -> Fault:
    detail = f"latitude 0, longitude 0 in {places(samples.line[at].tolist())}; left out"
    return Fault(kind="zero-position", count=len(at), detail=detail)


def _in_order_and_reach(samples: Samples, keep: IntArray) -> tuple[IntArray, list[Fault], list[int]]:
    """Indices in the order of time without repeats and jumps, the faults, and the kept positions after jumps that
    stay.
    """
    ordered = in_time_order(samples.time_s[keep], samples.lat_deg[keep], samples.lon_deg[keep], samples.line[keep])
    keep = keep[ordered.order]
    faults = list(ordered.faults)
    reach = reachable(samples.time_s[keep], samples.lat_deg[keep], samples.lon_deg[keep])
    gone = keep[~reach.keep]
    stays = keep[reach.breaks]
    if len(gone) or len(stays):
        told: list[str] = []
        if len(gone):
            told.append(f"{places(samples.line[np.sort(gone)].tolist())} lie where no aircraft gets in time; left out")
        if len(stays):
            when = several([clock(float(samples.time_s[index])) for index in stays])
            told.append(f"the track goes on elsewhere at {when}; kept, nothing is claimed in between")
        detail = f"{'; '.join(told)} (more than {FASTEST_KT:,.0f} kt)"
        faults.append(Fault(kind="jump", count=len(gone) + len(stays), detail=detail))
    position = np.cumsum(reach.keep) - 1
    return keep[reach.keep], faults, position[reach.breaks].tolist()


def _taken(samples: Samples, keep: IntArray) -> Samples:
    if len(keep) == len(samples) and bool(np.all(np.diff(keep) == 1)):
        return samples
    return Samples(
        time_s=readonly_floats(samples.time_s[keep]),
        lat_deg=readonly_floats(samples.lat_deg[keep]),
        lon_deg=readonly_floats(samples.lon_deg[keep]),
        altitudes_ft=MappingProxyType(
            {kind: readonly_floats(values[keep]) for kind, values in samples.altitudes_ft.items()}
        ),
        channels=MappingProxyType({name: readonly_floats(values[keep]) for name, values in samples.channels.items()}),
        segment=readonly_ints(samples.segment[keep]),
        line=readonly_ints(samples.line[keep]),
    )


def _segment_faults(samples: Samples) -> list[Fault]:
    changes = np.flatnonzero(np.diff(samples.segment) != 0) + 1
    if not changes.size:
        return []
    told = [clock(float(samples.time_s[index])) for index in changes]
    detail = f"a new segment begins at {several(told)}; read as one track"
    return [Fault(kind="segment", count=len(changes), detail=detail)]


def _merged(faults: list[Fault]) -> tuple[Fault, ...]:
    """One fault a kind, in the order they were found."""
    by_kind: dict[str, list[Fault]] = {}
    for fault in faults:
        by_kind.setdefault(fault.kind, []).append(fault)
    return tuple(
        Fault(kind=kind, count=sum(one.count for one in same), detail=". ".join(one.detail for one in same))
        for kind, same in by_kind.items()
    )
