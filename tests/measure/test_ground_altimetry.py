"""The kind of a plain altitude, and the altimeter check on the ground, on flights of closed form.

The check is AIM 7-2-3 (75 ft). A setting of 1000 hPa is 363.8 ft of pressure altitude, one of 29.50 inHg 392 ft (14 CFR
Part 43 Appendix E, Table IV). 5,000 ft of standard air, 20 °C warmer, is 353.1 ft thicker.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from legwise.measure import judge_altitude
from legwise.model.deviations import JudgedAltitude
from legwise.model.lesson import Accuracy, AltimeterSetting, Altimetry, Lesson, LessonApproach, LessonFix, Runway
from legwise.model.track import AltitudeKind
from legwise.tracks import mend, read_raw_track
from measure.altimetry_flights import AWAY, HOME, SECONDS, Logged, height_ft, lesson_of, log_of

QNH_1000_FT = 363.8
GNSS_FT = 15.0 / 0.3048
WARM = 353.1 / 5_000.0
ON_1000 = Altimetry(qnh_hpa=1000.0)
Judge = Callable[..., JudgedAltitude]


@pytest.fixture
def judged(tmp_path: Path) -> Judge:
    """Fly, read, mend, and choose the altitude."""

    def judge(channels: dict[str, Logged], lesson: Lesson, **log: float) -> JudgedAltitude:
        path = tmp_path / "flight"
        path.write_text(log_of(channels, **log), encoding="utf-8")  # type: ignore[arg-type]
        return judge_altitude(mend(read_raw_track(path)), lesson)

    return judge


def off_by(feet: float) -> Logged:
    return lambda height: height + feet


def test_an_altitude_that_agrees_on_the_ground_keeps_its_doubt(judged: Judge) -> None:
    got = judged({"Altitude indicated ft": off_by(20.0)}, lesson_of())

    assert got.against_assigned_ft == pytest.approx(np.full(SECONDS, 20.0))
    assert "agrees with the elevation of XTBN (+20 ft) and XSKH (+20 ft)" in got.words


@pytest.mark.parametrize(("feet", "asked"), [(180.0, "7 hPa too high"), (-190.0, "7 hPa too low")])
def test_nothing_is_judged_more_closely_than_the_gap_on_the_ground(feet: float, asked: str, judged: Judge) -> None:
    got = judged({"Altitude indicated ft": off_by(feet)}, lesson_of())

    assert got.against_assigned_ft == pytest.approx(np.full(SECONDS, abs(feet)), abs=0.01)
    assert got.against_glidepath_ft.min() >= abs(feet) - 0.01
    assert got.accuracy_ft == 20.0
    assert f"{abs(feet):.0f} ft {'above' if feet > 0 else 'below'} the elevation of XTBN" in got.words
    assert f"So no verdict on an altitude is closer than {abs(feet):.0f} ft." in got.words
    assert f"Was the altimeter set {asked}?" in got.words


def test_the_larger_gap_counts_and_two_that_differ_are_no_setting(judged: Judge) -> None:
    got = judged({"Altitude indicated ft": lambda height: height - 100.0 * (height > 380.0)}, lesson_of())

    assert got.against_assigned_ft == pytest.approx(np.full(SECONDS, 100.0), abs=0.01)
    assert "?" not in got.words


def test_within_75_ft_is_within_the_check(judged: Judge) -> None:
    assert judged({"Altitude indicated ft": off_by(74.0)}, lesson_of()).against_assigned_ft.max() == 20.0
    assert judged({"Altitude indicated ft": off_by(76.0)}, lesson_of()).against_assigned_ft.min() > 75.0


def test_the_doubt_that_the_lesson_says_is_whole(judged: Judge) -> None:
    got = judged({"Altitude indicated ft": off_by(180.0)}, lesson_of(accuracy=Accuracy(altitude_ft=40.0)))

    assert got.against_assigned_ft == pytest.approx(np.full(SECONDS, 40.0))
    assert "The doubt stays as the lesson says." in got.words
    assert "180 ft above" in got.words


def test_where_nothing_can_be_checked_nothing_changes(judged: Judge) -> None:
    off = {"Altitude indicated ft": off_by(180.0)}
    far = (LessonFix(ident="XFAR", lat_deg=47.5, lon_deg=-27.0, kind="airport", elevation_ft=46.0),)
    no_elevation = (LessonFix(ident="XTBN", lat_deg=HOME[0], lon_deg=HOME[1], kind="airport"),)

    for lesson, log in (
        (Lesson(), {}),
        (lesson_of(fix=far), {}),
        (lesson_of(fix=no_elevation), {}),
        (lesson_of(), {"first": 150, "stop": 850}),
    ):
        got = judged(off, lesson, **log)
        assert got.against_assigned_ft.max() == 20.0
        assert "ground" not in got.words


def test_one_end_is_enough_to_widen(judged: Judge) -> None:
    got = judged({"Altitude indicated ft": off_by(180.0)}, lesson_of(), first=150)

    assert got.against_assigned_ft.min() == pytest.approx(180.0, abs=0.01)
    assert "XTBN" not in got.words
    assert "?" not in got.words


def test_a_runway_of_an_approach_is_a_known_elevation(judged: Judge) -> None:
    runway = Runway(ident="RW27", lat_deg=AWAY[0], lon_deg=AWAY[1], elevation_ft=AWAY[2], course_deg_true=262.0)
    lesson = Lesson(approach=(LessonApproach(airport="XSKH", title="RWY 27", guidance="LPV", runway=runway),))

    assert "the elevation of XSKH" in judged({"Altitude indicated ft": off_by(180.0)}, lesson).words


def test_a_height_as_far_off_as_the_geoid_is_asked_after(judged: Judge) -> None:
    got = judged({"Altitude GPS MSL ft": off_by(160.0)}, lesson_of())

    assert got.kind is AltitudeKind.GNSS_MSL
    assert got.against_glidepath_ft == pytest.approx(np.full(SECONDS, 160.0), abs=0.01)
    assert "Is it height above the ellipsoid?" in got.words


def test_a_glidepath_is_judged_by_the_height_it_is_compared_with(judged: Judge) -> None:
    got = judged({"Altitude indicated ft": off_by(180.0), "Altitude GPS MSL ft": off_by(5.0)}, lesson_of())

    assert got.against_assigned_ft.min() == pytest.approx(180.0, abs=0.01)
    assert got.against_glidepath_ft == pytest.approx(np.full(SECONDS, GNSS_FT))
    assert "For GNSS height above mean sea level: On the ground it agrees" in got.words


def test_a_pressure_altitude_is_checked_on_the_setting(judged: Judge) -> None:
    on_setting = judged({"Altitude pressure ft": off_by(QNH_1000_FT)}, lesson_of(altimetry=ON_1000))
    off_setting = judged({"Altitude pressure ft": off_by(QNH_1000_FT)}, lesson_of(altimetry=Altimetry(qnh_hpa=1010.0)))

    assert on_setting.against_assigned_ft == pytest.approx(np.full(SECONDS, 50.0))
    assert on_setting.altitude_ft == pytest.approx(height_ft(), abs=1.0)
    # 1010 hPa is 88.9 ft of pressure altitude (27.3 ft a hPa at sea level).
    assert off_setting.against_assigned_ft == pytest.approx(np.full(SECONDS, QNH_1000_FT - 3.25 * 27.35), abs=1.5)
    assert "Is the setting 10 hPa too high?" in off_setting.words


def test_a_pressure_altitude_without_a_setting_asks_for_it(judged: Judge) -> None:
    got = judged({"Altitude pressure ft": off_by(QNH_1000_FT)}, lesson_of())

    assert "Was the setting near 1000 hPa?" in got.words
    assert got.against_assigned_ft.min() > 800.0


@pytest.mark.parametrize(("altimetry", "shift_ft"), [(ON_1000, QNH_1000_FT), (Altimetry(altimeter_inhg=29.50), 392.0)])
def test_what_agrees_on_the_setting_alone_is_pressure_altitude(
    altimetry: Altimetry, shift_ft: float, judged: Judge
) -> None:
    got = judged({"Altitude ft": off_by(shift_ft)}, lesson_of(altimetry=altimetry))

    assert got.kind is AltitudeKind.PRESSURE
    assert got.altitude_ft == pytest.approx(height_ft(), abs=1.5)
    assert got.against_assigned_ft == pytest.approx(np.full(SECONDS, 50.0))
    assert "put on the setting it agrees with the elevation of XTBN and XSKH" in got.reason


def test_each_end_has_its_setting(judged: Judge) -> None:
    # From 363.8 ft at the one end to 640.9 ft at the other (standard atmosphere: 990 hPa).
    settings = (AltimeterSetting(time="13:08", qnh_hpa=990.0),)

    got = judged(
        {"Altitude ft": lambda height: height + np.where(np.arange(SECONDS) < 480, QNH_1000_FT, 640.9)},
        lesson_of(altimetry=ON_1000, altimeter=settings),
    )

    assert got.kind is AltitudeKind.PRESSURE


def test_what_agrees_as_it_stands_is_no_pressure_altitude_and_yet_not_named(judged: Judge) -> None:
    got = judged({"Altitude ft": off_by(10.0)}, lesson_of(altimetry=ON_1000))

    assert got.kind is AltitudeKind.UNKNOWN
    assert "as pressure altitude it wouldn't" in got.reason
    assert got.altitude_ft == pytest.approx(height_ft() + 10.0, abs=0.01)


@pytest.mark.parametrize("altimetry", [Altimetry(), Altimetry(qnh_hpa=1013.25), Altimetry(qnh_hpa=1015.0), ON_1000])
def test_agreeing_never_makes_the_doubt_smaller(altimetry: Altimetry, judged: Judge) -> None:
    got = judged({"Altitude ft": off_by(0.0)}, lesson_of(altimetry=altimetry))

    assert got.kind is AltitudeKind.UNKNOWN
    assert got.against_assigned_ft == pytest.approx(np.full(SECONDS, 150.0))


def test_a_setting_near_standard_decides_nothing(judged: Judge) -> None:
    # 1015 hPa is 48 ft: both readings pass the check.
    got = judged({"Altitude ft": off_by(-48.0)}, lesson_of(altimetry=Altimetry(qnh_hpa=1015.0)))

    assert got.kind is AltitudeKind.UNKNOWN


def test_without_a_setting_the_gap_is_doubt_and_a_question(judged: Judge) -> None:
    got = judged({"Altitude ft": off_by(QNH_1000_FT)}, lesson_of())

    assert got.kind is AltitudeKind.UNKNOWN
    assert got.against_assigned_ft == pytest.approx(np.full(SECONDS, QNH_1000_FT), abs=0.01)
    assert "Is it pressure altitude, or was the altimeter set 13 hPa too high?" in got.words


def test_one_end_names_no_kind(judged: Judge) -> None:
    got = judged({"Altitude ft": off_by(QNH_1000_FT)}, lesson_of(altimetry=ON_1000), first=150)

    assert got.kind is AltitudeKind.UNKNOWN


def test_steps_of_25_ft_that_the_ground_contradicts_name_nothing(judged: Judge) -> None:
    in_steps: dict[str, Logged] = {"Altitude ft": lambda height: np.round(height / 25.0) * 25.0}
    by_pressure: dict[str, Logged] = {"Altitude ft": lambda height: np.round((height + QNH_1000_FT) / 25.0) * 25.0}
    lesson = lesson_of(altimetry=ON_1000)

    assert judged(in_steps, Lesson()).kind is AltitudeKind.PRESSURE
    assert judged(in_steps, lesson).kind is AltitudeKind.UNKNOWN
    assert judged(by_pressure, lesson).kind is AltitudeKind.PRESSURE
    assert "steps of 25 ft" in judged(by_pressure, lesson).words


@pytest.mark.parametrize("source", ["indicated", "gnss-msl", "pressure"])
def test_the_lesson_says_what_it_is_whatever_the_log_shows(source: str, judged: Judge) -> None:
    in_steps: dict[str, Logged] = {"Altitude ft": lambda height: np.round(height / 25.0) * 25.0}
    altimetry = Altimetry.model_validate({"qnh_hpa": 1000.0, "source": source})

    assert judged(in_steps, lesson_of(altimetry=altimetry)).kind == source


def test_a_plain_altitude_by_pressure_that_agrees_with_the_elevations_is_the_altimeters(judged: Judge) -> None:
    # Warm air parts it from GNSS height; the setting keeps it at the elevation on the ground.
    channels: dict[str, Logged] = {
        "Altitude ft": lambda height: np.round(height / (1.0 + WARM)),
        "Altitude GPS MSL ft": lambda height: height,
    }

    assert judged(channels, lesson_of()).kind is AltitudeKind.GNSS_MSL
    assert judged(channels, lesson_of(altimetry=ON_1000)).kind is AltitudeKind.INDICATED


@pytest.mark.parametrize("oat_deg_c", [None, 35.0])
def test_gnss_height_and_the_setting_tell_pressure_altitude(oat_deg_c: float | None, judged: Judge) -> None:
    channels: dict[str, Logged] = {
        "Altitude ft": lambda height: np.round(height / (1.0 + WARM)) + QNH_1000_FT,
        "Altitude GPS MSL ft": lambda height: height,
    }
    altimetry = Altimetry(qnh_hpa=1000.0, oat_deg_c=oat_deg_c)

    got = judged(channels, Lesson(altimetry=altimetry), first=95, stop=905)

    assert got.kind is AltitudeKind.PRESSURE
    assert "GNSS height" in got.reason


def test_gnss_height_far_above_the_source_of_the_setting_tells_nothing(judged: Judge) -> None:
    channels: dict[str, Logged] = {"Altitude ft": off_by(QNH_1000_FT), "Altitude GPS MSL ft": off_by(0.0)}

    # Only above 3,500 ft, the temperature not known: air 35 °C off would make as much.
    got = judged(channels, Lesson(altimetry=ON_1000), first=330, stop=650)

    assert got.kind is AltitudeKind.GNSS_MSL


def test_the_logs_pressure_altitude_on_the_setting_is_the_altimeters(judged: Judge) -> None:
    channels: dict[str, Logged] = {"Altitude ft": off_by(0.0), "Altitude pressure ft": off_by(QNH_1000_FT)}

    got = judged(channels, Lesson(altimetry=ON_1000))

    assert got.kind is AltitudeKind.INDICATED
    assert "pressure altitude put on the setting" in got.reason


def test_an_altimeter_on_standard_is_left_out_of_the_comparison(judged: Judge) -> None:
    # Warm air, 1000 hPa; on standard from 13:02:30 to 13:14:10, where the altimeter shows pressure altitude.
    second = np.arange(SECONDS)
    channels: dict[str, Logged] = {
        "Altitude ft": lambda height: (
            np.round(height / (1.0 + WARM)) + QNH_1000_FT * ((second >= 150) & (second < 850))
        ),
        "Altitude GPS MSL ft": off_by(0.0),
    }
    settings = (AltimeterSetting(time="13:02:30", standard=True), AltimeterSetting(time="13:14:10", qnh_hpa=1000.0))
    lesson = Lesson(altimetry=Altimetry(qnh_hpa=1000.0, oat_deg_c=35.0), altimeter=settings)

    # Most of the flight looks like pressure altitude; what was flown on the setting says that it isn't.
    assert judged(channels, lesson).kind is AltitudeKind.GNSS_MSL


def test_an_altitude_that_changes_while_the_aircraft_hardly_moves_is_not_on_the_ground(judged: Judge) -> None:
    hovering: Logged = lambda height: height + 2.0 * np.maximum(np.arange(SECONDS) - 900.0, 0.0)  # noqa: E731

    got = judged({"Altitude indicated ft": hovering}, lesson_of())

    assert "XSKH" not in got.words
    assert got.against_assigned_ft.max() == 20.0


def test_evidence_that_contradicts_itself_names_nothing(judged: Judge) -> None:
    # The elevations want pressure altitude, GNSS height wants none.
    channels: dict[str, Logged] = {
        "Altitude ft": lambda height: np.where(height < 401.0, height + QNH_1000_FT, height),
        "Altitude GPS MSL ft": off_by(0.0),
    }
    lesson = lesson_of(altimetry=Altimetry(qnh_hpa=1000.0, oat_deg_c=15.0))

    assert judged({"Altitude ft": channels["Altitude ft"]}, lesson).kind is AltitudeKind.PRESSURE
    assert judged(channels, lesson).kind is AltitudeKind.GNSS_MSL


def test_a_named_pressure_altitude_stays_one_whatever_the_ground_shows(judged: Judge) -> None:
    channels: dict[str, Logged] = {"Altitude ft": off_by(0.0), "Altitude pressure ft": off_by(0.0)}

    got = judged(channels, lesson_of(altimetry=ON_1000))

    assert got.kind is AltitudeKind.PRESSURE
    assert got.against_assigned_ft.min() == pytest.approx(QNH_1000_FT, abs=1.0)


def test_nought_on_the_ground_is_no_altitude(judged: Judge) -> None:
    # What a receiver of transponders writes; the aerodromes are at 46 and 400 ft.
    at_nought: Logged = lambda height: np.where(height < 401.0, 0.0, height)  # noqa: E731

    got = judged({"Altitude ft": at_nought}, lesson_of())

    assert "ground" not in got.words
    assert got.against_assigned_ft == pytest.approx(np.full(SECONDS, 150.0))


def test_standing_in_the_air_is_no_ground(judged: Judge) -> None:
    # A pause in the air at the end of the log: an airspeed of 90 kt stays, or the height is far from any setting.
    high: Logged = lambda height: height + np.where(np.arange(SECONDS) > 700, 2_000.0, 0.0)  # noqa: E731

    with_speed = judged(
        {"Altitude indicated ft": high, "IAS kt": lambda height: np.where(height > 380, 90.0, 0.0)}, lesson_of()
    )
    without = judged({"Altitude indicated ft": high}, lesson_of())

    assert "XSKH" not in with_speed.words
    assert "At XSKH the log stands still 2,000 ft above the elevation: taken as not on the ground." in without.words
    for got in (with_speed, without):
        assert got.against_assigned_ft.max() == 20.0
