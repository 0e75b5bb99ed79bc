"""Every way a lesson can be wrong: the message names line and key, what was found, what would put it right."""

from __future__ import annotations

import pytest

from legwise.errors import LessonError, NotYetError
from legwise.lessons import parse_lesson

APPROACH = """\
[[approach]]
airport = "XSKH"
leg = [
  { path = "IF", fix = "HOLMA" },
  { path = "TF", fix = "FERNU", role = "FAF" },
  { path = "TF", fix = "RW27" },
]
"""
FIX = '[[fix]]\nident = "BRAKO"\nlat_deg = 46.5\nlon_deg = -28.0\n'

# Text, the line that is named, and words that the message holds.
WRONG: list[tuple[str, int, list[str]]] = [
    # Unknown keys, with the nearest known one.
    ("[altimetry]\nqnh = 1013\n", 2, ["[altimetry] qnh", "unknown key", "qnh_hpa"]),
    ("[lesson]\ntitel = 'x'\n", 2, ["[lesson] titel", "title"]),
    ("[[clearance]]\nheading = 250\n", 2, ["[[clearance]] 1 heading", "heading_deg_mag"]),
    ('[[fix]]\nident = "A1"\nlat = 3\nlon_deg = 4\n', 3, ["[[fix]] 1 lat", "lat_deg"]),
    ("[aproach]\n", 1, ["aproach", "approach"]),
    ("[lesson]\nqnh_hpa = 1013\n", 2, ["belongs in [altimetry] or [[altimeter]]"]),
    ("[lesson]\nzzz = 1\n", 2, ["unknown key zzz", "Known here", "title"]),
    ("file = 'x'\n", 1, ["unknown table or key file"]),
    ("[route]\nelements = ['A1']\n", 2, ["unknown key elements"]),
    ("[lesson]\n'a\\nb' = 1\n", 2, ["unknown key"]),
    # Ranges and types.
    (APPROACH + "minima = { mda_ft = -5 }\n", 8, ["minima.mda_ft", "found -5", "a number from 0 to 60,000 (feet)"]),
    (APPROACH + "glidepath_deg = 0.5\n", 8, ["glidepath_deg", "a number from 1 to 10 (degrees)"]),
    (APPROACH + "glidepath_deg = 11\n", 8, ["found 11", "a number from 1 to 10 (degrees)"]),
    (APPROACH + "course_half_width_at_threshold_ft = 501\n", 8, ["found 501", "from 100 to 500 (feet)"]),
    (
        APPROACH.replace('"TF", fix = "RW27"', '"CF", fix = "RW27", course_deg_mag = 372'),
        6,
        ["[[approach]] 1 leg 3 course_deg_mag", "found 372", "a number from 0 to 360 (degrees magnetic)"],
    ),
    ("[[clearance]]\nheading_deg_mag = 361\n", 2, ["found 361", "a number from 0 to 360"]),
    ("[[clearance]]\nheading_deg_true = -1\n", 2, ["found -1"]),
    (FIX.replace("46.5", "91"), 3, ["[[fix]] 1 lat_deg", "found 91", "a number from -90 to 90"]),
    (FIX.replace("-28.0", "-181"), 4, ["found -181", "from -180 to 180"]),
    (FIX.replace("46.5", "nan"), 3, ["found nan", "not nan or inf"]),
    (FIX.replace("46.5", "'46.5'"), 3, ['found "46.5"', "without quotes", "lat_deg = 46.5"]),
    (FIX.replace("46.5", "true"), 3, ["found true", "a number"]),
    (FIX + "kind = 'waipoint'\n", 5, ["[[fix]] 1 kind", "waipoint", '"waypoint"', '"vor"']),
    ('[[fix]]\nident = "BRAKO"\nlat_deg = 46.5\n', 1, ["[[fix]] 1", "lon_deg is missing", "from -180 to 180"]),
    (FIX.replace('"BRAKO"', '" BRAKO"'), 2, ["without blanks at its ends"]),
    (FIX.replace('"BRAKO"', '""'), 2, ["[[fix]] 1 ident"]),
    (FIX.replace('"BRAKO"', '"a\\u0007b"'), 2, ["[[fix]] 1 ident", 'found "a?b"', "control characters"]),
    ("[altimetry]\nqnh_hpa = 29.92\n", 2, ["found 29.92", "850 to 1,090 (hPa)", "altimeter_inhg = 29.92"]),
    ("[altimetry]\nqnh_hpa = 2992\n", 2, ["altimeter_inhg = 29.92"]),
    ("[altimetry]\naltimeter_inhg = 1013\n", 2, ["found 1013", "inches of mercury", "qnh_hpa = 1013"]),
    ("[altimetry]\naltimeter_inhg = 2992\n", 2, ["altimeter_inhg = 29.92"]),
    ("[altimetry]\nqnh_hpa = " + "9" * 400 + "\n", 2, ["[altimetry] qnh_hpa"]),
    ("[[clearance]]\nflight_level = 6000\n", 2, ["6000 ft is flight level 60"]),
    ("[[clearance]]\njoin = 'yes'\n", 2, ["true or false"]),
    ('[lesson]\ndate = "2026-04-18"\n', 2, ["date = 2026-04-18", "without quotes"]),
    ("[lesson]\ndate = 1926-04-18\n", 2, ["from 1980-01-01 to 2099-12-31"]),
    ("[[event]]\ntime = 13:00:00\nwhat = 'seen'\n", 3, ["[[event]] 1 what", '"visual-lost"']),
    ("[[event]]\nwhat = 'visual'\n", 1, ["time is missing", "13:12:40"]),
    ("[altimetry]\ntransition_altitude_ft = -5\n", 2, ["found -5", "from 0 to 60,000 (feet)"]),
    ("[lesson]\nstandard = 'faa-instrumnt'\n", 2, ["[lesson] standard", "faa-instrumnt", "is faa-instrument."]),
    ("[lesson]\nstandard = 'FAA-Instrument'\n", 2, ["is faa-instrument."]),
    ("[lesson]\nstandard = 'zzz'\n", 2, ["Known are faa-instrument, easa-instrument."]),
    ("lines = 3\n", 1, ["unknown table or key lines"]),
    # Tables of the wrong shape.
    ("[approach]\nairport = 'XSKH'\n", 1, ["[[approach]] in double brackets"]),
    ("[[route]]\npoints = ['A1', 'B1']\n", 1, ["[route] in single brackets"]),
    ("route = 'XTBN XSKH'\n", 1, ["route", "a table { text, points, altitude_ft"]),
    ("[route]\npoints = [\n 'A1',\n 2,\n]\n", 4, ["[route] points 2", "found 2"]),
    ("[columns]\naltitude_ft = { heading = 'Alt', units = 'm' }\n", 2, ["altitude_ft.units", "unit"]),
    ("[columns]\naltitude_ft = 3\n", 2, ["[columns] altitude_ft", "a table { heading, unit, kind }"]),
    # Times.
    ("[[clearance]]\ntime = 13:31\ndirect = 'A1'\n", 2, ["not TOML", '"13:31"']),
    ("[[clearance]]\ntime = 2026-04-18T13:31:00\ndirect = 'A1'\n", 2, ["without a zone", "Add Z"]),
    ("[[clearance]]\ntime = 2026-04-18\ndirect = 'A1'\n", 2, ["found 2026-04-18", "a time"]),
    ("[[clearance]]\ntime = '25:00'\ndirect = 'A1'\n", 2, ['found "25:00"', "a time"]),
    ("[[clearance]]\ntime = 1331\ndirect = 'A1'\n", 2, ["found 1331", "a time"]),
    ("[[clearance]]\ntime = 0001-01-01T00:00:00+23:59\ndirect = 'A1'\n", 2, ["1980 to 2099"]),
    ("[columns]\nutc_offset = '4'\n", 2, ["[columns] utc_offset", '"-04:00"']),
    ("[columns]\nutc_offset = { heading = 'x' }\n", 2, ["[columns] utc_offset"]),
    # Keys that contradict each other.
    ("[[clearance]]\nheading_deg_mag = 250\ndirect = 'A1'\n", 3, ["heading_deg_mag and direct", "one instruction"]),
    ("[[clearance]]\nheading_deg_true = 250\nhold = {fix = 'A1'}\n", 3, ["heading_deg_true and hold"]),
    ("[[clearance]]\nresume = true\nheading_deg_mag = 1\n", 2, ["heading_deg_mag and resume"]),
    ("[[clearance]]\nmissed = true\ncleared = 'XSKH'\n", 3, ["cleared", "missed", "one instruction"]),
    ("[[clearance]]\ndirect = 'A1'\nhold = {fix = 'B1'}\n", 3, ["direct and hold name two fixes"]),
    ("[[clearance]]\ntime = 13:00:00\n", 1, ["says nothing"]),
    ("[[clearance]]\njoin = false\n", 1, ["says nothing"]),
    ("[[clearance]]\naltitude_ft = 4000\nflight_level = 60\n", 3, ["altitude_ft and flight_level"]),
    ("[[clearance]]\nheading_deg_mag = 1\nheading_deg_true = 2\n", 3, ["heading_deg_mag and heading_deg_true"]),
    ("[[clearance]]\naltitude_ft = 4000\nuntil = 'final'\n", 3, ["without a heading"]),
    ("[[clearance]]\naltitude_ft = 4000\nturn = 'left'\n", 3, ["turn stands without"]),
    ("[[clearance]]\njoin = true\naltitude_until = 'established'\n", 3, ["without an altitude"]),
    ("[[clearance]]\ncrossing = { fix = 'A1' }\n", 2, ["crossing", "no altitude is given"]),
    ("[[clearance]]\nhold = { fix = 'A1', leg_nm = 4, leg_minutes = 1 }\n", 2, ["leg_minutes and leg_nm"]),
    ("[altimetry]\nqnh_hpa = 1013\naltimeter_inhg = 29.92\n", 3, ["qnh_hpa and altimeter_inhg are both given"]),
    ("[[altimeter]]\ntime = 13:00:00\n", 1, ["[[altimeter]] 1", "no setting"]),
    ("[[altimeter]]\nqnh_hpa = 1013\nstandard = true\n", 1, ["more than one setting"]),
    (FIX + FIX.replace("46.5", "46.6"), 6, ["[[fix]] 2 ident", "BRAKO stands at two places", "[[fix]] 1"]),
    (FIX + FIX.replace("46.5", "46.6").replace("BRAKO", "Brako"), 6, ["Brako stands at two places", "(as BRAKO)"]),
    ("[[clearance]]\ncircle = '27'\n", 2, ['found "27"', "the ident of a runway", "RW09"]),
    ("[[clearance]]\ncircle = 'RW37'\n", 2, ["[[clearance]] 1 circle", "RW37"]),
    ("[[clearance]]\ncircle = 'rw09'\n", 2, ["rw09"]),
    (APPROACH + "minima = { da_ft = 600, mda_ft = 600 }\n", 8, ["minima.mda_ft", "da_ft and mda_ft"]),
    (APPROACH + "minima = { }\n", 8, ["the minima are empty"]),
    (APPROACH + "minima = { da_ft = 1 }\nflown_minima = { mda_ft = 1 }\n", 9, ["two kinds"]),
    (
        APPROACH.replace('fix = "RW27"', 'fix = "RW27", altitude = { at_or_above_ft = 900, at_or_below_ft = 800 }'),
        6,
        ["upside down", "900 ft", "800 ft"],
    ),
    (APPROACH.replace('fix = "RW27"', 'fix = "RW27", altitude = { }'), 6, ["no altitude is given"]),
    (
        APPROACH.replace('fix = "RW27"', 'fix = "RW27", altitude = { at_ft = 900, at_or_below_ft = 800 }'),
        6,
        ["leg 3 altitude.at_ft", "beside"],
    ),
    (APPROACH.replace('fix = "RW27"', 'fix = "RW27", radius_nm = 3'), 6, ["radius_nm says nothing on a TF leg"]),
    (APPROACH.replace('"TF", fix = "RW27"', '"CF", fix = "RW27"'), 6, ["course_deg_mag or course_deg_true is missing"]),
    (APPROACH.replace(', fix = "RW27"', ""), 6, ["leg 3", "fix is missing"]),
    (APPROACH.replace('"RW27"', '"RW27", role = "FAF"'), 6, ["leg 3 role", "leg 2 is the FAF already"]),
    (APPROACH.replace('"HOLMA"', '"HOLMA", role = "MAP"'), 4, ["before the final approach fix"]),
    (APPROACH + 'missed = [ { path = "DF", fix = "A1", role = "MAP" } ]\n', 8, ["missed 1 role"]),
    (APPROACH.replace('"IF"', '"TF"'), 4, ["first leg is a TF"]),
    ('[[approach]]\nairport = "XSKH"\n', 1, ["the approach has no legs"]),
    ("[route]\ntext = 'XTBN XSKH'\npoints = ['XTBN', 'XSKH']\n", 3, ["text and points are both given"]),
    ("[route]\npoints = []\n", 2, ["no points"]),
    ("[route]\ntext = 'XTBN BR?KO'\n", 2, ["BR?KO", "     ^^^^^"]),
    ("[route]\ntext = 'XTBN BRAKO/N0120'\n", 2, ["[route] text", "no speed and level", "     ^^^^^^^^^^^"]),
    ("[navdata]\narinc_424 = 'x.dat'\n", 2, ["unknown key arinc_424", "arinc424"]),
    ("[navdata]\narinc424 = 3\n", 2, ["[navdata] arinc424", "found 3", "a text in quotes"]),
    ('[[approach]]\nairport = "XSKH"\nprocedure = "R27"\n', 3, ["[[approach]] 1 procedure", "[navdata]"]),
    # No TOML at all.
    ("[lesson\n", 1, ["not TOML", "[lesson"]),
    ("[lesson]\ntitle = 'a'\ntitle = 'b'\n", 3, ["not TOML"]),
    ("a = " + "[" * 5000, 0, ["nested too deeply"]),
    ("b = 1\na = [1,\n " + "9" * 5000 + "]", 3, ["a number of thousands of digits", "No value"]),
    ("[altimetry]\nqnh_hpa = 0x" + "f" * 5000, 2, ["[altimetry] qnh_hpa", "more than 18 digits", "850 to 1,090"]),
    ("[altimetry]\nqnh_hpa = " + "9" * 4000, 2, ["more than 18 digits"]),
    ("a = [" + "1," * 60_000 + "]", 0, ["more than 60,000 values"]),
    ("a." * 500 + "b = 1", 1, ["more than 20 parts"]),
    ("x = [\n { " + "a." * 500 + "b = 1 } ]", 2, ["more than 20 parts"]),
]


@pytest.mark.parametrize(("text", "line", "words"), WRONG, ids=[f"{number}" for number in range(len(WRONG))])
def test_what_is_wrong_is_named(text: str, line: int, words: list[str]) -> None:
    with pytest.raises(LessonError) as caught:
        parse_lesson(text, file="flight.toml")

    message = str(caught.value)
    assert message.startswith("flight.toml")
    assert line == 0 or f", line {line}" in caught.value.where
    for word in words:
        assert word in message
    assert len(message.splitlines()) <= 8
    assert max(len(row) for row in message.splitlines()) <= 300


def test_what_is_not_read_yet_is_refused_by_name() -> None:
    with pytest.raises(NotYetError, match=r"line 2, .*a standard of one's own \(\./my\.toml\)(.|\n)*faa-instrument"):
        parse_lesson("[lesson]\nstandard = './my.toml'\n", file="flight.toml")


def test_the_first_of_several_problems_in_full_and_where_the_others_are() -> None:
    text = "[altimetry]\noat_deg_c = 400\nqhn_hpa = 3\n[aircraft]\ncategory = 'F'\n"

    with pytest.raises(LessonError) as caught:
        parse_lesson(text, file="flight.toml")

    assert "line 2, [altimetry] oat_deg_c: found 400" in str(caught.value)
    assert "2 more problems in this file (lines 3, 5)." in str(caught.value)


def test_a_misspelt_key_comes_before_the_key_that_is_missing_for_it() -> None:
    with pytest.raises(LessonError, match=r"line 3, .*unknown key lat\n.*lat_deg"):
        parse_lesson('[[fix]]\nident = "A1"\nlat = 3\nlon_deg = 3\n', file="flight.toml")


def test_thousands_of_mistakes_make_one_short_message() -> None:
    with pytest.raises(LessonError) as caught:
        parse_lesson("[[fix]]\n" * 4000, file="flight.toml")

    assert len(str(caught.value).splitlines()) <= 8


def test_a_fix_of_ones_own_may_look_like_an_airway_or_an_arrival() -> None:
    text = "[route]\ntext = 'V7 BRAKO1 RW27'\n" + "".join(
        f'[[fix]]\nident = "{ident}"\nlat_deg = {lat}\nlon_deg = 0\n'
        for lat, ident in enumerate(["V7", "BRAKO1", "RW27"])
    )

    elements = parse_lesson(text, file="a.toml").route.elements

    assert [element.text for element in elements] == ["V7", "BRAKO1", "RW27"]
