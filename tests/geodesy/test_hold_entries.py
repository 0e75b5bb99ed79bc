from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from legwise.geodesy import EntryName, hold_entry
from legwise.model.lesson import Turn


# Worked out from the 70 deg rule of FAA AIM 5-3-8 j3.
@pytest.mark.parametrize(
    ("inbound", "turn", "heading", "entry"),
    [
        (360, "right", 350, "direct"),
        (360, "right", 100, "direct"),
        (360, "right", 295, "direct"),
        (360, "right", 150, "teardrop"),
        (360, "right", 200, "parallel"),
        (360, "right", 285, "parallel"),
        (90, "right", 60, "direct"),
        (90, "right", 230, "teardrop"),
        (90, "right", 300, "parallel"),
        (270, "left", 120, "teardrop"),
        (270, "left", 30, "parallel"),
        (270, "left", 200, "direct"),
    ],
)
def test_entries(inbound: float, turn: Turn, heading: float, entry: EntryName) -> None:
    assert hold_entry(inbound, turn, heading).name == entry


# The sectors' lines: right-hand, inbound 360: teardrop 110 to 180, parallel 180 to 290; inbound 090: 200, 270, 020.
@pytest.mark.parametrize(
    ("inbound", "turn", "line", "below", "above"),
    [
        (360, "right", 110, "direct", "teardrop"),
        (360, "right", 180, "teardrop", "parallel"),
        (360, "right", 290, "parallel", "direct"),
        (90, "right", 200, "direct", "teardrop"),
        (90, "right", 270, "teardrop", "parallel"),
        (90, "right", 20, "parallel", "direct"),
        (270, "left", 160, "teardrop", "direct"),
        (270, "left", 90, "parallel", "teardrop"),
        (270, "left", 340, "direct", "parallel"),
    ],
)
def test_within_five_degrees_of_a_line_both_neighbours_are_good(
    inbound: float, turn: Turn, line: float, below: EntryName, above: EntryName
) -> None:
    for off in (-5.0, -2.0, 0.0, 2.0, 5.0):
        got = hold_entry(inbound, turn, line + off)
        assert set(got.acceptable) == {below, above}
        assert got.acceptable[0] == got.name
        assert got.off_line_deg == pytest.approx(abs(off))
    for off, entry in ((-5.1, below), (5.1, above)):
        assert hold_entry(inbound, turn, line + off).acceptable == (entry,)


@settings(deadline=None, derandomize=True)
@given(inbound=st.integers(1, 360), heading=st.integers(0, 359))
def test_a_left_hand_hold_is_the_mirror_image_of_a_right_hand_one(inbound: int, heading: int) -> None:
    right = hold_entry(inbound, "right", heading)
    left = hold_entry(-inbound, "left", -heading)

    assert left == right


def test_the_three_sectors_are_110_70_and_180_degrees_wide() -> None:
    # Half degrees keep off the lines.
    names = [hold_entry(360.0, "right", half + 0.5).name for half in range(360)]

    assert (names.count("parallel"), names.count("teardrop"), names.count("direct")) == (110, 70, 180)
