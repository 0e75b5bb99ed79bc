"""Headings in other languages, units inside headings, and the words of choices and refusals."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from legwise.errors import ColumnError
from legwise.model.track import AltitudeKind, Channel, RawTrack
from tracks.csv_logs import ROWS, T0, checked, log_of

Read = Callable[..., RawTrack]


@pytest.mark.parametrize(
    "heading",
    [
        "Zeit (UTC);Breite;Länge;Höhe (ft)",
        "Weltzeit;Breitengrad;Längengrad;Höhe in Fuß",
        "Heure UTC;Latitude;Longitude;Altitude (pieds)",
        "Hora UTC;Latitud;Longitud;Altitud (pies)",
        "Ora UTC time;Latitudine;Longitudine;Altitudine ft",
        "Tijd UTC;Breedtegraad;Lengtegraad;Hoogte (ft)",
    ],
)
@pytest.mark.parametrize("encoding", ["utf-8", "cp1252", "utf-16"])
def test_headings_in_other_languages(heading: str, encoding: str, read: Read) -> None:
    text = log_of(heading.replace(";", ","), separator=";", comma=",")
    checked(read(text.encode(encoding)))


@pytest.mark.parametrize(
    ("heading", "channel", "written", "expected"),
    [
        ("Geschwindigkeit (km/h)", Channel.GROUNDSPEED_KT, "185.2", 100.0),
        ("Vitesse sol (km/h)", Channel.GROUNDSPEED_KT, "185.2", 100.0),
        ("Velocidad (nudos)", Channel.GROUNDSPEED_KT, "100", 100.0),
        ("Kurs über Grund (°)", Channel.TRACK_DEG_TRUE, "250", 250.0),
        ("Steuerkurs", Channel.HEADING_DEG_MAG, "250", 250.0),
        ("Cap (°)", Channel.HEADING_DEG_MAG, "250", 250.0),
        ("Querneigung", Channel.BANK_DEG, "-18.5", -18.5),
        ("Steiggeschwindigkeit (m/s)", Channel.VERTICAL_SPEED_FPM, "-2.54", -500.0),
        ("GS kts", Channel.GROUNDSPEED_KT, "100", 100.0),
        ("Speed_km/h", Channel.GROUNDSPEED_KT, "185.2", 100.0),
        ('"Ground Speed, km/h"', Channel.GROUNDSPEED_KT, "185.2", 100.0),
        ("VSpd fpm", Channel.VERTICAL_SPEED_FPM, "-500", -500.0),
        ("Climb [m/s]", Channel.VERTICAL_SPEED_FPM, "-2.54", -500.0),
        ("Heading °M", Channel.HEADING_DEG_MAG, "250", 250.0),
        ("hding__mag", Channel.HEADING_DEG_MAG, "250", 250.0),
        ("PLANE HEADING DEGREES TRUE", Channel.HEADING_DEG_TRUE, "250", 250.0),
        ("Direction (°)", Channel.TRACK_DEG_TRUE, "250", 250.0),
        ("bankAngleDegrees", Channel.BANK_DEG, "-18.5", -18.5),
    ],
)
def test_more_headings_of_channels(heading: str, channel: Channel, written: str, expected: float, read: Read) -> None:
    raw = read(log_of(f"time_utc,lat,lon,alt,{heading}", tuple(f"{row},{written}" for row in ROWS)))
    assert set(raw.samples.channels) == {channel}
    assert raw.samples.channels[channel].tolist() == pytest.approx([expected] * 3)


@pytest.mark.parametrize(
    "heading",
    ["Altitude (m)", "alt[m]", '"Alt, m"', "altitude_metres", "ALT M", "Height [meter]", "Höhe (m)", "alt_m",
     "Alt in m", '"Altitude, mètres"', "Elevation (meters)", "altitudeMeters"],
)  # fmt: skip
def test_metres_inside_a_heading(heading: str, read: Read) -> None:
    metres = ("950.976", "952.5", "954.024")
    rows = tuple(f"{row.rpartition(',')[0]},{m}" for row, m in zip(ROWS, metres, strict=True))
    checked(read(log_of(f"time_utc,lat,lon,{heading}", rows)))


@pytest.mark.parametrize("heading", ["Battery Cap", "Datum", "Day", "Wind direction", "T (°C)", "Seconds"])
def test_words_that_only_look_like_a_quantity(heading: str, read: Read) -> None:
    cell = {"Datum": "WGS84", "Day": "Saturday"}.get(heading, "7")
    raw = checked(read(log_of(f"time_utc,lat,lon,alt,{heading}", tuple(f"{row},{cell}" for row in ROWS))))
    assert not raw.samples.channels
    assert not raw.faults


def test_units_above_and_below_the_headings_are_one(read: Read) -> None:
    rows = tuple(f"{row.replace('Z', '')},185.2" for row in ROWS)
    text = "UTC,deg,deg,,km/h\ntime,lat,lon,alt,gs\n,WGS84,WGS84,ft MSL,\n" + "\n".join(rows) + "\n"
    raw = checked(read(text), AltitudeKind.GNSS_MSL, (4, 5, 6))
    assert raw.samples.channels[Channel.GROUNDSPEED_KT].tolist() == pytest.approx([100.0] * 3)


def test_a_sentence_above_the_headings_is_no_row_of_units(read: Read) -> None:
    # Three columns: a line of one cell is about as wide.
    raw = read("UTC offset: +2\ntime,lat,lon\n2026-04-18 15:12:40,46.5,-28\n")
    assert raw.samples.time_s.tolist() == [T0]


def test_what_is_not_used_is_said(read: Read) -> None:
    raw = checked(read(log_of("time_utc,lat,lon,alt,Date", tuple(f"{row},2026-04-18" for row in ROWS))))
    assert any("“Date” is not used: the times have dates of their own" in note for note in raw.source.notes)


@pytest.mark.parametrize(("bare", "other"), [("Roll", "RollC"), ("Pitch", "Pitch 2"), ("IAS", "IAS xyz")])
def test_a_bare_word_stands_before_one_with_a_suffix(bare: str, other: str, read: Read) -> None:
    rows = tuple(f"{row},7,5" for row in ROWS)
    raw = read(log_of(f"time_utc,lat,lon,alt,{other},{bare}", rows))
    (values,) = raw.samples.channels.values()
    assert values.tolist() == [5.0] * 3
    assert any(f"“{bare}” is taken for" in note and f"not “{other}”" in note for note in raw.source.notes)


@pytest.mark.parametrize(
    ("one", "other"), [("IAS", "ias"), ("IAS", "KIAS"), ("RollC", "RollX"), ("Roll", "Roll angle")]
)
def test_two_headings_as_plain_are_refused(one: str, other: str, read: Read) -> None:
    with pytest.raises(ColumnError, match="2 headings could be"):
        read(log_of(f"time_utc,lat,lon,alt,{one},{other}", tuple(f"{row},7,5" for row in ROWS)))


def test_line_ends_inside_many_headings(read: Read) -> None:
    names = ("Time", "Latitude", "Longitude", "Altitude", "Groundspeed", "Bank", "Pitch", "IAS")
    units = ("(UTC)", "(deg)", "(deg)", "(ft)", "(km/h)", "(deg)", "(deg)", "(kt)")
    heading = ",".join(f'"{name}\n{unit}"' for name, unit in zip(names, units, strict=True))
    raw = read(log_of(heading, tuple(f"{row},185.2,1,2,90" for row in ROWS)))
    assert raw.samples.channels[Channel.GROUNDSPEED_KT].tolist() == pytest.approx([100.0] * 3)
    assert raw.samples.line.tolist() == [10, 11, 12]


@pytest.mark.parametrize("blank", ["#N/A", "#VALUE!", "#DIV/0!", "#REF!"])
@pytest.mark.parametrize("careful", [False, True])
def test_errors_of_a_spreadsheet_are_not_recorded(blank: str, careful: bool, read: Read) -> None:
    rows = [f"{blank},{row}" for row in ROWS]
    rows[1] = f"5,{rows[1].partition(',')[2]}"
    if careful:
        rows[2] += "°"
    raw = read(log_of("IAS,time_utc,lat,lon,alt", tuple(rows)))
    assert len(raw.samples.time_s) == 3
    assert raw.samples.channels[Channel.IAS_KT].tolist() == pytest.approx(
        [float("nan"), 5.0, float("nan")], nan_ok=True
    )
    assert not raw.faults
