"""Options that several verbs share, and reading what they name."""

from __future__ import annotations

import argparse
import dataclasses
import datetime as dt
import math
import pathlib
import re
from typing import TYPE_CHECKING, Final

from legwise.cli.console import Console, shown
from legwise.errors import CallError

if TYPE_CHECKING:
    from legwise.model.lesson import Lesson
    from legwise.model.track import Track
    from legwise.tracks import ReadLimits

_SUFFIXES: Final = (
    ".gz", ".zip", ".gpx", ".csv", ".txt", ".xml", ".igc", ".nmea", ".nma", ".kml", ".kmz", ".log", ".tsv",
)  # fmt: skip
TRACK_HELP: Final = "a GPX, CSV, IGC, NMEA 0183 or KML file, plain, gzip-compressed, or alone in a zip (KMZ)"
LIMITS_HELP: Final = (
    "how much is read, repeatable: file_bytes (512000000), bytes when unpacked (512000000), rows (3000000), depth of "
    "XML (64), columns of CSV (400), members of a zip (100)"
)
"""Says what ``ReadLimits`` holds, which ``--help`` would take long to load."""
_OPTIONS: Final = {"utc_offset": "--utc-offset", "between[0]": "--from", "between[1]": "--to"}
"""What the parameters of a Python call are called here."""
_MOST = 1e15
_FIRST_DAY, _LAST_DAY = dt.date(1990, 1, 1), dt.date(2099, 12, 31)
"""The days on which a recorder's clock is believed to have been set."""


def add_loudness(parser: argparse.ArgumentParser) -> None:
    """``--quiet`` and ``--verbose``."""
    loudness = parser.add_mutually_exclusive_group()
    loudness.add_argument("--quiet", action="store_true", help="print nothing but errors and what was asked for")
    loudness.add_argument("--verbose", action="store_true", help="tell each step and its time on standard error")


def add_track(parser: argparse.ArgumentParser) -> None:
    """``TRACK`` and how to read it."""
    parser.add_argument("track", metavar="TRACK", type=pathlib.Path, help=TRACK_HELP)
    parser.add_argument("--lesson", metavar="FILE", type=pathlib.Path, help="the lesson file (TOML)")
    parser.add_argument(
        "--columns", metavar="FILE", type=pathlib.Path, help="a TOML file whose [columns] says what a CSV file's mean"
    )
    parser.add_argument("--utc-offset", metavar="±HH:MM", help="for a log that keeps local time")
    parser.add_argument(
        "--date",
        metavar="YYYY-MM-DD",
        type=_date,
        help="the date of the log's first record, where its times have none or a wrong one",
    )
    parser.add_argument("--flight", metavar="N", type=_number, help="of a log that holds several flights, this one")
    parser.add_argument(
        "--from",
        metavar="TIME",
        dest="start",
        help="take what was recorded from then on, as one flight: 2026-04-18T13:12:40Z, or HH:MM[:SS] in UTC",
    )
    parser.add_argument("--to", metavar="TIME", dest="end", help="and until then")
    parser.add_argument("--limit", metavar="NAME=N", action="append", type=_limit, default=[], help=LIMITS_HELP)


def add_said(parser: argparse.ArgumentParser) -> None:
    """``--said``."""
    parser.add_argument(
        "--said",
        metavar="FILE",
        type=pathlib.Path,
        help="what air traffic control said, in shorthand, a line each ('1312 H250 4000'), added to the lesson's",
    )


def add_planned(parser: argparse.ArgumentParser) -> None:
    """What stands in place of a lesson's route, approach and navigation data."""
    parser.add_argument("--route", metavar="TEXT", help="the route as flight-plan text, in place of the lesson's")
    parser.add_argument(
        "--approach",
        metavar="AIRPORT/PROCEDURE[.TRANSITION]",
        help="an approach of the navigation data, in place of the lesson's: XSKH/R27, XSKH/R27.HOLMA, XSKH/R27.vectors",
    )
    parser.add_argument(
        "--navdata",
        metavar="FILE",
        type=pathlib.Path,
        help="navigation data (ARINC 424 records, or a .csv list of fixes), in place of the lesson's coded ones",
    )


def console_of(args: argparse.Namespace) -> Console:
    """How much to say."""
    return Console(quiet=args.quiet, verbose=args.verbose)


def lesson_of(args: argparse.Namespace) -> Lesson | None:
    """The lesson named by ``--lesson``, with what ``--said`` adds to it; None where neither is given."""
    from legwise.pipeline import add_said, read_lesson

    lesson = read_lesson(args.lesson, navdata=getattr(args, "navdata", None)) if args.lesson else None
    said = getattr(args, "said", None)
    return lesson if said is None else add_said(lesson, said, approach=getattr(args, "approach", None))


def track_of(args: argparse.Namespace, lesson: Lesson | None) -> Track:
    """The track, read as the options and the lesson say."""
    from legwise.pipeline import read_track
    from legwise.tracks import read_columns_file

    limits = limits_of(args)
    columns, offset = read_columns_file(args.columns) if args.columns else (None, None)
    said = offset if args.utc_offset is None else args.utc_offset
    try:
        return read_track(
            args.track,
            columns=columns,
            utc_offset=said,
            date=args.date,
            lesson=lesson,
            limits=limits,
            flight=args.flight,
            between=(args.start, args.end),
        )
    except CallError as error:  # told by the name that it has on the command line
        option = _OPTIONS.get(error.where)
        if option is not None and (option != "--utc-offset" or args.utc_offset is not None):
            raise CallError(error.message, where=option, remedy=error.remedy) from None
        raise


def limits_of(args: argparse.Namespace) -> ReadLimits:
    """The limits on reading, with those of ``--limit`` in place of the defaults.

    Raises
    ------
    CallError
        There is no such limit, or it is no number.
    """
    from legwise.tracks import ReadLimits
    from legwise.tracks.wording import nearest

    names = {field.name.removeprefix("max_"): field.name for field in dataclasses.fields(ReadLimits)}
    limits: dict[str, int] = {}
    for name, number in args.limit:
        if name not in names:
            raise CallError(
                f"there is no limit {shown(name)}",
                where="--limit",
                remedy=f"{nearest(name, names)} The limits are {', '.join(names)}.".strip(),
            )
        limits[names[name]] = number
    return ReadLimits(**limits)


def inputs_of(args: argparse.Namespace) -> list[pathlib.Path]:
    """The files that a run reads, which no result may replace."""
    named = (args.track, args.lesson, args.columns, getattr(args, "navdata", None), getattr(args, "said", None))
    return [path for path in named if path is not None]


def flight_name(track: pathlib.Path, taken: str = "") -> str:
    """The name of a track without what tells its kind: "flight.csv.gz" is "flight"; with what was ``taken`` of it."""
    name = track.name
    while (stem := pathlib.PurePath(name)).suffix.lower() in _SUFFIXES and stem.stem:
        name = stem.stem
    name = name or "flight"
    return f"{name}-{taken}" if taken else name


def _number(text: str) -> int:
    if not re.fullmatch("0{0,9}[1-9][0-9]{0,8}", text):
        raise CallError(
            f"{shown(text)} is no number of a flight",
            where="--flight",
            remedy="Flights are numbered from 1; 'legwise inspect' lists them.",
        )
    return int(text)


def _date(text: str) -> dt.date:
    try:
        date = dt.date.fromisoformat(text)
    except ValueError:
        date = None
    if date is None or not _FIRST_DAY <= date <= _LAST_DAY:
        raise CallError(f"{shown(text)} is no date", where="--date", remedy="Write it as 2026-04-18, 1990 to 2099.")
    return date


def _limit(text: str) -> tuple[str, int]:
    name, _, number = text.partition("=")
    try:
        value = float(number)
    except ValueError:
        value = math.nan
    if not 1 <= value <= _MOST or value != int(value):
        raise CallError(
            f"{shown(text)} says no limit",
            where="--limit",
            remedy="Write NAME=N with a whole number, such as --limit rows=5000000 or --limit bytes=2e9.",
        )
    return name.strip().removeprefix("max_"), int(value)
