"""Which samples are drawn: all of them, or one common choice for every picture that keeps what matters."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from legwise.model.arrays import FloatArray, IntArray, readonly_ints
from legwise.model.instants import epoch_s
from legwise.model.results import DebriefResult

MOST_DRAWN = 20_000
"""More points than a screen can show, few enough for a page to stay light."""


def drawn_samples(result: DebriefResult, most: int = MOST_DRAWN) -> IntArray:
    """Indices of the samples that are drawn, rising, at most about ``most``.

    A short flight keeps every sample. A long one keeps the lowest and highest of each judged channel in equal bins,
    and every
    moment that a row of the page can lead to: ends of legs, stretches, gaps, findings, instructions.
    """
    count = len(result.track)
    if count <= most:
        return readonly_ints(np.arange(count))
    kept = _moments(result)
    if kept.size > most // 2:
        kept = kept[np.linspace(0, kept.size - 1, most // 2).astype(np.int64)]
    deviations = result.deviations
    samples = result.track.samples
    channels = [
        samples.lat_deg,
        samples.lon_deg,
        deviations.judged.altitude_ft,
        deviations.lateral_needle,
        deviations.vertical_needle,
        deviations.altitude_error_ft,
        result.track.motion.groundspeed_kt,
    ]
    return readonly_ints(np.union1d(kept, _lowest_and_highest(channels, most - kept.size)))


def _moments(result: DebriefResult) -> IntArray:
    count = len(result.track)
    alignment = result.alignment
    marks: list[int] = [0, count - 1]
    for leg in alignment.legs:
        marks += [leg.start, leg.stop - 1]
    for gap in result.track.gaps:
        marks += gap
    for approach in alignment.approaches:
        moments = (approach.joined, approach.faf, approach.lowest, approach.landing, approach.missed_start)
        marks += [approach.start, approach.stop - 1, *(moment for moment in moments if moment is not None)]
    times = [instruction.effect_s for instruction in alignment.instructions]
    for finding in result.assessment.findings:
        times += [epoch_s(finding.from_), epoch_s(finding.to)]
        times += [] if finding.at_worst is None else [epoch_s(finding.at_worst)]
    known = np.array([time for time in times if np.isfinite(time)], dtype=np.float64)
    nearest = np.searchsorted(result.track.samples.time_s, known)
    changes = np.flatnonzero(np.diff(alignment.guidance) | np.diff(alignment.leg))
    every = np.concatenate([np.array(marks, dtype=np.int64), nearest, changes, changes + 1])
    return np.unique(np.clip(every, 0, count - 1))


def _lowest_and_highest(channels: Sequence[FloatArray], most: int) -> IntArray:
    count = channels[0].size
    bins = max(most // (2 * len(channels)), 1)
    width = -(-count // bins)
    rows = -(-count // width)
    found = []
    for channel in channels:
        padded = np.full(rows * width, np.nan)
        padded[:count] = channel
        table = padded.reshape(rows, width)
        known = np.isfinite(table)
        starts = np.arange(rows)[known.any(axis=1)] * width
        some = known.any(axis=1)
        found.append(starts + np.where(known, table, np.inf).argmin(axis=1)[some])
        found.append(starts + np.where(known, table, -np.inf).argmax(axis=1)[some])
    return np.unique(np.concatenate(found))


def with_gap_places(index: IntArray, gaps: Sequence[tuple[int, int]]) -> IntArray:
    """``index`` with −1 put between the samples on both sides of every gap, so that no line is drawn across it."""
    if not gaps:
        return index
    places = np.searchsorted(index, np.array([after for _before, after in gaps]))
    return readonly_ints(np.insert(index, places, -1))
