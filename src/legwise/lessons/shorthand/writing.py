"""An instruction as a line of shorthand: the inverse of reading, for pages and drafts."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from decimal import Decimal

from legwise.lessons.shorthand.clock import ABOUT_S
from legwise.lessons.shorthand.idents import is_bare_approach, is_bare_ident
from legwise.model.lesson import Clearance, Crossing, HoldInstruction, Time

_LEAST_BARE_FT, _MOST_BARE_FT = 2400, 99_900
"""Round hundreds of feet between them are no time of day, and are understood without a unit."""


def shorthand_of(clearance: Clearance) -> str:
    """``clearance`` as one line, which :func:`read_shorthand` reads as the same again.

    What is ``false`` says nothing, and is left out.
    """
    return " ".join(_words(clearance))


def _words(said: Clearance) -> Iterator[str]:
    if said.time is not None:
        is_about = isinstance(said.time, str) and said.time_accuracy_s == ABOUT_S
        yield f"{'~' if is_about else ''}{_time(said.time)}"
        if said.time_accuracy_s is not None and not is_about:
            yield f"±{_number(said.time_accuracy_s)}s"
    elif said.time_accuracy_s is not None:
        yield f"±{_number(said.time_accuracy_s)}s"
    yield from _lateral(said)
    if said.altitude_ft is not None:
        yield _feet(said.altitude_ft)
    if said.flight_level is not None:
        yield f"FL{_number(said.flight_level, digits=2)}"
    if said.altitude_until is not None:
        yield "til est"
    if said.speed_kt is not None:
        yield f"S{_number(said.speed_kt)}"
    if said.crossing is not None:
        yield from _crossing(said.crossing)
    if said.confirmed:
        yield "confirmed"
    if said.hold is not None:  # last: what follows a hold is read as its details
        yield from _hold(said.hold)


def _lateral(said: Clearance) -> Iterator[str]:
    turn = {"left": "L", "right": "R"}.get(said.turn or "", "")
    if said.heading_deg_mag is not None:
        yield f"{turn or 'H'}{_number(said.heading_deg_mag, digits=3)}"
    elif said.heading_deg_true is not None:
        yield f"{turn or 'H'}{_number(said.heading_deg_true, digits=3)}T"
    elif turn:
        yield turn
    if said.direct is not None:
        yield f"D→{_ident(said.direct)}"
    flags = {
        "vtf": said.until,
        "across": said.across,
        "join": said.join,
        "own nav": said.resume,
        "missed": said.missed,
        "disc": said.discontinue,
        "clrd visual": said.visual,
    }
    yield from (words for words, is_said in flags.items() if is_said)
    if said.cleared is not None:
        yield f"clrd {said.cleared if is_bare_approach(said.cleared) else _quoted(said.cleared)}"
    if said.circle is not None:
        yield f"circle {said.circle.removeprefix('RW')}"


def _crossing(at: Crossing) -> Iterator[str]:
    yield f"x {_ident(at.fix)}"
    for feet, bound in ((at.at_ft, ""), (at.at_or_above_ft, "+"), (at.at_or_below_ft, "-")):
        if feet is not None:
            yield f"{_feet(feet)}{bound}"


def _hold(hold: HoldInstruction) -> Iterator[str]:
    yield f"hold {_ident(hold.fix)}"
    if hold.inbound_course_deg_mag is not None:
        yield _number(hold.inbound_course_deg_mag, digits=3)
    if hold.inbound_course_deg_true is not None:
        yield f"{_number(hold.inbound_course_deg_true, digits=3)}T"
    if hold.turn is not None:
        yield hold.turn[0].upper()
    if hold.leg_minutes is not None:
        yield f"{_number(hold.leg_minutes)}min"
    if hold.leg_nm is not None:
        yield f"{_number(hold.leg_nm)}nm"
    if hold.altitude_ft is not None:
        yield f"@{_feet(hold.altitude_ft)}"
    if hold.efc is not None:
        yield f"EFC {_time(hold.efc)}"


def _ident(ident: str) -> str:
    return ident if is_bare_ident(ident) else _quoted(ident)


def _quoted(name: str) -> str:
    return '"' + name.replace('"', '""') + '"'


def _feet(feet: float) -> str:
    is_bare = feet % 100.0 == 0.0 and _LEAST_BARE_FT <= feet <= _MOST_BARE_FT
    return _number(feet) if is_bare else f"{_number(feet)}ft"


def _number(value: float, *, digits: int = 1) -> str:
    """All the digits it takes to be read as the same, at least so many before the point; never an exponent."""
    text = format(Decimal(repr(value)), "f")
    whole, _, rest = text.partition(".")
    sign = "-" if whole.startswith("-") and value else ""
    whole = whole.lstrip("-").zfill(digits)
    return f"{sign}{whole}.{rest}" if rest.strip("0") else f"{sign}{whole}"


def _time(when: Time) -> str:
    if isinstance(when, str):
        return when
    return when.isoformat().replace("+00:00", "Z") if isinstance(when, dt.datetime) else when.isoformat()
