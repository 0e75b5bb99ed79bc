"""The flight, its plan and its story, made by hand."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from itertools import pairwise
from types import MappingProxyType

import numpy as np

from legwise.geodesy import GeodesicLine, direct, line_between, line_to
from legwise.model.alignment import (
    GUIDANCE_CODE,
    PHASE_CODE,
    Alignment,
    Fact,
    FlownApproach,
    FlownLeg,
    FlownTurn,
    Guidance,
    Instruction,
    Phase,
)
from legwise.model.arrays import FloatArray, readonly_bools, readonly_floats, readonly_ints
from legwise.model.instants import instant
from legwise.model.lesson import Clearance, Lesson, LessonHead, Objective, Observed, Remark
from legwise.model.plan import AltitudeWindow, Fix, Leg, LegPart, Plan, PlannedApproach, PlannedRunway
from legwise.model.results import (
    TrackSummary,
)
from legwise.model.track import AltitudeKind, Fault, Motion, Samples, Track, TrackSource

START_S = dt.datetime(2026, 4, 18, 13, 0, tzinfo=dt.UTC).timestamp()
SPEED_KT = 90.0
FAF_TO_GO_NM = 5.5
GLIDEPATH_FT_PER_NM = 318.4


def made_fixes(mark: str) -> dict[str, Fix]:
    spots = {"XTBN": (46.40, -28.40, "airport"), "RW27": (46.88, -27.30, "runway")}
    fixes = {ident: Fix(ident=ident, lat_deg=lat, lon_deg=lon, kind=kind) for ident, (lat, lon, kind) in spots.items()}  # type: ignore[arg-type]

    def away(ident: str, start: str, course: float, distance: float) -> None:
        origin = fixes[start]
        lat, lon, _course = direct(
            np.array([origin.lat_deg]), np.array([origin.lon_deg]), np.array([course]), np.array([distance])
        )
        fixes[ident] = Fix(ident=ident + mark, lat_deg=float(lat[0]), lon_deg=float(lon[0]))

    away("FERNU", "RW27", 82.4, FAF_TO_GO_NM)
    away("HOLMA", "RW27", 82.4, 12.0)
    away("BRAKO", "XTBN", 40.0, 14.0)
    away("CALDU", "BRAKO", 75.0, 24.0)
    return fixes


def _line(start: Fix, end: Fix) -> GeodesicLine:
    path = line_between(start.lat_deg, start.lon_deg, end.lat_deg, end.lon_deg)
    assert path is not None
    return path


class Walk:
    """The flight as flown: along lines, with offsets said by the builder."""

    def __init__(self) -> None:
        self.lat: list[FloatArray] = []
        self.lon: list[FloatArray] = []
        self.cross: list[FloatArray] = []
        self.to_go: list[FloatArray] = []
        self.course: list[FloatArray] = []
        self.spans: list[tuple[int, int]] = []
        self.count = 0

    def fly(self, start: Fix, end: Fix, offset: Callable[[FloatArray], FloatArray]) -> None:
        path = _line(start, end)
        steps = int(path.length_nm / (SPEED_KT / 3600))
        to_go = path.length_nm - np.arange(steps) * SPEED_KT / 3600
        lat, lon = path.point_at(to_go)
        course = np.asarray(path.measure(lat, lon).course_deg_true)
        cross = offset(np.linspace(0, 1, steps))
        lat, lon, _course = direct(lat, lon, course + 90.0, cross)
        self.lat.append(lat)
        self.lon.append(lon)
        self.cross.append(cross)
        self.to_go.append(to_go)
        self.course.append(course)
        self.spans.append((self.count, self.count + steps))
        self.count += steps


def made_bump(height: float) -> Callable[[FloatArray], FloatArray]:
    return lambda part: height * np.sin(np.pi * part) ** 2 + 0.02 * np.sin(part * 40)


def made_heights(walk: Walk) -> tuple[FloatArray, FloatArray, FloatArray]:
    count = walk.count
    seconds = np.arange(count)
    assigned = np.full(count, 5000.0)
    assigned[walk.spans[2][0] :] = 3000.0
    altitude = np.minimum(200 + seconds * 9.0, 5000 + 60 * np.sin(seconds / 90))
    down = np.maximum(3000 + 40 * np.sin(seconds / 70), 5000 - (seconds - walk.spans[2][0] - 60) * 8.0)
    altitude = np.where(seconds > walk.spans[2][0] + 60, np.minimum(altitude, down), altitude)
    slope = np.full(count, np.nan)
    final = slice(*walk.spans[4])
    slope[final] = 138 + walk.to_go[4] * GLIDEPATH_FT_PER_NM
    start = slope[final][0]
    step = slice(*walk.spans[3])
    assigned[walk.spans[3][0] :] = np.nan
    altitude[step] = np.linspace(altitude[walk.spans[3][0]], start, walk.spans[3][1] - walk.spans[3][0])
    altitude[final] = slope[final] + 70 * np.sin(np.linspace(0, np.pi, walk.spans[4][1] - walk.spans[4][0])) ** 2
    return altitude, assigned, slope


def track_of(
    time_s: FloatArray,
    lat: FloatArray,
    lon: FloatArray,
    altitude: FloatArray,
    course: FloatArray,
    mark: str,
    *,
    bare: bool,
) -> Track:
    count = len(time_s)
    heights = {} if bare else {AltitudeKind.GNSS_MSL: readonly_floats(altitude)}
    return Track(
        samples=Samples(
            time_s=readonly_floats(time_s),
            lat_deg=readonly_floats(lat),
            lon_deg=readonly_floats(lon),
            altitudes_ft=MappingProxyType(heights),
            segment=readonly_ints(np.zeros(count, dtype=np.int64)),
            line=readonly_ints(np.arange(count) + 1),
        ),
        source=TrackSource(
            file="lesson-9.gpx" + mark, format="GPX 1.1", sha256="ab" * 32, notes=("Read as UTF-8." + mark,)
        ),
        motion=Motion(
            groundspeed_kt=readonly_floats(SPEED_KT + 5 * np.sin(np.arange(count) / 200)),
            track_deg_true=readonly_floats(course),
            track_rate_dps=readonly_floats(np.zeros(count)),
        ),
        route=(),
        waypoints=(),
        faults=(Fault(kind="repeated-time", count=3, detail="3 repeats of a time left out" + mark),),
        samples_read=count + 3,
        first_time_s=float(time_s[0]),
        last_time_s=float(time_s[-1]),
        interval_s=1.0,
        gaps=((900, 901),),
    )


def made_summary_of_track(track: Track, mark: str, *, bare: bool) -> TrackSummary:
    return TrackSummary(
        file=track.source.file,
        format="GPX 1.1",
        samples=track.samples_read,
        kept=len(track),
        start=instant(track.first_time_s),
        end=instant(track.last_time_s),
        rate_hz=1.0,
        channels=("groundspeed_kt" + mark,),
        altitude_source="none" if bare else "gnss-msl",
        faults=track.faults,
        sha256="ab" * 32,
        notes=("Time zone: Z." + mark,),
    )


def lesson_of(mark: str, *, bare: bool) -> Lesson:
    if bare:
        return Lesson()
    return Lesson(
        lesson=LessonHead(
            title="Lesson 9: from vectors to an LPV" + mark,
            date=dt.date(2026, 4, 18),
            student="S-014" + mark,
            instructor="I-03" + mark,
            objective=(Objective(task="tracking" + mark, standard="within three-quarter scale" + mark),),
        ),
        observed=(Observed(item="database currency checked" + mark, done=True),),
        remark=(Remark(time=dt.time(13, 36, 10), text="asked for a lower altitude" + mark),),
    )


def _leg(number: int, start: Fix, end: Fix, part: LegPart, ident: str, window: AltitudeWindow | None = None) -> Leg:
    path = _line(start, end)
    return Leg(
        id=ident, kind="TF", part=part, approach=None if part is LegPart.ROUTE else 0, from_fix=start, to_fix=end,
        path=path,
        course_deg_true=path.start_course_deg_true, course_deg_mag=(path.start_course_deg_true + 9) % 360,
        distance_nm=path.length_nm, altitude=window, role="FAF" if number == 3 else None,
    )  # fmt: skip


def plan_of(fixes: dict[str, Fix], mark: str) -> Plan:
    order = ["XTBN", "BRAKO", "CALDU", "HOLMA"]
    route = tuple(
        _leg(number, fixes[a], fixes[b], LegPart.ROUTE, f"R{number + 1}")
        for number, (a, b) in enumerate(pairwise(order))
    )
    runway = fixes["RW27"]
    legs = (
        _leg(3, fixes["HOLMA"], fixes["FERNU"], LegPart.APPROACH, "A1.2", AltitudeWindow(low_ft=1800.0)),
        _leg(4, fixes["FERNU"], runway, LegPart.APPROACH, "A1.3", AltitudeWindow(low_ft=138.0, high_ft=138.0)),
    )
    missed = (_leg(5, runway, fixes["BRAKO"], LegPart.MISSED, "A1.M1"),)
    approach = PlannedApproach(
        index=0, airport="XSKH" + mark, procedure="R27" + mark, title="RNAV (GPS) RWY 27" + mark, guidance="LPV",
        selected_final_only=False, stepped=False, navaid=None,
        runway=PlannedRunway(
            ident="RW27", lat_deg=runway.lat_deg, lon_deg=runway.lon_deg, elevation_ft=88.0, course_deg_true=262.0,
            length_ft=5200.0, length_assumed=False,
        ),
        glidepath_deg=3.0, threshold_crossing_height_ft=50.0, half_width_at_threshold_ft=350.0, da_ft=338.0,
        mda_ft=None,
        flown_da_ft=None, flown_mda_ft=None, legs=legs, missed=missed,
        final_path=line_to(runway.lat_deg, runway.lon_deg, 262.4), faf_to_go_nm=FAF_TO_GO_NM,
    )  # fmt: skip
    return Plan(
        source="lesson", departure=fixes["XTBN"], destination=Fix(ident="XSKH" + mark, lat_deg=46.88, lon_deg=-27.30),
        route=route, route_altitude_ft=5000.0, approaches=(approach,), fixes=tuple(fixes.values()),
        notes=("Variation from the model." + mark,),
    )  # fmt: skip


def made_empty_plan() -> Plan:
    return Plan(
        source="none", departure=None, destination=None, route=(), route_altitude_ft=None, approaches=(), fixes=()
    )


def alignment_of(walk: Walk, plan: Plan, time_s: FloatArray, mark: str, *, inferred: bool, bare: bool) -> Alignment:
    count = walk.count
    guidance = np.full(count, GUIDANCE_CODE[Guidance.NONE])
    phase = np.full(count, PHASE_CODE[Phase.EN_ROUTE])
    leg = np.full(count, -1)
    approach = np.full(count, -1)
    legs: list[FlownLeg] = []
    if not bare:
        planned = (*plan.route, *plan.approaches[0].legs)
        for number, ((start, stop), owed) in enumerate(zip(walk.spans, planned, strict=True)):
            leg[start:stop] = number
            guidance[start:stop] = GUIDANCE_CODE[Guidance.LEG]
            legs.append(_flown(owed, start, stop))
        vectors = slice(walk.spans[2][0] + 200, walk.spans[2][0] + 420)
        leg[vectors], guidance[vectors] = -1, GUIDANCE_CODE[Guidance.VECTORS]
        approach[walk.spans[3][0] :] = 0
        phase[walk.spans[3][0] :] = PHASE_CODE[Phase.APPROACH]
        phase[:120] = PHASE_CODE[Phase.DEPARTURE]
    empty = np.full(count, np.nan)
    turn_at = walk.spans[0][1]
    turn = FlownTurn(
        fix="BRAKO" + mark, at_s=float(time_s[turn_at]), from_course_deg_true=40.0, to_course_deg_true=75.0,
        lead_nm=0.02,
        expected_lead_nm=0.15, start_s=float(time_s[turn_at - 2]), end_s=float(time_s[turn_at + 12]), start=turn_at - 2,
        stop=turn_at + 12,
    )  # fmt: skip
    in_turn = np.zeros(count, dtype=np.bool_)
    in_turn[turn.start : turn.stop] = not bare
    said = Instruction(
        origin="said", kind="heading", clearance=Clearance(), time_s=float(time_s[1500]), time_accuracy_s=30.0,
        effect_s=float(time_s[1512]), text="fly heading 100" + mark,
    )  # fmt: skip
    return Alignment(
        leg=readonly_ints(leg),
        guidance=readonly_ints(guidance),
        phase=readonly_ints(phase),
        approach=readonly_ints(approach),
        in_turn=readonly_bools(in_turn),
        turn=readonly_ints(np.where(in_turn, 0, -1)),
        assigned_altitude_ft=readonly_floats(empty),
        altitude_owed=readonly_bools(np.ones(count)),
        heading_owed_deg_mag=readonly_floats(empty),
        established=readonly_bools(approach >= 0),
        legs=tuple(legs),
        turns=() if bare else (turn,),
        approaches=()
        if bare
        else (
            FlownApproach(
                approach=0, start=walk.spans[3][0], stop=count, joined=walk.spans[3][0], faf=walk.spans[4][0],
                lowest=count - 1,
                landing=count - 1, missed_start=None, outcome="landed",
            ),
        ),
        instructions=() if bare or not inferred else (said,),
        questions=() if bare else ("Was the heading given before the descent?" + mark,),
        facts=() if bare else (Fact(time_s=float(time_s[2100]), text="The final course was crossed once." + mark),),
        notes=() if bare else ("Leg 3 was left for vectors." + mark,),
    )  # fmt: skip


def _flown(owed: Leg, start: int, stop: int) -> FlownLeg:
    return FlownLeg(
        id=owed.id, kind="TF", from_ident=owed.from_fix.ident if owed.from_fix else "", to_ident=owed.end_ident,
        path=owed.path, course_deg_true=owed.course_deg_true, course_deg_mag=owed.course_deg_mag,
        distance_nm=owed.distance_nm,
        start=start, stop=stop, planned=owed, approach=owed.approach,
    )  # fmt: skip
