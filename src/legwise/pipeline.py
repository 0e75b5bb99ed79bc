"""One flight, from its files to its debrief: the only place that knows the order of the stages."""

from __future__ import annotations

import dataclasses
import datetime as dt
import os
import pathlib
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any

from legwise import __version__, lessons, tracks
from legwise.align import align
from legwise.assess import assess
from legwise.errors import CallError, FlightError, PlanError, StandardError, TrackTimeError
from legwise.explain import explain
from legwise.measure import judge_altitude, measure
from legwise.model.instants import instant
from legwise.model.lesson import ColumnChoice, Lesson
from legwise.model.plan import Plan
from legwise.model.results import ApproachResult, DebriefResult, Finding, LegResult, TrackSummary
from legwise.model.standard import Standard
from legwise.model.track import Track
from legwise.named_files import navdata_for, navdata_notes, with_aerodromes, with_approach
from legwise.output import write_file, written_beside
from legwise.plan import GivenRoute, make_plan
from legwise.standards import standard_named
from legwise.tracks import Moment, ReadLimits
from legwise.tracks.wording import shown_path

if TYPE_CHECKING:
    import pandas as pd
    from plotly.graph_objects import Figure

Columns = Mapping[str, str | ColumnChoice]
Progress = Callable[[str], None]
"""Told the name of each stage as it begins."""

STAGES = ("plan", "align", "measure", "assess", "explain")
UTC_OFFSET_KEY = "utc_offset"
"""The one key of a ``[columns]`` table that names no column."""


def _silent(stage: str) -> None:
    """Nobody is told."""


def read_lesson(path: str | os.PathLike[str], *, navdata: str | os.PathLike[str] | None = None) -> Lesson:
    """Read and check a lesson file, and whatever files it names; ``navdata`` in place of its navigation data.

    Raises
    ------
    LessonError
        The file can't be read, or a key, value or table in it is wrong; the message names line and remedy.
    NavDataError
        Navigation data that it names can't be used at all.
    """
    lesson = lessons.read_lesson(pathlib.Path(path))
    navdata_for(lesson, navdata)
    return lesson


def add_said(lesson: Lesson | None, path: str | os.PathLike[str], *, approach: str | None = None) -> Lesson:
    """The lesson, or an empty one, with what a file of shorthand says was said, behind what it says itself.

    ``approach`` stands in place of the lesson's approaches, as in :func:`debrief`, for what "cleared" may mean.

    Raises
    ------
    LessonError
        The file can't be read, or a word in it is not understood; the message names line and word, and shows it.
    CallError
        ``approach`` names none.
    """
    lesson = lesson or Lesson()
    said = lessons.read_shorthand_file(pathlib.Path(path), with_approach(lesson, approach))
    return lessons.with_said(lesson, said)


def read_track(
    path: str | os.PathLike[str],
    *,
    columns: Columns | None = None,
    utc_offset: str | None = None,
    date: dt.date | None = None,
    lesson: Lesson | None = None,
    limits: ReadLimits | None = None,
    flight: int | None = None,
    between: tuple[Moment | None, Moment | None] = (None, None),
) -> Track:
    """Read a track file and mend it; what was mended is counted in ``track.faults``.

    A log of several flights is read whole, and lists them in ``track.flights``, unless one is chosen.

    Parameters
    ----------
    path
        A GPX, CSV, IGC, NMEA 0183 or KML file, plain, gzip-compressed, or alone in a zip. The kind is found by content.
    columns
        Headings of a CSV file said by hand, as in a lesson's ``[columns]``.
    utc_offset
        ``±HH:MM``, for a log that keeps local time.
    date
        The date of the log's first sample: for a log whose times have none, or a wrong one (a simulator's, or a clock's
        that was not set).
    lesson
        Its ``[columns]`` and ``[lesson] date`` serve where ``columns``, ``utc_offset`` and ``date`` are not given.
    limits
        How much is read before the file is refused; the defaults of :class:`ReadLimits` unless given.
    flight
        The number of a flight in ``track.flights``, to be read alone.
    between
        From when to when, either of which may be None: what lies between is read as one flight, whatever it holds (with
        ``flight``, of that one). Aware instants, times of day in UTC on a day of the log, or either as text:
        ``2026-04-18T13:12:40Z``, ``13:12``, ``13:12:40``.

    Raises
    ------
    TrackError
        The file is missing, is no track, or has no usable times or positions, or it holds nothing of what was chosen;
        the message names line and remedy.
    CallError
        An argument is of another kind than its own, or an offset or a time is none.
    """
    tracks.check_call(
        path, columns=columns, utc_offset=utc_offset, date=date, lesson=lesson, limits=limits, flight=flight
    )
    start, end = _two(between)
    if isinstance(date, dt.datetime):  # which is a date by its type
        date = date.date()
    said: dict[str, str | ColumnChoice] = dict(lesson.columns) if lesson else {}
    lesson_offset = said.pop(UTC_OFFSET_KEY, None)
    if columns is not None:
        said = {key: choice for key, choice in columns.items() if key != UTC_OFFSET_KEY}
        lesson_offset = columns.get(UTC_OFFSET_KEY, lesson_offset)
    offset = lesson_offset if utc_offset is None and isinstance(lesson_offset, str) else utc_offset
    raw = tracks.read_raw_track(
        pathlib.Path(path),
        columns=said,
        utc_offset=offset,
        date=date or (lesson.lesson.date if lesson else None),
        limits=limits or tracks.ReadLimits(),
    )
    if date is not None:
        raw = tracks.on_date(raw, date, tracks.offset_seconds(offset) if offset is not None else 0.0)
    try:
        return tracks.choose(raw, flight=flight, start=start, end=end)
    except (TrackTimeError, FlightError) as error:  # told by the path that was given, as the errors of reading are
        if error.where != shown_path(raw.source.file):
            raise
        raise type(error)(error.message, where=shown_path(pathlib.Path(path)), remedy=error.remedy) from None


def _two(between: tuple[Moment | None, Moment | None]) -> tuple[Moment | None, Moment | None]:
    if not isinstance(between, tuple) or len(between) != 2:
        raise CallError("between is no pair of times", where="between", remedy='Give two: ("13:12", "14:05"), or None.')
    return between


def inspect_track(track: Track, lesson: Lesson | None = None) -> TrackSummary:
    """What is in a log; nothing is judged."""
    judged = judge_altitude(track, lesson or Lesson())
    return tracks.summarise(track, judged.kind, judged.reason)


def flight_for(
    track: Track,
    lesson: Lesson | None = None,
    *,
    route: str | None = None,
    navdata: str | os.PathLike[str] | None = None,
) -> Track:
    """The flight that a lesson is about, out of a log that holds several: by its date, times and aerodromes.

    A track of one flight, or one of which a flight was chosen already, is given back as it is. ``route`` stands in
    place of the lesson's, ``navdata`` in place of its navigation data, which know where its aerodromes are.

    Raises
    ------
    FlightError
        None of the flights fits, or more than one does; they are listed.
    NavDataError
        The navigation data can't be used at all.
    """
    lesson, names = lesson or Lesson(), route.split() if route is not None else None
    if track.found is not None:
        lesson = with_aerodromes(lesson, names, navdata_for(lesson, navdata))
    return tracks.flight_of_lesson(track, lesson, names)


def plan_for(
    lesson: Lesson,
    *,
    date: dt.date,
    route: str | None = None,
    track: Track | None = None,
    navdata: str | os.PathLike[str] | None = None,
    approach: str | None = None,
) -> Plan:
    """The plan of a lesson, or of a route text in place of the lesson's, or of the route in the track file.

    ``date`` decides the magnetic variation, and is held against the cycle of the navigation data. Which source was
    taken stands in ``plan.source``. ``navdata`` and ``approach`` as in :func:`debrief`.

    Raises
    ------
    PlanError
        A fix, an airway, a procedure or a leg can't be resolved.
    NavDataError
        Navigation data that is named can't be used at all.
    """
    from_track = track.route if track else ()
    waypoints = track.waypoints if track else ()
    given = None
    if route is not None:
        known = [*(fix.ident for fix in lesson.fix), *(point.ident for point in (*from_track, *waypoints))]
        elements = lessons.split_route_text(route, where="--route", known=known)
        given = GivenRoute(text=route, elements=elements, source="--route")
    lesson = with_approach(lesson, approach)
    coded = navdata_for(lesson, navdata)
    try:
        plan = make_plan(lesson, date=date, route=given, track_route=from_track, waypoints=waypoints, navdata=coded)
    except PlanError as error:
        if approach is None or "[[approach]] 1" not in error.where:
            raise
        raise PlanError(error.message, where=f"--approach {approach}", remedy=error.remedy) from error
    if coded is None:
        return plan
    return dataclasses.replace(plan, notes=(*plan.notes, *navdata_notes(coded, date)))


def debrief(
    track: Track,
    lesson: Lesson | None = None,
    *,
    route: str | None = None,
    standard: str | None = None,
    navdata: str | os.PathLike[str] | None = None,
    approach: str | None = None,
    progress: Progress = _silent,
) -> Debrief:
    """Debrief one flight.

    Parameters
    ----------
    track
        As :func:`read_track` gives it. Where it holds several flights and none was chosen, the lesson chooses.
    lesson
        As :func:`read_lesson` gives it. Without one, or with one that has no route, the track file's own route serves;
        without any the debrief is smaller and says so.
    route
        Flight-plan text in place of the lesson's route.
    standard
        The name of a standard, or the path of one's own, in place of the lesson's.
    navdata
        A file of navigation data in place of the lesson's ``[navdata] arinc424``.
    approach
        ``AIRPORT/PROCEDURE`` or ``AIRPORT/PROCEDURE.TRANSITION`` of the navigation data, in place of the lesson's
        approaches.
    progress
        Told the name of each of ``STAGES`` as it begins.

    Raises
    ------
    PlanError, StandardError, LessonError, NavDataError
        What was to be flown can't be resolved.
    CallError
        ``approach`` names none.
    FlightError
        The log holds several flights, and the lesson does not tell which.
    """
    lesson = with_approach(lesson or Lesson(), approach)
    track = flight_for(track, lesson, route=route, navdata=navdata)
    rules = _standard_of(lesson) if standard is None else _standard_called(standard, "--standard")
    tracks.check_date(lesson, track)
    judged = judge_altitude(track, lesson)

    progress("plan")
    day = instant(track.first_time_s).date()
    plan = plan_for(lesson, date=day, route=route, track=track, navdata=navdata, approach=approach)
    progress("align")
    alignment = align(track, plan, lesson, judged)
    progress("measure")
    deviations = measure(track, plan, lesson, alignment, judged)
    progress("assess")
    assessment = assess(track, plan, lesson, alignment, deviations, rules)
    progress("explain")
    explanation = explain(track, plan, lesson, alignment, deviations, assessment, rules)

    return Debrief(
        DebriefResult(
            track=track,
            lesson=lesson,
            plan=plan,
            alignment=alignment,
            deviations=deviations,
            standard=rules,
            summary_of_track=tracks.summarise(track, judged.kind, judged.reason),
            assessment=assessment,
            explanation=explanation,
            version=__version__,
        )
    )


def _standard_of(lesson: Lesson) -> Standard:
    return _standard_called(lesson.lesson.standard, lesson.where("[lesson] standard"))


def _standard_called(name: str, where: str) -> Standard:
    """The standard of that name; an unknown one is told by the place that named it."""
    try:
        return standard_named(name)
    except StandardError as error:
        raise StandardError(error.message, where=where, remedy=error.remedy) from None


@dataclass(frozen=True, eq=False)
class Debrief:
    """A debriefed flight: its figures as values, as a table, as pictures and as files."""

    result: DebriefResult

    @cached_property
    def samples(self) -> pd.DataFrame:
        """One row for each kept sample: the table of ``samples.csv``, unrounded."""
        from legwise.record import samples_frame

        return samples_frame(self.result)

    @property
    def legs(self) -> tuple[LegResult, ...]:
        """The legs in the order flown."""
        return self.result.assessment.legs

    @property
    def approaches(self) -> tuple[ApproachResult, ...]:
        """The approaches in the order flown."""
        return self.result.assessment.approaches

    @property
    def findings(self) -> tuple[Finding, ...]:
        """Against the standard (not a grade)."""
        return self.result.assessment.findings

    def figures(self) -> dict[str, Figure]:
        """The page's pictures as Plotly figures, by name."""
        from legwise.report import figures_of, view_of

        figures: dict[str, Any] = figures_of(view_of(self.result))
        return figures

    def html(self) -> str:
        """The page: one file that needs no network."""
        from legwise.report import render, view_of

        return render(view_of(self.result))

    def json(self) -> str:
        """The text of ``debrief.json``."""
        from legwise.record import record_json

        return record_json(self.result)

    def to_html(self, path: str | os.PathLike[str]) -> None:
        """Write the page.

        Raises
        ------
        OutputError
            The place can't be written; nothing is left half-written.
        """
        write_file(pathlib.Path(path), self.html())

    def to_json(self, path: str | os.PathLike[str]) -> None:
        """Write ``debrief.json``. Raises OutputError as :meth:`to_html`."""
        write_file(pathlib.Path(path), self.json())

    def to_samples(self, path: str | os.PathLike[str]) -> None:
        """Write ``samples.csv``. Raises OutputError as :meth:`to_html`."""
        from legwise.record import write_samples

        with written_beside(pathlib.Path(path)) as part:
            write_samples(self.result, part)

    def write_into(self, folder: pathlib.Path) -> None:
        """Write the three files of a debrief into a folder made for them."""
        from legwise.record import write_samples

        (folder / "debrief.html").write_text(self.html(), encoding="utf-8", newline="\n")
        (folder / "debrief.json").write_text(self.json(), encoding="utf-8", newline="\n")
        write_samples(self.result, folder / "samples.csv")
