"""What a campaign starts from: short logs of every format, and the words that a reader looks for."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Mapping
from pathlib import Path

from tracks.flight_dresses import (
    DRESSES,
    Flight,
    Moment,
    as_csv,
    as_gpx,
    as_igc,
    as_kml,
    as_nmea,
    gzipped,
    sentence,
    zipped,
)

TOKENS = Path(__file__).parent / "tokens"
RECORDINGS = Path(__file__).parents[1] / "data" / "tracks"
SUFFIXES: Mapping[str, tuple[str, ...]] = {
    "csv": (".csv",), "gpx": (".gpx",), "igc": (".igc",), "nmea": (".nmea",), "kml": (".kml",)
}  # fmt: skip
FORMATS: Mapping[str, str] = {"csv": "CSV", "gpx": "GPX", "igc": "IGC", "nmea": "NMEA 0183", "kml": "KML"}


def seeds(reader: str, longest: int) -> list[bytes]:
    """Short files for a reader to begin with, none longer than ``longest`` bytes."""
    if reader == "container":
        inner = [write(flight) for flight in _flights() for write in (as_csv, as_gpx, as_igc, as_nmea, as_kml)]
        packed = [pack(cut(data, longest)) for data in inner[:10] for pack in (gzipped, zipped)]
        return [*packed, zipped(gzipped(inner[0])), gzipped(inner[0]) + gzipped(inner[0])]
    if reader == "mending":
        return [bytes(data[:longest]) for data in _RECORDS]
    if reader == "columns":
        return [text.encode() for text in _COLUMNS]
    made = [dress.write(flight) for flight in _flights() for dress in DRESSES if dress.format == FORMATS[reader]]
    found = [path.read_bytes() for path in sorted(RECORDINGS.iterdir()) if path.suffix in SUFFIXES[reader]]
    own: Mapping[str, tuple[bytes, ...]] = {"csv": _CSV, "nmea": _NMEA, "igc": _IGC, "gpx": _GPX, "kml": _KML}
    return [cut(data, longest) for data in (*made, *found, *own[reader])]


def cut(data: bytes, longest: int) -> bytes:
    """The first whole lines of a file."""
    if len(data) <= longest:
        return data
    short = data[:longest]
    at = max(short.rfind(b"\n"), short.rfind(b">"))
    return short[: at + 1] if at > longest // 2 else short


def _flights() -> list[Flight]:
    """Short flights: straight, over midnight, standing, several times a second, with a stop between two flights."""
    return [
        _flown(9, 1.0, "12:00:00", 120.0),
        _flown(12, 2.0, "23:59:50", 90.0),
        _flown(8, 1.0, "09:00:00", 0.0),
        _flown(12, 0.25, "15:30:00", 140.0),
        (*_flown(6, 60.0, "06:00:00", 100.0), *_flown(4, 60.0, "06:10:00", 0.0), *_flown(6, 60.0, "07:00:00", 100.0)),
    ]


def _flown(count: int, step_s: float, clock: str, speed_kt: float) -> Flight:
    start = dt.datetime.fromisoformat(f"2026-04-18T{clock}+00:00")
    moments = []
    for index in range(count):
        moved = speed_kt * index * step_s / 3600 / 60
        lon = -28.0 + moved * 0.5 / math.cos(math.radians(46.5))
        moments.append(
            Moment(start + dt.timedelta(seconds=index * step_s), 46.5 + moved, lon, 900 + index, speed_kt, 19)
        )
    return tuple(moments)


_CSV = tuple(
    text.encode()
    for text in (
        "timestamp,lat,lon,alt\n" + "".join(f"{1776517960 + n},46.5{n},-28.0,3000\n" for n in range(9)),
        "Date\tLocal time\tUTC offset\tLat\tLong\tAlt ind\n"
        + "".join(f"18/04/2026\t13:12:0{n}\t-03:00\tN46°30.{n}'\tW028°00.1'\t3,120\n" for n in range(9)),
        "#units,,\nUTC (s),Latitude [rad],Longitude [rad],Height AMSL [m],,\n"
        + "".join(f"17765179{60 + n}.5,0.81{n},-0.488,950.{n},,\n" for n in range(9)),
        'aircraft,time,lat,lon,"alt, ft"\n'
        + "".join(f'{"AB"[n % 2]},2026-04-18T1{n}:00Z,46.{n},-28,"1,{n}00"\n' for n in range(9)),
        "message|time (UTC)|latitude|longitude|GS\n"
        + "".join(f"POS|2026-04-18 10:00:0{n}|46.{n}|-28|\nSPD|2026-04-18 10:00:0{n}|||9{n}\n" for n in range(9)),
    )
)
_GPX = (
    (
        b"<gpx><trk><trkseg><trkpt lat='46' lon='-28'><time>2026-04-18T10:00:00Z</time></trkpt></trkseg><trkseg/>"
        b"<trkseg><trkpt lat='46.1' lon='-28'><time>2026-04-18T09:00:00+01:00</time><extensions><speed>1</speed>"
        b"</extensions></trkpt></trkseg></trk><trk><trkpt lat='0' lon='0'/></trk></gpx>"
    ),
)
_KML = (
    (
        b"<kml xmlns:gx='x'><Placemark><gx:MultiTrack><gx:Track><when>2026-04-18T10:00:00Z</when>"
        b"<gx:coord>-28 46 9</gx:coord><when>2026-04-18T10:00:01Z</when><gx:coord>-28 46.001 9</gx:coord></gx:Track>"
        b"<gx:Track><when>2026-04-18T10:01:00Z</when><gx:coord/></gx:Track></gx:MultiTrack></Placemark></kml>"
    ),
    (
        b"<kml><Placemark><Track><altitudeMode>clampToGround</altitudeMode><when>2026-04-18T10:00:00+02:00</when>"
        b"<coord>-28 46</coord><when>2026-04-18T10:00:02Z</when><coord>-28.001 46 100</coord><ExtendedData>"
        b"<SchemaData schemaUrl='#s'><gx:SimpleArrayData name='speed'><gx:value>90</gx:value><gx:value>91</gx:value>"
        b"</gx:SimpleArrayData></SchemaData></ExtendedData></Track></Placemark></kml>"
    ),
)
_NMEA = (
    "\r\n".join(
        sentence(body)
        for second in range(5)
        for body in (
            f"GNZDA,10000{second}.00,18,04,2026,00,00",
            f"GNGLL,4630.{second}00,N,02800.100,W,10000{second}.00,A,A",
            "GNVTG,19.0,T,30.0,M,120.0,N,222.2,K,A",
            f"GNGNS,10000{second}.00,4630.{second}00,N,02800.100,W,AA,10,0.9,950.0,50.0,,",
            f"IIRMC,10000{second},V,,,,,,,180426,,",
            "GPGSV,1,1,01,01,40,083,46",
        )
    ).encode(),
)
_IGC = (
    b"AXXXMADE\r\nHFDTEDATE:180426,01\r\nHFALG:GEO\r\nHOTZN:-3\r\nI033637LAD3839LOD4042GSP\r\n"
    + b"".join(b"B23595%d4630123N02800123WV0000000950%02d%02d090\r\n" % (n, n, n) for n in range(5))
    + b"LXXX remark\r\nE235955PEV\r\nF235955010203\r\nK235956090\r\n"
    + b"B0000014630223N02800123WA0000000950\r\nHFDTE190426\r\nB0000024630323N02800123WA00000-0950\r\nG1234\r\n",
)
_RECORDS = (
    # Interval, altitudes and channels, what is odd; then how often, time, place, altitude, speed.
    (0, 31, 15, 60, 0, 3, 80, 120, 60, 0, 3, 80, 120),
    (0, 3, 1, *(60, 0, 150, 80, 120) * 3, *(63, 0, 170, 10, 0) * 4, *(60, 0, 3, 80, 120) * 3),
    (3, 1, 33, *(20, 0, 3, 80, 100, 3, 201, 3, 80, 100, 9, 255, 3, 80, 100, 9, 0, 200, 80, 100) * 3),
    (7, 4, 16, *(30, 0, 3, 80, 140, 0, 203, 3, 80, 140, 30, 0, 3, 90, 140, 2, 0, 212, 90, 140) * 2),
    (2, 5, 3, *(63, 0, 3, 80, 140) * 6),
)
_COLUMNS = (
    (
        '[columns]\ntime = "When"\nlat_deg = "Latitude"\nlon_deg = "Longitude"\nutc_offset = "-04:00"\n'
        'altitude_ft = { heading = "Alt", unit = "m", kind = "gnss-msl" }\n'
    ),
    '[columns]\ntime = "timestamp"\n[columns.groundspeed_kt]\nheading = "alt"\nunit = "kt"\n',
    "[lesson]\ndate = 2026-04-18\n[columns]\nlat_deg = 'lat'\nlon_deg = 'lon'\n",
)


def tokens(reader: str) -> tuple[bytes, ...]:
    """Words that a reader looks for, from ``tokens/``: one a line, with Python's escapes."""
    lines = (TOKENS / f"{reader}.txt").read_text(encoding="ascii").splitlines()
    return tuple(line.encode().decode("unicode_escape").encode("latin-1") for line in lines)
