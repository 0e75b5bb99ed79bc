"""A KML file's tracks and timed points, in one pass over its elements, with the line of each."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from legwise.errors import TrackFormatError
from legwise.tracks.limits import ReadLimits
from legwise.tracks.wording import shown
from legwise.tracks.xml.guard import XmlPass
from legwise.tracks.xml.kml_found import MOST_TOLD, Found
from legwise.tracks.xml.kml_track import TrackReader
from legwise.tracks.xml.numbers import position_of

_ROOTS = frozenset({"kml", "Document", "Folder", "Placemark"})
"""What a KML file begins with; by the standard only the first, but the others are met."""

_VERSION = re.compile(r"(?:.*/kml/)?(\d\.\d)")
_OF_A_TRACK = frozenset({"when", "coord", "angles", "altitudeMode"})
_OF_OTHERS = frozenset(
    {
        ("name", "Placemark"), ("when", "TimeStamp"), ("begin", "TimeSpan"), ("coordinates", "Point"),
        ("altitudeMode", "Point"), ("altitudeMode", "MultiTrack"), ("displayName", "SimpleArrayField"),
    }
)  # fmt: skip
"""Elements outside tracks whose text is read, and what each stands in."""


@dataclass(slots=True)
class _Placemark:
    """A placemark that is being read; ``when`` is None where it has no time."""

    line: int = 0
    name: str = ""
    when: str | None = None
    when_line: int = 0
    is_span: bool = False
    position: str = ""
    points: int = 0
    mode: str = ""
    has_track: bool = False


class KmlPass(XmlPass):
    """The handlers of one pass over a KML file."""

    format_name = "KML"
    cut_texts = frozenset({"name", "displayName"})

    def __init__(self, where: str, limits: ReadLimits) -> None:
        super().__init__(where, limits)
        self.found = Found()
        self._track = TrackReader(self.found, limits.max_rows, self._too_many)
        self._track_depth = 0
        self._multi_start = 0
        self._multi_mode = ""
        self._placemark = _Placemark()

    def records(self) -> int:
        """Rows that are whole: of tracks, or of points where there is none."""
        return len(self.found.track_rows if self.found.tracks else self.found.point_rows)

    def finished(self) -> Found:
        """What was found; a track that the end of the file cuts short is kept as far as it goes."""
        if self._track_depth:
            self.found.track_rows.cut_to(len(self.found.track_rows))
            self._end_track()
        self._end_multi_track()
        if self._placemark.has_track:
            self._end_placemark()
        return self.found

    def opened(self, local: str, attributes: dict[str, str]) -> None:
        """A track or something in one begins, or another element that matters."""
        stack = self._stack
        if self._track_depth:
            if len(stack) == self._track_depth + 1 and local in _OF_A_TRACK:
                self._text = []
                self._text_line = self._parser.CurrentLineNumber
            else:
                self._opened_in_track(local, attributes)
            return
        if len(stack) == 1:
            self._begin_file(local, attributes)
        elif (local, stack[-2]) in _OF_OTHERS:
            self.keep_text()
        begin = _BEGIN.get(local)
        if begin is not None:
            begin(self, attributes)

    def _opened_in_track(self, local: str, attributes: dict[str, str]) -> None:
        arrays = self._track.arrays
        if local == "value":
            if arrays.wants_values and self._stack[-2] == "SimpleArrayData":
                self.keep_text()
        elif local == "SimpleArrayData":
            arrays.begin_array(attributes)
        elif local == "SchemaData":
            arrays.begin_schema(attributes.get("schemaUrl", "").rpartition("#")[2])
        elif local in ("Track", "MultiTrack", "Placemark"):
            raise self._refused(f"a <{local}> stands inside a track")

    def closed(self, local: str, text: str | None) -> None:
        """An element ended: a value of a track, a track, or another that matters."""
        depth, track = len(self._stack), self._track
        if not self._track_depth:
            if text is not None:
                self._end_text(local, text)
            elif local == "Placemark":
                self._end_placemark()
            elif local == "MultiTrack":
                self._end_multi_track()
        elif depth > self._track_depth:
            if local == "value" and text is not None:
                track.arrays.add_value(text, self._text_line)
            elif local == "SimpleArrayData":
                track.arrays.end_array()
        elif depth < self._track_depth:
            self._end_track()
        elif local == "coord":
            track.add_position(text or "", self._text_line)
        elif local == "when":
            track.add_time(text or "", self._text_line)
        elif local == "angles":
            track.add_angles(text or "", self._text_line)
        elif local == "altitudeMode":
            track.add_mode(text or "")

    def _begin_file(self, local: str, attributes: dict[str, str]) -> None:
        if local not in _ROOTS:
            raise TrackFormatError(
                f"this is XML with the root {shown(local)}, no KML",
                where=self._at(self._line()),
                remedy="Give a KML track, or one of another format.",
            )
        said = [attributes.get("version", ""), *(value for key, value in attributes.items() if key[:5] == "xmlns")]
        matches = (_VERSION.fullmatch(text[:200]) for text in said)
        self.found.version = next((match[1] for match in matches if match), "")

    def _begin_track(self, _attributes: dict[str, str]) -> None:
        self._track_depth = len(self._stack)
        self._track.begin(self._line())

    def _end_track(self) -> None:
        self._track_depth = 0
        times, positions = self._track.counts()
        if times != positions:
            raise TrackFormatError(
                f"the track has {times} times (<when>) and {positions} positions (<coord>), which can't be paired",
                where=self._at(self._track.line),
                remedy="Each position needs its time: export the log anew.",
            )
        self._placemark.has_track |= positions > 0
        self._track.end()

    def _begin_multi_track(self, _attributes: dict[str, str]) -> None:
        self._multi_start = len(self.found.track_rows.run_mode)
        self._multi_mode = ""

    def _end_multi_track(self) -> None:
        """Its altitude mode is that of the tracks in it that say none; it can stand after them."""
        modes = self.found.track_rows.run_mode
        if self._multi_mode:
            for index in range(self._multi_start, len(modes)):
                modes[index] = modes[index] or self._multi_mode
        self._multi_mode = ""

    def _begin_placemark(self, _attributes: dict[str, str]) -> None:
        self._placemark = _Placemark(line=self._line())

    def _end_text(self, local: str, text: str) -> None:
        """A text outside tracks: of the placemark, of its time or its point, of a multiple track or a schema."""
        placemark, outer = self._placemark, self._stack[-1]
        if outer == "Placemark":
            placemark.name = placemark.name or text
        elif outer in ("TimeStamp", "TimeSpan"):
            # One in a view tells when to look.
            if self._stack[-2:-1] == ["Placemark"]:
                placemark.when, placemark.when_line, placemark.is_span = text, self._text_line, outer == "TimeSpan"
        elif outer == "Point":
            if local == "coordinates":
                placemark.position = text
                placemark.points += 1
            else:
                placemark.mode = placemark.mode or text
        elif outer == "MultiTrack":
            self._multi_mode = self._multi_mode or text
        else:
            self._track.arrays.add_display_name(text)

    def _end_placemark(self) -> None:
        placemark, self._placemark = self._placemark, _Placemark()
        found = self.found
        if placemark.has_track:
            found.placemarks += 1
            if placemark.name and len(found.track_names) < MOST_TOLD:
                found.track_names.append(placemark.name)
        elif placemark.points == 1 and placemark.when is not None:
            self._add_point(placemark, placemark.when)
        elif placemark.points:
            found.untimed.append(placemark.line)

    def _add_point(self, placemark: _Placemark, when: str) -> None:
        rows = self.found.point_rows
        if len(rows.lon) >= self._limits.max_rows:
            raise self._too_many()
        lon, lat, altitude_m, is_fine = position_of(placemark.position)
        if not is_fine:
            self.found.unreadable.append(placemark.line)
        self.found.from_span += placemark.is_span
        if not rows.run_mode or rows.run_mode[-1] != placemark.mode:
            rows.begin_run(len(rows.lon), placemark.mode)
        rows.lon.append(lon)
        rows.lat.append(lat)
        rows.altitude_m.append(altitude_m)
        rows.line.append(placemark.line)
        rows.when.append(when)
        rows.when_line.append(placemark.when_line)
        rows.segment.append(0)

    def _count_path(self, _attributes: dict[str, str]) -> None:
        self.found.paths += 1

    def _count_link(self, _attributes: dict[str, str]) -> None:
        self.found.links += 1


_BEGIN: Mapping[str, Callable[[KmlPass, dict[str, str]], None]] = MappingProxyType(
    {
        "Track": KmlPass._begin_track,
        "MultiTrack": KmlPass._begin_multi_track,
        "Placemark": KmlPass._begin_placemark,
        "LineString": KmlPass._count_path,
        "NetworkLink": KmlPass._count_link,
        "Schema": lambda reader, attributes: reader._track.arrays.begin_schema(attributes.get("id", "")),
        "SimpleArrayField": lambda reader, attributes: reader._track.arrays.begin_field(attributes),
        "SimpleArrayData": lambda reader, attributes: reader._track.arrays.note_outside(attributes),
    }
)
"""What is done where an element begins outside a track."""
