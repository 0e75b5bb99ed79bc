"""Records of each kind against values read by hand from their columns."""

from __future__ import annotations

from pathlib import Path

import pytest

from legwise.model.navdata import FixKey, NavData, ProcedureKind, Section
from legwise.model.plan import AltitudeWindow
from legwise.navdata import open_navdata
from navdata.coded_lines import excerpt, waypoint, written

SECOND = 1.0 / 3600.0
EXACT = 1e-9
"""Degrees: arithmetic on the same figures."""


@pytest.fixture(name="kbtv", scope="module")
def kbtv_fixture() -> NavData:
    return open_navdata(excerpt("2609_KBTV"))


@pytest.fixture(name="kchs", scope="module")
def kchs_fixture() -> NavData:
    return open_navdata(excerpt("2101_KCHS"))


@pytest.fixture(name="enroute", scope="module")
def enroute_fixture() -> NavData:
    return open_navdata(excerpt("enroute"))


def degrees(whole: int, minutes: int, seconds: float) -> float:
    return whole + minutes / 60 + seconds * SECOND


def test_vor_with_dme(kbtv: NavData) -> None:
    # D        BTV   K6011750VDLW N44234958W073105749    N44234958W073105749W0150004171     NARBURLINGTON
    (fix,) = kbtv.fixes("BTV")

    assert fix.key == FixKey(ident="BTV", region="K6", section=Section.VHF_NAVAID)
    assert (fix.kind, fix.name, fix.frequency, fix.has_dme, fix.is_true) == ("vor", "BURLINGTON", "117.50", True, False)
    assert fix.lat_deg == pytest.approx(degrees(44, 23, 49.58), abs=EXACT)
    assert fix.lon_deg == pytest.approx(-degrees(73, 10, 57.49), abs=EXACT)
    assert (fix.variation_deg, fix.elevation_ft, fix.line) == (-15.0, 417.0, 2)
    assert (fix.dme_lat_deg, fix.dme_lon_deg) == (None, None)
    assert kbtv.fix(fix.key) == fix


def test_dme_of_an_ils_stands_alone(kbtv: NavData) -> None:
    # D KBTVK6 IVOE  K6011030 ITWN                   IVOEN44275134W073082691W0150003420
    (fix,) = kbtv.fixes("IVOE")

    assert (fix.kind, fix.key.airport, fix.has_dme, fix.frequency) == ("dme", "KBTV", True, "110.30")
    assert (fix.dme_lat_deg, fix.dme_lon_deg) == (fix.lat_deg, fix.lon_deg)
    assert fix.lat_deg == pytest.approx(degrees(44, 27, 51.34), abs=EXACT)
    # A leg names it without its aerodrome.
    assert kbtv.fix(FixKey(ident="IVOE", region="K6", section=Section.VHF_NAVAID)) == fix


def test_a_dme_that_stands_apart_from_its_vor() -> None:
    # D        VTU   K2011655VDLW N34065423W119025820    N34065372W119025700E0150015591
    (fix,) = open_navdata(excerpt("KSBA")).fixes("VTU")

    assert fix.lat_deg == pytest.approx(degrees(34, 6, 54.23), abs=EXACT)
    assert fix.dme_lat_deg == pytest.approx(degrees(34, 6, 53.72), abs=EXACT)
    assert fix.dme_lon_deg == pytest.approx(-degrees(119, 2, 57.00), abs=EXACT)
    assert (fix.variation_deg, fix.elevation_ft) == (15.0, 1559.0)


def test_a_vor_without_dme(enroute: NavData) -> None:
    # D        JFK   K6011590VDH and D BTT PA011600VDHW have one; a facility V and blank has none.
    stations = [fix for ident in ("JFK", "BTT", "FAI") for fix in enroute.fixes(ident)]

    assert {fix.ident for fix in stations if fix.kind == "vor" and fix.has_dme} >= {"JFK", "BTT"}


def test_ndb_en_route_and_terminal(enroute: NavData, kchs: NavData) -> None:
    # DB       ACE   PA002770H  W N59382880W151300099                       E0170           NARKACHEMAK
    # PNKCHSK7 CH    K7003290HO W N32583502W080055157                       W0070           NARASHLY
    (ace,) = enroute.fixes("ACE")
    ch = kchs.fix(FixKey(ident="CH", region="K7", section=Section.TERMINAL_NDB, airport="KCHS"))

    assert (ace.kind, ace.frequency, ace.variation_deg, ace.key.section) == ("ndb", "277", 17.0, Section.NDB)
    assert ace.lat_deg == pytest.approx(degrees(59, 38, 28.80), abs=EXACT)
    assert ch is not None
    assert (ch.kind, ch.frequency, ch.variation_deg, ch.name) == ("ndb", "329", -7.0, "ASHLY")


def test_waypoints_en_route_and_terminal(kbtv: NavData) -> None:
    # EAENRT   WINLA K60    C   L N44173158W073120666                       W0135     NAR           WINLA
    # P KBTVK6CCESAL K60    W     N44230754W073080426                       W0136     NAR           CESAL
    winla = kbtv.fix(FixKey(ident="WINLA", region="K6", section=Section.WAYPOINT))
    cesal = kbtv.fix(FixKey(ident="CESAL", region="K6", section=Section.TERMINAL_WAYPOINT, airport="KBTV"))

    assert winla is not None
    assert cesal is not None
    assert winla.lat_deg == pytest.approx(degrees(44, 17, 31.58), abs=EXACT)
    assert winla.lon_deg == pytest.approx(-degrees(73, 12, 6.66), abs=EXACT)
    assert (winla.variation_deg, winla.kind, winla.name) == (-13.5, "waypoint", "WINLA")
    assert (cesal.variation_deg, cesal.line) == (-13.6, 7)
    assert kbtv.fix(FixKey(ident="CESAL", region="K6", section=Section.TERMINAL_WAYPOINT, airport="KXYZ")) is None


def test_longitude_beyond_150_west_and_variation_east() -> None:
    # PA PHTO N19431295W155025449E011000038 1800018000
    airport = open_navdata(excerpt("PHTO")).airport("PHTO")

    assert airport is not None
    assert airport.fix.lat_deg == pytest.approx(degrees(19, 43, 12.95), abs=EXACT)
    assert airport.fix.lon_deg == pytest.approx(-degrees(155, 2, 54.49), abs=EXACT)
    assert (airport.fix.variation_deg, airport.fix.elevation_ft) == (11.0, 38.0)


def test_airport(kbtv: NavData) -> None:
    # P KBTVK6ABTV     0     083YHN44281904W073091179W015000335         1800018000C    MNAR    PATRICK LEAHY ...
    airport = kbtv.airport("KBTV")

    assert airport is not None
    assert (airport.transition_altitude_ft, airport.transition_level_ft) == (18000.0, 18000.0)
    assert (airport.fix.elevation_ft, airport.fix.variation_deg, airport.fix.is_true) == (335.0, -15.0, False)
    assert airport.fix.name == "PATRICK LEAHY BURLINGTON INTL"
    assert kbtv.fixes("KBTV") == (airport.fix,)


def test_runway_with_a_displaced_threshold() -> None:
    # P KHWDK2GRW28L   0056942840 N37391866W122065313         -0017200050067635150RIHWD0
    data = open_navdata(excerpt("KHWD"))
    runway = data.runway("KHWD", "RW28L")

    assert runway is not None
    assert (runway.length_ft, runway.course_deg, runway.is_true) == (5694.0, 284.0, False)
    assert (runway.threshold_elevation_ft, runway.displaced_ft, runway.threshold_crossing_height_ft) == (50, 676, 35)
    assert (runway.localizer, runway.fix.kind, runway.fix.elevation_ft) == ("IHWD", "runway", 50.0)
    assert [end.fix.ident for end in data.runways("KHWD")] == ["RW10L", "RW10R", "RW28L", "RW28R"]
    assert data.fixes("RW28L") == ()
    assert data.fix(FixKey(ident="RW28L", region="K2", section=Section.RUNWAY, airport="KHWD")) == runway.fix


def test_localizer_with_and_without_glide_slope(kbtv: NavData) -> None:
    # IIVOE1   011030RW33 N44285626W0731006603258N44280882W0730843040904 09980598320W01505500334
    # KHWD: IIHWD0   011150RW28LN37394620W1220746752879                   0109     0500   E0150
    ils = kbtv.localizer("KBTV", "IVOE")
    loc = open_navdata(excerpt("KHWD")).localizer("KHWD", "IHWD")

    assert ils is not None
    assert loc is not None
    assert (ils.runway, ils.category, ils.course_deg, ils.width_deg) == ("RW33", "1", 325.8, 5.98)
    assert (ils.glide_slope_deg, ils.threshold_crossing_height_ft, ils.glide_slope_elevation_ft) == (3.2, 55.0, 334.0)
    assert ils.glide_slope_lat_deg == pytest.approx(degrees(44, 28, 8.82), abs=EXACT)
    assert ils.glide_slope_lon_deg == pytest.approx(-degrees(73, 8, 43.04), abs=EXACT)
    assert (ils.fix.frequency, ils.fix.variation_deg) == ("110.30", -15.0)
    assert (loc.course_deg, loc.width_deg, loc.fix.variation_deg) == (287.9, 5.0, 15.0)
    assert (loc.glide_slope_deg, loc.glide_slope_lat_deg, loc.threshold_crossing_height_ft) == (None, None, None)


def test_path_point_with_high_precision() -> None:
    # R28L  RW28L001 0000W28A0 N37391866 40 W12206531315 -00172 0310 N3740030660 W12208304530 10675 1224 000350F
    data = open_navdata(excerpt("KHWD"))
    point = data.path_point("KHWD", "R28L")

    assert point is not None
    assert point.threshold_lat_deg == pytest.approx(degrees(37, 39, 18.6640), abs=EXACT)
    assert point.threshold_lon_deg == pytest.approx(-degrees(122, 6, 53.1315), abs=EXACT)
    assert point.alignment_lat_deg == pytest.approx(degrees(37, 40, 3.0660), abs=EXACT)
    assert point.alignment_lon_deg == pytest.approx(-degrees(122, 8, 30.4530), abs=EXACT)
    assert (point.threshold_ellipsoid_m, point.glidepath_deg) == (-17.2, 3.1)
    assert (point.course_half_width_at_threshold_m, point.length_offset_m) == (106.75, 1224.0)
    assert (point.threshold_crossing_height_ft, point.runway) == (35.0, "RW28L")
    assert data.path_point("KHWD", "R10L") is None


def test_ils_final_and_missed_approach(kbtv: NavData) -> None:
    approach = kbtv.procedure("KBTV", "I33", ProcedureKind.APPROACH)

    assert approach is not None
    assert (approach.route_type, approach.runway, approach.levels) == ("I", "RW33", ())
    assert approach.transitions() == ("DONGY", "JANUD", "VAMPY")
    final = approach.part("final")
    assert final is not None
    assert [leg.path for leg in final.legs] == ["IF", "CF", "CF", "CF", "CF", "CA", "DF", "HM"]
    assert [leg.role for leg in final.legs] == ["IF", None, None, "FAF", "MAP", None, None, None]
    assert [leg.is_missed for leg in final.legs] == [False] * 5 + [True] * 3
    # 020EHIKOK6PC0E  F    CF IVOEK6      1458011532600029PI  H 0380003800
    faf = final.legs[3]
    assert faf.fix == FixKey(ident="EHIKO", region="K6", section=Section.TERMINAL_WAYPOINT, airport="KBTV")
    assert faf.navaid == FixKey(ident="IVOE", region="K6", section=Section.LOCALIZER, airport="KBTV")
    assert (faf.theta_deg, faf.rho_nm, faf.course_deg, faf.distance_nm, faf.minutes) == (145.8, 11.5, 326.0, 2.9, None)
    assert faf.altitude == AltitudeWindow(low_ft=3800.0, glidepath_ft=3800.0)
    # 030RW33 K6PG0GY M    CF IVOEK6      1458001532600100PI    00389             -320
    point = final.legs[4]
    assert (point.fly_over, point.vertical_angle_deg) == (True, -3.2)
    assert point.altitude == AltitudeWindow(low_ft=389.0, high_ft=389.0)
    # 060BTV  K6D 0VE  L   HM                     0360T010    + 03100
    hold = final.legs[7]
    assert (hold.turn, hold.course_deg, hold.minutes, hold.distance_nm) == ("left", 36.0, 1.0, None)
    assert hold.fix == FixKey(ident="BTV", region="K6", section=Section.VHF_NAVAID)


def test_hold_in_lieu_by_distance(kbtv: NavData) -> None:
    # AJANUD 010JANUDK6PC0EE AR   HF IVOEK6      145802163258T010PI  + 07000
    timed = kbtv.procedure("KBTV", "I33", ProcedureKind.APPROACH)
    by_distance = kbtv.procedure("KBTV", "R33-Z", ProcedureKind.APPROACH)

    assert timed is not None
    assert by_distance is not None
    one, other = timed.part("fix", "JANUD"), by_distance.part("fix", "JANUD")
    assert one is not None
    assert other is not None
    assert (one.legs[0].path, one.legs[0].role, one.legs[0].turn, one.legs[0].minutes) == ("HF", "IAF", "right", 1.0)
    assert (other.legs[0].path, other.legs[0].distance_nm, other.legs[0].minutes) == ("HF", 7.0, None)
    assert by_distance.levels == ("LPV", "LNAV/VNAV", "LNAV")


def test_radius_to_fix(kchs: NavData) -> None:
    # H03-Z ARECHY 030ZUNSUK7PC0EE  L010RF       0023001311    03140040    + 01300   CFFGC K7PC
    approach = kchs.procedure("KCHS", "H03-Z", ProcedureKind.APPROACH)

    assert approach is not None
    part = approach.part("fix", "RECHY")
    assert part is not None
    leg = part.legs[-1]
    assert (leg.path, leg.turn, leg.radius_nm, leg.course_deg, leg.distance_nm) == ("RF", "left", 2.3, 31.4, 4.0)
    assert leg.centre == FixKey(ident="CFFGC", region="K7", section=Section.TERMINAL_WAYPOINT, airport="KCHS")
    assert kchs.fix(leg.centre) is not None
    assert (leg.theta_deg, leg.rnp_nm) == (131.1, 1.0)


def test_departure_and_arrival() -> None:
    data = open_navdata(excerpt("KSBA"))
    departure = data.procedure("KSBA", "FLOUT5", ProcedureKind.DEPARTURE)
    arrival = data.procedure("KSBA", "PITBL2", ProcedureKind.ARRIVAL)

    assert departure is not None
    assert arrival is not None
    assert [(part.place, part.transition) for part in departure.parts] == [
        ("runway", "RW07"), ("runway", "RW15B"), ("runway", "RW25"), ("fix", "GVO"), ("fix", "RZS"), ("fix", "VTU"),
    ]  # fmt: skip
    assert [(part.place, part.transition) for part in arrival.parts] == [
        ("fix", "HEC"), ("fix", "PORPS"), ("common", ""), ("runway", "RW07"),
    ]  # fmt: skip
    # 51RW07 020 R CIY 2270: a right turn onto 227 until the next leg is met.
    climb, turn, _to_fix = departure.parts[0].legs
    assert (climb.path, climb.course_deg, climb.altitude) == ("VA", 75.0, AltitudeWindow(low_ft=413.0))
    assert (turn.path, turn.turn, turn.course_deg, turn.fix) == ("CI", "right", 227.0, None)
    # 53GVO 010FLOUT FC GVO K2 1413017832100150: from the fix on 321 for 15 NM.
    along = departure.parts[3].legs[0]
    assert (along.path, along.course_deg, along.distance_nm) == ("FC", 321.0, 15.0)
    # FL240 at, FL210 at or above, FL300 at or below.
    assert [leg.altitude for leg in arrival.parts[0].legs[2:]] == [
        AltitudeWindow(low_ft=24000.0, high_ft=24000.0), AltitudeWindow(low_ft=21000.0),
    ]  # fmt: skip
    assert arrival.parts[1].legs[0].altitude == AltitudeWindow(high_ft=30000.0)
    # 050LCLRK FM RZS K2 229102222507: course 250.7 from the fix until told otherwise.
    assert (arrival.parts[3].legs[-1].path, arrival.parts[3].legs[-1].course_deg) == ("FM", 250.7)
    assert arrival.parts[3].legs[-2].fly_over is True


def test_an_airway_complete_and_one_in_pieces(enroute: NavData) -> None:
    (t222,) = enroute.airways("T222")

    assert [point.fix.ident for point in t222.points] == [
        "BAERE", "SPY", "HYLEE", "ALIEN", "RUFVY", "BET", "HOLIN", "CABOT", "ANIAK", "ZIDMU", "UTICE", "JOANY", "MCG",
        "MEFRA", "SUCOD", "HEMRO", "ENN", "FAI",
    ]  # fmt: skip
    assert [point.ends_segment for point in t222.points] == [False] * 17 + [True]
    assert (t222.points[0].minimum_ft, t222.points[0].maximum_ft) == (3600.0, 17500.0)
    assert t222.points[1].fix == FixKey(ident="SPY", region="PA", section=Section.NDB)
    # J120: 0110 SPY, 0130 BET, 0140 MCG, 0150 FAI: what stood at 0120 was cut from the excerpt.
    assert [[point.fix.ident for point in stretch.points] for stretch in enroute.airways("J120")] == [
        ["SPY"], ["BET", "MCG", "FAI"],
    ]  # fmt: skip


def test_what_is_not_there_is_none_or_nothing(kbtv: NavData) -> None:
    assert kbtv.fixes("NOPE") == ()
    assert kbtv.fix(FixKey(ident="NOPE", region="K6", section=Section.WAYPOINT)) is None
    assert kbtv.airport("XTBN") is None
    assert kbtv.runway("KBTV", "RW99") is None
    assert kbtv.runways("XTBN") == ()
    assert kbtv.localizer("KBTV", "IXXX") is None
    assert kbtv.airways("V1") == ()
    assert kbtv.procedure("KBTV", "I99", ProcedureKind.APPROACH) is None
    assert kbtv.procedures("KBTV", ProcedureKind.DEPARTURE) == ()


@pytest.mark.parametrize(
    ("asked", "kind", "meant"),
    [("WILNA", "fix", "WINLA"), ("WINL", "fix", "WINLA"), ("FOVE5", "fix", "FOVES"), ("KBTW", "airport", "KBTV")],
)
def test_nearest_idents(kbtv: NavData, asked: str, kind: str, meant: str) -> None:
    assert kbtv.nearest_idents(asked, kind)[0] == meant  # type: ignore[arg-type]


def test_nearest_idents_are_at_one_slip_or_two_of_a_long_one(tmp_path: Path) -> None:
    idents = ("R9999", "R998", "R90", "R9", "RR99", "S99", "BRAKO", "BRAOK", "BRACO", "BRIKS", "BRICS", "BRAKNT")
    data = open_navdata(written(tmp_path, [waypoint(ident[:5]) for ident in idents]))

    assert set(data.nearest_idents("R99", "fix", most=20)) == {"R998", "R90", "R9", "RR99", "S99"}
    assert set(data.nearest_idents("BRAKU", "fix", most=20)) == {"BRAKO", "BRAOK", "BRACO", "BRAKN", "BRIKS"}
    assert data.nearest_idents("BRAKU", "fix", most=1) in [("BRAKO",), ("BRAKN",)]


def test_nearest_idents_of_something_else_are_few_or_none(kbtv: NavData, enroute: NavData) -> None:
    assert kbtv.nearest_idents("QQQQQ", "fix") == ()
    assert "T222" in enroute.nearest_idents("T223", "airway", most=8)
    assert len(enroute.nearest_idents("V4", "airway", most=2)) == 2


@pytest.mark.parametrize("name", ["KBTV", "KCHS", "KCRG", "KHTO", "KISO", "KJFK", "KPVD", "PHTO", "KHWD"])
def test_every_terminal_fix_navaid_and_centre_of_a_complete_airport_is_found(name: str) -> None:
    data = open_navdata(excerpt(f"_{name}"))
    terminal = {Section.TERMINAL_WAYPOINT, Section.TERMINAL_NDB, Section.RUNWAY, Section.LOCALIZER, Section.AIRPORT}
    procedures = [data.procedure(name, ident, kind) for kind in ProcedureKind for ident in data.procedures(name, kind)]
    named = {
        key
        for procedure in procedures
        if procedure is not None
        for part in procedure.parts
        for leg in part.legs
        for key in (leg.fix, leg.navaid, leg.centre)
        if key is not None and key.section in terminal
    }

    assert len(named) >= 10
    assert [key for key in named if data.fix(key) is None] == []
