"""The text of a draft: what the given lesson says, what the track file adds, and what was inferred."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterator, Mapping
from typing import Final

from legwise.drafting.examples import (
    AIRCRAFT,
    ALTIMETRY,
    APPROACH,
    CLEARANCES,
    HEAD,
    LESSON,
    MINIMA,
    NAVDATA,
    ROUTE,
    after,
    altitude,
)
from legwise.drafting.instructions import as_comment, drafted_instructions, toml_time
from legwise.lessons import lesson_toml
from legwise.model.instants import instant
from legwise.model.lesson import Lesson, LessonFix, NavdataFiles, Route
from legwise.model.lesson_values import Column
from legwise.model.plan import Fix
from legwise.model.results import DebriefResult

_IDENT: Final = re.compile(r"[^\s\x00-\x1f\x7f]{1,60}")


def draft_toml(
    result: DebriefResult,
    *,
    route_text: str | None = None,
    navdata: NavdataFiles | None = None,
    columns: Mapping[str, Column] | None = None,
) -> str:
    """The text of a lesson file for a flight that was debriefed without one, or with a part of one.

    What the given lesson says stays. Added are the date; the route, with the fixes that only the track file holds; and
    what was inferred, each with what the track shows, doubtful ones as comments. The text reads as a lesson again.

    Parameters
    ----------
    route_text
        The route that was given in place of the lesson's.
    navdata
        The files of navigation data, in place of the lesson's: named so that they are found from wherever the draft is
        saved.
    columns
        What was said of the log's columns, with ``utc_offset`` where the log keeps local time.
    """
    lesson = result.lesson
    date = lesson.lesson.date or instant(result.track.first_time_s).date()
    route, fixes, route_comment = _route(result, route_text)
    start = lesson.model_copy(
        update={
            "lesson": lesson.lesson.model_copy(update={"date": date}),
            "navdata": lesson.navdata if navdata is None else navdata,
            "route": route,
            "fix": (*lesson.fix, *fixes),
            "clearance": (),
            "columns": dict(lesson.columns if columns is None else columns),
        }
    )
    written = [lesson_toml(start, {**_blanks(start), **route_comment})]
    written.append(as_comment(CLEARANCES))
    written += [said.text() for said in drafted_instructions(result, date)] or [
        as_comment(altitude(_time_within(result, 0.3, date)))
    ]
    if not (lesson.event or lesson.observed or lesson.remark):
        written.append(as_comment(after(_time_within(result, 0.9, date), _time_within(result, 0.6, date))))
    return "\n\n".join(part.rstrip("\n") for part in written) + "\n"


def _blanks(lesson: Lesson) -> dict[str, str]:
    """Comments that show what could be filled in, in tables of which the lesson says nothing."""
    comments = {"": HEAD}
    if lesson.navdata.arinc424 is None and lesson.navdata.fixes is None and not lesson.approach:
        comments["[navdata]"] = NAVDATA
    head = lesson.lesson
    if head.title is None and head.student is None and head.instructor is None:
        comments["[lesson]"] = LESSON
    if lesson.altimetry.qnh_hpa is None and lesson.altimetry.altimeter_inhg is None and not lesson.altimeter:
        comments["[altimetry]"] = ALTIMETRY
    aircraft = lesson.aircraft
    if aircraft.approach_ias_kt is None and aircraft.holding_ias_kt is None and aircraft.category is None:
        comments["[aircraft]"] = AIRCRAFT
    if not lesson.approach:
        comments["[[approach]]"] = APPROACH
    for number, approach in enumerate(lesson.approach, start=1):
        if approach.minima is None:
            comments[f"[[approach]] {number}"] = MINIMA
    return comments


def _time_within(result: DebriefResult, share: float, date: dt.date) -> str:
    """The minute after a share of the flight, as TOML has it; with its date where that is not the lesson's."""
    first_s, last_s = (float(second) for second in result.track.samples.time_s[[0, -1]])
    at_s = first_s + share * (last_s - first_s)
    when = instant(min(-(-at_s // 60.0) * 60.0, float(int(last_s))))
    return toml_time(when.time() if when.date() == date else when)


def _route(result: DebriefResult, text: str | None) -> tuple[Route, tuple[LessonFix, ...], dict[str, str]]:
    """The route as it was flown by, the fixes of it that only the track file holds, and a comment on it."""
    plan, lesson = result.plan, result.lesson
    known = {fix.ident for fix in lesson.fix}
    in_track = {point.ident: point for point in (*result.track.waypoints, *result.track.route)}
    used = {fix.ident: fix for fix in _fixes_used(result) if fix.ident in in_track and fix.ident not in known}
    if text is not None:
        return lesson.route.model_copy(update={"text": text, "points": None}), _written(used), {}
    if plan.source != "track file":
        comment = ROUTE if plan.source == "none" else ""
        return lesson.route, _written(used), {"[route]": comment} if comment else {}
    points = [leg.from_fix for leg in plan.route[:1]] + [leg.to_fix for leg in plan.route]
    fixes = [fix for fix in points if fix is not None]
    if not _can_be_written(fixes):
        comment = "The route in the track file is taken: a name in it can't stand here, or stands at two places."
        return lesson.route, _written(used), {"[route]": comment}
    used |= {fix.ident: fix for fix in fixes if fix.ident not in known}
    idents = tuple(fix.ident for fix in fixes)
    return lesson.route.model_copy(update={"points": idents}), _written(used), {"[route]": "From the track file."}


def _fixes_used(result: DebriefResult) -> Iterator[Fix]:
    plan = result.plan
    legs = [*plan.route, *(leg for item in plan.approaches for leg in (*item.legs, *item.missed))]
    for leg in legs:
        yield from (fix for fix in (leg.from_fix, leg.to_fix) if fix is not None)
    for item in result.alignment.instructions:
        ident = item.clearance.direct or (item.clearance.hold.fix if item.clearance.hold else "")
        fix = plan.fix(ident) if ident else None
        if fix is not None:
            yield fix


def _can_be_written(fixes: list[Fix]) -> bool:
    """Whether every ident may stand in a lesson, and means one place."""
    places: dict[str, tuple[float, float]] = {}
    for fix in fixes:
        if not _IDENT.fullmatch(fix.ident) or places.setdefault(fix.ident, _place(fix)) != _place(fix):
            return False
    return bool(fixes)


def _place(fix: Fix) -> tuple[float, float]:
    return fix.lat_deg, fix.lon_deg


def _written(fixes: Mapping[str, Fix]) -> tuple[LessonFix, ...]:
    return tuple(
        LessonFix(ident=fix.ident, lat_deg=fix.lat_deg, lon_deg=fix.lon_deg)
        for fix in fixes.values()
        if _IDENT.fullmatch(fix.ident)
    )
