"""Options that several verbs share, and reading what they name."""

from __future__ import annotations

import argparse
import pathlib
from typing import TYPE_CHECKING, Final

from legwise.cli.console import Console
from legwise.errors import CallError

if TYPE_CHECKING:
    from legwise.model.lesson import Lesson
    from legwise.model.track import Track

_SUFFIXES: Final = (".gz", ".zip", ".gpx", ".csv", ".txt", ".xml")


def add_loudness(parser: argparse.ArgumentParser) -> None:
    """``--quiet`` and ``--verbose``."""
    loudness = parser.add_mutually_exclusive_group()
    loudness.add_argument("--quiet", action="store_true", help="print nothing but errors and what was asked for")
    loudness.add_argument("--verbose", action="store_true", help="tell each step and its time on standard error")


def add_track(parser: argparse.ArgumentParser) -> None:
    """``TRACK`` and how to read it."""
    parser.add_argument("track", metavar="TRACK", type=pathlib.Path, help="a GPX or CSV file, plain, gzip or zip")
    parser.add_argument("--lesson", metavar="FILE", type=pathlib.Path, help="the lesson file (TOML)")
    parser.add_argument(
        "--columns", metavar="FILE", type=pathlib.Path, help="a TOML file whose [columns] says what a CSV file's mean"
    )
    parser.add_argument("--utc-offset", metavar="±HH:MM", help="for a log that keeps local time")


def console_of(args: argparse.Namespace) -> Console:
    """How much to say."""
    return Console(quiet=args.quiet, verbose=args.verbose)


def lesson_of(args: argparse.Namespace) -> Lesson | None:
    """The lesson named by ``--lesson``."""
    from legwise.pipeline import read_lesson

    return read_lesson(args.lesson) if args.lesson else None


def track_of(args: argparse.Namespace, lesson: Lesson | None) -> Track:
    """The track, read as the options and the lesson say."""
    from legwise.pipeline import read_track
    from legwise.tracks import read_columns_file

    columns, offset = read_columns_file(args.columns) if args.columns else (None, None)
    said = offset if args.utc_offset is None else args.utc_offset
    try:
        return read_track(args.track, columns=columns, utc_offset=said, lesson=lesson)
    except CallError as error:  # the only thing besides the file that the call may have wrong
        if args.utc_offset is not None:
            raise CallError(error.message, where="--utc-offset", remedy=error.remedy) from None
        raise


def inputs_of(args: argparse.Namespace) -> list[pathlib.Path]:
    """The files that a run reads, which no result may replace."""
    named = (args.track, args.lesson, args.columns)
    return [path for path in named if path is not None]


def flight_name(track: pathlib.Path) -> str:
    """The name of a track without what tells its kind: "flight.csv.gz" is "flight"."""
    name = track.name
    while (stem := pathlib.PurePath(name)).suffix.lower() in _SUFFIXES and stem.stem:
        name = stem.stem
    return name or "flight"
