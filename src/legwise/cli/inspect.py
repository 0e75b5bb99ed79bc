"""``legwise inspect``: what is in a log; nothing is judged."""

from __future__ import annotations

import argparse
from typing import Final

from legwise.cli.console import hand_over, say
from legwise.cli.options import add_track, console_of, lesson_of, track_of

HELP: Final = "tell what is in a log"
DESCRIPTION: Final = (
    "Tells format, flights, channels, units, rate, gaps, faults and the altitude of a log. Nothing is judged."
)


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of ``legwise inspect``."""
    add_track(parser)
    parser.add_argument("--json", action="store_true", help='print the "track" object of debrief.json')


def run(args: argparse.Namespace) -> None:
    """Read, mend, tell."""
    from legwise.cli.words import track_lines
    from legwise.pipeline import inspect_track
    from legwise.record import track_json

    console = console_of(args)
    with console.progress(1) as progress:
        progress("read")
        lesson = lesson_of(args)
        summary = inspect_track(track_of(args, lesson), lesson)
    if args.json:
        hand_over(track_json(summary))
        return
    for line in track_lines(summary):
        say(line)
