"""What stands in a log besides its records: footers, headings again, other tables, the same quantity twice."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from legwise.errors import ColumnError
from legwise.model.track import AltitudeKind, Channel, RawTrack
from legwise.tracks import mend
from tracks.csv_logs import ROWS, T0, checked, log_of

Read = Callable[..., RawTrack]
HEADING = "time_utc,lat,lon,alt"


def kinds(raw: RawTrack) -> dict[str, int]:
    counts: dict[str, int] = {}
    for fault in raw.faults:
        counts[fault.kind] = counts.get(fault.kind, 0) + fault.count
    return counts


@pytest.mark.parametrize(
    ("footer", "count"),
    [
        ("End of file\n", 1),
        ("End of file", 1),
        ("--- end ---\n", 1),
        ("\nTotal records: 3\nDistance flown,12.3 nm\n", 2),
        ("Max altitude,,,3130\n", 1),
        ('"end, of file"\n', 1),
        ("n/a,n/a,n/a,n/a\n", 1),
    ],
)
def test_a_footer_is_no_record(footer: str, count: int, read: Read) -> None:
    raw = checked(read(log_of(HEADING) + footer))
    assert kinds(raw) in ({"no-record": count}, {"no-record": count, "unreadable-value": 1})
    detail = next(fault.detail for fault in raw.faults if fault.kind == "no-record")
    assert detail.startswith("no record but text in line")
    assert not {"no-time", "blank-position", "unreadable-time"} & {fault.kind for fault in mend(raw).faults}


def test_text_between_records_keeps_the_lines(read: Read) -> None:
    raw = checked(read(log_of(HEADING, (ROWS[0], "Recorder restarted", ROWS[1], "x,y,z,w", ROWS[2]))), lines=(2, 4, 6))
    assert kinds(raw) == {"no-record": 2}
    assert "in lines 3 and 5 (“Recorder restarted” and the like)" in raw.faults[0].detail


def test_a_restarted_log_with_its_preamble_and_units(read: Read) -> None:
    again = ("Recorder 7", HEADING, "UTC,deg,deg,ft")
    raw = checked(read(f"Recorder 7\n{HEADING}\nUTC,deg,deg,ft\n{ROWS[0]}\n" + "\n".join([*again, *ROWS[1:], ""])),
                  lines=(4, 8, 9))  # fmt: skip
    assert kinds(raw) == {"repeated-heading": 1, "no-record": 1}


def test_other_headings_below_are_another_table(read: Read) -> None:
    # Latitude and longitude change places, the altitude is in metres, and a speed is new.
    rows = [f"2026-04-18T13:12:{second}Z,46.5{second},-28.0{second},30{second}" for second in range(40, 46)]
    below = "".join(
        f"{time},{float(alt) * 0.3048:.4f},{lon},{lat},100\n"
        for time, lat, lon, alt in (row.split(",") for row in rows[3:])
    )
    samples_of = [read(f"{HEADING} ft\n" + "\n".join(rows) + "\n")]
    samples_of.append(read("\n".join([f"{HEADING} ft", *rows[:3], "", "time_utc,alt m,lon,lat,gs kt", below])))
    one, two = (raw.samples for raw in samples_of)

    assert two.time_s.tolist() == one.time_s.tolist()
    assert two.lat_deg.tolist() == one.lat_deg.tolist()
    assert two.lon_deg.tolist() == one.lon_deg.tolist()
    assert two.altitudes_ft[AltitudeKind.UNKNOWN] == pytest.approx(one.altitudes_ft[AltitudeKind.UNKNOWN], abs=1e-3)
    assert two.channels[Channel.GROUNDSPEED_KT].tolist() == pytest.approx([np.nan] * 3 + [100] * 3, nan_ok=True)
    assert two.line.tolist() == [2, 3, 4, 7, 8, 9]
    assert kinds(samples_of[1]) == {"repeated-heading": 1}
    detail = samples_of[1].faults[0].detail
    assert "other headings begin in line 6 (“time_utc”, “alt m”, “lon”, “lat”, “gs kt”)" in detail


def test_a_log_goes_on_under_its_first_headings_again(read: Read) -> None:
    swapped = ",".join(ROWS[1].split(",")[index] for index in (0, 3, 2, 1))
    raw = checked(
        read(f"{HEADING}\n{ROWS[0]}\ntime_utc,alt,lon,lat\n{swapped}\n{HEADING}\n{ROWS[2]}\n"), lines=(2, 4, 6)
    )
    assert kinds(raw) == {"repeated-heading": 2}


def test_a_table_that_is_no_track_is_told_and_not_read(read: Read) -> None:
    raw = checked(read(log_of(HEADING) + "\nwaypoint,lat,lon,elev\nAAA,46.1,-28.1,30\nBBB,46.2,-28.2,50\n"))
    assert kinds(raw) == {"other-table": 1}
    assert "other headings begin in line 6" in raw.faults[0].detail
    assert "the 2 lines below are not read" in raw.faults[0].detail


def test_a_table_above_the_track_is_passed_over(read: Read) -> None:
    above = "Waypoint,Time,Latitude,Longitude,Altitude\nAAA,13:00,46.1,-28.1,30\nBBB,13:10,46.2,-28.2,50\n\n"
    raw = checked(read(above + log_of(HEADING)), lines=(6, 7, 8))
    assert kinds(raw) == {"other-table": 1}
    assert "other headings stand in line 1 (“Waypoint”, “Time”" in raw.faults[0].detail


def test_a_last_byte_that_ends_files_on_old_systems_is_no_record(read: Read) -> None:
    rows = "".join(f"2026-04-18T13:12:{second:02d}Z,46.5,-28,3000\n" for second in range(60))
    raw = read(f"{HEADING}\n{rows}\x1a")
    assert len(raw.samples) == 60
    assert kinds(raw) == {"no-record": 1}


def test_times_of_day_go_on_in_the_next_table(read: Read) -> None:
    import datetime as dt

    text = "time utc,lat,lon\n23:59:59,46.5,-28\ntime utc,lon,lat\n00:00:01,-28,46.5001\n"
    time_s = read(text, date=dt.date(2026, 4, 18)).samples.time_s
    assert np.diff(time_s).tolist() == [2.0]


def test_a_remark_over_two_lines_is_not_taken_for_text_between_records(read: Read) -> None:
    rows = (f'{ROWS[0]},"left turn\nthen level"', f"{ROWS[1]},N/A", f"{ROWS[2]},x")
    raw = checked(read(log_of(f"{HEADING},remark", rows)), lines=(2, 4, 5))
    assert not raw.faults


def test_headings_over_two_lines(read: Read) -> None:
    checked(read('"time\n(UTC)","lat\n(deg)",lon,alt\n' + "\n".join(ROWS) + "\n"), lines=(4, 5, 6))


def test_quotes_around_whole_lines_and_single_quotes(read: Read) -> None:
    raw = checked(read("".join(f'"{line}"\n' for line in (HEADING, *ROWS))))
    assert any("the quotes around whole lines are taken off" in note for note in raw.source.notes)
    checked(read("".join(",".join(f"'{cell}'" for cell in line.split(",")) + "\n" for line in (HEADING, *ROWS))))


def test_zero_bytes_are_left_out_and_told(read: Read) -> None:
    raw = checked(read(log_of(HEADING).encode() + b"\0" * 5000))
    assert any("5,000 zero bytes are left out" in note for note in raw.source.notes)


@pytest.mark.parametrize("blank", ["\u00a0", "\u202f", "\u2009"])
def test_blanks_that_do_not_break(blank: str, read: Read) -> None:
    rows = tuple(row.replace("T", blank).replace("Z", "").replace(",3", f",3{blank}") for row in ROWS)
    checked(read(log_of(f"time{blank}(UTC),lat,lon,alt", rows)))


def test_byte_order_marks_inside(read: Read) -> None:
    checked(read(log_of("\ufefftime_utc,\ufefflat,lon,alt").encode("utf-8-sig")))


def test_a_hundred_and_fifty_columns(read: Read) -> None:
    more = [f"sensor {n}" for n in range(75)]
    rows = tuple(",".join(["1.5"] * 75 + [row] + ["2"] * 75) for row in ROWS)
    checked(read(log_of(",".join([*more, HEADING, *more]), rows)))


@pytest.mark.parametrize(
    ("heading", "rows", "read_heading"),
    [
        ("Altitude (ft),Altitude (m)", ("3120,951.0", "3125,952.5", "3130,954.0"), "Altitude (m)"),
        ("Altitude (m),Altitude (ft)", ("951,3120", "953,3125", "954,3130"), "Altitude (ft)"),
    ],
)
def test_one_quantity_in_two_units_needs_no_decision(
    heading: str, rows: tuple[str, ...], read_heading: str, read: Read
) -> None:
    records = tuple(f"{row.rpartition(',')[0]},{cells}" for row, cells in zip(ROWS, rows, strict=True))
    raw = read(log_of(f"time_utc,lat,lon,{heading}", records))

    altitude = raw.samples.altitudes_ft[AltitudeKind.UNKNOWN]
    assert altitude.tolist() == pytest.approx([3120, 3125, 3130], abs=0.2)
    assert any(f"hold the same values; “{read_heading}” is read" in note for note in raw.source.notes)


def test_a_blank_in_one_unit_is_filled_from_the_other(read: Read) -> None:
    cells = ("3120,951.0", ",952.5", "3130,")
    rows = tuple(f"{row.rpartition(',')[0]},{cell}" for row, cell in zip(ROWS, cells, strict=True))
    altitude = read(log_of("time_utc,lat,lon,Altitude (ft),Altitude (m)", rows)).samples.altitudes_ft
    assert altitude[AltitudeKind.UNKNOWN].tolist() == pytest.approx([3120, 3125, 3130], abs=0.2)


def test_two_units_that_part_further_down_are_refused(read: Read) -> None:
    rows = [
        f"2026-04-18T13:{n // 60:02d}:{n % 60:02d}Z,46.5,-28,{3000 + n},{(3000 + n) * 0.3048:.1f}" for n in range(90)
    ]
    text = "\n".join(["time_utc,lat,lon,Altitude (ft),Altitude (m)", *rows, ""])
    assert len(read(text).samples) == 90
    with pytest.raises(ColumnError, match="2 headings could be the altitude") as caught:
        read(text + "2026-04-18T13:30:00Z,46.5,-28,4000,950.0\n")
    assert 'altitude_ft = "Altitude (ft)"' in caught.value.remedy


def test_two_altitudes_that_differ_list_their_lines(read: Read) -> None:
    rows = tuple(f"{row},{n}" for n, row in enumerate(ROWS))
    with pytest.raises(ColumnError, match="2 headings could be the altitude") as caught:
        read(log_of("time_utc,lat,lon,Altitude,Alt", rows))
    assert 'altitude_ft = "Altitude" or altitude_ft = "Alt"' in caught.value.remedy
    columns = {"altitude_ft": "Altitude"}
    checked(read(log_of("time_utc,lat,lon,Altitude,Alt", rows), columns=columns))


def test_a_unit_in_the_cells(read: Read) -> None:
    metres = ("950.976 m", "952.5 m", "954.024 m")
    rows = tuple(f"{row.rpartition(',')[0]},{m},185.2 km/h" for row, m in zip(ROWS, metres, strict=True))
    raw = checked(read(log_of("time_utc,lat,lon,alt,gs", rows)))
    assert raw.samples.channels[Channel.GROUNDSPEED_KT].tolist() == pytest.approx([100.0] * 3)
    assert any("the cells of “alt” say “m”" in note for note in raw.source.notes)
    assert not raw.faults


def test_a_unit_in_the_cells_that_contradicts_the_heading_is_not_read(read: Read) -> None:
    rows = tuple(f"{row} m" for row in ROWS)
    raw = read(log_of("time_utc,lat,lon,alt ft", rows))
    assert not raw.samples.altitudes_ft
    assert kinds(raw) == {"unreadable-value": 3}


def test_endless_numbers_are_counted(read: Read) -> None:
    raw = read(log_of(HEADING, (ROWS[0], ROWS[1].replace("3125", "1e999"), ROWS[2])))
    assert kinds(raw) == {"unreadable-value": 1}
    assert raw.samples.time_s.tolist() == [T0, T0 + 1, T0 + 2]
