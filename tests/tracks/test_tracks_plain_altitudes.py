"""Altitudes whose heading leaves open what they are: in metres or in feet, by pressure or on a setting."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from legwise.model.arrays import FloatArray
from legwise.model.lesson import ColumnChoice
from legwise.model.track import AltitudeKind, RawTrack, Track
from tracks.altitude_logs import FEET_PER_METRE, climb, log_with, rounded

Read = Callable[..., RawTrack]
Mended = Callable[..., Track]

HEIGHT_FT = climb()
METRES = HEIGHT_FT / FEET_PER_METRE
KMH = np.full(len(HEIGHT_FT), 203.7)
QNH_1000_FT = 363.0
"""Pressure altitude where the pressure is 1000 hPa: 44330.8 (1 - (1000 / 1013.25)^0.190263) m (ICAO Doc 7488, from
memory).
"""


def climb_fpm(height_ft: FloatArray) -> FloatArray:
    """The rate of climb at each second: the slope from the second before to the one after."""
    rate: FloatArray = np.gradient(height_ft) * 60.0
    return rate


def plain_ft(raw: RawTrack) -> FloatArray:
    return raw.samples.altitudes_ft[AltitudeKind.UNKNOWN]


def told(raw: RawTrack, words: str) -> bool:
    return any(words in note for note in raw.source.notes)


@pytest.mark.parametrize(
    ("columns", "why"),
    [
        ({"Altitude GPS MSL m": METRES + 2.0}, "it changes by 0.30 for each foot of “Altitude GPS MSL m”"),
        ({"Altitude pressure ft": HEIGHT_FT}, "it changes by 0.30 for each foot of “Altitude pressure ft”"),
        ({"Vertical speed fpm": climb_fpm(HEIGHT_FT)}, "0.30 times as many feet as “Vertical speed fpm” says"),
        ({"Vertical speed m/s": climb_fpm(METRES) / 60.0}, "0.30 times as many feet as “Vertical speed m/s” says"),
        ({"Groundspeed kmh": KMH}, "“Groundspeed kmh” is in km/h, so that the log is a metric one"),
        ({"Groundspeed m/s": KMH / 3.6, "Accuracy m": KMH / 50}, "“Groundspeed m/s” is in m/s"),
    ],
)
def test_metres_are_told_by_the_columns_beside(columns: dict[str, FloatArray], why: str, read: Read) -> None:
    raw = read(log_with({"Altitude": METRES, **columns}))

    assert plain_ft(raw) == pytest.approx(HEIGHT_FT, abs=0.02)
    assert told(raw, "“Altitude” is taken in metres: its heading says no unit, and ")
    assert told(raw, why)
    assert not any(fault.kind == "contradicted-channel" for fault in raw.faults)


@pytest.mark.parametrize(
    "columns",
    [
        {},
        {"Groundspeed": KMH},
        {"Groundspeed kt": KMH / 1.852},
        {"Groundspeed kt": KMH / 1.852, "Vertical speed": climb_fpm(HEIGHT_FT)},
        {"Groundspeed kt": KMH / 1.852, "Vertical speed m/s": 0.0 * HEIGHT_FT},
        # The climb speaks for feet, whatever the speeds are in.
        {"Groundspeed kmh": KMH, "Vertical speed m/s": climb_fpm(METRES) / 60.0},
        {"Groundspeed kmh": KMH, "Altitude GPS MSL m": METRES + 10.0},
        # Without a steady ratio nothing is decided, and two units of speed are no metric log.
        {"Groundspeed kt": KMH / 1.852, "Altitude GPS MSL m": rounded(METRES * 0.0, 1.0) + np.arange(1800.0)},
        {"Groundspeed kmh": KMH, "Vertical speed fpm": 0.0 * HEIGHT_FT},
    ],
)
def test_without_such_evidence_feet_are_taken_and_noted(columns: dict[str, FloatArray], read: Read) -> None:
    raw = read(log_with({"Altitude": HEIGHT_FT, **columns}))

    assert plain_ft(raw) == pytest.approx(HEIGHT_FT, abs=0.02)
    assert told(raw, "“Altitude” is the altitude (of a kind that isn't said) in ft (the heading says no unit)")


@pytest.mark.parametrize("heading", ["Altitude ft", "Altitude (feet)"])
def test_a_unit_that_is_said_is_taken_whatever_stands_beside(heading: str, read: Read) -> None:
    raw = read(log_with({heading: HEIGHT_FT, "Groundspeed kmh": KMH}))

    assert plain_ft(raw) == pytest.approx(HEIGHT_FT, abs=0.02)


def test_a_unit_that_the_caller_says_is_taken(read: Read) -> None:
    text = log_with({"Altitude": HEIGHT_FT, "Groundspeed kmh": KMH})
    raw = read(text, columns={"altitude_ft": ColumnChoice(heading="Altitude", unit="ft")})

    assert plain_ft(raw) == pytest.approx(HEIGHT_FT, abs=0.02)
    assert not told(raw, "is taken in metres")


def test_an_altitude_of_a_kind_without_a_unit_is_looked_at_too(read: Read) -> None:
    raw = read(log_with({"AltMSL": METRES, "Groundspeed kmh": KMH}))

    assert raw.samples.altitudes_ft[AltitudeKind.GNSS_MSL] == pytest.approx(HEIGHT_FT, abs=0.02)


@pytest.mark.parametrize("heading", ["Baro altitude ft", "Barometric Altitude (ft)", "AltB", "Alt B ft", "BaroAlt"])
def test_a_barometric_altitude_is_pressure_altitude_unless_more_is_said(heading: str, mended: Mended) -> None:
    track = mended(log_with({heading: HEIGHT_FT}))

    assert track.altitude.plain is AltitudeKind.PRESSURE
    assert track.altitude.is_barometric
    assert f"its heading “{heading}” says barometric" in track.altitude.reason
    assert "so recorders call pressure altitude, on 1013.25 hPa" in track.altitude.reason
    assert 'kind = "indicated"' in track.altitude.reason


def test_a_row_of_units_says_it_too(mended: Mended) -> None:
    text = log_with({"Alt": HEIGHT_FT}).split("\n", 1)
    track = mended(f"{text[0]}\nutc,deg,deg,ft Baro\n{text[1]}")

    assert track.altitude.plain is AltitudeKind.PRESSURE


@pytest.mark.parametrize(
    ("heading", "setting"),
    [
        ("BaroA inch", 29.87),
        ("Altimeter setting inHg", 30.12),
        ("QNH hPa", 1009.0),
        ("Baro setting", 1009.0),
        ("QNH", 1009.0),
    ],
)
def test_beside_the_setting_of_an_altimeter_it_is_what_that_showed(
    heading: str, setting: float, mended: Mended
) -> None:
    track = mended(log_with({"AltB": HEIGHT_FT, heading: np.full(len(HEIGHT_FT), setting)}))

    assert track.altitude.plain is AltitudeKind.INDICATED
    assert f"“{heading}” beside it is the setting of an altimeter" in track.altitude.reason


@pytest.mark.parametrize(
    ("heading", "figure"), [("Baro temperature", 29.9), ("Baro setting inHg", 0.0), ("Manifold pressure inHg", 29.9)]
)
def test_other_columns_are_no_settings(heading: str, figure: float, mended: Mended) -> None:
    track = mended(log_with({"AltB": HEIGHT_FT, heading: np.full(len(HEIGHT_FT), figure)}))

    assert track.altitude.plain is AltitudeKind.PRESSURE


def test_a_corrected_one_says_that_it_is_on_a_setting(mended: Mended) -> None:
    assert mended(log_with({"Baro corrected altitude ft": HEIGHT_FT})).altitude.plain is AltitudeKind.INDICATED


def test_beside_the_log_s_pressure_altitude_it_is_an_altimeter_s(mended: Mended) -> None:
    track = mended(log_with({"AltB ft": HEIGHT_FT, "Altitude pressure ft": HEIGHT_FT + QNH_1000_FT}))

    assert track.altitude.plain is AltitudeKind.INDICATED
    assert "363 ft (111 m) below the pressure altitude all through, as an altimeter on 1000.0 hPa" in (
        track.altitude.reason
    )


@pytest.mark.parametrize("beside", ["Altitude GPS MSL ft", "Altitude HAE ft"])
@pytest.mark.parametrize("metres", [-50.0, 47.0])
def test_a_steady_difference_from_gnss_height_is_not_put_down_to_the_ellipsoid(
    metres: float, beside: str, mended: Mended
) -> None:
    track = mended(log_with({"Baro altitude ft": HEIGHT_FT + metres * FEET_PER_METRE, beside: HEIGHT_FT}))

    assert track.altitude.plain is AltitudeKind.PRESSURE
    assert not any("ellipsoid and mean sea level are" in note for note in (*track.source.notes, track.altitude.reason))


def test_the_figures_decide_before_the_heading(mended: Mended) -> None:
    track = mended(log_with({"Baro altitude ft": HEIGHT_FT, "Altitude GPS MSL ft": HEIGHT_FT}))

    assert track.altitude.plain is AltitudeKind.GNSS_MSL
    assert track.altitude.is_a_copy


def test_a_log_with_both_leaves_a_third_unknown(mended: Mended) -> None:
    parting = HEIGHT_FT * 1.05
    track = mended(
        log_with({"AltB ft": parting, "Altitude pressure ft": HEIGHT_FT, "Altitude indicated ft": HEIGHT_FT - 90.0})
    )

    assert track.altitude.plain in (None, AltitudeKind.UNKNOWN)
    assert track.altitude.is_barometric
