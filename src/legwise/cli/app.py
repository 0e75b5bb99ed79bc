"""``legwise``: finds the verb, runs it, and turns what went wrong into an exit status and a short message.

0 done; 2 the input or the call is bad; 1 a fault of ours (and 130 interrupted: :mod:`legwise.cli.entry`).
"""

from __future__ import annotations

import argparse
import contextlib
import gc
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Final, NoReturn

from legwise import __version__
from legwise.cli import debrief, demo, draft, inspect, later, plan, schema
from legwise.cli.console import finish_output, report_error, report_fault, say, telling_what_takes_a_while
from legwise.cli.interruption import INTERRUPTION, Interrupted
from legwise.cli.options import add_loudness
from legwise.errors import CallError, LegwiseError

if TYPE_CHECKING:
    from _typeshed import SupportsWrite

DONE: Final = 0
FAULT_OF_OURS: Final = 1
BAD_INPUT: Final = 2

VERBS: Final = {
    "debrief": debrief,
    "inspect": inspect,
    "plan": plan,
    "draft": draft,
    "demo": demo,
    "schema": schema,
}
VALUES_THAT_LOOK_LIKE_OPTIONS: Final = ("--utc-offset",)


class Parser(argparse.ArgumentParser):
    """A parser whose complaints are errors like any other: short, and the caller's to report."""

    def error(self, message: str) -> NoReturn:
        """A bad call."""
        raise CallError(message, where=self.prog, remedy=f"'{self.prog} --help' tells the arguments.")

    def _print_message(self, message: str, file: SupportsWrite[str] | None = None) -> None:  # noqa: ARG002
        """Help and version are results like any other: argparse itself passes over what can't be written."""
        say(message.removesuffix("\n"))


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


def run(argv: Sequence[str]) -> int:
    """Run the command line and return its exit status; only an interruption gets through."""
    try:
        with _no_search_for_cycles():
            return _run(argv)
    except BrokenPipeError:  # whoever read our output has seen enough
        return DONE
    except Exception as error:
        if INTERRUPTION.asked:  # an interruption in the middle of something often comes out as another error
            raise Interrupted from error
        if isinstance(error, LegwiseError):
            report_error(error)
            return BAD_INPUT
        report_fault(error, argv)
        return FAULT_OF_OURS


def _run(argv: Sequence[str]) -> int:
    try:
        args = parse(argv)
    except SystemExit:  # --help and --version, which argparse ends by leaving
        finish_output()
        return DONE
    with telling_what_takes_a_while(quiet=args.quiet):
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
