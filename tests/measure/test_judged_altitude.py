"""Which altitude is judged, and the doubt: the stated figures (95 %), air by exact hydrostatics worked out apart."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Callable

import numpy as np
import pytest

from legwise.measure import judge_altitude
from legwise.model.lesson import (
    Accuracy,
    AltimeterSetting,
    Altimetry,
    Lesson,
    LessonApproach,
    LessonHead,
    Runway,
)
from legwise.model.track import AltitudeKind, Channel, Track

GNSS_FT = 15.0 / 0.3048
TrackMaker = Callable[..., Track]


@pytest.fixture
def log(make_track: TrackMaker) -> Callable[..., Track]:
    """Twenty samples with the channels named, each level at its altitude."""

    def make(channels: dict[Channel, list[float]] | None = None, **altitudes_ft: float) -> Track:
        kinds = {AltitudeKind(name.replace("_", "-")): [value] * 20 for name, value in altitudes_ft.items()}
        return make_track([46.0] * 20, np.linspace(-28.0, -27.99, 20), altitudes_ft=kinds, channels=channels)

    return make


def test_auto_prefers_indicated_then_pressure_with_a_setting_then_gnss(log: Callable[..., Track]) -> None:
    with_setting = Lesson(altimetry=Altimetry(qnh_hpa=1013.25))
    everything = {"indicated": 3000.0, "pressure": 3100.0, "gnss_msl": 3050.0, "unknown": 2900.0}

    def judged(lesson: Lesson, *names: str) -> AltitudeKind | None:
        return judge_altitude(log(**{name: everything[name] for name in names}), lesson).kind

    assert judged(with_setting, *everything) is AltitudeKind.INDICATED
    assert judged(with_setting, "pressure", "gnss_msl", "unknown") is AltitudeKind.PRESSURE
    assert judged(Lesson(), "pressure", "gnss_msl", "unknown") is AltitudeKind.GNSS_MSL
    assert judged(Lesson(), "pressure", "unknown") is AltitudeKind.UNKNOWN
    assert judged(Lesson(), "pressure") is AltitudeKind.PRESSURE


def test_an_empty_channel_is_not_chosen(log: Callable[..., Track]) -> None:
    got = judge_altitude(log(indicated=float("nan"), gnss_msl=3050.0), Lesson())

    assert got.kind is AltitudeKind.GNSS_MSL


def test_nothing_recorded_is_nothing_judged(log: Callable[..., Track]) -> None:
    got = judge_altitude(log(), Lesson())

    assert got.kind is None
    assert np.isnan(got.altitude_ft).all()
    assert np.isnan(got.vertical_speed_fpm).all()
    assert got.words == "No altitude was recorded."


def test_the_lesson_chooses(log: Callable[..., Track]) -> None:
    track = log(indicated=3000.0, gnss_msl=3050.0)

    got = judge_altitude(track, Lesson(altimetry=Altimetry(source="gnss-msl")))

    assert got.kind is AltitudeKind.GNSS_MSL
    assert got.altitude_ft == pytest.approx(np.full(20, 3050.0))


def test_the_lesson_says_what_an_unknown_altitude_is(log: Callable[..., Track]) -> None:
    got = judge_altitude(log(unknown=3000.0), Lesson(altimetry=Altimetry(source="indicated")))

    assert got.kind is AltitudeKind.INDICATED
    assert got.accuracy_ft == 20.0
    assert "the lesson says indicated" in got.words


def test_a_source_that_is_not_there_is_told(log: Callable[..., Track]) -> None:
    got = judge_altitude(log(gnss_msl=3000.0), Lesson(altimetry=Altimetry(source="indicated")))

    assert got.kind is AltitudeKind.GNSS_MSL
    assert "which the log does not hold" in got.words


# Pressure altitude less altitude on the setting, by the standard atmosphere.
@pytest.mark.parametrize(("qnh_hpa", "difference_ft"), [(980.0, 920.4), (1000.0, 363.8), (1030.0, -454.4)])
def test_pressure_altitude_is_put_on_the_setting(
    qnh_hpa: float, difference_ft: float, log: Callable[..., Track]
) -> None:
    got = judge_altitude(log(pressure=4000.0), Lesson(altimetry=Altimetry(qnh_hpa=qnh_hpa)))

    assert got.altitude_ft == pytest.approx(np.full(20, 4000.0 - difference_ft), abs=1.0)
    assert got.against_assigned_ft == pytest.approx(np.full(20, 50.0))


def test_a_setting_in_inches_is_the_same_setting(log: Callable[..., Track]) -> None:
    # 14 CFR Part 43 Appendix E, Table IV: 29.50 inHg shifts the altimeter by -392 ft.
    got = judge_altitude(log(pressure=4000.0), Lesson(altimetry=Altimetry(altimeter_inhg=29.50)))

    assert got.altitude_ft == pytest.approx(np.full(20, 3608.0), abs=1.5)


def test_settings_change_over_the_flight(log: Callable[..., Track]) -> None:
    lesson = Lesson(
        lesson=LessonHead(date=dt.date(2026, 4, 18)),
        altimetry=Altimetry(qnh_hpa=1000.0),
        altimeter=(
            AltimeterSetting(time=dt.time(13, 0, 5), standard=True),
            AltimeterSetting(time=dt.datetime(2026, 4, 18, 13, 0, 15, tzinfo=dt.UTC), qnh_hpa=1030.0),
        ),
    )

    got = judge_altitude(log(pressure=4000.0), lesson)

    expected = [3636.2] * 5 + [4000.0] * 10 + [4454.4] * 5
    assert got.altitude_ft == pytest.approx(expected, abs=1.0)
    # The aircraft flew level: a setting is no climb.
    assert got.vertical_speed_fpm == pytest.approx(np.zeros(20), abs=1e-6)


def test_a_time_of_day_after_midnight_is_the_next_day(make_track: TrackMaker) -> None:
    track = make_track(
        [46.0] * 4,
        [-28.0, -27.9, -27.8, -27.7],
        altitudes_ft={AltitudeKind.PRESSURE: [4000.0] * 4},
        time_s=np.array([0.0, 3600.0, 7200.0, 10800.0]) + 10.0 * 3600.0,  # from 23:00
    )
    lesson = Lesson(
        lesson=LessonHead(date=dt.date(2026, 4, 18)),
        altimetry=Altimetry(qnh_hpa=1013.25),
        altimeter=(AltimeterSetting(time="00:30", qnh_hpa=1000.0),),
    )

    assert judge_altitude(track, lesson).altitude_ft == pytest.approx([4000, 4000, 3636.2, 3636.2], abs=1.0)


def test_above_the_transition_altitude_pressure_altitude_stays(log: Callable[..., Track]) -> None:
    lesson = Lesson(altimetry=Altimetry(qnh_hpa=980.0, transition_altitude_ft=5000.0))

    assert judge_altitude(log(pressure=7000.0), lesson).altitude_ft == pytest.approx(np.full(20, 7000.0))
    assert judge_altitude(log(pressure=4000.0), lesson).altitude_ft == pytest.approx(np.full(20, 3079.6), abs=1.0)


@pytest.mark.parametrize(
    ("kind", "expected_ft"), [("indicated", 20.0), ("pressure", 50.0), ("unknown", 150.0), ("gnss_msl", GNSS_FT)]
)
def test_the_usual_accuracy_of_each_kind(kind: str, expected_ft: float, log: Callable[..., Track]) -> None:
    got = judge_altitude(log(**{kind: 3000.0}), Lesson(altimetry=Altimetry(qnh_hpa=1013.25)))

    assert got.accuracy_ft == pytest.approx(expected_ft)


@pytest.mark.parametrize("kind", ["indicated", "unknown"])
def test_an_altimeter_against_an_assigned_altitude_adds_nothing(kind: str, log: Callable[..., Track]) -> None:
    got = judge_altitude(log(**{kind: 3000.0}), Lesson())

    assert got.against_assigned_ft == pytest.approx(np.full(20, got.accuracy_ft))


def test_gnss_against_an_assigned_altitude_adds_50_ft_where_the_air_is_known(log: Callable[..., Track]) -> None:
    lesson = Lesson(altimetry=Altimetry(qnh_hpa=1013.25, oat_deg_c=15.0))

    for altitude in (500.0, 5999.0):
        got = judge_altitude(log(gnss_msl=altitude), lesson)
        assert got.against_assigned_ft == pytest.approx(np.full(20, math.hypot(GNSS_FT, 50.0)))
        assert got.against_glidepath_ft == pytest.approx(np.full(20, GNSS_FT))
    assert judge_altitude(log(gnss_msl=9000.0), lesson).against_assigned_ft[0] > 200.0


@pytest.mark.parametrize(
    "altimetry", [Altimetry(), Altimetry(qnh_hpa=1009.0), Altimetry(oat_deg_c=4.0)], ids=["nothing", "qnh", "oat"]
)
def test_gnss_against_an_assigned_altitude_otherwise_adds_20_deg_of_air(
    altimetry: Altimetry, log: Callable[..., Track]
) -> None:
    # 5,000 ft of standard air 20 deg C off is 353.1 ft thicker or thinner.
    got = judge_altitude(log(gnss_msl=5000.0), Lesson(altimetry=altimetry))

    assert got.against_assigned_ft == pytest.approx(np.full(20, math.hypot(GNSS_FT, 353.1)), abs=0.1)
    assert got.altitude_ft == pytest.approx(np.full(20, 5000.0))
    assert "7 % of the height" in got.words


def approach_at(elevation_ft: float) -> LessonApproach:
    runway = Runway(ident="RW27", lat_deg=46.0, lon_deg=-28.0, elevation_ft=elevation_ft, course_deg_true=270.0)
    return LessonApproach(airport="XSKH", title="RWY 27", guidance="LPV", runway=runway)


def test_gnss_height_becomes_what_the_altimeter_showed_where_the_air_is_known(log: Callable[..., Track]) -> None:
    # -30 deg C at a sea-level aerodrome: the ICAO cold temperature table has 570 ft at 3,000 ft, rounded up.
    cold = Lesson(altimetry=Altimetry(qnh_hpa=1013.25, oat_deg_c=-30.0))

    got = judge_altitude(log(gnss_msl=3000.0), cold)

    assert 555.0 < float(got.altitude_ft[0]) - 3000.0 <= 570.0
    assert got.geometric_altitude_ft == pytest.approx(np.full(20, 3000.0))
    assert "what the altimeter would show" in got.words


def test_temperature_is_the_destinations(log: Callable[..., Track]) -> None:
    # At the destination itself the altimeter is right, however cold.
    lesson = Lesson(altimetry=Altimetry(qnh_hpa=1013.25, oat_deg_c=-30.0), approach=(approach_at(2000.0),))

    got = judge_altitude(log(gnss_msl=2000.0), lesson)

    assert got.altitude_ft == pytest.approx(np.full(20, 2000.0), abs=1e-6)
    assert "XSKH" in got.words


def test_a_straight_glidepath_is_compared_with_gnss_height_where_there_is_one(log: Callable[..., Track]) -> None:
    got = judge_altitude(log(indicated=3000.0, gnss_msl=3080.0), Lesson())

    assert got.kind is AltitudeKind.INDICATED
    assert got.geometric_kind is AltitudeKind.GNSS_MSL
    assert got.geometric_altitude_ft == pytest.approx(np.full(20, 3080.0))
    assert got.against_glidepath_ft == pytest.approx(np.full(20, GNSS_FT))
    assert got.against_assigned_ft == pytest.approx(np.full(20, 20.0))
    assert "±49 ft" in got.words


def test_an_altimeter_against_a_straight_glidepath_carries_the_airs_part_of_the_height(
    log: Callable[..., Track],
) -> None:
    at_runway = judge_altitude(log(indicated=2000.0), Lesson(approach=(approach_at(2000.0),)))
    # 1,000 ft of air 20 deg C off: 69.6 ft at sea level.
    above = judge_altitude(log(indicated=1000.0), Lesson())

    assert at_runway.against_glidepath_ft == pytest.approx(np.full(20, 20.0))
    assert above.against_glidepath_ft == pytest.approx(np.full(20, math.hypot(20.0, 69.6)), abs=0.1)


def test_a_pressure_altitude_without_a_setting_is_hardly_known(log: Callable[..., Track]) -> None:
    got = judge_altitude(log(pressure=3000.0), Lesson())

    # 30 hPa are 820 ft by the rule of 27.3 ft each.
    assert got.against_assigned_ft == pytest.approx(np.full(20, 820.0), abs=30.0)
    assert got.against_glidepath_ft.min() >= 800.0


def test_height_above_the_ellipsoid_is_hardly_known(log: Callable[..., Track]) -> None:
    got = judge_altitude(log(gnss_ellipsoid=3000.0), Lesson())

    assert got.accuracy_ft == pytest.approx(math.hypot(15.0, 107.0) / 0.3048)
    assert got.against_glidepath_ft.min() > 350.0


def test_it_is_turned_into_an_altimeters_reading_like_any_height_in_space(log: Callable[..., Track]) -> None:
    cold = Lesson(altimetry=Altimetry(qnh_hpa=1013.25, oat_deg_c=-30.0))

    got = judge_altitude(log(gnss_ellipsoid=3000.0), cold)

    assert 555.0 < float(got.altitude_ft[0]) - 3000.0 <= 570.0


def test_what_the_lesson_says_is_the_whole_doubt(log: Callable[..., Track]) -> None:
    got = judge_altitude(log(gnss_msl=3000.0), Lesson(accuracy=Accuracy(altitude_ft=40.0)))

    for doubt in (got.against_assigned_ft, got.against_glidepath_ft):
        assert doubt == pytest.approx(np.full(20, 40.0))
    assert got.accuracy_ft == 40.0


def test_what_the_log_says_of_itself_counts(log: Callable[..., Track]) -> None:
    track = log({Channel.VERTICAL_ACCURACY_M: [3.0] * 20}, gnss_msl=3000.0)

    got = judge_altitude(track, Lesson())

    assert got.against_glidepath_ft == pytest.approx(np.full(20, 3.0 / 0.3048))


def test_arrays_are_read_only(log: Callable[..., Track]) -> None:
    got = judge_altitude(log(gnss_msl=3000.0), Lesson())

    with pytest.raises(ValueError, match="read-only"):
        got.altitude_ft[0] = 1.0
