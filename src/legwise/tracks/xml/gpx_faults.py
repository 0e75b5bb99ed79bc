"""What was amiss with the points of a GPX file, in words."""

from __future__ import annotations

from collections.abc import Sequence

from legwise.model.track import Fault, RoutePoint
from legwise.tracks.wording import listed, places
from legwise.tracks.xml.gpx_pass import Found

_APART_DEG = 1e-4
"""Positions of one name that differ by more (11 m of latitude) are two places. Common practice, no published source."""

_NAMED = (("rtept", "route point"), ("wpt", "waypoint"))


def point_faults(found: Found, unreadable_times: Sequence[int]) -> list[Fault]:
    """Times and numbers that can't be read, track points outside segments, named points without a position."""
    faults: list[Fault] = []
    if unreadable_times:
        detail = f"no time that can be read: {places(unreadable_times)}; taken as none"
        faults.append(Fault(kind="unreadable-time", count=len(unreadable_times), detail=detail))
    if found.unreadable:
        detail = f"no number where one is due: {places(found.unreadable)}; taken as not recorded"
        faults.append(Fault(kind="unreadable-value", count=len(found.unreadable), detail=detail))
    if found.loose:
        detail = f"track points outside any <trkseg> in {places(found.loose)}; read as a segment of their own"
        faults.append(Fault(kind="loose-point", count=len(found.loose), detail=detail))
    for element, word in _NAMED:
        some = [(name, line) for kind, name, line in found.unplaced if kind == element]
        if some:
            names = [name for name, _line in some if name]
            called = f" ({listed(names, 4)})" if names else ""
            which = places([line for _name, line in some])
            detail = f"no usable position for {len(some)} {word}{'s' if len(some) > 1 else ''}{called} in {which}"
            faults.append(Fault(kind="blank-position", count=len(some), detail=f"{detail}; left out"))
    return faults


def left_unread(found: Found) -> list[str]:
    """Notes on points where none belongs, and on what is more than is kept."""
    notes: list[str] = []
    for element, lines in found.stray.items():
        count = len(lines)
        verb = "stands" if count == 1 else "stand"
        notes.append(f"{count} <{element}> {verb} where none belongs ({places(lines)}) and {_is(count)} not read")
    if found.beyond:
        notes.append(f"{found.beyond} further route points and waypoints are not read")
    if found.unseen:
        notes.append(f"there are very many extensions; {found.unseen} values of the later ones are not looked at")
    return notes


def _is(count: int) -> str:
    return "is" if count == 1 else "are"


def twice_named(found: Found) -> list[str]:
    """A note on the names that stand at more than one place, in the route or among the waypoints."""
    notes: list[str] = []
    route = next((points for points in found.routes if len(points) > 1), [])
    for points, word in ((route, "in the route"), (found.waypoints, "among the waypoints")):
        names = _at_two_places(points)
        if names:
            verb = "stands" if len(names) == 1 else "stand"
            notes.append(f"{listed(names, 4)} {verb} at more than one place {word}")
    return notes


def _at_two_places(points: Sequence[RoutePoint]) -> list[str]:
    first: dict[str, RoutePoint] = {}
    names: dict[str, None] = {}
    for point in points:
        other = first.setdefault(point.ident.strip().casefold(), point)
        east_deg = abs(point.lon_deg - other.lon_deg)
        if abs(point.lat_deg - other.lat_deg) > _APART_DEG or min(east_deg, 360.0 - east_deg) > _APART_DEG:
            names[point.ident] = None
    return list(names)
