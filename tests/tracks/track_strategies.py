"""Hypothesis strategies for whole logs: a flight, the dress it is written in, the wrapping, faults planted in it."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Callable, Sequence

from hypothesis import strategies as st

from tracks.flight_dresses import DRESSES, Dress, Flight, Moment, gzipped, zipped

NM_PER_DEG = 60.0
DAY = dt.datetime(2026, 4, 18, tzinfo=dt.UTC)

Change = Callable[[bytes], bytes]


@st.composite
def flights(draw: st.DrawFn, *, whole_seconds: bool = True, least: int = 3, most: int = 25) -> Flight:
    """A flight near the Tarn Islands: one course, one speed, a climb; at any time of a day, so over midnight too.

    With ``whole_seconds`` every format can write its times; else they are whole hundredths.
    """
    count = draw(st.integers(least, most))
    step_s = draw(st.sampled_from([1, 2, 5, 8])) if whole_seconds else draw(st.sampled_from([0.1, 0.2, 0.25, 0.5, 1.0]))
    start = DAY + dt.timedelta(seconds=draw(st.integers(0, 86_399) | st.integers(86_380, 86_399)))
    lat = draw(st.floats(45.0, 47.0, allow_nan=False))
    lon = draw(st.floats(-29.0, -27.0, allow_nan=False))
    speed_kt = draw(st.integers(50, 180))
    course_deg = draw(st.integers(0, 3599)) / 10
    height_m, climb_mps = draw(st.integers(1, 3000)), draw(st.integers(-2, 5))
    moments: list[Moment] = []
    for index in range(count):
        moved_deg = speed_kt * index * step_s / 3600 / NM_PER_DEG
        north, east = math.cos(math.radians(course_deg)), math.sin(math.radians(course_deg))
        moments.append(
            Moment(
                time=start + dt.timedelta(seconds=index * step_s),
                lat_deg=lat + moved_deg * north,
                lon_deg=lon + moved_deg * east / math.cos(math.radians(lat)),
                height_m=max(1.0, height_m + climb_mps * index * step_s),
                speed_kt=float(speed_kt),
                course_deg=course_deg,
            )
        )
    return tuple(moments)


dresses: st.SearchStrategy[Dress] = st.sampled_from(DRESSES)
wrappings: st.SearchStrategy[Change] = st.sampled_from([bytes, gzipped, zipped])


def _lines_swapped(data: bytes, at: float, to: float) -> bytes:
    lines = data.splitlines(keepends=True)
    one, other = _index(lines, at), _index(lines, to)
    lines[one], lines[other] = lines[other], lines[one]
    return b"".join(lines)


def _line_doubled(data: bytes, at: float, to: float) -> bytes:
    lines = data.splitlines(keepends=True)
    lines.insert(_index(lines, to), lines[_index(lines, at)])
    return b"".join(lines)


def _line_left_out(data: bytes, at: float, _to: float) -> bytes:
    lines = data.splitlines(keepends=True)
    del lines[_index(lines, at)]
    return b"".join(lines)


def _lines_moved(data: bytes, at: float, to: float) -> bytes:
    lines = data.splitlines(keepends=True)
    one, other = sorted((_index(lines, at), _index(lines, to)))
    return b"".join([*lines[:1], *lines[other:], *lines[1:one], *lines[one:other]])


def _cut(data: bytes, at: float, _to: float) -> bytes:
    return data[: int(at * len(data))]


def _beginning_lost(data: bytes, at: float, _to: float) -> bytes:
    return data[int(at * len(data)) :]


def _stretch_lost(data: bytes, at: float, to: float) -> bytes:
    start = int(at * len(data))
    return data[:start] + data[start + 1 + int(to * 80) :]


def _byte_flipped(data: bytes, at: float, to: float) -> bytes:
    changed = bytearray(data)
    changed[_index(data, at)] ^= 1 << int(to * 7)
    return bytes(changed)


def _byte_set(data: bytes, at: float, to: float) -> bytes:
    changed = bytearray(data)
    changed[_index(data, at)] = int(to * 255)
    return bytes(changed)


def _put_in(data: bytes, at: float, to: float) -> bytes:
    things = (
        b'"',
        b"\n",
        b"\r",
        b",",
        b";",
        b"\0",
        b"<",
        b">",
        b"&x;",
        b"#",
        b"*",
        b"$",
        b"-",
        b"1e999",
        b"nan",
        b"\xe9",
        b"B1",
    )
    start = int(at * len(data))
    return data[:start] + things[int(to * (len(things) - 1))] + data[start:]


def _other_encoding(data: bytes, at: float, _to: float) -> bytes:
    encodings = ("utf-16", "utf-16-le", "utf-16-be", "utf-8-sig", "utf-32", "cp037")
    return data.decode("utf-8", errors="replace").encode(encodings[int(at * (len(encodings) - 1))], errors="replace")


def _other_line_ends(data: bytes, at: float, _to: float) -> bytes:
    ends = (b"\r", b"\r\n", b"\n\n", b"\r\r\n", b" \n")
    return data.replace(b"\r\n", b"\n").replace(b"\n", ends[int(at * (len(ends) - 1))])


def _twice(data: bytes, _at: float, _to: float) -> bytes:
    return data + data


def _wrapped(data: bytes, at: float, to: float) -> bytes:
    """Packed, and now and then cut or changed inside the archive."""
    packed = gzipped(data) if at < 0.5 else zipped(data)
    return _byte_flipped(packed, to, at) if to < 0.7 else packed[: int(to * len(packed))]


def _index(things: bytes | list[bytes], at: float) -> int:
    return min(len(things) - 1, int(at * len(things)))


FAULTS = (
    _lines_swapped, _line_doubled, _line_left_out, _lines_moved, _cut, _beginning_lost, _stretch_lost, _byte_flipped,
    _byte_set, _put_in, _other_encoding, _other_line_ends, _twice, _wrapped,
)  # fmt: skip
"""Each takes the bytes (not none) and two places in them from 0 to 1."""

_places = st.floats(0.0, 1.0, allow_nan=False)
_faults = st.lists(st.tuples(st.sampled_from(FAULTS), _places, _places), min_size=1, max_size=4)


@st.composite
def damaged_logs(draw: st.DrawFn) -> bytes:
    """A flight in any dress, with one to four faults planted one on the other."""
    data = draw(dresses).write(draw(flights(least=1)))
    for fault, at, to in draw(_faults):
        data = fault(data, at, to) if data else data
    return data


@st.composite
def damaged_bytes(draw: st.DrawFn, seeds: Sequence[bytes], pieces: Sequence[bytes], most: int = 4) -> bytes:
    """One of ``seeds`` with a byte set, its end cut off, a stretch lost or doubled, or one of ``pieces`` put in, up to
    ``most`` times.
    """
    content = bytearray(draw(st.sampled_from(seeds)))
    for _ in range(draw(st.integers(1, most))):
        at = draw(st.integers(0, max(0, len(content) - 1)))
        how = draw(st.sampled_from(["set", "cut", "drop", "insert", "double"]))
        if how == "set" and content:
            content[at] = draw(st.integers(0, 255))
        elif how == "cut":
            del content[at:]
        elif how == "drop":
            del content[at : at + draw(st.integers(1, 40))]
        elif how == "insert":
            content[at:at] = draw(st.sampled_from(pieces))
        else:
            content[at:at] = content[at : at + 60]
    return bytes(content)
