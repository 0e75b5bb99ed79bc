"""Logs of every kind: rates, gaps, no altitude, nothing planned, hardly anything recorded."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from align.align_flyer import (
    APPROACH,
    FIXES,
    ROUTE,
    START_S,
    Flown,
    Flyer,
    course_between,
    flown_from,
    lesson_of,
    log,
    onward,
    told,
)
from legwise.model.alignment import GUIDANCE_WORDS, PHASE_WORDS, Alignment
from legwise.model.lesson import Lesson

FINAL = course_between(FIXES["FERNU"], FIXES["RW27"])


@pytest.fixture(scope="module")
def short_flight() -> Flyer:
    """From 6 NM before DOLPA to a landing: two route legs and the approach."""
    back = course_between(FIXES["DOLPA"], FIXES["CALDU"])
    flyer = Flyer(
        position=onward(FIXES["DOLPA"], back, 6.0),
        heading=back + 180.0,
        altitude_ft=4000.0,
        target_ft=4000.0,
        wind_from=300.0,
        wind_kt=15.0,
    )
    flyer.fly_leg("CALDU", "DOLPA", "HOLMA")
    flyer.fly_leg("DOLPA", "HOLMA", "FERNU")
    down = flyer.glide_to("RW27", 88.0)
    flyer.target_ft = 2500.0
    flyer.fly_leg("HOLMA", "FERNU", "RW27", each=down)
    flyer.fly_leg("FERNU", "RW27", to_go_nm=0.02, each=down)
    flyer.land(FINAL, 88.0)
    return flyer


def whole(**more: object) -> Lesson:
    return lesson_of(route=ROUTE, approach=[APPROACH], **more)


def assert_sound(flown: Flown, alignment: Alignment) -> None:
    """What holds for every alignment: shapes, ranges, nothing claimed on the ground."""
    n = len(flown.track)
    for array in (alignment.leg, alignment.guidance, alignment.phase, alignment.approach, alignment.turn):
        assert array.shape == (n,)
        assert not array.flags.writeable
    assert set(np.unique(alignment.leg)) <= set(range(-1, len(alignment.legs)))
    assert set(np.unique(alignment.turn)) <= set(range(-1, len(alignment.turns)))
    ground = alignment.phase == PHASE_WORDS.index("ground")
    assert np.all(alignment.leg[ground] == -1)
    assert np.all(np.isnan(alignment.assigned_altitude_ft[ground]))
    vectors = alignment.guidance == GUIDANCE_WORDS.index("vectors")
    assert np.all(alignment.leg[vectors] == -1)
    for leg, following in zip(alignment.legs[:-1], alignment.legs[1:], strict=True):
        assert leg.start < leg.stop <= following.start
    assert len({leg.id for leg in alignment.legs}) == len(alignment.legs)


@pytest.mark.parametrize("interval_s", [0.5, 1.0, 2.0, 5.0, 10.0])
def test_rates(short_flight: Flyer, interval_s: float) -> None:
    flown = log(short_flight, interval_s=interval_s)
    alignment = flown.aligned(whole())
    assert_sound(flown, alignment)
    # At 0.1 Hz every boundary may be off by a sample.
    assert flown.agreement(alignment) >= (0.97 if interval_s <= 2.0 else 0.95)
    assert alignment.approaches[-1].outcome == "landed"


def test_without_altitude(short_flight: Flyer) -> None:
    flown = log(short_flight, altitude=False)
    alignment = flown.aligned(whole())
    assert_sound(flown, alignment)
    assert flown.agreement(alignment) >= 0.97
    assert alignment.approaches[-1].outcome == "landed"
    assert not alignment.altitude_owed.any()
    assert any("no altitude" in note for note in alignment.notes)


def test_altitude_with_an_offset_still_finds_the_landing(short_flight: Flyer) -> None:
    rows = np.array(short_flight.rows[::2])
    rows[:, 3] += 170.0
    flown = flown_from(rows, short_flight.labels[::2], short_flight.events)
    alignment = flown.aligned(whole())
    landing = alignment.approaches[-1].landing
    assert landing is not None
    assert abs(flown.track.samples.time_s[landing] - flown.events["landing"]) <= 6.0


def test_log_that_ends_on_final_has_no_outcome(short_flight: Flyer) -> None:
    stop = int((short_flight.events["landing"] - 60.0 - START_S) * 2)
    flown = flown_from(np.array(short_flight.rows[:stop:2]), short_flight.labels[:stop:2], {})
    alignment = flown.aligned(whole())
    assert alignment.approaches[-1].outcome is None
    assert alignment.approaches[-1].landing is None


def test_gap_of_minutes_is_bridged_by_the_legs_and_holds_no_turn(short_flight: Flyer) -> None:
    rows, labels = np.array(short_flight.rows[::2]), short_flight.labels[::2]
    # Four minutes are missing about the fix DOLPA.
    gone = (rows[:, 0] < 60.0) | (rows[:, 0] > 300.0)
    flown = flown_from(rows[gone], [label for label, kept in zip(labels, gone, strict=True) if kept], {})
    alignment = flown.aligned(whole())
    assert_sound(flown, alignment)
    assert flown.agreement(alignment) >= 0.97
    (_before, after) = flown.track.gaps[0]
    assert not alignment.in_turn[after]


@pytest.mark.parametrize("noise_m", [0.0, 15.0])
def test_noise(short_flight: Flyer, noise_m: float) -> None:
    flown = log(short_flight, noise_m=noise_m)
    assert flown.agreement(flown.aligned(whole())) >= 0.97


def test_nothing_planned_claims_nothing(short_flight: Flyer) -> None:
    flown = log(short_flight)
    alignment = flown.aligned(Lesson())
    assert_sound(flown, alignment)
    assert set(np.unique(alignment.guidance)) == {GUIDANCE_WORDS.index("none")}
    assert alignment.legs == ()
    assert alignment.instructions == ()
    assert alignment.questions == ()
    assert PHASE_WORDS[alignment.phase[-1]] == "ground"
    assert PHASE_WORDS[alignment.phase[0]] == "en-route"


@pytest.mark.parametrize("samples", [2, 3, 5, 20])
def test_hardly_any_samples(short_flight: Flyer, samples: int) -> None:
    flown = flown_from(np.array(short_flight.rows[:samples]), short_flight.labels[:samples], {})
    for lesson in (whole(), Lesson(), whole(clearance=[{"heading_deg_mag": 90.0}, {"direct": "DOLPA"}])):
        assert_sound(flown, flown.aligned(lesson))


def test_standing_still_is_ground() -> None:
    rows = np.array([(float(i), *FIXES["XTBN"], 40.0) for i in range(300)])
    flown = flown_from(rows, [("none", "")] * 300, {})
    alignment = flown.aligned(whole(clearance=[{"heading_deg_mag": 90.0}]))
    assert_sound(flown, alignment)
    assert {PHASE_WORDS[code] for code in alignment.phase} == {"ground"}


def test_unknown_motion_is_survived(short_flight: Flyer) -> None:
    flown = log(short_flight)
    nothing = np.full(len(flown.track), np.nan)
    motion = type(flown.track.motion)(groundspeed_kt=nothing, track_deg_true=nothing, track_rate_dps=nothing)
    track = dataclasses.replace(flown.track, motion=motion)
    blind = Flown(track=track, judged=flown.judged, labels=flown.labels, events={})
    assert_sound(blind, blind.aligned(whole(clearance=[{"heading_deg_mag": 90.0}, {"cleared": "XSKH"}])))


@pytest.mark.parametrize(
    "clearance",
    [
        [{"resume": True}, {"visual": True}],
        [{"hold": {"fix": "PIKES"}}, {"direct": "VELLA"}, {"cleared": "XSKH"}],
        [{"missed": True}, {"discontinue": True}, {"circle": "RW09"}, {"join": True}],
        [{"time": "03:00", "heading_deg_mag": 360.0}, {"time": "23:59", "heading_deg_true": 0.0}],
        [{"heading_deg_mag": 10.0 * i} for i in range(1, 30)],
        [{"time": "13:10", "flight_level": 60.0}, {"time": "13:09", "altitude_ft": 3000.0}, {"speed_kt": 90.0}],
        [{"crossing": {"fix": "HOLMA", "at_or_above_ft": 3000.0}}, {"across": True}],
    ],
)
def test_every_kind_of_instruction_is_taken(short_flight: Flyer, clearance: list[dict[str, object]]) -> None:
    flown = log(short_flight, interval_s=2.0)
    alignment = flown.aligned(whole(clearance=clearance))
    assert_sound(flown, alignment)
    said = [i for i in alignment.instructions if i.origin == "said"]
    assert len(said) == len(clearance)
    assert all(i.text and i.confidence is None for i in said)


def test_twice_the_same_is_the_same(short_flight: Flyer) -> None:
    flown = log(short_flight)
    one, two = flown.aligned(whole()), flown.aligned(whole())
    assert np.array_equal(one.leg, two.leg)
    assert one.turns == two.turns
    assert [told(one, i) for i in range(0, len(flown.labels), 50)] == [
        told(two, i) for i in range(0, len(flown.labels), 50)
    ]
