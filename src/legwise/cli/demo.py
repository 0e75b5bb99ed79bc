"""``legwise demo``: the main job on the sample flights, with no other input."""

from __future__ import annotations

import argparse
import pathlib
from typing import Final

from legwise.cli.interruption import INTERRUPTION
from legwise.cli.options import console_of
from legwise.errors import OutputError

HELP: Final = "debrief the sample flights"
DESCRIPTION: Final = "Debriefs the invented flights that come with Legwise, each into a folder of its own."
FOLDER: Final = pathlib.Path("reports/demo")
_PACKAGE: Final = pathlib.Path(__file__).resolve().parents[1]
SAMPLE_PLACES: Final = (_PACKAGE / "sample_tracks", _PACKAGE.parents[1] / "sample_tracks")
"""In an installed package; in a checkout that is used in place."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """The arguments of ``legwise demo``."""
    parser.add_argument("--out", metavar="DIR", type=pathlib.Path, help=f"where to write (default: {FOLDER})")


def sample_flights() -> dict[str, pathlib.Path]:
    """The track of each sample flight by the flight's name, beside which its lesson lies.

    Raises
    ------
    OutputError
        The samples are not where they were installed.
    """
    for place in SAMPLE_PLACES:
        found = {
            lesson.parent.name: track
            for lesson in sorted(place.glob("*/lesson.toml"))
            for track in _tracks(lesson.parent)
        }
        if found:
            return found
    raise OutputError(
        "the sample flights are missing from this installation",
        where=str(SAMPLE_PLACES[0]),
        remedy="Install Legwise again, or run it from a checkout.",
    )


def run(args: argparse.Namespace) -> None:
    """Debrief each sample flight."""
    from legwise.cli.words import debrief_lines
    from legwise.output import check_result_folder, mark_folder, result_folder
    from legwise.pipeline import debrief, read_lesson, read_track

    flights = sample_flights()
    inputs = list(flights.values())
    out = args.out or FOLDER
    check_result_folder(out, inputs)
    console = console_of(args)
    told: dict[str, list[str]] = {}
    with (
        console.progress(len(flights)) as progress,
        result_folder(out, inputs, before_placing=INTERRUPTION.hold) as folder,
    ):
        for name, track in flights.items():
            progress(name)
            lesson = read_lesson(track.parent / "lesson.toml")
            done = debrief(read_track(track, lesson=lesson), lesson)
            (folder / name).mkdir()
            done.write_into(folder / name)
            mark_folder(folder / name)
            told[name] = debrief_lines(done)
    INTERRUPTION.release()
    for name, lines in told.items():
        console.tell(str(out / name / "debrief.html"))
        for line in lines:
            console.tell(f"  {line}")


def _tracks(folder: pathlib.Path) -> list[pathlib.Path]:
    return sorted(folder.glob("track.*"))[:1]
