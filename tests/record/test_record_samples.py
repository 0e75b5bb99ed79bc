from __future__ import annotations

import dataclasses
import datetime as dt
import io
import math
import pathlib

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from legwise.model.arrays import readonly_bools
from legwise.model.results import DebriefResult
from legwise.record import samples_frame, write_samples
from legwise.record.text_columns import decimal_text, instant_text, joined_rows, word_text

# The contract's columns, in its order; those recorded only sometimes come last.
CONTRACT = [
    "time",
    "lat_deg",
    "lon_deg",
    "altitude_ft",
    "groundspeed_kt",
    "track_deg_true",
    "vertical_speed_fpm",
    "leg",
    "guidance",
    "phase",
    "cross_track_nm",
    "along_track_to_go_nm",
    "track_error_deg",
    "lateral_full_scale_nm",
    "lateral_needle",
    "vertical_path_ft",
    "vertical_deviation_ft",
    "vertical_full_scale_ft",
    "vertical_needle",
    "assigned_altitude_ft",
    "altitude_error_ft",
    "in_turn",
]
FIRST, LAST = dt.datetime(1970, 1, 2), dt.datetime(2199, 1, 1)  # noqa: DTZ001 - the strategy wants them naive


@pytest.fixture(name="written")
def written_fixture(result: DebriefResult, tmp_path: pathlib.Path) -> str:
    write_samples(result, tmp_path / "samples.csv")
    return (tmp_path / "samples.csv").read_bytes().decode("ascii")


def test_columns_are_the_contracts_and_then_what_was_recorded(result: DebriefResult, written: str) -> None:
    assert written.splitlines()[0].split(",") == [*CONTRACT, "ias_kt"]
    assert list(samples_frame(result)) == [*CONTRACT, "ias_kt"]


def test_rows_say_what_is_known_and_leave_empty_what_is_not(written: str) -> None:
    first, second = written.splitlines()[1:3]

    assert first == (
        "2026-04-18T13:12:40Z,46.51230000,-28.00410000,2999.50,100.000,0.0000,0.00,,none,ground,,,,,,,,,,,,0,90.000"
    )
    assert second == (
        "2026-04-18T13:12:41Z,46.51234568,-28.00410001,3000.00,101.000,359.9999,-0.04,R1,leg,en-route,"
        "0.123457,10.000000,,2.000000,0.061728,,,,,3000.00,0.00,1,91.500"
    )


def test_times_keep_the_fraction_that_was_recorded(written: str) -> None:
    times = [line.split(",")[0] for line in written.splitlines()[1:]]

    assert times[3:] == ["2026-04-18T13:12:43.25Z", "2026-04-18T13:12:44Z", "2026-04-18T13:12:45.5Z"]


def test_the_table_read_back_is_the_table(result: DebriefResult, written: str) -> None:
    back = pd.read_csv(io.StringIO(written))

    pd.testing.assert_frame_equal(back, samples_frame(result), check_dtype=False, rtol=0, atol=6e-3)
    np.testing.assert_allclose(back["cross_track_nm"], result.deviations.cross_track_nm, rtol=0, atol=5.1e-7)
    np.testing.assert_allclose(back["lat_deg"], result.track.samples.lat_deg, rtol=0, atol=5.1e-9)


def test_figures_can_be_computed_again_from_the_file(written: str) -> None:
    flown = pd.read_csv(io.StringIO(written)).query("leg == 'R1'")

    # The made result's own three values: 0.1234567, -0.4, 0.4000004.
    assert flown["cross_track_nm"].abs().max() == pytest.approx(0.4000004, abs=1e-6)
    assert flown["cross_track_nm"].mean() == pytest.approx((0.1234567 - 0.4 + 0.4000004) / 3, abs=1e-6)


def test_two_runs_give_the_same_bytes(result: DebriefResult, tmp_path: pathlib.Path) -> None:
    write_samples(result, tmp_path / "one.csv")
    write_samples(result, tmp_path / "two.csv")

    assert (tmp_path / "one.csv").read_bytes() == (tmp_path / "two.csv").read_bytes()


def test_a_leg_id_with_a_comma_stays_one_field(result: DebriefResult, tmp_path: pathlib.Path) -> None:
    leg = dataclasses.replace(result.alignment.legs[0], id='R1,"x"')
    odd = dataclasses.replace(result, alignment=dataclasses.replace(result.alignment, legs=(leg,)))
    write_samples(odd, tmp_path / "samples.csv")

    assert pd.read_csv(tmp_path / "samples.csv")["leg"].dropna().unique().tolist() == ['R1,"x"']


@given(
    st.lists(st.floats(min_value=-1e9, max_value=1e9) | st.just(math.nan), min_size=1, max_size=20),
    st.sampled_from([0, 1, 2, 4, 6, 8]),
)
def test_figures_are_written_as_python_would_write_them(values: list[float], decimals: int) -> None:
    lines = joined_rows([decimal_text(np.array(values), decimals)]).decode("ascii").split("\n")[:-1]

    for line, value in zip(lines, values, strict=True):
        if math.isnan(value):
            assert line == ""
            continue
        assert line.lstrip("-").partition(".")[2].__len__() == decimals
        # Half a unit of the last place, and the float's own grain at that size.
        assert abs(float(line) - value) <= 0.5 * 10**-decimals + 4 * math.ulp(value)
        assert not (line.startswith("-") and float(line) == 0.0)


@given(st.lists(st.datetimes(FIRST, LAST), min_size=1, max_size=10))
def test_times_are_written_as_python_would_write_them(times: list[dt.datetime]) -> None:
    epoch = np.array([time.replace(tzinfo=dt.UTC).timestamp() for time in times])
    lines = joined_rows([instant_text(epoch)]).decode("ascii").split("\n")[:-1]

    for line, time in zip(lines, times, strict=True):
        read = dt.datetime.fromisoformat(line)
        assert abs(read - time.replace(tzinfo=dt.UTC)) <= dt.timedelta(microseconds=1)
        fraction = line.rstrip("Z").partition(".")[2]
        assert not fraction.endswith("0")


def test_a_fraction_that_rounds_up_carries_into_the_second() -> None:
    text = joined_rows([instant_text(np.array([86_399.9999996]))])

    assert text == b"1970-01-02T00:00:00Z\n"


def test_no_words_at_all() -> None:
    assert joined_rows([word_text((), np.array([-1, -1])), decimal_text(np.array([1.0, 2.0]), 0)]) == b",1\n,2\n"


def test_a_figure_too_large_for_the_file_is_refused() -> None:
    with pytest.raises(ValueError, match="too large"):
        decimal_text(np.array([1e15]), 6)


def test_held_positions_have_a_column_where_the_log_has_any(result: DebriefResult, tmp_path: pathlib.Path) -> None:
    held = readonly_bools([False, False, True, True, False, False])
    paused = dataclasses.replace(result, track=dataclasses.replace(result.track, held=held))
    write_samples(paused, tmp_path / "samples.csv")

    assert pd.read_csv(tmp_path / "samples.csv")["held"].tolist() == [0, 0, 1, 1, 0, 0]
