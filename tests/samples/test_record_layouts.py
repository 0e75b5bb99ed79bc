"""The builder's records against real ones: the same values in, the same columns out.

The records are the US government's (FAACIFP18, cycles 2101 and 2609, old: not for navigation), works of the government
and in the public domain; columns 124-132 (record number, cycle) are left out.
"""

from __future__ import annotations

from typing import Any

import pytest

from builders.tarn.earth import Point
from builders.tarn_navdata import records
from builders.tarn_navdata.columns import CYCLE, Place, altitude, degrees, number, numbered, record, variation
from builders.tarn_navdata.legs import Part, leg, levels, rnp
from samples.coded_records import angle

DATA = 123


def place(ident: str, section: str, lat: str = "N44000000", lon: str = "W073000000", **more: Any) -> Place:
    settings: dict[str, Any] = {"area": "USA", "region": "K6", "variation_deg": -15.0} | more
    return Place(ident=ident, section=section, point=Point(angle(lat), angle(lon)), **settings)


BTV = place("BTV", "D ", "N44234958", "W073105749", has_dme=True, elevation_ft=417)
ILS_DME = place("IBTV", "D ", "N44275134", "W073082691", airport="KBTV", has_dme=True, elevation_ft=342)
LOCALIZER = place("IBTV", "PI", "N44275277", "W073082395", airport="KBTV", has_dme=True)
WINLA = place("WINLA", "EA", "N44173158", "W073120666", variation_deg=-13.5)
FOVES = place("FOVES", "PC", "N44321266", "W073152483", airport="KBTV", variation_deg=-13.5)
STAEV, JUNEL, OTYIJ, JRVIS, OBRIE = (place(ident, "PC") for ident in ("STAEV", "JUNEL", "OTYIJ", "JRVIS", "OBRIE"))
RW15 = place("RW15", "PG", "N44285043", "W073095716", airport="KBTV", elevation_ft=306)
RW15_FINE = place("RW15", "PG", "N4428504280", "W07309571635", airport="KBTV")
UZADY, CFFGG, ZUNSU = (place(ident, "PC", region="K7") for ident in ("UZADY", "CFFGG", "ZUNSU"))
ODR = place("ODR", "D ")
COL = place("COL", "D ")
DDC = place("DDC", "D ", region="K3")
WEROM = place("WEROM", "PC", region="K3")


def part(ident: str, route_type: str, transition: str = "", qualifiers: str = "0NS", **more: Any) -> Part:
    settings: dict[str, Any] = {"airport": "KBTV", "kind": "F", "region": "K6", "area": "USA"} | more
    return Part(ident=ident, route_type=route_type, transition=transition, qualifiers=qualifiers, **settings)


WRITTEN: dict[str, str] = {
    "SUSAD        BTV   K6011750VDLW N44234958W073105749    N44234958W073105749W0150004171     NARBURLINGTON": (
        records.vhf_navaid(BTV, "BURLINGTON", frequency_mhz=117.5, datum="NAR")
    ),
    "SUSAD KBTVK6 IBTV  K6011030 ITW                    IBTVN44275134W073082691W0150003420     "
    "NARPATRICK LEAHY BURLINGTON": (
        records.vhf_navaid(
            ILS_DME, "PATRICK LEAHY BURLINGTON", frequency_mhz=110.3, kind=" ITW ", dme=ILS_DME, datum="NAR"
        )
    ),
    "SUSADB       AAF   K7003490H MW N29432392W085014103                       W0030           NARAPALACHICOLA": (
        records.ndb(
            place("AAF", "DB", "N29432392", "W085014103", region="K7", variation_deg=-3.0),
            "APALACHICOLA",
            frequency_khz=349,
            kind="H MW ",
            datum="NAR",
        )
    ),
    "SUSAPNKCHSK7 CH    K7003290HO W N32583502W080055157                       W0070           NARASHLY": (
        records.ndb(
            place("CH", "PN", "N32583502", "W080055157", region="K7", variation_deg=-7.0, airport="KCHS"),
            "ASHLY",
            frequency_khz=329,
            datum="NAR",
        )
    ),
    "SUSAEAENRT   WINLA K60    C   L N44173158W073120666                       W0135     NAR           WINLA": (
        records.waypoint(WINLA, kind="C  ", usage="L", datum="NAR")
    ),
    "SUSAP KBTVK6CFOVES K60    C     N44321266W073152483                       W0135     NAR           FOVES": (
        records.waypoint(FOVES, kind="C  ", datum="NAR")
    ),
    "SUSAP KBTVK6ABTV     0     083YHN44281904W073091179W015000335         1800018000C    MNAR    "
    "PATRICK LEAHY BURLINGTON INTL": (
        records.airport(
            place("KBTV", "PA", "N44281904", "W073091179", elevation_ft=335),
            "PATRICK LEAHY BURLINGTON INTL",
            longest_runway_ft=8319,
            datum="NAR",
        )
    ),
    "SUSAP KBTVK6GRW15    0083191460 N44285043W073095716         +0064200306000051150IIBTV1": (
        records.runway(
            RW15,
            length_ft=8319,
            course_deg_mag=146,
            crossing_height_ft=51,
            width_ft=150,
            ellipsoid_m=64.2,
            localizer="IBTV1",
        )
    ),
    "SUSAP KBTVK6IIBTV1   011030RW15 N44275277W0730823951458N44284234W0730951470613 08480450300W01505100308": (
        records.localizer(
            LOCALIZER,
            category="1",
            frequency_mhz=110.3,
            runway_ident="RW15",
            course_deg_mag=145.8,
            glide_slope=Point(angle("N44284234"), angle("W073095147")),
            beyond_far_end_ft=613,
            inside_threshold_ft=848,
            width_deg=4.5,
            glide_slope_deg=3,
            crossing_height_ft=51,
            glide_slope_elevation_ft=308,
        )
    ),
    "SCANER       T222        0110SPY  PADB0N    RL                        039801410301 03000     17500": (
        records.airway_point(
            "T222",
            110,
            place("SPY", "DB", area="CAN", region="PA"),
            kind="R",
            outbound_deg_mag=39.8,
            distance_nm=14.1,
            inbound_deg_mag=30.1,
            minimum_ft=3000,
            maximum_ft=17500,
        )
    ),
    "SUSAP KCHSK7SCHS  K7D                 0   18018003125" + " " * 65 + "M": (
        records.safe_altitude(place("CHS", "D ", region="K7"), "KCHS", altitude_ft=3100)
    ),
    "SUSAP KBTVK6FI15   I      010STAEVK6PC0E  I    IF IBTVK6      32580131        PI  J 033000200018000"
    "                 0 NS": (
        leg(
            part("I15", "I"),
            10,
            "IF",
            STAEV,
            role="I",
            navaid=LOCALIZER,
            theta_deg_mag=325.8,
            rho_nm=13.1,
            at="J",
            low=3300,
            high=2000,
            transition_ft=18000,
        )
    ),
    "SUSAP KBTVK6FI15   I      030RW15 K6PG0GY M    CF IBTVK6      3258001514600052PI    00357             -300"
    "          0 NS": (
        leg(
            part("I15", "I"),
            30,
            "CF",
            RW15,
            over=True,
            role="M",
            navaid=LOCALIZER,
            theta_deg_mag=325.8,
            rho_nm=1.5,
            course_deg_mag=146,
            distance_nm=5.2,
            low=357,
            vertical_deg=-3,
        )
    ),
    "SUSAP KBTVK6FI15   I      070WINLAK6EA0EE  L   HM                     0225T010    + 03600"
    "                           0 NS": (
        leg(
            part("I15", "I"),
            70,
            "HM",
            WINLA,
            last=True,
            turn="L",
            course_deg_mag=22.5,
            minutes=1,
            at="+",
            low=3600,
        )
    ),
    "SUSAP KBTVK6FR15   R      020FOVESK6PC1E  F 010TF                                 + 02000"
    "                           A JS": (
        leg(
            part("R15", "R", qualifiers="AJS"),
            20,
            "TF",
            FOVES,
            role="F",
            rnp_nm=1,
            at="+",
            low=2000,
            continued=True,
        )
    ),
    "SUSAP KBTVK6FR15   R      020FOVESK6PC2WALPV       ALNAV/VNAV ALNAV                                              "
    "     JS": levels(part("R15", "R", qualifiers="AJS"), 20, FOVES, lpv=True, lnav_vnav=True, lnav=True),
    "SUSAP KBTVK6FR15   R      021JUNELK6PC0E S  031TF                                 V 0102001025        -300"
    "          A JS": (
        leg(
            part("R15", "R", qualifiers="AJS"),
            21,
            "TF",
            JUNEL,
            step_down=True,
            rnp_nm=0.3,
            at="V",
            low=1020,
            high=1025,
            vertical_deg=-3,
        )
    ),
    "SUSAP KBTVK6FR15   ASTAEV 010STAEVK6PC0EE AR   HF                     14570040    + 03200     18000"
    "                 A JS": (
        leg(
            part("R15", "A", "STAEV", qualifiers="AJS"),
            10,
            "HF",
            STAEV,
            last=True,
            role="A",
            turn="R",
            course_deg_mag=145.7,
            distance_nm=4,
            at="+",
            low=3200,
            transition_ft=18000,
        )
    ),
    "SUSAP KBTVK6FS01   AJRVIS 030BTV  K6D 0VE AL   PI BTV K6      0000000026100100D   + 03000"
    "                           0 DS": (
        leg(
            part("S01", "A", "JRVIS", qualifiers="0DS"),
            30,
            "PI",
            BTV,
            last=True,
            role="A",
            turn="L",
            navaid=BTV,
            theta_deg_mag=0,
            rho_nm=0,
            course_deg_mag=261,
            distance_nm=10,
            at="+",
            low=3000,
        )
    ),
    "SUSAP KBTVK6FS01   S      020BTV  K6D 0V  F    IF BTV K6      00000000        D   + 02200     18000       "
    "BTV   K6D 0 DS": (
        leg(
            part("S01", "S", qualifiers="0DS"),
            20,
            "IF",
            BTV,
            role="F",
            navaid=BTV,
            theta_deg_mag=0,
            rho_nm=0,
            at="+",
            low=2200,
            transition_ft=18000,
            centre=BTV,
        )
    ),
    "SUSAP KBTVK6FS01   S      030OTYIJK6PC0EY M    CF BTV K6      0360003903600039D     00515              000"
    "          0 DS": (
        leg(
            part("S01", "S", qualifiers="0DS"),
            30,
            "CF",
            OTYIJ,
            over=True,
            role="M",
            navaid=BTV,
            theta_deg_mag=36,
            rho_nm=3.9,
            course_deg_mag=36,
            distance_nm=3.9,
            low=515,
            vertical_deg=0,
        )
    ),
    "SUSAP KBTVK6FS01   S      050JRVISK6PC0EE  R   HM                     2160T010    + 03500          200"
    "              0-DS": (
        leg(
            part("S01", "S", qualifiers="0DS"),
            50,
            "HM",
            JRVIS,
            last=True,
            turn="R",
            course_deg_mag=216,
            minutes=1,
            at="+",
            low=3500,
            speed_kt=200,
            speed_code="-",
        )
    ),
    "SUSAP KCHSK7FH03-Z ASTNNS 030UZADYK7PC0E   R010RF       0023502188    29140030    + 02500                 "
    "CFFGG K7PCA FS": (
        leg(
            part("H03-Z", "A", "STNNS", qualifiers="AFS", airport="KCHS", region="K7"),
            30,
            "RF",
            UZADY,
            turn="R",
            rnp_nm=1,
            radius_nm=2.35,
            theta_deg_mag=218.8,
            course_deg_mag=291.4,
            distance_nm=3,
            at="+",
            low=2500,
            centre=CFFGG,
        )
    ),
    "SUSAP KCHSK7FH03-Z H      020ZUNSUK7PC2W                                                A031A021"
    "                      FS": levels(
        part("H03-Z", "H", qualifiers="AFS", airport="KCHS", region="K7"), 20, ZUNSU, rnp_levels="A031A021"
    ),
    "SUSAP KROAK6FVDM-A D      040         0  M L   CR ODR K6      1640    1640    D   + 04000"
    "                           0  C": (
        leg(
            part("VDM-A", "D", qualifiers="0 C", airport="KROA"),
            40,
            "CR",
            missed=True,
            turn="L",
            navaid=ODR,
            theta_deg_mag=164,
            course_deg_mag=164,
            at="+",
            low=4000,
        )
    ),
    "SUSAP KEWRK6FI11   I      050         0    R   CDYCOL K6              19900130D   + 01700"
    "                           0 NS": (
        leg(
            part("I11", "I", airport="KEWR"),
            50,
            "CD",
            turn="R",
            turn_before=True,
            navaid=COL,
            course_deg_mag=199,
            distance_nm=13,
            at="+",
            low=1700,
        )
    ),
    "SUSAP KDDCK3FI14   AEARPP 020WEROMK3PC0EE BL   AF DDC K3      323301400763    D   + 04600"
    "                           0 DS": (
        leg(
            part("I14", "A", "EARPP", qualifiers="0DS", airport="KDDC", region="K3"),
            20,
            "AF",
            WEROM,
            last=True,
            role="B",
            turn="L",
            navaid=DDC,
            theta_deg_mag=323.3,
            rho_nm=14,
            course_deg_mag=76.3,
            at="+",
            low=4600,
        )
    ),
}


@pytest.mark.parametrize("real", WRITTEN, ids=lambda real: real[12:29].strip())
def test_records_come_out_as_the_real_ones(real: str) -> None:
    assert WRITTEN[real][:DATA].rstrip() == real


def test_path_points_come_out_as_the_real_ones() -> None:
    primary, continued = records.path_point(
        RW15_FINE,
        "R15",
        reference="W15A",
        ellipsoid_m=64.2,
        orthometric_m=93.1,
        glidepath_deg=3,
        alignment=Point(angle("N4427521835"), angle("W07308229995")),
        half_width_m=106.75,
        length_offset_m=216,
        crossing_height_ft=51.1,
        channel=72736,
        checksum="644ADC20",
    )

    assert primary[:DATA] == (
        "SUSAP KBTVK6PR15   RW15 001 0000W15A0N4428504280W07309571635+006420300N4427521835W07308229995106750216000511F"
        "400500644ADC20"
    )
    assert continued[:DATA].rstrip() == "SUSAP KBTVK6PR15   RW15 002E      +00931+00931LPV       72736"


def test_what_does_not_fit_its_columns_is_an_error() -> None:
    with pytest.raises(ValueError, match="column 2 is not free"):
        record((1, "ab"), (2, "c"))
    with pytest.raises(ValueError, match="column 133 is not free"):
        record((1, "S"), cycle="26041")
    with pytest.raises(ValueError, match="does not fit 3 digits"):
        number(1000, 3)
    with pytest.raises(ValueError, match="does not fit 5 columns"):
        altitude("FL2400")


def test_forms_of_values() -> None:
    assert [degrees(0.04), degrees(359.96), degrees(None)] == ["0000", "0000", "    "]
    assert [variation(-8.3), variation(12.0)] == ["W0083", "E0120"]
    assert [rnp(1.0), rnp(0.3), rnp(0.15), rnp(None)] == ["010", "031", "152", "   "]
    assert [line[123:] for line in numbered([record((1, "S"))] * 2, start=99_999)] == [f"99999{CYCLE}", f"00000{CYCLE}"]
