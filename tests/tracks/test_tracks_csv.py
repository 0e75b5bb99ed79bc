"""CSV in the shapes that logs come in: the same flight in many dresses gives the same numbers."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from legwise.errors import LegwiseError, TrackFormatError, TrackTimeError
from legwise.model.track import AltitudeKind, Channel, RawTrack
from legwise.tracks import ReadLimits, mend, read_raw_track
from tracks.csv_logs import ROWS, checked, log_of

Read = Callable[..., RawTrack]


@pytest.mark.parametrize("separator", [",", ";", "\t", "|", " ", " ; "])
def test_any_separator(separator: str, read: Read) -> None:
    checked(read(log_of("time_utc,lat,lon,alt", separator=separator)))


@pytest.mark.parametrize("separator", [";", "\t", "|"])
def test_decimal_comma(separator: str, read: Read) -> None:
    raw = checked(read(log_of("time_utc,lat,lon,alt", separator=separator, comma=",")))
    assert any("decimal comma" in note for note in raw.source.notes)


def test_quoted_decimal_commas_between_commas(read: Read) -> None:
    rows = tuple(",".join(f'"{cell.replace(".", ",")}"' for cell in row.split(",")) for row in ROWS)
    checked(read(log_of("time_utc,lat,lon,alt", rows)))


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("last", [True, False])
def test_any_line_end_with_or_without_the_last(end: str, last: bool, read: Read) -> None:
    text = log_of("time_utc,lat,lon,alt")
    checked(read((text if last else text.rstrip("\n")).replace("\n", end)))


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "cp1252", "latin-1"])
def test_any_encoding(encoding: str, read: Read) -> None:
    text = "Aerodrome Tårn;°C\n" + log_of("Time UTC,Latitude °,Longitude °,Altitude (ft)")
    checked(read(text.encode(encoding)), lines=(3, 4, 5))


def test_columns_in_any_order_and_case_between_others(read: Read) -> None:
    rows = tuple("x,{3},{2},y,{1},{0},".format(*row.split(",")) for row in ROWS)
    checked(read(log_of("Note,ALTITUDE,LONGITUDE,Remark,LATITUDE,TIME (UTC),", rows)))


def test_preamble_comments_and_blank_lines(read: Read) -> None:
    rows = (ROWS[0], "", "# engine checked, 2,300 rpm", ROWS[1], ",,,", ROWS[2], "")
    text = 'Recorder: "none", 7 m\n#\n\nCreated 2026-04-18\n' + log_of("time_utc,lat,lon,alt", rows)
    checked(read(text), lines=(6, 9, 11))


def test_headings_behind_a_hash(read: Read) -> None:
    checked(read("# a log\n" + log_of("# time_utc, lat, lon, alt")), lines=(3, 4, 5))


@pytest.mark.parametrize(
    "units",
    ["UTC,deg,deg,m", "(UTC),(deg),(deg),(m)", "#utc,degrees,degrees,metres", "yyyy-mm-ddThh:mm:ssZ,deg,deg,m"],
)
def test_a_units_row_tells_unit_and_zone(units: str, read: Read) -> None:
    zone = "Z" if "Z" in units else ""
    metres = ("950.976", "952.5", "954.024")
    rows = [f"{row.rpartition(',')[0].replace('Z', zone)},{m}" for row, m in zip(ROWS, metres, strict=True)]
    checked(read(log_of("time,lat,lon,alt", (units, *rows))), lines=(3, 4, 5))


def test_quoted_cells_with_separators_and_line_ends_keep_the_lines(read: Read) -> None:
    rows = (f'{ROWS[0]},"turn, left\nnow"', f'{ROWS[1]},"say ""again"""', f"{ROWS[2]},")
    checked(read(log_of("time_utc,lat,lon,alt,remark", rows)), lines=(2, 4, 5))


def test_a_quote_that_is_never_closed_swallows_nothing(read: Read) -> None:
    rows = (f'{ROWS[0]},12" wheel', f'{ROWS[1]},"open', ROWS[2] + ",x")
    checked(read(log_of("time_utc,lat,lon,alt,remark", rows)))


def test_trailing_separators_shift_nothing(read: Read) -> None:
    raw = checked(read(log_of("time_utc,lat,lon,alt", tuple(f"{row}," for row in ROWS))))
    assert not raw.faults


def test_headings_repeated_in_the_log_are_told(read: Read) -> None:
    heading = "time_utc,lat,lon,alt"
    raw = checked(read(log_of(heading, (ROWS[0], heading, *ROWS[1:]))), lines=(2, 4, 5))
    assert [fault.kind for fault in raw.faults] == ["repeated-heading"]


@pytest.mark.parametrize("cut", ["2026-04-18T13:12:43Z,46.5", "2026-04-18T13:12:43Z", "2026-04-18T13:12:43Z,46.51264"])
def test_a_record_cut_by_the_end_of_the_file_is_left_out_and_told(cut: str, read: Read) -> None:
    raw = checked(read(log_of("time_utc,lat,lon,alt") + cut))
    assert [fault.kind for fault in raw.faults] == ["cut-short"]


def test_a_position_cut_in_its_figures_is_left_out(read: Read) -> None:
    rows = ("2026-04-18T13:12:40Z,46.512345,-28.004100",) * 3
    text = log_of("time_utc,lat,lon", rows)
    assert len(read(text + "2026-04-18T13:12:43Z,46.512645,-28.0").samples) == 3
    assert len(read(text + "2026-04-18T13:12:43Z,46.512645,-28.004200").samples) == 4


def test_numbers_that_are_none_are_missing_and_counted(read: Read) -> None:
    rows = (
        ROWS[0].replace("3120", "0x10"),
        ROWS[1].replace("46.5124456", "1e400"),
        ROWS[2].replace("3130", "N/A"),
        "2026-04-18T13:12:43Z,46.6,-28,1_000",
    )
    raw = read(log_of("time_utc,lat,lon,alt", rows))

    altitude = raw.samples.altitudes_ft[AltitudeKind.UNKNOWN]
    assert altitude.tolist() == pytest.approx([np.nan, 3125.0, np.nan, np.nan], nan_ok=True)
    assert np.isnan(raw.samples.lat_deg[1])
    assert {fault.kind: fault.count for fault in raw.faults} == {"unreadable-value": 3}


def test_a_blank_cell_is_missing_not_zero(read: Read) -> None:
    raw = read(log_of("time_utc,lat,lon,alt,ias", (f"{ROWS[0]},95", f"{ROWS[1]},", f"{ROWS[2]},97")))

    assert raw.samples.channels[Channel.IAS_KT].tolist() == pytest.approx([95, np.nan, 97], nan_ok=True)


def test_thousands_marks(read: Read) -> None:
    rows = tuple(row.replace(",31", ',"3,1') + '"' for row in ROWS)
    checked(read(log_of("time_utc,lat,lon,alt", rows)))


def test_degrees_with_minutes_and_hemispheres(read: Read) -> None:
    rows = ("2026-04-18T13:12:40Z;46°30'36\"N;28°00.246'W;3120", "2026-04-18T13:12:41Z;N46 30.6;W028 00.246;3120")
    samples = read(log_of("time_utc;lat;lon;alt", rows)).samples

    assert samples.lat_deg == pytest.approx([46.51, 46.51], abs=1e-12)
    assert samples.lon_deg == pytest.approx([-28.0041, -28.0041], abs=1e-12)


def test_text_without_headings_is_no_track(read: Read) -> None:
    with pytest.raises(TrackFormatError, match="no line names a time and a position"):
        read("\n".join(ROWS))


def test_a_comma_that_is_separator_and_decimal_is_refused(read: Read) -> None:
    rows = tuple(row.replace(".", ",") for row in ROWS)
    with pytest.raises(TrackFormatError, match="more cells than"):
        read(log_of("time_utc,lat,lon,alt", rows))


def test_a_few_records_with_too_many_cells_are_told(read: Read) -> None:
    raw = checked(read(log_of("time_utc,lat,lon,alt", (ROWS[0], ROWS[1] + ",left,turn", ROWS[2]))))
    assert [(fault.kind, fault.count) for fault in raw.faults] == [("ragged-row", 1)]


def test_limits_on_rows_and_columns(log: Callable[..., Path]) -> None:
    path = log(log_of("time_utc,lat,lon,alt"))
    with pytest.raises(LegwiseError, match="more than 2 records"):
        read_raw_track(path, limits=ReadLimits(max_rows=2))
    with pytest.raises(LegwiseError, match="4 headings stand in this line, and no more than 3 are read"):
        read_raw_track(path, limits=ReadLimits(max_columns=3))


def test_two_aircraft_in_one_log_are_told(read: Read) -> None:
    rows = tuple(f"{row},{name}" for row, name in zip(ROWS, "ABA", strict=True))
    raw = read(log_of("time_utc,lat,lon,alt,aircraft", rows))
    assert [(fault.kind, fault.count) for fault in raw.faults] == [("several-aircraft", 2)]


def test_latitudes_beyond_the_pole_in_all_records(read: Read) -> None:
    rows = tuple(row.replace(",46.", ",146.") for row in ROWS)
    with pytest.raises(TrackTimeError, match="latitude is beyond 90° in every record"):
        mend(read(log_of("time_utc,lat,lon,alt", rows)))
