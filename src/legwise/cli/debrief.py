"""``legwise debrief``: the main job."""

from __future__ import annotations

import argparse
import pathlib
from typing import Final

from legwise.cli.interruption import INTERRUPTION
from legwise.cli.options import (
    add_planned,
    add_said,
    add_track,
    console_of,
    flight_name,
    inputs_of,
    lesson_of,
    track_of,
)

HELP: Final = "debrief a flight: a page, a JSON file and a table"
DESCRIPTION: Final = "Writes debrief.html, debrief.json and samples.csv into a folder."
FOLDER: Final = pathlib.Path("reports")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of ``legwise debrief``."""
    add_track(parser)
    add_said(parser)
    parser.add_argument(
        "--out",
        metavar="DIR",
        type=pathlib.Path,
        help="where to write (default: reports/<track name>; of several flights reports/<track name>-<N>)",
    )
    add_planned(parser)
    parser.add_argument("--standard", metavar="NAME|FILE", help="the standard, in place of the lesson's")


def run(args: argparse.Namespace) -> None:
    """Read, debrief, write."""
    from legwise.cli.words import debrief_lines
    from legwise.named_files import check_named
    from legwise.output import check_result_folder, result_folder
    from legwise.pipeline import STAGES, debrief, flight_for

    inputs = inputs_of(args)
    if args.out:
        check_result_folder(args.out, inputs)
    console = console_of(args)
    with console.progress(len(STAGES) + 2) as progress:
        progress("read")
        lesson = lesson_of(args)
        check_named(lesson, navdata=args.navdata, approach=args.approach)
        track = flight_for(track_of(args, lesson), lesson, route=args.route, navdata=args.navdata)
        out = args.out or FOLDER / flight_name(args.track, track.taken)
        check_result_folder(out, inputs)
        done = debrief(
            track,
            lesson,
            route=args.route,
            standard=args.standard,
            navdata=args.navdata,
            approach=args.approach,
            progress=progress,
        )
        progress("write")
        with result_folder(out, inputs, before_placing=INTERRUPTION.hold) as folder:
            done.write_into(folder)
        INTERRUPTION.release()
    for line in debrief_lines(done):
        console.tell(line)
    console.tell(str(out / "debrief.html"))
