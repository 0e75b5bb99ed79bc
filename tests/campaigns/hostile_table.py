"""Files that are made to cost more than they should."""

from __future__ import annotations

from collections.abc import Mapping

from campaigns.hostile_shapes import Shape
from tracks.flight_dresses import sentence

_CSV = b"time_utc,latitude,longitude,altitude_ft\n"
_ROW = b"2026-04-18T13:12:42Z,46.5,-28.0,3000\n"
_ROWS = b"2026-04-18T13:12:40Z,46.5,-28.0,3000\n2026-04-18T13:12:41Z,46.5,-28.0,3000\n"
_GPX, _GPX_END = b'<gpx version="1.1"><trk><trkseg>', b"</trkseg></trk></gpx>"
_POINTS = b"".join(
    b'<trkpt lat="46" lon="-28"><time>2026-04-18T13:12:4%dZ</time></trkpt>' % second for second in (0, 1)
)
_KML, _KML_END = b'<kml xmlns:gx="g"><Placemark><gx:Track>', b"</gx:Track></Placemark></kml>"
_PAIRS = b"".join(b"<when>2026-04-18T13:12:4%dZ</when><gx:coord>-28 46 1</gx:coord>" % second for second in (0, 1))
_IGC = b"AXXXMADE\r\nHFDTE180426\r\n"
_FIXES = b"B1200004630123N02800123WA0090000950\r\nB1200014630123N02800123WA0090000950\r\n"
_PLACE = "4600.0000,N,02800.0000,W"


def _said(*bodies: str) -> bytes:
    return b"".join(sentence(body).encode() + b"\r\n" for body in bodies)


_RMC = _said(*(f"GPRMC,00000{second}.00,A,{_PLACE},90.0,0.0,180426,,,A" for second in (0, 1)))
_DATED = b"%(day)02d/%(month)02d/%(year)d 13:12:00 +0000,46.5,-28,3000\n"  # a date of its own in every row

SHAPES: Mapping[str, Shape] = {
    "csv-one-line": Shape(_CSV + _ROWS, b"x"),
    "csv-one-line-of-commas": Shape(_CSV + _ROWS, b","),
    "csv-empty-lines": Shape(_CSV + _ROWS, b"\n", _ROWS),
    "csv-carriage-returns": Shape(_CSV + _ROWS, b"\r", _ROWS),
    "csv-zero-bytes": Shape(_CSV + _ROWS, b"\0", _ROWS),
    "csv-blanks": Shape(_CSV + _ROWS, b" "),
    "csv-long-heading": Shape(b"time,lat,lon,", b"x", b"\n" + _ROWS),
    "csv-many-headings": Shape(b"time,lat,lon", b",x", b"\n" + _ROWS),
    "csv-other-headings": Shape(b"time,lat,lon", lambda n: b",a%d" % n, b"\n" + _ROWS),
    "csv-long-cell": Shape(_CSV + _ROWS + b"2026-04-18T13:12:42Z,46.5,-28.0,", b"9", b"\n" + _ROWS),
    "csv-long-quoted-cell": Shape(_CSV + _ROWS + b'2026-04-18T13:12:42Z,46.5,-28.0,"', b"9\n", b'"\n' + _ROWS),
    "csv-long-time": Shape(_CSV + _ROWS, b"2", b",46.5,-28.0,1\n" + _ROWS),
    "csv-long-times": Shape(_CSV + _ROWS, b"2" * 3000 + b",46.5,-28.0,1\n"),
    "csv-quotes": Shape(_CSV + _ROWS, b'"', b"\n" + _ROWS),
    "csv-open-quotes": Shape(_CSV + _ROWS, b'2026-04-18T13:12:42Z,46.5,-28.0,"3000\n'),
    "csv-one-time": Shape(_CSV, _ROW),
    "csv-no-numbers": Shape(_CSV + _ROWS, b"2026-04-18T13:12:42Z,4x6.5,-2y8.0,3z000\n"),
    "csv-other-figures": Shape(_CSV + _ROWS, "2026-04-18T13:12:42Z,46.5,−28.0,𝟑000\n".encode()),
    "csv-no-times": Shape(_CSV + _ROWS, b"2026-04-18 at 13:12,46.5,-28.0,3000\n"),
    "csv-other-dates": Shape(
        _CSV, lambda n: _DATED % {b"day": n % 28 + 1, b"month": n // 28 % 12 + 1, b"year": 1990 + n // 336 % 100}
    ),
    "csv-ragged": Shape(_CSV + _ROWS, b"2026-04-18T13:12:42Z,46.5,-28.0,3000,1,2,3\n"),
    "csv-remarks": Shape(_CSV + _ROWS, b"# remark\n"),
    "csv-headings-again": Shape(_CSV + _ROWS, _CSV),
    "csv-preamble": Shape(b"", b"hello, world\n", _CSV + _ROWS),
    "csv-jumps": Shape(_CSV, _ROW + b"2026-04-18T13:13:43Z,-46.5,28.0,3000\n"),
    "csv-jumps-on": Shape(_CSV, lambda n: b"%d,%d.5,-28.0,3000\n" % (1_776_517_960 + n, 46 if n % 2 else -46)),
    "csv-backwards": Shape(_CSV, lambda n: b"%d,46.5,-28.0,3000\n" % (1_776_517_960 - n)),
    "csv-to-and-fro": Shape(_CSV, lambda n: b"%d,46.5,-28.0,3000\n" % (1_776_517_960 + n * 7919 % 100_003)),
    "csv-gaps": Shape(_CSV, lambda n: b"%d,46.5,-28.0,3000\n" % (1_500_000_000 + n * 60 + n % 2 * 50)),
    "csv-aircraft": Shape(b"aircraft,time,lat,lon\n", lambda n: b"a%d,%d,46.5,-28.0\n" % (n // 2, 1_776_517_960 + n)),
    "csv-flights": Shape(
        b"time,lat,lon,groundspeed kt\n",
        lambda n: b"%d,46.%06d,-28.0,%d\n" % (1_500_000_000 + n * 30, n % 90_000, 100 * (n // 10 % 2)),
    ),
    "gpx-nothing": Shape(_GPX, b"<trkpt/>", _GPX_END),
    "gpx-text": Shape(_GPX + _POINTS, b"x", _GPX_END),
    "gpx-line-ends": Shape(_GPX + _POINTS, b"\n", _GPX_END),
    "gpx-blank": Shape(b" ", b" ", _GPX + _POINTS + _GPX_END),
    "gpx-long-time": Shape(_GPX + _POINTS + b"<trkpt lat='46' lon='-28'><time>", b"2", b"</time></trkpt>" + _GPX_END),
    "gpx-entities": Shape(
        _GPX + _POINTS + b"<trkpt lat='46' lon='-28'><time>", b"&amp;", b"</time></trkpt>" + _GPX_END
    ),
    "gpx-long-attribute": Shape(_GPX + _POINTS + b"<trkpt lat='46' lon='", b"2", b"'/>" + _GPX_END),
    "gpx-attributes": Shape(_GPX + _POINTS + b"<trkpt ", lambda n: b"a%d='1' " % n, b"/>" + _GPX_END),
    "gpx-names": Shape(_GPX + _POINTS, lambda n: b"<a%d/>" % n, _GPX_END),
    "gpx-long-name": Shape(_GPX + _POINTS + _GPX_END[:-6] + b"<", b"a", b"/></gpx>"),
    "gpx-deep": Shape(_GPX + _POINTS, b"<a>"),
    "gpx-comment": Shape(_GPX + _POINTS + b"<!--", b"-x", b"-->" + _GPX_END),
    "gpx-instruction": Shape(_GPX + _POINTS + b"<?a ", b"x", b"?>" + _GPX_END),
    "gpx-cdata": Shape(
        _GPX + _POINTS + b"<trkpt lat='46' lon='-28'><time><![CDATA[", b"]", b"x]]></time></trkpt>" + _GPX_END
    ),
    "gpx-open-tag": Shape(_GPX + _POINTS + b"<trkpt lat='", b"2"),
    "gpx-segments": Shape(_GPX + _POINTS, b"</trkseg><trkseg>", _GPX_END),
    "gpx-many-segments": Shape(
        _GPX,
        lambda n: (
            b"<trkpt lat='46' lon='-28'><time>2026-04-18T%02d:%02d:%02dZ</time></trkpt></trkseg><trkseg>"
            % (n // 3600 % 24, n // 60 % 60, n % 60)
        ),
        _GPX_END,
    ),
    "gpx-route": Shape(
        b"<gpx><rte>", b"<rtept lat='1' lon='2'><name>A</name></rtept>", b"</rte><trk><trkseg>" + _POINTS + _GPX_END
    ),
    "gpx-routes": Shape(b"<gpx>", b"<rte></rte>", b"<trk><trkseg>" + _POINTS + _GPX_END),
    "gpx-waypoints": Shape(
        b"<gpx>", lambda n: b"<wpt lat='1' lon='%d'/>" % (n % 90), b"<trk><trkseg>" + _POINTS + _GPX_END
    ),
    "gpx-lost-waypoints": Shape(b"<gpx>", b"<wpt lat='1x' lon='2'/>", b"<trk><trkseg>" + _POINTS + _GPX_END),
    "gpx-no-numbers": Shape(_GPX + _POINTS, b"<trkpt lat='x' lon='y'><ele>z</ele></trkpt>", _GPX_END),
    "gpx-loose": Shape(b"<gpx>" + _POINTS, b"<trkpt lat='1' lon='2'/><a/>", b"</gpx>"),
    "gpx-extensions": Shape(
        _GPX + _POINTS + b"<trkpt lat='46' lon='-28'><extensions>",
        b"<speed>1</speed>",
        b"</extensions></trkpt>" + _GPX_END,
    ),
    "kml-times": Shape(_KML + _PAIRS, b"<when>2026-04-18T13:12:42Z</when>", _KML_END),
    "kml-places": Shape(_KML + _PAIRS, b"<gx:coord>1 2 3</gx:coord>", _KML_END),
    "kml-long-place": Shape(_KML + _PAIRS + b"<gx:coord>", b"1 ", b"</gx:coord>" + _KML_END),
    "kml-text": Shape(_KML + _PAIRS, b"x", _KML_END),
    "kml-deep": Shape(_KML + _PAIRS, b"<a>"),
    "kml-names": Shape(_KML + _PAIRS, lambda n: b"<a%d/>" % n, _KML_END),
    "kml-tracks": Shape(_KML[:-10], b"<gx:Track/>", _KML[-10:] + _PAIRS + _KML_END),
    "kml-many-tracks": Shape(_KML[:-10], b"<gx:Track>" + _PAIRS + b"</gx:Track>", b"</Placemark></kml>"),
    "kml-values": Shape(
        _KML + _PAIRS + b"<ExtendedData><SchemaData><gx:SimpleArrayData name='speed'>",
        b"<gx:value>1</gx:value>",
        b"</gx:SimpleArrayData></SchemaData></ExtendedData>" + _KML_END,
    ),
    "kml-arrays": Shape(
        _KML + _PAIRS + b"<ExtendedData><SchemaData>",
        lambda n: b"<gx:SimpleArrayData name='a%d'><gx:value>1</gx:value></gx:SimpleArrayData>" % n,
        b"</SchemaData></ExtendedData>" + _KML_END,
    ),
    "kml-points": Shape(b"<kml><Placemark>", b"<Point><coordinates>1,2</coordinates></Point>", b"</Placemark></kml>"),
    "kml-line": Shape(
        b"<kml><Placemark><LineString><coordinates>", b"1,2,3 ", b"</coordinates></LineString></Placemark></kml>"
    ),
    "igc-one-line": Shape(_IGC + _FIXES, b"x"),
    "igc-long-fix": Shape(_IGC + _FIXES + _FIXES[:35], b"0", b"\r\n" + _FIXES),
    "igc-empty-lines": Shape(_IGC + _FIXES, b"\r\n", _FIXES),
    "igc-carriage-returns": Shape(_IGC + _FIXES, b"\r", _FIXES),
    "igc-zero-bytes": Shape(_IGC + _FIXES, b"\0", _FIXES),
    "igc-dates": Shape(_IGC + _FIXES, b"HFDTE180426\r\n", _FIXES),
    "igc-dates-with-fixes": Shape(_IGC, b"HFDTE180426\r\nB2359594630123N02800123WA0090000950\r\nHFDTE170426\r\n"),
    "igc-extensions": Shape(_IGC, b"I013638FXA\r\n", _FIXES),
    "igc-many-extensions": Shape(
        _IGC, lambda n: b"I01%02d%02dX%02d\r\n" % (36 + n % 60, 37 + n % 60, n % 100) + _FIXES
    ),
    "igc-long-extensions": Shape(_IGC + b"I99", b"3638FXA", b"\r\n" + _FIXES),
    "igc-remarks": Shape(_IGC + _FIXES, b"LXXXremark\r\n", _FIXES),
    "igc-one-time": Shape(_IGC, _FIXES),
    "igc-midnights": Shape(_IGC, b"B2359594630123N02800123WA0090000950\r\nB0000014630123N02800123WA0090000950\r\n"),
    "igc-damaged": Shape(_IGC + _FIXES, b"B12000x4630123N02800123WA0090000950\r\n", _FIXES),
    "nmea-one-line": Shape(_RMC, b"$"),
    "nmea-commas": Shape(_RMC + b"$GPRMC", b",", b"*00\r\n" + _RMC),
    "nmea-stars": Shape(_RMC, b"*", b"\n" + _RMC),
    "nmea-empty-lines": Shape(_RMC, b"\r\n", _RMC),
    "nmea-carriage-returns": Shape(_RMC, b"\r", _RMC),
    "nmea-zero-bytes": Shape(_RMC, b"\0", _RMC),
    "nmea-dollars": Shape(_RMC, b"$\n", _RMC),
    "nmea-noise": Shape(_RMC, b"noise\n", _RMC),
    "nmea-one-time": Shape(b"", _RMC),
    "nmea-wrong-sums": Shape(_RMC, _RMC.replace(b"*", b"*F"), _RMC),
    "nmea-satellites": Shape(_RMC, _said("GPGSV,1,1,01,01,40,083,46"), _RMC),
    "nmea-clocks": Shape(_RMC, _said("GPZDA,000000.00,18,04,2026,00,00"), _RMC),
    "nmea-void": Shape(_RMC, _said("GPRMC,000000.00,V,,,,,,,180426,,"), _RMC),
    "nmea-midnights": Shape(
        b"", _said(*(f"GPRMC,{clock},A,{_PLACE},9.0,0.0,180426,,,A" for clock in ("235959", "000001")))
    ),
    "nmea-undated": Shape(
        _RMC, _said(*(f"GPGGA,{clock},{_PLACE},1,08,0.9,900.0,M,50.0,M,," for clock in ("235959", "000001")))
    ),
    "nmea-kinds": Shape(
        _RMC, lambda n: _said("GP" + "".join(chr(65 + n // 26**place % 26) for place in range(3)) + f",{n}"), _RMC
    ),
}
