"""The first thing that runs: signals are taken over before anything else is imported, and kept until the end."""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from typing import Final

from legwise.cli.interruption import INTERRUPTION

INTERRUPTED: Final = 130


def main(argv: Sequence[str] | None = None) -> int:
    """Run the command line and return its exit status.

    Without ``argv`` it takes the arguments of the process, which is then expected to end: signals are ignored from
    there on, so that none comes between the result and the exit status.
    """
    INTERRUPTION.begin()
    try:
        try:
            _fill_standard_places()
            from legwise.cli.app import run

            status = run(sys.argv[1:] if argv is None else argv)
            INTERRUPTION.check()
            return status
        finally:
            INTERRUPTION.end(process_ends=argv is None)
    except KeyboardInterrupt:
        from legwise.cli.console import report_interruption

        report_interruption(results_stand=INTERRUPTION.results_stand)
        return INTERRUPTED


def _fill_standard_places() -> None:
    """Where standard input, output or error is closed, no file that is opened later may get its number.

    Else what a library writes to "standard error" would land in a file of ours. Python's own ``sys.stdout`` and
    ``sys.stderr`` stay None.
    """
    for number in (0, 1, 2):
        try:
            os.fstat(number)
        except OSError:
            os.open(os.devnull, os.O_RDWR)  # takes the lowest number that is free
