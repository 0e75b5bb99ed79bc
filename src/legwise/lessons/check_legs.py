"""Checks of legs written out: each by the table of legs, and against the legs before and after it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from legwise.lessons.leg_table import (
    ENDS_ON_THE_NEXT,
    HAS_NO_PATH,
    LEG_TABLE,
    NEEDS_A_FIX_BEFORE,
    NEEDS_A_LEG_AFTER,
    LegForm,
    given_stems,
    written_key,
)
from legwise.lessons.lines import Place
from legwise.lessons.problems import Problem
from legwise.lessons.words import plain
from legwise.model.lesson import LessonLeg

_EXAMPLES = {
    "fix": '"..."',
    "turn": '"left" or "right"',
    "centre": "the ident of a fix, or { lat_deg = ..., lon_deg = ... }",
    "altitude": "{ at_or_above_ft = ... }",
    "dme": "the ident of the DME station",
    "navaid": "the ident of the station",
}


def legs_problems(place: Place, legs: Sequence[LessonLeg], *, before: Sequence[LessonLeg] = ()) -> Iterator[Problem]:
    """What is wrong with legs in order; ``place`` is that of their list, ``before`` the legs that they follow."""
    previous = before[-1] if before else None
    for number, leg in enumerate(legs):
        yield from _by_the_table((*place, number), leg)
        yield from _in_order((*place, number), leg, previous, is_last=number == len(legs) - 1)
        previous = leg


def _by_the_table(place: Place, leg: LessonLeg) -> Iterator[Problem]:
    form = LEG_TABLE[leg.path]
    given = given_stems(leg)
    needed = form.needs if form.fix == "none" else ("fix", *form.needs)
    for stem in needed:
        if stem not in given:
            yield _missing(place, leg, form, stem)
    for stem, key in given.items():
        if stem not in form.keys:
            yield Problem(
                place=(*place, key),
                message=f"{key} says nothing on {_a(leg)} leg, which {form.flies}",
                remedy=f"{_instead(leg, form, stem)} {leg.path} takes {', '.join(form.keys)}.",
            )
    if leg.leg_minutes is not None and leg.leg_nm is not None and "leg_nm" in form.keys:
        yield Problem(
            place=(*place, "leg_nm"),
            message="leg_minutes and leg_nm are both given",
            remedy="Keep the one that is published: the outbound leg has a time or a length.",
        )


def _missing(place: Place, leg: LessonLeg, form: LegForm, stem: str) -> Problem:
    return Problem(
        place=place,
        message=f"{written_key(stem)} is missing on {_a(leg)} leg, which {form.flies}",
        remedy=f"Add {written_key(stem)}" + (f" = {_EXAMPLES[stem]}." if stem in _EXAMPLES else "."),
    )


def _instead(leg: LessonLeg, form: LegForm, stem: str) -> str:
    """What to do about a key that a leg does not take."""
    directions = [key for key in (*form.needs, *form.may) if key.endswith("_deg") and key != "radial_deg"]
    if stem.endswith("_deg") and directions:
        return f"Write {written_key(directions[0])} in its place, or check path:"
    if leg.path == "RF" and stem == "radius_nm":
        return "Leave it out, it follows from centre and fix:"
    return "Leave it out, or check path:"


def _in_order(place: Place, leg: LessonLeg, previous: LessonLeg | None, *, is_last: bool) -> Iterator[Problem]:
    if leg.path in NEEDS_A_FIX_BEFORE:
        if previous is None:
            yield Problem(
                place=(*place, "path"),
                message=f"the first leg is {_a(leg)}, which needs a fix before it",
                remedy='Begin with { path = "IF", fix = ... }.',
            )
        elif not _leads_to_a_fix(previous) and not (leg.path == "AF" and previous.path in ("CI", "VI")):
            yield Problem(
                place=(*place, "path"),
                message=f"{_a(leg)} leg begins at the fix before it, and the {previous.path} before it leads to none",
                remedy="Write a CF or a DF here, or end the leg before at a fix.",
            )
        elif leg.path == "TF" and leg.fix is not None and leg.fix == previous.fix:
            yield Problem(
                place=(*place, "fix"),
                message=f"the leg from {plain(leg.fix)} to {plain(leg.fix)} has no length",
                remedy="Name the fix that it leads to, or leave the leg out.",
            )
    if previous is not None and previous.path in ENDS_ON_THE_NEXT and leg.path in HAS_NO_PATH:
        yield Problem(
            place=(*place, "path"),
            message=f"the {previous.path} before it ends where it meets the path of this leg, "
            f"and {_a(leg)} leg has none",
            remedy="Write a CF here, or a leg from a fix (FA, FC, FD, FM).",
        )
    if is_last and leg.path in NEEDS_A_LEG_AFTER:
        yield Problem(
            place=(*place, "path"),
            message=f"{_a(leg)} leg ends on the path of the next leg, and it is the last",
            remedy="Write the leg that it meets after it, like a CF.",
        )


def _leads_to_a_fix(leg: LessonLeg) -> bool:
    """Whether the aircraft is at a fix when the leg is flown; a hold comes back to its own."""
    return LEG_TABLE[leg.path].fix == "ends" or leg.path in ("HA", "HF", "HM")


def _a(leg: LessonLeg) -> str:
    """The path terminator with its article, by how its letters are spoken."""
    return f"{'an' if leg.path[0] in 'AFHIR' else 'a'} {leg.path}"
