"""Marks of thousands and decimal signs: told from the whole column, and where they can't be, counted."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from legwise.model.track import AltitudeKind, RawTrack
from legwise.tracks.headings.quantities import Quantity
from legwise.tracks.values.numbers import numbers_of

Read = Callable[..., RawTrack]


def column(cells: tuple[str, ...], *, comma: bool) -> str:
    lat = "46,51" if comma else "46.51"
    rows = "".join(
        f"2026-04-18T13:12:{n:02d}Z;{lat}{n};{'-28,5' if comma else '-28.5'};{cell}\n" for n, cell in enumerate(cells)
    )
    return f"time_utc;lat;lon;alt ft\n{rows}"


@pytest.mark.parametrize("comma", [True, False])
@pytest.mark.parametrize(
    ("cells", "expected"),
    [
        (("999", "1.001", "1.010"), (999.0, 1001.0, 1010.0)),
        (("999,5", "1.001,5", "12.345"), (999.5, 1001.5, 12345.0)),
        (("-1.234", "1.234.567", "0"), (-1234.0, 1234567.0, 0.0)),
        (("999", "1 001", "1'010,5"), (999.0, 1001.0, 1010.5)),
        (("1234.5", "999.25", "1000"), (1234.5, 999.25, 1000.0)),
        (("0.125", "0.5", "12.25"), (0.125, 0.5, 12.25)),
    ],
)
def test_a_column_that_can_be_read(
    cells: tuple[str, ...], expected: tuple[float, ...], comma: bool, read: Read
) -> None:
    # The same column with the signs exchanged in a log with a decimal point.
    written = cells if comma else tuple(cell.translate(str.maketrans(",.", ".,")) for cell in cells)
    raw = read(column(written, comma=comma))

    assert raw.samples.altitudes_ft[AltitudeKind.UNKNOWN].tolist() == list(expected)
    assert not raw.faults


@pytest.mark.parametrize("comma", [True, False])
@pytest.mark.parametrize(
    ("cells", "doubtful"),
    [
        (("1.001", "12.25", "999"), (0,)),
        (("1.001", "0.125", "1.002"), (0, 2)),
        (("1.001", "1234", "999"), (0,)),
        (("1.001", "1234,5", "999,5"), (0,)),
        (("304,8", "12.25", "7"), (1,)),
    ],
)
def test_a_column_that_mixes_its_signs_is_counted(
    cells: tuple[str, ...], doubtful: tuple[int, ...], comma: bool, read: Read
) -> None:
    written = cells if comma else tuple(cell.translate(str.maketrans(",.", ".,")) for cell in cells)
    raw = read(column(written, comma=comma))

    (fault,) = raw.faults
    assert (fault.kind, fault.count) == ("doubtful-number", len(doubtful))
    assert f"line{'s' if len(doubtful) > 1 else ''} {doubtful[0] + 2}" in fault.detail
    assert written[doubtful[0]] in fault.detail
    missing = np.flatnonzero(np.isnan(raw.samples.altitudes_ft[AltitudeKind.UNKNOWN]))
    assert missing.tolist() == list(doubtful)


def test_a_latitude_has_no_thousands() -> None:
    texts = np.array(["46,512", "46.512", "46,30.5"], dtype=object)
    assert numbers_of(texts, comma_is_decimal=True, axis=Quantity.LATITUDE).values.tolist() == pytest.approx(
        [46.512, 46.512, np.nan], nan_ok=True
    )
    assert numbers_of(texts, axis=Quantity.LATITUDE).unreadable.tolist() == [0, 2]


@settings(deadline=None, derandomize=True, max_examples=200)
@given(st.lists(st.integers(-200_000, 6_000_000), min_size=1, max_size=20), st.booleans(), st.integers(0, 2))
def test_numbers_with_marks_come_back(hundredths: list[int], comma: bool, places: int) -> None:
    values = [round(number / 100, places) for number in hundredths]
    english = [f"{value:,.{places}f}" for value in values]
    texts = [text.translate(str.maketrans(",.", ".,")) for text in english] if comma else english
    found = numbers_of(np.array(texts, dtype=object), comma_is_decimal=comma)

    assert found.values.tolist() == values
    assert not found.unreadable.size
    assert not found.doubtful.size
