"""Instructions in words, as a person would read them back."""

from __future__ import annotations

from legwise.model.instants import instant
from legwise.model.lesson import Clearance


def clock(time_s: float) -> str:
    """The time of day in UTC, to the second."""
    return instant(time_s).strftime("%H:%M:%SZ")


def feet(altitude_ft: float) -> str:
    """An altitude with its unit: ``4,000 ft``."""
    return f"{altitude_ft:,.0f} ft"


def in_words(clearance: Clearance) -> str:
    """Everything a clearance says: ``heading 250, 4,000 ft``."""
    parts = [*_lateral(clearance), *_vertical(clearance)]
    if clearance.speed_kt is not None:
        parts.append(f"speed {clearance.speed_kt:.0f} kt")
    return ", ".join(parts) if parts else "nothing said"


def _lateral(said: Clearance) -> list[str]:
    parts: list[str] = []
    if said.heading_deg_mag is not None or said.heading_deg_true is not None:
        degrees = said.heading_deg_mag if said.heading_deg_mag is not None else said.heading_deg_true
        kind = "" if said.heading_deg_mag is not None else " true"
        turn = f"turn {said.turn} " if said.turn is not None else ""
        parts.append(f"{turn}heading {degrees:03.0f}{kind}")
    if said.until is not None:
        parts.append("vectors to final")
    if said.across:
        parts.append("across final")
    if said.direct is not None:
        parts.append(f"direct {said.direct}")
    if said.hold is not None:
        parts.append(f"hold at {said.hold.fix}")
    if said.join:
        parts.append("join the final course")
    if said.cleared is not None:
        parts.append(f"cleared approach {said.cleared}")
    if said.circle is not None:
        parts.append(f"circle to {said.circle}")
    flags = {
        "resume own navigation": said.resume,
        "missed approach": said.missed,
        "cleared visual approach": said.visual,
        "approach discontinued": said.discontinue,
    }
    return parts + [words for words, is_said in flags.items() if is_said]


def _vertical(said: Clearance) -> list[str]:
    parts: list[str] = []
    if said.altitude_ft is not None:
        until = " until established" if said.cleared is not None or said.altitude_until is not None else ""
        parts.append(f"{feet(said.altitude_ft)}{until}")
    if said.flight_level is not None:
        parts.append(f"flight level {said.flight_level:.0f}")
    if said.hold is not None and said.hold.altitude_ft is not None:
        parts.append(feet(said.hold.altitude_ft))
    if said.crossing is not None:
        at = said.crossing
        bounds = {"at": at.at_ft, "at or above": at.at_or_above_ft, "at or below": at.at_or_below_ft}
        limits = [f"{word} {feet(height)}" for word, height in bounds.items() if height is not None]
        parts.append(f"cross {at.fix} {' and '.join(limits)}".rstrip())
    return parts
