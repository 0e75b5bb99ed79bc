"""A KML track as it is read: ``when`` and ``coord`` are lists side by side, in blocks or by turns."""

from __future__ import annotations

import math
from array import array
from collections.abc import Callable

from legwise.errors import LegwiseError
from legwise.tracks.xml.kml_arrays import Arrays
from legwise.tracks.xml.kml_found import Found, Stretch
from legwise.tracks.xml.numbers import angles_of, position_of


class TrackReader:
    """Takes what stands in the tracks of a file, one track after the other, into the rows of ``found``.

    ``too_many`` makes the error that is raised where there are more than ``most_rows`` of something.
    """

    def __init__(self, found: Found, most_rows: int, too_many: Callable[[str], LegwiseError]) -> None:
        self.arrays = Arrays(found, most_rows)
        self.line = 0
        self._found = found
        self._rows = found.track_rows
        self._most_rows = most_rows
        self._too_many = too_many
        self._start = 0
        self._mode = ""
        self._headings = array("d")

    def begin(self, line: int) -> None:
        """A track begins."""
        self._found.tracks += 1
        self.line = line
        self._start = len(self._rows.lon)
        self._mode = ""
        self._headings = array("d")

    def add_position(self, text: str, line: int) -> None:
        """A ``coord``: longitude, latitude and perhaps an altitude, with blanks between."""
        rows = self._rows
        if len(rows.lon) >= self._most_rows:
            raise self._too_many("positions")
        try:
            first, second, third = text.split()
            lon, lat, altitude_m = float(first), float(second), float(third)
        except ValueError:
            lon = lat = altitude_m = math.nan
        if "_" in text or not math.isfinite(lon + lat + altitude_m):
            lon, lat, altitude_m, is_fine = position_of(text)
            if not is_fine:
                self._found.unreadable.append(line)
        rows.lon.append(lon)
        rows.lat.append(lat)
        rows.altitude_m.append(altitude_m)
        rows.line.append(line)

    def add_time(self, text: str, line: int) -> None:
        """A ``when``."""
        rows = self._rows
        if len(rows.when) >= self._most_rows:
            raise self._too_many("times")
        rows.when.append(text)
        rows.when_line.append(line)

    def add_angles(self, text: str, line: int) -> None:
        """An ``angles``: heading, tilt and roll."""
        if len(self._headings) >= self._most_rows:
            raise self._too_many("angles")
        heading_deg, tilt_deg, roll_deg, is_fine = angles_of(text)
        self._headings.append(heading_deg)
        if not is_fine:
            self._found.unreadable.append(line)
        self._found.has_tilt |= abs(tilt_deg) > 0.0
        self._found.has_roll |= abs(roll_deg) > 0.0

    def add_mode(self, text: str) -> None:
        """The track's ``altitudeMode``."""
        self._mode = self._mode or text

    def counts(self) -> tuple[int, int]:
        """How many times and how many positions the track has."""
        return len(self._rows.when) - self._start, len(self._rows.lon) - self._start

    def end(self) -> None:
        """The track has ended, with as many times as positions."""
        rows, found = self._rows, self._found
        count = len(rows.lon) - self._start
        if count:
            rows.segment.extend(array("q", [found.tracks - 1]) * count)
            rows.begin_run(self._start, self._mode)
            if len(self._headings) == count:
                found.headings_deg.append(Stretch(start=self._start, values=self._headings))
            elif self._headings:
                found.pass_over(f"{len(self._headings)} angles (<angles>) for {count} positions; they are not read")
        else:
            found.empty_tracks += 1
        self.arrays.end_track(self._start, count)
