"""``legwise plan``: what a lesson file amounts to, before anything is flown."""

from __future__ import annotations

import argparse
import dataclasses
import datetime as dt
import pathlib
from typing import Final

from legwise.cli.console import hand_over, say
from legwise.errors import NotYetError

HELP: Final = "resolve a lesson file into its legs"
DESCRIPTION: Final = "Tells every leg of a lesson with course, distance and altitudes. Nothing is flown."


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of ``legwise plan``."""
    parser.add_argument("lesson", metavar="LESSON.toml", type=pathlib.Path, help="the lesson file")
    parser.add_argument("--json", action="store_true", help="print the resolved plan as JSON")
    parser.add_argument("--sheet", metavar="FILE.html", help="a briefing sheet to print (not in this version)")


def run(args: argparse.Namespace) -> None:
    """Read, resolve, tell."""
    if args.sheet is not None:
        raise NotYetError(
            "--sheet: this version does not make briefing sheets yet",
            where="legwise plan",
            remedy="Leave it out: the plan is printed as text, or with --json as JSON.",
        )
    from legwise.cli.words import plan_lines
    from legwise.pipeline import plan_for, read_lesson
    from legwise.record import plan_json

    lesson = read_lesson(args.lesson)
    date = lesson.lesson.date
    plan = plan_for(lesson, date=date or dt.datetime.now(dt.UTC).date())
    if date is None:
        note = "the lesson names no date: magnetic courses are today's"
        plan = dataclasses.replace(plan, notes=(*plan.notes, note))
    if args.json:
        hand_over(plan_json(plan))
        return
    for line in plan_lines(plan):
        say(line)
