"""The made flight as IGC, NMEA 0183 and KML, with the library that writes none of them."""

from __future__ import annotations

import datetime as dt
import pathlib

import numpy as np
from made_flight import START

M_PER_FT = 0.3048


def write_igc(path: pathlib.Path, table: np.ndarray) -> None:
    """B records with both altitudes, in thousandths of a minute. The format has whole seconds."""
    with path.open("w", encoding="ascii", newline="\r\n") as file:
        file.write(f"AXXXMADE\nHFDTE{START:%d%m%y}\nI023638FXA3941GSP\n")
        for after_s, lat, lon, altitude, speed, *_ in table.tolist():
            time, height = _time(after_s), round(altitude * M_PER_FT)
            place = f"{_thousandths(lat, 2, 'NS')}{_thousandths(lon, 3, 'EW')}"
            file.write(f"B{time:%H%M%S}{place}A{height:05d}{height:05d}008{round(speed):03d}\n")


def write_nmea(path: pathlib.Path, table: np.ndarray) -> None:
    """An RMC and a GGA for each moment."""
    with path.open("w", encoding="ascii", newline="\r\n") as file:
        for after_s, lat, lon, altitude, speed, course, *_ in table.tolist():
            time = _time(after_s)
            clock = f"{time:%H%M%S}.{time.microsecond // 10_000:02d}"
            place = f"{_minutes(lat, 2, 'NS')},{_minutes(lon, 3, 'EW')}"
            height_m = altitude * M_PER_FT
            file.write(_sentence(f"GPRMC,{clock},A,{place},{speed:.1f},{course:.1f},{time:%d%m%y},,,A"))
            file.write(_sentence(f"GPGGA,{clock},{place},1,08,0.9,{height_m:.1f},M,50.0,M,,"))


def write_kml(path: pathlib.Path, table: np.ndarray) -> None:
    """One gx:Track, all times before all places."""
    with path.open("w", encoding="ascii") as file:
        file.write('<?xml version="1.0" encoding="UTF-8"?>\n<kml xmlns="http://www.opengis.net/kml/2.2" ')
        file.write('xmlns:gx="http://www.google.com/kml/ext/2.2"><Document><Placemark><gx:Track>\n')
        file.write("<altitudeMode>absolute</altitudeMode>\n")
        for after_s in table[:, 0].tolist():
            file.write(f"<when>{_time(after_s):%Y-%m-%dT%H:%M:%S.%f}Z</when>\n")
        for _after_s, lat, lon, altitude, *_ in table.tolist():
            file.write(f"<gx:coord>{lon:.7f} {lat:.7f} {altitude * M_PER_FT:.1f}</gx:coord>\n")
        file.write("</gx:Track></Placemark></Document></kml>\n")


def _time(after_s: float) -> dt.datetime:
    return START + dt.timedelta(milliseconds=round(after_s * 1000))


def _sentence(body: str) -> str:
    total = 0
    for byte in body.encode("ascii"):
        total ^= byte
    return f"${body}*{total:02X}\n"


def _thousandths(value: float, figures: int, letters: str) -> str:
    parts = round(abs(value) * 60_000)
    return f"{parts // 60_000:0{figures}d}{parts % 60_000:05d}{letters[value < 0]}"


def _minutes(value: float, figures: int, letters: str) -> str:
    degrees, parts = divmod(round(abs(value) * 600_000), 600_000)
    return f"{degrees:0{figures}d}{parts // 10_000:02d}.{parts % 10_000:04d},{letters[value < 0]}"
