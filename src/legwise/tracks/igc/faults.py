"""What was amiss with the fixes of an IGC file, in words."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from legwise.model.arrays import BoolArray, FloatArray, IntArray
from legwise.model.track import Fault
from legwise.tracks.igc.fixes import Fixes
from legwise.tracks.igc.records import Found, Tally
from legwise.tracks.wording import joined, places


def damage_faults(found: Found) -> list[Fault]:
    """Fixes and lines that can't be read, a file that ends in the middle of a fix, values that can't be read."""
    faults: list[Fault] = []
    if found.damaged:
        told, count = _told(found.damaged)
        faults.append(Fault(kind="damaged-record", count=count, detail=f"{told}; left out"))
    if found.cut_line:
        detail = f"the file ends in the middle of a fix, in line {found.cut_line}; read up to there"
        faults.append(Fault(kind="cut-short", count=1, detail=detail))
    if found.unreadable:
        told, count = _told(found.unreadable)
        detail = f"no value that can be read: {told}; taken as not recorded"
        faults.append(Fault(kind="unreadable-value", count=count, detail=detail))
    return faults


def _told(tallies: Mapping[str, Tally]) -> tuple[str, int]:
    """``too short in lines 7 and 9; GSP in line 12``, and how many they are."""
    told: list[str] = []
    for words, tally in tallies.items():
        rest = tally.count - len(tally.first)
        some = f"lines {joined([*map(str, tally.first), f'{rest} more'])}" if rest else places(tally.first)
        told.append(f"{words} in {some}")
    return "; ".join(told), sum(tally.count for tally in tallies.values())


def time_faults(time_s: FloatArray, line: IntArray) -> list[Fault]:
    """Times that no clock shows."""
    bad = line[np.isnan(time_s)]
    if not bad.size:
        return []
    detail = f"no time that can be read: {places(bad.tolist())}; taken as none"
    return [Fault(kind="unreadable-time", count=len(bad), detail=detail)]


def without_fix(fixes: Fixes) -> BoolArray:
    """Void fixes whose position is none.

    "V for a 2D fix (no GPS altitude) or for no GPS data"; without satellites the lines "must repeat the last latitude
    that was obtained from satellite data" (Appendix A, 4.1). So a void position is one unless it repeats the one before
    it (or, where none came before, the one after it), or is latitude 0, longitude 0.
    """
    lat, lon = fixes.lat_deg, fixes.lon_deg
    void = ~fixes.is_valid
    same = (lat[1:] == lat[:-1]) & (lon[1:] == lon[:-1])
    repeats = np.concatenate([[False], same])
    first_valid = int(np.argmax(fixes.is_valid)) if fixes.is_valid.any() else len(lat)
    repeats[: max(first_valid - 1, 0)] |= same[: max(first_valid - 1, 0)]
    none: BoolArray = void & (repeats | ((lat == 0.0) & (lon == 0.0)))
    return none


def void_faults(fixes: Fixes, no_fix: BoolArray) -> list[Fault]:
    """The fault that tells of fixes marked V."""
    void = ~fixes.is_valid
    count = int(np.count_nonzero(void))
    if not count:
        return []
    moved = void & ~no_fix
    told: list[str] = []
    if no_fix.any():
        told.append(
            f"without a position (the last one repeated, or 0, 0) in {places(fixes.line[no_fix].tolist())}, left out"
        )
    if moved.any():
        told.append(f"with a position of its own, less sure than others, in {places(fixes.line[moved].tolist())}, kept")
    detail = f"marked V, two-dimensional or none: {'; '.join(told)}; the GNSS altitude of such a fix is not read"
    return [Fault(kind="void-fix", count=count, detail=detail)]
