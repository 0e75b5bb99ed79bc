"""A small result put together by hand, with something of every kind in it."""

from __future__ import annotations

import datetime as dt
from types import MappingProxyType

import numpy as np
import pytest

from legwise.model.alignment import (
    GUIDANCE_CODE,
    PHASE_CODE,
    Alignment,
    Fact,
    FlownLeg,
    Guidance,
    Phase,
)
from legwise.model.arrays import FloatArray, readonly_bools, readonly_floats, readonly_ints
from legwise.model.deviations import Deviations, JudgedAltitude
from legwise.model.lesson import Lesson, LessonHead, Objective
from legwise.model.plan import Fix, Leg, LegPart, Plan
from legwise.model.results import (
    ApproachResult,
    Assessment,
    Cause,
    ClearanceResult,
    CrossTrackFigures,
    DebriefResult,
    Explanation,
    Figures,
    Finding,
    LegResult,
    MissedResult,
    NeedleFigures,
    Summary,
    TrackSummary,
    TurnResult,
    Verdict,
)
from legwise.model.standard import Standard
from legwise.model.track import AltitudeKind, Channel, Fault, Motion, Samples, Track, TrackSource

START_S = 1_776_517_960.0  # 2026-04-18T13:12:40Z
NAN = float("nan")
ROWS = 6
START = dt.datetime(2026, 4, 18, 13, 12, 40, tzinfo=dt.UTC)
END = dt.datetime(2026, 4, 18, 13, 12, 45, 500_000, tzinfo=dt.UTC)


def unknown() -> FloatArray:
    return readonly_floats(np.full(ROWS, NAN))


def made_track() -> Track:
    altitude_ft = readonly_floats([2999.5, 3000, 3001, NAN, -12.34, 3010])
    samples = Samples(
        time_s=readonly_floats(START_S + np.array([0.0, 1.0, 2.0, 3.25, 4.0, 5.5])),
        lat_deg=readonly_floats([46.5123, 46.51234567891, 46.0, -0.00000001, 46.1, 46.2]),
        lon_deg=readonly_floats([-28.0041, -28.00410001, -179.99999999, 0.0, -27.9, -27.8]),
        altitudes_ft=MappingProxyType({AltitudeKind.INDICATED: altitude_ft}),
        channels=MappingProxyType({Channel.IAS_KT: readonly_floats([90, 91.5, 92.25, NAN, 95, 96])}),
        segment=readonly_ints(np.zeros(ROWS)),
        line=readonly_ints(np.arange(2, 2 + ROWS)),
    )
    return Track(
        samples=samples,
        source=TrackSource(file="track.csv", format="CSV", sha256="0" * 64),
        motion=Motion(
            groundspeed_kt=readonly_floats([100, 101, 102, 103, 104, 105]),
            track_deg_true=readonly_floats([0, 359.99994, 90, NAN, 180, 270.5]),
            track_rate_dps=unknown(),
        ),
        route=(),
        waypoints=(),
        faults=(Fault(kind="gap", count=1, detail="1.5 s from 13:12:44Z"),),
        samples_read=7,
        first_time_s=START_S,
        last_time_s=START_S + 5.5,
        interval_s=1.0,
        gaps=(),
    )


def made_alignment(leg: Leg) -> Alignment:
    flown = FlownLeg(
        id="R1", kind="TF", from_ident="BRAKO", to_ident="CALDU", path=None, course_deg_true=90.0, course_deg_mag=100.0,
        distance_nm=12.0, start=1, stop=4, planned=leg, approach=None,
    )  # fmt: skip
    leg_code, direct = GUIDANCE_CODE[Guidance.LEG], GUIDANCE_CODE[Guidance.NONE]
    return Alignment(
        leg=readonly_ints([-1, 0, 0, 0, -1, -1]),
        guidance=readonly_ints([direct, leg_code, leg_code, leg_code, direct, direct]),
        phase=readonly_ints([PHASE_CODE[Phase.GROUND], *[PHASE_CODE[Phase.EN_ROUTE]] * (ROWS - 1)]),
        approach=readonly_ints(np.full(ROWS, -1)),
        in_turn=readonly_bools([False, True, False, False, False, False]),
        turn=readonly_ints(np.full(ROWS, -1)),
        assigned_altitude_ft=unknown(),
        altitude_owed=readonly_bools(np.zeros(ROWS)),
        heading_owed_deg_mag=unknown(),
        established=readonly_bools(np.zeros(ROWS)),
        legs=(flown,),
        turns=(),
        approaches=(),
        instructions=(),
        questions=("Was the direct to CALDU given before 13:13Z?",),
        facts=(Fact(time_s=START_S + 2, text="crossed the inbound course before it was cleared"),),
        notes=("the log begins in the air",),
    )


def made_deviations(track: Track) -> Deviations:
    return Deviations(
        cross_track_nm=readonly_floats([NAN, 0.1234567, -0.4, 0.4000004, NAN, NAN]),
        along_track_to_go_nm=readonly_floats([NAN, 10, 5.5, -0.25, NAN, NAN]),
        course_deg_true=unknown(),
        track_error_deg=unknown(),
        lateral_full_scale_nm=readonly_floats([NAN, 2, 2, 1, NAN, NAN]),
        lateral_needle=readonly_floats([NAN, 0.06172835, -0.2, 0.4, NAN, NAN]),
        vertical_path_ft=unknown(),
        vertical_deviation_ft=unknown(),
        vertical_full_scale_ft=unknown(),
        vertical_needle=unknown(),
        assigned_altitude_ft=readonly_floats([NAN, 3000, 3000, 3000, 3000, 3000]),
        altitude_error_ft=readonly_floats([NAN, 0, 1, NAN, -3012.34, 10]),
        heading_error_deg=unknown(),
        judged=JudgedAltitude(
            kind=AltitudeKind.INDICATED,
            altitude_ft=track.samples.altitudes_ft[AltitudeKind.INDICATED],
            vertical_speed_fpm=readonly_floats([0, -0.04, 500, NAN, -500, 0]),
            accuracy_ft=20.0,
            against_assigned_ft=unknown(),
            against_glidepath_ft=unknown(),
            words="indicated altitude, 20 ft (95 %)",
        ),
        horizontal_accuracy_nm=0.0043197,
        horizontal_words="8 m (95 %, common practice)",
    )


def made_assessment() -> Assessment:
    leg = LegResult(
        id="R1", kind="TF", from_="BRAKO", to="CALDU", course_deg_true=90.0, course_deg_mag=NAN,
        distance_nm=12.00000049, start=START, end=END,
        cross_track_nm=CrossTrackFigures(mean=0.1 + 0.2, rms=0.33, p95_abs=0.4, max_abs=0.4000004, at_max=END),
        altitude_error_ft=Figures(mean=None, p95_abs=None, max_abs=None, at_max=None),
    )  # fmt: skip
    needle = NeedleFigures(p95_abs=0.5, max_abs=0.75, at_max=END)
    approach = ApproachResult(
        airport="XSKH", procedure="R27", title="RNAV (GPS) RWY 27", guidance="LPV", runway="RW27", joined_at=None,
        outcome="landed", circled=False, lowest_altitude_ft=88.123, minima_ft=612, lateral_needle=needle,
        vertical_needle=NeedleFigures(p95_abs=None, max_abs=None, at_max=None),
    )  # fmt: skip
    clearance = ClearanceResult(
        time=START, effect=END, origin="said", kind="heading", text='"heading 250" <b>', confidence=None, doubt="",
        values={
            "time": "13:12", "heading_deg_mag": 250.0, "hold": {"fix": "CALDU", "efc": dt.time(13, 45)},
        },
    )  # fmt: skip
    finding = Finding(
        id="F1", standard="FAA-S-ACS-8C", task="IR.VI.B.S12", what="lateral needle", fix=None, verdict=Verdict.WITHIN,
        limit=0.75, unit="scale", worst=-0.4, at_worst=END, outside_s=0.0, excursions=0, correcting_after_s=None,
        uncertainty=0.0021598, from_=START, to=END, source="FAA-S-ACS-8C, Task VI.B", leg="R1", reason="",
    )  # fmt: skip
    not_recorded = Finding(
        id="F2", standard="FAA-S-ACS-8C", task="IR.III.A.S3", what="airspeed", fix=None, verdict=Verdict.NOT_RECORDED,
        limit=10, unit="kt", worst=None, at_worst=None, outside_s=0.0, excursions=0, correcting_after_s=None,
        uncertainty=0.0, from_=START, to=END, source="FAA-S-ACS-8C, Task III.A", leg=None, reason="no airspeed",
    )  # fmt: skip
    turn = TurnResult(
        at=START, fix="CALDU", from_course_deg_true=90, to_course_deg_true=180, lead_nm=-0.5, expected_lead_nm=0.6,
        start=START, end=END,
    )  # fmt: skip
    missed = MissedResult(
        approach=0, started_at=END, started_ft=700, before_map=False, climb_ft_per_nm=None, turn_before_map=False
    )
    return Assessment(
        legs=(leg,), approaches=(approach,), clearances=(clearance,), findings=(finding, not_recorded), turns=(turn,),
        missed=(missed,),
    )  # fmt: skip


def made_result() -> DebriefResult:
    track = made_track()
    brako = Fix(ident="BRAKO", lat_deg=46.5123, lon_deg=-28.0041)
    caldu = Fix(ident="CALDU", lat_deg=46.6, lon_deg=-27.9, kind="vor", elevation_ft=100, variation_deg=-10.0)
    leg = Leg(
        id="R1", kind="TF", part=LegPart.ROUTE, approach=None, from_fix=brako, to_fix=caldu, path=None,
        course_deg_true=38.9, course_deg_mag=48.9, distance_nm=6.75,
    )  # fmt: skip
    return DebriefResult(
        track=track,
        lesson=Lesson(
            lesson=LessonHead(title="Löwen & </script>", student="S-014", objective=(Objective(task="holding"),)),
            file="lesson.toml",
        ),
        plan=Plan(
            source="lesson", departure=brako, destination=None, route=(leg,), route_altitude_ft=5000, approaches=(),
            fixes=(brako, caldu), notes=("variation from the World Magnetic Model",),
        ),
        alignment=made_alignment(leg),
        deviations=made_deviations(track),
        standard=Standard(name="faa-instrument", document="FAA-S-ACS-8C", title="Instrument rating", tolerances=()),
        summary_of_track=TrackSummary(
            file="tr\udce4ck.csv", format="CSV", samples=7, kept=ROWS, start=START, end=END, rate_hz=1.0,
            channels=("ias_kt",), altitude_source="indicated", faults=track.faults, sha256="0" * 64, notes=(),
        ),
        assessment=made_assessment(),
        explanation=Explanation(
            causes=(
                Cause(kind="late-turn", confidence="fits", text="the turn began 0.5 NM late", from_=START, to=END,
                      evidence={"lead_nm": -0.5, "fix": "CALDU"}),
            ),
            summary=Summary(went_well=("R1 held",), work_on=(), next_lesson=(), questions=()),
            facts=(Fact(time_s=START_S, text="a correction was asked for"),),
        ),
        version="0.1.0",
    )  # fmt: skip


@pytest.fixture(name="result")
def result_fixture() -> DebriefResult:
    return made_result()
