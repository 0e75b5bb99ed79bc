"""One bounded pass of the standard library's expat over a GPX file: its points, with the line of each.

The pass is its own guard: a DOCTYPE is refused where it stands, elements nest only so deep, text is kept only so long.
A bad value makes that value missing and is counted; it never loses the file.
"""

from __future__ import annotations

from array import array
from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from xml.parsers import expat

import numpy as np

from legwise.errors import TrackFileError, TrackFormatError
from legwise.model.track import Fault, RoutePoint
from legwise.tracks.gpx_elements import ElementMeaning, meaning_of_element
from legwise.tracks.limits import ReadLimits
from legwise.tracks.numbers import normal_longitudes
from legwise.tracks.wording import shown

_TEXT_KEPT = 100
"""A number or a time is shorter; a name is cut there."""

_MOST_WAYPOINTS = 10_000
_NO_ELEMENT_FOUND = 3
_UNCLOSED_TOKEN = 5
_POINTS = {"trkpt": "trkseg", "rtept": "rte", "wpt": "gpx"}
"""The elements that are points, and the element each stands in."""


@dataclass(slots=True)
class Found:
    """What the pass collects, point by point.

    ``loose`` are the lines of track points outside any segment; ``unplaced`` are route points and waypoints without a
    usable position: element, name, line.
    """

    lat: array[float] = field(default_factory=lambda: array("d"))
    lon: array[float] = field(default_factory=lambda: array("d"))
    elevation_m: array[float] = field(default_factory=lambda: array("d"))
    time: list[str] = field(default_factory=list)
    line: array[int] = field(default_factory=lambda: array("q"))
    segment: array[int] = field(default_factory=lambda: array("q"))
    others: dict[ElementMeaning, tuple[array[int], array[float]]] = field(default_factory=dict)
    routes: list[list[RoutePoint]] = field(default_factory=list)
    waypoints: list[RoutePoint] = field(default_factory=list)
    unreadable: list[int] = field(default_factory=list)
    loose: list[int] = field(default_factory=list)
    unplaced: list[tuple[str, str, int]] = field(default_factory=list)
    unnamed: int = 0
    tracks: int = 0
    version: str = ""


class GpxPass:
    """The handlers of one pass. Elements are told by their local name, whatever the prefix."""

    def __init__(self, where: str, limits: ReadLimits) -> None:
        self.found = Found()
        self.error_code = 0
        self._where = where
        self._limits = limits
        self._stack: list[str] = []
        self._locals: dict[str, str] = {}
        self._point: str = ""
        self._point_depth = 0
        self._point_line = 0
        self._attributes: Mapping[str, str] = MappingProxyType({})
        self._values: dict[str, str] = {}
        self._others: list[tuple[ElementMeaning, str]] = []
        self._meaning: ElementMeaning | None = None
        self._text: list[str] | None = None
        self._text_length = 0
        self._segment = -1
        self._in_loose = False
        self._parser: expat.XMLParserType | None = None

    def parse(self, data: bytes, encoding: str | None) -> Fault | None:
        """Run the pass; the fault tells of a file that ends too early but holds points."""
        parser = self._parser = expat.ParserCreate(encoding)
        parser.buffer_text = True
        parser.StartElementHandler = self._start
        parser.EndElementHandler = self._end
        parser.CharacterDataHandler = self._characters
        parser.StartDoctypeDeclHandler = self._doctype
        try:
            parser.Parse(data, True)
        except expat.ExpatError as error:
            self.error_code = error.code
            if error.code in (_NO_ELEMENT_FOUND, _UNCLOSED_TOKEN) and len(self.found.lat) > 1:
                return Fault(
                    kind="cut-short",
                    count=1,
                    detail=f"the file ends too early, in line {error.lineno}; read up to there",
                )
            raise TrackFormatError(
                f"damaged XML: {expat.ErrorString(error.code)}",
                where=self._at(error.lineno),
                remedy="Copy the log from the recorder again, or export it anew.",
            ) from None
        except (LookupError, UnicodeError, ValueError):
            # An encoding by a name that nobody knows, or one of several bytes a character that expat can't take.
            raise TrackFormatError(
                "the XML declares an encoding that can't be read", where=self._at(1), remedy="Save it as UTF-8."
            ) from None
        finally:
            # The handlers and the parser hold each other.
            self._parser = None
        return None

    def _line(self) -> int:
        return self._parser.CurrentLineNumber if self._parser is not None else 0

    def _at(self, line: int) -> str:
        return f"{self._where}, line {line}"

    def _doctype(self, *_declared: object) -> None:
        raise TrackFormatError(
            "a DOCTYPE is not accepted: it can declare entities",
            where=self._at(self._line()),
            remedy="A GPX file needs none; export it anew.",
        )

    def _start(self, name: str, attributes: dict[str, str]) -> None:
        local = self._locals.get(name)
        if local is None:
            local = name.rpartition(":")[2]
            if len(self._locals) < 1000:
                self._locals[name] = local
        stack = self._stack
        stack.append(local)
        depth = len(stack)
        if depth == 1:
            self._begin_file(local, attributes)
        elif depth > self._limits.max_depth:
            raise TrackFormatError(
                f"elements nest deeper than {self._limits.max_depth}",
                where=self._at(self._line()),
                remedy="This is no GPX of a recorder; export it anew.",
            )
        if self._point:
            self._begin_value(local, attributes)
        elif local in _POINTS and stack[-2:-1] == [_POINTS[local]]:
            self._begin_point(local, attributes)
        elif local == "trkpt" and "extensions" not in stack:
            self._begin_loose_point(attributes)
        elif local == "trkseg":
            self._segment += 1
            self._in_loose = False
        elif local == "rte" and depth == 2:
            self.found.routes.append([])
        elif local == "trk" and depth == 2:
            self.found.tracks += 1
            self._in_loose = False

    def _begin_file(self, local: str, attributes: dict[str, str]) -> None:
        if local != "gpx":
            raise TrackFormatError(
                f"this is XML with the root {shown(local)}, no GPX",
                where=self._at(self._line()),
                remedy="Give a GPX or CSV track.",
            )
        self.found.version = attributes.get("version", "")[:10]

    def _begin_point(self, local: str, attributes: dict[str, str]) -> None:
        self._point = local
        self._point_depth = len(self._stack)
        self._attributes = attributes
        self._values = {}
        self._others = []
        self._point_line = self._line()
        if local == "trkpt" and len(self.found.lat) >= self._limits.max_rows:
            raise TrackFileError(
                f"the track holds more than {self._limits.max_rows:,} points",
                where=self._at(self._line()),
                remedy="Cut the log to the flight.",
            )

    def _begin_loose_point(self, attributes: dict[str, str]) -> None:
        """A track point that stands in no segment: those in a row are read as a segment of their own."""
        if not self._in_loose:
            self._segment += 1
            self._in_loose = True
        self._begin_point("trkpt", attributes)
        self.found.loose.append(self._point_line)

    def _begin_value(self, local: str, attributes: dict[str, str]) -> None:
        inside = len(self._stack) - self._point_depth
        self._text = None
        self._meaning = None
        if inside == 1 and local in ("ele", "time", "name"):
            self._text, self._text_length = [], 0
        elif self._point == "trkpt" and local != "extensions":
            unit = next((value for key, value in attributes.items() if key.lower() in ("unit", "units", "uom")), "")
            self._meaning = meaning_of_element(local, unit[:20], inside > 1)
            if self._meaning is not None:
                self._text, self._text_length = [], 0

    def _characters(self, text: str) -> None:
        if self._text is not None and self._text_length <= _TEXT_KEPT:
            self._text.append(text[: _TEXT_KEPT + 1])
            self._text_length += len(text)

    def _end(self, _name: str) -> None:
        local = self._stack.pop()
        if not self._point:
            return
        if len(self._stack) + 1 == self._point_depth:
            self._end_point()
            return
        if self._text is None:
            return
        text = "".join(self._text).strip()[:_TEXT_KEPT]
        self._text = None
        if self._text_length > _TEXT_KEPT and local != "name":
            # What is so long is no number and no time, whatever it begins with.
            text = "?"
        if self._meaning is not None:
            if text:
                self._others.append((self._meaning, text))
            self._meaning = None
        elif text:
            self._values.setdefault(local, text)

    def _end_point(self) -> None:
        point, self._point = self._point, ""
        lat, lon = self._number(self._attributes.get("lat")), self._number(self._attributes.get("lon"))
        if point != "trkpt":
            self._end_named(point, lat, lon)
            return
        found = self.found
        index = len(found.lat)
        found.line.append(self._point_line)
        found.lat.append(lat)
        found.lon.append(lon)
        found.elevation_m.append(self._number(self._values.get("ele")))
        found.time.append(self._values.get("time", ""))
        found.segment.append(max(self._segment, 0))
        for meaning, text in self._others:
            value = self._number(text)
            indices, values = found.others.setdefault(meaning, (array("q"), array("d")))
            indices.append(index)
            values.append(value)

    def _end_named(self, point: str, lat: float, lon: float) -> None:
        name = self._values.get("name", "")
        if not (abs(lat) <= 90.0 and abs(lon) <= 360.0):
            self.found.unplaced.append((point, name[:60], self._point_line))
            return
        if not name:
            self.found.unnamed += 1
            name = f"POINT{self.found.unnamed:02d}"
        named = RoutePoint(ident=name[:60], lat_deg=lat, lon_deg=float(normal_longitudes(np.array([lon]))[0]))
        if point == "rtept":
            self.found.routes[-1].append(named)
        elif len(self.found.waypoints) < _MOST_WAYPOINTS:
            self.found.waypoints.append(named)

    def _number(self, text: str | None) -> float:
        """The number, or NaN where there is none; what is no number is counted."""
        if not text:
            return np.nan
        try:
            value = float(text)
        except ValueError:
            value = np.nan
        # Python's own float also takes "1_000", "nan" and "inf".
        if np.isfinite(value) and "_" not in text:
            return value
        line = self._line()
        if self.found.unreadable[-1:] != [line]:
            self.found.unreadable.append(line)
        return np.nan
