"""The command line: arguments in, exit status out; a module a verb."""

from legwise.cli.entry import main

__all__ = ["main"]
