"""A small kinematic flyer: constructed tracks with true labels. It shares no code with the package.

Positions by GeographicLib; an air mass that moves; turns at 3 deg/s; a pilot who steers for the track line. Every step
is labelled with what is being navigated by, before any noise is added.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cache

import numpy as np
import numpy.typing as npt
from geographiclib.geodesic import Geodesic

from legwise.align import align
from legwise.model.alignment import GUIDANCE_WORDS, Alignment
from legwise.model.arrays import readonly_floats, readonly_ints
from legwise.model.deviations import JudgedAltitude
from legwise.model.lesson import Lesson
from legwise.model.plan import Plan
from legwise.model.track import AltitudeKind, Motion, Samples, Track, TrackSource
from legwise.plan import make_plan

START = dt.datetime(2026, 4, 18, 13, 0, 0, tzinfo=dt.UTC)
START_S = START.timestamp()
DATE = START.date()
M_PER_NM = 1852.0
STEP_S = 0.5
A_NM = 6_378_137.0 / M_PER_NM
E2 = 0.006_694_379_990_14
Position = tuple[float, float]

# Invented islands, far from any real aerodrome; not for navigation.
FIXES: dict[str, Position] = {
    "XTBN": (46.0000, -28.3000),
    "BRAKO": (46.1500, -28.1000),
    "CALDU": (46.4200, -27.6500),
    "DOLPA": (46.5500, -26.9000),
    "HOLMA": (46.9500, -26.6000),
    "FERNU": (46.9150, -26.9500),
    "RW27": (46.9000, -27.1000),
    "XSKH": (46.9000, -27.1100),
    "VELLA": (46.8600, -27.4500),
    "PIKES": (46.6500, -27.2000),
}


def bearing_and_distance(here: Position, there: Position) -> tuple[float, float]:
    """Course at ``here`` [deg] and distance [NM]."""
    line = Geodesic.WGS84.Inverse(*here, *there, Geodesic.AZIMUTH | Geodesic.DISTANCE)
    return float(line["azi1"]) % 360.0, float(line["s12"]) / M_PER_NM


def near_bearing_and_distance(here: Position, there: Position) -> tuple[float, float]:
    """The same on the plane that touches the ellipsoid halfway: within 0.01 NM over 30 NM, enough to steer by."""
    middle = math.radians(0.5 * (here[0] + there[0]))
    w = math.sqrt(1.0 - E2 * math.sin(middle) ** 2)
    north = math.radians(there[0] - here[0]) * A_NM * (1.0 - E2) / w**3
    east = math.radians(there[1] - here[1]) * A_NM / w * math.cos(middle)
    closing = 0.5 * math.degrees(math.radians(there[1] - here[1]) * math.sin(middle))
    return (math.degrees(math.atan2(east, north)) - closing) % 360.0, math.hypot(north, east)


def course_between(here: Position, there: Position) -> float:
    return bearing_and_distance(here, there)[0]


def onward(here: Position, course: float, distance_nm: float) -> Position:
    line = Geodesic.WGS84.Direct(*here, course, distance_nm * M_PER_NM, Geodesic.LATITUDE | Geodesic.LONGITUDE)
    return float(line["lat2"]), float(line["lon2"])


def wrapped(angle: float) -> float:
    return (angle + 180.0) % 360.0 - 180.0


@dataclass
class Flyer:
    """An aircraft with its log. ``label`` is written to every row: guidance word and where the leg leads."""

    position: Position
    heading: float
    altitude_ft: float = 3000.0
    tas_kt: float = 110.0
    wind_from: float = 0.0
    wind_kt: float = 0.0
    target_ft: float = 3000.0
    climb_fpm: float = 500.0
    time_s: float = 0.0
    label: tuple[str, str] = ("none", "")
    rows: list[tuple[float, float, float, float]] = field(default_factory=list)
    labels: list[tuple[str, str]] = field(default_factory=list)
    events: dict[str, float] = field(default_factory=dict)

    @property
    def velocity(self) -> tuple[float, float]:
        """East and north over the ground. [kt]"""
        h, w = math.radians(self.heading), math.radians(self.wind_from + 180.0)
        wind = self.wind_kt if self.tas_kt > 50 else 0.0
        return (
            self.tas_kt * math.sin(h) + wind * math.sin(w),
            self.tas_kt * math.cos(h) + wind * math.cos(w),
        )

    @property
    def track(self) -> float:
        return math.degrees(math.atan2(*self.velocity)) % 360.0

    @property
    def speed_kt(self) -> float:
        return math.hypot(*self.velocity)

    @property
    def radius_nm(self) -> float:
        return self.speed_kt / (3600.0 * math.radians(3.0))

    def mark(self, name: str) -> None:
        self.events.setdefault(name, START_S + self.time_s)

    def step(self, heading: float | None = None) -> None:
        """One step of time, turning at up to 3 deg/s toward a heading."""
        self.rows.append((self.time_s, *self.position, self.altitude_ft))
        self.labels.append(self.label)
        if heading is not None:
            most = 3.0 * STEP_S
            self.heading = (self.heading + max(-most, min(most, wrapped(heading - self.heading)))) % 360.0
        rate = max(-self.climb_fpm, min(self.climb_fpm, (self.target_ft - self.altitude_ft) * 12.0))
        self.altitude_ft += rate / 60.0 * STEP_S
        self.position = onward(self.position, self.track, self.speed_kt * STEP_S / 3600.0)
        self.time_s += STEP_S

    def heading_for(self, track: float) -> float:
        """Heading that makes a track good in this wind."""
        across = self.wind_kt * math.sin(math.radians(self.wind_from - track))
        return track + math.degrees(math.asin(max(-0.9, min(0.9, across / self.tas_kt))))

    def fly_heading(self, heading: float, seconds: float) -> None:
        self.label = ("vectors", "")
        for _ in range(int(seconds / STEP_S)):
            self.step(heading)

    def steer_line(
        self, start: Position, end: Position, offset_nm: float = 0.0, cut: float = 30.0
    ) -> tuple[float, float]:
        """One step along a line; returns cross-track [NM, right positive] and distance to go [NM]."""
        across, to_go, course = against_line(self.position, start, end)
        # The cut shrinks as the line comes nearer, so that the turn onto it ends on it.
        aim = max(-cut, min(cut, -60.0 * (across - offset_nm)))
        self.step(self.heading_for(course + aim))
        return across, to_go

    def fly_leg(
        self,
        start: str,
        end: str,
        following: str | None = None,
        *,
        kind: str = "leg",
        offset_nm: float = 0.0,
        late_nm: float = 0.0,
        to_go_nm: float | None = None,
        fly_over: bool = False,
        each: Callable[[], None] | None = None,
    ) -> None:
        """Fly a leg to where the turn onto the next one begins (``late_nm`` past that), or to a distance to go.

        The label changes to the following leg by itself on the bisector, or on passing a fly-over fix: see ``after``.
        """
        here, there = FIXES[start], FIXES[end]
        self.label = (kind, end)
        lead = 0.0
        if following is not None and not fly_over:
            turn = abs(wrapped(course_between(there, FIXES[following]) - course_between(there, here) - 180.0))
            lead = self.radius_nm * math.tan(math.radians(turn) / 2.0)
        until = to_go_nm if to_go_nm is not None else lead - late_nm
        for _ in range(20_000):
            if following is not None and not fly_over and past_bisector(self.position, start, end, following):
                self.label = (kind, following)
            _across, to_go = self.steer_line(here, there, offset_nm)
            if each is not None:
                each()
            if to_go <= until:
                break
        if following is not None and not fly_over:
            self.mark(f"turn at {end}")
            # The turn itself, until past the bisector.
            for _ in range(400):
                if past_bisector(self.position, start, end, following):
                    break
                self.steer_line(there, FIXES[following], cut=45.0)
        if following is not None:
            self.label = (kind, following)
            self.mark(f"passed {end}")

    def fly_direct(self, to: str, until_nm: float = 0.3, following: str | None = None) -> None:
        """Turn to a fix and fly straight there."""
        self.label = ("direct", to)
        self.mark(f"direct {to}")
        start: Position | None = None
        begun = self.position
        for _ in range(20_000):
            bearing, distance = near_bearing_and_distance(self.position, FIXES[to])
            lead = until_nm
            if following is not None:
                turn = abs(wrapped(course_between(FIXES[to], FIXES[following]) - bearing))
                lead = self.radius_nm * math.tan(math.radians(turn) / 2.0)
            if distance <= lead:
                break
            if start is None and abs(wrapped(self.track - bearing)) < 2.0:
                start = self.position
            if start is not None:
                self.steer_line(start, FIXES[to])
            else:
                self.step(self.heading_for(bearing))
        if following is not None:
            for _ in range(400):
                bisects = past_bisector_at(self.position, begun, FIXES[to], FIXES[following])
                if bisects:
                    break
                self.steer_line(FIXES[to], FIXES[following], cut=45.0)
            self.mark(f"passed {to}")

    def take_off(self, course: float, elevation_ft: float, to_ft: float) -> None:
        """Stand, roll, lift off at 65 kt and climb straight ahead for 40 s."""
        self.label = ("none", "")
        self.heading, self.altitude_ft, self.target_ft = course, elevation_ft, elevation_ft
        cruise, self.tas_kt = self.tas_kt, 0.1
        wind, self.wind_kt = self.wind_kt, 0.0
        for _ in range(int(40 / STEP_S)):
            self.step()
        while self.tas_kt < 65.0:
            self.tas_kt += 3.0 * STEP_S
            self.step()
        self.mark("take-off")
        self.target_ft = to_ft
        for _ in range(int(40 / STEP_S)):
            self.tas_kt = min(cruise, self.tas_kt + 2.0 * STEP_S)
            self.wind_kt = min(wind, self.wind_kt + 1.0)
            self.step(self.heading_for(course))
        self.tas_kt, self.wind_kt = cruise, wind

    def glide_to(self, threshold: str, elevation_ft: float) -> Callable[[], None]:
        """Follow a 3 degree path to 50 ft over a threshold, never climbing."""

        def down() -> None:
            _course, distance = near_bearing_and_distance(self.position, FIXES[threshold])
            path = elevation_ft + 50.0 + distance * 6076.12 * math.tan(math.radians(3.0))
            self.climb_fpm = 900.0
            self.target_ft = min(self.target_ft, path)

        return down

    def land(self, course: float, elevation_ft: float) -> None:
        """Flare past the threshold, touch down, roll out, stand."""
        self.climb_fpm = 300.0
        self.target_ft = elevation_ft - 50.0
        while self.altitude_ft > elevation_ft:
            self.tas_kt = max(65.0, self.tas_kt - 2.0 * STEP_S)
            self.step(self.heading_for(course))
        self.mark("landing")
        self.altitude_ft = self.target_ft = elevation_ft
        self.wind_kt, self.label = 0.0, ("none", "")
        while self.tas_kt > 3.0:
            self.tas_kt -= 3.0 * STEP_S
            self.step(course)
        self.tas_kt = 0.1
        for _ in range(int(40 / STEP_S)):
            self.step()


def against_line(here: Position, start: Position, end: Position) -> tuple[float, float, float]:
    """Cross-track (right positive), distance to go and course there. [NM, deg]"""
    back = cached_course(end, start)
    outward, distance = near_bearing_and_distance(here, end)
    toward = cached_course(start, end)
    bearing = outward + 180.0 + convergence(here, end)
    angle = math.radians(wrapped(bearing - back))
    across, along = -distance * math.sin(angle), distance * math.cos(angle)
    length = bearing_length(start, end)
    arrival = (back + 180.0) % 360.0
    share = max(0.0, min(1.0, along / length))
    return across, along, arrival + wrapped(toward - arrival) * share


def convergence(here: Position, there: Position) -> float:
    """How much the course changes along the way. [deg]"""
    return (there[1] - here[1]) * math.sin(math.radians(0.5 * (here[0] + there[0])))


@cache
def cached_course(here: Position, there: Position) -> float:
    return course_between(here, there)


@cache
def bearing_length(here: Position, there: Position) -> float:
    return bearing_and_distance(here, there)[1]


def past_bisector(here: Position, start: str, end: str, following: str) -> bool:
    return past_bisector_at(here, FIXES[start], FIXES[end], FIXES[following])


def past_bisector_at(here: Position, start: Position, end: Position, following: Position) -> bool:
    inbound = (cached_course(end, start) + 180.0) % 360.0
    outbound = cached_course(end, following)
    middle = inbound + wrapped(outbound - inbound) / 2.0
    bearing, distance = near_bearing_and_distance(end, here)
    return distance * math.cos(math.radians(wrapped(bearing - middle))) >= 0.0


@dataclass(frozen=True)
class Flown:
    """A constructed flight: what the package is given, and the truth about it."""

    track: Track
    judged: JudgedAltitude
    labels: list[tuple[str, str]]
    events: dict[str, float]

    def aligned(self, lesson: Lesson) -> Alignment:
        return align(self.track, self.plan(lesson), lesson, self.judged)

    def plan(self, lesson: Lesson) -> Plan:
        return make_plan(lesson, date=DATE)

    def agreement(self, alignment: Alignment) -> float:
        """Share of samples whose guidance and leg (by where it leads) are the true ones."""
        right = [told(alignment, i) == label for i, label in enumerate(self.labels)]
        return sum(right) / len(right)


def told(alignment: Alignment, sample: int) -> tuple[str, str]:
    leg = int(alignment.leg[sample])
    return GUIDANCE_WORDS[int(alignment.guidance[sample])], alignment.legs[leg].to_ident if leg >= 0 else ""


def log(flyer: Flyer, *, interval_s: float = 1.0, noise_m: float = 3.0, altitude: bool = True, seed: int = 7) -> Flown:
    """The log of a flight: thinned to an interval, positions with correlated noise of metres, motion from them."""
    every = round(interval_s / STEP_S)
    rows = np.array(flyer.rows[::every])
    labels = flyer.labels[::every]
    return flown_from(rows, labels, flyer.events, noise_m=noise_m, altitude=altitude, seed=seed)


def flown_from(
    rows: npt.NDArray[np.float64],
    labels: list[tuple[str, str]],
    events: dict[str, float],
    *,
    noise_m: float = 3.0,
    altitude: bool = True,
    seed: int = 7,
    gap_s: float = 60.0,
) -> Flown:
    random = np.random.default_rng(seed)
    time_s = START_S + rows[:, 0]
    n = len(time_s)
    interval = float(np.median(np.diff(time_s)))
    keep = math.exp(-interval / 30.0)
    wander = np.zeros((n, 3))
    for i in range(1, n):
        wander[i] = keep * wander[i - 1] + math.sqrt(1.0 - keep**2) * random.normal(size=3)
    lat = rows[:, 1] + noise_m * wander[:, 0] / 111_200.0
    lon = rows[:, 2] + noise_m * wander[:, 1] / (111_200.0 * np.cos(np.radians(rows[:, 1])))
    heights = rows[:, 3] + 8.0 * wander[:, 2] if altitude else np.full(n, np.nan)
    gaps = tuple((i, i + 1) for i in range(n - 1) if time_s[i + 1] - time_s[i] > max(gap_s, 3.0 * interval))
    samples = Samples(
        time_s=readonly_floats(time_s),
        lat_deg=readonly_floats(lat),
        lon_deg=readonly_floats(lon),
        altitudes_ft={AltitudeKind.INDICATED: readonly_floats(heights)} if altitude else {},
        segment=readonly_ints(np.zeros(n)),
        line=readonly_ints(np.arange(n) + 2),
    )
    track = Track(
        samples=samples,
        source=TrackSource(file="flown.csv", format="csv", sha256=""),
        motion=motion_of(time_s, lat, lon, interval),
        route=(),
        waypoints=(),
        faults=(),
        samples_read=n,
        first_time_s=float(time_s[0]),
        last_time_s=float(time_s[-1]),
        interval_s=interval,
        gaps=gaps,
    )
    nothing = readonly_floats(np.full(n, np.nan))
    judged = JudgedAltitude(
        kind=AltitudeKind.INDICATED if altitude else None,
        altitude_ft=readonly_floats(heights),
        vertical_speed_fpm=readonly_floats(np.gradient(heights, time_s) * 60.0) if altitude and n > 1 else nothing,
        accuracy_ft=20.0,
        against_assigned_ft=readonly_floats(np.full(n, 20.0)),
        against_glidepath_ft=readonly_floats(np.full(n, 60.0)),
        words="",
    )
    return Flown(track=track, judged=judged, labels=labels, events=events)


def motion_of(
    time_s: npt.NDArray[np.float64], lat: npt.NDArray[np.float64], lon: npt.NDArray[np.float64], interval: float
) -> Motion:
    """Groundspeed, track and its rate from positions two seconds either side."""
    n = len(time_s)
    reach = max(1, round(2.0 / interval))
    early, late = np.maximum(np.arange(n) - reach, 0), np.minimum(np.arange(n) + reach, n - 1)
    north = (lat[late] - lat[early]) * 60.0
    east = (lon[late] - lon[early]) * 60.0 * np.cos(np.radians(lat))
    span = np.maximum(time_s[late] - time_s[early], 1e-3)
    speed = np.hypot(north, east) / span * 3600.0
    track = np.degrees(np.arctan2(east, north)) % 360.0
    track[speed < 3.0] = np.nan
    change = (track[late] - track[early] + 180.0) % 360.0 - 180.0
    return Motion(
        groundspeed_kt=readonly_floats(speed),
        track_deg_true=readonly_floats(track),
        track_rate_dps=readonly_floats(np.nan_to_num(change / span)),
    )


def lesson_of(**tables: object) -> Lesson:
    """A lesson with the islands' fixes. TOML's times come as Python's own."""
    fixes = [
        {"ident": ident, "lat_deg": lat, "lon_deg": lon, **FIX_EXTRAS.get(ident, {})}
        for ident, (lat, lon) in FIXES.items()
        if ident != "RW27"
    ]
    return Lesson.model_validate({"lesson": {"date": DATE}, "fix": fixes, **tables})


FIX_EXTRAS: dict[str, dict[str, object]] = {
    "XTBN": {"kind": "airport", "elevation_ft": 40.0},
    "XSKH": {"kind": "airport", "elevation_ft": 88.0},
}
ROUTE = {"points": ["XTBN", "BRAKO", "CALDU", "DOLPA", "HOLMA"], "altitude_ft": 4000.0}
APPROACH: dict[str, object] = {
    "airport": "XSKH",
    "title": "RNAV (GPS) RWY 27",
    "guidance": "LPV",
    "runway": {
        "ident": "RW27",
        "lat_deg": FIXES["RW27"][0],
        "lon_deg": FIXES["RW27"][1],
        "elevation_ft": 88.0,
        "course_deg_true": course_between(FIXES["FERNU"], FIXES["RW27"]),
    },
    "glidepath_deg": 3.0,
    "minima": {"da_ft": 400.0},
    "leg": [
        {"path": "IF", "fix": "HOLMA", "altitude": {"at_or_above_ft": 3000.0}},
        {"path": "TF", "fix": "FERNU", "altitude": {"at_or_above_ft": 2000.0}, "role": "FAF"},
        {"path": "TF", "fix": "RW27", "role": "MAP", "fly_over": True},
    ],
    "missed": [
        {"path": "TF", "fix": "VELLA"},
        {"path": "DF", "fix": "PIKES"},
    ],
}


def at(seconds: float) -> dt.datetime:
    return START + dt.timedelta(seconds=round(seconds))
