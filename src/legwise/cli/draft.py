"""``legwise draft``: a lesson file to start from, so that nobody writes one from nothing."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING, Final

from legwise.cli.console import hand_over
from legwise.cli.options import add_planned, add_said, add_track, console_of, lesson_of, track_of

if TYPE_CHECKING:
    from collections.abc import Mapping

    from legwise.model.lesson import Lesson
    from legwise.model.lesson_values import Column

HELP: Final = "write a lesson file to start from"
DESCRIPTION: Final = (
    "Writes a lesson file to standard output: date, route and approach, and the instructions that the track shows, "
    "each with a comment, to be confirmed or corrected."
)


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of ``legwise draft``."""
    add_track(parser)
    add_said(parser)
    add_planned(parser)


def run(args: argparse.Namespace) -> None:
    """Read, find out what was flown, write."""
    from legwise.drafting import draft_toml
    from legwise.model.lesson import Lesson
    from legwise.named_files import check_named, found_from_anywhere
    from legwise.pipeline import STAGES, debrief, flight_for

    with console_of(args).progress(len(STAGES) + 1) as progress:
        progress("read")
        lesson = lesson_of(args)
        check_named(lesson, navdata=args.navdata, approach=args.approach)
        navdata = found_from_anywhere(lesson or Lesson(), args.navdata)
        track = flight_for(track_of(args, lesson), lesson, route=args.route, navdata=args.navdata)
        done = debrief(track, lesson, route=args.route, navdata=args.navdata, approach=args.approach, progress=progress)
    hand_over(draft_toml(done.result, route_text=args.route, navdata=navdata, columns=_columns(args, lesson)))


def _columns(args: argparse.Namespace, lesson: Lesson | None) -> Mapping[str, Column] | None:
    """What the call says of the log's columns and its offset, as a lesson's ``[columns]``; None where it says nothing.

    A draft holds it, so that the log can be read with the draft alone.
    """
    from legwise.tracks import read_columns_file

    columns: dict[str, Column] = dict(lesson.columns) if lesson is not None else {}
    if args.columns:
        said, offset = read_columns_file(args.columns)
        kept = {key: choice for key, choice in columns.items() if key == "utc_offset"}
        columns = {**said, **(kept if offset is None else {"utc_offset": offset})}
    if args.utc_offset is not None:
        columns["utc_offset"] = args.utc_offset
    return columns if args.columns or args.utc_offset is not None else None
