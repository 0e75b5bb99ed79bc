"""Instants: seconds since 1970-01-01 UTC in arrays, aware datetimes in results, ISO 8601 with ``Z`` in files."""

from __future__ import annotations

import datetime as dt
import math

_EPOCH = dt.datetime(1970, 1, 1, tzinfo=dt.UTC)


def instant(epoch_s: float) -> dt.datetime:
    """The aware UTC datetime of ``epoch_s`` seconds since 1970-01-01, to the microsecond."""
    return _EPOCH + dt.timedelta(microseconds=round(epoch_s * 1e6))


def instant_or_none(epoch_s: float | None) -> dt.datetime | None:
    """As :func:`instant`; None and NaN give None."""
    return None if epoch_s is None or math.isnan(epoch_s) else instant(epoch_s)


def epoch_s(when: dt.datetime) -> float:
    """Seconds since 1970-01-01 UTC of an aware datetime."""
    return (when - _EPOCH) / dt.timedelta(seconds=1)


def iso_z(when: dt.datetime) -> str:
    """ISO 8601 in UTC with ``Z`` and only the fraction that is there: ``2026-04-18T13:12:40.5Z``."""
    text = when.astimezone(dt.UTC).replace(tzinfo=None).isoformat(timespec="microseconds")
    return text.rstrip("0").rstrip(".") + "Z"
