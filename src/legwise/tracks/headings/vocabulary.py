"""The words of headings: how a heading is taken apart, and which words are known.

"Altitude GPS MSL ft", ``gps_alt_msl[ft]`` and ``GpsAltMSLft`` are the same words.
"""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache

from legwise.tracks.headings.other_languages import ENGLISH
from legwise.tracks.headings.quantities import FOREIGN_UNITS, UNIT_WORDS

MAX_HEADING = 120
"""Characters of a heading that are looked at."""

_COMPOUND_UNITS = (
    (re.compile(r"(?<![a-z])(ft|feet)\s*(/|per|·|\.)\s*min(ute)?s?(?![a-z])", re.I), " fpm "),
    (re.compile(r"(?<![a-z])ft\s+min(?![a-z])", re.I), " fpm "),
    (re.compile(r"(?<![a-z])(ft|feet)\s*(/|per)\s*s(ec(ond)?)?(?![a-z])", re.I), " fps "),
    (re.compile(r"(?<![a-z])met(er|re)s?\s*(/|per)\s*s(ec(ond)?)?(?![a-z])", re.I), " mps "),
    (re.compile(r"(?<![a-z])m\s*(/|·|\.)?\s*s(ec)?\s*(\^?\s*[-−]\s*1)(?![a-z])", re.I), " mps "),
    (re.compile(r"(?<![a-z])m\s*/\s*s(ec)?(?![a-z])", re.I), " mps "),
    (re.compile(r"(?<![a-z])km\s*/?\s*hr?(?![a-z])", re.I), " kmh "),
    (re.compile(r"(?<![a-z])(mi|miles)\s*(/|per)\s*h(our|r)?(?![a-z])", re.I), " mph "),
    (re.compile(r"(?<![a-z])nm\s*/\s*h(?![a-z])", re.I), " kt "),
    (re.compile(r"(deg|°)\s*/\s*s(ec)?(?![a-z])", re.I), " dps "),
    (re.compile(r"[°º]"), " deg "),
)  # fmt: skip

SPEED = frozenset({"speed", "spd", "velocity", "vel"})
ALTITUDE = frozenset({"altitude", "alt", "height", "hgt", "elevation", "elev", "ele"})
TIME = frozenset({"time", "timestamp", "datetime", "clock", "zulu", "epoch", "unix", "posix", "tod", "hms", "hhmmss"})
UTC = frozenset({"utc", "gmt", "zulu", "z"})
LOCAL = frozenset({"local", "lcl"})
ELAPSED = frozenset({"elapsed", "duration", "since"})
"""Words of a count from the start of something."""

SINCE = frozenset({"midnight", "epoch", "unix", "posix", "1970"})
"""From when seconds are counted that tell a time."""

_ZONE = re.compile(r"(?:UTC|GMT)\s*([+\-−])\s*(\d{1,2})(?::?([0-5]\d))?(?!\d)", re.IGNORECASE)
TRUE = frozenset({"true", "t", "tru", "geographic"})
MAGNETIC = frozenset({"mag", "magnetic", "m"})
GNSS = frozenset({"gps", "gnss", "satellite"})
HORIZONTAL = frozenset({"horizontal", "horiz", "hor", "h", "position", "pos"})
VERTICAL = frozenset({"vertical", "vert", "v"})
OTHER_THINGS = frozenset(
    {
        "selected", "sel", "target", "tgt", "bug", "assigned", "preset", "desired", "dtk", "cmd", "commanded",
        "command", "error", "err", "deviation", "dev", "wind", "cabin", "density", "agl", "aal", "radio", "radar",
        "terrain", "waypoint", "wpt", "destination", "dest", "origin", "next", "active", "fms", "autopilot",
        "remaining", "elapsed", "duration", "eta", "ete", "delta", "diff", "acceleration", "accel", "variation",
        "magvar", "declination", "sigma", "undulation", "separation", "geoidal", "trim", "prop", "propeller",
        "engine", "mach", "since", "hobbs", "tach", "yaw", "dps", "name", "id", "number", "stall", "minimum",
        "maximum", "runway", "airport", "home", "bearing", "brg", "distance", "dist", "turn", "fuel", "oil",
        "along", "cross", "xtk", "xte", "required", "temp", "temperature", "pilot", "remark", "comment", "status",
        "start", "end", "takeoff", "landing", "departure", "arrival",
    }
)  # fmt: skip
"""Words that make a heading speak of something else: what was selected, the wind, what is left, ..."""

_MORE_WORDS = frozenset(
    {
        "latitude", "lat", "longitude", "lon", "long", "lng", "groundspeed", "gs", "gspd", "sog", "track", "trk",
        "cog", "course", "crs", "over", "ground", "gnd", "vspeed", "vspd", "vs", "vsi", "vvi", "roc", "vario",
        "climb", "rate", "heading", "hdg", "ias", "tas", "airspeed", "indicated", "ind", "calibrated", "cas",
        "bank", "roll", "pitch", "angle", "hdop", "accuracy", "acc", "hacc", "vacc", "eph", "epv", "hfom", "vfom",
        "fom", "date", "day", "local", "lcl", "offset", "ofst", "zone", "msl", "amsl", "pressure", "press", "std",
        "qne", "qnh", "baro", "barometric", "hae", "wgs", "ellipsoid", "ellipsoidal", "geo", "geometric", "level",
        "flight", "of", "to", "above", "sea", "mean", "aircraft", "callsign", "registration", "icao", "hding",
        "direction", "midnight", "tz",
    }
)  # fmt: skip
NOT_A_POSITION = frozenset(
    {
        "ac", "acc", "accuracy", "accel", "acceleration", "g", "gs", "gee", "force", "dir", "direction", "speed",
        "spd", "velocity", "vel", "rate", "std", "hemisphere", "hemi", "offset", "lateral", "load", "cyclic", "stick",
    }
)  # fmt: skip
"""Beside "lat" or "lon" these make it lateral and longitudinal, or something about a position."""

OF_POSITIONS = frozenset(
    {
        "lat", "latitude", "lon", "long", "lng", "longitude", "gps", "gnss", "aircraft", "position", "pos", "decimal",
        "wgs", "dd", "n", "north", "e", "east", "true",
    }
)  # fmt: skip

VOCABULARY = (
    (_MORE_WORDS | SPEED | ALTITUDE | TIME | UTC | TRUE | MAGNETIC | GNSS | HORIZONTAL | VERTICAL | OTHER_THINGS)
    | frozenset(UNIT_WORDS)
    | FOREIGN_UNITS
)
"""Every word that is known."""

_TAIL_LETTERS = frozenset({"m", "s", "t"})


@lru_cache(maxsize=4096)
def words_of(heading: str) -> tuple[str, ...]:
    """The words of a heading in small letters: parted at blanks, punctuation, capitals and figures, or by the
    vocabulary.
    """
    text = unicodedata.normalize("NFKC", heading[:MAX_HEADING])
    for pattern, word in _COMPOUND_UNITS:
        text = pattern.sub(word, text)
    words: list[str] = []
    for chunk in re.findall(r"[^\W\d_]+|\d+", text):
        words.extend(_parted(chunk))
    return tuple(words)


@lru_cache(maxsize=4096)
def _parted(chunk: str) -> tuple[str, ...]:
    if chunk == "LonG":
        # Only its capitals tell the longitudinal load from "long".
        return ("lon", "g")
    whole = chunk.lower()
    if whole in VOCABULARY or whole.isdigit():
        return (whole,)
    if whole in ENGLISH:
        return ENGLISH[whole]
    by_capitals = tuple(part.lower() for part in re.findall(r"[A-Z]+(?![a-z])|[A-Z]?[^A-Z]+", chunk))
    if all(part in VOCABULARY for part in by_capitals):
        return by_capitals
    return _by_vocabulary(whole) or by_capitals


def _by_vocabulary(whole: str) -> tuple[str, ...]:
    """``whole`` as the fewest words of the vocabulary in a row; empty where it is none."""
    best: list[tuple[str, ...] | None] = [()] + [None] * len(whole)
    for end in range(1, len(whole) + 1):
        for start in range(end):
            before, piece = best[start], whole[start:end]
            if before is None or piece not in VOCABULARY:
                continue
            # A single letter is a unit or a reference at the end of a longer word, never a word inside.
            is_tail = end == len(whole) and start >= 2
            if not is_tail and (len(piece) == 1 or piece in FOREIGN_UNITS):
                continue
            if len(piece) == 1 and piece not in _TAIL_LETTERS:
                continue
            here = best[end]
            if here is None or len(before) + 1 < len(here):
                best[end] = (*before, piece)
    return best[len(whole)] or ()


def zone_in(heading: str) -> float | None:
    """The offset from UTC that a heading says, 0 for UTC, GMT and Z; None where it says none, or local time. [s]"""
    offset = _ZONE.search(heading[:MAX_HEADING])
    if offset:
        minutes = int(offset[2]) * 60 + int(offset[3] or 0)
        return minutes * (60.0 if offset[1] == "+" else -60.0) if minutes <= 14 * 60 else None
    words = frozenset(words_of(heading))
    return 0.0 if words & UTC and not words & LOCAL else None
