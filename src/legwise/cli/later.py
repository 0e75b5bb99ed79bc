"""Verbs of the contract that this version does not have yet: recognised, and refused by name."""

from __future__ import annotations

import argparse
from typing import Final, NoReturn

from legwise.errors import CallError

VERBS: Final = {
    "batch": "debrief every track in a folder",
    "progress": "tell how a student is getting on over the lessons",
    "portal": "serve the web site",
}


def refuse(args: argparse.Namespace) -> NoReturn:
    """Say that the verb is not there yet."""
    raise CallError(
        "this version does not have this command yet",
        where=f"legwise {args.command}",
        remedy="'legwise --help' tells the commands that it has.",
    )
