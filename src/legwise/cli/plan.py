"""``legwise plan``: what a lesson file amounts to, before anything is flown."""

from __future__ import annotations

import argparse
import dataclasses
import datetime as dt
import pathlib
import re
from typing import TYPE_CHECKING, Final

from legwise.cli.console import hand_over, say, shown
from legwise.errors import CallError, OutputError

if TYPE_CHECKING:
    from legwise.model.briefing import Wind

HELP: Final = "resolve a lesson file into its legs"
DESCRIPTION: Final = (
    "Tells every leg of a lesson with course, distance, altitudes, and the turn at its end with its lead. "
    "Nothing is flown."
)
_WIND: Final = re.compile(r"(?P<from>[0-9]{3})/(?P<kt>[0-9]{1,3}(?:\.[0-9]{1,3})?)")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of ``legwise plan``."""
    parser.add_argument("lesson", metavar="LESSON.toml", type=pathlib.Path, help="the lesson file")
    parser.add_argument("--json", action="store_true", help="print the resolved plan as JSON")
    parser.add_argument(
        "--sheet",
        metavar="FILE.html",
        type=pathlib.Path,
        help="also write a briefing sheet to print, one page; an older sheet in its place is replaced",
    )
    parser.add_argument(
        "--wind",
        metavar="DDD/KT",
        type=_wind,
        help="the wind to plan with, from degrees true at knots, as in 240/15: turns airspeeds into groundspeeds",
    )


def run(args: argparse.Namespace) -> None:
    """Read, resolve, tell; write the sheet."""
    if args.sheet is not None:
        if str(args.sheet) == "-":
            raise CallError(
                "“-” names no file, and a briefing sheet is not printed on standard output",
                where="--sheet",
                remedy="Name a file, as in --sheet sheet.html.",
            )
        _check_sheet(args.sheet, args.lesson)
    from legwise.cli.plan_words import plan_lines
    from legwise.pipeline import plan_for, read_lesson
    from legwise.plan.briefing.brief import brief
    from legwise.record import plan_json

    lesson = read_lesson(args.lesson)
    date = lesson.lesson.date
    plan = plan_for(lesson, date=date or dt.datetime.now(dt.UTC).date())
    if date is None:
        note = "the lesson names no date: magnetic courses are today's"
        plan = dataclasses.replace(plan, notes=(*plan.notes, note))
    briefing = brief(plan, lesson, wind=args.wind)
    if args.sheet is not None:
        from legwise.report.sheet_page import sheet_html

        _write_sheet(args.sheet, sheet_html(plan, lesson, briefing))
    if args.json:
        hand_over(plan_json(plan, briefing))
    elif not args.quiet or args.sheet is None:
        for line in plan_lines(plan, briefing):
            say(line)
    if args.sheet is not None and not args.json and not args.quiet:
        say(f"briefing sheet: {args.sheet}")


def _wind(text: str) -> Wind:
    from legwise.model.briefing import Wind

    match = _WIND.fullmatch(text)
    if match is None or int(match["from"]) > 360:
        raise CallError(
            f"{shown(text)} is no wind",
            where="--wind",
            remedy="Write where it blows from in degrees true and its speed in knots, as in --wind 240/15.",
        )
    return Wind(from_deg_true=float(match["from"]), speed_kt=float(match["kt"]))


def _check_sheet(path: pathlib.Path, lesson: pathlib.Path) -> None:
    """Refuse to write over what is not a briefing sheet of ours: before the work, not after it.

    Raises
    ------
    OutputError
        A folder, a device, the lesson itself, or any other file stands there.
    """
    from legwise.report.sheet_page import SHEET_HEAD

    remedy = "Choose another place with --sheet, or move what is there."
    try:
        if path.exists() and lesson.exists() and path.samefile(lesson):
            raise OutputError("this is the lesson file itself", where=str(path), remedy=remedy)
        if path.is_dir():
            raise OutputError("this is a folder, not a file", where=str(path), remedy="Name a file.")
        if not path.exists() and not path.is_symlink():
            if not path.parent.is_dir():
                raise OutputError("its folder is not there", where=str(path), remedy="Make the folder first.")
            return
        if path.is_symlink() or not path.is_file():
            raise OutputError("this is no regular file", where=str(path), remedy=remedy)
        with path.open("rb") as file:
            head = file.read(len(SHEET_HEAD))  # ASCII: a letter is a byte
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise OutputError(f"it can't be written: {reason}", where=str(path), remedy=remedy) from error
    if head and head != SHEET_HEAD.encode():
        raise OutputError("this file was not made by Legwise as a briefing sheet", where=str(path), remedy=remedy)


def _write_sheet(path: pathlib.Path, text: str) -> None:
    from legwise.output import write_file

    try:
        write_file(path, text)
    except OutputError as error:  # its remedy speaks of --out
        raise OutputError(error.message, where=error.where, remedy="Choose another place with --sheet.") from error
