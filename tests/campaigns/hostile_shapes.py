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


def flown(name: str, size: int) -> Iterator[bytes]:
    """An honest log of about ``size`` bytes, ten records a second (one in IGC)."""
    write, head, tail = _HONEST[name]
    step_s = 1.0 if name == "igc" else 0.1
    whole = write(_stretch(0, 3, step_s))
    start = whole.index(head) + len(head) if head else 0
    yield whole[:start]
    done, at_once = 0, min(_MOST_AT_ONCE, size // 40)
    for first in itertools.count(0, at_once):
        text = write(_stretch(first, at_once, step_s))
        block = text[text.index(head) + len(head) if head else 0 : text.rindex(tail) if tail else len(text)]
        yield block
        done += len(block)
        if done >= size:
            break
    if tail:
        yield whole[whole.rindex(tail) :]


def flown_kml(size: int) -> Iterator[bytes]:
    """As :func:`flown`, all times before all places, as the format has them."""
    count = size // 108
    whole = as_kml(_stretch(0, 2, 0.1))
    yield whole[: whole.index(b"<when>")]
    for of, until in ((b"<when>", b"<gx:coord>"), (b"<gx:coord>", b"</gx:Track>")):
        for first in range(0, count, _MOST_AT_ONCE):
            text = as_kml(_stretch(first, min(_MOST_AT_ONCE, count - first), 0.1))
            yield text[text.index(of) : text.index(until)]
    yield whole[whole.index(b"</gx:Track>") :]


def _stretch(first: int, count: int, step_s: float) -> tuple[Moment, ...]:
    start = dt.datetime(2026, 4, 18, tzinfo=dt.UTC)
    return tuple(
        Moment(
            time=start + dt.timedelta(seconds=index * step_s),
            lat_deg=46.3 + 0.2 * math.sin(index * step_s / 900),
            lon_deg=-27.6 + 0.3 * math.cos(index * step_s / 900),
            height_m=900 + 50 * math.sin(index * step_s / 100),
            speed_kt=120.0,
            course_deg=90.0,
        )
        for index in range(first, first + count)
    )


_HONEST: Mapping[str, tuple[Callable[[tuple[Moment, ...]], bytes], bytes, bytes]] = {
    "csv": (as_csv, b"groundspeed kt\n", b""),
    "csv-wide": (as_wide_csv, b"km/h;deg;\r\n", b""),
    "gpx": (as_gpx, b"<trk><trkseg>", b"</trkseg>"),
    "igc": (as_igc, b"GSP\r\n", b"G0000"),
    "nmea": (as_nmea, b"", b""),
}
HONEST = (*_HONEST, "kml")


def honest(name: str, size: int) -> Iterator[bytes]:
    """An honest log of a format, of about ``size`` bytes."""
    return flown_kml(size) if name == "kml" else flown(name, size)
