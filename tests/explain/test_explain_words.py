"""The summary's words: signs, ranks, honesty, and no blame."""

from __future__ import annotations

import dataclasses
import datetime as dt
import re
from collections.abc import Callable, Iterable
from typing import Any

import pytest

from legwise.model.results import ApproachResult, Explanation, Finding, MissedResult, NeedleFigures, TurnResult, Verdict

Build = Callable[..., Finding]
Told = Callable[..., Explanation]
START = dt.datetime(2026, 4, 18, 13, 0, tzinfo=dt.UTC)
FINAL = "final segment with a glidepath"
BLAME = re.compile(r"\b(fail|failed|forgot|careless|always|never|should|you|your|bad|wrong)\b", re.IGNORECASE)
RAW_SIGN = re.compile(r"(?<![\w–])[+\-−]\d")


def lines(explanation: Explanation) -> Iterable[str]:
    summary = explanation.summary
    yield from (*summary.went_well, *summary.work_on, *summary.next_lesson, *summary.questions)
    yield from (fact.text for fact in explanation.facts)


def well_written(text: str) -> bool:
    return (
        text[0].isupper()
        and text[-1] in ".?"
        and "  " not in text
        and ".." not in text
        and not BLAME.search(text)
        and not RAW_SIGN.search(text)
        and "None" not in text
        and "nan" not in text
    )


def test_what_lies_outside_is_told_with_time_limit_duration_and_side(finding: Build, told: Told) -> None:
    high = finding("altitude", worst=130.0, owed=5000.0, correcting_after_s=12.0, excursions=2)
    (line,) = told(high).summary.work_on
    assert line == (
        "Level at 5,000 ft: 130 ft high at 13:01:30Z; limit 100 ft (IR.V.B.S7). "
        "Beyond it twice, 30 s in all, moving back after 12 s."
    )


@pytest.mark.parametrize(
    ("what", "worst", "limit", "words"),
    [
        ("altitude", -130.0, 100.0, "130 ft low"),
        ("lateral needle", 0.8, 0.75, "0.80 of full scale right of course, needle left"),
        ("lateral needle", -0.8, 0.75, "0.80 of full scale left of course, needle right"),
        ("vertical needle", -0.8, 0.75, "0.80 of full scale low, glidepath above"),
        ("heading", 14.0, 10.0, "14° right of the heading"),
        ("cross-track", -0.4, 0.15, "0.40 NM left of course"),
        ("MDA", -60.0, 0.0, "60 ft below the minimum"),
    ],
)
def test_signs_are_said_in_words(finding: Build, told: Told, what: str, worst: float, limit: float, words: str) -> None:
    (line,) = told(finding(what, worst=worst, limit=limit)).summary.work_on
    assert words in line


def test_rounding_never_hides_on_which_side_of_the_limit_a_value_lies(finding: Build, told: Told) -> None:
    (line,) = told(finding("altitude", worst=100.1, owed=5000.0)).summary.work_on
    assert "100.10" in line
    (line,) = told(finding("lateral needle", worst=0.7512, limit=0.75)).summary.work_on
    assert "0.7512" in line


def test_safety_comes_first_then_excess_times_duration(finding: Build, told: Told) -> None:
    long_ = finding("lateral needle", worst=0.9, limit=0.75, outside_s=300.0)
    short = finding("heading", worst=12.0, limit=10.0, outside_s=5.0)
    below = finding("MDA", worst=-15.0, limit=0.0, outside_s=4.0, segment="final segment without a glidepath")
    summary = told(short, long_, below).summary
    assert [("minimum" in line, "needle" in line) for line in summary.work_on] == [
        (True, False),
        (False, True),
        (False, False),
    ]


def test_there_are_at_most_three_of_each(finding: Build, told: Told) -> None:
    outside = [
        finding("altitude", worst=200.0 + k, owed=1000.0 * k, segment=segment)
        for k, segment in enumerate(["route", "vectors", FINAL, "missed approach", "route"], start=1)
    ]
    within = [dataclasses.replace(item, worst=10.0, verdict=Verdict.WITHIN) for item in outside]
    summary = told(*outside, *within).summary
    assert len(summary.work_on) == 3
    assert len(summary.went_well) == 3


def test_each_thing_to_work_on_has_a_drill_with_an_aim_that_can_be_measured(finding: Build, told: Told) -> None:
    findings = [
        finding("altitude", worst=130.0),
        finding("lateral needle", worst=0.9, limit=0.75, segment=FINAL),
        finding("heading", worst=15.0, limit=10.0),
    ]
    drills = told(*findings).summary.next_lesson
    assert len(drills) == 3
    for drill in drills:
        assert re.search(r"Aim: .*\b(100 ft|three-quarter scale|10°)", drill)
        assert "FAA-S-ACS-8C" in drill


def test_praise_needs_a_limit_kept_for_certain_and_gives_its_number(finding: Build, told: Told) -> None:
    kept = finding("lateral needle", worst=0.21, limit=0.75, segment=FINAL)
    open_ = finding("vertical needle", worst=0.7, limit=0.75, segment=FINAL, verdict=Verdict.UNDECIDED)
    summary = told(open_, kept).summary
    assert summary.went_well == (
        ("Final approach: lateral needle within 0.21 of full scale throughout (limit three-quarter scale)."),
    )


def test_needles_on_final_are_praised_before_a_leg(finding: Build, told: Told) -> None:
    leg = finding("lateral needle", worst=0.01, limit=0.75)
    final = finding("lateral needle", worst=-0.3, limit=0.75, segment=FINAL)
    summary = told(leg, final).summary
    assert [line.split(":")[0] for line in summary.went_well] == ["Final approach", "BRAKO to CALDU"]


def test_a_fix_crossed_at_its_altitude_is_praised(finding: Build, told: Told) -> None:
    crossed = finding("crossing altitude", worst=-20.0, fix="FERNU", owed=2000.0, owed_as="at")
    assert told(crossed).summary.went_well == ("At FERNU: crossed 20 ft below 2,000 ft (limit 100 ft).",)


@pytest.mark.parametrize(("worst", "owed_as"), [(-20.0, "at or above"), (20.0, "at or below"), (0.0, "at or above")])
def test_a_crossing_of_a_one_sided_altitude_is_no_praise(
    finding: Build, told: Told, worst: float, owed_as: str
) -> None:
    crossed = finding(
        "crossing altitude", worst=worst, fix="FERNU", owed=2000.0, owed_as=owed_as, verdict=Verdict.WITHIN
    )
    assert told(crossed).summary.went_well == ()


def test_nothing_outside_is_said_and_nothing_invented(finding: Build, told: Told) -> None:
    summary = told(finding("altitude", worst=10.0)).summary
    assert summary.work_on == ("Nothing was found outside a limit.",)
    assert summary.next_lesson == ()


def test_a_limit_nearly_used_up_is_polished(finding: Build, told: Told) -> None:
    (line,) = told(finding("lateral needle", worst=-0.6, limit=0.75, segment=FINAL)).summary.next_lesson
    assert "within 0.38 of full scale" in line or "within 0.37 of full scale" in line


def test_what_stays_open_is_counted_and_asked(finding: Build, told: Told) -> None:
    open_ = finding("altitude", worst=80.0, verdict=Verdict.UNDECIDED, uncertainty=75.0, owed=5000.0)
    missing = finding("heading", limit=10.0, owed=None)
    summary = told(open_, missing, questions=("Was a heading given at 13:12?",)).summary
    assert summary.work_on == (
        "Nothing was found outside a limit; 1 limit can't be decided with this log and 1 is not recorded.",
    )
    assert summary.questions[0] == "Was a heading given at 13:12?"
    assert "80 ft high" in summary.questions[1]
    assert "knows it to 75 ft" in summary.questions[1]
    assert "heading" in summary.questions[2].lower()


def test_a_flight_with_nothing_owed_says_so(told: Told) -> None:
    explanation = told()
    assert explanation.summary.work_on == ("No limit applied to what was recorded, so nothing was judged.",)
    assert explanation.summary.went_well == ()
    assert explanation.causes == ()


def approach(minima_ft: float | None) -> ApproachResult:
    none = NeedleFigures(p95_abs=None, max_abs=None, at_max=None)
    return ApproachResult(
        airport="XSKH",
        procedure="R27",
        title="",
        guidance="LPV",
        runway="RW27",
        joined_at=None,
        outcome="missed",
        circled=False,
        lowest_altitude_ft=598.0,
        minima_ft=minima_ft,
        lateral_needle=none,
        vertical_needle=none,
    )


@pytest.mark.parametrize(
    ("started_ft", "words"),
    [
        (598.0, "Missed approach begun at 598 ft, 14 ft below DA."),
        (612.0, "Missed approach begun at 612 ft, at DA."),
        (1040.0, "Missed approach begun at 1,040 ft, 428 ft above DA."),
        (None, "Missed approach begun; its altitude was not recorded."),
    ],
)
def test_a_missed_approach_is_a_fact(told: Told, started_ft: float | None, words: str) -> None:
    missed = MissedResult(
        approach=0,
        started_at=START,
        started_ft=started_ft,
        before_map=False,
        climb_ft_per_nm=310.0,
        turn_before_map=False,
    )
    lowest_ft = started_ft if started_ft is not None else 598.0
    result = dataclasses.replace(approach(612.0), lowest_altitude_ft=lowest_ft)
    facts = told(approaches=(result,), missed=(missed,)).facts
    assert facts[0].text == words
    assert "310 ft/NM" in facts[1].text


def test_the_lowest_altitude_is_told_apart_from_where_the_climb_shows(told: Told) -> None:
    missed = MissedResult(
        approach=0, started_at=START, started_ft=616.0, before_map=False, climb_ft_per_nm=None, turn_before_map=False
    )
    (fact,) = told(approaches=(approach(612.0),), missed=(missed,)).facts
    assert fact.text == (
        "Missed approach begun at 616 ft, 4 ft above DA; the lowest before it was 598 ft, 14 ft below DA."
    )


@pytest.mark.parametrize(
    ("lead_nm", "words"),
    [
        (-0.2, "began 0.20 NM past it, 0.50 NM later"),
        (0.9, "began 0.90 NM before it, 0.60 NM earlier"),
        (0.0, "began at it, 0.30 NM later"),
        (0.25, None),
    ],
)
def test_a_turn_far_from_a_fly_by_turn_is_a_fact(told: Told, lead_nm: float, words: str | None) -> None:
    turn = TurnResult(
        at=START,
        fix="CALDU",
        from_course_deg_true=0.0,
        to_course_deg_true=90.0,
        lead_nm=lead_nm,
        expected_lead_nm=0.3,
        start=START,
        end=START,
    )
    facts = told(turns=(turn,)).facts
    assert [words in fact.text for fact in facts] == ([True] if words else []) if words else facts == ()


def everything(finding: Build) -> list[Finding]:
    made: list[Finding] = []
    for what, limit in (
        ("altitude", 100.0),
        ("crossing altitude", 100.0),
        ("heading", 10.0),
        ("lateral needle", 0.75),
        ("vertical needle", 0.75),
        ("cross-track", 0.15),
        ("MDA", 100.0),
        ("DA", 50.0),
        ("airspeed", 10.0),
    ):
        for segment in ("route", FINAL, "missed approach", ""):
            said: dict[str, Any] = {"limit": limit, "segment": segment}
            if what == "crossing altitude":
                said |= {"fix": "FERNU", "owed": 2000.0}
            if what == "airspeed":
                said["unit"] = "kt"
            made.extend(finding(what, worst=factor * limit, **said) for factor in (0.3, -0.3, 1.4, -1.4))
            made.append(finding(what, worst=0.9 * limit, verdict=Verdict.UNDECIDED, uncertainty=limit / 3, **said))
            made.append(finding(what, **said))
    return made


def test_every_sentence_is_well_written(finding: Build, told: Told) -> None:
    for item in everything(finding):
        for standard in ("faa-instrument", "easa-instrument"):
            for line in lines(told(item, standard=standard)):
                assert well_written(line), line


def test_the_mirrored_finding_gives_the_mirrored_words(finding: Build, told: Told) -> None:
    pairs = {
        "right": "left",
        "left": "right",
        "high": "low",
        "low": "high",
        "above": "below",
        "below": "above",
        "fast": "slow",
        "slow": "fast",
    }
    swap = re.compile("|".join(pairs))
    for item in everything(finding):
        if item.worst is None or item.what in {"MDA", "DA", "crossing altitude"} or item.verdict is not Verdict.OUTSIDE:
            continue
        mirrored = dataclasses.replace(item, worst=-item.worst)
        (here,), (there,) = told(item).summary.work_on, told(mirrored).summary.work_on
        assert swap.sub(lambda match: pairs[match[0]], here) == there
