"""What a pass over a KML file finds: rows of time and position, runs of one altitude mode, what stands beside them."""

from __future__ import annotations

from array import array
from dataclasses import dataclass, field

from legwise.tracks.xml.elements import ElementMeaning

MOST_TOLD = 100
"""Names and kinds of arrays that are kept for the notes."""


def floats() -> array[float]:
    """An empty column of numbers."""
    return array("d")


def lines() -> array[int]:
    """An empty column of line numbers."""
    return array("q")


@dataclass(slots=True)
class Rows:
    """Records in file order, a column each; NaN and the empty text stand for what was not recorded.

    ``line`` is that of the position, ``when_line`` that of the time. From row ``run_start[i]`` on the altitude mode is
    ``run_mode[i]``, in the file's word; empty where none is said.
    """

    lon: array[float] = field(default_factory=floats)
    lat: array[float] = field(default_factory=floats)
    altitude_m: array[float] = field(default_factory=floats)
    line: array[int] = field(default_factory=lines)
    when: list[str] = field(default_factory=list)
    when_line: array[int] = field(default_factory=lines)
    segment: array[int] = field(default_factory=lines)
    run_start: array[int] = field(default_factory=lines)
    run_mode: list[str] = field(default_factory=list)

    def __len__(self) -> int:
        return min(len(self.lon), len(self.when))

    def begin_run(self, start: int, mode: str) -> None:
        """From row ``start`` on the altitude mode is ``mode``."""
        self.run_start.append(start)
        self.run_mode.append(mode)

    def cut_to(self, count: int) -> None:
        """Leave out what comes after the first ``count`` rows."""
        for column in (self.lon, self.lat, self.altitude_m, self.line, self.when, self.when_line):
            del column[count:]


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """A column beside the rows from ``start`` on: the values of one track."""

    start: int
    values: array[float]


@dataclass(slots=True)
class Found:
    """What is in the file.

    ``track_rows`` are those of tracks, ``point_rows`` those of placemarks that are a point with a time. ``arrays`` are
    values beside the tracks' rows, ``headings_deg`` the first of the three angles; ``passed_over`` says of arrays and
    angles that were not taken, why. ``untimed`` are the lines of placemarks that are points without a time of their
    own; ``placemarks`` counts those with tracks.
    """

    track_rows: Rows = field(default_factory=Rows)
    point_rows: Rows = field(default_factory=Rows)
    headings_deg: list[Stretch] = field(default_factory=list)
    arrays: dict[ElementMeaning, list[Stretch]] = field(default_factory=dict)
    passed_over: dict[str, int] = field(default_factory=dict)
    unknown_arrays: dict[str, None] = field(default_factory=dict)
    unreadable: array[int] = field(default_factory=lines)
    untimed: array[int] = field(default_factory=lines)
    track_names: list[str] = field(default_factory=list)
    placemarks: int = 0
    tracks: int = 0
    empty_tracks: int = 0
    paths: int = 0
    links: int = 0
    has_tilt: bool = False
    has_roll: bool = False
    from_span: int = 0
    version: str = ""

    def pass_over(self, why: str) -> None:
        """Count what was not taken, by the reason."""
        if why in self.passed_over or len(self.passed_over) < MOST_TOLD:
            self.passed_over[why] = self.passed_over.get(why, 0) + 1
