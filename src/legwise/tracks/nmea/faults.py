"""What was read from an NMEA 0183 log, what was not, and what was amiss, in words."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from legwise.model.arrays import BoolArray, FloatArray
from legwise.model.track import AltitudeKind, Fault
from legwise.tracks.nmea.epochs import Doubles, Epochs, Making, Placed
from legwise.tracks.nmea.rows import VOID, Rows, Unreadable
from legwise.tracks.nmea.tally import Tally
from legwise.tracks.nmea.types import USED, name_of
from legwise.tracks.wording import joined, places

_MOST_TYPES = 12


@dataclass(frozen=True, slots=True, eq=False)
class Findings:
    """All that the words are about."""

    rows: Rows
    epochs: Epochs
    placed: Placed
    doubles: Doubles
    making: Making
    tally: Tally
    unreadable: Unreadable


def notes_of(found: Findings, altitudes: Mapping[AltitudeKind, FloatArray]) -> list[str]:
    """What was taken for what."""
    rows, tally = found.rows, found.tally
    used = [(name_of(kind), int(np.count_nonzero(rows.kind == kind))) for kind in USED]
    talkers = [name_of(code) for code in np.flatnonzero(np.bincount(rows.talker[rows.is_position])).tolist()]
    counted = joined([f"{count} {name}" for name, count in used if count])
    notes = [f"read: {counted}, from talker{'s' if len(talkers) > 1 else ''} {joined(talkers[:_MOST_TYPES])}"]
    if tally.unused:
        notes.append(f"not used: {_counts(tally.unused)}")
    if tally.loose.count:
        notes.append(f"no sentence in {_of(tally.loose.count, 'line')} ({tally.loose.words()})")
    if tally.without_sum:
        notes.append(f"{_of(tally.without_sum, 'sentence')} without a checksum, taken as they are")
    order = [name_of(kind) for kind in found.placed.taken_from]
    if len(order) > 1:
        notes.append(f"positions are those of {order[0]}, where it has none those of {joined(order[1:], 'or')}")
    if found.placed.apart:
        notes.append(
            f"the sentences of one time have other positions at {_of(found.placed.apart, 'time')}, by up to "
            f"{found.placed.most_apart_m:.1f} m, first in line {found.placed.apart_line}"
        )
    if found.doubles.several_talkers:
        several = _of(found.doubles.several_talkers, "time")
        notes.append(f"several talkers at {several}; the first that has a value is taken")
    if found.making.simulated:
        notes.append(
            f"{_of(found.making.simulated, 'fix', 'fixes')} that the sentences call simulated (quality 8, mode S)"
        )
    if AltitudeKind.GNSS_MSL in altitudes:
        notes.append("altitudes are GNSS heights above mean sea level in metres, as NMEA 0183 has them")
    if AltitudeKind.GNSS_ELLIPSOID in altitudes:
        notes.append("with the geoid's separation they also give heights above the ellipsoid")
        if np.all(rows.separation_m[np.isfinite(rows.separation_m)] == 0.0):
            notes.append("the separation is 0 throughout: the altitudes may be heights above the ellipsoid")
    return notes


def held_words(tally: Tally) -> str:
    """What a log holds that gave no record."""
    words: list[str] = []
    if tally.bad.count:
        words.append(f"{_of(tally.bad.count, 'sentence')} with a wrong checksum ({_counts(tally.bad_sums)})")
    if tally.damaged.count:
        words.append(f"{_of(tally.damaged.count, 'damaged sentence')}")
    if tally.unused:
        words.append(f"others: {_counts(tally.unused)}")
    return "; ".join(words) or "no other sentence either"


def faults_of(found: Findings) -> list[Fault]:
    """What was left out or is in doubt, with counts and lines."""
    return [*_sentence_faults(found), *_fix_faults(found)]


def _sentence_faults(found: Findings) -> list[Fault]:
    tally, unreadable = found.tally, found.unreadable
    faults: list[Fault] = []
    if tally.bad.count:
        detail = f"wrong checksum ({_counts(tally.bad_sums)}) in {tally.bad.words()}; not believed"
        faults.append(Fault(kind="bad-checksum", count=tally.bad.count, detail=detail))
    if tally.damaged.count:
        detail = f"sentences cut off or without form in {tally.damaged.words()}; left out"
        faults.append(Fault(kind="damaged-sentence", count=tally.damaged.count, detail=detail))
    if tally.cut_short_line:
        detail = f"the log ends in the middle of a sentence, in line {tally.cut_short_line}; read up to there"
        faults.append(Fault(kind="cut-short", count=1, detail=detail))
    if unreadable.times.count:
        detail = f"no time that can be read: {unreadable.times.words()}; taken as none"
        faults.append(Fault(kind="unreadable-time", count=unreadable.times.count, detail=detail))
    if unreadable.values.count:
        detail = f"a value that can't be read, or in another unit: {unreadable.values.words()}; taken as not recorded"
        faults.append(Fault(kind="unreadable-value", count=unreadable.values.count, detail=detail))
    return faults


def _fix_faults(found: Findings) -> list[Fault]:
    epochs, is_reckoned = found.epochs, found.making.is_reckoned
    faults: list[Fault] = []
    is_void = ~epochs.is_record
    if is_void.any():
        detail = f"the receiver had no fix at {_of(int(is_void.sum()), 'time')}: {_lines(epochs, is_void)}; no records"
        faults.append(Fault(kind="void-fix", count=int(is_void.sum()), detail=detail))
    is_mixed = epochs.is_record & epochs.has_void
    if is_mixed.any():
        lines = epochs.rows.line[(epochs.rows.verdict == VOID) & is_mixed[epochs.of_row]]
        detail = (
            f"at {_of(int(is_mixed.sum()), 'time')} one sentence says that there is a fix and another that there is "
            f"none ({places(lines.tolist())}); what the latter holds is left out"
        )
        faults.append(Fault(kind="contradicted-fix", count=int(is_mixed.sum()), detail=detail))
    if is_reckoned.any():
        detail = (
            f"positions reckoned on, or put in by hand, without a fix of their own (quality 6 or 7, mode E or M) from "
            f"{_lines(epochs, is_reckoned)}; kept"
        )
        faults.append(Fault(kind="estimated-fix", count=int(is_reckoned.sum()), detail=detail))
    if found.doubles.again:
        which = places(found.doubles.again_lines.tolist())
        detail = f"sentences written again with the same time: {which}; the first is kept"
        faults.append(Fault(kind="repeated-time", count=found.doubles.again, detail=detail))
    return faults


def _lines(epochs: Epochs, which: BoolArray) -> str:
    return places(epochs.line[which].tolist())


def _counts(counts: Mapping[str, int]) -> str:
    """``146 RMC, 138 GGA``, the most frequent first, the rest summed up."""
    ranked = sorted(counts.items(), key=lambda item: (-item[1], item[0]))
    some = [f"{count} {name}" for name, count in ranked[:_MOST_TYPES]]
    rest = sum(count for _name, count in ranked[_MOST_TYPES:])
    return ", ".join([*some, *([f"{rest} of other types"] if rest else [])])


def _of(count: int, one: str, many: str = "") -> str:
    return f"{count} {one}" if count == 1 else f"{count} {many or one + 's'}"
