"""KML built in every dress that the standard allows comes back exactly as it was put in."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from legwise.model.track import AltitudeKind, Channel
from legwise.tracks import read_raw_bytes
from legwise.units import FT_PER_M

START = dt.datetime(2026, 4, 18, tzinfo=dt.UTC)


@dataclass(frozen=True)
class Record:
    """A record: None where nothing is recorded."""

    time_ms: int | None
    place: tuple[float, float] | None
    altitude_m: float | None
    heading_deg: float | None


degrees = st.integers(-(10**7), 10**7).map(lambda value: value / 1e7)
records = st.builds(
    Record,
    time_ms=st.none() | st.integers(0, 86_399_999),
    place=st.none() | st.tuples(degrees.map(lambda x: round(-28 + x, 7)), degrees.map(lambda x: round(46 + x, 7))),
    altitude_m=st.none() | st.integers(1, 50_000).map(lambda value: value / 10),
    heading_deg=st.none() | st.integers(1, 3599).map(lambda value: value / 10),
)
tracks = st.lists(st.lists(records, max_size=6), min_size=1, max_size=4).filter(
    lambda some: any(record.time_ms is not None for one in some for record in one)
)


def when_of(record: Record, prefix: str) -> str:
    if record.time_ms is None:
        return f"<{prefix}when/>"
    time = START + dt.timedelta(milliseconds=record.time_ms)
    return f"<{prefix}when>{time.isoformat(timespec='milliseconds').replace('+00:00', 'Z')}</{prefix}when>"


def coord_of(record: Record, prefix: str) -> str:
    if record.place is None:
        return f"<{prefix}coord/>"
    altitude = "" if record.altitude_m is None else f" {record.altitude_m!r}"
    return f"<{prefix}coord>{record.place[0]!r} {record.place[1]!r}{altitude}</{prefix}coord>"


def angles_of(record: Record, prefix: str) -> str:
    return f"<{prefix}angles>{'' if record.heading_deg is None else f'{record.heading_deg!r} 0 0'}</{prefix}angles>"


@settings(deadline=None, derandomize=True, max_examples=300)
@given(
    every=tracks,
    by_turns=st.booleans(),
    times_first=st.booleans(),
    prefix=st.sampled_from(["", "gx:", "kml:"]),
    is_multiple=st.booleans(),
    has_angles=st.booleans(),
    mode=st.sampled_from(["absolute", ""]),
    between=st.sampled_from(["", "\n", " <!-- <when> --> ", "<extrude>1</extrude>"]),
    encoding=st.sampled_from(["utf-8", "utf-8-sig", "utf-16", "utf-16-le"]),
)
def test_what_was_built_comes_back(
    every: list[list[Record]],
    by_turns: bool,
    times_first: bool,
    prefix: str,
    is_multiple: bool,
    has_angles: bool,
    mode: str,
    between: str,
    encoding: str,
) -> None:
    parts: list[str] = []
    for one in every:
        lists = [[when_of(record, prefix) for record in one], [coord_of(record, prefix) for record in one]]
        if has_angles:
            lists.append([angles_of(record, prefix) for record in one])
        if not times_first:
            lists.reverse()
        inner = [text for part in (zip(*lists, strict=True) if by_turns else lists) for text in part]
        said = "" if is_multiple or not mode else f"<altitudeMode>{mode}</altitudeMode>"
        parts.append(f"<{prefix}Track>{said}{between}{between.join(inner)}</{prefix}Track>")
    if is_multiple:
        said = f"<altitudeMode>{mode}</altitudeMode>" if mode else ""
        body = f"<Placemark><{prefix}MultiTrack>{said}{''.join(parts)}</{prefix}MultiTrack></Placemark>"
    else:
        body = "".join(f"<Placemark>{part}</Placemark>" for part in parts)
    samples = read_raw_bytes(f"<kml><Folder>{body}</Folder></kml>".encode(encoding), "built").samples

    numbered = [(number, record) for number, one in enumerate(every) for record in one]
    times = [record.time_ms for _number, record in numbered if record.time_ms is not None]
    if len(times) > 2 and times[0] > times[-1] and times == sorted(times, reverse=True):
        numbered.reverse()  # the newest stands first
    flat = [record for _number, record in numbered]
    assert samples.segment.tolist() == [number for number, _record in numbered]
    assert samples.time_s.tolist() == pytest.approx(
        [np.nan if r.time_ms is None else START.timestamp() + r.time_ms / 1e3 for r in flat], abs=1e-6, nan_ok=True
    )
    places = [r.place or (np.nan, np.nan) for r in flat]
    np.testing.assert_array_equal(samples.lon_deg, [place[0] for place in places])
    np.testing.assert_array_equal(samples.lat_deg, [place[1] for place in places])
    altitudes_m = [r.altitude_m if r.place is not None and r.altitude_m is not None else np.nan for r in flat]
    kind = AltitudeKind.GNSS_MSL if mode else AltitudeKind.UNKNOWN
    same_or_none(samples.altitudes_ft.get(kind), np.array(altitudes_m) * FT_PER_M)
    headings = [np.nan if r.heading_deg is None or not has_angles else r.heading_deg for r in flat]
    same_or_none(samples.channels.get(Channel.HEADING_DEG_TRUE), np.array(headings))
    assert len(samples.altitudes_ft) <= 1


def same_or_none(found: object, expected: object) -> None:
    """A column of which nothing is recorded is not there."""
    values = np.asarray(expected, dtype=np.float64)
    if np.isfinite(values).any():
        np.testing.assert_allclose(np.asarray(found, dtype=np.float64), values, rtol=1e-14)
    else:
        assert found is None
