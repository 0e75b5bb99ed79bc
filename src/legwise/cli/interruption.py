"""Ctrl-C and a request to end (SIGTERM), both as ``KeyboardInterrupt``, from the first instant of a run to its last."""

from __future__ import annotations

import signal
import sys
import time
from types import FrameType
from typing import Final

_SIGNALS: Final = (signal.SIGINT, signal.SIGTERM)
_ONE_REQUEST_S: Final = 1.0
"""What sends a signal to a process and then to its group asks once; the second must not break the cleaning up."""


class Interrupted(KeyboardInterrupt):
    """A run is to be broken off.

    Python remembers a plain ``KeyboardInterrupt`` that passed through an ``exec`` (as of a dataclass being made) even
    where it was dealt with, and ends the process by the signal in place of its exit status.
    """


class Interruption:
    """What a signal does while a run lasts: break it off, or, once its results are being put in place, nothing."""

    def __init__(self) -> None:
        self.results_stand = False
        self._held = False
        self._asked_at: float | None = None
        self._before: dict[signal.Signals, object] = {}
        self._told_before = sys.unraisablehook

    def begin(self) -> None:
        """Take the signals over, but for those that are to be ignored (as of a job in the background).

        In another thread than the first, signals stay with whoever runs us.
        """
        self.results_stand = self._held = False
        self._asked_at = None
        self._before = {}
        self._told_before = sys.unraisablehook
        sys.unraisablehook = self._lost
        for number in _SIGNALS:
            before = signal.getsignal(number)
            if before is not signal.SIG_IGN:
                try:
                    signal.signal(number, self._interrupt)
                except ValueError:  # not the first thread
                    return
                self._before[number] = before

    def end(self, *, process_ends: bool) -> None:
        """Give the signals back; where the process ends anyway, nothing may change its exit status any more."""
        for number, before in self._before.items():
            signal.signal(number, signal.SIG_IGN if process_ends else before)  # type: ignore[arg-type]
        self._before = {}
        sys.unraisablehook = self._told_before

    @property
    def asked(self) -> bool:
        """Whether a signal came that was not too late."""
        return self._asked_at is not None

    def hold(self) -> None:
        """Results are being put in place: too late to break off, and soon over."""
        self.check()
        self._held = True

    def check(self) -> None:
        """Break off what was asked to end and went on, since the exception got lost on its way."""
        if self.asked and not self.results_stand:
            raise Interrupted

    def release(self) -> None:
        """Results stand; what is left to say can be broken off again."""
        self.results_stand = True
        self._held = False

    def _interrupt(self, _signum: int, _frame: FrameType | None) -> None:
        now = time.monotonic()
        if not self._held and (self._asked_at is None or now - self._asked_at > _ONE_REQUEST_S):
            self._asked_at = now
            raise Interrupted

    def _lost(self, lost: sys.UnraisableHookArgs) -> None:
        """An exception that Python can't raise, as in the callback of a weak reference; ours is raised at a check."""
        if not issubclass(lost.exc_type, Interrupted):
            self._told_before(lost)


INTERRUPTION: Final = Interruption()
"""Signals are the whole process's, and so is this."""
