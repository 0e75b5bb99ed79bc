"""Flights built by hand for the assessment: columns as they are said, everything else quiet."""

from __future__ import annotations

import dataclasses
import datetime as dt
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import numpy.typing as npt
import pytest

from legwise.assess import assess
from legwise.geodesy import line_between
from legwise.model.alignment import (
    GUIDANCE_CODE,
    PHASE_CODE,
    Alignment,
    FlownApproach,
    FlownLeg,
    FlownTurn,
    Guidance,
    Instruction,
    Phase,
)
from legwise.model.arrays import readonly_bools, readonly_floats, readonly_ints
from legwise.model.deviations import Deviations, JudgedAltitude
from legwise.model.lesson import ApproachGuidance, Clearance, Event, Lesson, Navigation, Role
from legwise.model.plan import AltitudeWindow, Fix, Leg, LegPart, Plan, PlannedApproach, PlannedRunway
from legwise.model.results import Assessment, Finding
from legwise.model.track import AltitudeKind, Motion, Samples, Track, TrackSource
from legwise.standards import standard_named

START_S = dt.datetime(2026, 4, 18, 13, 0, tzinfo=dt.UTC).timestamp()
"""The first sample: 2026-04-18T13:00:00Z."""


def leg_of_plan(
    ident: str,
    from_: str,
    to: str,
    *,
    part: LegPart = LegPart.ROUTE,
    altitude: AltitudeWindow | None = None,
    role: Role | None = None,
    approach: int | None = None,
) -> Leg:
    """A TF leg of ten miles due north in the Tarn Islands; only its names and altitudes matter here."""
    start, end = Fix(ident=from_, lat_deg=46.0, lon_deg=-28.0), Fix(ident=to, lat_deg=46.1666, lon_deg=-28.0)
    path = line_between(start.lat_deg, start.lon_deg, end.lat_deg, end.lon_deg)
    return Leg(
        id=ident,
        kind="TF",
        part=part,
        approach=approach,
        from_fix=start,
        to_fix=end,
        path=path,
        course_deg_true=0.0,
        course_deg_mag=5.0,
        distance_nm=10.0,
        altitude=altitude,
        role=role,
    )


def flown_leg(planned: Leg, start: int, stop: int, *, approach: int | None = None) -> FlownLeg:
    """``planned`` flown from sample ``start`` to ``stop`` (exclusive)."""
    return FlownLeg(
        id=planned.id,
        kind=planned.kind,
        from_ident=planned.from_fix.ident if planned.from_fix is not None else "",
        to_ident=planned.end_ident,
        path=planned.path,
        course_deg_true=planned.course_deg_true,
        course_deg_mag=planned.course_deg_mag,
        distance_nm=planned.distance_nm,
        start=start,
        stop=stop,
        planned=planned,
        approach=approach,
    )


def approach_of_plan(
    *,
    guidance: ApproachGuidance | None = "LPV",
    da_ft: float | None = None,
    mda_ft: float | None = None,
    stepped: bool = False,
    faf_altitude: AltitudeWindow | None = None,
    if_altitude: AltitudeWindow | None = None,
) -> PlannedApproach:
    """HOLMA (IF) – FERNU (FAF) – RW27 (MAP), threshold elevation 100 ft."""
    part = LegPart.APPROACH
    legs = (
        dataclasses.replace(
            leg_of_plan("A1.1", "", "HOLMA", part=part, altitude=if_altitude, role="IF", approach=0),
            kind="IF",
            path=None,
            from_fix=None,
        ),
        leg_of_plan("A1.2", "HOLMA", "FERNU", part=part, altitude=faf_altitude, role="FAF", approach=0),
        leg_of_plan("A1.3", "FERNU", "RW27", part=part, role="MAP", approach=0),
    )
    return PlannedApproach(
        index=0,
        airport="XSKH",
        procedure="R27",
        title="RNAV (GPS) RWY 27",
        guidance=guidance,
        selected_final_only=False,
        stepped=stepped,
        navaid=Fix(ident="SKH", lat_deg=46.1666, lon_deg=-28.0, kind="vor") if guidance in {"VOR", "NDB"} else None,
        runway=PlannedRunway(
            ident="RW27",
            lat_deg=46.1666,
            lon_deg=-28.0,
            elevation_ft=100.0,
            course_deg_true=0.0,
            length_ft=5000.0,
            length_assumed=False,
        ),
        glidepath_deg=3.0 if guidance in {"LPV", "LNAV/VNAV", "ILS", "GLS"} else None,
        threshold_crossing_height_ft=50.0,
        half_width_at_threshold_ft=350.0,
        da_ft=da_ft,
        mda_ft=mda_ft,
        flown_da_ft=None,
        flown_mda_ft=None,
        legs=legs,
        missed=(leg_of_plan("A1.M1", "RW27", "CALDU", part=LegPart.MISSED, approach=0),),
        final_path=legs[2].path,
        faf_to_go_nm=5.0,
    )


Values = float | npt.ArrayLike


@dataclass
class Parts:
    """A flight of ``n`` samples; set a column by its name, the rest is NaN, on route leg R1, level and quiet.

    ``doubt_ft`` is that of altitudes, ``accuracy_nm`` that of positions; both are nothing unless said, so that the
    limits alone decide.
    """

    n: int = 200
    interval_s: float = 1.0
    standard: str = "faa-instrument"
    doubt_ft: float = 0.0
    accuracy_nm: float = 0.0
    columns: dict[str, Values] = field(default_factory=dict)
    legs: tuple[FlownLeg, ...] | None = None
    approaches: tuple[FlownApproach, ...] = ()
    planned: tuple[PlannedApproach, ...] = ()
    instructions: tuple[Instruction, ...] = ()
    turns: tuple[FlownTurn, ...] = ()
    events: tuple[Event, ...] = ()
    gaps: tuple[tuple[int, int], ...] = ()
    navigation: Navigation = field(default_factory=Navigation)
    altitude_kind: AltitudeKind | None = AltitudeKind.INDICATED
    times_s: npt.ArrayLike | None = None

    def floats(self, name: str, default: float = np.nan) -> npt.NDArray[np.float64]:
        """A column of floats."""
        values = np.broadcast_to(np.asarray(self.columns.get(name, default), dtype=np.float64), (self.n,))
        return readonly_floats(values)

    def codes(self, name: str, default: int) -> npt.NDArray[np.int64]:
        """A column of codes."""
        return readonly_ints(np.broadcast_to(np.asarray(self.columns.get(name, default), dtype=np.int64), (self.n,)))

    def flags(self, name: str, *, default: bool) -> npt.NDArray[np.bool_]:
        """A column of booleans."""
        return readonly_bools(np.broadcast_to(np.asarray(self.columns.get(name, default), dtype=np.bool_), (self.n,)))

    @property
    def track(self) -> Track:
        """The track: a standing position unless said, at even times unless said."""
        seconds = np.arange(self.n) * self.interval_s if self.times_s is None else np.asarray(self.times_s, dtype=float)
        time_s = readonly_floats(START_S + seconds)
        samples = Samples(
            time_s=time_s,
            lat_deg=self.floats("lat_deg", 46.05),
            lon_deg=self.floats("lon_deg", -28.0),
            segment=readonly_ints(np.zeros(self.n)),
            line=readonly_ints(np.arange(self.n)),
        )
        return Track(
            samples=samples,
            source=TrackSource(file="built.csv", format="csv", sha256=""),
            motion=Motion(
                groundspeed_kt=self.floats("groundspeed_kt", 90.0),
                track_deg_true=self.floats("track_deg_true", 0.0),
                track_rate_dps=self.floats("track_rate_dps", 0.0),
            ),
            route=(),
            waypoints=(),
            faults=(),
            samples_read=self.n,
            first_time_s=float(time_s[0]),
            last_time_s=float(time_s[-1]),
            interval_s=self.interval_s,
            gaps=self.gaps,
        )

    @property
    def plan(self) -> Plan:
        """The plan: the approaches alone matter."""
        return Plan(
            source="lesson",
            departure=None,
            destination=None,
            route=(),
            route_altitude_ft=None,
            approaches=self.planned,
            fixes=(),
        )

    @property
    def alignment(self) -> Alignment:
        """The alignment: one route leg unless said."""
        legs = self.legs
        if legs is None:
            legs = (flown_leg(leg_of_plan("R1", "BRAKO", "CALDU"), 0, self.n),)
        leg = np.full(self.n, -1)
        for position, item in enumerate(legs):
            leg[item.start : item.stop] = position
        approach = np.full(self.n, -1)
        for position, flown in enumerate(self.approaches):
            approach[flown.start : flown.stop] = position
        return Alignment(
            leg=readonly_ints(np.broadcast_to(np.asarray(self.columns.get("leg", leg), dtype=np.int64), (self.n,))),
            guidance=self.codes("guidance", GUIDANCE_CODE[Guidance.LEG]),
            phase=self.codes("phase", PHASE_CODE[Phase.EN_ROUTE]),
            approach=readonly_ints(approach),
            in_turn=self.flags("in_turn", default=False),
            turn=self.codes("turn", -1),
            assigned_altitude_ft=self.floats("assigned_ft"),
            altitude_owed=self.flags("altitude_owed", default=True),
            heading_owed_deg_mag=self.floats("heading_owed_deg_mag"),
            established=self.flags("established", default=True),
            legs=legs,
            turns=self.turns,
            approaches=self.approaches,
            instructions=self.instructions,
        )

    @property
    def deviations(self) -> Deviations:
        """The deviations, as the columns say; the altitude error follows from altitude and assignment."""
        assigned_ft, altitude_ft = self.floats("assigned_ft"), self.floats("altitude_ft")
        owed = self.flags("altitude_owed", default=True)
        doubt = readonly_floats(np.full(self.n, self.doubt_ft))
        names = [item.name for item in dataclasses.fields(Deviations)]
        columns: dict[str, Any] = {
            name: self.floats(name) for name in names if name not in {"judged", "horizontal_accuracy_nm", "notes"}
        }
        columns["assigned_altitude_ft"] = assigned_ft
        columns["altitude_error_ft"] = readonly_floats(np.where(owed, altitude_ft - assigned_ft, np.nan))
        columns["lateral_full_scale_nm"] = self.floats("lateral_full_scale_nm", 1.0)
        columns["vertical_full_scale_ft"] = self.floats("vertical_full_scale_ft", 200.0)
        del columns["horizontal_words"]
        return Deviations(
            **columns,
            judged=JudgedAltitude(
                kind=self.altitude_kind,
                altitude_ft=altitude_ft,
                vertical_speed_fpm=self.floats("vertical_speed_fpm", 0.0),
                accuracy_ft=self.doubt_ft,
                against_assigned_ft=doubt,
                against_glidepath_ft=doubt,
                words="",
            ),
            horizontal_accuracy_nm=self.accuracy_nm,
            horizontal_words="",
        )

    def assess(self) -> Assessment:
        """The assessment of this flight."""
        return assess(
            self.track,
            self.plan,
            Lesson(event=self.events, navigation=self.navigation),
            self.alignment,
            self.deviations,
            standard_named(self.standard),
        )

    def findings(self, what: str) -> list[Finding]:
        """The findings of one quantity."""
        return [finding for finding in self.assess().findings if finding.what == what]

    def finding(self, what: str) -> Finding:
        """The only finding of a quantity."""
        (only,) = self.findings(what)
        return only


@pytest.fixture
def flight() -> Callable[..., Parts]:
    """Build a flight: ``flight(altitude_ft=..., n=..., ...)``; names that are no field are columns."""
    fields = {item.name for item in dataclasses.fields(Parts)}

    def build(**said: Any) -> Parts:
        columns = {name: values for name, values in said.items() if name not in fields}
        return Parts(columns=columns, **{name: value for name, value in said.items() if name in fields})

    return build


@pytest.fixture
def on_final(flight: Callable[..., Parts]) -> Callable[..., Parts]:
    """Build a flight on an approach: HOLMA to FERNU for 50 samples, then final to ``n``; keywords as of ``flight``.

    ``approach`` holds keywords of the approach, ``outcome``, ``landing``, ``missed_start`` how it ended, ``lowest`` the
    lowest sample where that is not ``missed_start``.
    """

    def build(
        *,
        approach: dict[str, Any] | None = None,
        outcome: str | None = "landed",
        landing: int | None = None,
        missed_start: int | None = None,
        lowest: int | None = None,
        missed_leg_from: int | None = None,
        **said: Any,
    ) -> Parts:
        n = said.setdefault("n", 200)
        planned = approach_of_plan(**(approach or {}))
        end = n if missed_leg_from is None else missed_leg_from
        legs: Sequence[FlownLeg] = [
            flown_leg(planned.legs[1], 0, 50, approach=0),
            flown_leg(planned.legs[2], 50, end, approach=0),
        ]
        if missed_leg_from is not None:
            legs = [*legs, flown_leg(planned.missed[0], missed_leg_from, n, approach=0)]
        flown = FlownApproach(
            approach=0,
            start=0,
            stop=n,
            joined=0,
            faf=50,
            lowest=missed_start if lowest is None else lowest,
            landing=landing if landing is not None or missed_start is not None else n - 1,
            missed_start=missed_start,
            outcome=outcome,  # type: ignore[arg-type]
        )
        said.setdefault("phase", PHASE_CODE[Phase.APPROACH])
        return flight(legs=tuple(legs), approaches=(flown,), planned=(planned,), **said)

    return build


@pytest.fixture
def said() -> Callable[..., Instruction]:
    """An instruction that was said at a second of the flight: ``said(10, heading_deg_mag=250)``."""

    def build(second: float, *, doubt: str = "", origin: str = "said", **values: Any) -> Instruction:
        kind = "heading" if "heading_deg_mag" in values else next(iter(values)).removesuffix("_ft")
        return Instruction(
            origin=origin,  # type: ignore[arg-type]
            kind=kind,
            clearance=Clearance(**values),
            time_s=START_S + second,
            time_accuracy_s=0.0,
            effect_s=START_S + second,
            text="",
            doubt=doubt,
        )

    return build
