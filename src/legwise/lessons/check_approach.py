"""Checks across the keys of an approach: by its procedure, or written out."""

from __future__ import annotations

from collections.abc import Iterator

from legwise.lessons.check_legs import legs_problems
from legwise.lessons.lines import Place
from legwise.lessons.problems import Problem
from legwise.lessons.words import plain, shown
from legwise.model.lesson import LessonApproach


def approach_problems(place: Place, approach: LessonApproach, *, has_navdata: bool) -> Iterator[Problem]:
    """What is missing in, or contradicts itself in, ``[[approach]]`` at ``place``.

    ``has_navdata``: the lesson names a file of coded procedures, where an approach without legs is looked up.
    """
    if approach.leg:
        yield from legs_problems((*place, "leg"), approach.leg)
        yield from legs_problems((*place, "missed"), approach.missed, before=approach.leg)
    else:
        yield from _without_legs(place, approach, has_navdata=has_navdata)
    if approach.transition is not None and approach.procedure is None:
        yield Problem(
            place=(*place, "transition"),
            message="transition stands without a procedure",
            remedy="It is one of a coded procedure: give procedure, or write its legs out under leg.",
        )
    yield from _roles(place, approach)
    if approach.minima is not None and approach.flown_minima is not None:
        published, flown = approach.minima, approach.flown_minima
        if (published.da_ft is None) != (flown.da_ft is None):
            yield Problem(
                place=(*place, "flown_minima"),
                message="flown_minima and minima are of two kinds",
                remedy="Give da_ft in both, or mda_ft in both.",
            )


def _without_legs(place: Place, approach: LessonApproach, *, has_navdata: bool) -> Iterator[Problem]:
    if approach.procedure is None:
        yield Problem(
            place=place,
            message="the approach has no legs",
            remedy="Write them out: leg = [ { path = ..., fix = ... }, ... ]. Or name a coded one: procedure = ...",
        )
        return
    if not has_navdata:
        yield Problem(
            place=(*place, "procedure"),
            message=f"the procedure {shown(approach.procedure)} is looked up in navigation data, and none is named",
            remedy='Add [navdata] with arinc424 = "..." (the file of its records), or write leg = [ ... ] out.',
        )
    if approach.missed:
        yield Problem(
            place=(*place, "missed"),
            message="a missed approach is written out, and the approach is not",
            remedy="It is coded with the procedure: leave missed out, or write leg out too.",
        )


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
