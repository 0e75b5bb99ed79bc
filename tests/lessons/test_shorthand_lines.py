"""Shorthand, line by line: what each means is what the trade means by it, with where that is published.

Sources, as named beside the lines: HB is the clearance shorthand in appendix A of the FAA's Instrument Flying Handbook
(FAA-H-8083-15B); CN the contractions of FAA Order JO 7340.2; ST the strip abbreviations of FAA Order JO 7110.65, tables
2-3-11 and 2-3-12; IC ICAO Doc 8400 and METAR forms. Checked against the text: HB @, X, DR, IB, 250 K and ST X, MA, RH;
the others from memory. CP is common practice, no published source; LF the lesson file's own format (times, and what
belongs together).
"""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest

from legwise.lessons import Said, read_shorthand
from legwise.model.lesson import AltimeterSetting, Clearance, Event, LessonApproach, Remark, Runway

APPROACHES = (
    LessonApproach(airport="XSKH", procedure="R27"),
    LessonApproach(airport="XSKH", procedure="I27"),
    LessonApproach(
        airport="XTBN",
        title="VOR RWY 05",
        guidance="VOR",
        runway=Runway(ident="RW05", lat_deg=46.2, lon_deg=-27.6, elevation_ft=46),
    ),
)


def heard(line: str, *above: str) -> Said:
    return read_shorthand(
        "\n".join([*above, line]), file="said.txt", known_fixes=("CALDU", "HOLMA", "HOOD"), approaches=APPROACHES
    )


def hold(**details: Any) -> dict[str, Any]:
    return {"hold": {"fix": "CALDU", **details}}


def cross(**limits: Any) -> dict[str, Any]:
    return {"crossing": {"fix": "CALDU", **limits}}


H250: dict[str, Any] = {"heading_deg_mag": 250}
FEET: dict[str, Any] = {"altitude_ft": 4000}
DIRECT: dict[str, Any] = {"direct": "CALDU"}

INSTRUCTIONS: list[tuple[str, dict[str, Any], str]] = [
    # Headings: three digits (AIM 4-2-10 says them so), magnetic unless T follows.
    ("H250", H250, "CP"),
    ("h250", H250, "CP"),
    ("H 250", H250, "CP"),
    ("hdg 250", H250, "CN"),
    ("HDG250", H250, "CN"),
    ("Hdg. 250", H250, "CN"),
    ("heading 250", H250, "CN"),
    ("fly heading 250", H250, "AIM phraseology"),
    ("H005", {"heading_deg_mag": 5}, "CP"),
    ("H360", {"heading_deg_mag": 360}, "CP"),
    ("H250°", H250, "CP"),
    ("H250T", {"heading_deg_true": 250}, "CP"),
    ("rwy hdg 052", {"heading_deg_mag": 52}, "HB, ST: RH"),
    ("fly rwy hdg 052", {"heading_deg_mag": 52}, "HB, ST: RH"),
    # Turns.
    ("L250", {**H250, "turn": "left"}, "CP"),
    ("L 250", {**H250, "turn": "left"}, "CP"),
    ("LH250", {**H250, "turn": "left"}, "CP"),
    ("LT 250", {**H250, "turn": "left"}, "HB: LT"),
    ("TL250", {**H250, "turn": "left"}, "CP"),
    ("R250", {**H250, "turn": "right"}, "CP"),
    ("RH250", {**H250, "turn": "right"}, "CP"),
    ("RT 250", {**H250, "turn": "right"}, "HB: RT"),
    ("L H250", {**H250, "turn": "left"}, "CP"),
    ("turn left heading 250", {**H250, "turn": "left"}, "AIM phraseology"),
    ("right turn 250", {**H250, "turn": "right"}, "CP"),
    ("L D→CALDU", {**DIRECT, "turn": "left"}, "LF"),
    ("L250T", {"heading_deg_true": 250, "turn": "left"}, "CP"),
    # Altitudes: hundreds of feet in two or three digits (HB), feet in four or five.
    ("4000", FEET, "CP"),
    ("4,000", FEET, "CP"),
    ("4000ft", FEET, "CP"),
    ("4000 ft", FEET, "CP"),
    ("4000'", FEET, "CP"),
    ("950ft", {"altitude_ft": 950}, "CP"),
    ("12000", {"altitude_ft": 12_000}, "CP"),
    ("A40", FEET, "ICAO Doc 4444: A045"),
    ("A045", {"altitude_ft": 4500}, "ICAO Doc 4444: A045"),
    ("A100", {"altitude_ft": 10_000}, "ICAO Doc 4444: A045"),
    ("alt 4000", FEET, "IC"),
    ("C40", FEET, "CP"),
    ("C 4000", FEET, "CP"),
    ("climb 4000", FEET, "AIM phraseology"),
    ("climb and maintain 4000", FEET, "AIM phraseology"),
    ("↑40", FEET, "HB"),
    ("↑4000", FEET, "HB"),
    ("↑ 4,000", FEET, "HB"),
    ("D40", FEET, "CP"),
    ("D 40", FEET, "CP"),
    ("desc to 4000", FEET, "CP"),
    ("DES 40", FEET, "IC"),
    ("↓40", FEET, "HB"),
    ("maint 26", {"altitude_ft": 2600}, "HB"),
    ("M40", FEET, "HB"),
    ("MNTN 40", FEET, "CN"),
    ("maintain 120", {"altitude_ft": 12_000}, "HB: 60-170"),
    ("2650", {"altitude_ft": 2650}, "CP"),
    ("FL60", {"flight_level": 60}, "HB, IC"),
    ("FL060", {"flight_level": 60}, "HB, IC"),
    ("FL 60", {"flight_level": 60}, "HB, IC"),
    ("F060", {"flight_level": 60}, "ICAO Doc 4444: F085"),
    ("↑FL60", {"flight_level": 60}, "HB"),
    ("D FL60", {"flight_level": 60}, "CP"),
    ("maint 26 til est", {"altitude_ft": 2600, "altitude_until": "established"}, "CP"),
    ("2600 until established", {"altitude_ft": 2600, "altitude_until": "established"}, "AIM phraseology"),
    # Directs.
    ("D→CALDU", DIRECT, "CP"),
    ("d->caldu", DIRECT, "CP"),
    ("→CALDU", DIRECT, "CP"),
    ("D CALDU", DIRECT, "CP"),
    ("DCT CALDU", DIRECT, "IC"),
    ("dct caldu", DIRECT, "IC"),
    ("DR CALDU", DIRECT, "HB"),
    ("direct CALDU", DIRECT, "AIM phraseology"),
    ("proceed direct to CALDU", DIRECT, "AIM phraseology"),
    ("cleared direct CALDU", DIRECT, "AIM phraseology"),
    ('dct "MY FIX"', {"direct": "MY FIX"}, "LF"),
    ("dct HOOD", {"direct": "HOOD"}, "LF"),
    # Holds.
    ("hold CALDU", hold(), "LF: as published"),
    ("HOLD CALDU as published", hold(), "AIM phraseology"),
    ("hold at caldu", hold(), "CP"),
    ("hldg CALDU", hold(), "IC"),
    ("hold CALDU 200 L 1min", hold(inbound_course_deg_mag=200, turn="left", leg_minutes=1), "CP"),
    ("hold CALDU 200 R 4nm", hold(inbound_course_deg_mag=200, turn="right", leg_nm=4), "CP"),
    ("hold CALDU inbound 200 left turns 1 minute legs", hold(
        inbound_course_deg_mag=200, turn="left", leg_minutes=1), "AIM phraseology"),
    ("hold CALDU IB 200T", hold(inbound_course_deg_true=200), "HB: IB"),
    ("hold CALDU 1.5min", hold(leg_minutes=1.5), "CP"),
    ("hold CALDU 90s", hold(leg_minutes=1.5), "CP"),
    ("hold CALDU 10 mile legs", hold(leg_nm=10), "AIM phraseology"),
    ("hold CALDU EFC 1345", hold(efc="13:45"), "HB: EFC"),
    ("hold CALDU EFC13:45:30", hold(efc=dt.time(13, 45, 30)), "HB: EFC"),
    ("1331 hold CALDU EFC 45", {"time": "13:31", **hold(efc="13:45")}, "HB: EFC"),
    ("1331 hold CALDU EFC :02", {"time": "13:31", **hold(efc="14:02")}, "HB: EFC"),
    ("hold CALDU 4000", hold(altitude_ft=4000), "LF"),
    ("hold CALDU @40", hold(altitude_ft=4000), "HB: @"),
    ("hold CALDU maint 4000", {**hold(), **FEET}, "AIM phraseology"),
    ("4000 hold CALDU L", {**FEET, **hold(turn="left")}, "LF"),
    ("D→CALDU hold CALDU", {**DIRECT, **hold()}, "LF"),
    # The final course.
    ("join", {"join": True}, "LF"),
    ("join loc", {"join": True}, "CP"),
    ("int loc", {"join": True}, "CP"),
    ("INTCP final crs", {"join": True}, "CN"),
    ("intercept the localizer", {"join": True}, "AIM phraseology"),
    ("H310 int loc", {"heading_deg_mag": 310, "join": True}, "LF"),
    ("H310 vtf", {"heading_deg_mag": 310, "until": "final"}, "CP"),
    ("H310 vectors to final", {"heading_deg_mag": 310, "until": "final"}, "LF"),
    ("H310 RV final", {"heading_deg_mag": 310, "until": "final"}, "HB: RV"),
    ("across", {"across": True}, "LF"),
    ("H310 across final", {"heading_deg_mag": 310, "across": True}, "AIM phraseology"),
    ("thru loc", {"across": True}, "CP"),
    ("x final", {"across": True}, "HB: X"),
    # Approaches, by those of the lesson.
    ("clrd R27", {"cleared": "XSKH/R27"}, "CN: CLRD"),
    ("cld XSKH/R27", {"cleared": "XSKH/R27"}, "CP"),
    ("clrd xskh/rw27", {"cleared": "XSKH/RW27"}, "LF"),
    ("clrd XSKH", {"cleared": "XSKH"}, "LF"),
    ("cleared ILS 27", {"cleared": "XSKH/I27"}, "ARINC 424: I27"),
    ("cleared ILS rwy 27 apch", {"cleared": "XSKH/I27"}, "AIM phraseology"),
    ("cleared for the ILS runway 27 approach", {"cleared": "XSKH/I27"}, "AIM phraseology"),
    ("clrd RNAV 27", {"cleared": "XSKH/R27"}, "ARINC 424: R27"),
    ("clrd VOR", {"cleared": "XTBN/RW05"}, "LF"),
    ("clrd 05", {"cleared": "XTBN/RW05"}, "LF"),
    ("clrd R27 maint 26 til est", {
        "cleared": "XSKH/R27", "altitude_ft": 2600, "altitude_until": "established"}, "LF"),
    ("H300 2600 til est clrd R27", {
        "heading_deg_mag": 300, "cleared": "XSKH/R27", "altitude_ft": 2600, "altitude_until": "established"},
     "AIM phraseology"),
    ("clrd VOR 05 circle 09", {"cleared": "XTBN/RW05", "circle": "RW09"}, "LF"),
    ("circle 9", {"circle": "RW09"}, "CP"),
    ("circle rwy 27L", {"circle": "RW27L"}, "AIM phraseology"),
    ("circ RW09", {"circle": "RW09"}, "CP"),
    ("clrd visual", {"visual": True}, "AIM phraseology"),
    ("VA", {"visual": True}, "ST: VA"),
    ("missed", {"missed": True}, "CP"),
    ("MA", {"missed": True}, "ST: MA"),
    ("go around", {"missed": True}, "AIM phraseology"),
    ("missed R090 3000", {"missed": True, "turn": "right", "heading_deg_mag": 90, "altitude_ft": 3000}, "LF"),
    ("disc", {"discontinue": True}, "CP"),
    ("break off H180", {"discontinue": True, "heading_deg_mag": 180}, "CP"),
    ("cancel approach", {"discontinue": True}, "AIM phraseology: cancel approach clearance"),
    # Own navigation, speed, crossings.
    ("own nav", {"resume": True}, "AIM phraseology: resume own navigation"),
    ("resume own navigation 4000", {"resume": True, **FEET}, "AIM phraseology"),
    ("resume", {"resume": True}, "LF"),
    ("spd 120", {"speed_kt": 120}, "CP"),
    ("S120", {"speed_kt": 120}, "CP"),
    ("120kt", {"speed_kt": 120}, "IC: KT"),
    ("120 kts", {"speed_kt": 120}, "CP"),
    ("120 K", {"speed_kt": 120}, "HB: 250 K"),
    ("reduce to 90", {"speed_kt": 90}, "AIM phraseology"),
    ("x CALDU 40+", cross(at_or_above_ft=4000), "HB: X"),
    ("x CALDU 40-", cross(at_or_below_ft=4000), "HB: X"),
    ("x CALDU 40", cross(at_ft=4000), "HB: X"),
    ("X CALDU @ 4000", cross(at_ft=4000), "HB: X, @"),
    ("cross CALDU at 4,000", cross(at_ft=4000), "AIM phraseology"),
    ("cross CALDU at or above 4000", cross(at_or_above_ft=4000), "AIM phraseology"),
    ("cross CALDU 4000 or below", cross(at_or_below_ft=4000), "CP"),
    ("x CALDU AOA 40", cross(at_or_above_ft=4000), "CN: AOA"),
    ("x CALDU AOB 40", cross(at_or_below_ft=4000), "CN: AOB"),
    ("x CALDU 30+ 50-", cross(at_or_above_ft=3000, at_or_below_ft=5000), "LF: a window"),
    ("x CALDU 4000 3000", {**cross(at_ft=4000), "altitude_ft": 3000}, "CP"),
    ("D→CALDU x CALDU 40+", {**DIRECT, **cross(at_or_above_ft=4000)}, "LF"),
    ("H250 4000 confirmed", {**H250, **FEET, "confirmed": True}, "LF"),
    # Times.
    ("1312 H250", {"time": "13:12", **H250}, "LF: to the minute"),
    ("13:12 H250", {"time": "13:12", **H250}, "LF: to the minute"),
    ("1312Z H250", {"time": "13:12", **H250}, "IC: Z"),
    ("1312: H250", {"time": "13:12", **H250}, "CP"),
    ("1312 - H250", {"time": "13:12", **H250}, "CP"),
    ("13:12:40 H250", {"time": dt.time(13, 12, 40), **H250}, "LF"),
    ("131240 H250", {"time": dt.time(13, 12, 40), **H250}, "CP"),
    ("~1312 H250", {"time": "13:12", "time_accuracy_s": 180, **H250}, "CP: about"),
    ("abt 1312 H250", {"time": "13:12", "time_accuracy_s": 180, **H250}, "CN: ABT"),
    ("13:12:40 ±10s H250", {"time": dt.time(13, 12, 40), "time_accuracy_s": 10, **H250}, "LF"),
    ("1312 +-2min H250", {"time": "13:12", "time_accuracy_s": 120, **H250}, "LF"),
    ("1400 H250 4000", {"time": "14:00", **H250, **FEET}, "LF: one altitude an instruction"),
    ("0400 H250", {"time": "04:00", **H250}, "no altitude begins with a nought"),
    ("2400 H250", {"altitude_ft": 2400, **H250}, "no time is 24:00"),
    (
        "2026-04-18T13:12:40Z H250",
        {"time": dt.datetime(2026, 4, 18, 13, 12, 40, tzinfo=dt.UTC), **H250},
        "ISO 8601",
    ),
    # Blanks, commas and comments.
    ("  H250,4000 ; S90  # as filed", {**H250, **FEET, "speed_kt": 90}, "CP"),
]  # fmt: skip

SETTINGS: list[tuple[str, dict[str, Any], str]] = [
    ("QNH 1011", {"qnh_hpa": 1011}, "IC"),
    ("Q1011", {"qnh_hpa": 1011}, "METAR"),
    ("QNH1011", {"qnh_hpa": 1011}, "IC"),
    ("1011hPa", {"qnh_hpa": 1011}, "CP"),
    ("998 mb", {"qnh_hpa": 998}, "CP"),
    ("2992", {"altimeter_inhg": 29.92}, "CP"),
    ("29.92", {"altimeter_inhg": 29.92}, "CP"),
    ("30.00in", {"altimeter_inhg": 30.0}, "CP"),
    ("A2992", {"altimeter_inhg": 29.92}, "METAR"),
    ("altimeter 2992", {"altimeter_inhg": 29.92}, "AIM phraseology"),
    ("altimeter 3000", {"altimeter_inhg": 30.0}, "AIM phraseology"),
    ("QNH 29.92", {"altimeter_inhg": 29.92}, "CP"),
    ("STD", {"standard": True}, "CP"),
    ("QNE", {"standard": True}, "IC"),
    ("1340 QNH 1011", {"time": "13:40", "qnh_hpa": 1011}, "LF"),
    ("~13:40 2988", {"time": "13:40", "time_accuracy_s": 180, "altimeter_inhg": 29.88}, "LF"),
]

EVENTS: list[tuple[str, str, str]] = [
    ("rwy in sight", "visual", "CP"),
    ("runway in sight", "visual", "AIM phraseology"),
    ("in sight", "visual", "CP"),
    ("field in sight", "visual", "AIM phraseology"),
    ("visual lost", "visual-lost", "LF"),
    ("lost sight", "visual-lost", "CP"),
    ("hood on", "hood-on", "LF"),
    ("under the hood", "hood-on", "CP"),
    ("hood off", "hood-off", "LF"),
    ("AP on", "autopilot-on", "CP"),
    ("A/P off", "autopilot-off", "CP"),
    ("autopilot off", "autopilot-off", "LF"),
    ("instr flying", "instructor-flying", "LF"),
    ("CFI flying", "instructor-flying", "CP"),
    ("student flying", "student-flying", "LF"),
    ("eng out", "engine-out", "LF"),
    ("engine failure", "engine-out", "CP"),
    ("partial panel", "instruments-lost", "CP"),
    ("inst lost", "instruments-lost", "LF"),
    ("restored", "restored", "LF"),
]


@pytest.mark.parametrize(("line", "meaning", "source"), INSTRUCTIONS, ids=lambda value: str(value)[:40])
def test_an_instruction_means_what_the_trade_means(line: str, meaning: dict[str, Any], source: str) -> None:
    assert heard(line).clearance == (Clearance.model_validate(meaning),), source


@pytest.mark.parametrize(("line", "meaning", "source"), SETTINGS, ids=lambda value: str(value)[:40])
def test_a_setting_means_what_the_trade_means(line: str, meaning: dict[str, Any], source: str) -> None:
    said = heard(line)

    assert said.altimeter == (AltimeterSetting.model_validate(meaning),), source
    assert not said.clearance


@pytest.mark.parametrize(("words", "what", "source"), EVENTS)
def test_an_event_means_what_the_lesson_file_means(words: str, what: str, source: str) -> None:
    said = heard(f"1358 {words}")

    assert said.event == (Event.model_validate({"time": "13:58", "what": what}),), source
    assert not said.clearance


def test_the_table_is_as_long_as_was_promised() -> None:
    lines = [line for line, *_ in (*INSTRUCTIONS, *SETTINGS)]

    assert len(lines) == len(set(lines)) >= 120


@pytest.mark.parametrize(
    ("line", "remark"),
    [
        ("! asked for lower", Remark(text="asked for lower")),
        ("1336 ! asked for lower # not a comment", Remark(time="13:36", text="asked for lower # not a comment")),
        ("13:36:10 !!", None),
        ("? did he say left", Remark(text="? did he say left")),
        ("1400 ! H250", Remark(time="14:00", text="H250")),
    ],
)
def test_a_remark_runs_to_the_end_of_its_line(line: str, remark: Remark | None) -> None:
    if remark is None:
        with pytest.raises(Exception, match="the remark is empty"):
            heard(line)
    else:
        said = heard(line)
        assert said.remark == (remark,)
        assert not said.clearance


def test_one_line_may_hold_an_instruction_a_setting_an_event_and_a_remark() -> None:
    said = heard("1312 H250 4000 QNH 1011 hood on ! twice")

    assert said.clearance == (Clearance(time="13:12", heading_deg_mag=250, altitude_ft=4000),)
    assert said.altimeter == (AltimeterSetting(time="13:12", qnh_hpa=1011),)
    assert said.event == (Event(time="13:12", what="hood-on"),)
    assert said.remark == (Remark(time="13:12", text="twice"),)


@pytest.mark.parametrize(
    ("lines", "times"),
    [
        (["1312 H250", ":14 H260"], ["13:12", "13:14"]),
        (["1358 H250", ":02 H260", ":02 H270"], ["13:58", "14:02", "14:02"]),
        (["2358 H250", ":03 H260", "0009 H270"], ["23:58", "00:03", "00:09"]),
        (["1358 H250", "H255", "05 H260"], ["13:58", None, "14:05"]),
        (["1312 H250", "14 H260 4000"], ["13:12", "13:14"]),
        (["13:12:50 H250", ":12 H260"], [dt.time(13, 12, 50), "13:12"]),
        (["2026-04-18T19:58:00-04:00 H250", ":59 H260"], [None, "23:59"]),
        (["1312 hood on", ":14 H260"], ["13:14"]),
    ],
)
def test_minutes_past_the_hour_go_by_the_time_above(lines: list[str], times: list[object]) -> None:
    found = [clearance.time for clearance in heard(lines[-1], *lines[:-1]).clearance]

    assert [one for one in found if not isinstance(one, dt.datetime)] == [
        one for one, other in zip(times, found, strict=True) if not isinstance(other, dt.datetime)
    ]


def test_lines_are_kept_in_order_with_their_numbers() -> None:
    text = "# Lesson 9\r\n\r\n1312 H250 4000\r\n1319 D→CALDU\r\nQNH 1011\n\n1358 rwy in sight\n! done"
    said = read_shorthand(text, file="said.txt")

    assert [clearance.direct for clearance in said.clearance] == [None, "CALDU"]
    assert said.lines == {
        ("clearance", 0): 3,
        ("clearance", 1): 4,
        ("altimeter", 0): 5,
        ("event", 0): 7,
        ("remark", 0): 8,
    }


@pytest.mark.parametrize("text", ["", "\n\n", "# nothing\n   # at all", "\ufeff"])
def test_a_text_may_say_nothing(text: str) -> None:
    said = read_shorthand(text, file="said.txt")

    assert (said.clearance, said.altimeter, said.event, said.remark) == ((), (), (), ())


def test_a_fix_is_spelt_as_the_lesson_spells_it() -> None:
    assert read_shorthand("dct my-fix", file="said.txt", known_fixes=["My-Fix"]).clearance[0].direct == "My-Fix"
