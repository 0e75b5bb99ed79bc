"""Positions in every form they are written in: hemispheres beside them, minutes, parts of a degree, both in a cell."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from legwise.errors import LegwiseError, TrackFormatError
from legwise.model.lesson import ColumnChoice
from legwise.model.track import RawTrack

Read = Callable[..., RawTrack]

# 46° 30.738' N, 28° 00.246' W in degrees, by the definition of the minute.
LAT, LON = 46 + 30.738 / 60, -(28 + 0.246 / 60)


def log_of(heading: str, cells: str, separator: str = ";") -> str:
    """Three records a second apart, each at the same place."""
    rows = "".join(f"2026-04-18T13:12:{second}Z{separator}{cells}\n" for second in (40, 41, 42))
    return f"time_utc{separator}{heading}\n{rows}"


def placed(raw: RawTrack, lat: float = LAT, lon: float = LON) -> RawTrack:
    """``raw`` again, after its three positions were found to be there."""
    assert raw.samples.lat_deg.tolist() == pytest.approx([lat] * 3, abs=1e-9)
    assert raw.samples.lon_deg.tolist() == pytest.approx([lon] * 3, abs=1e-9)
    return raw


@pytest.mark.parametrize(
    "cells",
    [
        "46°30.738'N;28°0.246'W",
        "46° 30.738′ N;28° 0.246′ W",
        "46 30.738 N;28 0.246 W",
        "N46 30.738;W028 00.246",
        "N 46 30 44.28;W 28 00 14.76",
        "46°30'44.28\"N;28°00'14.76\"W",
        "46°30’44.28”N;28°00’14.76”W",
        "46°30'44.28''N;28°00'14.76''W",
        "46:30.738N;28:00.246W",
        "46-30.738N;028-00.246W",
        "46-30-44.28N;028-00-14.76W",
        "+46:30:44.28;-28:00:14.76",
        "46 30.738;-28 00.246",
        "4630.738N;02800.246W",
        "N4630.738;W02800.246",
        "463044.28N;0280014.76W",
        "46.5123N;28.0041W",
        "46.5123° N;28.0041° W",
        "-46.5123S;-28.0041W",
    ],
)
def test_degrees_with_minutes_and_letters(cells: str, read: Read) -> None:
    south = "S" in cells
    placed(read(log_of("lat;lon", cells)), -LAT if south else LAT)


@pytest.mark.parametrize(
    "headings",
    [
        "Latitude;N/S;Longitude;E/W",
        "Lat;NS;Lon;EW",
        "Latitude;Lat Dir;Longitude;Lon Dir",
        "Latitude;Lat Hemisphere;Longitude;Long Hemisphere",
        "lat;lat_hemi;lon;lon_hemi",
        "Latitude;NS Indicator;Longitude;EW Indicator",
        "Latitude;Hemisphere;Longitude;Hemisphere",
        "Latitude;Direction;Longitude;Direction",
        "Latitude;;Longitude;",
        "Latitude;NorS;Longitude;EorW",
    ],
)
@pytest.mark.parametrize("cells", ["46.5123;N;28.0041;W", "4630.738;N;02800.246;W", "46 30.738;north;28 00.246;West"])
def test_a_column_of_hemispheres(headings: str, cells: str, read: Read) -> None:
    raw = placed(read(log_of(headings, cells)))
    assert any("tells the hemisphere of the longitude" in note for note in raw.source.notes)
    assert not raw.faults


def test_a_sign_and_a_hemisphere_that_contradict_each_other_are_no_position(read: Read) -> None:
    text = log_of("Latitude,N/S,Longitude,E/W", "46.5,N,28.0,W", ",") + (
        "2026-04-18T13:12:43Z,-46.5,N,28.0,W\n2026-04-18T13:12:44Z,-46.5,S,-28.0,W\n2026-04-18T13:12:45Z,46.5,,28.0,W\n"
    )
    raw = read(text)

    assert raw.samples.lat_deg[3:].tolist() == pytest.approx([np.nan, -46.5, np.nan], nan_ok=True)
    assert raw.samples.lon_deg[3:].tolist() == [-28.0] * 3
    (fault,) = raw.faults
    assert (fault.kind, fault.count) == ("unreadable-value", 2)
    assert "lines 5 and 7" in fault.detail


def test_a_damaged_hemisphere_does_not_undo_the_others(read: Read) -> None:
    rows = [f"2026-04-18T13:12:{second}Z,46.5,N,28.0,{'?' if second == 12 else 'W'}\n" for second in range(10, 40)]
    raw = read("time_utc,Latitude,N/S,Longitude,E/W\n" + "".join(rows))
    assert np.flatnonzero(np.isnan(raw.samples.lon_deg)).tolist() == [2]
    assert set(raw.samples.lon_deg[3:].tolist()) == {-28.0}


def test_a_first_fix_after_minutes_is_read_as_the_rest_shows(read: Read) -> None:
    # Neither the decimal comma nor the hemispheres show in the first five minutes.
    none = "".join(f"2026-04-18T12:{n // 60:02d}:{n % 60:02d}Z;;;;\n" for n in range(300))
    fixes = "".join(f"2026-04-18T13:12:{second}Z;46,5123;N;28,0041;W\n" for second in range(10, 40))
    raw = read(f"time_utc;Latitude;N/S;Longitude;E/W\n{none}{fixes}")
    assert raw.samples.lat_deg[300:].tolist() == [46.5123] * 30
    assert raw.samples.lon_deg[300:].tolist() == [-28.0041] * 30


def test_zeros_without_a_letter_stay_zeros(read: Read) -> None:
    text = "time_utc,Latitude,N/S,Longitude,E/W\n2026-04-18T13:12:39Z,0,,0,\n" + "".join(
        f"2026-04-18T13:12:{second}Z,46.5,N,28.0,W\n" for second in (40, 41)
    )
    raw = read(text)
    assert raw.samples.lat_deg.tolist() == [0.0, 46.5, 46.5]
    assert not raw.faults


def test_a_letter_of_the_other_axis_is_no_position(read: Read) -> None:
    raw = read(log_of("lat;lon", "46.5W;28.0W"))
    assert np.isnan(raw.samples.lat_deg).all()
    assert [(fault.kind, fault.count) for fault in raw.faults] == [("unreadable-value", 3)]


def test_a_hemisphere_that_is_none_is_told(read: Read) -> None:
    raw = placed(read(log_of("lat;N/S;lon", "46.5123;1;-28.0041")))
    assert [fault.kind for fault in raw.faults] == ["ignored-column"]
    assert "“N/S” should tell the hemisphere but holds “1”" in raw.faults[0].detail


def test_a_hemisphere_that_is_never_filled_is_said(read: Read) -> None:
    raw = placed(read(log_of("lat;N/S;lon", "46.5123;;-28.0041")))
    assert any("“N/S” names no hemisphere; the latitude is read as it is written" in note for note in raw.source.notes)


@pytest.mark.parametrize("unit", ["(ddmm.mmmm)", "[ddmm]", "dd°mm.mmm", "DDMM.MMMM", "dddmm.mm"])
def test_minutes_in_one_number_where_the_heading_says_so(unit: str, read: Read) -> None:
    placed(read(log_of(f"Latitude {unit};Longitude {unit}", "4630.738;-2800.246")))
    placed(read(log_of("Latitude;Longitude", "4630.738;-2800.246").replace("\n", f"\n;{unit};{unit}\n", 1)))


def test_minutes_in_one_number_that_nothing_tells_are_refused(read: Read) -> None:
    text = log_of("Latitude;Longitude", "4630.738;-2800.246")
    with pytest.raises(
        TrackFormatError, match=r"can't be degrees \(4630.738\); they look like degrees and minutes"
    ) as e:
        read(text)
    assert 'lat_deg = { heading = "Latitude", unit = "ddmm" }' in e.value.remedy
    assert 'lon_deg = { heading = "Longitude", unit = "ddmm" }' in e.value.remedy
    assert "line 1" in e.value.where
    # What the message says to write is read.
    columns = {"lat_deg": ColumnChoice(heading="Latitude", unit="ddmm")}
    placed(read(text, columns=columns | {"lon_deg": ColumnChoice(heading="Longitude", unit="ddmm")}))


@pytest.mark.parametrize(
    ("headings", "cells"),
    [
        ("lat;lon", "465123000;-280041000"),
        ("latitudeE7;longitudeE7", "465123000;-280041000"),
        ("lat (1e-7 deg);lon (1e-7 deg)", "465123000;-280041000"),
        ("lat_e6;lon_e6", "46512300;-28004100"),
        ("lat [microdegrees];lon [microdegrees]", "46512300;-28004100"),
    ],
)
def test_whole_parts_of_a_degree(headings: str, cells: str, read: Read) -> None:
    raw = placed(read(log_of(headings, cells)), 46.5123, -28.0041)
    told = any("ten-millionths" in note for note in raw.source.notes)
    assert told == (headings == "lat;lon")


def test_whole_parts_that_can_be_of_either_size_are_refused(read: Read) -> None:
    with pytest.raises(TrackFormatError, match="they look like whole parts of a degree") as caught:
        read(log_of("lat;lon", "46512300;-28004100"))
    assert 'unit = "1e-7 deg"' in caught.value.remedy
    assert 'unit = "1e-6 deg"' in caught.value.remedy


@pytest.mark.parametrize(
    ("heading", "cell"),
    [
        ("Position", "46.5123,-28.0041"),
        ("Coordinates", "46.5123 -28.0041"),
        ("Lat/Lon", "(46.5123, -28.0041)"),
        ("GPS position", "46°30.738'N / 28°00.246'W"),
    ],
)
def test_both_in_one_cell(heading: str, cell: str, read: Read) -> None:
    placed(read(log_of(heading, f'"{cell}"')))
    raw = read(log_of(heading, f'"{cell}"') + '2026-04-18T13:12:43Z;"here"\n')
    assert np.isnan(raw.samples.lat_deg[3])
    assert [(fault.kind, fault.count) for fault in raw.faults] == [("unreadable-value", 1)]


def test_a_decimal_comma_that_parts_the_cells_is_not_misread(read: Read) -> None:
    # Seven headings take in the cells that the commas make.
    rows = "".join(f"2026-04-18T13:12:{second}Z,46,5123,-28,0041,3120\n" for second in (40, 41, 42))
    with pytest.raises(TrackFormatError, match="holds whole degrees only") as caught:
        read(f"time_utc,lat,lon,alt,ias,gs,hdg\n{rows}")
    assert "decimal comma" in caught.value.remedy


def test_a_log_of_many_forms_is_read_as_each_says(read: Read) -> None:
    forms = ["46.5123N", "46 30.738N", "46°30'44.28\"N", "N46:30.738"] * 10
    rows = "".join(f"2026-04-18T13:{n // 60:02d}:{n % 60:02d}Z;{form};28.0041W\n" for n, form in enumerate(forms))
    samples = read(f"time_utc;lat;lon\n{rows}").samples
    assert samples.lat_deg.tolist() == pytest.approx([LAT] * 40, abs=1e-9)


@pytest.mark.parametrize(
    ("heading", "cells"),
    [
        ("Lat deg;Lat min;Lon deg;Lon min", "46;30.738;-28;0.246"),
        ("Lat (deg);Lat (min);N/S;Lon (deg);Lon (min);E/W", "46;30.738;N;28;0.246;W"),
        ("LatDeg;LatMin;LonDeg;LonMin", "46.0;30.738;-28.0;-0.246"),
        ("Latitude degrees;Latitude minutes;Longitude degrees;Longitude minutes", "46;30,738;-28;0,246"),
        ("Lat deg;Lat min;Lat sec;Lon deg;Lon min;Lon sec", "46;30;44.28;-28;0;14.76"),
        ("Lat D;Lat M;Lat S;Lon D;Lon M;Lon S", "46;30;44.28;-28;0;14.76"),
        ("Lat D;Lat M;Lat hem;Lon D;Lon M;Lon hem", "46;30.738;N;28;0.246;W"),
        ("Breite (°);Breite (Minuten);Länge (°);Länge (Minuten)", "46;30,738;-28;0,246"),
    ],
)
def test_minutes_in_columns_of_their_own(heading: str, cells: str, read: Read) -> None:
    raw = placed(read(log_of(heading, cells)))
    assert sum("added to the degrees" in note for note in raw.source.notes) == 2


@pytest.mark.parametrize("extra", ["", "x"])
def test_the_sign_of_no_degrees_is_that_of_its_minutes(extra: str, read: Read) -> None:
    # In the second log a word among the numbers makes the reading careful.
    log = log_of("Lat deg;Lat min;Lon deg;Lon min;IAS", f"-0;30.738;-0;0.246;{extra}")
    placed(read(log), -30.738 / 60, -0.246 / 60)


def test_minutes_beside_degrees_with_fractions_are_told_and_not_added(read: Read) -> None:
    raw = placed(read(log_of("Lat deg;Lat min;Lon deg;Lon min", f"{LAT};30.738;{LON};0.246")))
    assert [fault.kind for fault in raw.faults] == ["ignored-column", "ignored-column"]


def test_a_place_whose_minutes_are_missing_or_too_many_is_none(read: Read) -> None:
    log = log_of("Lat deg;Lat min;Lon deg;Lon min", "46;30.738;-28;0.246")
    bad = "2026-04-18T13:12:43Z;46;;-28;0.246\n2026-04-18T13:12:44Z;46;61.5;-28;0.246\n"
    raw = read(log + bad)
    assert np.isnan(raw.samples.lat_deg).tolist() == [False, False, False, True, True]
    assert [(fault.kind, fault.count) for fault in raw.faults] == [("unreadable-value", 2)]


@pytest.mark.parametrize(
    ("heading", "cells", "words"),
    [
        ("Lat deg;Lat min;Lon", "46;30.738;-28", "whole degrees only"),
        (
            "Lat deg;Lat min;Lat minutes;Lon deg;Lon min",
            "46;30.738;1;-28;0.246",
            "could be the minutes of the latitude",
        ),
    ],
)
def test_minutes_that_leave_a_doubt_are_refused(heading: str, cells: str, words: str, read: Read) -> None:
    with pytest.raises(LegwiseError, match=words):
        read(log_of(heading, cells))


@pytest.mark.parametrize(
    ("heading", "south"),
    [
        ("Latitude N;Longitude W", False),
        ("Latitude (deg N);Longitude (deg W)", False),
        ("Latitude;Longitude West", False),
        ("Lat;Lon (W)", False),
        ("Latitude S;Longitude W", True),
        ("Latitude South;Longitude West (deg)", True),
    ],
)
def test_a_heading_names_the_side_that_counts(heading: str, south: bool, read: Read) -> None:
    raw = placed(read(log_of(heading, f"{LAT};{-LON}")), -LAT if south else LAT)
    assert sum("counts to the" in note for note in raw.source.notes) == 1 + south


@pytest.mark.parametrize(
    "heading", ["Latitude N;Longitude E", "Latitude;Longitude (E/W)", "Lat;Lon (W-)", "Lat;Lon (west negative)"]
)
def test_other_sides_in_headings_leave_the_signs(heading: str, read: Read) -> None:
    placed(read(log_of(heading, f"{LAT};{LON}")))
    placed(read(log_of(heading, f"{LAT};{-LON}")), lon=-LON)


def test_a_minus_under_a_heading_of_the_west_is_asked_about(read: Read) -> None:
    log = log_of("Latitude;Longitude W", f"{LAT};{LON}")
    with pytest.raises(TrackFormatError, match="names the west, but holds negative numbers") as caught:
        read(log)
    assert 'lon_deg = "Longitude W"' in (caught.value.remedy or "")
    raw = placed(read(log, columns={"lon_deg": "Longitude W"}))
    assert any("read with its signs, east positive" in note for note in raw.source.notes)


def test_letters_and_a_column_of_sides_stand_before_the_heading(read: Read) -> None:
    placed(read(log_of("Latitude N;Longitude W;E/W", f"{LAT};{-LON};W")))
    placed(read(log_of("Latitude N;Longitude W", f"{LAT}N;{-LON}W")))
