"""A track file to a raw track, and a raw track to one that can be debriefed, with notes on what was mended."""

from legwise.tracks.columns_file import read_columns_file
from legwise.tracks.limits import ReadLimits
from legwise.tracks.mending import mend
from legwise.tracks.reader import read_raw_bytes, read_raw_track
from legwise.tracks.summary import summarise

__all__ = ["ReadLimits", "mend", "read_columns_file", "read_raw_bytes", "read_raw_track", "summarise"]
