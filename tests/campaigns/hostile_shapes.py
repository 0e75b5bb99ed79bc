"""Files of any size: honest logs, and shapes in which one thing is repeated for as long as was asked for."""

from __future__ import annotations

import datetime as dt
import itertools
import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

from tracks.flight_dresses import Moment, as_csv, as_gpx, as_igc, as_kml, as_nmea, as_wide_csv

_MOST_AT_ONCE = 20_000


@dataclass(frozen=True)
class Shape:
    """A beginning, something repeated (bytes, or bytes made of a count), an end."""

    head: bytes
    unit: bytes | Callable[[int], bytes]
    tail: bytes = b""

    def pieces(self, size: int) -> Iterator[bytes]:
        """The file, about ``size`` bytes of it."""
        left = size - len(self.head) - len(self.tail)
        yield self.head
        if isinstance(self.unit, bytes):
            count = max(1, left // len(self.unit))
            block = self.unit * max(1, (1 << 20) // len(self.unit))
            whole, rest = divmod(count, len(block) // len(self.unit))
            yield from itertools.repeat(block, whole)
            yield self.unit * rest
        else:
            for start in itertools.count(0, 1000):
                block = b"".join(map(self.unit, range(start, start + 1000)))
                yield block
                left -= len(block)
                if left <= 0:
                    break
        yield self.tail


def honest(name: str, size: int) -> Iterator[bytes]:
    """A log of a format of about ``size`` bytes: round and round, an hour a round.

    Ten records a second, one in IGC. Only the hours differ from one round to the next, so they are put in by
    replacing them; NMEA has checksums, and is written record by record.
    """
    if name == "nmea":
        yield from _joined(as_nmea, size)
        return
    way = _HONEST[name]
    whole = way.write(_flown(0, min(3600 * way.rate_hz, max(2, size // 40)), way.rate_hz))
    starts = [whole.index(begin) for begin, _end in way.stretches]
    stops = [whole.index(end) if end else len(whole) for _begin, end in way.stretches]
    of_round = sum(stop - start for start, stop in zip(starts, stops, strict=True))
    rounds = max(1, round(size / of_round))
    yield whole[: starts[0]]
    for start, stop in zip(starts, stops, strict=True):
        for hour in range(rounds):
            yield whole[start:stop].replace(way.hour(0), way.hour(hour))
    yield whole[stops[-1] :]


def _joined(write: Callable[[tuple[Moment, ...]], bytes], size: int) -> Iterator[bytes]:
    done, at_once = 0, min(_MOST_AT_ONCE, size // 40)
    for first in itertools.count(0, at_once):
        block = write(_flown(first, at_once, 10))
        yield block
        done += len(block)
        if done >= size:
            return


def _flown(first: int, count: int, rate_hz: int) -> tuple[Moment, ...]:
    start = dt.datetime(2026, 4, 18, tzinfo=dt.UTC)
    moments = []
    for index in range(first, first + count):
        turned = index / rate_hz / 3600 * math.tau
        moments.append(
            Moment(
                time=start + dt.timedelta(seconds=index / rate_hz),
                lat_deg=46.3 + 0.2 * math.sin(turned),
                lon_deg=-27.6 + 0.3 * math.cos(turned),
                height_m=900 + 50 * math.sin(10 * turned),
                speed_kt=120.0,
                course_deg=90.0,
            )
        )
    return tuple(moments)


def _dated(between: str) -> Callable[[int], bytes]:
    return lambda hour: f"2026-04-{18 + hour // 24:02d}{between}{hour % 24:02d}:".encode()


@dataclass(frozen=True)
class _Way:
    """How a format's log is written, how often a second, what of it is repeated, and how an hour shows in it."""

    write: Callable[[tuple[Moment, ...]], bytes]
    rate_hz: int
    stretches: tuple[tuple[bytes, bytes], ...]
    hour: Callable[[int], bytes]


_HONEST: Mapping[str, _Way] = {
    "csv": _Way(as_csv, 10, ((b"2026-", b""),), _dated("T")),
    "csv-wide": _Way(as_wide_csv, 10, ((b"2026-", b""),), _dated(";")),
    "gpx": _Way(as_gpx, 10, ((b"<trkpt", b"</trkseg>"),), _dated("T")),
    "kml": _Way(as_kml, 10, ((b"<when>", b"<gx:coord>"), (b"<gx:coord>", b"</gx:Track>")), _dated("T")),
    "igc": _Way(as_igc, 1, ((b"\nB00", b"\nG0000"),), lambda hour: b"\nB%02d" % (hour % 24)),
}
HONEST = (*_HONEST, "nmea")
