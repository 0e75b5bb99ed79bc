"""Findings at the minima: the minimum descent altitude held, the decision altitude, and going below either.

Going below a minimum to land needs references that no track records (14 CFR 91.175(c)): without the instructor's
``visual`` such a descent is ``not recorded``, never ``within``.
"""

from __future__ import annotations

import dataclasses

import numpy as np

from legwise.assess.finals import Final, left_for_good
from legwise.assess.flight import Flight, runs
from legwise.assess.judging import Judgement, Series, judge
from legwise.assess.making import About, finding, found, rule_of
from legwise.assess.reasons import clock
from legwise.model.arrays import BoolArray, IntArray
from legwise.model.instants import instant
from legwise.model.results import Finding, Verdict
from legwise.model.standard import Quantity, Segment, Tolerance
from legwise.units import FT_PER_M, S_PER_MIN, STANDARD_GRAVITY_MPS2

LEVEL_FPM = 200.0
LEVELLED_FPM = 100.0
LEVEL_S = 10.0
LEVEL_BELOW_FT = 100.0
LEVEL_ABOVE_FT = 200.0
"""A minimum is held where the aircraft stays level within ``LEVEL_FPM`` for this long this near it, from when it
descends no faster than ``LEVELLED_FPM``: the rest of the level-off is no deviation. Common practice, no published
source."""

EARLY_FT = 200.0
"""A missed approach begun more than this above the decision altitude is an early one, which is no question of that
altitude. Common practice, no published source. [ft]"""

PULL_UP_G = 0.1
REACTION_S = 1.0
"""What a descent costs from the decision to the lowest point: a second, then a tenth of g. From memory, no published
source."""

_WORDS = {"DA": "the decision altitude", "MDA": "the minimum descent altitude"}


def minima_findings(flight: Flight, finals: tuple[Final, ...]) -> list[Finding]:
    """The findings at the minima of each approach that reached its final segment."""
    made: list[Finding] = []
    for final in finals:
        if final.segment is Segment.FINAL_PRECISION:
            made.extend(_decision(flight, final))
        else:
            made.extend(_minimum_descent(flight, final))
    return made


def _minimum_ft(final: Final) -> float | None:
    """The minimum that was to be flown: the corrected one where the lesson gives one. [ft]"""
    approach = final.approach
    if final.segment is Segment.FINAL_PRECISION:
        return approach.flown_da_ft if approach.flown_da_ft is not None else approach.da_ft
    return approach.flown_mda_ft if approach.flown_mda_ft is not None else approach.mda_ft


def _minimum_descent(flight: Flight, final: Final) -> list[Finding]:
    mda_ft = _minimum_ft(final)
    tolerances = flight.tolerances(Quantity.MDA, final.segment, final.approach)
    if mda_ft is None or not tolerances:
        return []
    tolerance = tolerances[0]
    left = left_for_good(flight, final.start, final.stop, mda_ft) if final.landed else final.stop
    held = _held_from(flight, final, mda_ft, left)
    index = np.arange(final.start, left)
    made: list[Finding] = []
    if index.size:
        made.extend(_against_mda(flight, final, tolerance, index, held, mda_ft))
    if final.landed and left < final.stop:
        descent = _below(flight, final, tolerance, left, mda_ft)
        if descent.verdict is Verdict.NOT_RECORDED:
            # What came before the last descent may stand only as a charge: nothing here may read as a pass.
            made = [item for item in made if item.verdict is Verdict.OUTSIDE]
        made.append(descent)
    return made


def _against_mda(
    flight: Flight, final: Final, tolerance: Tolerance, index: IntArray, held: int | None, mda_ft: float
) -> list[Finding]:
    """The minimum over the samples before it was left for good, without those flown in sight."""
    in_sight: BoolArray = flight.visual[index]
    rows = index[~in_sight]
    if rows.size == 0:
        return []
    series = _series(flight, rows, mda_ft, tolerance)
    level = np.zeros(rows.size, dtype=np.bool_) if held is None else (rows >= held) & (rows < _climb_away(flight, rows))
    binding = level if tolerance.high_when_level else np.ones(rows.size, dtype=np.bool_)
    series = dataclasses.replace(series, high=np.where(binding, tolerance.high, np.inf))
    about = About(segment=final.segment, leg=final.leg, owed=mda_ft, extra=f"MDA {mda_ft:,.0f} ft.")
    return [found(flight, tolerance, series, about)]


def _series(flight: Flight, index: IntArray, minimum_ft: float, tolerance: Tolerance) -> Series:
    over_ft = flight.altitude_ft - minimum_ft
    if flight.track.held is not None:
        over_ft = np.where(flight.track.held, np.nan, over_ft)
    return flight.series(index, over_ft, flight.deviations.judged.against_assigned_ft, tolerance)


def _held_from(flight: Flight, final: Final, mda_ft: float, stop: int) -> int | None:
    """Where the level-off at the minimum had ended, or None. Flown stepped, it is owed from the level-off once within
    reach of it."""
    rows = slice(final.start, stop)
    over_ft = flight.altitude_ft[rows] - mda_ft
    speed_fpm = flight.deviations.judged.vertical_speed_fpm[rows]
    level = (np.abs(speed_fpm) <= LEVEL_FPM) & (over_ft >= -LEVEL_BELOW_FT) & (over_ft <= LEVEL_ABOVE_FT)
    time_s = flight.flown_s[rows]
    for first, last in runs(level):
        if time_s[last - 1] - time_s[first] >= LEVEL_S:
            levelled = np.flatnonzero(~(speed_fpm[first:last] < -LEVELLED_FPM))
            return final.start + first + int(levelled[0]) if levelled.size else None
    if not final.approach.stepped:
        return None
    within_reach = np.maximum.accumulate(over_ft <= LEVEL_BELOW_FT)
    near = np.flatnonzero(within_reach & ~(speed_fpm < -LEVELLED_FPM))
    return final.start + int(near[0]) if near.size else None


def _climb_away(flight: Flight, rows: IntArray) -> int:
    """The first sample of ``rows`` from which the climb that ends them never stops; past them all without one."""
    climbing = flight.deviations.judged.vertical_speed_fpm[rows] > LEVEL_FPM
    if flight.track.held is not None:
        climbing |= flight.track.held[rows]
    staying = np.flatnonzero(~climbing)
    return int(rows[staying[-1]]) + 1 if staying.size else int(rows[0])


def _decision(flight: Flight, final: Final) -> list[Finding]:
    da_ft = _minimum_ft(final)
    if da_ft is None:
        return []
    if final.landed:
        left = left_for_good(flight, final.start, final.stop, da_ft)
        below = _reference_tolerance(flight, final)
        if below is None or left >= final.stop:
            return []
        return [_below(flight, final, below, left, da_ft)]
    tolerances = flight.tolerances(Quantity.DA, final.segment, final.approach)
    started = final.flown.missed_start
    if started is None or not tolerances:
        return []
    lowest = final.flown.lowest
    if lowest is not None and final.start <= lowest <= started:
        # The climb shows a moment after its lowest point, which is what is held against the decision altitude.
        started = lowest
    return [_go_around(flight, final, tolerances[0], started, da_ft)]


def _go_around(flight: Flight, final: Final, tolerance: Tolerance, started: int, da_ft: float) -> Finding:
    """Where the climb began against the decision altitude; the height a pull-up costs is part of the doubt."""
    loss_ft = _inertia_ft(flight, final, started)
    series = _series(flight, np.array([started]), da_ft, tolerance)
    series = dataclasses.replace(series, doubt=np.hypot(series.doubt, loss_ft))
    about = About(
        segment=final.segment,
        leg=final.leg,
        owed=da_ft,
        extra=(
            f"DA {da_ft:,.0f} ft. The lowest point is recorded, the decision is not: "
            f"about {loss_ft:.0f} ft lie between them."
        ),
    )
    judgement = judge(series, rule_of(tolerance, instant_only=True), flight.interval_s)
    if judgement.worst is not None and judgement.worst > EARLY_FT:
        judgement = dataclasses.replace(judgement, verdict=Verdict.NOT_APPLICABLE)
        about = dataclasses.replace(about, extra="Begun well before the decision altitude.")
    return finding(flight, tolerance, judgement, about, first=started, last=started)


def _inertia_ft(flight: Flight, final: Final, started: int) -> float:
    """Height lost from the decision to the lowest point: vertical speed × time + its square over 2 × 0.1 g. [ft]"""
    before = (flight.flown_s >= flight.flown_s[started] - 10.0) & (np.arange(len(flight.track)) >= final.start)
    speeds = flight.deviations.judged.vertical_speed_fpm[: started + 1][before[: started + 1]]
    speeds = speeds[np.isfinite(speeds)]
    descent_fps = max(0.0, -float(speeds.min()) / S_PER_MIN) if speeds.size else 0.0
    return descent_fps * REACTION_S + descent_fps**2 / (2 * PULL_UP_G * STANDARD_GRAVITY_MPS2 * FT_PER_M)


def _reference_tolerance(flight: Flight, final: Final) -> Tolerance | None:
    """The rule that nothing goes below the minimum without references, as a limit with its source."""
    reference = flight.standard.below_minima
    if reference is None:
        return None
    return Tolerance(
        quantity=Quantity.DA,
        unit="ft",
        low=0.0,
        high=np.inf,
        segments=frozenset({final.segment}),
        task=flight.standard.below_minima_task,
        reference=reference,
    )


def _below(flight: Flight, final: Final, tolerance: Tolerance, left: int, minimum_ft: float) -> Finding:
    """The last descent below the minimum, to a landing: not applicable in sight, else the references are not
    recorded."""
    stop = final.stop
    in_sight = bool(flight.visual[left:stop].all())
    seen_at = None if in_sight else _seen_after(flight, left, stop)
    doubt = flight.deviations.judged.against_assigned_ft[left]
    judgement = Judgement(
        verdict=Verdict.NOT_APPLICABLE if in_sight else Verdict.NOT_RECORDED,
        worst=None,
        at=None,
        limit=abs(tolerance.low),
        outside_s=0.0,
        excursions=0,
        correcting_after_s=None,
        uncertainty=float(doubt) if np.isfinite(doubt) else 0.0,
    )
    about = About(segment=final.segment, leg=final.leg, owed=minimum_ft)
    made = finding(flight, tolerance, judgement, about, first=left, last=stop - 1)
    name = "DA" if tolerance.quantity is Quantity.DA else "MDA"
    reason = f"Below the {name} of {minimum_ft:,.0f} ft to the landing"
    if in_sight:
        return dataclasses.replace(made, reason=f"{reason}, with the runway reported in sight before it.")
    rule = flight.standard.below_minima
    needs = f" ({rule})" if rule is not None else ""
    if seen_at is not None:
        seen_s = float(flight.time_s[seen_at])
        reason += (
            f": reported in sight at {clock(seen_s)}, {seen_s - flight.time_s[left]:.0f} s after {_WORDS[name]} was "
            f"passed. Until then the references that allow it{needs} were not recorded."
        )
        return dataclasses.replace(made, reason=reason, seen_at=instant(seen_s))
    return dataclasses.replace(
        made, reason=f"{reason}: the references that allow it{needs} were not recorded; no track shows them."
    )


def _seen_after(flight: Flight, left: int, stop: int) -> int | None:
    """Where the runway was reported in sight after the minimum was passed at ``left``, to stay so; or None."""
    in_sight = flight.visual[left:stop]
    if in_sight.size == 0 or not in_sight[-1]:
        return None
    return left + int(np.flatnonzero(~in_sight)[-1]) + 1
