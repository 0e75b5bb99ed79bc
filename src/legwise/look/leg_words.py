"""Legs of a plan in a pilot's words: how one ends, altitudes, holds, reversals, turns, a missed approach in a line."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from legwise.look.words import number
from legwise.model.briefing import Entry, HoldBriefing, PlannedTurn
from legwise.model.plan import AltitudeWindow, Hold, Leg, LegEnd, Reversal

_ROUND_NM: Final = 0.005
_ABOUT_DEG: Final = 5.0
"""A course that is known to within this is "about" it; a wider range is told by its ends."""
_LEAST_TURN_DEG: Final = 1.0
"""A smaller change of course is no turn."""
_BACK_AT_FIX: Final = {"HA": "hold", "HF": "hold", "HM": "hold", "PI": "procedure turn"}
_ENTRY_WORDS: Final[dict[Entry, str]] = {
    "direct": "direct: over the fix turn {turn} to the outbound course",
    "teardrop": "teardrop: over the fix to {teardrop} for 1 min, then turn {turn} to the inbound course",
    "parallel": "parallel: over the fix to {outbound} for 1 min, then turn {other} to the inbound course or the fix",
}


def direction(degrees: float) -> str:
    """Three figures and the sign: ``"005°"``; north is ``"360°"``."""
    return f"{round(degrees) % 360 or 360:03d}°"


def to_words(leg: Leg) -> str:
    """Where a leg leads, or how it ends: ``"BRAKO"``, ``"to 900 ft"``, ``"on radial 142 of SKH"``, ``"vectors"``."""
    back_to = leg.hold or leg.reversal
    if back_to is not None:
        return back_to.fix.ident
    if leg.to_fix is not None or leg.end is None:
        return leg.end_ident
    distance = "" if leg.end.distance_nm is None else number(leg.end.distance_nm, 1)
    station = leg.end.station.ident if leg.end.station is not None else ""
    feet = _reached_ft(leg.altitude)
    words = {
        "altitude": "to an altitude" if feet is None else f"to {number(feet)} ft",
        "intercept": "until the next leg",
        "distance": f"for {distance} NM",
        "dme": f"to {distance} DME {station}".rstrip(),
        "radial": f"{_radial_words(leg.end)} of {station}",
        "manual": "vectors",
    }
    return words[leg.end.kind]


def ends_words(leg: Leg | None) -> str:
    """How a leg ends that leads to no fix, as :func:`to_words`; empty where it leads to one, and without a leg."""
    return "" if leg is None or leg.end_ident else to_words(leg)


def leg_words(kind: str, start: str, end: str, ends: str = "") -> str:
    """A leg by its fixes: ``"BRAKO to CALDU"``, ``"direct to CALDU"``, ``"hold at TBN"``, ``"procedure turn at TBN"``.

    Without a fix at its end by how it ends (``ends``, see :func:`ends_words`): ``"RW05 to 900 ft"``, ``"SKH for 22.0
    NM"``, ``"BRAKO, vectors"``, ``"heading until the next leg"``.
    """
    if end and kind in _BACK_AT_FIX:
        return f"{_BACK_AT_FIX[kind]} at {end}"
    if end:
        # Back on the course to the fix where a reversal began there is no way from it to itself.
        start = "" if start == end else start
        return f"{start} to {end}" if start else f"direct to {end}" if kind == "DF" else f"to {end}"
    first = start or ("heading" if kind.startswith("V") else "course")
    if not ends:
        return f"from {start}" if start else f"{first} ({kind})"
    how = f"to {ends.removeprefix('on ')}" if ends.startswith("on ") else ends
    return f"{first}, {how}" if how == "vectors" else f"{first} {how}"


def _radial_words(end: LegEnd) -> str:
    if end.radial_deg_mag is not None:
        return f"on radial {direction(end.radial_deg_mag)[:3]}"
    return "on a radial" if end.radial_deg_true is None else f"on radial {direction(end.radial_deg_true)[:3]} true"


def _reached_ft(window: AltitudeWindow | None) -> float | None:
    if window is None:
        return None
    return window.low_ft if window.low_ft is not None else window.high_ft


def altitude_words(window: AltitudeWindow | None) -> str:
    """``"at or above 3,000 ft"``, ``"2,000 to 3,000 ft"``; empty where none binds."""
    if window is None:
        return ""
    low, high = window.low_ft, window.high_ft
    if low is not None and high is not None:
        return f"at {number(low)} ft" if low == high else f"{number(low)} to {number(high)} ft"
    if low is not None:
        return f"at or above {number(low)} ft"
    return "" if high is None else f"at or below {number(high)} ft"


def glidepath_words(window: AltitudeWindow | None) -> str:
    """``"glidepath 2,478 ft"``; empty where none is published at the fix."""
    if window is None or window.glidepath_ft is None:
        return ""
    return f"glidepath {number(window.glidepath_ft)} ft"


def speed_words(leg: Leg) -> str:
    """``"at most 210 kt"``; empty without a limit."""
    least, most = leg.speed_min_kt, leg.speed_max_kt
    if least is not None and most is not None:
        return f"at {number(most)} kt" if least == most else f"{number(least)} to {number(most)} kt"
    if most is not None:
        return f"at most {number(most)} kt"
    return "" if least is None else f"at least {number(least)} kt"


def magnetic_or_true(magnetic: float | None, true: float) -> str:
    """A direction by magnetic north, or said to be true where that is not known: ``"180°"``, ``"171° true"``."""
    return direction(magnetic) if magnetic is not None else f"{direction(true)} true"


def hold_words(hold: Hold) -> str:
    """``"right turns, inbound 180°, 1 min"``."""
    inbound = magnetic_or_true(hold.inbound_course_deg_mag, hold.inbound_course_deg_true)
    parts = [f"{hold.turn} turns", f"inbound {inbound}"]
    if hold.leg_minutes is not None:
        parts.append(f"{hold.leg_minutes:g} min")
    if hold.leg_nm is not None:
        parts.append(f"{hold.leg_nm:g} NM outbound")
    if hold.leg_minutes is None and hold.leg_nm is None:
        parts.append("standard timing")
    return ", ".join(parts)


def hold_ends_words(leg: Leg) -> str:
    """How a hold ends, by its kind: ``"once round"``, ``"up to 3,000 ft"``, ``"until told otherwise"``."""
    if leg.kind == "HF":
        return "once round"
    if leg.kind == "HA":
        feet = _reached_ft(leg.altitude)
        return "up to an altitude" if feet is None else f"up to {number(feet)} ft"
    return "until told otherwise"


def reversal_words(reversal: Reversal) -> str:
    """``"procedure turn, drawn left, outbound 245°, within 10 NM"``."""
    outbound = magnetic_or_true(reversal.outbound_course_deg_mag, reversal.outbound_course_deg_true)
    parts = [reversal.kind.replace("-", " "), f"drawn {reversal.turn}", f"outbound {outbound}"]
    if reversal.limit_nm is not None:
        parts.append(f"within {reversal.limit_nm:g} NM of {reversal.fix.ident}")
    return ", ".join(parts)


def arc_words(leg: Leg) -> str:
    """``"right on the 10.0 NM arc about SKH"``; empty for a leg that is no arc."""
    if leg.radius_nm is None:
        return ""
    about = f" about {leg.centre.ident}" if leg.centre is not None and leg.centre.ident else ""
    side = f"{leg.turn} " if leg.turn is not None else ""
    return f"{side}on the {radius_words(leg.radius_nm)} NM arc{about}"


def radius_words(radius_nm: float) -> str:
    """``"10.0"``, and ``"10.08"`` where it is no round tenth. [NM]"""
    return number(radius_nm, 1 if abs(radius_nm - round(radius_nm, 1)) < _ROUND_NM else 2)


def turn_words(turn: PlannedTurn | None) -> str:
    """``"right 52°"``; empty where there is none."""
    if turn is None or abs(turn.turn_deg) < _LEAST_TURN_DEG:
        return ""
    return f"{'right' if turn.turn_deg > 0 else 'left'} {abs(turn.turn_deg):.0f}°"


def lead_words(turn: PlannedTurn | None) -> str:
    """``"lead 0.31 to 0.47 NM"``, ``"over the fix"``; empty where no lead is known.

    ``"lead 2.07 to 3.11 NM, no room"`` where one of the legs is shorter than that.
    """
    if turn is None or not turn_words(turn):
        return ""
    if turn.fly_over:
        return "over the fix"
    words = _lead_numbers(turn)
    return f"{words}, no room" if words and turn.no_room else words


def _lead_numbers(turn: PlannedTurn) -> str:
    least, most = turn.lead_least_nm, turn.lead_largest_nm
    if least is None or most is None:
        return "" if turn.lead_nm is None else f"lead {number(turn.lead_nm, 2)} NM"
    if round(least, 2) == round(most, 2):
        return f"lead {number(least, 2)} NM"
    return f"lead {number(least, 2)} to {number(most, 2)} NM"


def minutes(seconds: float) -> str:
    """A time to fly as minutes and seconds: ``"4:36"``, from an hour on ``"1:04:36"``."""
    whole = round(seconds)
    hours, rest = divmod(whole, 3600)
    return f"{hours}:{rest // 60:02d}:{rest % 60:02d}" if hours else f"{rest // 60}:{rest % 60:02d}"


def entry_words(hold: Hold, entry: Entry) -> str:
    """An entry as it is flown (FAA AIM 5-3-8 j3): ``"teardrop: over the fix to 330° for 1 min, then ..."``."""
    side = 1.0 if hold.turn == "right" else -1.0
    inbound, sign = hold.inbound_course_deg_mag, ""
    if inbound is None:
        inbound, sign = hold.inbound_course_deg_true, " true"
    outbound = inbound + 180.0
    return _ENTRY_WORDS[entry].format(
        turn=hold.turn,
        other="left" if hold.turn == "right" else "right",
        outbound=direction(outbound) + sign,
        teardrop=direction(outbound - side * 30.0) + sign,
    )


def arrival_words(hold: HoldBriefing) -> str:
    """``"arriving on about 223°: direct: over the fix turn right to the outbound course"``; empty without an entry.

    ``"arriving between 204° and 276°: ..."`` where the flight decides; where the entry goes by that too, it says so.
    """
    true = hold.arrival_course_deg_true
    if not hold.entries or true is None:
        return ""
    magnetic, within = hold.arrival_course_deg_mag, hold.arrival_within_deg or 0.0
    if within <= _ABOUT_DEG:
        arrival = f"on {'about ' if hold.arrival_estimated else ''}{magnetic_or_true(magnetic, true)}"
    else:
        ends = [magnetic_or_true(None if magnetic is None else magnetic + off, true + off) for off in (-within, within)]
        arrival = f"between {' and '.join(ends)}"
    depends = ", the entry depends on where the turn there is made" if hold.entry_depends else ""
    entries = "; or ".join(entry_words(hold.hold, entry) for entry in hold.entries)
    return f"arriving {arrival}{depends}: {entries}"


def missed_line(legs: Sequence[Leg]) -> str:
    """A missed approach in one line: ``"Course 275° to 900 ft, then direct CALDU at or above 3,000 ft, then ..."``."""
    parts: list[str] = []
    altitude = ""
    for leg in legs:
        words = _missed_part(leg) if leg.kind != "IF" else ""
        # A hold at the altitude that was climbed to on the way there need not say it again.
        parts.append(words.removesuffix(f" {altitude}") if leg.hold is not None and altitude else words)
        altitude = altitude_words(leg.altitude)
    line = ", then ".join(part for part in parts if part)
    return f"{line[:1].upper()}{line[1:]}." if line else ""


def _missed_part(leg: Leg) -> str:
    if leg.hold is not None:
        return f"hold at {leg.hold.fix.ident} ({hold_words(leg.hold)}){_after(leg)}"
    if leg.reversal is not None:
        return reversal_words(leg.reversal)
    if leg.radius_nm is not None:
        return f"{arc_words(leg)} to {to_words(leg)}{_after(leg)}"
    turn = f"turn {leg.turn}, " if leg.turn is not None else ""
    if leg.heading_deg_true is not None:
        return f"{turn}heading {magnetic_or_true(leg.heading_deg_mag, leg.heading_deg_true)} {_ends(leg)}"
    if leg.course_deg_true is not None:
        return f"{turn}course {magnetic_or_true(leg.course_deg_mag, leg.course_deg_true)} {_ends(leg)}"
    return f"{turn}{'direct' if leg.kind == 'DF' else 'to'} {to_words(leg)}{_after(leg)}"


def _ends(leg: Leg) -> str:
    words = to_words(leg)
    if leg.end is not None and leg.to_fix is None:
        words = f"to {words.removeprefix('on ')}" if leg.end.kind == "radial" else words
        return words if leg.end.kind == "altitude" else f"{words}{_after(leg)}"
    return f"to {words}{_after(leg)}"


def _after(leg: Leg) -> str:
    words = altitude_words(leg.altitude)
    return f" {words}" if words else ""
