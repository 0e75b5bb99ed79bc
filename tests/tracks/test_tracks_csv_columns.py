"""Which column is what: told by the words of the headings, or said by the caller."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from legwise.errors import ColumnError
from legwise.model.lesson import ColumnChoice
from legwise.model.track import AltitudeKind, Channel, RawTrack
from tracks.csv_logs import ROWS, checked, log_of

Read = Callable[..., RawTrack]


@pytest.mark.parametrize(
    ("heading", "kind"),
    [
        ("Altitude MSL ft", AltitudeKind.GNSS_MSL),
        ("Altitude indicated ft", AltitudeKind.INDICATED),
        ("Altitude pressure ft", AltitudeKind.PRESSURE),
        ("Altitude GPS MSL ft", AltitudeKind.GNSS_MSL),
        ("GPS Altitude HAE ft", AltitudeKind.GNSS_ELLIPSOID),
        ("AltInd", AltitudeKind.INDICATED),
        ("PressAlt(ft)", AltitudeKind.PRESSURE),
        ("altMSLft", AltitudeKind.GNSS_MSL),
        ("Altitude", AltitudeKind.UNKNOWN),
        ("alt_ft", AltitudeKind.UNKNOWN),
        ("Baro altitude", AltitudeKind.UNKNOWN),
    ],
)
def test_a_heading_tells_the_kind_of_altitude(heading: str, kind: AltitudeKind, read: Read) -> None:
    checked(read(log_of(f"time_utc,lat,lon,{heading}")), kind)


@pytest.mark.parametrize(
    ("heading", "channel", "written", "expected"),
    [
        ("Groundspeed kt", Channel.GROUNDSPEED_KT, "100", 100.0),
        ("GS [km/h]", Channel.GROUNDSPEED_KT, "185.2", 100.0),
        ("SOG m/s", Channel.GROUNDSPEED_KT, "51.4444444444", 100.0),
        ("Ground Speed (mph)", Channel.GROUNDSPEED_KT, "115.0779448", 100.0),
        ("GndSpd", Channel.GROUNDSPEED_KT, "100", 100.0),
        ("Track deg true", Channel.TRACK_DEG_TRUE, "250", 250.0),
        ("TRK", Channel.TRACK_DEG_TRUE, "250", 250.0),
        ("COG rad", Channel.TRACK_DEG_TRUE, "4.36332313", 250.0),
        ("Track deg mag", Channel.TRACK_DEG_MAG, "250", 250.0),
        ("Heading deg mag", Channel.HEADING_DEG_MAG, "250", 250.0),
        ("HDG", Channel.HEADING_DEG_MAG, "250", 250.0),
        ("Heading (T)", Channel.HEADING_DEG_TRUE, "250", 250.0),
        ("True airspeed kt", Channel.TAS_KT, "110", 110.0),
        ("TAS", Channel.TAS_KT, "110", 110.0),
        ("IAS kts", Channel.IAS_KT, "95", 95.0),
        ("Indicated airspeed [km/h]", Channel.IAS_KT, "185.2", 100.0),
        ("VSpd", Channel.VERTICAL_SPEED_FPM, "-500", -500.0),
        ("vertical_rate_fpm", Channel.VERTICAL_SPEED_FPM, "-500", -500.0),
        ("Vario (m/s)", Channel.VERTICAL_SPEED_FPM, "-2.54", -500.0),
        ("Roll deg", Channel.BANK_DEG, "-18.5", -18.5),
        ("Bank angle", Channel.BANK_DEG, "-18.5", -18.5),
        ("Pitch", Channel.PITCH_DEG, "2.5", 2.5),
        ("HDOP", Channel.HDOP, "0.9", 0.9),
        ("hAcc (m)", Channel.HORIZONTAL_ACCURACY_M, "3", 3.0),
        ("Vertical accuracy ft", Channel.VERTICAL_ACCURACY_M, "100", 30.48),
    ],
)
def test_a_heading_tells_quantity_and_unit(
    heading: str, channel: Channel, written: str, expected: float, read: Read
) -> None:
    # Factors: nautical mile 1852 m, foot 0.3048 m, statute mile 1609.344 m, all by definition.
    raw = read(log_of(f"time_utc,lat,lon,alt,{heading}", tuple(f"{row},{written}" for row in ROWS)))

    assert set(raw.samples.channels) == {channel}
    assert raw.samples.channels[channel] == pytest.approx([expected] * 3, rel=1e-8)


@pytest.mark.parametrize(
    "heading",
    ["Selected altitude ft", "Wind speed kt", "Heading bug", "Cross track error nm", "Roll rate", "Density altitude",
     "Altitude AGL ft", "OAT", "Track id", "Next waypoint", "Elapsed time", "Vertical speed selected"],
)  # fmt: skip
def test_a_heading_of_something_else_is_not_read(heading: str, read: Read) -> None:
    raw = checked(read(log_of(f"time_utc,lat,lon,alt,{heading}", tuple(f"{row},7" for row in ROWS))))
    assert not raw.samples.channels


def test_the_plainer_of_two_headings_is_taken_and_said(read: Read) -> None:
    rows = tuple(f"{row},100,3,90" for row in ROWS)
    raw = read(log_of("time_utc,lat,lon,Altitude GPS MSL ft,Altitude MSL ft,Groundspeed kt,Speed", rows))

    assert raw.samples.altitudes_ft[AltitudeKind.GNSS_MSL][0] == 3120.0
    assert raw.samples.channels[Channel.GROUNDSPEED_KT][0] == 3.0
    assert any("not “Altitude MSL ft”" in note for note in raw.source.notes)


def test_several_kinds_of_altitude_side_by_side(read: Read) -> None:
    rows = tuple(f"{row},3000,950" for row in ROWS)
    raw = read(log_of("time_utc,lat,lon,Altitude indicated ft,Altitude pressure ft,Height m", rows))

    assert {kind: round(float(values[0])) for kind, values in raw.samples.altitudes_ft.items()} == {
        AltitudeKind.INDICATED: 3120,
        AltitudeKind.PRESSURE: 3000,
        AltitudeKind.UNKNOWN: 3117,
    }


@pytest.mark.parametrize(
    ("heading", "candidates"),
    [
        ("time_utc,lat,lon,Latitude", ("lat", "Latitude")),
        ("time_utc,lat,lon,IAS,IAS", ("IAS", "IAS")),
        ("time_utc,lat,lon,Altitude ft,Altitude m", ("Altitude ft", "Altitude m")),
        ("time,lat,lon,time", ("time", "time")),
    ],
)
def test_one_meaning_in_two_headings_is_refused(heading: str, candidates: tuple[str, str], read: Read) -> None:
    rows = tuple(f"{row},{row.rpartition(',')[2]}" for row in ROWS)
    with pytest.raises(ColumnError) as caught:
        read(log_of(heading, rows))
    assert all(candidate in caught.value.message for candidate in candidates)
    assert "[columns]" in caught.value.remedy
    assert "line 1" in caught.value.where


@pytest.mark.parametrize(
    ("heading", "missing"),
    [("time_utc,lat,x,alt", "longitude"), ("time_utc,x,y,alt", "latitude"), ("n,lat,lon,alt", "time")],
)
def test_a_missing_column_is_named(heading: str, missing: str, read: Read) -> None:
    with pytest.raises(ColumnError, match=f"no heading tells the {missing}"):
        read(log_of(heading))


def test_named_columns_with_unit_and_kind(read: Read) -> None:
    metres = ("950.976", "952.5", "954.024")
    rows = tuple(f"{row.rpartition(',')[0]},{m}" for row, m in zip(ROWS, metres, strict=True))
    columns = {
        "time": "When",
        "lat_deg": "Breite",
        "lon_deg": "länge",
        "altitude_ft": ColumnChoice(heading="H", unit="m", kind="gnss-msl"),
    }
    checked(read(log_of("When,Breite,Länge,H", rows), columns=columns), AltitudeKind.GNSS_MSL)


def test_a_named_column_stands_before_the_headings(read: Read) -> None:
    rows = tuple(f"{row},{row.rpartition(',')[2]}" for row in ROWS)
    columns = {"altitude_ft": "Altitude B", "track_deg_true": ColumnChoice(heading="Altitude A", kind="true")}
    raw = checked(read(log_of("time_utc,lat,lon,Altitude A,Altitude B", rows), columns=columns))
    assert raw.samples.channels[Channel.TRACK_DEG_TRUE][0] == 3120.0


@pytest.mark.parametrize(
    ("columns", "message", "remedy"),
    [
        ({"lat_deg": "Latitud"}, "“Latitud”, which is not there", "“Latitude”"),
        ({"ias_kt": "Twice"}, "stands 2 times", "Rename"),
        ({"latitude": "Latitude"}, "no key “latitude”", "“altitude_ft”|lat_deg"),
        ({"altitude_ft": ColumnChoice(heading="Alt", unit="furlong")}, "unit “furlong”", "ft, m"),
        ({"altitude_ft": ColumnChoice(heading="Alt", kind="gps-msl")}, "kind “gps-msl”", "gnss-msl"),
        ({"ias_kt": ColumnChoice(heading="Alt", kind="true")}, "takes no kind", "Leave"),
        ({"ias_kt": "Alt", "tas_kt": "Alt"}, "another key has taken", "once"),
    ],
)
def test_a_bad_named_column_is_refused(
    columns: dict[str, str | ColumnChoice], message: str, remedy: str, read: Read
) -> None:
    text = log_of("time_utc,Latitude,lon,Alt,Twice,Twice", tuple(f"{row},1,2" for row in ROWS))
    with pytest.raises(ColumnError, match=message) as caught:
        read(text, columns=columns)
    assert any(word in caught.value.remedy for word in remedy.split("|"))


def test_named_headings_in_a_file_that_has_none(read: Read) -> None:
    with pytest.raises(ColumnError, match="no line of the file holds such headings"):
        read("hello\nworld\n", columns={"time": "When"})
