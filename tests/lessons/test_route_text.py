"""The route text of a flight plan (item 15).

Forms from FAA AIM, appendix 4; kilometres per hour, metric levels, degrees-only positions, bearing and distance, cruise
climb from ICAO Doc 4444, appendix 2, whose examples are here: K0830, N0485, M082, F085, F330, S1130, A045, A100, M0840,
DUB180040, C/48N050W/M082F290F350, LN/N0284A045, MAY/N0305F180, MAY/K0570S1500.
"""

from __future__ import annotations

import csv
import itertools
from collections import Counter
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from legwise.errors import LessonError
from legwise.lessons import split_route_text
from legwise.model.route_text import RouteElement, caret_under

ROUTES = Path(__file__).parents[1] / "data" / "routes" / "preferred_routes_sample.csv"
SETTINGS = settings(deadline=None, derandomize=True, max_examples=300)


def elements_of(text: str, *known: str) -> tuple[RouteElement, ...]:
    return split_route_text(text, where="--route", known=known)


def refused(text: str, *known: str) -> tuple[LessonError, str]:
    """The error, and what its carets stand under."""
    with pytest.raises(LessonError) as caught:
        elements_of(text, *known)
    row, carets = str(caught.value).splitlines()[-2:]
    assert caught.value.where == "--route"
    assert len(row) < 80
    return caught.value, row[carets.index("^") : len(carets)]


@pytest.mark.parametrize(
    ("text", "forms"),
    [
        ("XTBN BRAKO CALDU XSKH", "XTBN BRAKO CALDU XSKH"),
        ("XTBN DCT BRAKO DCT XSKH", "XTBN direct:DCT BRAKO direct:DCT XSKH"),
        ("XTBN BRAKO V7 CALDU XSKH", "XTBN BRAKO V7 CALDU XSKH"),
        ("N0120F080 DCT BRAKO CALDU", "change:N0120F080 direct:DCT BRAKO CALDU"),
        ("-N0120A050 BRAKO CALDU", "change:N0120A050 BRAKO CALDU"),
        ("- N0120A050 BRAKO CALDU", "change:N0120A050 BRAKO CALDU"),
        ("XTBN N0120A050 DCT BRAKO", "XTBN change:N0120A050 direct:DCT BRAKO"),
        ("XTBN A123 BRAKO", "XTBN A123 BRAKO"),
        ("A050 BRAKO CALDU", "change:A050 BRAKO CALDU"),
        ("N0120 XTBN BRAKO", "change:N0120 XTBN BRAKO"),
        ("VFR BRAKO IFR CALDU", "rules:VFR BRAKO rules:IFR CALDU"),
        ("xtbn  brako\n\tv7 xskh", "XTBN BRAKO V7 XSKH"),
        ("DALL3 EIC V18 MEI LGC4", "DALL3 EIC V18 MEI LGC4"),
        ("XTBN BRAKO1A UL607 UM859W HOLMA2B", "XTBN BRAKO1A UL607 UM859W HOLMA2B"),
        ("4630N02800W 46N028W 463012S1780000E", "position:4630N02800W position:46N028W position:463012S1780000E"),
        ("4020N07205W DUB180040", "position:4020N07205W bearing-distance:DUB180040"),
        ("PDZ092/015 dub180040", "bearing-distance:PDZ092015 bearing-distance:DUB180040"),
        ("SXC V208 LAX118 CARDI", "SXC V208 LAX118 CARDI"),
    ],
)
def test_elements_and_their_forms(text: str, forms: str) -> None:
    found = elements_of(text)

    assert " ".join(item.text if item.form == "name" else f"{item.form}:{item.text}" for item in found) == forms


# Kilometres per hour and metres in knots and feet: 1 NM = 1852 m and 1 ft = 0.3048 m, by definition.
@pytest.mark.parametrize(
    ("group", "speed_kt", "level_ft"),
    [
        ("N0485F085", 485.0, 8500.0),
        ("N0120A045", 120.0, 4500.0),
        ("N0120A100", 120.0, 10_000.0),
        ("N0467F380", 467.0, 38_000.0),
        ("K0830S1130", 830 / 1.852, 11_300 / 0.3048),
        ("K0220M0840", 220 / 1.852, 8_400 / 0.3048),
        ("M082F330", None, 33_000.0),
        ("M081F380", None, 38_000.0),
        ("N0120VFR", 120.0, None),
    ],
)
def test_speeds_and_levels_at_the_beginning_and_after_a_stroke(
    group: str, speed_kt: float | None, level_ft: float | None
) -> None:
    first, point = elements_of(f"{group} LEXOR/{group.lower()}")

    for element in (first, point):
        assert element.speed_kt == (None if speed_kt is None else pytest.approx(speed_kt, rel=1e-12))
        assert element.level_ft == (None if level_ft is None else pytest.approx(level_ft, rel=1e-12))
        assert element.change == group
    assert (first.form, first.text) == ("change", group)
    assert (point.form, point.text) == ("name", "LEXOR")


def test_half_a_group_at_the_beginning() -> None:
    speed, level, metric = (elements_of(f"{group} BRAKO")[0] for group in ("N0120", "A050", "S0150"))

    assert (speed.speed_kt, speed.level_ft) == (120.0, None)
    assert (level.speed_kt, level.level_ft) == (None, 5000.0)
    assert metric.level_ft == pytest.approx(1500 / 0.3048)


@pytest.mark.parametrize("point", ["4630N02800W", "DUB180040", "46N028W"])
def test_every_point_may_carry_a_change(point: str) -> None:
    _, element = elements_of(f"BRAKO {point}/N0305F180")

    assert (element.text, element.speed_kt, element.level_ft) == (point, 305.0, 18_000.0)


def test_a_delay_is_kept_as_it_is_written() -> None:
    element = elements_of("BRAKO/D01+40 CALDU")[0]

    assert (element.text, element.change, element.speed_kt, element.level_ft) == ("BRAKO", "D01+40", None, None)


def test_elements_stand_where_they_stand() -> None:
    text = "-N0120 XTBN  brako/N0120A050\nDCT 4630N02800W PDZ092/015"

    assert [text[item.start : item.stop] for item in elements_of(text)] == [
        "N0120", "XTBN", "brako", "DCT", "4630N02800W", "PDZ092/015",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("word", "message", "remedy"),
    [
        ("C/48N050W/M082F290F350", "cruise climb, which is not planned", "the speed and level that it begins with"),
        ("T", "the route is cut short", "to the destination"),
        ("N0120F090", "stand between two elements", "BRAKO/N0120F090"),
        ("BRAKO/X", "no speed and level", "BRAKO/N0120A050"),
        ("BRAKO/A050", "no speed and level", "BRAKO/N0120A050"),
        ("BRAKO/", "no speed and level", "BRAKO/N0120A050"),
        ("BRAKO/N0120A050/D00+20", "no element of a route", "with blanks between them"),
        ("BRAKO/N0000A050", "the speed N0000 is out of range", "N0120"),
        ("BRAKO/K9999A050", "the speed K9999 is out of range", "N0120"),
        ("BRAKO/N0120A999", "the level A999 is out of range", "A050"),
        ("BRAKO/N0120S9999", "the level S9999 is out of range", "A050"),
        ("DUB361040", "the bearing in DUB361040 is above 360°", "three digits"),
        ("PDZ400/015", "the bearing in PDZ400/015 is above 360°", "three digits"),
        ("IRW12503", "has 5 digits after IRW", "IRW125003 is 3 NM"),
        ("4660N02800W", "the position 4660N02800W is not one", "4630N02800W"),
        ("4630N18100W", "is not one", "46N028W"),
        ("46N02800W", "is not one", "both halves alike"),
        ("9100N02800W", "is not one", "4630N02800W"),
        ("BR-KO", "BR-KO is no element of a route", "with blanks between them"),
        ("XTBN.BRAKO1.BRAKO", "no element of a route", "with blanks between them"),
        ("TOOLONGIDENT", "no element", "BRAKO"),
        ("Ωμέγα", "no element", "BRAKO"),
        ("A", "no element", "BRAKO"),
    ],
)
def test_what_no_plan_can_use_has_carets_under_it(word: str, message: str, remedy: str) -> None:
    error, marked = refused(f"XTBN BRAKO {word} CALDU")

    assert message in error.message
    assert remedy in error.remedy.splitlines()[0]
    assert marked == word


def test_a_caret_far_along_a_long_text() -> None:
    _, marked = refused("BRAKO CALDU " * 40 + "?? " + "BRAKO CALDU " * 40)

    assert marked == "??"


@pytest.mark.parametrize(
    ("text", "start", "stop", "shown"),
    [
        ("XTBN BRAKO XSKH", 5, 10, "    XTBN BRAKO XSKH\n         ^^^^^"),
        ("XTBN\tBRAKO\x07", 5, 10, "    XTBN BRAKO \n         ^^^^^"),
        ("", 0, 0, "    \n    ^"),
        ("A" * 200, 100, 101, f"    {'A' * 68}\n    {' ' * 34}^"),
        ("A" * 200, 190, 400, f"    {'A' * 68}\n    {' ' * 58}{'^' * 10}"),
    ],
)
def test_carets(text: str, start: int, stop: int, shown: str) -> None:
    assert caret_under(text, start, stop) == shown


@pytest.mark.parametrize("text", ["", "   ", "-", "DCT", "N0120F080 DCT IFR", "VFR"])
def test_no_point_at_all(text: str) -> None:
    with pytest.raises(LessonError, match="the route holds no point"):
        elements_of(text)


def test_a_text_without_end() -> None:
    with pytest.raises(LessonError, match="longer than 2000 characters"):
        elements_of("BRAKO " * 400)


def test_known_idents_are_points_whatever_they_look_like() -> None:
    known = ("V7", "WP1", "LAKE-HEAD", "A050", "N0120A050", "DCT", "T", "C/X", "A/X", "Mill", "DUB180040")
    text = "A050 V7 wp1 LAKE-HEAD/N0120A050 DCT T C/X Mill/D00+20 N0120A050 DUB180040 A/X/N0100A030 CALDU"

    found = elements_of(text, *known)

    assert [item.text for item in found] == [
        "A050", "V7", "WP1", "LAKE-HEAD", "DCT", "T", "C/X", "Mill", "N0120A050", "DUB180040", "A/X", "CALDU",
    ]  # fmt: skip
    assert {item.form for item in found} == {"name"}
    assert [item.change for item in found if item.change] == ["N0120A050", "D00+20", "N0100A030"]


def test_real_routes_are_taken_apart() -> None:
    """The US government's preferred routes; eleven of their points stand by bearing and distance, with a stroke."""
    with ROUTES.open(encoding="utf-8", newline="") as stream:
        texts = [row["Route String"] for row in csv.DictReader(stream)]

    routes = [elements_of(text) for text in texts]
    tally = Counter(item.form for route in routes for item in route)
    assert len(routes) == 347
    assert [[text[item.start : item.stop] for item in route] for text, route in zip(texts, routes, strict=True)] == [
        text.split() for text in texts
    ]
    assert {item.text for route in routes for item in route if item.form == "bearing-distance"} == {
        word.replace("/", "") for text in texts for word in text.split() if "/" in word
    }
    assert tally == {"name": 2430, "bearing-distance": 11}


@SETTINGS
@given(
    st.text(max_size=60)
    | st.from_regex(r"([A-Z0-9/+-]{1,9} ){1,6}", fullmatch=True)
    | st.from_regex(r"([NKM][0-9]{3,4}[FASM][0-9]{3,4} )?([A-Z]{2,5}[0-9]{0,6}(/[NKMDFA0-9+]{3,9})? )+", fullmatch=True)
)
def test_any_text_gives_elements_or_a_lesson_error(text: str) -> None:
    try:
        elements = elements_of(text)
    except LessonError:
        return
    assert any(item.form in ("name", "position", "bearing-distance") for item in elements)
    assert all(0 <= item.start < item.stop <= len(text) for item in elements)
    assert all(one.stop < other.start for one, other in itertools.pairwise(elements))


@SETTINGS
@given(st.lists(st.sampled_from(["BRAKO", "V7", "DCT", "IFR", "4630N02800W", "DUB180040", "A1/N0120A050"]), min_size=2))
def test_words_give_an_element_each_in_order(words: list[str]) -> None:
    elements = elements_of(" ".join(["XTBN", *words]))

    assert [item.text for item in elements] == ["XTBN", *(word.partition("/")[0] for word in words)]
