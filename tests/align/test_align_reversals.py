"""Course reversals and DME arcs as flown, against what was flown, worked out apart from the package."""

from __future__ import annotations

import math

import numpy as np
import pytest
from geographiclib.geodesic import Geodesic

from align.align_flyer import (
    APPROACH,
    FIXES,
    STEP_S,
    Flown,
    Flyer,
    at,
    course_between,
    lesson_of,
    log,
    near_bearing_and_distance,
    onward,
    wrapped,
)
from align.holding_flyer import SIGN, Pattern, circuit, enter, turn_track
from legwise.assess import assess
from legwise.geodesy import line_to
from legwise.measure import measure
from legwise.model.alignment import GUIDANCE_WORDS, Alignment
from legwise.model.lesson import Lesson
from legwise.model.results import Assessment
from legwise.standards import standard_named

BACK = course_between(FIXES["HOLMA"], FIXES["FERNU"])
OUT = (BACK + 180.0) % 360.0


def assessed(flown: Flown, lesson: Lesson, alignment: Alignment) -> Assessment:
    plan = flown.plan(lesson)
    deviations = measure(flown.track, plan, lesson, alignment, flown.judged)
    return assess(flown.track, plan, lesson, alignment, deviations, standard_named("faa-instrument"))


def outbound_over(fix: str, course: float) -> Flyer:
    start = onward(FIXES[fix], course + 180.0, 6.0)
    flyer = Flyer(position=start, heading=course, wind_from=250.0, wind_kt=12.0)
    flyer.fly_direct(fix, until_nm=0.05)
    flyer.mark("over")
    return flyer


def straight(flyer: Flyer, track: float, seconds: float) -> None:
    for _ in range(round(seconds / STEP_S)):
        flyer.step(flyer.heading_for(track))


def inbound_to_holma(flyer: Flyer) -> None:
    out = onward(FIXES["HOLMA"], OUT, 14.0)
    for _ in range(4000):
        _across, to_go = flyer.steer_line(out, FIXES["HOLMA"], cut=45.0)
        if to_go < 0.0:
            break
    flyer.mark("back")


def land(flyer: Flyer) -> None:
    down = flyer.glide_to("RW27", 88.0)
    flyer.fly_leg("HOLMA", "FERNU", "RW27", each=down)
    flyer.fly_leg("FERNU", "RW27", to_go_nm=0.02, each=down)
    flyer.land(course_between(FIXES["FERNU"], FIXES["RW27"]), 88.0)


def established_s(flown: Flown, flyer: Flyer, half_nm: float) -> float:
    """The first time from which the aircraft stays within so far and 30 degrees of the course, until over the fix."""
    samples = flown.track.samples
    place = line_to(*FIXES["HOLMA"], BACK).measure(samples.lat_deg, samples.lon_deg)
    off = np.abs((flown.track.motion.track_deg_true - place.course_deg_true + 180.0) % 360.0 - 180.0)
    inside = (samples.time_s > flyer.events["over"]) & (samples.time_s < flyer.events["back"])
    outside = inside & ~((np.abs(place.cross_track_nm) <= half_nm) & (off <= 30.0))
    return float(samples.time_s[np.flatnonzero(outside)[-1] + 1])


def farthest_nm(flown: Flown, from_s: float, until_s: float) -> float:
    samples = flown.track.samples
    return max(
        float(Geodesic.WGS84.Inverse(lat, lon, *FIXES["HOLMA"])["s12"]) / 1852.0
        for lat, lon, time_s in zip(samples.lat_deg, samples.lon_deg, samples.time_s, strict=True)
        if from_s < time_s <= until_s
    )


def with_procedure_turn(side: str, guidance: str) -> Lesson:
    turn = {"path": "PI", "fix": "HOLMA", "outbound_course_deg_true": OUT, "turn": side, "limit_nm": 10.0}
    approach = {
        **APPROACH,
        "guidance": guidance,
        "minima": {"mda_ft": 600.0} if guidance == "NDB" else {"da_ft": 400.0},
        "leg": [
            {"path": "IF", "fix": "HOLMA", "role": "IAF"},
            turn,
            {"path": "CF", "fix": "HOLMA", "course_deg_true": BACK % 360.0},
            {"path": "TF", "fix": "FERNU", "role": "FAF"},
            {"path": "TF", "fix": "RW27", "role": "MAP", "fly_over": True},
        ],
    }
    if guidance == "NDB":
        approach["navaid"] = "XSKH"
    return lesson_of(approach=[approach])


@pytest.mark.parametrize(
    ("side", "shape", "guidance", "half_nm"),
    [
        ("left", "45/180", "LPV", 0.5),
        ("right", "45/180", "NDB", 0.35),
        ("left", "80/260", "NDB", 0.35),
        ("right", "80/260", "LPV", 0.5),
    ],
)
def test_a_procedure_turn_with_its_side_its_reach_and_its_end(
    side: str, shape: str, guidance: str, half_nm: float
) -> None:
    other = "left" if side == "right" else "right"
    flyer = outbound_over("HOLMA", OUT + 8.0)
    flyer.label = ("procedure-turn", "HOLMA")
    straight(flyer, OUT, 75.0)
    aside = OUT + SIGN[side] * (45.0 if shape == "45/180" else 80.0)
    turn_track(flyer, aside, side)
    if shape == "45/180":
        straight(flyer, aside, 60.0)
    turn_track(flyer, BACK + SIGN[side] * 45.0 if shape == "45/180" else BACK, other)
    inbound_to_holma(flyer)
    land(flyer)
    flown = log(flyer)
    lesson = with_procedure_turn(side, guidance)

    alignment = flown.aligned(lesson)

    (reversal,) = alignment.reversals
    assert (reversal.kind, reversal.fix.ident, reversal.side) == ("procedure-turn", "HOLMA", side)
    true_s = established_s(flown, flyer, half_nm)
    assert reversal.established_s == pytest.approx(true_s, abs=0.01)
    assert reversal.start_s == pytest.approx(flyer.events["over"], abs=3.0)
    told = [GUIDANCE_WORDS[code] for code in alignment.guidance]
    assert told[reversal.stop - 1] == "procedure-turn"
    assert told[reversal.stop] == "leg"
    assert float(flown.track.samples.time_s[reversal.stop]) == true_s
    (result,) = assessed(flown, lesson, alignment).reversals
    assert result.max_distance_nm == pytest.approx(farthest_nm(flown, flyer.events["over"], true_s), abs=1e-6)


def hold_in_lieu(**more: object) -> Lesson:
    leg = {"path": "HF", "fix": "HOLMA", "inbound_course_deg_true": BACK, "turn": "right", "leg_minutes": 1.0, **more}
    legs = [
        {"path": "IF", "fix": "HOLMA", "altitude": {"at_or_above_ft": 3000.0}},
        leg,
        {"path": "TF", "fix": "FERNU", "altitude": {"at_or_above_ft": 2000.0}, "role": "FAF"},
        {"path": "TF", "fix": "RW27", "role": "MAP", "fly_over": True},
    ]
    return lesson_of(route={"points": ["DOLPA", "HOLMA"]}, approach=[{**APPROACH, "leg": legs}])


@pytest.mark.parametrize(
    ("entry", "r", "circuits"), [("teardrop", 30.0, 0), ("parallel", -60.0, 0), ("direct", 90.0, 1)]
)
def test_a_hold_in_lieu_is_a_reversal_and_a_hold(entry: str, r: float, circuits: int) -> None:
    pattern = Pattern(fix="HOLMA", inbound=BACK, side="right")
    flyer = outbound_over("HOLMA", (OUT - r) % 360.0)
    flyer.label = ("hold", "HOLMA")
    enter(flyer, pattern, entry)
    flyer.mark("back")
    flyer.label = ("leg", "FERNU")
    flyer.target_ft = 2500.0
    land(flyer)
    flown = log(flyer)
    lesson = hold_in_lieu()

    alignment = flown.aligned(lesson)

    (hold,) = alignment.holds
    assert (hold.entry, len(hold.circuits), hold.goes_on) == (entry, circuits, False)
    assert hold.left_s == pytest.approx(flyer.events["back"], abs=2.0)
    (reversal,) = alignment.reversals
    assert (reversal.kind, reversal.side) == ("hold-in-lieu", "right")
    assert reversal.established_s == pytest.approx(established_s(flown, flyer, 0.5), abs=0.01)
    result = assessed(flown, lesson, alignment)
    assert (len(result.holds), len(result.reversals)) == (1, 1)


def test_a_procedure_turn_broken_off_was_never_established() -> None:
    flyer = outbound_over("HOLMA", OUT + 8.0)
    flyer.label = ("procedure-turn", "HOLMA")
    straight(flyer, OUT, 75.0)
    turn_track(flyer, OUT + 45.0, "right")
    straight(flyer, OUT + 45.0, 40.0)
    flown = log(flyer)

    alignment = flown.aligned(with_procedure_turn("right", "LPV"))

    (reversal,) = alignment.reversals
    assert reversal.established_s is None
    assert reversal.side == "right"
    assert reversal.stop == len(flown.track)


def arc_flight(offset_nm: float, *, elevation_ft: float | None = None, slant: bool = False) -> tuple[Flown, Lesson]:
    """Out on a radial, round the arc anticlockwise to HOLMA so far outside it, in to land."""
    centre = FIXES["XSKH"]
    radius = near_bearing_and_distance(centre, FIXES["HOLMA"])[1]
    onto, to_holma = (course_between(centre, FIXES[fix]) for fix in ("DOLPA", "HOLMA"))
    begin = onward(centre, onto, radius)
    FIXES["ARCIN"] = begin
    try:
        flyer = Flyer(
            position=onward(begin, onto + 180.0, 6.0), heading=onto, wind_from=300.0, wind_kt=12.0,
            altitude_ft=6000.0, target_ft=6000.0,
        )  # fmt: skip
        flyer.fly_direct("ARCIN", until_nm=flyer.radius_nm)
        flyer.label = ("arc", "HOLMA")
        for _ in range(6000):
            bearing, away = near_bearing_and_distance(centre, flyer.position)
            if wrapped(bearing - to_holma) * math.pi / 180.0 * radius < flyer.radius_nm:
                break
            aim = max(-40.0, min(40.0, 60.0 * (away - radius - offset_nm)))
            flyer.step(flyer.heading_for(bearing - 90.0 - aim))
        flyer.label = ("leg", "FERNU")
        flyer.target_ft = 2500.0
        land(flyer)
        flown = log(flyer)
        station = {} if elevation_ft is None else {"elevation_ft": elevation_ft}
        approach = {
            **APPROACH,
            "guidance": "VOR",
            "leg": [
                {"path": "IF", "fix": "ARCIN", "role": "IAF"},
                {"path": "AF", "fix": "HOLMA", "centre": "TARN", "radius_nm": radius, "turn": "left"},
                {"path": "TF", "fix": "FERNU", "role": "FAF"},
                {"path": "TF", "fix": "RW27", "role": "MAP", "fly_over": True},
            ],
            "minima": {"mda_ft": 600.0},
        }
        lesson = lesson_of(approach=[approach], navigation={"dme": "slant" if slant else "rnav"})
        tarn = {"ident": "TARN", "lat_deg": centre[0], "lon_deg": centre[1], "kind": "dme", **station}
        tables = lesson.model_dump(exclude_none=True)
        tables["fix"] = [*tables["fix"], tarn]
        return flown, Lesson.model_validate(tables)
    finally:
        del FIXES["ARCIN"]


@pytest.mark.parametrize("offset_nm", [0.0, 0.4])
def test_an_arc_is_told_with_its_radius_error_outside_the_turns(offset_nm: float) -> None:
    flown, lesson = arc_flight(offset_nm)

    alignment = flown.aligned(lesson)

    (arc,) = alignment.arcs
    (result,) = assessed(flown, lesson, alignment).arcs
    assert result.centre == "TARN"
    # Round to the left outside the arc is right of it, by the contract's sign of cross-track.
    assert result.radius_error_nm.mean == pytest.approx(offset_nm, abs=0.1)
    samples = flown.track.samples
    inside = [i for i in range(arc.start, arc.stop) if not alignment.in_turn[i]]
    true = [
        float(Geodesic.WGS84.Inverse(samples.lat_deg[i], samples.lon_deg[i], *FIXES["XSKH"])["s12"]) / 1852.0
        - arc.radius_nm
        for i in inside
    ]
    assert result.radius_error_nm.mean == pytest.approx(float(np.mean(true)), abs=1e-4)
    assert result.radius_error_nm.max_abs == pytest.approx(float(np.max(np.abs(true))), abs=1e-4)
    on_arc = [i for i, label in enumerate(flown.labels) if label == ("arc", "HOLMA")]
    assert float(samples.time_s[on_arc[0]]) - 20.0 < arc.start_s < float(samples.time_s[on_arc[0]]) + 30.0
    assert abs(arc.end_s - float(samples.time_s[on_arc[-1]])) < 30.0


def test_by_slant_distance_the_height_above_the_station_counts() -> None:
    flown, lesson = arc_flight(0.0, elevation_ft=500.0, slant=True)

    alignment = flown.aligned(lesson)

    (arc,) = alignment.arcs
    (result,) = assessed(flown, lesson, alignment).arcs
    inside = [i for i in range(arc.start, arc.stop) if not alignment.in_turn[i]]
    samples = flown.track.samples
    true = [
        math.hypot(
            float(Geodesic.WGS84.Inverse(samples.lat_deg[i], samples.lon_deg[i], *FIXES["XSKH"])["s12"]) / 1852.0,
            (float(flown.judged.altitude_ft[i]) - 500.0) * 0.3048 / 1852.0,
        )
        - arc.radius_nm
        for i in inside
    ]
    assert result.radius_error_nm.mean == pytest.approx(float(np.mean(true)), abs=1e-4)
    assert result.radius_error_nm.max_abs == pytest.approx(float(np.max(np.abs(true))), abs=1e-4)


def test_where_the_stations_elevation_is_not_given_that_is_said() -> None:
    flown, lesson = arc_flight(0.0, slant=True)
    alignment = flown.aligned(lesson)

    notes = measure(flown.track, flown.plan(lesson), lesson, alignment, flown.judged).notes

    assert any("elevation of TARN is not given" in note for note in notes)


def test_two_circuits_of_a_hold_in_lieu_end_where_the_last_one_led_inbound() -> None:
    pattern = Pattern(fix="HOLMA", inbound=BACK, side="right")
    flyer = outbound_over("HOLMA", (OUT - 30.0) % 360.0)
    enter(flyer, pattern, "teardrop")
    flyer.mark("first time back")
    circuit(flyer, pattern)
    flyer.mark("back")
    flyer.target_ft = 2500.0
    land(flyer)
    flown = log(flyer)

    (reversal,) = flown.aligned(hold_in_lieu()).reversals

    assert reversal.established_s is not None
    assert flyer.events["first time back"] < reversal.established_s < flyer.events["back"]


def test_a_hold_left_at_its_fix_for_the_approach_ends_there() -> None:
    pattern = Pattern(fix="HOLMA", inbound=BACK, side="right")
    flyer = outbound_over("HOLMA", (OUT - 30.0) % 360.0)
    enter(flyer, pattern, "teardrop")
    circuit(flyer, pattern, until="outbound")
    cleared_s = flyer.time_s
    turn_track(flyer, BACK, "right")
    inbound_to_holma(flyer)
    flyer.target_ft = 2500.0
    land(flyer)
    flown = log(flyer)
    words = {"fix": "HOLMA", "inbound_course_deg_true": BACK % 360.0, "turn": "right", "leg_minutes": 1.0}
    lesson = lesson_of(
        route={"points": ["DOLPA", "HOLMA"]},
        approach=[APPROACH],
        clearance=[{"time": at(30.0), "hold": words}, {"time": at(cleared_s), "cleared": "XSKH"}],
    )

    alignment = flown.aligned(lesson)

    (hold,) = alignment.holds
    assert (hold.entry, len(hold.circuits), hold.goes_on) == ("teardrop", 1, False)
    assert hold.left_s == pytest.approx(flyer.events["back"], abs=3.0)
    back = int(np.searchsorted(flown.track.samples.time_s, flyer.events["back"]))
    told = [GUIDANCE_WORDS[code] for code in alignment.guidance]
    assert told[back - 5] == "hold"
    assert told[back + 5] == "leg"
    assert alignment.reversals == ()


def test_a_missed_approach_hold_is_told_as_published() -> None:
    # The coded hold after the missed approach, entered direct, the log ending in it.
    toward = course_between(FIXES["RW27"], FIXES["VELLA"])
    flyer = outbound_over("HOLMA", BACK)
    flyer.target_ft = 2500.0
    down = flyer.glide_to("RW27", 88.0)
    flyer.fly_leg("HOLMA", "FERNU", "RW27", each=down)

    def until_minima() -> None:
        down()
        flyer.target_ft = max(flyer.target_ft, 400.0)

    flyer.fly_leg("FERNU", "RW27", to_go_nm=0.3, each=until_minima)
    flyer.climb_fpm, flyer.target_ft = 600.0, 3000.0
    flyer.fly_direct("VELLA", until_nm=0.03)
    flyer.mark("hold")
    pattern = Pattern(fix="VELLA", inbound=toward, side="right")
    enter(flyer, pattern, "direct")
    circuit(flyer, pattern)
    circuit(flyer, pattern, until="outbound")
    missed = [
        {"path": "DF", "fix": "VELLA", "altitude": {"at_or_above_ft": 3000.0}},
        {"path": "HM", "fix": "VELLA", "inbound_course_deg_true": toward, "turn": "right", "leg_minutes": 1.0},
    ]

    alignment = log(flyer).aligned(lesson_of(approach=[{**APPROACH, "missed": missed}]))

    (hold,) = alignment.holds
    assert (hold.fix.ident, hold.entry, hold.taken_from, hold.goes_on) == ("VELLA", "direct", "published", True)
    assert len(hold.circuits) == 2
    assert hold.entered_s == pytest.approx(flyer.events["hold"], abs=4.0)
    assert alignment.reversals == ()
