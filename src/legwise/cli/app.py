"""``legwise``: finds the verb, runs it, and turns what went wrong into an exit status and a short message.

0 done; 2 the input or the call is bad; 1 a fault of ours; 130 interrupted.
"""

from __future__ import annotations

import argparse
import contextlib
import gc
import signal
import sys
import threading
from collections.abc import Iterator, Sequence
from types import FrameType
from typing import Final, NoReturn

from legwise import __version__
from legwise.cli import debrief, demo, inspect, later, plan, schema
from legwise.cli.console import finish_output, report_error, report_fault, report_interruption
from legwise.cli.options import add_loudness
from legwise.errors import CallError, LegwiseError

DONE: Final = 0
FAULT_OF_OURS: Final = 1
BAD_INPUT: Final = 2
INTERRUPTED: Final = 130

VERBS: Final = {
    "debrief": debrief,
    "inspect": inspect,
    "plan": plan,
    "demo": demo,
    "schema": schema,
}
VALUES_THAT_LOOK_LIKE_OPTIONS: Final = ("--utc-offset",)


class Parser(argparse.ArgumentParser):
    """A parser whose complaints are errors like any other: short, and the caller's to report."""

    def error(self, message: str) -> NoReturn:
        """A bad call."""
        raise CallError(message, where=self.prog, remedy=f"'{self.prog} --help' tells the arguments.")


def build_parser() -> Parser:
    """The whole command line."""
    parser = Parser(
        prog="legwise",
        description="Debriefs instrument training flights from their track. A training aid, not for navigation.",
        allow_abbrev=False,
    )
    parser.add_argument("--version", action="version", version=f"legwise {__version__}")
    commands = parser.add_subparsers(title="commands", dest="command", metavar="COMMAND")
    for name, verb in VERBS.items():
        command = commands.add_parser(name, help=verb.HELP, description=verb.DESCRIPTION, allow_abbrev=False)
        verb.add_arguments(command)
        add_loudness(command)
        command.set_defaults(run=verb.run)
    for name, what in later.VERBS.items():
        command = commands.add_parser(name, help=f"{what} (not in this version)", allow_abbrev=False)
        add_loudness(command)
        command.set_defaults(run=later.refuse)
    return parser


def parse(argv: Sequence[str]) -> argparse.Namespace:
    """The arguments, each understood.

    Raises
    ------
    CallError
        No command, an unknown one, or arguments that it does not take.
    """
    parser = build_parser()
    args, unknown = parser.parse_known_args(_joined(argv))
    if unknown and args.command not in later.VERBS:
        prog = f"legwise {args.command}" if args.command else "legwise"
        raise CallError(f"unknown argument: {unknown[0]}", where=prog, remedy=f"'{prog} --help' tells the arguments.")
    if args.command is None:
        raise CallError("no command was named", where="legwise", remedy=f"Name one of: {', '.join(VERBS)}.")
    return args


def main(argv: Sequence[str] | None = None) -> int:
    """Run the command line and return its exit status."""
    argv = sys.argv[1:] if argv is None else argv
    try:
        with _termination_as_interruption(), _no_search_for_cycles():
            return _run(argv)
    except BrokenPipeError:  # whoever read our output has seen enough
        return DONE
    except LegwiseError as error:
        report_error(error)
        return BAD_INPUT
    except KeyboardInterrupt:
        report_interruption()
        return INTERRUPTED
    except Exception as error:  # noqa: BLE001 - the one place where a fault of ours becomes a message
        report_fault(error, argv)
        return FAULT_OF_OURS


def _run(argv: Sequence[str]) -> int:
    try:
        args = parse(argv)
    except SystemExit:  # --help and --version, which argparse ends by leaving
        finish_output()
        return DONE
    args.run(args)
    finish_output()
    return DONE


def _joined(argv: Sequence[str]) -> list[str]:
    """``--utc-offset -04:00`` as ``--utc-offset=-04:00``, since argparse takes the offset for an option."""
    joined: list[str] = []
    for word in argv:
        if joined and joined[-1] in VALUES_THAT_LOOK_LIKE_OPTIONS and word[:1] == "-" and word[1:2].isdigit():
            joined[-1] += f"={word}"
        else:
            joined.append(word)
    return joined


@contextlib.contextmanager
def _no_search_for_cycles() -> Iterator[None]:
    """A run ends soon and makes few cycles of garbage; looking for them takes a tenth of a short run."""
    searching = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if searching:
            gc.enable()


@contextlib.contextmanager
def _termination_as_interruption() -> Iterator[None]:
    """A request to end (SIGTERM) cleans up as Ctrl-C does."""
    if threading.current_thread() is not threading.main_thread():
        yield
        return

    def interrupt(_signum: int, _frame: FrameType | None) -> NoReturn:
        raise KeyboardInterrupt

    before = signal.signal(signal.SIGTERM, interrupt)
    try:
        yield
    finally:
        signal.signal(signal.SIGTERM, before)
