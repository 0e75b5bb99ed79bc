"""The fastest general parsers of each format, each used as its documentation says: times, positions, altitudes.

They neither mend nor count nor name a line; most stop at the first thing that is wrong. They are what a reader is
held to.
"""

from __future__ import annotations

import csv
import datetime as dt
import pathlib
import sys
from collections.abc import Callable, Mapping
from xml.etree import ElementTree as ET
from xml.parsers import expat

import numpy as np

Parse = Callable[[pathlib.Path], int]
"""Reads a file and gives how many records it found."""


def pandas_typed(path: pathlib.Path) -> int:
    """The C engine with every type said, times by their format."""
    import pandas as pd

    frame = pd.read_csv(path, engine="c", dtype=dict.fromkeys(range(1, 7), "float64"), encoding="utf-8")
    times = pd.to_datetime(frame.iloc[:, 0], format="ISO8601")
    return min(len(frame), len(times))


def csv_module(path: pathlib.Path) -> int:
    """The standard library's reader, with float and fromisoformat."""
    with path.open(encoding="utf-8", newline="") as file:
        rows = csv.reader(file)
        next(rows)
        table = [(dt.datetime.fromisoformat(row[0]).timestamp(), *map(float, row[1:])) for row in rows]
    return len(np.array(table))


def gpxpy_parse(path: pathlib.Path) -> int:
    """Gpxpy with the standard library's parser: it takes lxml where it can, which is slower."""
    sys.modules["lxml"] = None  # type: ignore[assignment]
    import gpxpy

    with path.open(encoding="utf-8") as file:
        return sum(1 for _ in gpxpy.parse(file).walk())


def gpx_expat(path: pathlib.Path) -> int:
    """A bare loop of expat."""
    rows: list[tuple[float, float]] = []
    times: list[float] = []
    heights: list[float] = []
    text: list[str] = []
    parser = expat.ParserCreate()
    parser.buffer_text = True

    def start(name: str, attributes: dict[str, str]) -> None:
        text.clear()
        if name == "trkpt":
            rows.append((float(attributes["lat"]), float(attributes["lon"])))

    def end(name: str) -> None:
        if name == "time":
            times.append(dt.datetime.fromisoformat("".join(text)).timestamp())
        elif name == "ele":
            heights.append(float("".join(text)))

    parser.StartElementHandler, parser.EndElementHandler, parser.CharacterDataHandler = start, end, text.append
    with path.open("rb") as file:
        parser.ParseFile(file)
    return len(np.column_stack([np.array(times), np.array(rows), np.array(heights)]))


def gpx_lxml(path: pathlib.Path) -> int:
    """Lxml's iterparse over the track points, each cleared."""
    from lxml import etree

    table = []
    for _event, point in etree.iterparse(str(path), tag="{*}trkpt"):
        height, time = point[0].text, point[1].text
        at = dt.datetime.fromisoformat(time).timestamp()
        table.append((at, float(point.get("lat")), float(point.get("lon")), float(height)))
        point.clear()
        while point.getprevious() is not None:
            del point.getparent()[0]
    return len(np.array(table))


def aerofiles_read(path: pathlib.Path) -> int:
    """Aerofiles' reader of IGC."""
    from aerofiles.igc import Reader

    with path.open(encoding="ascii") as file:
        return len(Reader().read(file)["fix_records"][1])


def pynmea2_parse(path: pathlib.Path) -> int:
    """Pynmea2, sentence by sentence with its checksum."""
    import pynmea2

    table: list[list[float]] = []
    with path.open(encoding="ascii") as file:
        for line in file:
            said = pynmea2.parse(line, check=True)
            if said.sentence_type == "RMC":
                table.append([said.datetime.timestamp(), said.latitude, said.longitude, said.spd_over_grnd, 0.0])
            else:
                table[-1][4] = said.altitude
    return len(np.array(table))


def nmea_loop(path: pathlib.Path) -> int:
    """A bare loop: split at commas, sum the checksum, take the figures."""
    table = []
    with path.open("rb") as file:
        for line in file:
            body, _star, given = line.strip()[1:].partition(b"*")
            total = 0
            for byte in body:
                total ^= byte
            if int(given, 16) != total:
                continue
            cells = body.split(b",")
            if cells[0].endswith(b"RMC"):
                lat = int(cells[3][:2]) + float(cells[3][2:]) / 60
                lon = int(cells[5][:3]) + float(cells[5][3:]) / 60
                clock = cells[1].decode()
                seconds = int(clock[:2]) * 3600 + int(clock[2:4]) * 60 + float(clock[4:])
                table.append([seconds, lat if cells[4] == b"N" else -lat, lon if cells[6] == b"E" else -lon, 0.0])
            elif cells[0].endswith(b"GGA"):
                table[-1][3] = float(cells[9])
    return len(np.array(table))


def fastkml_parse(path: pathlib.Path) -> int:
    """Fastkml's reader of KML."""
    from fastkml import kml
    from fastkml.gx import Track
    from fastkml.utils import find_all

    return sum(len(track.track_items) for track in find_all(kml.KML.parse(path), of_type=Track))


def kml_iterparse(path: pathlib.Path) -> int:
    """ElementTree's iterparse over times and places, each cleared."""
    times: list[float] = []
    places: list[tuple[float, ...]] = []
    for _event, element in ET.iterparse(path):  # noqa: S314 (a file made here)
        name = element.tag.rpartition("}")[2]
        if name == "when":
            times.append(dt.datetime.fromisoformat(element.text or "").timestamp())
        elif name == "coord":
            places.append(tuple(map(float, (element.text or "").split())))
        element.clear()
    return len(np.column_stack([np.array(times), np.array(places)]))


PARSERS: Mapping[str, Mapping[str, Parse]] = {
    "csv": {"pandas, C engine": pandas_typed, "csv module": csv_module},
    "gpx": {"gpxpy": gpxpy_parse, "bare expat": gpx_expat, "lxml iterparse": gpx_lxml},
    "igc": {"aerofiles": aerofiles_read},
    "nmea": {"pynmea2": pynmea2_parse, "bare loop": nmea_loop},
    "kml": {"fastkml": fastkml_parse, "ElementTree iterparse": kml_iterparse},
}
