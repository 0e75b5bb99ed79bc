"""A unit that a heading, a units row or a person states is obeyed or refused, never passed over."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from legwise.errors import ColumnError
from legwise.model.lesson import ColumnChoice
from legwise.model.track import AltitudeKind, Channel, RawTrack
from tracks.csv_logs import ROWS, log_of

Read = Callable[..., RawTrack]

POSITIONS = tuple(row.rpartition(",")[0] for row in ROWS)


def log_with(heading: str, written: str, units: str = "") -> str:
    rows = tuple(f"{row},{written}" for row in POSITIONS)
    return log_of(f"time_utc,lat,lon,{heading}", (f",,,{units}", *rows) if units else rows)


# Exact by definition: a foot is 0.3048 m, a nautical mile 1852 m.
ALTITUDES = [
    ("Altitude km", "", "1", 1000 / 0.3048),
    ("Altitude cm", "", "91440", 3000.0),
    ("Altitude (mm)", "", "914400", 3000.0),
    ("Altitude hundreds ft", "", "30", 3000.0),
    ("Alt (ft x100)", "", "30", 3000.0),
    ("Alt (ft ×100)", "", "30", 3000.0),
    ("Alt (x100)", "", "30", 3000.0),
    ("Altitude [100 ft]", "", "30", 3000.0),
    ("Altitude kft", "", "3", 3000.0),
    ("Flight level", "", "30", 3000.0),
    ("FL (100 ft)", "", "30", 3000.0),
    ("Altitude", "km", "1", 1000 / 0.3048),
    ("Altitude", "feet x 100", "30", 3000.0),
    ("Altitude (ft)", "ft", "3000", 3000.0),
    ("Alt in ft", "", "3000", 3000.0),
    ("Altitude (corrected)", "", "3000", 3000.0),
    ("Altitude 1013 ft", "", "3000", 3000.0),
]


@pytest.mark.parametrize(("heading", "units", "written", "expected_ft"), ALTITUDES)
def test_altitudes_in_the_units_they_are_written_in(
    heading: str, units: str, written: str, expected_ft: float, read: Read
) -> None:
    (values,) = read(log_with(heading, written, units)).samples.altitudes_ft.values()
    assert values.tolist() == pytest.approx([expected_ft] * 3)


@pytest.mark.parametrize(
    ("heading", "units", "told"),
    [
        ("Altitude yd", "", "“yd”"),
        ("Altitude (furlong)", "", "“furlong”"),
        ("Altitude (in)", "", "“in”"),
        ("Altitude hPa", "", "“hPa”"),
        ("Altitude kt", "", "“kt”"),
        ("Altitude 100 m", "", "“Altitude 100 m”"),
        ("Alt (ft/100)", "", "“Alt (ft/100)”"),
        ("Altitude", "hPa", "“hPa”"),
        ("Altitude", "[inHg]", "“inHg”"),
        ("Altitude MSL (ft) [m]", "", "2 units, ft and m"),
        ("Altitude (ft)", "m", "2 units, ft and m"),
        ("Flight level (ft)", "", "2 units"),
    ],
)
def test_a_unit_of_the_only_altitude_that_can_t_be_used_is_refused(
    heading: str, units: str, told: str, read: Read
) -> None:
    with pytest.raises(ColumnError) as caught:
        read(log_with(heading, "3000", units))
    assert heading in caught.value.message
    assert told in caught.value.message
    assert "ft, m, hundreds of ft" in caught.value.remedy
    assert "line 1" in caught.value.where


@pytest.mark.parametrize(
    "heading", ["Groundspeed km", "GS nm/min", "IAS (furlong)", "KIAS (mph)", "Heading gon", "Vario m", "Bank (%)",
                "VS hundreds fpm", "Groundspeed (kt) [km/h]"],
)  # fmt: skip
def test_a_channel_in_an_unknown_unit_is_left_out_and_told(heading: str, read: Read) -> None:
    raw = read(log_with(f"Alt ft,{heading}", "3000,5"))

    assert not raw.samples.channels
    assert [fault.kind for fault in raw.faults] == ["ignored-column"]
    assert heading in raw.faults[0].detail
    assert "states" in raw.faults[0].detail


def test_an_altitude_in_an_unknown_unit_beside_a_known_one_is_left_out_and_told(read: Read) -> None:
    raw = read(log_with("Altitude indicated ft,Altitude hPa", "3000,900"))

    assert list(raw.samples.altitudes_ft) == [AltitudeKind.INDICATED]
    assert [fault.kind for fault in raw.faults] == ["ignored-column"]


def test_a_row_of_unknown_units_is_a_row_of_units(read: Read) -> None:
    raw = read(log_of("time_utc,lat,lon,alt ft,oat", (",,,,hPa", *(f"{row},900" for row in ROWS))))
    assert len(raw.samples) == 3


def test_feet_a_second(read: Read) -> None:
    raw = read(log_with("Groundspeed ft/s", "168.780986"))
    assert raw.samples.channels[Channel.GROUNDSPEED_KT].tolist() == pytest.approx([100.0] * 3)


@pytest.mark.parametrize("heading", ["Heading M", "Heading (M)", "Heading (T)", "Track °T", "HDG [mag]"])
def test_a_letter_of_a_direction_is_no_unit(heading: str, read: Read) -> None:
    raw = read(log_with(heading, "250"))
    assert len(raw.samples.channels) == 1
    assert not raw.faults


@pytest.mark.parametrize(("unit", "expected_ft"), [("hundreds of ft", 3000.0), ("km", 30_000 / 0.3048), ("ft", 30.0)])
def test_a_unit_that_was_said(unit: str, expected_ft: float, read: Read) -> None:
    choice = ColumnChoice(heading="H (yd)", unit=unit)
    (values,) = read(log_with("H (yd)", "30"), columns={"altitude_ft": choice}).samples.altitudes_ft.values()
    assert values.tolist() == pytest.approx([expected_ft] * 3)


def test_a_named_column_with_an_unknown_unit_in_its_heading_is_refused(read: Read) -> None:
    with pytest.raises(ColumnError, match="“GS km” states the unit “km”, which is not known for a groundspeed"):
        read(log_with("GS km", "30"), columns={"groundspeed_kt": "GS km"})


def test_a_position_in_an_unknown_unit_is_refused(read: Read) -> None:
    with pytest.raises(ColumnError, match="“Latitude gon” states the unit “gon”"):
        read(log_of("time_utc,Latitude gon,lon,alt"))


def test_units_below_tabs_keep_their_columns(read: Read) -> None:
    rows = tuple(f"{row},185.2" for row in ROWS)
    raw = read(log_of("time_utc,lat,lon,alt,gs", (",deg,deg,ft,km/h", *rows), separator="\t"))
    assert raw.samples.channels[Channel.GROUNDSPEED_KT].tolist() == pytest.approx([100.0] * 3)


def test_an_element_in_an_unknown_unit_is_not_read_and_said(read: Read) -> None:
    point = '<trkpt lat="46" lon="-28"><extensions><ias unit="furlong">95</ias><tas unit="kt">99</tas></extensions>'
    raw = read(f"<gpx><trk><trkseg>{point}</trkpt></trkseg></trk></gpx>")

    assert list(raw.samples.channels) == [Channel.TAS_KT]
    assert any("<ias> states the unit “furlong”" in note for note in raw.source.notes)


@pytest.mark.parametrize(
    "heading",
    ["LatAc", "LatAcc", "Lat Accel", "lateral acceleration", "LatG", "Lat g", "Lat dir", "Lat rate", "lat_force",
     "LonAc", "LonG", "Long Accel", "Longitudinal g", "Lon speed", "Lateral Acc", "Lat Std Dev"],
)  # fmt: skip
def test_lateral_and_longitudinal_things_are_no_position(heading: str, read: Read) -> None:
    rows = tuple(f"{row},0.1" for row in ROWS)
    raw = read(log_of(f"time_utc,Latitude,Longitude,alt,{heading}", rows))
    assert raw.samples.lat_deg[0] == 46.5123456
    assert not raw.samples.channels
    with pytest.raises(ColumnError, match="no heading tells the"):
        read(log_of(f"time_utc,{heading},{'Latitude' if heading.startswith('Lon') else 'Longitude'},alt"))


def test_a_heading_of_a_position_alone_stands_before_one_with_more_words(read: Read) -> None:
    rows = tuple(f"{row},1" for row in ROWS)
    raw = read(log_of("time_utc,Latitude,Longitude,alt,Lat blob", rows))
    assert raw.samples.lat_deg[0] == 46.5123456
    assert any("not “Lat blob”" in note for note in raw.source.notes)
