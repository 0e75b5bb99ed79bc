"""Headings taken apart: their words tell quantity, kind, unit and reference.

"Altitude GPS MSL ft", ``gps_alt_msl[ft]`` and ``GpsAltMSLft`` are the same words. Where two headings tell the same,
the one with the lower ``rank`` says it more plainly and is taken; at the same rank they can't be told apart.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from functools import lru_cache

from legwise.model.track import AltitudeKind
from legwise.tracks.quantities import FOREIGN_UNITS, UNIT_WORDS, Quantity

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

_SPEED = frozenset({"speed", "spd", "velocity", "vel"})
_ALTITUDE = frozenset({"altitude", "alt", "height", "hgt", "elevation", "elev", "ele"})
_TIME = frozenset({"time", "timestamp", "datetime", "clock", "zulu", "epoch", "unix", "posix", "tod", "hms", "hhmmss"})
_UTC = frozenset({"utc", "gmt", "zulu", "z"})
_LOCAL = frozenset({"local", "lcl"})
_ZONE = re.compile(r"(?:UTC|GMT)\s*([+\-−])\s*(\d{1,2})(?::?([0-5]\d))?(?!\d)", re.IGNORECASE)
_TRUE = frozenset({"true", "t", "tru", "geographic"})
_MAGNETIC = frozenset({"mag", "magnetic", "m"})
_GNSS = frozenset({"gps", "gnss", "satellite"})
_HORIZONTAL = frozenset({"horizontal", "horiz", "hor", "h", "position", "pos"})
_VERTICAL = frozenset({"vertical", "vert", "v"})
_OTHER_THINGS = frozenset(
    {
        "selected", "sel", "target", "tgt", "bug", "assigned", "preset", "desired", "dtk", "cmd", "commanded",
        "command", "error", "err", "deviation", "dev", "wind", "cabin", "density", "agl", "aal", "radio", "radar",
        "terrain", "waypoint", "wpt", "destination", "dest", "origin", "next", "active", "fms", "autopilot",
        "remaining", "elapsed", "duration", "eta", "ete", "delta", "diff", "acceleration", "accel", "variation",
        "magvar", "declination", "sigma", "undulation", "separation", "geoidal", "trim", "prop", "propeller",
        "engine", "mach", "since", "hobbs", "tach", "yaw", "dps", "name", "id", "number", "stall", "minimum",
        "maximum", "runway", "airport", "home", "bearing", "brg", "distance", "dist", "turn", "fuel", "oil",
        "along", "cross", "xtk", "xte", "required", "temp", "temperature", "pilot", "remark", "comment", "status",
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
        "flight", "of", "to", "above", "sea", "mean", "aircraft", "callsign", "registration", "icao",
    }
)  # fmt: skip
_NOT_A_POSITION = frozenset(
    {
        "ac", "acc", "accuracy", "accel", "acceleration", "g", "gs", "gee", "force", "dir", "direction", "speed",
        "spd", "velocity", "vel", "rate", "std", "hemisphere", "hemi", "offset", "lateral", "load", "cyclic", "stick",
    }
)  # fmt: skip
"""Beside "lat" or "lon" these make it lateral and longitudinal, or something about a position."""

_OF_POSITIONS = frozenset(
    {
        "lat", "latitude", "lon", "long", "lng", "longitude", "gps", "gnss", "aircraft", "position", "pos", "decimal",
        "wgs", "dd", "n", "north", "e", "east", "true",
    }
)  # fmt: skip

VOCABULARY = (
    (
        _MORE_WORDS
        | _SPEED
        | _ALTITUDE
        | _TIME
        | _UTC
        | _TRUE
        | _MAGNETIC
        | _GNSS
        | _HORIZONTAL
        | _VERTICAL
        | _OTHER_THINGS
    )
    | frozenset(UNIT_WORDS)
    | FOREIGN_UNITS
)
"""Every word that is known."""

_TAIL_LETTERS = frozenset({"m", "s", "t"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Meaning:
    """What a heading says besides its unit. ``reference`` is empty where it says none; ``kind`` is for altitudes only.

    ``zone_s`` is the offset from UTC that a time's heading says (0 for "UTC"), None where it says none. [s]
    """

    quantity: Quantity
    rank: int
    reference: str = ""
    kind: AltitudeKind | None = None
    zone_s: float | None = None
    is_local: bool = False


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
    return 0.0 if words & _UTC and not words & _LOCAL else None


def meaning_of(heading: str, units_cell: str = "") -> Meaning | None:
    """What a heading (and the cell of the units row below it) says; None where it is nothing that is read."""
    words = words_of(heading)
    more = words_of(units_cell) if units_cell else ()
    said = frozenset(words)
    if not words or said & _OTHER_THINGS:
        return None
    every = words + more
    time = _as_time(said, every, zone_in(f"{heading} {units_cell}"))
    if time is not None:
        return time
    for tell in (
        _as_position,
        _as_altitude,
        _as_speed,
        _as_direction,
        _as_attitude,
        _as_quality,
        _as_aircraft,
    ):
        meaning = tell(said, every)
        if meaning is not None:
            return meaning
    return None


def _plain(quantity: Quantity, rank: int, reference: str = "") -> Meaning:
    return Meaning(quantity=quantity, rank=rank, reference=reference)


def _as_time(said: frozenset[str], every: tuple[str, ...], zone_s: float | None) -> Meaning | None:
    if (said & {"offset", "ofst"} and said & (_UTC | {"zone", "time"})) or said >= {"time", "zone"}:
        return Meaning(quantity=Quantity.UTC_OFFSET, rank=0)
    is_utc, is_local = zone_s == 0.0, bool(frozenset(every) & _LOCAL)
    has_time = bool(said & _TIME) or (bool(said & {"utc", "gmt"}) and not said & {"date", "day"})
    if said & {"date", "day"} and not has_time:
        rank = 3 if is_local else 0 if is_utc else 1
        return Meaning(quantity=Quantity.DATE, rank=rank, zone_s=zone_s, is_local=is_local)
    if not has_time or said & (_SPEED | _ALTITUDE | {"flight", "to", "climb"}):
        return None
    if is_utc:
        rank = 0
    elif said & {"timestamp", "datetime", "epoch", "unix", "posix", "date"}:
        rank = 1
    else:
        rank = 4 if is_local else 3 if said & _GNSS else 2
    return Meaning(quantity=Quantity.TIME, rank=rank, zone_s=zone_s, is_local=is_local)


def _as_position(said: frozenset[str], _every: tuple[str, ...]) -> Meaning | None:
    for names, quantity in (
        ({"lat", "latitude"}, Quantity.LATITUDE),
        ({"lon", "long", "lng", "longitude"}, Quantity.LONGITUDE),
    ):
        if said & names and not said & _NOT_A_POSITION:
            # A heading that says no more than the position stands before one with words that nobody knows.
            more = [word for word in said - _OF_POSITIONS if word not in UNIT_WORDS and not word.isdigit()]
            return _plain(quantity, 1 if more else 0)
    return None


def _as_altitude(said: frozenset[str], every: tuple[str, ...]) -> Meaning | None:
    is_level = said >= {"flight", "level"} or said - {"100", "hundreds", "ft", "feet"} == {"fl"}
    if not (said & _ALTITUDE or is_level) or said & (_SPEED | {"rate", "accuracy", "acc"}):
        return None
    if said & {"above", "over"} and said & {"ground", "gnd"}:
        return None
    words = frozenset(every)
    if words & {"indicated", "ind", "qnh"}:
        kind, rank = AltitudeKind.INDICATED, 0
    elif words & {"pressure", "press", "std", "qne", "1013"} or is_level:
        kind, rank = AltitudeKind.PRESSURE, 1 if is_level else 0
    elif words & {"ellipsoid", "ellipsoidal", "hae", "wgs"}:
        kind, rank = AltitudeKind.GNSS_ELLIPSOID, 0
    elif words & {"geometric", "geo"}:
        kind, rank = AltitudeKind.GNSS_ELLIPSOID, 1
    elif words & {"msl", "amsl", "sea"}:
        kind, rank = AltitudeKind.GNSS_MSL, 0 if words & _GNSS else 1
    elif words & _GNSS:
        kind, rank = AltitudeKind.GNSS_MSL, 2
    else:
        plain = bool(said & {"altitude", "alt"}) and not said & {"baro", "barometric"}
        kind, rank = AltitudeKind.UNKNOWN, 0 if plain else 1
    return Meaning(quantity=Quantity.ALTITUDE, rank=rank, kind=kind)


def _as_speed(said: frozenset[str], _every: tuple[str, ...]) -> Meaning | None:
    any_speed = bool(said & (_SPEED | {"airspeed"}))
    quantity, rank = None, 0
    if said & {"rate"} and not said & {"climb", "vertical", "vert", "baro", "descent"}:
        return None
    is_climb = bool(said & {"vertical", "vert", "climb"}) and (any_speed or "rate" in said)
    if is_climb or said & {"vs", "vspd", "vspeed", "vsi", "vvi", "roc", "vario"} or said >= {"baro", "rate"}:
        quantity = Quantity.VERTICAL_SPEED
    elif said & {"groundspeed", "gs", "gspd", "sog"} or (any_speed and said & ({"ground", "gnd", "over"} | _GNSS)):
        quantity = Quantity.GROUNDSPEED
    elif said & {"ias", "kias"} or (any_speed and said & {"indicated", "ind"}):
        quantity = Quantity.IAS
    elif said & {"tas", "ktas"} or (any_speed and said & {"true"}):
        quantity = Quantity.TAS
    elif said & {"airspeed"} and not said & {"calibrated", "equivalent"}:
        quantity, rank = Quantity.IAS, 2
    elif said & _SPEED and said <= _SPEED | frozenset(UNIT_WORDS):
        quantity, rank = Quantity.GROUNDSPEED, 2
    return None if quantity is None else _plain(quantity, rank)


def _as_direction(said: frozenset[str], every: tuple[str, ...]) -> Meaning | None:
    words = frozenset(every)
    if said & {"rate", "segment", "seg", "type", "point"}:
        return None
    reference = "true" if words & _TRUE else "mag" if words & _MAGNETIC else ""
    if said & {"track", "trk", "cog"} or (said & {"course", "crs"} and said & {"ground", "gnd", "over"}):
        return _plain(Quantity.TRACK, 0 if reference else 1, reference or "true")
    if said & {"heading", "hdg"}:
        return _plain(Quantity.HEADING, 0 if reference else 1, reference or "mag")
    # A course that isn't said to be one over the ground can be the one that was selected.
    if "course" in said:
        return _plain(Quantity.TRACK, 3, reference or "true")
    return None


def _as_attitude(said: frozenset[str], _every: tuple[str, ...]) -> Meaning | None:
    if said & {"rate"}:
        return None
    if said & {"bank", "roll"}:
        return _plain(Quantity.BANK, 0 if "bank" in said else 1)
    return _plain(Quantity.PITCH, 0) if "pitch" in said else None


def _as_quality(said: frozenset[str], _every: tuple[str, ...]) -> Meaning | None:
    if "hdop" in said:
        return Meaning(quantity=Quantity.HDOP, rank=0)
    if said & (_SPEED | {"g", "gs", "heading", "track", "course"}):
        return None
    is_accuracy = bool(said & {"accuracy", "acc", "fom"})
    if said & {"vacc", "epv", "vfom"} or (is_accuracy and said & (_VERTICAL | _ALTITUDE)):
        return _plain(Quantity.VERTICAL_ACCURACY, 0)
    if said & {"hacc", "eph", "hfom"} or (is_accuracy and said & _HORIZONTAL):
        return _plain(Quantity.HORIZONTAL_ACCURACY, 0)
    return _plain(Quantity.HORIZONTAL_ACCURACY, 1) if said & {"accuracy"} else None


def _as_aircraft(said: frozenset[str], _every: tuple[str, ...]) -> Meaning | None:
    is_aircraft = said <= {"aircraft", "callsign", "registration", "icao", "24"} and bool(said - {"24"})
    return Meaning(quantity=Quantity.AIRCRAFT, rank=0) if is_aircraft else None
