"""What a heading means: its words tell quantity, kind and reference.

Where two headings tell the same, the one with the lower ``rank`` says it more plainly and is taken; at the same rank
they can't be told apart.
"""

from __future__ import annotations

from dataclasses import dataclass

from legwise.model.track import AltitudeKind
from legwise.tracks.headings.quantities import UNIT_WORDS, Quantity
from legwise.tracks.headings.vocabulary import (
    ALTITUDE,
    GNSS,
    HORIZONTAL,
    LOCAL,
    MAGNETIC,
    NOT_A_POSITION,
    OF_POSITIONS,
    OTHER_THINGS,
    SINCE,
    SPEED,
    TIME,
    TRUE,
    UTC,
    VERTICAL,
    words_of,
    zone_in,
)


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


def meaning_of(heading: str, units_cell: str = "") -> Meaning | None:
    """What a heading (and the cell of the units row below it) says; None where it is nothing that is read."""
    words = words_of(heading)
    more = words_of(units_cell) if units_cell else ()
    said = frozenset(words)
    others = said & OTHER_THINGS
    if not words or (others and not (others == {"since"} and said & SINCE)):
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
    if (said & {"offset", "ofst"} and said & (UTC | {"zone", "time"})) or said >= {"time", "zone"} or said == {"tz"}:
        return Meaning(quantity=Quantity.UTC_OFFSET, rank=0)
    is_utc, is_local = zone_s == 0.0, bool(frozenset(every) & LOCAL)
    counts = any(UNIT_WORDS.get(word) in ("s", "ms") for word in every)
    has_time = bool(said & TIME) or (bool(said & {"utc", "gmt"}) and not said & {"date", "day"})
    has_time |= bool(said & SINCE and "since" in said) or ("t" in said and said <= _ONLY_T)
    has_time |= counts and said >= {"of", "day"}
    if said & {"date", "day"} and not has_time:
        # "Datum" is a date, or that of the map.
        rank = 4 if "datum" in said else 3 if is_local else 0 if is_utc else 1
        return Meaning(quantity=Quantity.DATE, rank=rank, zone_s=zone_s, is_local=is_local)
    if not has_time or said & (SPEED | ALTITUDE | {"flight", "to", "climb"}):
        return None
    is_whole = bool(said & {"timestamp", "datetime", "epoch", "unix", "posix", "date"})
    if is_utc:
        rank = 0 if is_whole else 1
    elif is_whole:
        rank = 2
    elif counts or "t" in said:
        rank = 6
    else:
        rank = 5 if is_local else 4 if said & GNSS else 3
    return Meaning(quantity=Quantity.TIME, rank=rank, zone_s=zone_s, is_local=is_local)


_ONLY_T = frozenset({"t", "s", "sec", "secs", "second", "seconds", "ms"})


def _as_position(said: frozenset[str], _every: tuple[str, ...]) -> Meaning | None:
    for names, quantity in (
        ({"lat", "latitude"}, Quantity.LATITUDE),
        ({"lon", "long", "lng", "longitude"}, Quantity.LONGITUDE),
    ):
        if said & names and not said & NOT_A_POSITION:
            # A heading that says no more than the position stands before one with words that nobody knows.
            more = [word for word in said - OF_POSITIONS if word not in UNIT_WORDS and not word.isdigit()]
            return _plain(quantity, 1 if more else 0)
    return None


def _as_altitude(said: frozenset[str], every: tuple[str, ...]) -> Meaning | None:
    is_level = said >= {"flight", "level"} or said - {"100", "hundreds", "ft", "feet"} == {"fl"}
    if not (said & ALTITUDE or is_level) or said & (SPEED | {"rate", "accuracy", "acc"}):
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
        kind, rank = AltitudeKind.GNSS_MSL, 0 if words & GNSS else 1
    elif words & GNSS:
        kind, rank = AltitudeKind.GNSS_MSL, 2
    else:
        plain = bool(said & {"altitude", "alt"}) and not said & {"baro", "barometric"}
        kind, rank = AltitudeKind.UNKNOWN, 0 if plain else 1
    return Meaning(quantity=Quantity.ALTITUDE, rank=rank, kind=kind)


def _as_speed(said: frozenset[str], _every: tuple[str, ...]) -> Meaning | None:
    any_speed = bool(said & (SPEED | {"airspeed"}))
    quantity, rank = None, 0
    if said & {"rate"} and not said & {"climb", "vertical", "vert", "baro", "descent"}:
        return None
    is_climb = bool(said & {"vertical", "vert", "climb"}) and (any_speed or "rate" in said)
    if "climb" in said and said <= frozenset({"climb"}) | frozenset(UNIT_WORDS):
        quantity, rank = Quantity.VERTICAL_SPEED, 2
    elif is_climb or said & {"vs", "vspd", "vspeed", "vsi", "vvi", "roc", "vario"} or said >= {"baro", "rate"}:
        quantity = Quantity.VERTICAL_SPEED
    elif said & {"groundspeed", "gs", "gspd", "sog"} or (any_speed and said & ({"ground", "gnd", "over"} | GNSS)):
        quantity = Quantity.GROUNDSPEED
    elif said & {"ias", "kias"} or (any_speed and said & {"indicated", "ind"}):
        quantity = Quantity.IAS
    elif said & {"tas", "ktas"} or (any_speed and said & {"true"}):
        quantity = Quantity.TAS
    elif said & {"airspeed"} and not said & {"calibrated", "equivalent"}:
        quantity, rank = Quantity.IAS, 2
    elif said & SPEED and said <= SPEED | frozenset(UNIT_WORDS):
        quantity, rank = Quantity.GROUNDSPEED, 2
    return None if quantity is None else _plain(quantity, rank)


def _as_direction(said: frozenset[str], every: tuple[str, ...]) -> Meaning | None:
    words = frozenset(every)
    if said & {"rate", "segment", "seg", "type", "point"}:
        return None
    reference = "true" if words & TRUE else "mag" if words & MAGNETIC else ""
    if said & {"track", "trk", "cog"} or (said & {"course", "crs"} and said & {"ground", "gnd", "over"}):
        return _plain(Quantity.TRACK, 0 if reference else 1, reference or "true")
    if said & {"heading", "hdg", "hding"}:
        return _plain(Quantity.HEADING, 0 if reference else 1, reference or "mag")
    # A course that isn't said to be one over the ground can be the one that was selected.
    is_direction = "direction" in said and said <= _ONLY_DIRECTION
    if "course" in said or is_direction:
        return _plain(Quantity.TRACK, 4 if is_direction else 3, reference or "true")
    # French for a heading, where it stands alone.
    is_cap = "cap" in said and said <= {"cap", "deg", "degs", "degree", "degrees"} | TRUE | MAGNETIC
    return _plain(Quantity.HEADING, 2, reference or "mag") if is_cap else None


_ONLY_DIRECTION = frozenset({"direction", "deg", "degs", "degree", "degrees", "gps", "gnss"}) | TRUE | MAGNETIC


def _as_attitude(said: frozenset[str], _every: tuple[str, ...]) -> Meaning | None:
    if said & {"rate"}:
        return None
    if said & {"bank", "roll"}:
        return _plain(Quantity.BANK, 0 if "bank" in said else 1)
    return _plain(Quantity.PITCH, 0) if "pitch" in said else None


def _as_quality(said: frozenset[str], _every: tuple[str, ...]) -> Meaning | None:
    if "hdop" in said:
        return Meaning(quantity=Quantity.HDOP, rank=0)
    if said & (SPEED | {"g", "gs", "heading", "track", "course"}):
        return None
    is_accuracy = bool(said & {"accuracy", "acc", "fom"})
    if said & {"vacc", "epv", "vfom"} or (is_accuracy and said & (VERTICAL | ALTITUDE)):
        return _plain(Quantity.VERTICAL_ACCURACY, 0)
    if said & {"hacc", "eph", "hfom"} or (is_accuracy and said & HORIZONTAL):
        return _plain(Quantity.HORIZONTAL_ACCURACY, 0)
    return _plain(Quantity.HORIZONTAL_ACCURACY, 1) if said & {"accuracy"} else None


def _as_aircraft(said: frozenset[str], _every: tuple[str, ...]) -> Meaning | None:
    is_aircraft = said <= {"aircraft", "callsign", "registration", "icao", "24"} and bool(said - {"24"})
    return Meaning(quantity=Quantity.AIRCRAFT, rank=0) if is_aircraft else None
