"""What is said on the terminal: results on standard output, everything else on standard error, short and safe."""

from __future__ import annotations

import contextlib
import logging
import os
import platform
import sys
import tempfile
import time
import traceback
from collections.abc import Callable, Iterator, Sequence
from typing import Final, TextIO

from legwise import __version__
from legwise.cli.interruption import INTERRUPTION
from legwise.errors import LegwiseError, OutputError

MOST_LINES: Final = 10
"""A message of the command line is never longer."""
LONGEST_LINE: Final = 400


def printable(text: str) -> str:
    """``text`` with whatever could steer a terminal written as an escape; newlines stay."""
    return "".join(
        char if char.isprintable() or char == "\n" else char.encode("unicode_escape").decode("ascii") for char in text
    )


def shown(text: str, longest: int = 60) -> str:
    """A word of the call in quotes for a message: printable, on one line, cut where it is long."""
    clean = " ".join(printable(text).split())
    return f"“{_clipped(clean, longest)}”"


def report_error(error: LegwiseError) -> None:
    """Tell what is wrong with the input or the call."""
    text = printable(str(error))
    lines = (text if text.startswith("legwise") else f"legwise: {text}").split("\n")
    if len(lines) > MOST_LINES:  # the remedy, which comes last, is worth more than the middle
        lines = [*lines[: MOST_LINES - 2], "  ...", lines[-1]]
    _complain("\n".join(_clipped(line, LONGEST_LINE) for line in lines))


def report_interruption(*, results_stand: bool) -> None:
    """Tell that the run was broken off, and whether before or after its results were put in place."""
    _complain(f"legwise: interrupted; {'the results are in place' if results_stand else 'nothing was written'}")


def report_fault(error: Exception, argv: Sequence[str]) -> None:
    """Tell in one line that Legwise itself is at fault, and keep the details in a file."""
    what = " ".join(printable(f"{type(error).__name__}: {error}").split())
    details = "".join(traceback.format_exception(error))
    text = f"legwise {__version__}, Python {platform.python_version()}\narguments: {list(argv)}\n\n{details}"
    try:
        handle, place = tempfile.mkstemp(prefix="legwise-fault-", suffix=".log")
        with os.fdopen(handle, "w", encoding="utf-8", errors="backslashreplace") as file:
            file.write(text)
        where = f"the details are in {place}"
    except OSError as failure:
        where = f"the details could not be kept ({failure.strerror})"
    _complain(f"legwise: a fault of Legwise's own, {where}: {_clipped(what, 160)}")


class _Teller(logging.Handler):
    """What takes a while is told on standard error as it begins."""

    def emit(self, record: logging.LogRecord) -> None:
        _complain(f"legwise: {_clipped(printable(record.getMessage()), LONGEST_LINE)}")


@contextlib.contextmanager
def telling_what_takes_a_while(*, quiet: bool) -> Iterator[None]:
    """While this lasts what the package logs is told, unless nothing is to be said."""
    log, teller = logging.getLogger("legwise"), _Teller(logging.INFO)
    before = log.level
    if not quiet:
        log.addHandler(teller)
        log.setLevel(logging.INFO)
    try:
        yield
    finally:
        log.removeHandler(teller)
        log.setLevel(before)


def say(text: str) -> None:
    """A result for a person, on standard output."""
    with _standard_output() as stream:
        encoding = stream.encoding or "utf-8"
        print(printable(text).encode(encoding, "backslashreplace").decode(encoding), file=stream)


def hand_over(text: str) -> None:
    """A result for a program: the text as UTF-8 whatever the terminal speaks."""
    with _standard_output() as stream:
        stream.flush()
        stream.buffer.write(text.encode("utf-8"))
        stream.buffer.flush()


def finish_output() -> None:
    """Whatever was said is out.

    Raises
    ------
    OutputError
        It can't be: a full disk, say.
    BrokenPipeError
        Whoever read it has seen enough.
    """
    if sys.stdout is not None:
        with _standard_output() as stream:
            stream.flush()


class Console:
    """How much is said: results unless ``quiet``, each step with its time when ``verbose``."""

    def __init__(self, *, quiet: bool, verbose: bool) -> None:
        self.quiet = quiet
        self.verbose = verbose

    def tell(self, text: str) -> None:
        """A line about results that stand in files, unless all is to be quiet or standard output is closed."""
        if not self.quiet and sys.stdout is not None:
            say(text)

    def explain(self, text: str) -> None:
        """A line on standard error for who wants to know more."""
        if self.verbose:
            _complain(printable(text))

    @contextlib.contextmanager
    def progress(self, total: int) -> Iterator[Callable[[str], None]]:
        """Tells each step as it begins: as a bar on a terminal, as lines with times when verbose, else not at all.

        Each step is also where an interruption that got lost is seen.
        """
        with self._shown(total) as show:

            def begin(label: str) -> None:
                INTERRUPTION.check()
                show(label)

            yield begin

    @contextlib.contextmanager
    def _shown(self, total: int) -> Iterator[Callable[[str], None]]:
        if self.verbose:
            with self._timed() as begin:
                yield begin
        elif not self.quiet and sys.stderr is not None and sys.stderr.isatty():
            from tqdm import tqdm

            with tqdm(total=total, leave=False, bar_format="{bar:20} {desc}") as bar:

                def advance(label: str) -> None:
                    bar.set_description_str(printable(label))
                    bar.update()

                yield advance
        else:
            yield lambda _: None

    @contextlib.contextmanager
    def _timed(self) -> Iterator[Callable[[str], None]]:
        running: list[tuple[str, float]] = []

        def finish() -> None:
            for label, began in running:
                self.explain(f"{label}: {time.perf_counter() - began:.2f} s")
            running.clear()

        def begin(label: str) -> None:
            finish()
            running.append((label, time.perf_counter()))

        yield begin
        finish()


@contextlib.contextmanager
def _standard_output() -> Iterator[TextIO]:
    stream = sys.stdout
    if stream is None:  # Python's way to tell that it was closed before we began
        raise OutputError("standard output is closed", remedy="Send it somewhere.")
    try:
        yield stream
    except BrokenPipeError:
        _abandon(stream)
        raise
    except OSError as error:
        _abandon(stream)
        reason = (error.strerror or str(error)).lower()
        raise OutputError(f"standard output can't be written: {reason}", remedy="Send it somewhere else.") from error


def _abandon(stream: TextIO) -> None:
    """Nothing more can be said there; without this Python would complain once more when it ends."""
    with contextlib.suppress(OSError, ValueError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())


def _clipped(text: str, longest: int) -> str:
    return text if len(text) <= longest else f"{text[: longest - 3]}..."


def _complain(text: str) -> None:
    stream = sys.stderr
    if stream is None:  # closed: nobody listens, and the exit status still tells
        return
    try:
        print(text, file=stream, flush=True)
    except OSError:
        _abandon(stream)
