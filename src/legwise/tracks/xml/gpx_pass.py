"""A GPX file's points, in one pass over its elements, with the line of each.

A bad value makes that value missing and is counted; it never loses the file.
"""

from __future__ import annotations

import math
from array import array
from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

import numpy as np

from legwise.errors import TrackFormatError
from legwise.model.track import RoutePoint
from legwise.tracks.limits import ReadLimits
from legwise.tracks.values.numbers import normal_longitudes
from legwise.tracks.wording import clean, shown
from legwise.tracks.xml.elements import ElementMeaning, meaning_of_element
from legwise.tracks.xml.guard import XmlPass
from legwise.tracks.xml.numbers import plain_number

_MOST_NAMED = 10_000
_MOST_ROUTES = 100
_MOST_MEANINGS = 500
"""Kinds of extensions (element and unit) that are looked into."""

_MOST_OTHERS = 100
"""Values of extensions in one point."""

_POINTS = {"trkpt": "trkseg", "rtept": "rte", "wpt": "gpx"}
"""The elements that are points, and the element each stands in."""

_OF_A_POINT = frozenset({"ele", "time", "name"})


def _lines() -> array[int]:
    return array("q")


@dataclass(slots=True)
class Found:
    """What the pass collects, point by point.

    ``loose`` are the lines of track points outside any segment; ``unplaced`` are route points and waypoints without a
    usable position: element, name, line. ``stray`` are the lines of points where none belongs, by element: not read.
    ``beyond`` counts route points and waypoints past the most that are kept, ``unseen`` extensions past the most that
    are looked into.
    """

    lat: array[float] = field(default_factory=lambda: array("d"))
    lon: array[float] = field(default_factory=lambda: array("d"))
    elevation_m: array[float] = field(default_factory=lambda: array("d"))
    time: list[str] = field(default_factory=list)
    line: array[int] = field(default_factory=_lines)
    segment: array[int] = field(default_factory=_lines)
    others: dict[ElementMeaning, tuple[array[int], array[float]]] = field(default_factory=dict)
    routes: list[list[RoutePoint]] = field(default_factory=list)
    waypoints: list[RoutePoint] = field(default_factory=list)
    unreadable: array[int] = field(default_factory=_lines)
    loose: array[int] = field(default_factory=_lines)
    unplaced: list[tuple[str, str, int]] = field(default_factory=list)
    stray: dict[str, array[int]] = field(default_factory=dict)
    track_names: list[str] = field(default_factory=list)
    unnamed: int = 0
    beyond: int = 0
    unseen: int = 0
    tracks: int = 0
    segments: int = 0
    routes_begun: int = 0
    version: str = ""


class GpxPass(XmlPass):
    """The handlers of one pass over a GPX file."""

    format_name = "GPX"
    cut_texts = frozenset({"name"})

    def __init__(self, where: str, limits: ReadLimits) -> None:
        super().__init__(where, limits)
        self.found = Found()
        self._point = ""
        self._point_depth = 0
        self._point_line = 0
        self._attributes: Mapping[str, str] = MappingProxyType({})
        self._values: dict[str, str] = {}
        self._others: list[tuple[ElementMeaning, str, int]] = []
        self._elevation_line = 0
        self._meaning: ElementMeaning | None = None
        self._meanings: dict[tuple[str, str, bool], ElementMeaning | None] = {}
        self._in_loose = False

    def records(self) -> int:
        """Track points that are whole."""
        return len(self.found.lat)

    def opened(self, local: str, attributes: dict[str, str]) -> None:
        """A point or something in one begins, or what points stand in."""
        if self._point:
            inside = len(self._stack) - self._point_depth
            if inside == 1 and local in _OF_A_POINT:
                self._meaning = None
                self._text = []
                self._text_line = self._parser.CurrentLineNumber
            elif self._point == "trkpt" and local != "extensions":
                self._begin_extension(local, attributes, inside > 1)
        elif local in _POINTS:
            self._begin_any_point(local, attributes)
        elif local == "trkseg":
            self.found.segments += 1
            self._in_loose = False
        elif len(self._stack) <= 3:
            self._begin_outer(local, attributes)

    def _begin_outer(self, local: str, attributes: dict[str, str]) -> None:
        depth = len(self._stack)
        if depth == 1:
            if local != "gpx":
                raise TrackFormatError(
                    f"this is XML with the root {shown(local)}, no GPX",
                    where=self._at(self._line()),
                    remedy="Give a GPX or CSV track.",
                )
            self.found.version = attributes.get("version", "")[:10]
        elif local == "rte" and depth == 2:
            self.found.routes_begun += 1
            if len(self.found.routes) < _MOST_ROUTES:
                self.found.routes.append([])
        elif local == "trk" and depth == 2:
            self.found.tracks += 1
            self._in_loose = False
        elif local == "name" and self._stack[-2] == "trk" and len(self.found.track_names) < _MOST_ROUTES:
            self.keep_text()

    def _begin_any_point(self, local: str, attributes: dict[str, str]) -> None:
        stack = self._stack
        if len(stack) > 1 and stack[-2] == _POINTS[local]:
            self._begin_point(local, attributes)
        elif local == "trkpt" and "extensions" not in stack:
            # A track point that stands in no segment: those in a row are read as a segment of their own.
            if not self._in_loose:
                self.found.segments += 1
                self._in_loose = True
            self._begin_point("trkpt", attributes)
            self.found.loose.append(self._point_line)
        else:
            self._note_stray(local)

    def _note_stray(self, local: str) -> None:
        self.found.stray.setdefault(local, array("q")).append(self._line())

    def _begin_point(self, local: str, attributes: dict[str, str]) -> None:
        self._point = local
        self._point_depth = len(self._stack)
        self._attributes = attributes
        self._values = {}
        self._others = []
        self._point_line = self._parser.CurrentLineNumber
        if local == "trkpt" and len(self.found.lat) >= self._limits.max_rows:
            raise self._too_many()

    def _begin_extension(self, local: str, attributes: dict[str, str], is_inside: bool) -> None:
        if local in _POINTS:
            self._note_stray(local)
        unit = ""
        if attributes:
            units = (value for key, value in attributes.items() if key.lower() in ("unit", "units", "uom"))
            unit = next(units, "")[:20]
        key = (local, unit, is_inside)
        if key not in self._meanings:
            if len(self._meanings) >= _MOST_MEANINGS:
                self.found.unseen += 1
                return
            self._meanings[key] = meaning_of_element(local, unit, is_inside)
        self._meaning = self._meanings[key]
        if self._meaning is not None:
            self.keep_text()

    def closed(self, local: str, text: str | None) -> None:
        """A point, a value of one, or a track's name ended."""
        if not self._point:
            if text:
                self.found.track_names.append(text)
        elif len(self._stack) < self._point_depth:
            self._end_point()
        elif text:
            if self._meaning is None:
                if local == "ele" and local not in self._values:
                    self._elevation_line = self._text_line
                self._values.setdefault(local, text)
            elif len(self._others) < _MOST_OTHERS:
                self._others.append((self._meaning, text, self._text_line))
            else:
                self.found.unseen += 1

    def _end_point(self) -> None:
        point, self._point = self._point, ""
        values = self._values
        lat, lon = (self._number(self._attributes.get(name), self._point_line) for name in ("lat", "lon"))
        if point != "trkpt":
            self._end_named(point, lat, lon)
            return
        found = self.found
        found.line.append(self._point_line)
        found.lat.append(lat)
        found.lon.append(lon)
        found.elevation_m.append(self._number(values.get("ele"), self._elevation_line))
        found.time.append(values.get("time", ""))
        found.segment.append(max(found.segments - 1, 0))
        for meaning, text, line in self._others:
            indices, values_of = found.others.setdefault(meaning, (array("q"), array("d")))
            indices.append(len(found.lat) - 1)
            values_of.append(self._number(text, line))

    def _end_named(self, point: str, lat: float, lon: float) -> None:
        found = self.found
        kept = found.waypoints if point == "wpt" else found.routes[-1]
        is_beyond = point == "rtept" and found.routes_begun > _MOST_ROUTES
        if is_beyond or len(kept) + len(found.unplaced) >= _MOST_NAMED:
            found.beyond += 1
            return
        name = clean(self._values.get("name", ""))
        if not (abs(lat) <= 90.0 and abs(lon) <= 360.0):
            found.unplaced.append((point, name[:60], self._point_line))
            return
        if not name:
            found.unnamed += 1
            name = f"POINT{found.unnamed:02d}"
        east = float(normal_longitudes(np.array([lon]))[0])
        kept.append(RoutePoint(ident=name[:60], lat_deg=lat, lon_deg=east))

    def _number(self, text: str | None, line: int) -> float:
        """The number, or NaN where there is none; what is no number is counted, with the line where it begins."""
        if not text:
            return math.nan
        value = plain_number(text)
        if not math.isnan(value):
            return value
        unreadable = self.found.unreadable
        if not unreadable or unreadable[-1] != line:
            unreadable.append(line)
        return math.nan
