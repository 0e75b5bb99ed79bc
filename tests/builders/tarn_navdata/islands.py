"""Places of the invented Tarn Islands as they are coded: aerodromes, runways, stations, waypoints. Not for navigation.

The places that the sample flights use are theirs (:mod:`builders.tarn.places`), to the 0.01 seconds of the columns.
Variations: the World Magnetic Model 2025 in the cycle's first days, to 0.1 degrees, at aerodromes and waypoints; the
VORs are aligned to a round number, as stations are whose variation has moved on since.
"""

from __future__ import annotations

import functools
import math

from pygeomag import GeoMag

from builders.tarn.earth import M_PER_FT, M_PER_NM, Point, direct, inverse
from builders.tarn.places import FIXES, SKARHOLM_27, TARN_BAY_05
from builders.tarn_navdata.columns import Place, as_coded

EPOCH = 2026.3
GLIDEPATH_DEG = 3.0
GEOID_M = 58.0
"""Height of mean sea level above the ellipsoid: invented."""


@functools.cache
def _model() -> GeoMag:
    return GeoMag(coefficients_file="wmm/WMM_2025.COF")


def model_variation(point: Point) -> float:
    """Declination of the World Magnetic Model to 0.1 degrees, east positive."""
    declination = _model().calculate(glat=point.lat_deg, glon=point.lon_deg, alt=0, time=EPOCH).d
    return round(float(declination), 1)


def waypoint(ident: str, point: Point, airport: str = "") -> Place:
    """A waypoint, en route or of an aerodrome."""
    coded = as_coded(point)
    section = "PC" if airport else "EA"
    return Place(ident=ident, section=section, point=coded, airport=airport, variation_deg=model_variation(coded))


def beyond(start: Place, towards_deg_true: float, distance_nm: float) -> Point:
    """The point at a distance from a place."""
    return direct(start.point, towards_deg_true, distance_nm)


def course(start: Place, end: Place) -> float:
    """Course at ``end`` of the geodesic from ``start``. [deg true]"""
    return inverse(start.point, end.point)[2]


def _aerodrome(ident: str, elevation_ft: float) -> Place:
    point = as_coded(FIXES[ident])
    return Place(
        ident=ident, section="PA", point=point, variation_deg=model_variation(point), elevation_ft=elevation_ft
    )


XTBN = _aerodrome("XTBN", 46)
XSKH = _aerodrome("XSKH", 88)


def _runway(ident: str, aerodrome: Place, point: Point, elevation_ft: float) -> Place:
    return Place(
        ident=ident,
        section="PG",
        point=as_coded(point),
        airport=aerodrome.ident,
        variation_deg=aerodrome.variation_deg,
        elevation_ft=elevation_ft,
    )


RW27 = _runway("RW27", XSKH, SKARHOLM_27.threshold, 88)
RW09 = _runway("RW09", XSKH, SKARHOLM_27.far_end, 74)
RW05 = _runway("RW05", XTBN, TARN_BAY_05.threshold, 46)
RW23 = _runway("RW23", XTBN, TARN_BAY_05.far_end, 41)
RUNWAYS = {  # place: its other end, length [ft], threshold crossing height [ft], localizer
    RW27: (RW09, 5200, 50, "ISKH1"),
    RW09: (RW27, 5200, 45, ""),
    RW05: (RW23, 4250, 40, ""),
    RW23: (RW05, 4250, 40, ""),
}
COURSE_27 = SKARHOLM_27.course_deg_true
COURSE_09 = inverse(RW09.point, RW27.point)[1]
COURSE_05 = inverse(RW05.point, RW23.point)[1]
COURSE_23 = inverse(RW23.point, RW05.point)[1]


def _station(ident: str, section: str, point: Point, variation_deg: float, airport: str = "") -> Place:
    has_dme, elevation_ft = section == "D ", 60.0 if section == "D " else None
    return Place(
        ident=ident,
        section=section,
        point=as_coded(point),
        variation_deg=variation_deg,
        airport=airport,
        has_dme=has_dme,
        elevation_ft=elevation_ft,
    )


SKH = _station("SKH", "D ", beyond(XSKH, COURSE_09 - 90, 0.2), -9.0)
TBN = _station("TBN", "D ", beyond(RW05, COURSE_05 + 180, 4.0), -8.0)
GRA = _station("GRA", "DB", beyond(RW23, COURSE_05, 4.5), XTBN.variation_deg)
LS = _station("LS", "PN", beyond(RW27, COURSE_27 + 180, 4.2), XSKH.variation_deg, airport="XSKH")

GLIDE_SLOPE_INSIDE_FT = round(50 / math.tan(math.radians(GLIDEPATH_DEG)))
_ABEAM = direct(RW27.point, COURSE_27, GLIDE_SLOPE_INSIDE_FT * M_PER_FT / M_PER_NM)
GLIDE_SLOPE = as_coded(direct(_ABEAM, COURSE_27 - 90, 400 * M_PER_FT / M_PER_NM))
ISKH = Place(
    ident="ISKH",
    section="PI",
    point=as_coded(direct(RW27.point, COURSE_27, (5200 + 1000) * M_PER_FT / M_PER_NM)),
    airport="XSKH",
    variation_deg=XSKH.variation_deg,
    has_dme=True,
    elevation_ft=88,
)
ISKH_DME = Place(
    ident="ISKH",
    section="D ",
    point=ISKH.point,
    airport="XSKH",
    variation_deg=XSKH.variation_deg,
    has_dme=True,
    elevation_ft=88,
)

# En route.
BRAKO, CALDU, NORVI, SELKA, HOLMA, OSTRA = (
    waypoint(ident, FIXES[ident]) for ident in ("BRAKO", "CALDU", "NORVI", "SELKA", "HOLMA", "OSTRA")
)
PERLO = waypoint("PERLO", direct(FIXES["BRAKO"], inverse(FIXES["BRAKO"], FIXES["CALDU"])[1], 6.5))
VANDO = waypoint("VANDO", direct(FIXES["CALDU"], 266.0, 16.0))
RANGA = waypoint("RANGA", direct(FIXES["SELKA"], 48.0, 13.0))
FAROL = waypoint("FAROL", direct(FIXES["OSTRA"], 291.0, 14.0))
VINDA = waypoint("VINDA", direct(FIXES["SELKA"], inverse(FIXES["SELKA"], FIXES["HOLMA"])[1], 6.0))

# Skarholm.
FERNU, TOVIK = (waypoint(ident, FIXES[ident], "XSKH") for ident in ("FERNU", "TOVIK"))
ULVIK = waypoint("ULVIK", beyond(RW27, COURSE_27 + 180, 2.6), "XSKH")
MORSA = waypoint("MORSA", beyond(RW09, COURSE_09 + 180, 11.0), "XSKH")
DALSO = waypoint("DALSO", beyond(RW09, COURSE_09 + 180, 5.5), "XSKH")
KIRNU = waypoint("KIRNU", beyond(RW09, COURSE_09 + 180, 2.5), "XSKH")
KELDI = waypoint("KELDI", beyond(RW27, COURSE_27 + 180, 4.5), "XSKH")
VOR_FINAL = 79.0
ARC_NM = 10.0
ARVIK = waypoint("ARVIK", beyond(SKH, VOR_FINAL + 180, ARC_NM), "XSKH")
TORLO = waypoint("TORLO", beyond(SKH, VOR_FINAL + 180, 5.0), "XSKH")
NESSA = waypoint("NESSA", beyond(SKH, VOR_FINAL + 180, 1.3), "XSKH")
VARBO = waypoint("VARBO", beyond(SKH, 196.0, ARC_NM), "XSKH")
SUNDO = waypoint("SUNDO", beyond(SKH, 330.0, ARC_NM), "XSKH")
TURN_NM = 2.5


def _tangent_arc() -> tuple[Place, Place]:
    """The left turn from a straight line out of NORVI onto the final course at KELDI: its begin and its centre."""
    on_course = inverse(KELDI.point, RW27.point)[1]
    centre = beyond(KELDI, on_course - 90, TURN_NM)
    begin, arriving = centre, 352.0
    for _ in range(20):
        begin = direct(centre, arriving + 90, TURN_NM)
        arriving = inverse(NORVI.point, begin)[2]
    return waypoint("TULVA", begin, "XSKH"), waypoint("CFTUL", centre, "XSKH")


TULVA, CFTUL = _tangent_arc()

# Tarn Bay.
SKALE = waypoint("SKALE", beyond(RW05, COURSE_05 + 180, 10.0), "XTBN")
MORUN = waypoint("MORUN", beyond(RW05, COURSE_05 + 180, 5.0), "XTBN")
TISKA = waypoint("TISKA", beyond(RW05, COURSE_05 + 180, 2.5), "XTBN")
DUNVA = waypoint("DUNVA", beyond(SKALE, COURSE_05 - 90, 5.0), "XTBN")
ELDRU = waypoint("ELDRU", beyond(SKALE, COURSE_05 + 90, 5.0), "XTBN")

# Far away, in the southern ocean's half: idents that the islands have too.
FAR_NORVI = Place(ident="NORVI", section="EA", point=Point(-12.5, -30.0), variation_deg=-20.0, region="XQ", area="FAR")
FAR_QUELA = Place(ident="QUELA", section="EA", point=Point(-13.25, -30.5), variation_deg=-20.0, region="XQ", area="FAR")
FAR_TBN = Place(
    ident="TBN",
    section="D ",
    point=Point(-12.0, -30.25),
    variation_deg=-20.0,
    has_dme=True,
    elevation_ft=20,
    region="XQ",
    area="FAR",
)
