"""The Tarn Islands: invented, near 46N 028W, in open ocean. Not for navigation."""

from __future__ import annotations

from dataclasses import dataclass

from builders.tarn.earth import M_PER_FT, M_PER_NM, Line, Point, direct, inverse


@dataclass(frozen=True, slots=True)
class Runway:
    """A runway by its landing threshold; ``course_deg_true`` at it."""

    ident: str
    threshold: Point
    elevation_ft: float
    course_deg_true: float
    length_ft: float

    @property
    def far_end(self) -> Point:
        """The stop end."""
        return direct(self.threshold, self.course_deg_true, self.length_ft * M_PER_FT / M_PER_NM)


@dataclass(frozen=True, slots=True)
class Final:
    """A final approach: its runway, glidepath and minimum."""

    runway: Runway
    glidepath_deg: float
    threshold_crossing_height_ft: float
    half_width_ft: float
    da_ft: float
    faf_nm: float
    faf_altitude_ft: float


FIXES: dict[str, Point] = {
    "XTBN": Point(46.199250, -27.579878),
    "BRAKO": Point(46.316395, -27.436632),
    "CALDU": Point(46.533145, -27.377620),
    "NORVI": Point(46.575123, -27.051681),
    "SELKA": Point(46.741194, -26.748610),
    "HOLMA": Point(46.925560, -26.816547),
    "FERNU": Point(46.912600, -26.961272),
    "RW27": Point(46.900000, -27.100000),
    "XSKH": Point(46.899057, -27.110309),
    "TOVIK": Point(46.893367, -27.172266),
    "OSTRA": Point(46.749856, -27.318138),
}
ELEVATION_FT: dict[str, float] = {"XTBN": 46.0, "XSKH": 88.0}

SKARHOLM_27 = Runway("RW27", FIXES["RW27"], elevation_ft=88.0, course_deg_true=262.4, length_ft=5200.0)
SKARHOLM_LPV = Final(
    SKARHOLM_27,
    glidepath_deg=3.0,
    threshold_crossing_height_ft=50.0,
    half_width_ft=350.0,
    da_ft=612.0,
    faf_nm=inverse(FIXES["FERNU"], FIXES["RW27"])[0],
    faf_altitude_ft=2000.0,
)
_BAY_COURSE = inverse(FIXES["XTBN"], FIXES["BRAKO"])[1]
TARN_BAY_05 = Runway(
    "RW05",
    direct(FIXES["XTBN"], _BAY_COURSE + 180.0, 0.35),
    elevation_ft=ELEVATION_FT["XTBN"],
    course_deg_true=_BAY_COURSE,
    length_ft=4250.0,
)


def leg(start: str, end: str) -> Line:
    """The geodesic between two fixes."""
    return Line(FIXES[start], FIXES[end])
