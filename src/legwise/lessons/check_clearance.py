"""Checks across the keys of one instruction: what excludes what, and instructions that say nothing."""

from __future__ import annotations

import re
from collections.abc import Iterator

from legwise.lessons.lines import Place
from legwise.lessons.problems import Problem
from legwise.lessons.words import shown
from legwise.model.lesson import Clearance

_RUNWAY = re.compile("RW(0[1-9]|[12][0-9]|3[0-6])[LRC]?")
_SAYS_NOTHING_ALONE = frozenset({"time", "time_accuracy_s", "confirmed", "turn", "altitude_until", "until"})
# Each of these decides what is navigated by, and these pairs decide it two ways. A heading until the final course is
# joined (heading with join or cleared), a direct with the approach or own navigation after it, and a heading or a
# direct with a missed or broken-off approach are said in one breath, and stand together.
_EXCLUDE = (
    ("heading", "direct"),
    ("heading", "hold"),
    ("heading", "resume"),
    ("heading", "visual"),
    ("direct", "join"),
    ("hold", "join"),
    ("hold", "cleared"),
    ("hold", "resume"),
    ("hold", "visual"),
    ("hold", "across"),
    ("resume", "join"),
    ("resume", "cleared"),
    ("resume", "across"),
    ("resume", "visual"),
    ("across", "join"),
    ("across", "cleared"),
    ("across", "direct"),
    ("missed", "cleared"),
    ("missed", "join"),
    ("missed", "resume"),
    ("missed", "across"),
    ("missed", "visual"),
    ("missed", "circle"),
    ("missed", "discontinue"),
    ("discontinue", "cleared"),
    ("discontinue", "join"),
    ("discontinue", "visual"),
    ("discontinue", "circle"),
)


def clearance_problems(place: Place, clearance: Clearance) -> Iterator[Problem]:
    """What contradicts itself or says nothing in ``[[clearance]]`` at ``place``."""
    said = _said(clearance)
    if not said:
        yield Problem(
            place=place,
            message="the instruction says nothing",
            remedy="Give heading_deg_mag, altitude_ft, direct, hold, join, cleared or another instruction.",
        )
    yield from _exclusions(place, said)
    if clearance.altitude_ft is not None and clearance.flight_level is not None:
        yield Problem(
            place=(*place, said.get("flight_level", "flight_level")),
            message="altitude_ft and flight_level are both given",
            remedy="Keep the one that was said.",
        )
    hold = clearance.hold
    if hold is not None and hold.leg_minutes is not None and hold.leg_nm is not None:
        yield Problem(
            place=(*place, "hold", "leg_nm"),
            message="leg_minutes and leg_nm are both given",
            remedy="Keep the one that was said.",
        )
    if hold is not None and hold.altitude_ft is not None and clearance.altitude_ft not in (None, hold.altitude_ft):
        yield Problem(
            place=(*place, "altitude_ft"),
            message=f"altitude_ft is {clearance.altitude_ft:g} here and {hold.altitude_ft:g} in hold",
            remedy="Keep the one that was said.",
        )
    if clearance.circle is not None and not _RUNWAY.fullmatch(clearance.circle):
        yield Problem(
            place=(*place, "circle"),
            message=f"found {shown(clearance.circle)}, expected the ident of a runway",
            remedy='Write it like "RW09" or "RW27L".',
        )
    yield from _needs(place, clearance, said)


def _said(clearance: Clearance) -> dict[str, str]:
    """What the instruction says, by its short name, with the key that says it; ``false`` says nothing."""
    said = {}
    for key in type(clearance).model_fields:
        value = getattr(clearance, key)
        if key not in _SAYS_NOTHING_ALONE and value is not None and value is not False:
            said["heading" if key.startswith("heading_") else key] = key
    return said


def _exclusions(place: Place, said: dict[str, str]) -> Iterator[Problem]:
    for one, other in _EXCLUDE:
        if one in said and other in said:
            yield Problem(
                place=(*place, said[other]),
                message=f"{said[one]} and {said[other]} stand in one instruction",
                remedy="They exclude each other: write two [[clearance]], in the order they were said.",
            )


def _needs(place: Place, clearance: Clearance, said: dict[str, str]) -> Iterator[Problem]:
    """Keys that say something only beside another."""
    if not said:
        return
    if clearance.until is not None and "heading" not in said:
        yield Problem(
            place=(*place, "until"),
            message='until = "final" stands without a heading',
            remedy="It says what a heading is for: give heading_deg_mag beside it.",
        )
    if clearance.turn is not None and not {"heading", "direct", "missed", "discontinue"} & said.keys():
        yield Problem(
            place=(*place, "turn"),
            message="turn stands without a heading or a direct",
            remedy="Give heading_deg_mag or direct beside it; the turn of a hold stands in hold.",
        )
    if clearance.altitude_until is not None and not {"altitude_ft", "flight_level", "cleared"} & said.keys():
        yield Problem(
            place=(*place, "altitude_until"),
            message="altitude_until stands without an altitude",
            remedy="Give altitude_ft beside it.",
        )
    if clearance.direct is not None and clearance.hold is not None and clearance.direct != clearance.hold.fix:
        yield Problem(
            place=(*place, "hold", "fix"),
            message="direct and hold name two fixes",
            remedy="Write two [[clearance]], in the order they were said.",
        )
