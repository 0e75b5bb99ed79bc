"""A long flight for measuring: round and round four fixes of the Tarn Islands, as CSV or GPX, with its lesson."""

from __future__ import annotations

import datetime as dt
import math
import pathlib

import numpy as np

START = dt.datetime(2026, 4, 18, 8, 0, tzinfo=dt.UTC)
FIXES = {"XTBN": (46.20, -27.58), "CALDU": (46.53, -27.38), "HOLMA": (46.50, -26.82), "BRAKO": (46.18, -27.02)}
SPEED_KT = 120.0
ALTITUDE_FT = 4000.0
TURN_DEG_PER_S = 3.0
LESSON = """[lesson]
title = "Round the islands"
date = 2026-04-18

[altimetry]
qnh_hpa = 1013.0

{fixes}
[route]
points = [{points}]
altitude_ft = 4000
"""


def rows(hours: float, rate_hz: float) -> np.ndarray:
    """Time after the start [s], latitude, longitude, altitude [ft], ground speed [kt], track and bank [deg]."""
    step_s = 1.0 / rate_hz
    count = round(hours * 3600 * rate_hz)
    places = list(FIXES.values())
    (lat, lon), target = places[0], 1
    course = _course(lat, lon, *places[1])
    table = np.empty((count, 7))
    for row in range(count):
        if _distance_nm(lat, lon, *places[target]) < 0.6:
            target = (target + 1) % len(places)
        wanted = _course(lat, lon, *places[target])
        off = (wanted - course + 180.0) % 360.0 - 180.0
        turned = max(-TURN_DEG_PER_S * step_s, min(TURN_DEG_PER_S * step_s, off))
        course = (course + turned) % 360.0
        after_s = row * step_s
        altitude = ALTITUDE_FT + 40.0 * math.sin(after_s / 90.0)
        table[row] = (after_s, lat, lon, altitude, SPEED_KT, course, 18.0 * turned / (TURN_DEG_PER_S * step_s))
        moved_nm = SPEED_KT / 3600.0 * step_s
        lat += moved_nm / 60.0 * math.cos(math.radians(course))
        lon += moved_nm / 60.0 * math.sin(math.radians(course)) / math.cos(math.radians(lat))
    return table


def write_lesson(path: pathlib.Path, hours: float) -> None:
    """A lesson whose route goes round as often as the flight does."""
    perimeter_nm = sum(
        _distance_nm(*start, *end)
        for start, end in zip(FIXES.values(), [*list(FIXES.values())[1:], FIXES["XTBN"]], strict=True)
    )
    rounds = max(1, round(hours * SPEED_KT / perimeter_nm))
    points = [*list(FIXES) * rounds, "XTBN"]
    fixes = "".join(
        f'[[fix]]\nident = "{name}"\nlat_deg = {lat}\nlon_deg = {lon}\n\n' for name, (lat, lon) in FIXES.items()
    )
    path.write_text(LESSON.format(fixes=fixes, points=", ".join(f'"{name}"' for name in points)), encoding="utf-8")


def write_csv(path: pathlib.Path, table: np.ndarray) -> None:
    """The flight with headings that need no explanation."""
    with path.open("w", encoding="ascii") as file:
        file.write("Time UTC,Latitude deg,Longitude deg,Altitude indicated ft,Groundspeed kt,Track deg true,Bank deg\n")
        for after_s, *values in table.tolist():
            file.write(_time(after_s) + ",{:.7f},{:.7f},{:.1f},{:.1f},{:.2f},{:.1f}\n".format(*values))


def write_gpx(path: pathlib.Path, table: np.ndarray) -> None:
    """The flight as GPX 1.1, heights in metres."""
    with path.open("w", encoding="ascii") as file:
        file.write('<?xml version="1.0"?>\n<gpx version="1.1" creator="benchmark" ')
        file.write('xmlns="http://www.topografix.com/GPX/1/1"><trk><trkseg>\n')
        for after_s, lat, lon, altitude, *_ in table.tolist():
            file.write(f'<trkpt lat="{lat:.7f}" lon="{lon:.7f}"><ele>{altitude * 0.3048:.2f}</ele>')
            file.write(f"<time>{_time(after_s)}</time></trkpt>\n")
        file.write("</trkseg></trk></gpx>\n")


def _time(after_s: float) -> str:
    return (START + dt.timedelta(seconds=after_s)).strftime("%Y-%m-%dT%H:%M:%S.%f")[:-5] + "Z"


def _course(lat: float, lon: float, to_lat: float, to_lon: float) -> float:
    east = (to_lon - lon) * math.cos(math.radians((lat + to_lat) / 2))
    return math.degrees(math.atan2(east, to_lat - lat)) % 360.0


def _distance_nm(lat: float, lon: float, to_lat: float, to_lon: float) -> float:
    return 60.0 * math.hypot(to_lat - lat, (to_lon - lon) * math.cos(math.radians((lat + to_lat) / 2)))
