"""From a result to words and series."""

from __future__ import annotations

import dataclasses
import datetime as dt
from collections.abc import Callable

import numpy as np
import pytest

from legwise.geodesy import inverse
from legwise.model.arrays import readonly_floats
from legwise.model.results import DebriefResult, Finding, Verdict
from legwise.model.standard import Quantity, Unit
from legwise.report import DebriefView, view_of
from legwise.report.judged import limit_words
from legwise.report.sampling import drawn_samples
from legwise.report.view import QUESTIONS_SHOWN

MakeFlight = Callable[..., DebriefResult]


@pytest.fixture(scope="module")
def flight(make_flight: MakeFlight) -> DebriefResult:
    return make_flight()


@pytest.fixture(scope="module")
def view(flight: DebriefResult) -> DebriefView:
    return view_of(flight)


def words_at(view: DebriefView, sample: int) -> dict[str, str]:
    """The readout at a sample of the track."""
    at = int(np.flatnonzero(view.series.index == sample)[0])
    return {part.name: part.words[int(part.codes[at])] for part in view.readout}


def test_head_says_lesson_people_place_and_standard(view: DebriefView) -> None:
    head = view.head
    assert head.title == "Lesson 9: from vectors to an LPV"
    assert head.facts == ("18 April 2026, 13:00 to 13:52 UTC", "Student S-014", "Instructor I-03", "XTBN to XSKH")
    assert head.standard.endswith("against the standard, not a grade.")
    assert "1 sample a second" in head.log
    assert "GNSS height above sea level" in head.log


def test_banner_only_when_something_was_inferred(make_flight: MakeFlight, view: DebriefView) -> None:
    assert "questions until the instructor confirms" in view.head.banner
    assert view_of(make_flight(inferred=False)).head.banner == ""


def test_readout_tells_the_moment_in_words(flight: DebriefResult, view: DebriefView) -> None:
    # The flight was built with a bump of 0.4 NM right of BRAKO to CALDU; full scale there is 2 NM.
    deviations = flight.deviations
    middle = int(np.argmax(deviations.cross_track_nm[560:1500])) + 560
    said = words_at(view, middle)
    assert said["place"] == "on leg BRAKO to CALDU"
    assert said["lateral"] == "0.42 NM right of course: needle left, 0.21 of full scale"
    assert said["altitude"].endswith("assigned 5,000 ft")
    error = deviations.altitude_error_ft[middle]
    assert said["vertical"] == f"{abs(error):.0f} ft {'high' if error > 0 else 'low'}"


def test_readout_on_the_glidepath_says_where_the_glidepath_is(flight: DebriefResult, view: DebriefView) -> None:
    high = int(np.nanargmax(flight.deviations.vertical_deviation_ft))
    assert words_at(view, high)["vertical"] == "70 ft high: glidepath below"


def test_a_gap_has_a_place_of_its_own(flight: DebriefResult, view: DebriefView) -> None:
    at = int(np.flatnonzero(view.series.index == -1)[0])
    before, after = flight.track.gaps[0]
    assert view.series.index[at - 1] == before
    assert view.series.index[at + 1] == after
    assert np.isnan(view.series.east_nm[at])
    assert view.readout[0].words[int(view.readout[0].codes[at])] == "nothing recorded here"
    assert np.all(np.diff(view.series.time_ms) > 0)


def test_short_flights_keep_every_sample(flight: DebriefResult, view: DebriefView) -> None:
    assert (view.series.index >= 0).sum() == len(flight.track)


def test_long_flights_are_thinned_and_keep_extremes_and_moments(flight: DebriefResult) -> None:
    kept = drawn_samples(flight, most=600)
    assert kept.size <= 600
    assert np.all(np.diff(kept) > 0)
    assert int(np.nanargmax(np.abs(flight.deviations.lateral_needle))) in kept
    assert int(np.nanargmax(flight.deviations.judged.altitude_ft)) in kept
    for leg in flight.alignment.legs:
        assert {leg.start, leg.stop - 1} <= set(kept.tolist())
    for finding in flight.assessment.findings:
        if finding.at_worst is not None:
            assert int(finding.at_worst.timestamp() - flight.track.first_time_s) in kept


def test_the_plane_keeps_distances(flight: DebriefResult, view: DebriefView) -> None:
    # Distance between two samples 20 NM apart by Karney's algorithm, against the plane: within 0.01 %.
    samples = flight.track.samples
    a, b = 600, 1500
    true_nm, _there, _back = inverse(
        samples.lat_deg[[a]], samples.lon_deg[[a]], samples.lat_deg[[b]], samples.lon_deg[[b]]
    )
    at = [int(np.flatnonzero(view.series.index == sample)[0]) for sample in (a, b)]
    east, north = view.series.east_nm[at], view.series.north_nm[at]
    drawn = float(np.hypot(east[1] - east[0], north[1] - north[0]))
    assert drawn == pytest.approx(float(true_nm[0]), rel=1e-4, abs=2e-4)


def test_corridor_is_full_scale_to_both_sides(view: DebriefView) -> None:
    corridor = next(line for line in view.plan.lines if line.kind == "corridor")
    half = corridor.east_nm.size // 2
    right = np.array([corridor.east_nm[half // 2], corridor.north_nm[half // 2]])
    left = np.array([corridor.east_nm[-half // 2 - 1], corridor.north_nm[-half // 2 - 1]])
    assert float(np.hypot(*(right - left))) == pytest.approx(4.0, abs=0.25)  # 2 NM to both sides


def test_findings_come_with_everything_a_reader_needs(view: DebriefView) -> None:
    first = view.findings[0]
    assert (first.verdict, first.glyph) == ("outside", "▲")
    assert first.worst == "130 ft low"
    assert first.limit == "± 100 ft"
    assert first.at == "13:33:20Z"
    assert first.outside == "42 s in 2 stretches; correcting after 12 s"
    assert first.doubt == "± 70 ft"
    assert first.place == "CALDU to HOLMA"
    assert "FAA-S-ACS-8C" in first.source
    unrecorded = next(row for row in view.findings if row.what == "airspeed")
    assert (unrecorded.verdict, unrecorded.worst, unrecorded.at) == ("not recorded", "not recorded", "–")


def test_what_was_said_and_what_was_inferred_are_told_apart(view: DebriefView) -> None:
    said, inferred = view.said
    assert (said.origin, said.inferred) == ("said", False)
    assert inferred.origin == "read from the track, 70 % sure"
    assert inferred.confirm == "Was own navigation resumed here?"


def test_a_late_turn_is_said_to_be_late(view: DebriefView) -> None:
    turn = view.turns[0]
    assert (turn.lead, turn.expected) == ("0.02 NM before", "0.15 NM before")
    assert turn.words == "0.13 NM later than a fly-by turn"


def test_profile_has_distance_to_go_to_the_threshold(flight: DebriefResult, view: DebriefView) -> None:
    profile = view.profiles[0]
    flown = flight.alignment.approaches[0]
    start = int(np.flatnonzero(view.series.index == flown.start)[0])
    assert profile.to_go_nm[start] == pytest.approx(12.0, abs=0.02)  # HOLMA stands 12 NM from the threshold
    assert np.isnan(profile.to_go_nm[:start]).all()
    assert float(np.nanmin(profile.to_go_nm)) == pytest.approx(0.0, abs=0.06)
    assert [item.label for item in profile.published] == ["FERNU min 1,800"]
    assert profile.minima_label == "DA 338 ft"


def test_a_bare_track_says_less_and_nothing_false(make_flight: MakeFlight) -> None:
    view = view_of(make_flight(bare=True))
    assert set(view.captions) == {"timeline", "plan", "speed"}
    assert view.head.title == "Instrument flight of 18 April 2026"
    assert "no altitude recorded" in view.head.log
    assert (view.legs, view.approaches, view.said, view.findings, view.profiles) == ((), (), (), (), ())


def test_verdict_words_are_those_of_the_contract(view: DebriefView) -> None:
    assert {row.verdict for row in view.findings} <= {verdict.value for verdict in Verdict}


def test_times_are_utc_whatever_zone_they_come_in(flight: DebriefResult) -> None:
    east = dt.timezone(dt.timedelta(hours=5))
    findings = tuple(
        dataclasses.replace(item, from_=item.from_.astimezone(east), to=item.to.astimezone(east))
        for item in flight.assessment.findings
    )
    moved = dataclasses.replace(flight, assessment=dataclasses.replace(flight.assessment, findings=findings))
    assert view_of(moved).findings == view_of(flight).findings


def test_outside_is_drawn_where_the_finding_holds(flight: DebriefResult) -> None:
    error = flight.deviations.altitude_error_ft.copy()
    error[1990:2010] = -130.0
    deviations = dataclasses.replace(flight.deviations, altitude_error_ft=readonly_floats(error))
    view = view_of(dataclasses.replace(flight, deviations=deviations))
    outside = view.series.index[view.series.outside == 1]
    assert set(range(1990, 2010)) <= set(outside.tolist())
    assert outside.min() >= 1950
    assert outside.max() <= 2100


@pytest.mark.parametrize(
    ("low", "high", "limit", "unit", "said"),
    [
        (-100.0, 100.0, 100.0, "ft", "± 100 ft"),
        (0.0, 100.0, 0.0, "ft", "+100 ft, −0 ft"),
        (-0.75, 0.75, 0.75, "scale", "three-quarter scale"),
        (0.0, float("inf"), 0.0, "ft", "not below"),
        (float("-inf"), 10.0, 10.0, "kt", "10 kt above"),
    ],
)
def test_limits_in_words(flight: DebriefResult, low: float, high: float, limit: float, unit: Unit, said: str) -> None:
    finding = dataclasses.replace(flight.assessment.findings[0], what="altitude", task="T", limit=limit, unit=unit)
    tolerance = dataclasses.replace(
        flight.standard.tolerances[0], quantity=Quantity.ALTITUDE, task="T", unit=unit, low=low, high=high
    )
    standard = dataclasses.replace(flight.standard, tolerances=(tolerance,))
    assert limit_words(dataclasses.replace(flight, standard=standard), finding) == said


def test_more_questions_than_are_answered_are_counted(flight: DebriefResult) -> None:
    asked = tuple(f"which heading was given at 13:{minute:02d}Z?" for minute in range(30))
    summary = dataclasses.replace(flight.explanation.summary, questions=asked)
    explained = dataclasses.replace(flight.explanation, summary=summary)
    view = view_of(dataclasses.replace(flight, explanation=explained))
    assert len(view.questions) == QUESTIONS_SHOWN
    assert view.questions[0] == "Which heading was given at 13:00Z?"
    whole = len(set(asked))
    assert len(view.questions) + view.questions_left == whole


def test_an_approach_planned_but_not_flown_is_not_said_to_be_unplanned(flight: DebriefResult) -> None:
    alignment = dataclasses.replace(flight.alignment, approaches=())
    assessment = dataclasses.replace(flight.assessment, approaches=())
    view = view_of(dataclasses.replace(flight, alignment=alignment, assessment=assessment))
    assert view.no_approaches == "The approach that was planned was not flown in this log."


def _altitude_finding(flight: DebriefResult) -> Finding:
    return next(item for item in flight.assessment.findings if item.what == "altitude")


def test_room_on_the_open_side_of_a_crossing_is_no_deviation(flight: DebriefResult) -> None:
    crossed = dataclasses.replace(
        _altitude_finding(flight), what="crossing altitude", fix="FERNU", worst=0.0, owed=1800.0,
        owed_as="at or above", verdict=Verdict.WITHIN,
        reason="Crossed at 1,800 ft at 13:33:20Z; limit 100 ft. Published at FERNU: at or above 1,800 ft.",
    )  # fmt: skip
    assessment = dataclasses.replace(flight.assessment, findings=(crossed,))
    (row,) = view_of(dataclasses.replace(flight, assessment=assessment)).findings
    assert (row.worst, row.limit) == ("not below", "100 ft below")
    assert row.reason == "Published at FERNU: at or above 1,800 ft."


def test_an_altitude_is_placed_where_it_was_worst(flight: DebriefResult) -> None:
    first, last = flight.assessment.legs[0], flight.assessment.legs[-1]
    held = dataclasses.replace(
        _altitude_finding(flight), leg=first.id, from_=first.start, to=last.end, at_worst=last.end
    )
    assessment = dataclasses.replace(flight.assessment, findings=(held,))
    (row,) = view_of(dataclasses.replace(flight, assessment=assessment)).findings
    assert row.place.endswith(f"to {last.to}")


def test_what_was_said_outside_the_log_has_no_place_on_the_plan(flight: DebriefResult) -> None:
    later = flight.summary_of_track.end + dt.timedelta(minutes=5)
    row = dataclasses.replace(flight.assessment.clearances[0], time=later, effect=later)
    assessment = dataclasses.replace(flight.assessment, clearances=(row,))
    view = view_of(dataclasses.replace(flight, assessment=assessment))
    assert not [point for point in view.plan.points if point.kind == "said"]
