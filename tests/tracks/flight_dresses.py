"""One made flight, written as each of the formats writes it: CSV, GPX, IGC, NMEA 0183 and KML, plain and packed.

The layouts are those of the published descriptions (GPX 1.0 and 1.1 schema, the IGC technical specification for flight
recorders, NMEA 0183, KML ``gx:Track``); nothing here is shared with the package.
"""

from __future__ import annotations

import datetime as dt
import gzip
import io
import zipfile
from collections.abc import Callable
from dataclasses import dataclass


@dataclass(frozen=True)
class Moment:
    """One record: UTC, WGS 84 degrees, metres above mean sea level, knots, degrees true."""

    time: dt.datetime
    lat_deg: float
    lon_deg: float
    height_m: float
    speed_kt: float
    course_deg: float


Flight = tuple[Moment, ...]


@dataclass(frozen=True)
class Dress:
    """A way to write a flight: the format's name as ``inspect`` says it, and what the way loses."""

    format: str
    write: Callable[[Flight], bytes]
    time_s: float
    position_deg: float
    height_m: float
    """The most that a value can differ from what was put in, for rounding."""


def as_csv(flight: Flight) -> bytes:
    """Comma separated, ISO 8601 times, feet."""
    lines = ["time_utc,latitude,longitude,altitude GPS MSL m,groundspeed kt"]
    for at in flight:
        lines.append(f"{_iso(at.time)},{at.lat_deg:.7f},{at.lon_deg:.7f},{at.height_m:.1f},{at.speed_kt:.1f}")
    return "\n".join([*lines, ""]).encode()


def as_wide_csv(flight: Flight) -> bytes:
    """Semicolons, decimal commas, a preamble, a units row, date and time in two columns, Windows-1252."""
    lines = [
        "Aufzeichnung;Übung 3",
        "Datum;# ein Flug",
        "Date;UTC;Latitude;Longitude;Altitude GPS MSL;GS;Track true;",
        "yyyy-mm-dd;hh:mm:ss;deg;deg;m;km/h;deg;",
    ]
    for at in flight:
        figures = (at.lat_deg, at.lon_deg)
        cells = [f"{value:.7f}" for value in figures] + [f"{at.height_m:.1f}", f"{at.speed_kt * 1.852:.1f}"]
        told = ";".join([*cells, f"{at.course_deg:.1f}"]).replace(".", ",")
        lines.append(f"{at.time:%Y-%m-%d};{_iso(at.time)[11:-1]};{told};")
    return "\r\n".join([*lines, ""]).encode("cp1252")


def as_gpx(flight: Flight) -> bytes:
    """GPX 1.1, one segment."""
    points = [
        f'<trkpt lat="{at.lat_deg:.7f}" lon="{at.lon_deg:.7f}"><ele>{at.height_m:.1f}</ele>'
        f"<time>{_iso(at.time)}</time></trkpt>"
        for at in flight
    ]
    head = '<gpx version="1.1" creator="made" xmlns="http://www.topografix.com/GPX/1/1"><trk><trkseg>'
    return "\n".join(['<?xml version="1.0" encoding="UTF-8"?>', head, *points, "</trkseg></trk></gpx>", ""]).encode()


def as_gpx_10(flight: Flight) -> bytes:
    """GPX 1.0 with a prefix, a route, waypoints, courses and speeds, in two segments, UTF-16."""
    points = [
        f'<g:trkpt lat="{at.lat_deg:.7f}" lon="{at.lon_deg:.7f}"><g:ele>{at.height_m:.1f}</g:ele>'
        f"<g:time>{_iso(at.time)}</g:time><g:course>{at.course_deg:.1f}</g:course>"
        f"<g:speed>{at.speed_kt * 1852 / 3600:.2f}</g:speed></g:trkpt>"
        for at in flight
    ]
    half = len(points) // 2
    named = [
        f'<g:{what} lat="{at.lat_deg:.5f}" lon="{at.lon_deg:.5f}"><g:name>{name}</g:name></g:{what}>'
        for what, name, at in (("rtept", "XTBN", flight[0]), ("rtept", "CALDU", flight[-1]))
    ]
    lines = [
        '<?xml version="1.0" encoding="UTF-16"?>',
        '<g:gpx version="1.0" creator="made" xmlns:g="http://www.topografix.com/GPX/1/0">',
        named[0].replace("rtept", "wpt"),
        "<g:rte>",
        *named,
        "</g:rte>",
        "<g:trk><g:name>A &amp; B</g:name><g:trkseg>",
        *points[:half],
        "</g:trkseg><g:trkseg>",
        *points[half:],
        "</g:trkseg></g:trk></g:gpx>",
    ]
    return "\r\n".join(lines).encode("utf-16")


def as_igc(flight: Flight) -> bytes:
    """A records' file with its extensions; B records hold thousandths of a minute, whole seconds and whole metres."""
    first = flight[0].time
    lines = ["AXXXMADE", f"HFDTE{first:%d%m%y}", "HFDTM100GPSDATUM:WGS84", "I023638FXA3941GSP"]
    for at in flight:
        place = f"{_igc_angle(at.lat_deg, 2, 'NS')}{_igc_angle(at.lon_deg, 3, 'EW')}"
        height = f"{round(at.height_m):05d}"
        lines.append(f"B{at.time:%H%M%S}{place}A{height}{height}008{round(at.speed_kt):03d}")
    return "\r\n".join([*lines, "G00000000", ""]).encode()


def as_nmea(flight: Flight) -> bytes:
    """RMC and GGA of each moment; ten-thousandths of a minute, hundredths of a second."""
    lines = []
    for at in flight:
        place = f"{_nmea_angle(at.lat_deg, 2, 'NS')},{_nmea_angle(at.lon_deg, 3, 'EW')}"
        clock = f"{at.time:%H%M%S}.{at.time.microsecond // 10_000:02d}"
        lines.append(sentence(f"GPRMC,{clock},A,{place},{at.speed_kt:.1f},{at.course_deg:.1f},{at.time:%d%m%y},,,A"))
        lines.append(sentence(f"GPGGA,{clock},{place},1,08,0.9,{at.height_m:.1f},M,50.0,M,,"))
    return "\r\n".join([*lines, ""]).encode()


def as_kml(flight: Flight) -> bytes:
    """One ``gx:Track``, times first."""
    whens = [f"<when>{_iso(at.time)}</when>" for at in flight]
    coords = [f"<gx:coord>{at.lon_deg:.7f} {at.lat_deg:.7f} {at.height_m:.1f}</gx:coord>" for at in flight]
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        '<kml xmlns="http://www.opengis.net/kml/2.2" xmlns:gx="http://www.google.com/kml/ext/2.2">',
        "<Document><Placemark><gx:Track><altitudeMode>absolute</altitudeMode>",
        *whens,
        *coords,
        "</gx:Track></Placemark></Document></kml>",
        "",
    ]
    return "\n".join(lines).encode()


def gzipped(data: bytes) -> bytes:
    """As gzip does it, without a time."""
    return gzip.compress(data, mtime=0)


def zipped(data: bytes, name: str = "doc.kml") -> bytes:
    """Alone in a zip."""
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr(zipfile.ZipInfo(name, (2026, 4, 18, 0, 0, 0)), data, zipfile.ZIP_DEFLATED)
    return buffer.getvalue()


DRESSES = (
    Dress("CSV", as_csv, 5e-4, 6e-8, 0.05),
    Dress("CSV", as_wide_csv, 5e-4, 6e-8, 0.05),
    Dress("GPX", as_gpx, 5e-4, 6e-8, 0.05),
    Dress("GPX", as_gpx_10, 5e-4, 6e-8, 0.05),
    Dress("IGC", as_igc, 0.0, 0.00051 / 60, 0.51),
    Dress("NMEA 0183", as_nmea, 5e-3, 0.000051 / 60, 0.05),
    Dress("KML", as_kml, 5e-4, 6e-8, 0.05),
)


def sentence(body: str) -> str:
    """``body`` between ``$`` and its checksum."""
    total = 0
    for byte in body.encode("latin-1", errors="replace"):
        total ^= byte
    return f"${body}*{total:02X}"


def _iso(time: dt.datetime) -> str:
    return f"{time:%Y-%m-%dT%H:%M:%S}.{time.microsecond // 1000:03d}Z"


def _igc_angle(value: float, figures: int, letters: str) -> str:
    thousandths = round(abs(value) * 60_000)
    return f"{thousandths // 60_000:0{figures}d}{thousandths % 60_000:05d}{letters[value < 0]}"


def _nmea_angle(value: float, figures: int, letters: str) -> str:
    parts = round(abs(value) * 600_000)
    degrees, minutes = divmod(parts, 600_000)
    return f"{degrees:0{figures}d}{minutes // 10_000:02d}.{minutes % 10_000:04d},{letters[value < 0]}"
