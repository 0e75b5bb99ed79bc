"""What is told, asked and drilled, and what is left out: offsets, questions, praise and polish."""

from __future__ import annotations

import dataclasses
import datetime as dt
from collections.abc import Callable
from typing import Any, Literal

import numpy as np
import pytest

from legwise.model.results import ClearanceResult, Explanation, Finding, TurnResult, Verdict
from legwise.model.track import AltitudeKind

Build = Callable[..., Finding]
Told = Callable[..., Explanation]
START = dt.datetime(2026, 4, 18, 13, 0, tzinfo=dt.UTC)
FINAL = "final segment with a glidepath"
SECONDS = np.arange(900.0)
HELD = np.interp(SECONDS, [0, 200, 240, 500, 560, 900], [0, 0, 0.4, 0.4, 0, 0])
"""On course, 0.4 NM right of it from 240 s to 500 s, on course again within a minute."""


def clearance(origin: Literal["said", "inferred"], second: float = 0.0, **values: object) -> ClearanceResult:
    when = START + dt.timedelta(seconds=second)
    return ClearanceResult(
        time=when, effect=when, origin=origin, kind="direct", text="", confidence=None, doubt="", values=values
    )


def turn(late_nm: float) -> TurnResult:
    return TurnResult(
        at=START,
        fix="CALDU",
        from_course_deg_true=0.0,
        to_course_deg_true=90.0,
        lead_nm=0.3 - late_nm,
        expected_lead_nm=0.3,
        start=START,
        end=START,
    )


@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_an_offset_that_was_held_is_a_fact(told: Told, sign: float) -> None:
    (fact,) = told(cross_track_nm=sign * HELD).facts
    side = "right" if sign > 0 else "left"
    assert f"On BRAKO to CALDU the track ran 0.40 NM {side} of course for 5.2 min" in fact.text


def test_an_offset_is_told_through_the_noise_of_a_receiver(told: Told) -> None:
    noise_nm = np.random.default_rng(3).normal(0.0, 2.5 / 1852, SECONDS.size)
    assert len(told(cross_track_nm=HELD + noise_nm).facts) == 1


@pytest.mark.parametrize(
    "regain",
    [
        np.interp(SECONDS, [0, 250, 900], [0.9, 0.0, 0.0]),
        0.8 * np.exp(-SECONDS / 90.0),
        np.interp(SECONDS, [0, 30, 300, 900], [0.3, 0.7, 0.0, 0.0]),
    ],
    ids=["a straight cut", "a decay", "an overshoot and back"],
)
def test_a_join_or_a_regain_is_no_offset(told: Told, regain: Any) -> None:
    assert told(cross_track_nm=regain).facts == ()
    assert told(cross_track_nm=-regain).facts == ()


def test_neither_is_what_is_left_of_the_turn_onto_a_direct_nor_what_the_log_may_not_know(told: Told) -> None:
    assert told(cross_track_nm=HELD, kind="DF").facts == ()
    assert told(cross_track_nm=HELD, accuracy_nm=0.15).facts == ()
    assert len(told(cross_track_nm=HELD, accuracy_nm=0.1).facts) == 1


def heights(finding: Build) -> list[Finding]:
    open_: dict[str, Any] = {"verdict": Verdict.UNDECIDED, "open": "log"}
    return [
        finding("altitude", worst=-57.0, uncertainty=70.0, owed=5000.0, **open_),
        finding("altitude", worst=44.0, uncertainty=70.0, owed=3500.0, **open_),
        finding("crossing altitude", worst=-40.0, uncertainty=70.0, fix="FERNU", owed=2000.0, **open_),
        finding("vertical needle", worst=0.17, limit=0.75, uncertainty=0.62, segment=FINAL, **open_),
    ]


def test_open_heights_make_one_question_about_the_altitude_of_the_log(finding: Build, told: Told) -> None:
    (asked,) = told(*heights(finding), altitude_kind=AltitudeKind.GNSS_MSL).summary.questions
    assert asked == (
        "The log's altitude is GNSS height, known to 70 ft, which can't decide 4 limits. What did the altimeter show "
        "at 5,000 ft, at 3,500 ft and at FERNU, and the glidepath needle show on the final approach?"
    )


def test_without_an_altitude_that_is_asked_once(finding: Build, told: Told) -> None:
    missing = [finding("altitude", owed=owed) for owed in (5000.0, 3000.0)]
    assert told(*missing).summary.questions == (
        "The log holds no altitude. What did the altimeter show at 5,000 ft and at 3,000 ft?",
    )


def test_questions_are_few_and_the_rest_is_counted(finding: Build, told: Told) -> None:
    tight = [
        finding("lateral needle", worst=0.74, limit=0.75, uncertainty=k / 100, verdict=Verdict.UNDECIDED, open="log")
        for k in range(2, 9)
    ]
    asked = told(*tight, *heights(finding), questions=("Was a heading given at 13:12?",)).summary.questions
    assert asked[0] == "Was a heading given at 13:12?"
    assert len(asked) == 6
    assert asked[-1] == "And 4 more in the findings."


def test_many_doubted_instructions_leave_room_for_a_finding(finding: Build, told: Told) -> None:
    below = finding("DA", limit=0.0, reason="the references that allow it were not recorded", segment=FINAL)
    asked = told(below, questions=tuple(f"Was heading {k}0 said?" for k in range(10, 18))).summary.questions
    assert [question[:8] for question in asked] == ["Was head"] * 4 + ["From 13:", "And 4 mo"]
    assert asked[-1] == "And 4 more in the instructions and findings."


def test_a_finding_left_open_by_an_instruction_asks_nothing_of_the_log(finding: Build, told: Told) -> None:
    open_ = finding("altitude", worst=-990.0, owed=5000.0, verdict=Verdict.UNDECIDED, open="instruction")
    summary = told(open_, questions=("Was 4,000 ft said?",)).summary
    assert summary.questions == ("Was 4,000 ft said?",)
    assert summary.work_on == ("Nothing was found outside a limit; 1 hangs on an instruction that is in question.",)
    assert summary.next_lesson == ()


def test_sight_reported_late_is_asked_about_and_not_what_was_in_sight(finding: Build, told: Told) -> None:
    seen = finding("DA", limit=0.0, segment=FINAL, seen_at=START + dt.timedelta(seconds=17), reason="references")
    (asked,) = told(seen).summary.questions
    assert "reported in sight at 13:00:17Z, 17 s after" in asked
    assert "What was in sight" not in asked


def test_what_was_mostly_used_up_is_drilled_and_not_praised(finding: Build, told: Told) -> None:
    tight = finding("lateral needle", worst=0.49, limit=0.75, segment=FINAL)
    good = finding("altitude", worst=12.0, owed=5000.0)
    summary = told(tight, good).summary
    assert [line.split(":")[0] for line in summary.went_well] == ["Level at 5,000 ft"]
    assert [line.split(",")[0] for line in summary.next_lesson] == ["Final approach"]


def test_what_a_join_left_is_no_reason_for_a_drill(finding: Build, told: Told) -> None:
    joined = finding("lateral needle", worst=0.49, limit=0.75, segment=FINAL, at_worst=START)
    summary = told(joined).summary
    assert (summary.went_well, summary.next_lesson) == ((), ())


@pytest.mark.parametrize(
    ("given", "counts"),
    [
        ((clearance("inferred", direct="CALDU"),), False),
        ((clearance("inferred", direct="CALDU", confirmed=True),), True),
        ((clearance("said", direct="CALDU"),), True),
        ((clearance("said", direct="BRAKO"),), False),
        ((clearance("inferred", second=900.0, direct="CALDU"),), True),
        ((), True),
    ],
    ids=["inferred", "confirmed", "said", "said to another fix", "another one", "of the plan"],
)
def test_a_direct_that_nobody_said_is_neither_praised_nor_drilled(
    finding: Build, told: Told, given: tuple[ClearanceResult, ...], counts: bool
) -> None:
    good, tight, beyond = (finding("lateral needle", worst=worst, limit=0.75) for worst in (0.1, 0.6, 0.9))
    assert bool(told(good, kind="DF", clearances=given).summary.went_well) is counts
    assert bool(told(tight, kind="DF", clearances=given).summary.next_lesson) is counts
    outside = told(beyond, kind="DF", clearances=given).summary
    assert bool(outside.next_lesson) is counts
    assert ("read from the track, not said" in outside.work_on[0]) is not counts
    # An altitude on that leg was assigned all the same.
    level = finding("altitude", worst=10.0, owed=5000.0)
    assert told(level, kind="DF", clearances=given).summary.went_well != ()


def test_the_largest_late_turn_or_offset_is_polished_where_nothing_is_outside(finding: Build, told: Told) -> None:
    tight = finding("lateral needle", worst=0.49, limit=0.75, segment=FINAL)
    late = told(tight, turns=(turn(0.97), turn(0.5)), cross_track_nm=HELD).summary
    assert late.work_on == ("Nothing was found outside a limit.",)
    (drill,) = late.next_lesson
    assert drill.startswith("To polish: the turn at CALDU began 0.97 NM later than a fly-by turn.")
    assert "groundspeed" in drill
    assert '"leading"' in drill
    (drill,) = told(tight, turns=(turn(-0.3),), cross_track_nm=HELD).summary.next_lesson
    assert drill.startswith("To polish: BRAKO to CALDU ran 0.40 NM right of course for 5.2 min.")
    assert "10° cut" in drill
    (drill,) = told(turns=(turn(-0.3),)).summary.next_lesson
    assert "0.30 NM earlier" in drill


def test_what_is_outside_comes_before_polish(finding: Build, told: Told) -> None:
    beyond = finding("altitude", worst=150.0, owed=5000.0)
    (drill,) = told(beyond, turns=(turn(0.97),)).summary.next_lesson
    assert "level-offs" in drill


def test_one_open_height_is_asked_with_its_own_numbers(finding: Build, told: Told) -> None:
    (one,) = told(heights(finding)[0]).summary.questions
    assert "57 ft low" in one
    needles = [dataclasses.replace(heights(finding)[3], id=name) for name in ("F1", "F2")]
    (both,) = told(*needles, altitude_kind=AltitudeKind.INDICATED).summary.questions
    assert both == (
        "The log knows the place on the glidepath to 0.62 of full scale, which can't decide 2 limits. What did the "
        "glidepath needle show on the final approach?"
    )
