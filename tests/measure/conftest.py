"""Small flights made by hand: a track, a plan with one approach, and an alignment."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from types import MappingProxyType

import numpy as np
import pytest

from legwise.geodesy import line_between, line_to
from legwise.model.alignment import GUIDANCE_CODE, PHASE_CODE, Alignment, FlownApproach, FlownLeg, Guidance, Phase
from legwise.model.arrays import FloatArray, readonly_bools, readonly_floats, readonly_ints
from legwise.model.lesson import ApproachGuidance, Role
from legwise.model.plan import Fix, Leg, LegPart, Path, Plan, PlannedApproach, PlannedRunway
from legwise.model.track import AltitudeKind, Channel, Motion, Samples, Track, TrackSource

EPOCH_S = 1_776_517_200.0  # 2026-04-18 13:00:00 UTC

TrackMaker = Callable[..., Track]
AlignmentMaker = Callable[..., Alignment]
ApproachMaker = Callable[..., PlannedApproach]
PlanMaker = Callable[..., Plan]
FlownLegMaker = Callable[..., FlownLeg]


def _track(
    lat_deg: Sequence[float] | FloatArray,
    lon_deg: Sequence[float] | FloatArray,
    *,
    altitudes_ft: Mapping[AltitudeKind, Sequence[float] | FloatArray] | None = None,
    channels: Mapping[Channel, Sequence[float] | FloatArray] | None = None,
    track_deg_true: float = 90.0,
    step_s: float = 1.0,
    time_s: Sequence[float] | FloatArray | None = None,
    gaps: tuple[tuple[int, int], ...] = (),
) -> Track:
    count = len(lat_deg)
    times = EPOCH_S + (np.arange(count) * step_s if time_s is None else np.asarray(time_s))
    samples = Samples(
        time_s=readonly_floats(times),
        lat_deg=readonly_floats(lat_deg),
        lon_deg=readonly_floats(lon_deg),
        altitudes_ft=MappingProxyType({kind: readonly_floats(v) for kind, v in (altitudes_ft or {}).items()}),
        channels=MappingProxyType({channel: readonly_floats(v) for channel, v in (channels or {}).items()}),
        segment=readonly_ints(np.zeros(count)),
        line=readonly_ints(np.arange(count) + 2),
    )
    return Track(
        samples=samples,
        source=TrackSource(file="flight.csv", format="csv", sha256="0" * 64),
        motion=Motion(
            groundspeed_kt=readonly_floats(np.full(count, 100.0)),
            track_deg_true=readonly_floats(np.full(count, track_deg_true)),
            track_rate_dps=readonly_floats(np.zeros(count)),
        ),
        route=(),
        waypoints=(),
        faults=(),
        samples_read=count,
        first_time_s=float(times[0]),
        last_time_s=float(times[-1]),
        interval_s=step_s,
        gaps=gaps,
    )


def _flown(
    path: Path | None,
    start: int,
    stop: int,
    *,
    planned: Leg | None = None,
    to_ident: str = "END",
    approach: int | None = None,
) -> FlownLeg:
    return FlownLeg(
        id="R1" if planned is None else planned.id,
        kind="TF" if planned is None else planned.kind,
        from_ident="START",
        to_ident=to_ident if planned is None else planned.end_ident,
        path=path,
        course_deg_true=None if path is None else path.start_course_deg_true,
        course_deg_mag=None,
        distance_nm=None if path is None else path.length_nm,
        start=start,
        stop=stop,
        planned=planned,
        approach=approach,
    )


def _alignment(count: int, legs: Sequence[FlownLeg], *, phase: Phase = Phase.EN_ROUTE, **changes: object) -> Alignment:
    leg = np.full(count, -1)
    for number, flown in enumerate(legs):
        leg[flown.start : flown.stop] = number
    columns: dict[str, object] = {
        "leg": readonly_ints(leg),
        "guidance": readonly_ints(np.full(count, GUIDANCE_CODE[Guidance.LEG])),
        "phase": readonly_ints(np.full(count, PHASE_CODE[phase])),
        "approach": readonly_ints(np.full(count, -1)),
        "in_turn": readonly_bools(np.zeros(count)),
        "turn": readonly_ints(np.full(count, -1)),
        "assigned_altitude_ft": readonly_floats(np.full(count, np.nan)),
        "altitude_owed": readonly_bools(np.zeros(count)),
        "heading_owed_deg_mag": readonly_floats(np.full(count, np.nan)),
        "established": readonly_bools(np.zeros(count)),
        "legs": tuple(legs),
        "turns": (),
        "approaches": (),
        "instructions": (),
    }
    return Alignment(**{**columns, **changes})  # type: ignore[arg-type]


def _leg(
    name: str,
    part: LegPart,
    start: Fix | None,
    end: Fix,
    *,
    role: Role | None = None,
    kind: str = "TF",
) -> Leg:
    path = None if start is None else line_between(start.lat_deg, start.lon_deg, end.lat_deg, end.lon_deg)
    return Leg(
        id=name,
        kind=kind,  # type: ignore[arg-type]
        part=part,
        approach=0,
        from_fix=start,
        to_fix=end,
        path=path,
        course_deg_true=None if path is None else path.start_course_deg_true,
        course_deg_mag=None,
        distance_nm=None if path is None else path.length_nm,
        role=role,
    )


THRESHOLD = Fix(ident="RW09", lat_deg=40.0, lon_deg=-100.0, kind="runway")


def _approach(guidance: ApproachGuidance | None = "LPV", **changes: object) -> PlannedApproach:
    """An approach to 40 N 100 W, course 090 true at the threshold: IF 10 NM out, FAF 5 NM out, straight on past it."""
    course = line_to(THRESHOLD.lat_deg, THRESHOLD.lon_deg, 90.0)
    lat, lon = course.point_at(np.array([10.0, 5.0, -6.0]))
    far, faf, past = (
        Fix(ident=name, lat_deg=float(lat[place]), lon_deg=float(lon[place]))
        for place, name in enumerate(("FAR", "FAF", "PAST"))
    )
    fields: dict[str, object] = {
        "index": 0,
        "airport": "XTBN",
        "procedure": "R09",
        "title": "RWY 09",
        "guidance": guidance,
        "selected_final_only": False,
        "stepped": False,
        "navaid": None,
        "runway": PlannedRunway(
            ident="RW09",
            lat_deg=40.0,
            lon_deg=-100.0,
            elevation_ft=1000.0,
            course_deg_true=90.0,
            length_ft=6000.0,
            length_assumed=False,
        ),
        "glidepath_deg": 3.0,
        "threshold_crossing_height_ft": 50.0,
        "half_width_at_threshold_ft": 106.75 / 0.3048,
        "da_ft": 1250.0,
        "mda_ft": None,
        "flown_da_ft": None,
        "flown_mda_ft": None,
        "legs": (
            _leg("A1.1", LegPart.APPROACH, None, far, kind="IF"),
            _leg("A1.2", LegPart.APPROACH, far, faf, role="FAF"),
            _leg("A1.3", LegPart.APPROACH, faf, THRESHOLD, role="MAP"),
        ),
        "missed": (_leg("A1.M1", LegPart.MISSED, THRESHOLD, past),),
        "final_path": course,
        "faf_to_go_nm": 5.0,
    }
    return PlannedApproach(**{**fields, **changes})  # type: ignore[arg-type]


def _plan(*approaches: PlannedApproach) -> Plan:
    return Plan(
        source="lesson",
        departure=None,
        destination=None,
        route=(),
        route_altitude_ft=None,
        approaches=approaches,
        fixes=(),
    )


@pytest.fixture(scope="session")
def make_track() -> TrackMaker:
    """A track of positions, one a second from 2026-04-18 13:00 UTC."""
    return _track


@pytest.fixture(scope="session")
def make_flown() -> FlownLegMaker:
    """A flown leg on a path, from one sample to another."""
    return _flown


@pytest.fixture(scope="session")
def make_alignment() -> AlignmentMaker:
    """An alignment of so many samples on flown legs."""
    return _alignment


@pytest.fixture(scope="session")
def make_approach() -> ApproachMaker:
    """A planned approach; changes replace its fields."""
    return _approach


@pytest.fixture(scope="session")
def make_plan() -> PlanMaker:
    """A plan of approaches."""
    return _plan


@pytest.fixture(scope="session")
def fly_final(make_track: TrackMaker) -> Callable[..., tuple[Track, Alignment]]:
    """Samples at positions on the final course of an approach, each on its leg, and their alignment."""

    def fly(
        approach: PlannedApproach,
        before_nm: Sequence[float],
        right_nm: Sequence[float] | float = 0.0,
        altitude_ft: Sequence[float] | float = 2000.0,
        *,
        kind: AltitudeKind = AltitudeKind.GNSS_MSL,
        phase: Phase = Phase.APPROACH,
    ) -> tuple[Track, Alignment]:
        before = np.asarray(before_nm, dtype=np.float64)
        lat, lon = set_off(before, np.broadcast_to(np.asarray(right_nm, dtype=np.float64), before.shape))
        inside = before <= 5.0
        order = int(np.flatnonzero(inside)[0]) if inside.any() else before.size
        track = make_track(
            lat, lon, altitudes_ft={kind: np.broadcast_to(np.asarray(altitude_ft, dtype=np.float64), before.shape)}
        )
        legs = [
            _flown(approach.legs[1].path, 0, order, planned=approach.legs[1], approach=0),
            _flown(approach.legs[2].path, order, before.size, planned=approach.legs[2], approach=0),
        ]
        flown = FlownApproach(
            approach=0,
            start=0,
            stop=before.size,
            joined=0,
            faf=None,
            lowest=None,
            landing=None,
            missed_start=None,
            outcome=None,
        )
        alignment = _alignment(
            before.size, legs, phase=phase, approach=readonly_ints(np.zeros(before.size)), approaches=(flown,)
        )
        return track, alignment

    return fly


def set_off(before_nm: FloatArray, right_nm: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Positions by GeographicLib: so far before the threshold along the course, so far right of it."""
    from geographiclib.geodesic import Geodesic

    places = []
    for before, right in zip(before_nm, right_nm, strict=True):
        foot = Geodesic.WGS84.Direct(40.0, -100.0, 270.0, before * 1852.0)
        course = foot["azi2"] + 180.0
        place = Geodesic.WGS84.Direct(foot["lat2"], foot["lon2"], course + 90.0, right * 1852.0)
        places.append((place["lat2"], place["lon2"]))
    lat, lon = np.array(places).T
    return lat, lon
