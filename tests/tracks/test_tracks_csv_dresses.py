"""Numbers come back from the dresses that receivers, tablets and panel loggers put them in."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from legwise.model.track import Channel, Samples
from legwise.tracks import read_raw_track
from legwise.tracks.table.sparse_rows import NEAR_S

START = dt.datetime(2026, 4, 18, 13, 0, tzinfo=dt.UTC)

micro = st.integers(-89_999_999, 89_999_999)
places = st.lists(st.tuples(micro, st.integers(-179_999_999, 179_999_999)), min_size=1, max_size=20)
forms = st.sampled_from(
    ["letter", "letter first", "minutes", "seconds", "in one", "seconds in one", "column", "column minutes"]
)


def samples_of(text: str, encoding: str = "utf-8") -> Samples:
    with TemporaryDirectory() as folder:
        path = Path(folder) / "log"
        path.write_bytes(text.encode(encoding))
        return read_raw_track(path).samples


def written(micro_deg: int, letters: str, form: str) -> tuple[str, str]:
    """A latitude or longitude of so many millionths of a degree, and its hemisphere for a column of its own."""
    letter = letters[micro_deg < 0]
    width = 2 if letters == "NS" else 3
    whole, rest = divmod(abs(micro_deg), 1_000_000)
    # A millionth of a degree is 60 millionths of a minute, 3,600 of a second: whole numbers throughout.
    minutes, rest_minutes = divmod(rest * 60, 1_000_000)
    decimal = f"{whole}.{rest:06d}"
    in_minutes = f"{minutes:02d}.{rest_minutes:06d}"
    seconds, rest_seconds = divmod(rest_minutes * 60, 1_000_000)
    in_seconds = f"{minutes:02d}{{}}{seconds:02d}.{rest_seconds:06d}"
    cells = {
        "letter": f"{decimal}{letter}",
        "letter first": f"{letter} {decimal}",
        "minutes": f"{whole}°{in_minutes}'{letter}",
        "seconds": f"{letter}{whole} {in_seconds.format(' ')}",
        "in one": f"{whole:0{width}d}{in_minutes}{letter}",
        "seconds in one": f"{whole:0{width}d}{in_seconds.format('')}{letter}",
        "column": decimal,
        "column minutes": f"{whole:0{width}d}{in_minutes}",
    }
    return cells[form], letter


@settings(deadline=None, derandomize=True, max_examples=150)
@given(places=places, form=forms, comma=st.booleans(), encoding=st.sampled_from(["utf-8", "cp1252", "utf-16"]))
def test_positions_come_back_from_every_form(
    places: list[tuple[int, int]], form: str, comma: bool, encoding: str
) -> None:
    # So that degrees and minutes in one number can be told from degrees, one record lies where they can't be these.
    places = [*places, (46_500_000, -28_000_000)] if "one" in form or form == "column minutes" else places
    beyond = sum(abs(lat) >= 1_000_000 for lat, _lon in places)
    if beyond < 0.9 * len(places):
        places = [(46_500_000, -28_000_000)] * (10 * len(places)) + places
    rows = []
    for n, (lat, lon) in enumerate(places):
        (lat_text, ns), (lon_text, ew) = written(lat, "NS", form), written(lon, "EW", form)
        sides = (ns, ew) if form.startswith("column") else ("", "")
        rows.append(f"{(START + dt.timedelta(seconds=n)).isoformat()};{lat_text};{sides[0]};{lon_text};{sides[1]}")
    text = "time;Latitude;N/S;Longitude;E/W\n" + "\n".join(rows) + "\n"
    samples = samples_of(text.replace(".", ",") if comma else text, encoding)

    assert samples.lat_deg.tolist() == pytest.approx([lat / 1e6 for lat, _lon in places], abs=1e-9)
    assert samples.lon_deg.tolist() == pytest.approx([lon / 1e6 for _lat, lon in places], abs=1e-9)


values = st.floats(-999.0, 9999.0).map(lambda value: round(value, 3))
readings = st.lists(st.tuples(values, values, st.integers(0, 3599)), min_size=12, max_size=40)


@settings(deadline=None, derandomize=True, max_examples=150)
@given(readings=readings, lag=st.sampled_from([0.0, 0.25, 0.5]), carried=st.booleans(), backwards=st.booleans())
def test_messages_come_back_to_their_records(
    readings: list[tuple[float, float, int]], lag: float, carried: bool, backwards: bool
) -> None:
    lag = 0.0 if carried else lag
    groups = []
    for n, (speed, bank, tenths) in enumerate(readings):
        at, then = (START + dt.timedelta(seconds=n + late) for late in (0.0, lag))
        own = "" if carried else then.isoformat()
        groups.append(
            [
                f"{at.isoformat()},{46.5 + n * 3e-4:.4f},{-28 - n * 4e-4:.4f},,,",
                f"{own},,,{speed},,",
                f"{own},,,,{bank},{tenths / 10}",
            ]
        )
    if backwards and not lag:
        groups.reverse()
    text = "time,lat,lon,IAS,Bank,Heading true\n" + "\n".join(row for group in groups for row in group) + "\n"
    samples = samples_of(text)

    when = np.arange(len(readings), dtype=np.float64)
    assert samples.time_s.tolist() == [START.timestamp() + at for at in when.tolist()]
    assert samples.lat_deg.tolist() == pytest.approx((46.5 + when * 3e-4).tolist(), abs=1e-9)
    recorded = [np.array(column, dtype=float) for column in zip(*readings, strict=True)]
    ias, rolled = samples.channels[Channel.IAS_KT], samples.channels[Channel.BANK_DEG]
    heading = samples.channels[Channel.HEADING_DEG_TRUE]
    if not lag:
        assert ias.tolist() == recorded[0].tolist()
        assert rolled.tolist() == recorded[1].tolist()
        assert heading.tolist() == (recorded[2] / 10).tolist()
        return
    # Linear between neighbours, as numpy does it; the heading along the shorter way round, as numpy unwraps it.
    assert lag < NEAR_S
    assert ias.tolist() == pytest.approx(np.interp(when, when + lag, recorded[0]).tolist(), abs=1e-6)
    way = np.unwrap(recorded[2] / 10, period=360.0)
    apart = (heading - np.interp(when, when + lag, way) + 180.0) % 360.0 - 180.0
    # Half a turn can go either way.
    half = np.abs(np.diff(way, prepend=way[0])) > 179.99
    assert np.abs(apart[~half]).max(initial=0.0) < 1e-6


offsets = st.sampled_from([-43_200, -14_400, -12_600, 0, 3_600, 19_800, 20_700, 45_900, 46_800])
offset_forms = st.sampled_from(["±HH:MM", "±HHMM", "UTC±H", "hours", "minutes", "seconds"])


def offset_text(offset_s: int, form: str) -> str:
    sign, minutes = "-" if offset_s < 0 else "+", abs(offset_s) // 60
    clock = f"{sign}{minutes // 60:02d}:{minutes % 60:02d}"
    return {
        "±HH:MM": clock,
        "±HHMM": clock.replace(":", ""),
        "UTC±H": f"UTC{clock}",
        "hours": f"{offset_s / 3600:g}",
        "minutes": f"{offset_s // 60}",
        "seconds": f"{offset_s}",
    }[form]


@settings(deadline=None, derandomize=True, max_examples=150)
@given(
    seconds=st.lists(st.integers(0, 10**5), min_size=3, max_size=20),
    one=offsets,
    other=offsets,
    form=offset_forms,
    backwards=st.booleans(),
)
def test_local_times_come_back_by_their_offsets(
    seconds: list[int], one: int, other: int, form: str, backwards: bool
) -> None:
    unit = f" ({form})" if form in ("hours", "minutes", "seconds") else ""
    seconds.sort(reverse=backwards)
    rows = []
    for n, second in enumerate(seconds):
        offset_s = one if n < len(seconds) // 2 else other
        local = (START + dt.timedelta(seconds=second + offset_s)).strftime("%d.%m.%Y,%H:%M:%S")
        rows.append(f"{local},{offset_text(offset_s, form)},46.5,-28")
    samples = samples_of(f"Local date,Local time,UTC offset{unit},lat,lon\n" + "\n".join(rows) + "\n")

    assert samples.time_s.tolist() == [START.timestamp() + second for second in sorted(seconds)]
