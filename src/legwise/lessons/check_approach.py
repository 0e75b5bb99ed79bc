"""Checks across the keys of an approach that is written out."""

from __future__ import annotations

from collections.abc import Iterator

from legwise.lessons.lines import Place
from legwise.lessons.problems import Problem
from legwise.lessons.words import plain
from legwise.model.lesson import LessonApproach, LessonLeg

# Which keys a leg may carry besides path, fix and those that any leg may carry. A charted course or distance of a TF is
# compared with its fixes by legwise.plan; a station gives a CF the variation of its courses.
_ANY_LEG = frozenset({"path", "fix", "altitude", "speed_max_kt", "role", "fly_over", "turn"})
_CHARTED = frozenset({"course_deg_mag", "course_deg_true", "distance_nm", "navaid"})
_BESIDES = {"IF": frozenset({"navaid"}), "TF": _CHARTED, "CF": _CHARTED, "DF": frozenset({"distance_nm", "navaid"})}


def approach_problems(place: Place, approach: LessonApproach) -> Iterator[Problem]:
    """What is missing in, or contradicts itself in, ``[[approach]]`` at ``place``."""
    if not approach.leg:
        yield Problem(
            place=place,
            message="the approach has no legs",
            remedy="Write them out: leg = [ { path = ..., fix = ... }, ... ].",
        )
    elif approach.leg[0].path == "TF":
        yield Problem(
            place=(*place, "leg", 0, "path"),
            message="the first leg is a TF, which needs a fix before it",
            remedy='Begin with { path = "IF", fix = ... }.',
        )
    for part, legs in (("leg", approach.leg), ("missed", approach.missed)):
        for number, leg in enumerate(legs):
            yield from _leg_problems((*place, part, number), leg)
    yield from _roles(place, approach)
    if approach.minima is not None and approach.flown_minima is not None:
        published, flown = approach.minima, approach.flown_minima
        if (published.da_ft is None) != (flown.da_ft is None):
            yield Problem(
                place=(*place, "flown_minima"),
                message="flown_minima and minima are of two kinds",
                remedy="Give da_ft in both, or mda_ft in both.",
            )


def _leg_problems(place: Place, leg: LessonLeg) -> Iterator[Problem]:
    if leg.fix is None:
        yield Problem(
            place=place, message=f"fix is missing, and a {leg.path} leg ends at one", remedy='Add fix = "...".'
        )
    if leg.path == "CF" and leg.course_deg_mag is None and leg.course_deg_true is None:
        yield Problem(
            place=place,
            message="course_deg_mag is missing, and a CF leg flies a course",
            remedy="Add course_deg_mag or course_deg_true.",
        )
    allowed = _ANY_LEG | _BESIDES.get(leg.path, frozenset())
    for name in type(leg).model_fields:
        if name not in allowed and getattr(leg, name) is not None:
            yield Problem(
                place=(*place, name),
                message=f"{name} says nothing on a {leg.path} leg",
                remedy=f"Leave it out, or check path: {leg.path} takes {_takes(leg.path)}.",
            )


def _takes(path: str) -> str:
    besides = sorted(_BESIDES.get(path, frozenset()))
    return ", ".join(["fix", *besides, "altitude, speed_max_kt, role, fly_over, turn"])


def _roles(place: Place, approach: LessonApproach) -> Iterator[Problem]:
    for role in ("FAF", "MAP"):
        holders = [number for number, leg in enumerate(approach.leg) if leg.role == role]
        if len(holders) > 1:
            yield Problem(
                place=(*place, "leg", holders[1], "role"),
                message=f"leg {holders[0] + 1} is the {role} already",
                remedy=f"An approach has one {role}.",
            )
    for number, leg in enumerate(approach.missed):
        if leg.role in ("FAF", "MAP"):
            yield Problem(
                place=(*place, "missed", number, "role"),
                message=f"a leg of the missed approach can't be the {leg.role}",
                remedy=f"Give the role to a leg under leg; {plain(leg.fix or 'this leg')} lies after it.",
            )
    faf = next((number for number, leg in enumerate(approach.leg) if leg.role == "FAF"), None)
    map_ = next((number for number, leg in enumerate(approach.leg) if leg.role == "MAP"), None)
    if faf is not None and map_ is not None and map_ <= faf:
        yield Problem(
            place=(*place, "leg", map_, "role"),
            message="the missed approach point stands before the final approach fix",
            remedy="Put the legs in the order they are flown.",
        )
