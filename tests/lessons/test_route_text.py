"""The route text of a flight plan (item 15); forms from FAA AIM, appendix 4, and ICAO Doc 4444 (from memory)."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from legwise.errors import LegwiseError, LessonError, NotYetError
from legwise.lessons import split_route_text


def points_of(text: str, *known: str) -> list[str]:
    return [element.text for element in split_route_text(text, where="--route", known=known)]


@pytest.mark.parametrize(
    ("text", "points"),
    [
        ("XTBN BRAKO CALDU XSKH", ["XTBN", "BRAKO", "CALDU", "XSKH"]),
        ("XTBN DCT BRAKO DCT CALDU DCT XSKH", ["XTBN", "BRAKO", "CALDU", "XSKH"]),
        ("N0120F080 DCT BRAKO CALDU", ["BRAKO", "CALDU"]),
        ("-N0120A050 BRAKO CALDU", ["BRAKO", "CALDU"]),
        ("N0120VFR BRAKO CALDU", ["BRAKO", "CALDU"]),
        ("M081F330 BRAKO CALDU", ["BRAKO", "CALDU"]),
        ("A050 BRAKO CALDU", ["BRAKO", "CALDU"]),
        ("xtbn  brako\n\txskh", ["XTBN", "BRAKO", "XSKH"]),
        ("BRAKO/N0120A050 CALDU/M081F330", ["BRAKO", "CALDU"]),
        ("BRAKO/D01+40 CALDU", ["BRAKO", "CALDU"]),
        ("BRAKO VFR CALDU IFR XSKH", ["BRAKO", "CALDU", "XSKH"]),
        ("4630N02800W 46N028W 463012S1780000E", ["4630N02800W", "46N028W", "463012S1780000E"]),
        ("SKH BRAKO", ["SKH", "BRAKO"]),
    ],
)
def test_points(text: str, points: list[str]) -> None:
    assert points_of(text) == points


def test_elements_stand_where_they_stand() -> None:
    text = "N0120 XTBN  brako/N0120A050\nDCT 4630N02800W"

    elements = split_route_text(text, where="--route")

    assert [text[item.start : item.stop] for item in elements] == ["XTBN", "brako", "4630N02800W"]


@pytest.mark.parametrize("airway", ["V7", "J2", "UL607", "T341", "L888", "A1", "Q29", "UN862", "UM859W"])
def test_airways_are_refused_by_name(airway: str) -> None:
    with pytest.raises(NotYetError, match=f"the airway {airway} is not read yet"):
        points_of(f"XTBN BRAKO {airway} CALDU XSKH")


@pytest.mark.parametrize(
    ("word", "words"),
    [
        ("DALL3", "departure or arrival route DALL3"),
        ("BRAKO1A", "departure or arrival route BRAKO1A"),
        ("DUB180040", "bearing and distance"),
        ("C/BRAKO/M081F330F350", "cruise climb"),
    ],
)
def test_other_things_of_later(word: str, words: str) -> None:
    with pytest.raises(NotYetError, match=words):
        points_of(f"XTBN {word} CALDU")


@pytest.mark.parametrize(
    "word", ["BR-KO", "4660N02800W", "4630N18100W", "46N02800W", "BRAKO/X", "TOOLONGIDENT", "Ωμέγα"]
)
def test_what_is_no_point_has_a_caret_under_it(word: str) -> None:
    text = f"XTBN {word} CALDU"

    with pytest.raises(LessonError) as caught:
        points_of(text)

    row, carets = str(caught.value).splitlines()[-2:]
    assert row.strip() == text
    assert row[carets.index("^") : len(carets)] == word


def test_a_caret_far_along_a_long_text() -> None:
    with pytest.raises(LessonError) as caught:
        points_of("BRAKO CALDU " * 40 + "?? " + "BRAKO CALDU " * 40)

    row, carets = str(caught.value).splitlines()[-2:]
    assert row[carets.index("^") : len(carets)] == "??"
    assert len(row) < 80


@pytest.mark.parametrize("text", ["", "   ", "DCT", "N0120F080 DCT IFR", "X" * 3000])
def test_no_point_at_all(text: str) -> None:
    with pytest.raises(LessonError):
        points_of(text)


def test_known_idents_win_whatever_they_look_like() -> None:
    known = ("V7", "WP1", "LAKE-HEAD", "A050")

    assert points_of("A050 V7 wp1 LAKE-HEAD DCT CALDU", *known) == ["A050", "V7", "WP1", "LAKE-HEAD", "CALDU"]


@settings(deadline=None, derandomize=True, max_examples=300)
@given(st.text(max_size=60) | st.from_regex(r"([A-Z0-9/+]{1,9} ){1,6}", fullmatch=True))
def test_any_text_gives_points_or_a_lesson_error(text: str) -> None:
    try:
        elements = split_route_text(text, where="--route")
    except LegwiseError:
        return
    assert elements
    assert all(0 <= item.start < item.stop <= len(text) for item in elements)
