"""``legwise schema``: the JSON Schema of ``debrief.json``."""

from __future__ import annotations

import argparse
import json
from typing import Final

from legwise.cli.console import hand_over

HELP: Final = "print the JSON Schema of debrief.json"
DESCRIPTION: Final = "Prints the JSON Schema (2020-12) of debrief.json."


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """``legwise schema`` takes none."""


def run(_args: argparse.Namespace) -> None:
    """Print it."""
    from legwise.record import json_schema

    hand_over(json.dumps(json_schema(), indent=2) + "\n")
