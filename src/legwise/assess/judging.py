"""A stretch of values against a band, with its doubt: worst, verdict, excursions, time outside, time to the first
correction.

The rules are the program's own; only the limits are published. They keep two promises: widening the doubt never turns
``undecided`` into a decision, and a single noisy sample is never ``outside``.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from legwise.model.arrays import BoolArray, FloatArray, IntArray
from legwise.model.results import Verdict

MERGE_S = 3.0
"""Excursions with less than this between them are one. [s]"""

SUSTAINED_S = 2.0
"""What a value must be beyond the limit, doubt included, to count as outside, in at least two samples; with samples
further apart than this, one is enough. [s]"""

CORRECTION_HELD_S = 3.0
"""A movement back counts when it is held this long. [s]"""

_CORRECTION_SHARE = 0.03
_EPS = 1e-9


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Series:
    """What is judged: arrays of shape (m,), the samples of one stretch where something was owed.

    ``index`` are positions in the track, ascending; ``time_s`` is the time that was flown; ``value`` may be NaN where
    nothing was recorded; ``doubt`` is the 95 % uncertainty in the value's unit; ``low`` and ``high`` the bounds at each
    sample (infinite where that side doesn't bind); ``part`` numbers the pieces of the track between its gaps;
    ``factor`` is how many seconds were flown in each of the log, None where that is one.
    """

    index: IntArray
    time_s: FloatArray
    value: FloatArray
    doubt: FloatArray
    low: FloatArray
    high: FloatArray
    part: IntArray
    factor: FloatArray | None = None

    def only(self, keep: BoolArray) -> Series:
        """The samples where ``keep`` is true."""
        return Series(
            index=self.index[keep],
            time_s=self.time_s[keep],
            value=self.value[keep],
            doubt=self.doubt[keep],
            low=self.low[keep],
            high=self.high[keep],
            part=self.part[keep],
            factor=None if self.factor is None else self.factor[keep],
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """How a band is read: ``strict`` means "less than"; ``brief_s`` long excursions may reach ``brief`` on either side.

    ``instant`` is for a value that exists at one moment only, such as an altitude at a fix.
    """

    strict: bool = False
    brief: float | None = None
    brief_s: float = 0.0
    instant: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Judgement:
    """Where a series stands. ``worst`` and ``at`` (its position in the track) are None where nothing was recorded.

    ``worst`` is the largest exceedance, but that of an undecided series the one that keeps it open: where value and
    doubt together reach furthest beyond the limit. ``limit`` is the bound on the side of ``worst``, without sign.
    ``brief`` is true where it is within only because its excursions were brief.
    """

    verdict: Verdict
    worst: float | None
    at: int | None
    limit: float
    outside_s: float
    excursions: int
    correcting_after_s: float | None
    uncertainty: float
    brief: bool = False


def judge(series: Series, rule: Rule, interval_s: float) -> Judgement:
    """The series against its band.

    Parameters
    ----------
    series
        At least one sample.
    interval_s
        The median interval of the track, the weight of a sample that stands alone. [s]
    """
    known = series.only(np.isfinite(series.value) & np.isfinite(series.doubt))
    if known.index.size == 0:
        return _not_recorded(series)
    beyond_by = np.maximum(known.value - known.high, known.low - known.value)
    beyond = beyond_by >= -_EPS if rule.strict else beyond_by > _EPS
    every_s = np.full(known.index.size, interval_s) if known.factor is None else interval_s * known.factor
    joined = _joined(known, every_s)
    seconds = _seconds(known.time_s, joined, every_s)
    excursions = _real(_runs(beyond, known.time_s, joined, merge_s=MERGE_S + interval_s), interval_s, rule)
    verdict, brief = _verdict(known, beyond_by, joined, seconds, rule, interval_s)
    worst = int(np.argmax(beyond_by))
    # What leaves it undecided may be a nearer sample that the log knows less well: that doubt is the one to tell.
    doubtful = int(np.argmax(beyond_by + known.doubt)) if verdict is Verdict.UNDECIDED else worst
    around = None if rule.instant else next((run for run in excursions if run[0] <= worst < run[1]), None)
    return Judgement(
        verdict=verdict,
        worst=float(known.value[worst]),
        at=int(known.index[worst]),
        limit=_limit(known.value[worst], known.low[worst], known.high[worst]),
        outside_s=0.0 if rule.instant else float(seconds[beyond].sum()),
        excursions=len(excursions),
        correcting_after_s=None if around is None else _correcting_after_s(known, beyond_by, around, joined),
        uncertainty=float(known.doubt[doubtful]),
        brief=brief,
    )


def _not_recorded(series: Series) -> Judgement:
    low, high = float(series.low[0]), float(series.high[0])
    doubt = series.doubt[np.isfinite(series.doubt)]
    return Judgement(
        verdict=Verdict.NOT_RECORDED,
        worst=None,
        at=None,
        limit=abs(high) if np.isfinite(high) else abs(low),
        outside_s=0.0,
        excursions=0,
        correcting_after_s=None,
        uncertainty=float(doubt[0]) if doubt.size else 0.0,
    )


def _limit(value: float, low: float, high: float) -> float:
    """The bound on the side of ``value``; the other one where that side doesn't bind."""
    high_side = value > 0 if np.isfinite(low) and np.isfinite(high) else bool(np.isfinite(high))
    return abs(float(high if high_side else low))


def _joined(series: Series, every_s: FloatArray) -> BoolArray:
    """Whether each sample but the last hangs together with the next: no gap and nothing long left out between them."""
    near: BoolArray = np.diff(series.time_s) <= np.maximum(MERGE_S, 2.5 * every_s[1:])
    joined: BoolArray = near & (np.diff(series.part) == 0)
    return joined


def _seconds(time_s: FloatArray, joined: BoolArray, every_s: FloatArray) -> FloatArray:
    """The time each sample stands for: half of the way to each neighbour, half an interval where it has none. [s]"""
    half_s = np.diff(time_s) / 2
    before = np.concatenate([every_s[:1] / 2, np.where(joined, half_s, every_s[1:] / 2)])
    after = np.concatenate([np.where(joined, half_s, every_s[:-1] / 2), every_s[-1:] / 2])
    seconds: FloatArray = before + after
    return seconds


def _runs(mask: BoolArray, time_s: FloatArray, joined: BoolArray, *, merge_s: float = 0.0) -> list[tuple[int, int]]:
    """Stretches (start, stop exclusive) where ``mask`` holds; those whose nearest samples are less than ``merge_s``
    apart, with no gap between, are one."""
    at = np.flatnonzero(mask)
    if at.size == 0:
        return []
    broken = np.concatenate([[0], np.cumsum(~joined)])
    near = (np.diff(at) == 1) | (np.diff(time_s[at]) < merge_s)
    together = near & (np.diff(broken[at]) == 0)
    starts = np.concatenate([[0], np.flatnonzero(~together) + 1])
    stops = np.concatenate([starts[1:], [at.size]])
    return [(int(at[first]), int(at[last - 1]) + 1) for first, last in zip(starts, stops, strict=True)]


def _real(runs: list[tuple[int, int]], interval_s: float, rule: Rule) -> list[tuple[int, int]]:
    """Runs that are more than one noisy sample."""
    return [run for run in runs if _enough(run, interval_s, rule)]


def _enough(run: tuple[int, int], interval_s: float, rule: Rule) -> bool:
    return rule.instant or run[1] - run[0] >= 2 or interval_s > SUSTAINED_S


def _verdict(
    series: Series, beyond_by: FloatArray, joined: BoolArray, seconds: FloatArray, rule: Rule, interval_s: float
) -> tuple[Verdict, bool]:
    """The verdict, and whether it is ``within`` only for being brief."""

    def surely_beyond(excess: FloatArray, held_s: float) -> bool:
        sure: BoolArray = excess > series.doubt + _EPS
        if rule.strict:
            sure = sure | ((series.doubt == 0) & (excess >= -_EPS))
        return any(
            _enough(run, interval_s, rule) and (rule.instant or seconds[run[0] : run[1]].sum() > held_s - _EPS)
            for run in _runs(sure, series.time_s, joined)
        )

    def possibly_beyond(excess: FloatArray) -> BoolArray:
        reach = excess + series.doubt
        possible: BoolArray = reach >= -_EPS if rule.strict else reach > _EPS
        return possible

    possible = possibly_beyond(beyond_by)
    if rule.brief is None:
        if surely_beyond(beyond_by, SUSTAINED_S):
            return Verdict.OUTSIDE, False
        return (Verdict.UNDECIDED if possible.any() else Verdict.WITHIN), False
    past_brief = np.abs(series.value) - rule.brief
    longer_than_brief = max(SUSTAINED_S, rule.brief_s + 1e-6)
    if surely_beyond(beyond_by, longer_than_brief) or surely_beyond(past_brief, SUSTAINED_S):
        return Verdict.OUTSIDE, False
    if not possible.any():
        return Verdict.WITHIN, False
    runs = _runs(possible, series.time_s, joined, merge_s=MERGE_S + interval_s)
    short = all(seconds[start:stop].sum() <= rule.brief_s for start, stop in runs)
    if short and not possibly_beyond(past_brief).any():
        return Verdict.WITHIN, True
    return Verdict.UNDECIDED, False


def _correcting_after_s(series: Series, beyond_by: FloatArray, run: tuple[int, int], joined: BoolArray) -> float | None:
    """From the first sample beyond the limit to the first movement back that is held, within the stretch. [s]

    A movement back is a fall from a peak by a small share of the limit before anything higher comes; it begins at the
    last sample still within half of that share of the peak.
    """
    start, stop = run
    end = stop
    last = stop + _tail(series, stop)
    while end < last and joined[end - 1]:
        end += 1
    excess, time_s = beyond_by[start:end], series.time_s[start:end]
    bounds = np.concatenate([series.low[start:end], series.high[start:end]])
    least = _CORRECTION_SHARE * max(float(np.abs(bounds[np.isfinite(bounds)]).max()), _EPS)
    highest = np.maximum.accumulate(excess)
    for k in np.flatnonzero(highest - excess >= least):
        peak = int(np.argmax(excess[: k + 1]))
        held = excess[(time_s > time_s[k]) & (time_s <= time_s[peak] + CORRECTION_HELD_S)]
        if held.size == 0 or held.max() < excess[peak]:
            near_peak = np.flatnonzero(excess[peak : k + 1] > excess[peak] - least / 2)
            return float(time_s[peak + int(near_peak[-1])] - time_s[0])
    return None


def _tail(series: Series, stop: int) -> int:
    """How many samples after an excursion may still show its correction: those of the next few seconds."""
    if stop >= series.time_s.size:
        return 0
    return int(np.searchsorted(series.time_s, series.time_s[stop - 1] + 2 * CORRECTION_HELD_S, side="right")) - stop
