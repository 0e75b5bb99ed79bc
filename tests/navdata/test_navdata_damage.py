"""Damaged files never raise anything but the room's error, and what they still hold can be asked."""

from __future__ import annotations

import functools
import tempfile
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from legwise.errors import NavDataError
from legwise.model.navdata import FixKey, NavData, ProcedureKind, Section
from legwise.navdata import open_navdata, read_fix_list
from navdata.coded_lines import EVERY_EXCERPT, lines_of

KEPT = settings(deadline=None, derandomize=True, max_examples=60)
CHARACTERS = st.sampled_from([*"SDEPHR0123456789 ANEWTFL+-@BCGIJVXY*.\t\x00\x7f\xb2\xe9"])


@functools.cache
def some_lines() -> tuple[str, ...]:
    """Every eleventh line of the excerpts: records of every kind."""
    return tuple(line for name in EVERY_EXCERPT for line in lines_of(name)[::11])


@st.composite
def damaged_lines(draw: st.DrawFn) -> list[str]:
    lines = [draw(st.sampled_from(some_lines())) for _ in range(draw(st.integers(1, 12)))]
    for _ in range(draw(st.integers(0, 12))):
        number = draw(st.integers(0, len(lines) - 1))
        line = lines[number]
        at = draw(st.integers(0, max(len(line) - 1, 0)))
        how = draw(st.integers(0, 3))
        if how == 0:
            line = line[:at]
        elif how == 1:
            line = line[:at] + draw(st.text(CHARACTERS, max_size=6)) + line[at:]
        elif how == 2:
            text = draw(st.text(CHARACTERS, min_size=1, max_size=6))
            line = line[:at] + text + line[at + len(text) :]
        else:
            line = draw(st.text(CHARACTERS, max_size=140))
        lines[number] = line
    return lines


def opened(path: Path) -> tuple[NavData | None, NavDataError | None]:
    try:
        return open_navdata(path), None
    except NavDataError as error:
        return None, error


def listed(path: Path) -> tuple[NavData | None, NavDataError | None]:
    try:
        return read_fix_list(path), None
    except NavDataError as error:
        return None, error


def ask_everything(path: Path) -> None:
    """Every question whose words stand in the file; whatever the file holds, an answer or the room's error."""
    data, error = opened(path)
    if data is None:
        assert error is not None
        assert error.where
        assert error.remedy
        return
    assert data.summary.problem_count >= len(data.summary.problems)
    lines = [line.ljust(132) for line in path.read_bytes().decode("latin-1").splitlines()]
    for ident in {line[13:18].strip() for line in lines}:
        for fix in data.fixes(ident):
            assert -90 <= fix.lat_deg <= 90
            assert -180 <= fix.lon_deg <= 180
            assert data.fix(fix.key) is not None
        for airway in data.airways(ident):
            assert airway.points[-1].ends_segment
    for airport in {line[6:10].strip() for line in lines}:
        data.airport(airport)
        data.runways(airport)
        data.localizer(airport, "IXXX")
        for kind in ProcedureKind:
            for ident in data.procedures(airport, kind):
                found = data.procedure(airport, ident, kind)
                assert found is not None
                assert all(part.legs for part in found.parts)
                data.path_point(airport, ident)
    for section in Section:
        data.fix(FixKey(ident="X", region="", section=section))
    data.nearest_idents("CESAL", "fix")


@KEPT
@given(damaged_lines(), st.sampled_from(["\n", "\r\n"]))
def test_damaged_lines(lines: list[str], end: str) -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "damaged.dat"
        path.write_bytes(end.join(lines).encode("latin-1"))
        ask_everything(path)


@KEPT
@given(st.binary(max_size=2000))
def test_random_bytes(content: bytes) -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "bytes.dat"
        path.write_bytes(content)
        ask_everything(path)


@KEPT
@given(st.one_of(
    st.binary(max_size=300),
    st.lists(st.text(max_size=30), max_size=8).map(lambda rows: "\n".join(["ident,lat_deg,lon_deg", *rows]).encode()),
))  # fmt: skip
def test_any_bytes_as_a_list_of_fixes(content: bytes) -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "fixes.csv"
        path.write_bytes(content)
        data, error = listed(path)
    assert (data is None) != (error is None)
    assert error is None or error.remedy
    assert data is None or data.summary.counts["L "] > 0


@KEPT
@given(st.text(max_size=80))
def test_any_words_can_be_asked(words: str) -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "some.dat"
        path.write_text("\n".join(some_lines()), encoding="latin-1")
        for indexed_from in (10**9, 0):
            data = open_navdata(path, cache=Path(folder), indexed_from_bytes=indexed_from)
            data.fixes(words)
            data.airport(words)
            data.airways(words)
            data.procedure(words, words, ProcedureKind.ARRIVAL)
            data.procedures(words, ProcedureKind.APPROACH)
            assert words not in data.nearest_idents(words, "fix")
