"""Facts: what is worth telling and is neither a finding nor a cause."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from legwise.explain import phrases
from legwise.geodesy import inverse
from legwise.look import words
from legwise.model.alignment import Fact
from legwise.model.instants import epoch_s, instant
from legwise.model.plan import Plan, PlannedApproach
from legwise.model.results import ApproachResult, Assessment, MissedResult, TurnResult
from legwise.model.track import Track

TURN_NM = 0.2
TURN_SHARE = 0.25
"""A turn is told where its lead differs from a fly-by turn's by more than both. Common practice, no published
source."""

LOWER_FT = 5.0
"""The lowest altitude is told apart from where the climb began when it is this much lower. [ft]"""

MOST_TOLD = 20
JUMP_NM = 0.05
"""As many jumps and pauses are told one by one, the log's faults count them all; a nearer jump without a distance. [NM]
"""

CLIMB_FT_PER_NM = 200.0
"""The climb a missed approach is built on where none is charted. FAA AIM 5-4-21 b. [ft/NM]"""


def facts_of(track: Track, plan: Plan, assessment: Assessment) -> tuple[Fact, ...]:
    """The facts of missed approaches, turns, and of a log that does not tell of one flight on end, in time order."""
    facts = [
        *_jumps(track),
        *_clock(track),
        *[fact for missed in assessment.missed for fact in _missed(plan, assessment, missed)],
        *[_turn(turn) for turn in assessment.turns if _worth_telling(turn)],
    ]
    return tuple(sorted(facts, key=lambda fact: fact.time_s))


def _jumps(track: Track) -> list[Fact]:
    """Where the aircraft was put elsewhere, and how far."""
    samples = track.samples
    told: list[Fact] = []
    for place in track.breaks[:MOST_TOLD]:
        here = slice(place - 1, place + 1)
        lat, lon = samples.lat_deg[here], samples.lon_deg[here]
        away_nm = float(inverse(lat[0], lon[0], lat[1], lon[1])[0])
        at_s = float(samples.time_s[place])
        how = f"{away_nm:.1f} NM away" if away_nm >= JUMP_NM else "at another altitude or heading"
        told.append(
            Fact(
                time_s=at_s,
                text=(
                    f"At {phrases.clock(instant(at_s))} the log goes on {how}: what was flown before and after is told "
                    "apart, and nothing that was owed before is owed after."
                ),
            )
        )
    return told


def _clock(track: Track) -> list[Fact]:
    """Where time stood, or ran faster or slower than the log's clock."""
    if track.time_factor is None:
        return []
    time_s, factor = track.samples.time_s, track.time_factor
    edges = np.flatnonzero(np.diff(factor) != 0) + 1
    told: list[Fact] = []
    for first, stop in pairwise([0, *edges.tolist(), len(track)]):
        rate = float(factor[first])
        if rate == 1.0 or len(told) >= MOST_TOLD:
            continue
        begun = max(first - 1, 0)
        where = f"from {phrases.clock(instant(time_s[begun]))} to {phrases.clock(instant(time_s[stop - 1]))}"
        lasts = words.duration(float(time_s[stop - 1] - time_s[begun]))
        text = (
            f"Paused {where}: {lasts} that no figure counts."
            if rate == 0.0
            else f"Time ran at {rate:.3g} times {where}: durations there are those flown."
        )
        told.append(Fact(time_s=float(time_s[begun]), text=text))
    return told


def _missed(plan: Plan, assessment: Assessment, missed: MissedResult) -> list[Fact]:
    at_s = epoch_s(missed.started_at)
    facts = [Fact(time_s=at_s, text=_begun(plan, assessment.approaches[missed.approach], missed))]
    if missed.climb_ft_per_nm is not None:
        facts.append(
            Fact(
                time_s=at_s,
                text=(
                    f"The climb of the missed approach averaged {words.number(missed.climb_ft_per_nm)} ft/NM; "
                    f"{words.number(CLIMB_FT_PER_NM)} ft/NM is assumed where none is charted (FAA AIM 5-4-21 b)."
                ),
            )
        )
    if missed.turn_before_map:
        facts.append(Fact(time_s=at_s, text="The missed approach turned before the missed approach point."))
    return facts


def _begun(plan: Plan, result: ApproachResult, missed: MissedResult) -> str:
    if missed.started_ft is None:
        return "Missed approach begun; its altitude was not recorded."
    text = f"Missed approach begun at {_against(plan, result, missed.started_ft)}"
    lowest_ft = result.lowest_altitude_ft
    if lowest_ft is not None and missed.started_ft - lowest_ft >= LOWER_FT:
        text += f"; the lowest before it was {_against(plan, result, lowest_ft)}"
    return f"{text}."


def _against(plan: Plan, result: ApproachResult, altitude_ft: float) -> str:
    """``"598 ft, 14 ft below DA"``."""
    text = f"{words.number(altitude_ft)} ft"
    if result.minima_ft is None:
        return text
    name = _minimum_name(plan, result)
    over_ft = round(altitude_ft) - round(result.minima_ft)
    if over_ft == 0:
        return f"{text}, at {name}"
    return f"{text}, {words.number(abs(over_ft))} ft {'above' if over_ft > 0 else 'below'} {name}"


def _minimum_name(plan: Plan, result: ApproachResult) -> str:
    def is_this(approach: PlannedApproach) -> bool:
        return approach.airport == result.airport and approach.procedure == result.procedure

    approach = next((item for item in plan.approaches if is_this(item)), None)
    return "DA" if approach is None or approach.da_ft is not None else "MDA"


def _worth_telling(turn: TurnResult) -> bool:
    return abs(turn.lead_nm - turn.expected_lead_nm) > max(TURN_NM, TURN_SHARE * abs(turn.expected_lead_nm))


def _turn(turn: TurnResult) -> Fact:
    late_nm = turn.expected_lead_nm - turn.lead_nm
    begun = "at it" if round(abs(turn.lead_nm), 2) == 0 else f"{abs(turn.lead_nm):.2f} NM {_side(turn.lead_nm)} it"
    text = (
        f"The turn at {words.clean(turn.fix, longest=60)} began {begun}, {abs(late_nm):.2f} NM "
        f"{'later' if late_nm > 0 else 'earlier'} than a fly-by turn at that groundspeed "
        f"({turn.expected_lead_nm:.2f} NM before it), at {phrases.clock(turn.start)}."
    )
    return Fact(time_s=epoch_s(turn.start), text=text)


def _side(lead_nm: float) -> str:
    return "before" if lead_nm > 0 else "past"
