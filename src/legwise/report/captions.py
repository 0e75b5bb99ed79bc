"""Text alternatives: for every picture there is, what it shows and what it says. A picture that has nothing to show
has none.
"""

from __future__ import annotations

import numpy as np

from legwise.look import words
from legwise.model.instants import instant
from legwise.model.results import DebriefResult
from legwise.report.content import ApproachCard, Caption, FindingRow, LegRow, ProfilePicture, Series
from legwise.report.times import clock


def captions_of(
    result: DebriefResult,
    series: Series,
    legs: tuple[LegRow, ...],
    findings: tuple[FindingRow, ...],
    approaches: tuple[ApproachCard, ...],
    profiles: tuple[ProfilePicture, ...],
) -> dict[str, Caption]:
    """Captions by the figure's name: plan, timeline, lateral, vertical, altitude, speed, and one for each profile."""
    captions = {
        "timeline": Caption(title="What was navigated by", shows=_timeline_shows(result), says=""),
        "plan": Caption(title="Plan view", shows=_plan_shows(result), says=_plan_says(legs)),
    }
    if np.isfinite(series.lateral_needle).any():
        captions["lateral"] = Caption(
            title="Lateral needle",
            shows="Where the aircraft was across the course, as a share of the needle's full scale. Shaded: the limit.",
            says=_needle_says(series, series.lateral_needle, "lateral needle", findings),
        )
    if np.isfinite(series.vertical_needle).any():
        captions["vertical"] = Caption(
            title="Vertical needle",
            shows="Where the aircraft was above or below the glidepath, as a share of full scale. Shaded: the limit.",
            says=_needle_says(series, series.vertical_needle, "vertical needle", findings),
        )
    if np.isfinite(series.altitude_ft).any():
        captions["altitude"] = Caption(
            title="Altitude",
            shows=_altitude_shows(series),
            says=_counts("altitude", findings),
        )
    if np.isfinite(series.groundspeed_kt).any():
        captions["speed"] = Caption(title="Groundspeed", shows=_speed_shows(series), says="")
    cards = {card.key: card for card in approaches}
    for profile in profiles:
        card = cards.get(profile.key)
        captions[profile.key] = Caption(
            title=f"Vertical profile, {card.title}" if card else "Vertical profile",
            shows="Altitude against the distance to go to the threshold; amber: the glidepath with full scale, "
            "published altitudes and the minimum.",
            says="; ".join(f"{label.lower()} {text}" for label, text in card.verdicts) if card else "",
        )
    return captions


def _timeline_shows(result: DebriefResult) -> str:
    legs = len(result.alignment.legs)
    return f"{legs} {'leg' if legs == 1 else 'legs'} flown."


def _plan_shows(result: DebriefResult) -> str:
    if not result.plan.route and not result.plan.approaches:
        return "The flown track, north up, to scale. No route and no approach were given, so nothing was owed."
    return "The flown track over what was planned and cleared, north up, to scale. Shaded: full scale of the needle."


def _plan_says(legs: tuple[LegRow, ...]) -> str:
    told = [leg for leg in legs if leg.worst_at]
    if not told:
        return ""
    farthest = max(told, key=lambda leg: leg.worst_nm)
    return f"Farthest from course: {farthest.worst}, {farthest.name}, at {farthest.worst_at}."


def _counts(quantity: str, findings: tuple[FindingRow, ...]) -> str:
    judged = [
        row for row in findings if row.what.startswith(quantity) and row.css in ("within", "outside", "undecided")
    ]
    if not judged:
        return ""
    outside = [row for row in judged if row.css == "outside"]
    if not outside:
        undecided = sum(row.css == "undecided" for row in judged)
        stretches = "1 stretch" if len(judged) == 1 else f"{len(judged)} stretches"
        return f"Judged over {stretches}: none outside" + (f", {undecided} undecided." if undecided else ".")
    worst = outside[0]
    place = f", {worst.place}" if worst.place else ""
    share = "" if len(judged) == 1 else f" in {len(outside)} of {len(judged)} stretches; first"
    return f"Outside{share}: {worst.worst} at {worst.at}{place}."


def _needle_says(
    series: Series,
    values: np.ndarray[tuple[int, ...], np.dtype[np.float64]],
    quantity: str,
    findings: tuple[FindingRow, ...],
) -> str:
    counts = _counts(quantity, findings)
    if counts:
        return counts
    at = int(np.nanargmax(np.abs(values)))
    phrase = words.lateral_needle if quantity.startswith("lateral") else words.vertical_needle
    return f"Largest: {phrase(float(values[at]))}, at {clock(instant(float(series.time_ms[at]) / 1000))}."


def _altitude_shows(series: Series) -> str:
    low, high = np.nanmin(series.altitude_ft), np.nanmax(series.altitude_ft)
    span = f"Altitude from {words.number(float(low))} to {words.number(float(high))} ft."
    if low == high:
        span = f"{words.number(float(low))} ft throughout."
    if np.isfinite(series.assigned_ft).any():
        return f"{span} Dashed: the altitude assigned, with its band."
    return f"{span} No altitude was assigned, so none was judged."


def _speed_shows(series: Series) -> str:
    slow, fast = np.nanmin(series.groundspeed_kt), np.nanmax(series.groundspeed_kt)
    indicated = " Dotted: indicated airspeed." if np.isfinite(series.ias_kt).any() else ""
    return f"From {words.number(float(slow))} to {words.number(float(fast))} kt over the ground.{indicated}"
