"""NMEA 0183 logs written for a test: sentences with the checksum of the standard, near 46 N 028 W."""

from __future__ import annotations

import functools
import operator

PLACE = "4630.1234,N,02800.5678,W"
"""A position; the same in degrees is ``LAT_DEG`` and ``LON_DEG``."""

LAT_DEG = 46.0 + 30.1234 / 60.0
LON_DEG = -(28.0 + 0.5678 / 60.0)


def checksum(body: str) -> int:
    """The exclusive or of the characters between dollar sign and star."""
    return functools.reduce(operator.xor, body.encode("ascii"), 0)


def sentence(body: str) -> str:
    """A sentence of ``body``, without the end of the line."""
    return f"${body}*{checksum(body):02X}"


def broken(body: str) -> str:
    """A sentence with a wrong checksum."""
    return f"${body}*{checksum(body) ^ 0x15:02X}"


def rmc(
    time: str = "131240",
    *,
    place: str = PLACE,
    date: str = "180426",
    status: str = "A",
    motion: str = "120.5,271.3",
    mode: str = "A",
    talker: str = "GP",
) -> str:
    """The body of an RMC."""
    return f"{talker}RMC,{time},{status},{place},{motion},{date},,,{mode}"


def gga(
    time: str = "131240",
    *,
    place: str = PLACE,
    quality: str = "1",
    height: str = "951.0,M,52.1,M",
    hdop: str = "0.9",
    talker: str = "GP",
) -> str:
    """The body of a GGA."""
    return f"{talker}GGA,{time},{place},{quality},08,{hdop},{height},,"


def gll(time: str = "131240", *, place: str = PLACE, status: str = "A", mode: str = "A", talker: str = "GP") -> str:
    """The body of a GLL."""
    return f"{talker}GLL,{place},{time},{status},{mode}"


def log_of(*bodies: str, end: str = "\r\n") -> str:
    """A log of sentences; what begins with a dollar sign is taken as it is."""
    return "".join((body if "$" in body else sentence(body)) + end for body in bodies)
