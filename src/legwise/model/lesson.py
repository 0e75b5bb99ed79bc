"""The lesson: what was to be flown, what was said, how it is to be judged. Keys are those of the lesson file.

These are validated, frozen pydantic models, because the file *is* the type: every key stands here once, with its unit
and its range. Reading TOML, line numbers, checks across keys and messages belong to :mod:`legwise.lessons`; looking
fixes up belongs to :mod:`legwise.plan`.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from legwise.model.lesson_values import (
    Altitude,
    ApproachGuidance,
    Centre,
    Column,
    ColumnChoice,
    Day,
    Direction,
    Distance,
    EventKind,
    FixKind,
    FlightLevel,
    Ident,
    Latitude,
    Longitude,
    Minimum,
    PathTerminator,
    Position,
    QnhHpa,
    QnhInhg,
    Role,
    Speed,
    Table,
    Time,
    Turn,
    Words,
    WrittenPath,
)  # fmt: skip
from legwise.model.route_text import RouteElement

__all__ = [
    "Accuracy", "Aircraft", "AltimeterSetting", "Altimetry", "AltitudeLimit", "ApproachGuidance", "Centre", "Clearance",
    "Column", "ColumnChoice", "Crossing", "Event", "EventKind", "FixKind", "HoldInstruction", "Lesson",
    "LessonApproach", "LessonFix", "LessonHead", "LessonLeg", "Minima", "NavdataFiles", "Navigation", "Objective",
    "Observed", "PathTerminator", "Position", "Remark", "Role", "Route", "Runway", "Table", "Time", "Turn",
]  # fmt: skip


class Objective(Table):
    """An objective of the lesson, in the instructor's words."""

    task: Words
    standard: Words | None = None


class LessonHead(Table):
    """``[lesson]``: which lesson, whose, when, by which standard."""

    title: Words | None = None
    date: Day | None = None
    student: Words | None = None
    instructor: Words | None = None
    standard: Annotated[str, Field(min_length=1, max_length=1000)] = "faa-instrument"
    objective: Annotated[tuple[Objective, ...], Field(strict=False, max_length=100)] = ()
    device: Literal["aeroplane", "simulator"] | None = None


class Altimetry(Table):
    """``[altimetry]``: the setting and the air, where they are known."""

    qnh_hpa: QnhHpa | None = None
    altimeter_inhg: QnhInhg | None = None
    oat_deg_c: Annotated[float, Field(ge=-80, le=60)] | None = None
    transition_altitude_ft: Minimum | None = None
    source: Literal["auto", "indicated", "pressure", "gnss-msl", "gnss-ellipsoid"] = "auto"


class AltimeterSetting(Table):
    """``[[altimeter]]``: a setting from a time on."""

    time: Time | None = None
    time_accuracy_s: Annotated[float, Field(ge=0, le=3600)] | None = None
    qnh_hpa: QnhHpa | None = None
    altimeter_inhg: QnhInhg | None = None
    standard: bool | None = None


class Accuracy(Table):
    """``[accuracy]``: the log's own 95 % accuracy, the whole doubt."""

    horizontal_m: Annotated[float, Field(gt=0, le=20_000)] | None = None
    altitude_ft: Annotated[float, Field(gt=0, le=5_000)] | None = None


class Aircraft(Table):
    """``[aircraft]``: speeds and category, judged only when known."""

    approach_ias_kt: Speed | None = None
    holding_ias_kt: Speed | None = None
    category: Literal["A", "B", "C", "D", "E"] | None = None


class Navigation(Table):
    """``[navigation]``: which receiver guided, which decides the needle's full scale."""

    receiver: Literal["sbas", "gps"] = "sbas"
    vertical: Literal["sbas", "baro"] = "sbas"
    dme: Literal["rnav", "slant"] = "rnav"


class LessonFix(Table):
    """``[[fix]]``: a fix written into the lesson."""

    ident: Ident
    lat_deg: Latitude
    lon_deg: Longitude
    kind: FixKind = "waypoint"
    elevation_ft: Altitude | None = None
    fly_over: bool = False
    variation_deg: Annotated[float, Field(ge=-180, le=180)] | None = None


class NavdataFiles(Table):
    """``[navdata]``: the files of coded navigation data, relative to the lesson file."""

    arinc424: Annotated[str, Field(min_length=1, max_length=1000)] | None = None
    fixes: Annotated[str, Field(min_length=1, max_length=1000)] | None = None


class Route(Table):
    """``[route]``: flight-plan text or a list of points, and the altitude filed.

    ``departure_runway`` and ``arrival_runway`` choose the runway transitions of the departure and arrival in ``text``.
    ``speed_kt`` is the planned groundspeed, for the lead of turns and times. ``elements`` are those of ``text``, filled
    in by :mod:`legwise.lessons`; they are no key of the file.
    """

    text: Words | None = None
    points: Annotated[tuple[Ident, ...], Field(strict=False, max_length=500)] | None = None
    altitude_ft: Altitude | None = None
    speed_kt: Speed | None = None
    departure_runway: Ident | None = None
    arrival_runway: Ident | None = None
    elements: Annotated[tuple[RouteElement, ...], Field(strict=False, exclude=True)] = ()


class AltitudeLimit(Table):
    """``altitude`` of a leg: at, at or above, at or below, or a window of both."""

    at_ft: Altitude | None = None
    at_or_above_ft: Altitude | None = None
    at_or_below_ft: Altitude | None = None


class LessonLeg(Table):
    """A leg written out; ``path`` is the ARINC 424 path terminator."""

    path: WrittenPath
    fix: Ident | None = None
    altitude: AltitudeLimit | None = None
    speed_max_kt: Speed | None = None
    role: Role | None = None
    fly_over: bool | None = None
    turn: Turn | None = None
    course_deg_mag: Direction | None = None
    course_deg_true: Direction | None = None
    heading_deg_mag: Direction | None = None
    heading_deg_true: Direction | None = None
    outbound_course_deg_mag: Direction | None = None
    outbound_course_deg_true: Direction | None = None
    inbound_course_deg_mag: Direction | None = None
    inbound_course_deg_true: Direction | None = None
    radial_deg_mag: Direction | None = None
    radial_deg_true: Direction | None = None
    centre: Centre | None = None
    radius_nm: Distance | None = None
    dme: Ident | None = None
    navaid: Ident | None = None
    distance_nm: Distance | None = None
    limit_nm: Distance | None = None
    leg_minutes: Annotated[float, Field(gt=0, le=30)] | None = None
    leg_nm: Distance | None = None


class Runway(Table):
    """``runway``: the threshold of the landing runway and the final course at it."""

    ident: Ident
    lat_deg: Latitude
    lon_deg: Longitude
    elevation_ft: Altitude
    course_deg_true: Direction | None = None
    course_deg_mag: Direction | None = None
    length_ft: Annotated[float, Field(gt=0, le=30_000)] | None = None


class Minima(Table):
    """``minima``: a decision altitude or a minimum descent altitude, above mean sea level."""

    da_ft: Minimum | None = None
    mda_ft: Minimum | None = None


class LessonApproach(Table):
    """``[[approach]]``: an approach, by its procedure identifier (needs nav data) or written out."""

    airport: Ident
    procedure: Ident | None = None
    transition: Ident | None = None
    title: Words | None = None
    guidance: ApproachGuidance | None = None
    selected: Literal["full", "final-only"] = "full"
    technique: Literal["continuous", "stepped"] = "continuous"
    navaid: Ident | None = None
    runway: Runway | None = None
    glidepath_deg: Annotated[float, Field(ge=1, le=10)] | None = None
    threshold_crossing_height_ft: Annotated[float, Field(ge=0, le=200)] | None = None
    course_half_width_at_threshold_ft: Annotated[float, Field(ge=100, le=500)] | None = None
    minima: Minima | None = None
    flown_minima: Minima | None = None
    leg: Annotated[tuple[LessonLeg, ...], Field(strict=False, max_length=100)] = ()
    missed: Annotated[tuple[LessonLeg, ...], Field(strict=False, max_length=100)] = ()


class HoldInstruction(Table):
    """``hold``: as published (only the fix) or with its details."""

    fix: Ident
    inbound_course_deg_mag: Direction | None = None
    inbound_course_deg_true: Direction | None = None
    turn: Turn | None = None
    leg_minutes: Annotated[float, Field(gt=0, le=30)] | None = None
    leg_nm: Distance | None = None
    altitude_ft: Altitude | None = None
    efc: Time | None = None


class Crossing(Table):
    """``crossing``: an altitude assigned at a fix."""

    fix: Ident
    at_ft: Altitude | None = None
    at_or_above_ft: Altitude | None = None
    at_or_below_ft: Altitude | None = None


class Clearance(Table):
    """``[[clearance]]``: what air traffic control said; each replaces what it touches."""

    time: Time | None = None
    time_accuracy_s: Annotated[float, Field(ge=0, le=3600)] | None = None
    heading_deg_mag: Direction | None = None
    heading_deg_true: Direction | None = None
    turn: Turn | None = None
    altitude_ft: Altitude | None = None
    flight_level: FlightLevel | None = None
    altitude_until: Literal["established"] | None = None
    direct: Ident | None = None
    hold: HoldInstruction | None = None
    until: Literal["final"] | None = None
    join: bool | None = None
    cleared: Ident | None = None
    across: bool | None = None
    resume: bool | None = None
    speed_kt: Speed | None = None
    crossing: Crossing | None = None
    missed: bool | None = None
    circle: Ident | None = None
    visual: bool | None = None
    discontinue: bool | None = None
    confirmed: bool | None = None


class Event(Table):
    """``[[event]]``: what no track can show, at a time."""

    time: Time
    what: EventKind


class Observed(Table):
    """``[[observed]]``: what the instructor saw done or not done."""

    item: Words
    done: bool | None = None


class Remark(Table):
    """``[[remark]]``: a remark at a moment of the flight."""

    time: Time | None = None
    text: Words


class Lesson(Table):
    """A whole lesson file. Only ``lesson.date`` is ever needed, and only where a time has no date.

    ``file`` is the name of the file it came from, for messages and for the debrief; ``folder`` is where that stands,
    from which the files it names are found; ``lines`` are the lines in it of keys and tables, by their names in
    messages (``[[approach]] 1 leg 3 fix``); ``elsewhere`` says of tables that another file holds where they stand
    (``said.txt, line 3``). None of the four is a key of the file.
    """

    lesson: LessonHead = LessonHead()
    altimetry: Altimetry = Altimetry()
    altimeter: Annotated[tuple[AltimeterSetting, ...], Field(strict=False, max_length=500)] = ()
    accuracy: Accuracy = Accuracy()
    aircraft: Aircraft = Aircraft()
    navigation: Navigation = Navigation()
    navdata: NavdataFiles = NavdataFiles()
    fix: Annotated[tuple[LessonFix, ...], Field(strict=False, max_length=5000)] = ()
    route: Route = Route()
    approach: Annotated[tuple[LessonApproach, ...], Field(strict=False, max_length=50)] = ()
    clearance: Annotated[tuple[Clearance, ...], Field(strict=False, max_length=2000)] = ()
    event: Annotated[tuple[Event, ...], Field(strict=False, max_length=2000)] = ()
    observed: Annotated[tuple[Observed, ...], Field(strict=False, max_length=500)] = ()
    remark: Annotated[tuple[Remark, ...], Field(strict=False, max_length=2000)] = ()
    columns: dict[str, Column] = Field(default_factory=dict, max_length=100)
    file: str = Field(default="", exclude=True)
    folder: str = Field(default="", exclude=True)
    lines: dict[str, int] = Field(default_factory=dict, exclude=True, repr=False)
    elsewhere: dict[str, str] = Field(default_factory=dict, exclude=True, repr=False)

    def where(self, key: str) -> str:
        """A key of the lesson as messages name it: the file, the line of the key or of what holds it, the key."""
        holder = key
        while holder and holder not in self.lines and holder not in self.elsewhere:
            holder = holder[: max(holder.rfind(" "), holder.rfind("."), 0)]
        if holder in self.elsewhere:
            return self.elsewhere[holder]
        line = f"line {self.lines[holder]}" if holder else ""
        return ", ".join(part for part in (self.file, line, key) if part)
