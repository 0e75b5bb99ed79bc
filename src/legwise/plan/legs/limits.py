"""What two procedures ask for at the fix where one ends and the other begins: what satisfies both."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from legwise.look.leg_words import altitude_words, speed_words
from legwise.model.plan import AltitudeWindow, Leg
from legwise.plan.fixes.places import shown


def with_both_limits(leg: Leg, begins: Leg) -> tuple[Leg, str]:
    """``leg`` with what the leg ``begins`` (an IF at the same fix) asks for there too, and a note, else "".

    Altitudes and speeds are those that satisfy both. Where nothing does, those of ``leg`` stay, and the note says what
    the other asks for.
    """
    window = _both_windows(leg.altitude, begins.altitude)
    least = _of_two(max, leg.speed_min_kt, begins.speed_min_kt)
    most = _of_two(min, leg.speed_max_kt, begins.speed_max_kt)
    told = []
    if window is not None and _are_crossed(window.low_ft, window.high_ft):
        window = leg.altitude
        told.append((altitude_words(leg.altitude), altitude_words(begins.altitude)))
    if _are_crossed(least, most):
        least, most = leg.speed_min_kt, leg.speed_max_kt
        told.append((speed_words(leg), speed_words(begins)))
    note = ""
    if told:
        theirs, others = (" and ".join(words) for words in zip(*told, strict=True))
        fix = shown(leg.end_ident)
        name = f"{shown(leg.procedure)} asks" if leg.procedure else "the leg to it asks"
        note = (
            f"{fix}: {name} for {theirs}, {shown(begins.procedure)} for {others}, which contradict each other; "
            "the first was taken."
        )
    bound = replace(
        leg, altitude=window, speed_min_kt=least, speed_max_kt=most, fly_over=leg.fly_over or begins.fly_over
    )
    return bound, note


def _both_windows(one: AltitudeWindow | None, other: AltitudeWindow | None) -> AltitudeWindow | None:
    if one is None or other is None:
        return one or other
    return AltitudeWindow(
        low_ft=_of_two(max, one.low_ft, other.low_ft),
        high_ft=_of_two(min, one.high_ft, other.high_ft),
        glidepath_ft=one.glidepath_ft if one.glidepath_ft is not None else other.glidepath_ft,
    )


def _of_two(choose: Callable[[float, float], float], one: float | None, other: float | None) -> float | None:
    if one is None or other is None:
        return other if one is None else one
    return choose(one, other)


def _are_crossed(low: float | None, high: float | None) -> bool:
    return low is not None and high is not None and low > high
