"""A track file to a raw track, and a raw track to one that can be debriefed, with notes on what was mended."""

from legwise.tracks.call_types import check_call
from legwise.tracks.choosing.lesson_flight import flight_of_lesson
from legwise.tracks.choosing.lesson_times import check_date
from legwise.tracks.choosing.log_date import on_date
from legwise.tracks.choosing.moments import Moment
from legwise.tracks.choosing.one_flight import choose
from legwise.tracks.limits import ReadLimits
from legwise.tracks.mending.mend import mend
from legwise.tracks.reader import read_raw_bytes, read_raw_track
from legwise.tracks.summary import summarise
from legwise.tracks.table.columns_file import read_columns_file
from legwise.tracks.times.instants import offset_seconds

__all__ = [
    "Moment",
    "ReadLimits",
    "check_call",
    "check_date",
    "choose",
    "flight_of_lesson",
    "mend",
    "offset_seconds",
    "on_date",
    "read_columns_file",
    "read_raw_bytes",
    "read_raw_track",
    "summarise",
]
